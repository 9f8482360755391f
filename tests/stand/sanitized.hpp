// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether the test runs under the address sanitizer, where random sweeps are ten times shorter.

#if defined(__SANITIZE_ADDRESS__)
#define FILTERFLOW_SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define FILTERFLOW_SANITIZED 1
#endif
#endif
#ifndef FILTERFLOW_SANITIZED
#define FILTERFLOW_SANITIZED 0
#endif
