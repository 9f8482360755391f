// SPDX-License-Identifier: BSL-1.0

#include "study_readings.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace choose_filter {

namespace {

using namespace filterflow;

const std::string velocity_prefix = "velocity ";

bool is_velocity_column(const std::string& name) {
    if (name.rfind(velocity_prefix, 0) != 0 || name.size() == velocity_prefix.size()) return false;
    return std::all_of(name.begin() + static_cast<std::ptrdiff_t>(velocity_prefix.size()), name.end(),
                       [](char c) { return c >= '0' && c <= '9'; });
}

// The column that tells the flow, by method; empty for none.
std::string flow_column_name(StandFlowMethod method) {
    switch (method) {
        case StandFlowMethod::flow_meter: return "flow";
        case StandFlowMethod::flow_element: return "element pressure";
        case StandFlowMethod::fan_table: return "fan pressure";
        case StandFlowMethod::traverse:
        case StandFlowMethod::not_measured: break;
    }
    return {};
}

// Other names of one column: the trade says nozzle pressure, orifice pressure and Venturi pressure.
std::optional<std::size_t> find_flow_column(const CsvTable& table, StandFlowMethod method) {
    const std::string name = flow_column_name(method);
    if (name.empty()) return std::nullopt;
    if (method == StandFlowMethod::flow_element) {
        for (const char* other : {"nozzle pressure", "orifice pressure", "venturi pressure"}) {
            if (const auto found = table.find_column(other)) return found;
        }
    }
    if (const auto found = table.find_column(name)) return found;
    const CsvColumn& last = table.columns().back();
    SourcePlace place = table.place(last.header);
    place.column = column_of_offset(place.line_text, place.line_text.size());
    throw DataError(place, fmt::format("the column '{}' is missing", name),
                    fmt::format("[stand] flow = \"{}\" needs it in every row; without it, set flow = \"not measured\"",
                                flow_method_words()[static_cast<std::size_t>(method)]));
}

// The reading columns are checked once per table, then read row by row.
class ReadingColumns {
public:
    ReadingColumns(const CsvTable& table, StandFlowMethod method, std::vector<std::string> extra)
        : table_(table), method_(method) {
        std::vector<std::string> known = {"pressure", "note"};
        known.insert(known.end(), extra.begin(), extra.end());
        for (const CsvColumn& column : table.columns()) refuse_other_method(column);
        if (method == StandFlowMethod::flow_element) {
            for (const char* name : {"element pressure", "nozzle pressure", "orifice pressure", "venturi pressure"}) {
                known.emplace_back(name);
            }
        } else if (method == StandFlowMethod::traverse) {
            for (std::size_t i = 0; i < table.columns().size(); ++i) {
                const std::string& name = table.columns()[i].name;
                if (!is_velocity_column(name)) continue;
                known.push_back(name);
                velocities_.push_back(i);
            }
            known.emplace_back("velocity 1");
        } else if (!flow_column_name(method).empty()) {
            known.push_back(flow_column_name(method));
        }
        table.refuse_unknown_columns(known);
        pressure_ = table.column("pressure");
        flow_ = find_flow_column(table, method);
        if (method == StandFlowMethod::traverse && velocities_.empty()) table.column("velocity 1");
    }

    BenchReading reading(std::size_t row) const {
        BenchReading reading;
        reading.origin = table_.origin(row);
        reading.pressure = table_.quantity<Pressure>(row, pressure_);
        if (reading.pressure.value() < 0.0) {
            table_.refuse_value(row, pressure_, "is negative", "0 {} or more",
                                "pressures across a filter are above 0: are the hoses of the manometer swapped?");
        }
        if (method_ == StandFlowMethod::flow_meter) {
            reading.flow = positive<VolumeFlow>(row);
        } else if (method_ == StandFlowMethod::flow_element) {
            reading.flow_element_pressure = positive<Pressure>(row);
        } else if (method_ == StandFlowMethod::fan_table) {
            reading.fan_pressure = table_.quantity<Pressure>(row, *flow_);
            if (reading.fan_pressure->value() < 0.0) {
                table_.refuse_value(row, *flow_, "is negative", "0 {} or more",
                                    "write the pressure that the fan works against, inlet to outlet, above 0");
            }
        }
        for (const std::size_t column : velocities_) {
            reading.traverse_velocities.push_back(table_.quantity<Velocity>(row, column));
            if (reading.traverse_velocities.back().value() < 0.0) {
                table_.refuse_value(row, column, "is negative", "0 {} or more",
                                    "a traverse needs flow in one direction at every position");
            }
        }
        return reading;
    }

