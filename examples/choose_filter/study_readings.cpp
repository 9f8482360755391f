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
        if (readings.size() < 2 || (method_ != StandFlowMethod::flow_meter && method_ != StandFlowMethod::flow_element)) return;
        double least = 0.0, greatest = 0.0;
        for (const BenchReading& r : readings) {
            const double flow = r.flow ? r.flow->value() : std::sqrt(r.flow_element_pressure->value());
            least = greatest == 0.0 ? flow : std::min(least, flow);
            greatest = std::max(greatest, flow);
        }
        if (greatest >= 1.05 * least) return;
        table_.refuse(readings.size() - 1, *flow_,
                      fmt::format("all {} readings are at one flow (within 5 %); a pressure curve has two parameters and "
                                  "needs two flows", readings.size()),
                      "read the filter at other flows too, up to the greatest that it will meet; or keep one row: then "
                      "the curve's shape is assumed, and the report says so");
    }

private:
    // A reading of flow that the stand's method does not use would be lost in silence: refuse it.
    void refuse_other_method(const CsvColumn& column) const {
        std::string fits;
        if (column.name == "flow") fits = "flow meter";
        if (column.name == "element pressure" || column.name == "nozzle pressure" || column.name == "orifice pressure" ||
            column.name == "venturi pressure") {
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

// ---- Particle counts ----

struct Channel {
    std::size_t column = 0;
    SizeRange range;
};

// "0.3-0.4 [um]", "> 0.5 [um]", ">= 0.5 [um]"
Channel channel_of(const CsvTable& table, std::size_t index) {
    const CsvColumn& column = table.columns()[index];
    const SourcePlace place = table.place(column.header);
    const std::string hint = "channels are named '0.3-0.4 [um]' (between two sizes) or '> 0.5 [um]' (all above a size)";
    const double unit = table.unit_of<Length>(index);
    std::string_view name = column.name;
    Channel channel{index, {}};
    if (!name.empty() && name.front() == '>') {
        name.remove_prefix(name.substr(0, 2) == ">=" ? 2 : 1);
        const auto lower = number_of(without_blanks(name));
        if (!lower || !(*lower > 0.0)) throw DataError(place, fmt::format("'{}' is not a size channel", shown_text(column.name)), hint);
        channel.range = sizes_above(Length::from_value(*lower * unit));
        return channel;
    }
    std::size_t split = name.find(" to ");
    std::size_t mark = 4;
    if (split == std::string_view::npos) {
        split = name.find('-', 1);
        mark = 1;
    }
    if (split == std::string_view::npos) {
        throw DataError(place, fmt::format("unknown column '{}'", shown_text(column.header.text)), hint);
    }
    const auto lower = number_of(without_blanks(name.substr(0, split)));
    const auto upper = number_of(without_blanks(name.substr(split + mark)));
    if (!lower || !upper || !(*lower >= 0.0)) {
        throw DataError(place, fmt::format("'{}' is not a size channel", shown_text(column.name)), hint);
    }
    if (!(*upper > *lower)) {
        throw DataError(place, fmt::format("the channel '{}' ends below its beginning", column.name), hint);
    }
    channel.range = {.lower = Length::from_value(*lower * unit), .upper = Length::from_value(*upper * unit)};
    return channel;
}

struct SamplePlace {
    const char* word;
    std::vector<double> SizeRangeCounts::*samples;
    bool background;
};

const std::vector<SamplePlace>& sample_places() {
    static const std::vector<SamplePlace> places = {
        {"upstream", &SizeRangeCounts::upstream, false},
        {"downstream", &SizeRangeCounts::downstream, false},
        {"upstream background", &SizeRangeCounts::upstream_background, true},
        {"downstream background", &SizeRangeCounts::downstream_background, true},
        {"correlation upstream", &SizeRangeCounts::correlation_upstream, false},
        {"correlation downstream", &SizeRangeCounts::correlation_downstream, false},
        {"correlation upstream background", &SizeRangeCounts::correlation_upstream_background, true},
        {"correlation downstream background", &SizeRangeCounts::correlation_downstream_background, true}};
    return places;
}

const SamplePlace& sample_place(const CsvTable& table, std::size_t row, std::size_t column) {
    std::string word = table.cell(row, column).text;
    std::vector<std::string> words;
    for (char& c : word) c = c == '_' ? ' ' : c;
    for (const SamplePlace& place : sample_places()) {
        if (word == place.word) return place;
        words.emplace_back(place.word);
    }
    table.refuse(row, column, fmt::format("'{}' is no place of a sample", shown_text(word)),
                 name_hint(word, words, "places"));
}

// All samples of a table by channel, smallest first, as counted.
std::vector<SizeRangeCounts> samples_by_channel(const CsvTable& table, bool& cumulative) {
    std::vector<Channel> channels;
    for (std::size_t i = 0; i < table.columns().size(); ++i) {
        const std::string& name = table.columns()[i].name;
        if (name == "place" || name == "duration" || name == "note") continue;
        channels.push_back(channel_of(table, i));
    }
    const std::size_t place_column = table.column("place");
    if (channels.empty()) {
        throw DataError(table.place(table.columns().back().header), "there is no column of counts",
                        "name channels '0.3-0.4 [um]' (between two sizes) or '> 0.5 [um]' (all above a size)");
    }
    const auto open_count = std::count_if(channels.begin(), channels.end(),
                                          [](const Channel& c) { return c.range.open_above; });
    // One open channel on top of closed ones is the counter's last channel; otherwise open ones are cumulative.
    cumulative = open_count > 1 || (open_count == 1 && channels.size() == 1);
    if (open_count > 1 && static_cast<std::size_t>(open_count) != channels.size()) {
        throw DataError(table.place(table.columns()[channels.front().column].header),
                        "channels between two sizes and channels above a size are mixed",
                        "counts of 'all above' channels contain the others; give one kind");
    }
    std::stable_sort(channels.begin(), channels.end(),
                     [](const Channel& a, const Channel& b) { return a.range.lower < b.range.lower; });
    for (std::size_t i = 0; i + 1 < channels.size(); ++i) {
        const SizeRange& a = channels[i].range;
        const SizeRange& b = channels[i + 1].range;
        const bool same = b.lower.value() <= a.lower.value() * (1.0 + 1e-3);
        if (same || (!cumulative && (a.open_above || b.lower.value() < a.upper.value() * (1.0 - 1e-3)))) {
            throw DataError(table.place(table.columns()[channels[i + 1].column].header),
                            fmt::format("the channel '{}' overlaps the channel '{}'",
                                        table.columns()[channels[i + 1].column].name,
                                        table.columns()[channels[i].column].name),
                            "each particle is counted in one channel only");
        }
    }

    const auto duration = table.find_column("duration");
    std::optional<Time> sample_time, background_time;
    std::vector<SizeRangeCounts> counts(channels.size());
    for (std::size_t i = 0; i < channels.size(); ++i) counts[i].range = channels[i].range;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        const SamplePlace& place = sample_place(table, row, place_column);
        if (duration) {
            const Time time = table.quantity<Time>(row, *duration);
            if (!(time.value() > 0.0)) {
                table.refuse_value(row, *duration, "is not above 0", "above 0 {}");
            }
            std::optional<Time>& common = place.background ? background_time : sample_time;
            if (!common) common = time;
            if (std::abs(time.value() - common->value()) > 1e-6 * common->value()) {
                table.refuse(row, *duration, fmt::format("this {} lasts {}, an earlier one {} s",
                                                         place.background ? "background sample" : "sample",
                                                         table.cell(row, *duration).text + " " + table.columns()[*duration].unit,
                                                         common->value()),
                             "particle numbers are compared, so all samples must last as long; backgrounds may "
                             "differ from samples, but not from each other");
            }
        }
        for (std::size_t i = 0; i < channels.size(); ++i) {
            (counts[i].*place.samples).push_back(table.count(row, channels[i].column));
            if (cumulative && i > 0) {
                const double above_lower = (counts[i - 1].*place.samples).back();
                if ((counts[i].*place.samples).back() > above_lower) {
                    table.refuse(row, channels[i].column,
                                 fmt::format("{} particles above the larger size, but only {} above the smaller",
                                             table.cell(row, channels[i].column).text, above_lower),
                                 "a channel '> size' counts all particles above its size; are two columns swapped, or "
                                 "are these channels between two sizes?");
                }
            }
        }
    }
    for (SizeRangeCounts& c : counts) {
        if (sample_time) c.sample_time = *sample_time;
        if (sample_time && background_time) c.background_time_ratio = background_time->value() / sample_time->value();
    }
    return counts;
}

// Up and down in turn: one more upstream, or as many. Wrong numbers are refused at the sample that breaks the turn;
// right numbers in another order than in turn are told.
void check_alternation(const CsvTable& table, const std::vector<double>& up, const std::vector<double>& down,
                       const std::string& prefix, std::vector<std::string>& notes) {
    const std::size_t column = table.column("place");
    std::optional<std::size_t> out_of_turn, last;
    bool upstream_next = true;
    for (std::size_t row = 0; row < table.row_count() && !out_of_turn; ++row) {
        const std::string place = sample_place(table, row, column).word;
        if (place != prefix + "upstream" && place != prefix + "downstream") continue;
        const bool upstream = place == prefix + "upstream";
        if (upstream != upstream_next) out_of_turn = row;
        upstream_next = !upstream;
        last = row;
    }
    if (down.size() == up.size() || down.size() + 1 == up.size()) {
        if (out_of_turn) {
            notes.push_back(fmt::format("{}: this {}sample is out of turn (up, down, up, ...): a drift of the aerosol "
                                        "between the samples is not taken out of the efficiency",
                                        table.origin(*out_of_turn), prefix));
        }
        return;
    }
    table.refuse(out_of_turn ? *out_of_turn : *last, column,
                 fmt::format("{} {}upstream and {} {}downstream samples; out of turn here", up.size(), prefix, down.size(),
                             prefix),
                 "sample in turn, up, down, up, ..., up: one upstream sample more than downstream ones, or as many");
}

void require_samples(const CsvTable& table, const std::vector<double>& samples, const char* word) {
    if (samples.empty()) {
        throw DataError({table.path()}, fmt::format("there is no {} sample", word),
                        fmt::format("write '{}' in the column 'place' of at least one row", word));
    }
}

double sum(const std::vector<double>& values) {
    double total = 0.0;
    for (const double v : values) total += v;
    return total;
}

bool same_channel(const SizeRange& a, const SizeRange& b) {
    const auto near = [](const Length& x, const Length& y) {
        return std::abs(x.value() - y.value()) <= 1e-3 * std::max(x.value(), y.value());
    };
    return a.open_above == b.open_above && near(a.lower, b.lower) && (a.open_above || near(a.upper, b.upper));
}

}   // namespace

