// SPDX-License-Identifier: BSL-1.0
#pragma once

// The whole program but its main, so that tests can run it.

#include <iosfwd>

namespace portfolio_study {

/// Runs portfolio_study with its command line. Returns 0 if all went well, 1 for input that cannot be used (`err` says
/// what and where), 2 for wrong usage. `is_terminal`: whether `err` is one, for the progress line.
int run_program(int argc, const char* const* argv, std::ostream& out, std::ostream& err, bool is_terminal);

}   // namespace portfolio_study
