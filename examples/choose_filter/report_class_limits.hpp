// SPDX-License-Identifier: BSL-1.0
#pragma once

// The limits that a class rests on and misses, short enough for a cell of a table.

#include <string>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>

namespace choose_filter {

/// What stands beside a class: "E3 88.3 ≥ 85.0, by 3.3" (in per cent and percentage points), empty where nothing is to
/// say. Of several requirements all are named, and by how much the worst is missed.
struct ClassLimits {
    std::string governing;     ///< the requirement of the estimated class that is met with least to spare
    std::string next;          ///< those of the next class that are missed
    std::string finer_group;   ///< those of the next finer group, of ISO 16890 only
};

/// Of a minimum-efficiency value.
ClassLimits class_limits(const filterflow::MinimumEfficiencyRating& rating);

/// Of a particulate-matter class.
ClassLimits class_limits(const filterflow::ParticulateMatterClass& matter);

}   // namespace choose_filter
