// SPDX-License-Identifier: BSL-1.0
#pragma once

// The draws of a system in results.json.

#include <cstddef>

#include <nlohmann/json.hpp>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "study_draws.hpp"

namespace choose_filter {

/// Figures in SI, shares of one; every field is described in docs/report.md.
nlohmann::ordered_json draws_json(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                                  const StudyDraws& draws, std::size_t system);

}   // namespace choose_filter
