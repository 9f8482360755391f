// SPDX-License-Identifier: BSL-1.0
#pragma once

// One way to include Catch2 whichever major version the system has. Version 2 is what Debian 12 ships and what
// the tests run with; the branch for version 3 is untested.

#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
using Catch::Approx;
using Catch::Matchers::Contains;
#else
#include <catch2/catch.hpp>
using Catch::Matchers::Contains;
#endif