    // The two parameters of a pressure curve need two flows, 5 % apart at least; a lone reading is told as such.
    void require_two_flows(const std::vector<BenchReading>& readings) const {
        if (readings.size() < 2 || (method_ != StandFlowMethod::flow_meter && method_ != StandFlowMethod::flow_element))
            return;
        double least = 0.0, greatest = 0.0;
        for (const BenchReading& r : readings) {
            const double flow = r.flow ? r.flow->value() : std::sqrt(r.flow_element_pressure->value());
            least = greatest == 0.0 ? flow : std::min(least, flow);
            greatest = std::max(greatest, flow);
        }
        if (greatest >= 1.05 * least) return;
        table_.refuse(
            readings.size() - 1, *flow_,
            fmt::format("all {} readings are at one flow (within 5 %); a pressure curve has two parameters and "
                        "needs two flows",
                        readings.size()),
            "read the filter at other flows too, up to the greatest that it will meet; or keep one row: then "
            "the curve's shape is assumed, and the report says so");
    }

private:
    // A reading of flow that the stand's method does not use would be lost in silence: refuse it.
    void refuse_other_method(const CsvColumn& column) const {
        std::string fits;
        if (column.name == "flow") fits = "flow meter";
        if (column.name == "element pressure" || column.name == "nozzle pressure" ||
            column.name == "orifice pressure" || column.name == "venturi pressure") {
            fits = "flow element";
        }
        if (column.name == "fan pressure") fits = "fan table";
        if (is_velocity_column(column.name)) fits = "traverse";
        const std::string& method = flow_method_words()[static_cast<std::size_t>(method_)];
        if (fits.empty() || fits == method) return;
        throw DataError(table_.place(column.header),
                        fmt::format("the column '{}' does not fit [stand] flow = \"{}\"", column.name, method),
                        fmt::format("set flow = \"{}\" in [stand] of the study file, or remove the column", fits));
    }

    template <class Quantity>
    Quantity positive(std::size_t row) const {
        const Quantity value = table_.quantity<Quantity>(row, *flow_);
        if (!(value.value() > 0.0)) {
            table_.refuse_value(row, *flow_, "is not above 0", "above 0 {}",
                                "remove rows without flow: they say nothing about a filter");
        }
        return value;
    }

    const CsvTable& table_;
    StandFlowMethod method_;
    std::size_t pressure_ = 0;
    std::optional<std::size_t> flow_;
    std::vector<std::size_t> velocities_;
};

}   // namespace

const std::vector<std::string>& flow_method_words() {
    static const std::vector<std::string> words = {"flow meter", "flow element", "traverse", "fan table",
                                                   "not measured"};
    return words;
}

std::string pressure_header(StandFlowMethod method) {
    switch (method) {
        case StandFlowMethod::flow_meter:
            return "flow [cfm],pressure [Pa]";
        case StandFlowMethod::flow_element:
            return "element pressure [Pa],pressure [Pa]";
        case StandFlowMethod::traverse:
            return "velocity 1 [fpm],velocity 2 [fpm],pressure [Pa]";
        case StandFlowMethod::fan_table:
            return "fan pressure [Pa],pressure [Pa]";
        case StandFlowMethod::not_measured:
            break;
    }
    return "pressure [Pa]";
}

std::string loading_header(StandFlowMethod method) { return "dust fed [g],dust passed [g]," + pressure_header(method); }

std::vector<BenchReading> bench_readings(const CsvTable& table, StandFlowMethod method, std::string_view purpose) {
    const ReadingColumns columns(table, method, {});
    table.require_rows(1, purpose);
    std::vector<BenchReading> readings;
    for (std::size_t row = 0; row < table.row_count(); ++row) readings.push_back(columns.reading(row));
    columns.require_two_flows(readings);
    return readings;
}

std::vector<LoadingReading> loading_readings(const CsvTable& table, StandFlowMethod method) {
    const ReadingColumns columns(table, method, {"dust fed", "dust passed"});
    const std::size_t fed = table.column("dust fed");
    const auto passed = table.find_column("dust passed");
    table.require_rows(2, "a loading law");
    std::vector<LoadingReading> readings;
    double last_fed = 0.0, last_passed = 0.0;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        LoadingReading reading;
        reading.dust_fed = table.quantity<Mass>(row, fed);
        if (reading.dust_fed.value() < 0.0) {
            table.refuse_value(row, fed, "is negative", "0 {} or more");
        }
        if (reading.dust_fed.value() < last_fed) {
            table.refuse(row, fed, fmt::format("the dust fed falls to {}", table.cell(row, fed).text),
                         "'dust fed' is the total so far, not the portion of this step");
        }
        last_fed = reading.dust_fed.value();
        if (passed && !table.is_empty(row, *passed)) {
            reading.dust_passed = table.quantity<Mass>(row, *passed);
            const std::string& text = table.cell(row, *passed).text;
            if (reading.dust_passed->value() < 0.0) {
                table.refuse_value(row, *passed, "is negative", "0 {} or more");
            }
            if (reading.dust_passed->value() > reading.dust_fed.value()) {
                table.refuse(row, *passed,
                             fmt::format("more dust passed ({}) than was fed ({})", text, table.cell(row, fed).text),
                             "both are totals so far, weighed in the unit of their header");
            }
            if (reading.dust_passed->value() < last_passed) {
                table.refuse(row, *passed, fmt::format("the dust passed falls to {}", text),
                             "'dust passed' is the total so far, not the portion of this step");
            }
            last_passed = reading.dust_passed->value();
        }
        reading.reading = columns.reading(row);
        readings.push_back(std::move(reading));
    }
    if (!(last_fed > 0.0)) {
        table.refuse(table.row_count() - 1, fed, "no dust was fed in any row", "leave the loading readings out");
    }
    const auto dusty = std::count_if(readings.begin(), readings.end(),
                                     [](const LoadingReading& r) { return r.dust_fed.value() > 0.0; });
    if (dusty < 2) {
        table.refuse(table.row_count() - 1, fed,
                     "only one row has dust fed; a loading law has two parameters and needs two (a row of 0 is the "
                     "clean filter and does not count)",
                     "feed more dust and read again, or leave the loading readings out");
    }
    return readings;
}

}   // namespace choose_filter
