// SPDX-License-Identifier: BSL-1.0
#pragma once

// What holds a class and what keeps it from the next one, in words.

#include <string>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>

namespace choose_filter {

/// The limit that governs and the one that the next class asks for, each with what it is met or missed by; empty where
/// there is no class, or none above it.
struct ClassLimits {
    std::string governing;
    std::string next;
};

/// Those of a minimum-efficiency value of ANSI/ASHRAE 52.2.
ClassLimits class_limits(const filterflow::MinimumEfficiencyRating& rating);

/// Those of the group of an ISO 16890 class: ePM1,min and ePM2.5,min of 50 % for ePM1 and ePM2.5, ePM10 of 50 % for
/// ePM10.
ClassLimits class_limits(const filterflow::ParticulateMatterClass& matter);

}   // namespace choose_filter
