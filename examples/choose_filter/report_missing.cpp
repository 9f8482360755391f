// SPDX-License-Identifier: BSL-1.0

// What is missing in a study, put together for readers.

#include "report_candidate.hpp"

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include <filterflow/particle/size_range.hpp>

namespace choose_filter {

using namespace filterflow;

std::string sizes_not_counted(const FractionalEfficiency& efficiency) {
    std::vector<SizeRange> spans;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        const bool counted = std::any_of(efficiency.ranges.begin(), efficiency.ranges.end(),
                                         [&](const SizeEfficiency& e) { return same_range(e.range, range); });
        if (counted) continue;
        if (!spans.empty() && !(spans.back().upper < range.lower))
            spans.back().upper = range.upper;
        else
            spans.push_back(range);
    }
    std::vector<std::string> words;
    for (const SizeRange& span : spans) words.push_back(range_text(span));
    return joined(words, " and ");
}

namespace {

std::string lower_case(std::string text) {
    for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}

/// Things that are missing, put together: filters that lack the same share a line, "particle counts of 'a', 'b'".
class MissingList {
public:
    explicit MissingList(const StudyInput& study) : study_(study) {}

    void add(const std::string& where, const std::vector<MissingFigure>& list) {
        for (const MissingFigure& m : list) add(where, m);
    }
    void add(const std::string& where, const MissingFigure& m) {
        std::string needs = m.needs, name;
        for (const FilterInput& filter : study_.filters) {
            const std::string quoted = "'" + filter.name + "'";
            const std::size_t at = m.needs.find(quoted);
            if (at == std::string::npos) continue;
            if (!name.empty() || m.needs.find(quoted, at + 1) != std::string::npos) {   // several names: as it is
                needs = m.needs;
                name.clear();
                break;
            }
            name = quoted;
            needs = m.needs.substr(0, at) + stand_in + m.needs.substr(at + quoted.size());
        }
        auto entry = std::find_if(all_.begin(), all_.end(), [&](const Entry& e) {
            return e.thing.missing.figure == m.figure && e.thing.missing.needs == needs;
        });
        if (entry == all_.end()) entry = all_.insert(all_.end(), Entry{{{}, {m.figure, needs}}, {}});
        const auto once = [](std::vector<std::string>& texts, const std::string& text) {
            if (std::find(texts.begin(), texts.end(), text) == texts.end()) texts.push_back(text);
        };
        once(entry->thing.of, where);
        if (!name.empty()) once(entry->names, name);
    }
    std::vector<MissingThing> things() const {
        std::vector<MissingThing> things;
        for (Entry entry : all_) {
            std::string& needs = entry.thing.missing.needs;
            if (const std::size_t at = needs.find(stand_in); at != std::string::npos) {
                needs.replace(at, stand_in.size(), joined(entry.names));
            }
            things.push_back(std::move(entry.thing));
        }
        return things;
    }

private:
    struct Entry {
        MissingThing thing;
        std::vector<std::string> names;
    };
    inline static const std::string stand_in = "'\x01'";
    const StudyInput& study_;
    std::vector<Entry> all_;
};

/// What the classes of a filter that was counted cannot be told without.
std::vector<MissingFigure> missing_for_classes(const FilterResult& filter) {
    std::vector<MissingFigure> missing;
    if (!filter.efficiency) return missing;
    const std::string counts = "particle counts of '" + filter.name + "' ";
    if (const std::string sizes = sizes_not_counted(*filter.efficiency); !sizes.empty()) {
        missing.push_back({"one class by ANSI/ASHRAE 52.2 and by ISO 16890, not a range of them",
                           counts + "in the standards' channels of " + sizes});
    }
    if (!filter.conditioned_efficiency) {
        missing.push_back({"class by ISO 16890", counts + "after taking the charge off"});
    }
    return missing;
}

}   // namespace

