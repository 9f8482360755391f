// SPDX-License-Identifier: BSL-1.0

#include "report_warnings.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include <filterflow/capture/data_quality.hpp>
#include <filterflow/particle/size_range.hpp>

namespace choose_filter {

using namespace filterflow;

namespace {

/// What stands behind every figure, or in the tables of the page beside what it concerns.
bool only_on_the_page(const std::string& warning) {
    static constexpr std::array<std::string_view, 12> beginnings{"counts ",
                                                                 "efficiency of ",
                                                                 "loading: ",
                                                                 "no gap around",
                                                                 "dust caught: ",
                                                                 "hours and costs rest on",
                                                                 "PM2.5: ",
                                                                 "PM2.5, discharged: ",
                                                                 "PM10: ",
                                                                 "labour of a change",
                                                                 "disposal of a filter",
                                                                 "no leak test"};
    return std::any_of(beginnings.begin(), beginnings.end(),
                       [&](std::string_view beginning) { return warning.starts_with(beginning); });
}

void say(std::vector<SaidWarning>& all, const std::string& text, const std::string& of) {
    auto at = std::find_if(all.begin(), all.end(), [&](const SaidWarning& w) { return w.text == text; });
    if (at == all.end()) at = all.insert(all.end(), {text, {}});
    if (!of.empty() && std::find(at->of.begin(), at->of.end(), of) == at->of.end()) at->of.push_back(of);
}

}   // namespace

std::string without_its_velocity(const std::string& warning) {
    constexpr std::string_view counted = "' was counted at ", runs = " and runs at ";
    const std::size_t from = warning.find(counted), to = warning.find(runs);
    if (from == std::string::npos || to == std::string::npos || to < from) return warning;
    return "counted at " + warning.substr(from + counted.size(), to - from - counted.size()) +
           ", runs at a face velocity that differs by more than a quarter: the removal is not corrected for that";
}

bool is_room_note(const std::string& warning) {
    return warning.starts_with("PM2.5 and PM10 indoors: ") || warning.starts_with("yearly mean of PM2.5 and PM10 ");
}

std::vector<std::string> system_notes(const SystemResult& system) {
    const auto any = [&](auto figure) {
        return std::any_of(system.candidates.begin(), system.candidates.end(),
                           [&](const CandidateResult& c) { return (c.*figure).has_value(); });
    };
    std::vector<std::string> notes = system.warnings;
    std::erase_if(notes, [&](const std::string& note) {
        return is_room_note(note) && !any(note.starts_with("yearly") ? &CandidateResult::indoor_pm25_mean_share
                                                                   : &CandidateResult::indoor_pm25_share);
    });
    return notes;
}

std::vector<SaidWarning> room_notes(const StudyResult& result) {
    std::vector<SaidWarning> all;
    std::size_t systems = 0;
    for (const SystemResult& system : result.systems) {
        bool any = false;
        for (const std::string& note : system_notes(system)) {
            if (!is_room_note(note)) continue;
            say(all, note, system.name);
            any = true;
        }
        systems += any ? 1 : 0;
    }
    for (SaidWarning& note : all) {
        if (note.of.size() == systems) note.of.clear();
    }
    return all;
}

std::string more_behind_than_before(const FractionalEfficiency& efficiency) {
    constexpr std::size_t most = 3;
    std::string sizes;
    std::size_t count = 0;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        if (!(entry.penetration_interval.lower > 1.0) || ++count > most) continue;
        sizes += (sizes.empty() ? "" : ", ") + range_text(entry.range) + " (" +
                 detail::times_as_many(entry.penetration.value) + ")";
    }
    if (sizes.empty()) return "";
    if (count > most) sizes += " and " + std::to_string(count - most) + " more size" + (count - most == 1 ? "" : "s");
    return "more particles behind the filter than before it at " + sizes +
           ": likely a leak behind the filter, samples exchanged, or a dirty sampling line";
}

std::vector<SaidWarning> bench_warnings(const StudyResult& result) {
    std::vector<SaidWarning> all;
    if (result.stand && !result.stand->pressure_only) {   // those of an order stand with it
        for (const std::string& flag : result.stand->flags) {
            if (!only_on_the_page(flag)) say(all, flag, "stand");
        }
    }
    for (const FilterResult& filter : result.filters) {
        if (filter.efficiency) {
            if (const std::string text = more_behind_than_before(*filter.efficiency); !text.empty()) {
                say(all, text, "'" + filter.name + "'");
            }
        }
        if (filter.conditioned_efficiency) {
            if (const std::string text = more_behind_than_before(*filter.conditioned_efficiency); !text.empty()) {
                say(all, text, "'" + filter.name + "', discharged");
            }
        }
        for (const std::string& warning : filter.warnings) {
            if (!only_on_the_page(warning)) say(all, warning, "'" + filter.name + "'");
        }
    }
    for (const std::string& warning : result.warnings) say(all, warning, "study");
    return all;
}

std::vector<SaidWarning> system_warnings(const SystemResult& system) {
    std::vector<SaidWarning> all;
    for (const std::string& warning : system_notes(system)) {
        if (!warning.starts_with("equal service: ") && !is_room_note(warning)) say(all, warning, "");
    }
    for (const CandidateResult& candidate : system.candidates) {
        for (const std::string& warning : candidate.warnings) {
            const bool said_with_its_limit =
                warning.find("once its charge is gone") != std::string::npos &&
                std::any_of(
                    candidate.failed_limits.begin(), candidate.failed_limits.end(),
                    [](const std::string& limit) { return limit.find("while the charge lasts") != std::string::npos; });
            if (!only_on_the_page(warning) && !said_with_its_limit) {
                say(all, without_its_velocity(warning), "'" + candidate.name + "'");
            }
        }
    }
    for (SaidWarning& warning : all) {
        if (warning.of.size() > 1 && warning.of.size() == system.candidates.size()) warning.of = {"every candidate"};
    }
    return all;
}

}   // namespace choose_filter
