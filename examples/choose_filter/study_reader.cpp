// SPDX-License-Identifier: BSL-1.0

#include "study_reader.hpp"

#include <algorithm>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "study_reader_parts.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

void read_study_table(StudyReading& reading, const TomlTable& root, StudyInput& study) {
    static const TomlValue nothing;
    const auto given = root.table("study", "[study]", study_keys("study"));
    const TomlTable table = given ? *given : TomlTable(nothing, "[study]", {});
    study.title = table.text("title").value_or("Filter study");
    study.note = table.text("note").value_or("");
    const NamedAir air = stated_air(table, "standard_air").value_or(NamedAir{duct_design_air(), "duct design air"});
    study.standard_air = air.air;
    study.standard_air_name = air.name;
    reading.standard_air = air.air;
    study.comparison_velocities = table.quantities<Velocity>("comparison_velocities", "50 m/s");
    study.comparison_flows = table.quantities<VolumeFlow>("comparison_flows", "1000 m3/s");
    study.coverage_probability = table.fraction("coverage").value_or(0.95);
    if (!(study.coverage_probability >= 0.5 && study.coverage_probability <= 0.9999)) {
        table.refuse_value("coverage", "is out of range", "50 to 99.99 %", percent_hint);
    }
}

// Without a word on where to compare, at usual face velocities; filters without a face are compared at flows, which
// the study chooses from the readings.
void choose_comparison(const StudyReading& reading, StudyInput& study) {
    if (!study.comparison_velocities.empty() || !study.comparison_flows.empty()) return;
    const auto has_face = [](const FilterInput& f) { return f.width || f.free_area; };
    if (!std::any_of(study.filters.begin(), study.filters.end(), has_face)) return;
    study.comparison_velocities = {Velocity::from_value(1.5), Velocity::from_value(2.5)};
    if (reading.method == StandFlowMethod::not_measured) return;
    study.notes.push_back("no flow or face velocity to compare pressures at is stated: compared at face velocities of "
                          "1.5 and 2.5 m/s");
}

}   // namespace

std::string StudyReading::beside_study(const std::string& name) const {
    const std::filesystem::path file(name);
    if (file.is_absolute()) return name;
    return (std::filesystem::path(path).parent_path() / file).lexically_normal().generic_string();
}

CsvTable StudyReading::table_file(const TomlTable& table, std::string_view key, const std::string& header) const {
    const std::string name = table.required_text(key);
    const std::string named = beside_study(name);
    const FileText file = files.read(named);
    if (!file.found) {
        table.refuse(key, fmt::format("cannot read '{}': {}", shown_text(named, 120), file.reason),
                     "paths are relative to the study file");
    }
    return CsvTable(named, file.text, header);
}

void StudyReading::add_reading_places(const CsvTable& csv, const std::string& owner) {
    const std::size_t pressure = csv.column("pressure");
    for (std::size_t row = 0; row < csv.row_count(); ++row) {
        places.add({owner, "(" + csv.origin(row) + ")"}, csv.place(row, pressure));
    }
}

std::size_t counted(const TomlTable& table, std::string_view key, std::size_t otherwise) {
    const auto value = table.number(key);
    if (!value) return otherwise;
    const TomlValue* given = table.find(key);
    if (!given->is_integer || *value < 1.0 || *value > 1e6) {
        table.refuse_value(key, "is out of range", "whole numbers from 1 to 1000000");
    }
    return static_cast<std::size_t>(*value);
}

std::optional<Uncertain<Money>> money(const TomlTable& table, std::string_view key, const std::string& input_name) {
    const auto stated = table.stated_number(key);
    if (!stated) return std::nullopt;
    if (!(stated->value >= 0.0)) table.refuse_value(key, "is negative", "0 or more");
    table.refuse_wide(key, stated->value, stated->half_width);
    const Money value = Money::from_value(stated->value);
    if (stated->half_width == 0.0) return Uncertain<Money>(value);
    return uncertain(value, Money::from_value(stated->half_width / normal_95), input_name);
}

void StudyPlaces::add(std::vector<std::string> words, SourcePlace place) {
    entries_.push_back({std::move(words), std::move(place)});
}

SourcePlace StudyPlaces::place_of(std::string_view message, const std::string& file) const {
    const Entry* best = nullptr;
    std::size_t most = 0, last = 0;
    for (const Entry& entry : entries_) {
        std::size_t at = 0;   // of the last of its words: messages name the larger thing first
        bool all = true;
        for (const std::string& words : entry.words) {
            const std::size_t found = message.find(words);
            all = all && found != std::string_view::npos;
            if (all) at = std::max(at, found);
        }
        if (!all || entry.words.size() < most || (entry.words.size() == most && best != nullptr && at < last)) continue;
        best = &entry;
        most = entry.words.size();
        last = at;
    }
    return best != nullptr ? best->place : SourcePlace{file};
}
StudyFile read_study_file(const std::string& path, const FileSource& files) {
    StudyReading reading{path, files};
    const FileText file = files.read(reading.path);
    if (!file.found) throw DataError({reading.path}, "cannot read the study file: " + file.reason);
    if (file.text.find_first_not_of(" \t\r\n") == std::string::npos) {
        throw DataError({reading.path}, "the file is empty", "choose_filter --start DIR writes a study to begin from");
    }
    const TomlValue document = parse_toml(reading.path, file.text);
    const TomlTable root(document, "the study file", study_keys(""));

    StudyInput study;
    study.origin = reading.path;
    read_study_table(reading, root, study);
    read_stand(reading, root, study);
    read_filters(reading, root, study);
    read_candidates(reading, root, study);
    read_systems(reading, root, study);
    read_prices(root, study);
    const auto has_pressures = [](const FilterInput& filter) { return !filter.pressure_readings.empty(); };
    if (!study.stand && std::any_of(study.filters.begin(), study.filters.end(), has_pressures)) {
        study.stand.emplace();   // nothing said of it: the flow is not measured
    }
    if (!study.stand && study.filters.empty() && study.systems.empty()) {
        throw DataError({reading.path}, "the study holds neither a stand, nor a filter, nor a system",
                        "a filter with pressure readings is the least: [[filter]] name, pressure");
    }
    refuse_free_changes(reading, study);
    check_electricity_price(root, study);
    choose_comparison(reading, study);
    return {std::move(study), std::move(reading.places)};
}

StudyFile read_study_file(const std::string& path) { return read_study_file(path, DiskFiles()); }

StudyInput read_study(const std::string& path, const FileSource& files) { return read_study_file(path, files).study; }

StudyInput read_study(const std::string& path) { return read_study(path, DiskFiles()); }

}   // namespace choose_filter
