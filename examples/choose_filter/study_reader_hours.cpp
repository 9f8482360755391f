// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include <filterflow/core/common_year.hpp>
#include <filterflow/study/operating_hours.hpp>

namespace choose_filter {

using namespace filterflow;

namespace {

int whole_between(const TomlTable& table, std::string_view key, int least, int greatest, int otherwise,
                  const char* hint) {
    const TomlValue* given = table.find(key);
    const bool of_clock = key == "from_hour" || key == "to_hour";
    if (given != nullptr && of_clock && (given->kind == TomlKind::text || given->kind == TomlKind::date)) {
        const std::string hour = given->text.substr(0, given->text.find(':'));
        const auto number = given->kind == TomlKind::text ? number_of(hour) : std::nullopt;
        table.refuse(key, fmt::format("'{}' must be a full hour of the clock, a plain number", key),
                     number ? fmt::format("write {} = {:g}", key, *number) : std::string("6:00 is written 6"));
    }
    const auto value = table.number(key);
    if (!value) return otherwise;
    if (!table.find(key)->is_integer || *value < least || *value > greatest) {
        table.refuse_value(key, "is out of range", fmt::format("whole numbers from {} to {}", least, greatest), hint);
    }
    return static_cast<int>(*value);
}

constexpr std::size_t a_year = 8760;

/// Factors of January to December; ones where the key is absent.
std::array<double, 12> month_factors(const TomlTable& table, std::string_view key) {
    std::array<double, 12> factors;
    factors.fill(1.0);
    const TomlValue* value = table.find(key);
    if (value == nullptr) return factors;
    const std::string hint = fmt::format("{} = [1, 1, 0.8, ...]: a factor for each month, January first", key);
    if (value->kind != TomlKind::array) table.refuse(key, fmt::format("'{}' must be a list of 12 numbers", key), hint);
    if (value->items.size() != 12) {
        table.refuse(key, fmt::format("'{}' has {} numbers; a year has 12 months", key, value->items.size()), hint);
    }
    for (std::size_t m = 0; m < 12; ++m) {
        const TomlValue& item = value->items[m];
        if (item.kind != TomlKind::number)
            throw DataError(item.place, fmt::format("'{}' must hold numbers", key), hint);
        if (!(item.number >= 0.0 && item.number <= 100.0)) {
            throw DataError(item.place,
                            fmt::format("the factor {:g} of month {} in '{}' is out of range; allowed: 0 to 100",
                                        item.number, m + 1, key));
        }
        factors[m] = item.number;
    }
    return factors;
}

/// Hours as a table has them: of a day, of a week that begins on Monday, of a year that begins on 1 January.
struct HourTable {
    std::vector<DutyHour> hours;
    bool states_dust = false;
};

HourTable hour_table(const CsvTable& csv) {
    csv.refuse_unknown_columns({"hour", "running", "dust", "note"});
    const auto hour = csv.find_column("hour");
    const std::size_t running = csv.column("running");
    const auto dust = csv.find_column("dust");
    HourTable table{{}, dust.has_value()};
    for (std::size_t row = 0; row < csv.row_count(); ++row) {
        if (hour && csv.count(row, *hour) != static_cast<double>(row)) {
            csv.refuse(row, *hour, fmt::format("the hours do not follow each other: expected {}", row),
                       "one row an hour, from 0 on");
        }
        DutyHour of;
        of.running = csv.number(row, running);
        if (!(of.running >= 0.0 && of.running <= 1.0)) {
            csv.refuse(row, running,
                       fmt::format("the running share {} is no share; allowed: 0 to 1", csv.cell(row, running).text),
                       "half an hour is 0.5");
        }
        of.concentration = MassConcentration::from_value(1.0);
        if (dust) of.concentration = csv.quantity<MassConcentration>(row, *dust);
        if (!(of.concentration.value() >= 0.0)) csv.refuse_value(row, *dust, "is negative", "0 {} or more");
        if (dust && of.concentration.value() > 0.1) {
            csv.refuse_value(row, *dust, "is too large to be meant", "up to 0.1 kg/m3 (100 g/m3)");
        }
        table.hours.push_back(of);
    }
    if (csv.row_count() != 24 && csv.row_count() != 168 && csv.row_count() != a_year) {
        throw DataError(
            csv.place(csv.row_count() - 1, running),
            fmt::format("{} rows of hours; allowed: 24 (a day), 168 (a week from Monday) or 8760 (a year from "
                        "1 January)",
                        csv.row_count()),
            "leave 29 February out of a leap year");
    }
    return table;
}

/// The hour of a day or week that an hour of the year is.
std::size_t hour_of_table(std::size_t hour, std::size_t rows, int new_years_weekday) {
    if (rows != 168) return hour % rows;
    return (hour + 24 * static_cast<std::size_t>(new_years_weekday)) % rows;
}

/// The hours of a year that windows leave: off but for these.
std::vector<DutyHour> hours_of_windows(const std::vector<TomlTable>& parts, int new_years_weekday) {
    TimeOfUseTariff windows;
    std::vector<double> running;
    for (const TomlTable& part : parts) {
        windows.windows.push_back(time_window(part));
        const double share = part.fraction("running").value_or(1.0);
        if (!(share >= 0.0 && share <= 1.0)) {
            part.refuse_value("running", "is out of range", "0 to 100 %", percent_hint);
        }
        running.push_back(share);
    }
    std::vector<DutyHour> hours(a_year);
    for (std::size_t h = 0; h < a_year; ++h) {
        const std::size_t k = detail::window_at(windows, {h, new_years_weekday});
        hours[h] = {MassConcentration::from_value(1.0), k < running.size() ? running[k] : 0.0, 0, 0};
    }
    return hours;
}

}   // namespace

TariffWindow time_window(const TomlTable& table) {
    static const std::vector<std::string> days = {"every day", "working days", "weekend"};
    TariffWindow window;
    window.first_hour = whole_between(table, "from_hour", 0, 23, 0, "hours of the clock: 7 is 7:00");
    window.end_hour = whole_between(table, "to_hour", 1, 24, 24, "the window ends at that full hour; midnight is 24");
    if (table.has("from_hour") && table.has("to_hour") && window.first_hour == window.end_hour) {
        table.refuse("to_hour", fmt::format("from_hour and to_hour are both {}", window.end_hour),
                     "leave both out for the whole day; over midnight write from_hour = 22, to_hour = 6");
    }
    window.days = static_cast<TariffDays>(table.choice("days", days).value_or(0));
    window.first_month = whole_between(table, "from_month", 1, 12, 1, "1 is January");
    window.last_month = whole_between(table, "to_month", 1, 12, 12, "1 is January; the month named is included");
    return window;
}

void read_schedule(const StudyReading& reading, const TomlTable& table, SystemInput& system) {
    const auto part = table.table("schedule", "[system.schedule]", study_keys("system.schedule"));
    if (!part) return;
    if (table.has("hours_per_year")) {
        table.refuse("hours_per_year", "the running hours are stated twice: here and by the hours of [system.schedule]",
                     "leave hours_per_year out: the schedule's hours add up to it");
    }
    static const std::vector<std::string> weekdays = {"Monday",   "Tuesday", "Wednesday", "Thursday",
                                                      "Friday", "Saturday", "Sunday"};
    const int new_year = static_cast<int>(part->choice("new_years_day", weekdays).value_or(0));
    const auto windows = part->tables("hours", "[[system.schedule.hours]]", study_keys("system.schedule.hours"));
    if (part->has("table") == !windows.empty()) {
        throw DataError(
            part->place(),
            part->has("table") ? "the hours are stated twice: by 'table' and by 'hours'"
                               : "the schedule has no hours: 'table' or 'hours' is missing",
            "write table = \"hours.csv\", or hours = [{days = \"working days\", from_hour = 7, to_hour = 19}]");
    }
    std::vector<DutyHour> hours;
    bool states_dust = false;
    if (part->has("table")) {
        const CsvTable csv = reading.table_file(*part, "table", "hour,running,dust [ug/m3]");
        csv.require_rows(1, "a schedule");
        const HourTable given = hour_table(csv);
        states_dust = given.states_dust;
        for (std::size_t h = 0; h < a_year; ++h) {
            hours.push_back(given.hours[hour_of_table(h, given.hours.size(), new_year)]);
        }
    } else {
        hours = hours_of_windows(windows, new_year);
    }
    if (states_dust && system.dust_concentration) {
        table.refuse("dust_concentration", "the dust is stated twice: here and hour by hour in the schedule's table",
                     "leave one of them out");
    }
    const auto within = part->fraction("dust_known_within");
    if (within && !states_dust) {
        part->refuse("dust_known_within", "the schedule's table has no column of dust",
                     "add the column 'dust [ug/m3]', or write dust_concentration = \"25 ug/m3 +- 30 %\"");
    }
    if (within && !(*within >= 0.0 && *within < 1.0)) {
        part->refuse_value("dust_known_within", "is out of range", "0 to below 100 %", percent_hint);
    }
    const auto running_factors = month_factors(*part, "running_by_month");
    const auto dust_factors = month_factors(*part, "dust_by_month");
    bool dusty = false;
    for (std::size_t h = 0, month = 0; h < a_year; ++h) {
        while (h >= 24 * filterflow::detail::days_before_month[month + 1]) ++month;
        hours[h].running *= running_factors[month];
        hours[h].concentration *= dust_factors[month];
        if (hours[h].running > 1.0 + 1e-12) {
            part->refuse("running_by_month",
                         fmt::format("in month {} the fan would run {:g} of an hour", month + 1, hours[h].running),
                         "the factor multiplies the running share, which cannot pass 1");
        }
        hours[h].running = std::min(hours[h].running, 1.0);
        dusty = dusty || (hours[h].running > 0.0 && hours[h].concentration.value() > 0.0);
    }
    if (!dusty) {
        throw DataError(part->place(), "in no hour of the year does the fan run with dust in the air",
                        "state hours in which it runs, with factors above 0");
    }
    const Uncertain<double> factor = within && *within > 0.0
                                         ? uncertain(1.0, *within / normal_95, "dust concentration of " + system.name)
                                         : Uncertain<double>(1.0);
    system =
        with_operating_hours(std::move(system), {hourly_schedule(std::move(hours)), states_dust, new_year}, factor);
}

}   // namespace choose_filter
