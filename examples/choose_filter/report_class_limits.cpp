// SPDX-License-Identifier: BSL-1.0

#include "report_class_limits.hpp"

#include <string>

#include <fmt/format.h>

namespace choose_filter {

namespace {

std::string with(const std::string& limit, const char* verb, double points) {
    const char* which = limit.find("; ") != std::string::npos ? "the worst " : "";   // of several requirements
    return limit.empty() ? "" : fmt::format("{}: {}{} by {:.1f} percentage points", limit, which, verb, points);
}

}   // namespace

ClassLimits class_limits(const filterflow::MinimumEfficiencyRating& rating) {
    const bool asks_for_nothing = rating.estimate == 1;
    return {asks_for_nothing ? rating.governing_limit : with(rating.governing_limit, "met", rating.margin),
            with(rating.next_limit, "missed", rating.shortfall), ""};
}

ClassLimits class_limits(const filterflow::ParticulateMatterClass& matter) {
    return {with(matter.governing_limit, "met", matter.margin), with(matter.next_limit, "missed", matter.shortfall),
            with(matter.finer_group_limit, "missed", matter.finer_group_shortfall)};
}

}   // namespace choose_filter
