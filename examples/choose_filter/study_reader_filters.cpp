// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "study_readings.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

void read_face_and_medium(const TomlTable& table, FilterInput& filter) {
    filter.width = table.between<Length>("width", "1 cm", "10 m");
    filter.height = table.between<Length>("height", "1 cm", "10 m");
    if (filter.width.has_value() != filter.height.has_value()) {
        table.refuse_missing(filter.width ? "height" : "width", "\"24 in\"");
    }
    filter.depth = table.between<Length>("depth", "1 mm", "3 m");
    filter.free_area = table.positive<Area>("free_area");
    const double face = filter.width ? filter.width->value() * filter.height->value() : 0.0;   // 0: not known
    if (face > 0.0 && filter.free_area && filter.free_area->value() > 1.001 * face) {
        table.refuse_value("free_area", "is larger than width times height",
                           "up to " + table.in_its_unit("free_area", Area::from_value(face)));
    }
    if (table.has("pleat_count")) filter.pleat_count = counted(table, "pleat_count", 1);
    filter.media_area = table.positive<Area>("media_area");
    if (!filter.media_area || !(face > 0.0 || filter.free_area)) return;
    // A frame covers part of the nominal face, of a small filter a third.
    const double open = filter.free_area ? 0.99 * filter.free_area->value() : 0.65 * face;
    if (filter.media_area->value() < open || filter.media_area->value() > 500.0 * open) {
        table.refuse_value(
            "media_area",
            filter.media_area->value() < open ? "is less than the face that the medium covers"
                                              : "is too large to be meant",
            fmt::format("from {} ({}) to {}", table.in_its_unit("media_area", Area::from_value(open)),
                        filter.free_area ? "the free area" : "65 % of width times height, as a frame covers the rest",
                        table.in_its_unit("media_area", Area::from_value(500.0 * open))),
            "write the area of all the medium, unfolded, one side of it; or the open face as free_area");
    }
}

void refuse_wide_gap(const TomlTable& table, const CandidateInput& candidate, const StudyInput& study) {
    if (!candidate.bypass_gap) return;
    for (const StageInput& stage : candidate.stages) {
        for (const FilterInput& filter : study.filters) {
            if (filter.name != stage.filter || !(filter.width || filter.free_area)) continue;
            const double face =
                filter.width ? filter.width->value() * filter.height->value() : filter.free_area->value();
            if (candidate.bypass_gap->value() <= face) continue;
            table.refuse_value("bypass_gap", fmt::format("is larger than the face of '{}'", filter.name),
                               "up to " + table.in_its_unit("bypass_gap", Area::from_value(face)) + ", that face",
                               "the gap is what air finds open beside the filter: its length times its width");
        }
    }
}

}   // namespace

void read_filters(StudyReading& reading, const TomlTable& root, StudyInput& study) {
    for (const TomlTable& table : root.tables("filter", "[[filter]]", study_keys("filter"))) {
        FilterInput filter;
        filter.name = unique_name(table, study.filters, "filter");
        reading.places.add({"filter '" + filter.name + "'"}, table.value_place("name"));
        if (table.has("price")) reading.price_places[filter.name] = table.value_place("price");
        read_face_and_medium(table, filter);
        filter.price = money(table, "price", "price of " + filter.name);
        filter.claimed_life = table.between<Time>("claimed_life", "1 h", "50 years");
        if (table.has("pressure")) {
            const CsvTable csv = reading.table_file(table, "pressure", pressure_header(reading.method));
            filter.pressure_readings = bench_readings(csv, reading.method);
            reading.add_reading_places(csv, "filter '" + filter.name + "'");
            if (study.stand) check_traverse_columns(csv, *study.stand, filter.pressure_readings);
        }
        if (table.has("counts")) {
            const CsvTable csv = reading.table_file(table, "counts", counts_header());
            filter.counts = particle_counts(csv, reading.correlation, study.notes);
            filter.counts_origin = csv.path();
            reading.places.add({"filter '" + filter.name + "'", "particle counts: "}, {csv.path()});
        }
        if (table.has("discharged_counts")) {
            const CsvTable csv = reading.table_file(table, "discharged_counts", counts_header());
            filter.conditioned_counts = particle_counts(csv, reading.correlation, study.notes);
            reading.places.add({"filter '" + filter.name + "'", "discharged particle counts: "}, {csv.path()});
        }
        filter.counts_face_velocity = table.between<Velocity>("counts_face_velocity", "0.01 m/s", "50 m/s");
        if (table.has("loading")) {
            const CsvTable csv = reading.table_file(table, "loading", loading_header(reading.method));
            filter.loading_readings = loading_readings(csv, reading.method);
            reading.add_reading_places(csv, "filter '" + filter.name + "'");
            reading.places.add({"filter '" + filter.name + "'", "loading readings: "},
                        csv.place(csv.row_count() - 1, csv.column("pressure")));
            if (study.stand && !filter.loading_readings.empty()) {
                check_traverse_columns(csv, *study.stand, {filter.loading_readings.front().reading});
            }
        }
        study.filters.push_back(std::move(filter));
    }
}

void read_candidates(StudyReading& reading, const TomlTable& root, StudyInput& study) {
    std::vector<std::string> filters;
    for (const FilterInput& filter : study.filters) filters.push_back(filter.name);
    for (const TomlTable& table : root.tables("candidate", "[[candidate]]", study_keys("candidate"))) {
        CandidateInput candidate;
        candidate.name = unique_name(table, study.candidates, "candidate");
        const std::string words = "candidate '" + candidate.name + "'";
        reading.places.add({words}, table.value_place("name"));
        const auto stages =
            table.tables("stages", "stages of '" + candidate.name + "'", study_keys("candidate.stages"));
        if (!table.has("stages")) table.refuse_missing("stages", "[{filter = \"...\"}]");
        if (stages.empty())
            table.refuse("stages", "a candidate has at least one stage", "stages = [{filter = \"...\"}]");
        for (const TomlTable& part : stages) {
            StageInput stage;
            stage.filter = part.required_text("filter");
            if (std::find(filters.begin(), filters.end(), stage.filter) == filters.end()) {
                part.refuse("filter", fmt::format("there is no filter named '{}'", shown_text(stage.filter)),
                            name_hint(stage.filter, filters, "filters"));
            }
            stage.final_resistance = part.positive<Pressure>("final_resistance");
            stage.greatest_age = part.positive<Time>("greatest_age");
            if (stage.final_resistance) {
                reading.places.add({words, "final resistance", fmt::format("stage {}", candidate.stages.size() + 1)},
                            part.value_place("final_resistance"));
            }
            candidate.stages.push_back(std::move(stage));
        }
        candidate.bypass_gap = table.positive<Area>("bypass_gap");
        refuse_wide_gap(table, candidate, study);
        study.candidates.push_back(std::move(candidate));
    }
    if (!root.has("candidate")) {   // every filter on its own
        for (const FilterInput& filter : study.filters) {
            study.candidates.push_back({filter.name, {{filter.name, std::nullopt, std::nullopt}}, std::nullopt});
        }
    }
}

}   // namespace choose_filter
