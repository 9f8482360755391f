// SPDX-License-Identifier: BSL-1.0
#pragma once

// What was done to the readings of the stand before they were compared, and what was not.

#include <string>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// What was done to the stand's readings: the tare taken off, the air brought to the declared standard air.
struct Corrections {
    bool tare = false;
    bool air = false;
    std::string column() const;   ///< what a column of pressures is headed with: "corrected", "fitted, not corrected"
    std::string words(const std::string& standard_air) const;   ///< what was done and what was not
};
Corrections corrections(const filterflow::StudyInput& study, const filterflow::StudyResult& result);

}   // namespace choose_filter
