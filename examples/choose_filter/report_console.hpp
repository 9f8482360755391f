// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the program prints: the recommendation, the ranked table, what is missing, cautions.

#include <string>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "study_draws.hpp"

namespace choose_filter {

/// The texts for a terminal, at most 110 columns wide; with what joint draws say, where there are any.
std::string console_table(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                          const StudyDraws* draws = nullptr);

}   // namespace choose_filter
