// SPDX-License-Identifier: BSL-1.0
#pragma once

// What holds a class and what keeps it from the next one, in words.

#include <string>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>

namespace choose_filter {

/// The limit that governs and those that the next value and the next finer group ask for, each with what it is met or
/// missed by; empty where there is no class, or none above it.
struct ClassLimits {
    std::string governing;
    std::string next;
    std::string finer_group;   ///< of ISO 16890 only
};

/// Those of a minimum-efficiency value of ANSI/ASHRAE 52.2.
ClassLimits class_limits(const filterflow::MinimumEfficiencyRating& rating);

/// Those of a class of ISO 16890.
ClassLimits class_limits(const filterflow::ParticulateMatterClass& matter);

}   // namespace choose_filter
