// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the program prints: the recommendation, the ranked table, what is missing, cautions.

#include <string>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// The texts for a terminal, at most 110 columns wide.
std::string console_table(const filterflow::StudyInput& study, const filterflow::StudyResult& result);

}   // namespace choose_filter
