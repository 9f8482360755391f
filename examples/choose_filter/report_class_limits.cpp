// SPDX-License-Identifier: BSL-1.0

#include "report_class_limits.hpp"

#include <algorithm>
#include <string>
#include <string_view>

#include <fmt/format.h>

namespace choose_filter {

namespace {

/// One requirement as the library says it, "E3 (3-10 um) = 88.3 %, value 13 requires 85.0 %", as "E3 88.3 ≥ 85.0"; in
/// other words than these as it is.
std::string short_requirement(std::string_view text, bool met) {
    constexpr std::string_view is = " = ", of = " %, ", requires_of = " requires ", unit = " %";
    const std::size_t at = text.find(is), after = text.find(of), wanted = text.find(requires_of);
    if (at == std::string_view::npos || after == std::string_view::npos || wanted == std::string_view::npos ||
        after < at || wanted < after || !text.ends_with(unit)) {
        return std::string(text);
    }
    const std::string_view name = text.substr(0, std::min(at, text.find(" (")));   // without its sizes
    const std::string_view value = text.substr(at + is.size(), after - at - is.size());
    std::string_view limit = text.substr(wanted + requires_of.size());
    limit.remove_suffix(unit.size());
    constexpr std::string_view above = "above ";
    if (!limit.starts_with(above)) return fmt::format("{} {} {} {}", name, value, met ? "≥" : "<", limit);
    return fmt::format("{} {} {} {}", name, value, met ? ">" : "≤", limit.substr(above.size()));
}

/// Requirements, and by how many percentage points they are met or the worst of them is missed.
std::string short_limits(std::string_view texts, bool met, double points) {
    std::string words;
    bool several = false;
    while (!texts.empty()) {
        const std::size_t end = std::min(texts.find("; "), texts.size());
        words += (words.empty() ? "" : "; ") + short_requirement(texts.substr(0, end), met);
        several = several || end < texts.size();
        texts.remove_prefix(std::min(end + 2, texts.size()));
    }
    return words.empty() ? words : words + fmt::format(", {}by {:.1f}", several ? "the worst " : "", points);
}

}   // namespace

ClassLimits class_limits(const filterflow::MinimumEfficiencyRating& rating) {
    const bool asks_for_nothing = rating.estimate == 1;
    return {asks_for_nothing ? "requires nothing" : short_limits(rating.governing_limit, true, rating.margin),
            short_limits(rating.next_limit, false, rating.shortfall), ""};
}

ClassLimits class_limits(const filterflow::ParticulateMatterClass& matter) {
    return {short_limits(matter.governing_limit, true, matter.margin),
            short_limits(matter.next_limit, false, matter.shortfall),
            short_limits(matter.finer_group_limit, false, matter.finer_group_shortfall)};
}

}   // namespace choose_filter
