// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "report_estimate.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string size_text(const SizeRange& range) { return range_text(range); }

/// A size range as it is drawn, in um, with its efficiency in per cent.
struct DrawnRange {
    SizeRange range;
    double from = 0.0, to = 0.0;   // open above: `to` is the end of the drawing
    double efficiency = 0.0, low = 0.0, high = 0.0;
    bool joined = false;           // by a line to a neighbour

    double middle() const { return std::sqrt(from * to); }
    /// Where its mark stands: most particles of an open range are near its lower end.
    double marked() const { return range.open_above ? 1.35 * from : middle(); }
};

/// Ranges that a line joins: three or more that touch, none wider than an octave. Beside wide or lone ones a line would
/// tell of sizes that nobody counted apart.
void join(std::vector<DrawnRange>& ranges) {
    constexpr double octave = 2.01;
    constexpr std::size_t least = 3;
    const auto narrow = [](const DrawnRange& r) { return !r.range.open_above && r.to <= octave * r.from; };
    for (std::size_t first = 0; first < ranges.size();) {
        std::size_t end = first + 1;
        while (narrow(ranges[first]) && end < ranges.size() && narrow(ranges[end]) &&
               std::abs(ranges[end].from - ranges[end - 1].to) <= 1e-3 * ranges[end].from) {
            ++end;
        }
        for (std::size_t i = first; end - first >= least && i < end; ++i) ranges[i].joined = true;
        first = end;
    }
}

std::vector<DrawnRange> drawn_ranges(const FractionalEfficiency& efficiency, double end) {
    std::vector<DrawnRange> ranges;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        DrawnRange r{entry.range};
        const double lower = entry.range.lower / units::um;
        r.from = lower > 0.0 ? lower : 0.5 * (entry.range.upper / units::um);
        r.to = entry.range.open_above ? end : entry.range.upper / units::um;
        r.efficiency = 100.0 * (1.0 - entry.penetration.value);
        r.low = 100.0 * (1.0 - entry.penetration_interval.upper);
        r.high = 100.0 * (1.0 - entry.penetration_interval.lower);
        if (std::isfinite(r.efficiency) && std::isfinite(r.low) && std::isfinite(r.high)) ranges.push_back(r);
    }
    join(ranges);
    return ranges;
}

/// Where the drawing ends, in um: beyond the last closed range, and well beyond the beginning of an open one.
double end_of_sizes(const StudyResult& result) {
    double end = 10.0;
    for (const FilterResult& filter : result.filters) {
        if (!filter.efficiency) continue;
        for (const SizeEfficiency& entry : filter.efficiency->ranges) {
            end = std::max(end, entry.range.open_above ? 2.0 * (entry.range.lower / units::um)
                                                       : entry.range.upper / units::um);
        }
    }
    return end;
}

/// Names the bands below their bars, each once; an open one with where its bar ends.
class BandLabels {
public:
    void add(const DrawnRange& r) {
        if (r.joined || std::any_of(bands_.begin(), bands_.end(),
                                    [&](const DrawnRange& b) { return same_range(b.range, r.range); })) {
            return;
        }
        bands_.push_back(r);
    }
    void draw(Plot& plot) const {
        constexpr std::size_t most = 8;
        constexpr double room_for_end = 2.6;   // of to / from
        if (bands_.size() > most) return;
        for (const DrawnRange& band : bands_) {
            std::string text = typeset(range_text(band.range));
            if (const std::size_t dash = text.find('-'); dash != std::string::npos) text.replace(dash, 1, "–");
            if (band.range.open_above && band.to > room_for_end * band.from) {
                text += fmt::format(" (drawn to {:.3g} µm)", band.to);
            }
            plot.command(fmt::format("set label {} at {:.6g}, graph 0.035 center front textcolor rgb '#555555' "
                                     "font ',11.5'",
                                     plot.name(text, 40), band.middle()));
        }
    }

private:
    std::vector<DrawnRange> bands_;
};

}   // namespace

