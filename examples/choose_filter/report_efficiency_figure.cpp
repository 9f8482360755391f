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

/// The size at which a range is drawn, in um: the geometric mean; for a range open above, a little above its end.
double drawn_size(const SizeRange& range) {
    if (range.open_above) return 1.35 * (range.lower / units::um);
    if (!(range.lower.value() > 0.0)) return 0.7 * (range.upper / units::um);
    return std::sqrt((range.lower / units::um) * (range.upper / units::um));
}

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
    double lowest = 0.3, highest = 10.0, least = 0.0;
    bool open = false;
    std::string unknown;
    for (std::size_t n = 0; n < drawn.size(); ++n) {
        const FilterResult& filter = result.filters[drawn[n]];
        const PlotStyle style = styles.filter(drawn[n]);
        // Side by side within a size range, so that the intervals do not cover each other.
        const double shift =
            std::pow(10.0, 0.011 * (static_cast<double>(n) - 0.5 * static_cast<double>(drawn.size() - 1)));
        std::vector<std::vector<double>> points;
        for (const SizeEfficiency& entry : filter.efficiency->ranges) {
            const double size = drawn_size(entry.range);
            const double efficiency = 100.0 * (1.0 - entry.penetration.value);
            const double low = 100.0 * (1.0 - entry.penetration_interval.upper);
            const double high = 100.0 * (1.0 - entry.penetration_interval.lower);
            if (!std::isfinite(efficiency) || !std::isfinite(low) || !std::isfinite(high)) continue;
            points.push_back({size * shift, efficiency, low, high});
            lowest = std::min(lowest, entry.range.lower.value() > 0.0 ? entry.range.lower / units::um : size);
            highest = std::max(highest, entry.range.open_above ? 1.6 * size : entry.range.upper / units::um);
            least = std::min(least, std::max(low, -20.0));
            open = open || entry.range.open_above;
        }
        for (const UndeterminedRange& range : filter.efficiency->undetermined) {
            unknown +=
                (unknown.empty() ? "" : "; ") + filter.name + ", " + size_text(range.range) + ": " + range.reason;
        }
        const std::string block = plot.data(points);
        parts.push_back(block + " using 1:2:3:4 with yerrorbars pointsize 0 linewidth 1.1 linecolor rgb '" +
                        style.colour + "' notitle");
        parts.push_back(block + " using 1:2 with linespoints " + line_words(style, 1.2) + " " + mark_words(style) +
                        " title " + plot.name(filter.name));
    }
    plot.command("set logscale x");
    plot.command(fmt::format("set xrange [{:.9g}:{:.9g}]", 0.9 * lowest, 1.1 * highest));
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
        "The share of the particles stopped; each filter lets through most where its points are lowest. With 95 % "
        "intervals from the counts (counting statistics or the spread between "
        "samples, whichever is wider). Drawn at the geometric mean of each range, filters side by side within it.";
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
    if (open) figure.caption += " A range that is open above is drawn a little above its lower end.";
    if (!unknown.empty()) figure.caption += " Not determined: " + typeset(unknown) + ".";
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

}   // namespace choose_filter
