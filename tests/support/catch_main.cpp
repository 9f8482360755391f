// SPDX-License-Identifier: BSL-1.0
// The main function of all test executables (Catch2 version 2).
#define CATCH_CONFIG_MAIN
#include <catch2/catch.hpp>
