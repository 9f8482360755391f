// SPDX-License-Identifier: BSL-1.0
#pragma once

// How probable each class of a filter is, by the uncertainty of the averages it rests on.

#include <string>
#include <vector>

#include <filterflow/rating/class_probability.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// Of each minimum-efficiency value; empty where an average is not known.
std::vector<filterflow::ClassProbability> minimum_efficiency_chances(const filterflow::FilterResult& filter);

/// Of each class by particulate matter; empty where an efficiency is not known, so without discharged counts too.
std::vector<filterflow::ClassProbability> particulate_matter_chances(const filterflow::FilterResult& filter);

/// "8: 88 %, 7: 12 %", the most probable first; those below half a per cent are left out.
std::string class_chances_text(std::vector<filterflow::ClassProbability> chances);

}   // namespace choose_filter
