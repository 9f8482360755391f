// SPDX-License-Identifier: BSL-1.0

#include "study_readings.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace choose_filter {

namespace {

using namespace filterflow;

struct Channel {
    std::size_t column = 0;
    SizeRange range;
};

// "0.3-0.4 [um]", "> 0.5 [um]", ">= 0.5 [um]"
Channel channel_of(const CsvTable& table, std::size_t index) {
    const CsvColumn& column = table.columns()[index];
    const SourcePlace place = table.place(column.header);
    const std::string hint = "channels are named '0.3-0.4 [um]' (between two sizes) or '> 0.5 [um]' (all above a size)";
    if (column.unit.empty()) table.refuse_missing_unit(index, "um");
    const double unit = table.unit_of<Length>(index);
    std::string_view name = column.name;
    Channel channel{index, {}};
    // No particle counter sees less than a nanometre or more than a tenth of a millimetre: such a size is a wrong unit.
    const auto refuse_unlikely = [&](double size, bool may_be_zero) {
        if ((may_be_zero && size == 0.0) || (size * unit >= 1e-9 && size * unit <= 1e-4)) return;
        throw DataError(place, fmt::format("the size {} {} of the channel '{}' is not one of a particle that a counter "
                                           "counts; allowed: 0.001 um to 100 um",
                                           size, column.unit, shown_text(column.name)),
                        column.unit == "um" ? hint : "is the unit um? " + hint);
    };
    if (!name.empty() && name.front() == '>') {
        name.remove_prefix(name.substr(0, 2) == ">=" ? 2 : 1);
        const auto lower = number_of(without_blanks(name));
        if (!lower || !(*lower > 0.0))
            throw DataError(place, fmt::format("'{}' is not a size channel", shown_text(column.name)), hint);
        refuse_unlikely(*lower, false);
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
    refuse_unlikely(*lower, true);
    refuse_unlikely(*upper, false);
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
                table.refuse(row, *duration,
                             fmt::format("this {} lasts {}, an earlier one {} s",
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
                 fmt::format("{} {}upstream and {} {}downstream samples; out of turn here", up.size(), prefix,
                             down.size(), prefix),
                 "sample in turn, up, down, up, ..., up: one upstream sample more than downstream ones, or as many");
}

void require_samples(const CsvTable& table, const std::vector<double>& samples, const char* word) {
    if (samples.empty()) {
        throw DataError(table.place(table.columns()[table.column("place")].header),
                        fmt::format("there is no {} sample", word),
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

std::string counts_header() { return "place,duration [s],0.3-0.5 [um],0.5-1 [um]"; }

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
        table.refuse(0, table.column("place"), "not one particle was counted upstream",
                     "is the counter's pump running?");
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
    for (std::size_t row = 0, place = table.column("place"); row < table.row_count(); ++row) {
        const std::string word = sample_place(table, row, place).word;
        if (word != "upstream" && word != "downstream") continue;
        table.refuse(row, place, "the correlation file holds samples taken with a filter",
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
        const auto mean = [&](const std::vector<double>& samples) {
            return sum(samples) / static_cast<double>(samples.size());
        };
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

}   // namespace choose_filter