const std::vector<std::string>& flow_method_words() {
    static const std::vector<std::string> words = {"flow meter", "flow element", "traverse", "fan table", "not measured"};
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

std::string counts_header() { return "place,duration [s],0.3-0.5 [um],0.5-1 [um]"; }

std::string loading_header(StandFlowMethod method) { return "dust fed [g],dust passed [g]," + pressure_header(method); }

std::string fan_header(std::string_view pressure) {
    return fmt::format("flow [cfm],{}pressure [inH2O],power [W]", pressure.empty() ? "" : std::string(pressure) + " ");
}

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
                table.refuse(row, *passed, fmt::format("more dust passed ({}) than was fed ({})", text, table.cell(row, fed).text),
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
        table.refuse(table.row_count() - 1, fed, "only one row has dust; a loading law has two parameters and needs two",
                     "feed more dust, or leave the loading readings out");
    }
    return readings;
}

std::vector<SizeRangeCounts> particle_counts(const CsvTable& table,
                                             const std::vector<SizeRangeCounts>& correlation_of_stand,
                                             std::vector<std::string>& notes) {
    bool cumulative = false;
    std::vector<SizeRangeCounts> counts = samples_by_channel(table, cumulative);
    require_samples(table, counts.front().upstream, "upstream");
    require_samples(table, counts.front().downstream, "downstream");
    check_alternation(table, counts.front().upstream, counts.front().downstream, "", notes);
    check_alternation(table, counts.front().correlation_upstream, counts.front().correlation_downstream, "correlation ",
                      notes);
    if (sum(counts.front().upstream) == 0.0 && counts.size() == 1) {
        throw DataError({table.path()}, "not one particle was counted upstream", "is the counter's pump running?");
    }
    if (cumulative && counts.size() > 1) {
        counts = differential_counts(counts);
    }
    if (correlation_of_stand.empty()) return counts;
    for (SizeRangeCounts& c : counts) {
        if (!c.correlation_upstream.empty()) continue;   // this filter's own samples come first
        for (const SizeRangeCounts& stand : correlation_of_stand) {
            if (same_channel(stand.range, c.range)) c.stated_correlation = stand.stated_correlation;
        }
    }
    return counts;
}

