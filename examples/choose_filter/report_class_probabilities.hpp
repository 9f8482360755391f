// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the data allow of a class, in one way everywhere: each class with its probability by the uncertainty of the
// averages that it rests on; where an average is not known, the range of classes.

#include <string>
#include <vector>

#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>

namespace choose_filter {

/// "8: 88 %, 7: 12 %", the most probable first; those below half a per cent are left out.
std::string class_chances_text(std::vector<filterflow::ClassProbability> chances);

/// What the counts allow of a minimum-efficiency value: "8: 88 %, 7: 12 %" or "7 to 11"; empty where they say nothing.
std::string allowed_text(const filterflow::MinimumEfficiencyRating& rating);

/// What the counts allow of a particulate-matter class: "ISO ePM2.5 55 %: 88 %, ISO ePM2.5 60 %: 12 %", "ISO ePM10
/// 50 % to ISO ePM2.5 55 %" or, without discharged counts, "at most ISO ePM2.5 65 %"; empty where they say nothing.
std::string allowed_text(const filterflow::ParticulateMatterClass& matter);

}   // namespace choose_filter
