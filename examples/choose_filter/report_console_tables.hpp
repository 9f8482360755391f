// SPDX-License-Identifier: BSL-1.0
#pragma once

// The tables of a system on the terminal.

#include <string>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// Candidates side by side; `input` may be null.
std::string system_table(const filterflow::StudyInput& study, const filterflow::SystemInput* input,
                         const filterflow::SystemResult& system);
/// What candidates make of the room and what they cost over the years, where that is known of any.
std::string room_and_years_table(const filterflow::StudyInput& study, const filterflow::SystemResult& system);
/// What hours, peak power, carbon and years make of the candidates, where a study asks for any of it.
std::string asked_for_table(const filterflow::StudyInput& study, const filterflow::SystemResult& system);
/// The mean price of electricity, where it depends on the hour.
std::string electricity_text(const filterflow::StudyInput& study, const filterflow::SystemResult& system);

}   // namespace choose_filter