std::vector<SizeRangeCounts> correlation_counts(const CsvTable& table, std::vector<std::string>& notes) {
    bool cumulative = false;
    std::vector<SizeRangeCounts> counts = samples_by_channel(table, cumulative);
    if (!counts.front().upstream.empty() || !counts.front().downstream.empty()) {
        throw DataError({table.path()}, "the correlation file holds samples taken with a filter",
                        "write 'correlation upstream' and 'correlation downstream' in the column 'place'");
    }
    require_samples(table, counts.front().correlation_upstream, "correlation upstream");
    require_samples(table, counts.front().correlation_downstream, "correlation downstream");
    check_alternation(table, counts.front().correlation_upstream, counts.front().correlation_downstream, "correlation ",
                      notes);
    if (cumulative && counts.size() > 1) counts = differential_counts(counts);
    std::vector<SizeRangeCounts> known;
    for (SizeRangeCounts& c : counts) {
        // Ratio of mean counts, background taken off; its uncertainty from counting statistics.
        const auto mean = [&](const std::vector<double>& samples) { return sum(samples) / static_cast<double>(samples.size()); };
        const auto background = [&](const std::vector<double>& samples) {
            return samples.empty() ? 0.0 : mean(samples) / c.background_time_ratio;
        };
        const double up = mean(c.correlation_upstream) - background(c.correlation_upstream_background);
        const double down = mean(c.correlation_downstream) - background(c.correlation_downstream_background);
        if (!(up > 0.0) || !(down > 0.0)) continue;   // too few particles in this channel: no ratio known
        const double ratio = down / up;
        const double relative = std::sqrt(1.0 / std::max(1.0, sum(c.correlation_upstream)) +
                                          1.0 / std::max(1.0, sum(c.correlation_downstream)));
        c.stated_correlation = uncertain(ratio, ratio * relative, "correlation ratio of " + range_text(c.range));
        known.push_back(std::move(c));
    }
    return known;
}