ReportFigure efficiency_figure(const StudyInput& study, const StudyResult& result, const ReportStyles& styles) {
    ReportFigure figure{"efficiency-size", "Efficiency by particle size", {}, {}, {}};
    std::vector<std::size_t> drawn;
    for (std::size_t f = 0; f < result.filters.size(); ++f) {
        if (result.filters[f].efficiency && !result.filters[f].efficiency->ranges.empty()) drawn.push_back(f);
    }
    if (drawn.empty()) {
        figure.missing = "needs particle counts up- and downstream of at least one filter";
        return figure;
    }
    Plot plot(1080, 480);
    plot.axes("particle diameter [µm]", "efficiency, clean [%]");
    std::vector<std::string> parts;
    const double end = end_of_sizes(result);
    double lowest = 0.3, least = 0.0;
    bool open = false, bars = false;
    BandLabels labels;
    std::string unknown;
    for (std::size_t n = 0; n < drawn.size(); ++n) {
        const FilterResult& filter = result.filters[drawn[n]];
        const PlotStyle style = styles.filter(drawn[n]);
        const std::string colour = "linecolor rgb '" + style.colour + "'";
        // Side by side within a size range, so that the intervals do not cover each other.
        const double shift =
            std::pow(10.0, 0.011 * (static_cast<double>(n) - 0.5 * static_cast<double>(drawn.size() - 1)));
        std::vector<std::vector<double>> points, bands;
        std::vector<std::vector<std::vector<double>>> lines;
        bool going_on = false;
        for (const DrawnRange& r : drawn_ranges(*filter.efficiency, end)) {
            const double size = r.marked() * shift;
            points.push_back({size, r.efficiency, r.low, r.high});
            if (r.joined) {
                const bool touches = going_on && std::abs(lines.back().back()[2] - r.from) <= 1e-3 * r.from;
                if (!touches) lines.emplace_back();
                lines.back().push_back({size, r.efficiency, r.to});
            } else {
                bands.push_back({r.middle(), r.efficiency, r.from, r.to});
                labels.add(r);
            }
            going_on = r.joined;
            lowest = std::min(lowest, r.from);
            least = std::min(least, std::max(r.low, -20.0));
            open = open || r.range.open_above;
        }
        bars = bars || !bands.empty();
        for (const UndeterminedRange& range : filter.efficiency->undetermined) {
            unknown +=
                (unknown.empty() ? "" : "; ") + filter.name + ", " + size_text(range.range) + ": " + range.reason;
        }
        const std::string block = plot.data(points);
        parts.push_back(block + " using 1:2:3:4 with yerrorbars pointsize 0 linewidth 1.1 " + colour + " notitle");
        for (const auto& line : lines) {
            parts.push_back(plot.data(line) + " using 1:2 with lines " + line_words(style, 1.2) + " notitle");
        }
        if (!bands.empty()) {
            parts.push_back(plot.data(bands) + " using 1:2:3:4 with xerrorbars pointsize 0 linewidth 2.4 " + colour +
                            " notitle");
        }
        parts.push_back(block + " using 1:2 with points " + colour + " " + mark_words(style) + " notitle");
        parts.push_back("NaN with " + (lines.empty() ? "points " + colour : "linespoints " + line_words(style, 1.2)) +
                        " " + mark_words(style) + " title " + plot.name(filter.name));
    }
    labels.draw(plot);
    plot.command("set logscale x");
    plot.command(fmt::format("set xrange [{:.9g}:{:.9g}]", 0.9 * lowest, 1.1 * end));
    plot.command("set xtics (0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 5, 7, 10, 15, 20)");
    plot.command(fmt::format("set yrange [{:.9g}:103]", least < 0.0 ? std::floor(least / 5.0) * 5.0 : 0.0));
    plot.command("set ytics 20");
    for (const double edge : {1.0, 3.0}) {
        plot.command(fmt::format("set arrow from {0}, graph 0 to {0}, graph 1 nohead back linecolor rgb '#999999' "
                                 "dashtype (3,4) linewidth 0.8",
                                 edge));
    }
    const auto group = [&](double size, const char* text) {
        plot.command(fmt::format("set label '{}' at {}, graph 1.03 center textcolor rgb '#555555' font ',11.5'", text,
                                 size));
    };
    group(std::sqrt(0.3 * 1.0), "0.3–1 µm");
    group(std::sqrt(1.0 * 3.0), "1–3 µm");
    group(std::sqrt(3.0 * 10.0), "3–10 µm");
    plot.command("set tmargin 2.2");
    plot.command("plot " + joined(parts));
    figure.caption =
        "The share of the particles stopped; each filter lets through most where its marks are lowest. Upright bars: "
        "95 % intervals from the counts (counting statistics or the spread between samples, whichever is wider). Marks "
        "stand at the geometric mean of each range, filters side by side within it.";
    if (bars) {
        figure.caption +=
            " A level bar is one count over the whole width of its range: how it is shared among the sizes within is "
            "not known.";
    }
    std::vector<std::string> velocities;
    for (const std::size_t f : drawn) {
        std::string text = "not stated";
        if (f < study.filters.size() && study.filters[f].counts_face_velocity) {
            const Velocity velocity = *study.filters[f].counts_face_velocity;
            text =
                significant_text(velocity.value(), 3) + " m/s (" + significant_text(velocity / units::fpm, 3) + " fpm)";
        }
        if (std::find(velocities.begin(), velocities.end(), text) == velocities.end()) velocities.push_back(text);
    }
    figure.caption += " Face velocity of the counts: " + joined(velocities, "; ") + ".";
    if (open) {
        figure.caption += fmt::format(" A range that is open above has no upper end; its bar is drawn to {:.3g} µm, "
                                      "the mark near its lower end, where most of its particles are.",
                                      end);
    }
    if (!unknown.empty()) figure.caption += " Not determined: " + typeset(unknown) + ".";
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

}   // namespace choose_filter
