// SPDX-License-Identifier: BSL-1.0

#include "report_class_limits.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include <filterflow/numeric/uncertain.hpp>

namespace choose_filter {

using namespace filterflow;

ClassLimits class_limits(const MinimumEfficiencyRating& rating) {
    ClassLimits limits;
    if (!rating.governing_limit.empty()) {
        limits.governing = rating.estimate == 1
                               ? rating.governing_limit
                               : fmt::format("{}: met by {:.1f} percent points", rating.governing_limit, rating.margin);
    }
    if (!rating.next_limit.empty()) {
        limits.next = fmt::format("{}: missed by {:.1f} percent points", rating.next_limit, rating.shortfall);
    }
    return limits;
}

ClassLimits class_limits(const ParticulateMatterClass& matter) {
    struct Group {
        const char* name;
        const char* asks_for;
        const std::optional<Uncertain<double>>& value;
    };
    // Finest first; each asks for 50 %.
    const std::array<Group, 3> groups{{{"ISO ePM1", "ePM1,min", matter.ePM1_min},
                                       {"ISO ePM2.5", "ePM2.5,min", matter.ePM25_min},
                                       {"ISO ePM10", "ePM10", matter.ePM10}}};
    ClassLimits limits;
    if (!matter.class_text.starts_with("ISO ")) return limits;
    const auto words = [](const Group& group) {
        const double percent = 100.0 * group.value->value;
        return fmt::format("{} = {:.1f} %, {} requires 50 %: {} by {:.1f} percent points", group.asks_for, percent,
                           group.name, percent >= 50.0 ? "met" : "missed", std::abs(percent - 50.0));
    };
    for (std::size_t k = 0; k < groups.size(); ++k) {
        if (!matter.class_text.starts_with(std::string(groups[k].name) + " ")) continue;
        if (groups[k].value) limits.governing = words(groups[k]);
        if (k == 0)
            limits.next = "ISO ePM1 is the finest group";
        else if (groups[k - 1].value)
            limits.next = words(groups[k - 1]);
        return limits;
    }
    limits.governing = "ISO Coarse requires nothing of the sizes counted";
    if (groups[2].value) limits.next = words(groups[2]);
    return limits;
}

}   // namespace choose_filter