std::vector<FanPoint> fan_points(const CsvTable& table, FanPressureKind kind) {
    const char* names[] = {"total pressure", "static pressure", "external static pressure"};
    const std::string own = names[static_cast<std::size_t>(kind)];
    for (const char* name : names) {
        if (own != name && table.find_column(name)) {
            throw DataError(table.place(table.columns()[*table.find_column(name)].header),
                            fmt::format("the table states the {}, the study file says '{}'", name, own),
                            "write in the study file which pressure the fan table states: pressure = \"total\", "
                            "\"static\" or \"external static\"");
        }
    }
    table.refuse_unknown_columns({"flow", "pressure", own, "power", "note"});
    const std::size_t flow = table.column("flow");
    const auto stated = table.find_column(own);
    const std::size_t pressure = stated ? *stated : table.column("pressure");
    const auto power = table.find_column("power");
    table.require_rows(2, "a fan table");
    std::vector<FanPoint> points;
    double best_efficiency = 0.0;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        FanPoint point;
        point.flow = table.quantity<VolumeFlow>(row, flow);
        point.pressure = table.quantity<Pressure>(row, pressure);
        if (point.flow.value() < 0.0) table.refuse_value(row, flow, "is negative", "0 {} or more");
        if (point.pressure.value() < 0.0) {
            table.refuse_value(row, pressure, "is negative", "0 {} or more",
                               "a fan table states pressures that the fan makes, 0 or more");
        }
        if (power) {
            if (table.is_empty(row, *power)) {
                table.refuse(row, *power, "this row has no power, others have",
                             "state the power in every row, or leave the column out");
            }
            point.power = table.quantity<Power>(row, *power);
            if (!(point.power->value() > 0.0)) table.refuse_value(row, *power, "is not above 0", "above 0 {}");
            const Power air_power = point.flow * point.pressure;
            best_efficiency = std::max<double>(best_efficiency, air_power / *point.power);
            if (air_power > *point.power) {
                table.refuse_value(
                    row, *power,
                    fmt::format("is less than the air gets in this row, {:.3g} W (flow times pressure): an efficiency of {:.3g} %",
                                air_power.value(), 100.0 * (air_power / *point.power)),
                    fmt::format("at least {:.3g} {{}}, an efficiency of 100 % or less",
                                air_power.value() / table.unit_of<Power>(*power)),
                    "fans and their motors reach 20 to 70 %; check the units of flow, pressure and power in the header");
            }
        }
        for (std::size_t before = 0; before < row; ++before) {
            if (points[before].flow == point.flow && points[before].pressure == point.pressure) {
                table.refuse(row, flow, fmt::format("this point is the same as that of {}", table.origin(before)),
                             "remove one of the two rows");
            }
        }
        points.push_back(point);
    }
    if (power && best_efficiency > 0.0 && best_efficiency < 1e-3) {
        const FanPoint& last = points.back();
        const double air_power = last.flow.value() * last.pressure.value();
        table.refuse_value(points.size() - 1, *power,
                           fmt::format("is thousands of times what the air gets, {:.3g} W in this row (flow times pressure): no "
                                       "row has an efficiency of 0.1 %", air_power),
                           fmt::format("up to {:.3g} {{}}, an efficiency of 0.1 % or more",
                                       1e3 * air_power / table.unit_of<Power>(*power)),
                           "is the power in W where the header says kW, or the pressure in another unit?");
    }
    return points;
}

}   // namespace choose_filter
