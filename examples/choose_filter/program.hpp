// SPDX-License-Identifier: BSL-1.0
#pragma once

// The whole program but its main, so that tests can run it.

#include <iosfwd>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "study_reader.hpp"

namespace choose_filter {

/// Runs choose_filter with its command line. Returns 0 if all went well, 1 for input that cannot be used (`err` says
/// what and where; nothing is written), 2 for wrong usage.
int run_program(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

/// run_study, with what it refuses as a DataError at its place in the study file, or that names the file where its
/// places are not given. Throws too if the fan of a system cannot serve it, whichever candidate is installed.
filterflow::StudyResult study_result(const filterflow::StudyInput& study, const StudyPlaces& places = {});

}   // namespace choose_filter