std::string limits_met_words(const StudyInput& study, const StudyResult& result, std::size_t index) {
    const SystemResult& system = result.systems[index];
    const SystemInput* input = index < study.systems.size() ? &study.systems[index] : nullptr;
    std::size_t met = 0, failed = 0, not_known = 0, doubted = 0;
    MissingList needs(study);
    for (const CandidateResult& candidate : system.candidates) {
        const LimitsVerdict verdict = limits_verdict(input, candidate);
        if (!verdict.failed.empty()) {
            ++failed;
            continue;
        }
        if (verdict.known()) {
            ++met;
            doubted += !verdict.doubted.empty();
            continue;
        }
        ++not_known;
        std::vector<MissingFigure> missing = candidate.missing;
        missing.insert(missing.end(), system.missing.begin(), system.missing.end());
        for (const MissingFigure& m : missing) {
            const std::string figure = lower_case(m.figure);
            const auto lacks = [&](const std::string& name, const char* word) {
                const auto& names = verdict.not_known_clean;
                return std::find(names.begin(), names.end(), name) != names.end() &&
                       figure.find(word) != std::string::npos;
            };
            const bool of_clean = lacks("removal of PM2.5", "pm2.5") || lacks("face velocity", "face velocity");
            const bool of_air = !verdict.known_clean && figure.find("airflow") != std::string::npos;
            const bool of_life =
                !verdict.not_known.empty() && verdict.known_clean &&
                (figure.find("hours") != std::string::npos || figure.find("change interval") != std::string::npos) &&
                figure.find("cost-optimal") == std::string::npos;
            if (of_clean || of_air || of_life) needs.add("", {"", m.needs});
        }
    }
    std::vector<std::string> wanted;
    for (const MissingThing& thing : needs.things()) wanted.push_back(thing.missing.needs);
    const std::string why = wanted.empty() ? "." : ", for want of " + joined(wanted, "; ") + ".";
    const std::size_t all = system.candidates.size();
    const std::string doubts = doubted > 0 ? fmt::format(", in doubt of {}", doubted) : "";
    if (not_known == 0) return fmt::format("Met by {} of {} candidates{}.", met, all, doubts);
    if (not_known == all) return "Whether they are met is not known" + why;
    const std::string failing = failed > 0 ? fmt::format(", failed by {}", failed) : "";
    return fmt::format("Met by {} of {} candidates{}{}, not known of {}{}", met, all, doubts, failing, not_known, why);
}

std::vector<MissingThing> all_missing(const StudyInput& study, const StudyResult& result) {
    MissingList all(study);
    all.add("study", result.missing);
    for (const FilterResult& filter : result.filters) {
        all.add(filter.name, filter.missing);
        all.add(filter.name, missing_for_classes(filter));
    }
    for (const SystemResult& system : result.systems) {
        all.add(system.name, system.missing);
        for (const CandidateResult& candidate : system.candidates)
            all.add(system.name + ": " + candidate.name, candidate.missing);
    }
    return all.things();
}

std::vector<MissingFigure> missing_for(const CandidateFigure& figure, const CandidateResult& candidate,
                                       const SystemResult& system, const StudyResult& result) {
    std::vector<MissingFigure> found;
    for (const auto* list : {&candidate.missing, &system.missing, &result.missing}) {
        for (const std::string& word : figure.missing_words) {
            for (const MissingFigure& missing : *list) {
                if (lower_case(missing.figure).find(word) != std::string::npos) found.push_back(missing);
            }
            if (!found.empty()) return found;
        }
    }
    return found;
}

std::vector<MissingFigure> rows_left_out(const StudyInput& study, const StudyResult& result, std::size_t index) {
    const SystemResult& system = result.systems[index];
    const bool room = index < study.systems.size() && study.systems[index].room;
    std::vector<MissingFigure> left_out;
    for (const CandidateFigure& figure : candidate_figures(study)) {
        const bool of_room = figure.key.starts_with("indoor_");
        const bool asked = !of_room || (room && figure.key.ends_with("_share"));
        const bool any = std::any_of(system.candidates.begin(), system.candidates.end(),
                                     [&](const CandidateResult& c) { return figure.of(c).has_value(); });
        if (any || !asked || figure.group == FigureGroup::files_only) continue;
        MissingList needs(study);
        for (const CandidateResult& candidate : system.candidates) {
            for (const MissingFigure& m : missing_for(figure, candidate, system, result)) needs.add("", {"", m.needs});
        }
        std::vector<std::string> wanted;
        for (const MissingThing& thing : needs.things()) wanted.push_back(thing.missing.needs);
        if (wanted.empty()) wanted.push_back("more than the study states; see the limits and the warnings");
        const std::string all = joined(wanted, "; ");
        const auto at =
            std::find_if(left_out.begin(), left_out.end(), [&](const MissingFigure& m) { return m.needs == all; });
        if (at == left_out.end()) left_out.push_back({figure.label, all});
        else at->figure += "; " + figure.label;
    }
    return left_out;
}

}   // namespace choose_filter
