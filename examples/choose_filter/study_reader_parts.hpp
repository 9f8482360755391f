// SPDX-License-Identifier: BSL-1.0
#pragma once

// The parts of the study reader, a table of the study file each, and what they share. Not for others: study_reader.hpp.

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include <filterflow/study/study_input.hpp>

#include "csv_table.hpp"
#include "study_reader.hpp"
#include "toml_table.hpp"

namespace choose_filter {

/// What the parts share while one study is read.
struct StudyReading {
    std::string path;          ///< of the study file
    const FileSource& files;
    StudyPlaces places{};
    std::map<std::string, SourcePlace> price_places{};   ///< of the filters' prices, by the filters' names
    filterflow::AirState standard_air{};
    filterflow::StandFlowMethod method = filterflow::StandFlowMethod::not_measured;
    std::vector<filterflow::SizeRangeCounts> correlation{};   ///< of the stand's two sampling lines

    std::string beside_study(const std::string& name) const;
    /// A file that a key names; `header` is what the first line of such a table looks like.
    CsvTable table_file(const TomlTable& table, std::string_view key, const std::string& header) const;
    filterflow::AirState stated_air_or_standard(const TomlTable& table, std::string_view key) const;
    /// What a message says of a reading stands in its file.
    void add_reading_places(const CsvTable& csv, const std::string& owner);
};

inline constexpr const char* percent_hint = "5 % is written \"5 %\" or 0.05";

// ---- The tables, in the order in which they are read ----
void read_stand(StudyReading& reading, const TomlTable& root, filterflow::StudyInput& study);
void read_filters(StudyReading& reading, const TomlTable& root, filterflow::StudyInput& study);
void read_candidates(StudyReading& reading, const TomlTable& root, filterflow::StudyInput& study);
void read_systems(StudyReading& reading, const TomlTable& root, filterflow::StudyInput& study);
void read_prices(const TomlTable& root, filterflow::StudyInput& study);
void refuse_free_changes(const StudyReading& reading, const filterflow::StudyInput& study);
void check_electricity_price(const TomlTable& root, filterflow::StudyInput& study);

// ---- What they share ----
std::optional<filterflow::MoistAirConditions> optional_air(const TomlTable& table, std::string_view key,
                                                           const std::string& title);

struct NamedAir {
    filterflow::AirState air;
    std::string name;
};
/// A standard air by name, or a table of conditions.
std::optional<NamedAir> stated_air(const TomlTable& table, std::string_view key);

filterflow::FanTable fan_table(const StudyReading& reading, const TomlTable& fan, filterflow::FanControl control);
filterflow::FanDescription fan_description(const TomlTable& fan);

/// Hours of the day, days and months of a table, without its price.
filterflow::TariffWindow time_window(const TomlTable& table);
/// The hours of a system whose running time and dust have been read.
void read_schedule(const StudyReading& reading, const TomlTable& table, filterflow::SystemInput& system);

void check_traverse_columns(const CsvTable& csv, const filterflow::StandInput& stand,
                            const std::vector<filterflow::BenchReading>& readings);

/// A whole number from 1 on.
std::size_t counted(const TomlTable& table, std::string_view key, std::size_t otherwise);

std::optional<filterflow::Uncertain<filterflow::Money>> money(const TomlTable& table, std::string_view key,
                                                              const std::string& input_name);

// Names are keys: each is used once, and without line ends or commas that tables could not show.
template <class Entry>
std::string unique_name(const TomlTable& table, const std::vector<Entry>& others, const char* what) {
    const std::string name = table.required_text("name");
    if (name.size() > 120 ||
        std::any_of(name.begin(), name.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; })) {
        table.refuse("name", "a name is one line of at most 120 characters");
    }
    for (const Entry& other : others) {
        if (other.name == name)
            table.refuse("name", fmt::format("two {}s are named '{}'", what, name),
                         "names tell them apart: change one");
    }
    return name;
}

}   // namespace choose_filter
