// SPDX-License-Identifier: BSL-1.0
#pragma once

// What was put in, beside what came out: the filters tested, the systems and their fans, the life that a package claims
// beside the interval forecast, pressures at common flows.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_text.hpp"

namespace choose_filter {

/// The life that a package claims beside the forecast for a candidate of this one filter in a system, both in calendar
/// months.
struct ClaimedLife {
    std::string system, candidate, filter;
    double claimed_months = 0.0;
    std::optional<Estimate> forecast_months;   ///< change interval over the share of the year that the fan runs
    bool differ = false;                       ///< the claim lies outside the interval of the forecast
    std::string sentence;                      ///< that they differ, or why there is no forecast; else empty
};

/// Every claim, by system and candidate; candidates of several stages have none.
std::vector<ClaimedLife> claimed_lives(const filterflow::StudyInput& study, const filterflow::StudyResult& result);
/// The claim of a candidate in a system; null if it has none.
const ClaimedLife* claim_of(const std::vector<ClaimedLife>& claims, const std::string& system,
                            const std::string& candidate);

/// "1 month", "12 months".
std::string months_text(double months);
/// The table of claims and forecasts with what it shows; empty where no package claims a life.
std::string claims_html(const filterflow::StudyInput& study, const filterflow::StudyResult& result);

/// Index of the greatest of the common flows that most filters were read at.
std::size_t greatest_flow_index(const filterflow::StudyResult& result);

/// "fixed speed", "induction": as in the study file.
const char* control_words(filterflow::FanControl control);
const char* motor_words(filterflow::MotorKind motor);

/// The section of what was put in.
std::string inputs_html(const filterflow::StudyInput& study, const filterflow::StudyResult& result);
/// The table of pressures at common flows; empty where there are none.
std::string pressures_at_flows_html(const filterflow::StudyInput& study, const filterflow::StudyResult& result);
/// One row a filter: what was stated of it and its pressures at the common velocities and flows.
std::string filters_csv(const filterflow::StudyInput& study, const filterflow::StudyResult& result);

}   // namespace choose_filter
