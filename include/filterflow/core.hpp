// SPDX-License-Identifier: BSL-1.0
#pragma once

// The room core: quantities and named units, errors, checks. Text of quantities has a header of its own, core/text.hpp.

#include <filterflow/core/checks.hpp>
#include <filterflow/core/common_year.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
