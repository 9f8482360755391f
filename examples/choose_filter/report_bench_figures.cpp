// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>

#include <fmt/format.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/resistance/element_fit.hpp>

#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

const double inch_of_water = units::inH2O.one.value();
const double cfm_in_m3_per_h = units::cfm.one / units::m3_per_h;

AirState stand_air(const StudyInput& study) {
    return study.stand && study.stand->air ? moist_air(*study.stand->air) : study.standard_air;
}

/// Places from 1 by ascending value.
std::vector<std::size_t> places(const std::vector<double>& values) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
    std::vector<std::size_t> place(values.size());
    for (std::size_t i = 0; i < order.size(); ++i) place[order[i]] = i + 1;
    return place;
}

/// The highest pressure that was read across a filter: what a comparison without flows would rank on.
std::optional<double> greatest_raw_reading(const FilterResult& filter) {
    std::optional<double> greatest;
    for (const CorrectedReading& reading : filter.readings) {
        const double p = reading.raw_pressure.value();
        if (!greatest || p > *greatest) greatest = p;
    }
    return greatest;
}

/// Where only pressures were read: the net readings in order, each a lower bound.
ReportFigure pressure_order_figure(const StudyInput& study, const StudyResult& result) {
    ReportFigure figure{"raw-corrected", "Order of the filters by pressure", {}, {}, {}};
    const auto& order = result.stand->pressure_only->places;
    const auto rows = order.size();
    Plot plot(1080, static_cast<int>(250 + 34 * rows));
    plot.axes("pressure across the filter’s place [Pa]", "");
    std::vector<std::vector<double>> readings, bounds, estimates;
    double greatest = 0.0;
    std::string tics;
    for (std::size_t i = 0; i < rows; ++i) {
        const double y = static_cast<double>(rows - i);
        if (const auto e = estimate(order[i].reading, units::Pa, study.coverage_probability)) {
            readings.push_back({e->value, y});
            greatest = std::max(greatest, e->upper);
        }
        if (const auto e = estimate(order[i].lower_bound, units::Pa, study.coverage_probability)) {
            bounds.push_back({e->value, y, e->lower, e->upper});
            greatest = std::max(greatest, e->upper);
        }
        if (!order[i].estimate) {
        } else if (const auto e = estimate(order[i].estimate->pressure, units::Pa, study.coverage_probability)) {
            estimates.push_back({e->value, y, e->lower, e->upper});
            greatest = std::max(greatest, e->upper);
        }
        tics += fmt::format("{}{} {}", i > 0 ? ", " : "", plot.name(order[i].name), y);
    }
    plot.command("set ytics (" + tics + ")");
    plot.command("unset ylabel");
    plot.y_range(0.4, static_cast<double>(rows) + 0.6);
    plot.x_range(0.0, 1.12 * greatest);
    plot.second_x(inch_of_water, "[inH2O]");
    plot.command("set key outside bottom center horizontal height 1.2");
    std::string draw = "plot " + plot.data(readings) + " using 1:2 with points pointtype 8 pointsize 0.9 "
                       "linecolor rgb '#777777' title 'as read'";
    if (!bounds.empty()) {
        const std::string b = plot.data(bounds);
        const std::string arrow = fmt::format("{:.9g}", 0.05 * std::max(greatest, 1.0));
        draw += ", " + b + " using 1:2:(" + arrow + "):(0) with vectors head filled size character 0.8,20 "
                "linecolor rgb '#0072B2' linewidth 1.4 notitle, " + b +
                " using 1:2:3:4 with xerrorbars pointtype 7 pointsize 0.8 linecolor rgb '#0072B2' "
                "title 'less empty stand: a lower bound at its flow'";
    }
    if (!estimates.empty()) {
        draw += ", " + plot.data(estimates) +
                " using 1:2:3:4 with xerrorbars pointtype 4 pointsize 0.9 dashtype (4,3) linecolor rgb '#D55E00' "
                "title 'estimate at the empty stand’s flow, from the stated fan'";
    }
    plot.command(draw);
    figure.caption =
        "No flow was measured: the readings give an order, lowest resistance first, and a lower bound each; they are "
        "not pressures at one flow. What the order rests on is listed with the bench details.";
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

std::string size_text(const SizeRange& range) { return range_text(range); }

/// The size at which a range is drawn, in um: the geometric mean; for a range open above, a little above its end.
double drawn_size(const SizeRange& range) {
    if (range.open_above) return 1.35 * (range.lower / units::um);
    if (!(range.lower.value() > 0.0)) return 0.7 * (range.upper / units::um);
    return std::sqrt((range.lower / units::um) * (range.upper / units::um));
}

}   // namespace

std::size_t comparison_velocity_index(const StudyInput& study, const StudyResult& result) {
    std::size_t best = 0, most = 0;
    for (std::size_t v = 0; v < study.comparison_velocities.size(); ++v) {
        std::size_t count = 0;
        for (const FilterResult& filter : result.filters) {
            if (v < filter.pressure_at_velocities.size() && filter.pressure_at_velocities[v]) ++count;
        }
        if (count >= most) {
            best = v;
            most = count;
        }
    }
    return best;
}

ReportStyles::ReportStyles(const StudyInput& study) {
    std::vector<bool> taken(study.filters.size(), false);
    std::size_t next = study.filters.size();
    for (const CandidateInput& candidate : study.candidates) {
        std::optional<std::size_t> style;
        if (candidate.stages.size() == 1) {
            for (std::size_t f = 0; f < study.filters.size(); ++f) {
                if (study.filters[f].name == candidate.stages[0].filter && !taken[f]) style = f;
            }
        }
        if (style) taken[*style] = true;
        candidate_styles_.push_back(style ? *style : next++);
    }
}
PlotStyle ReportStyles::filter(std::size_t index) const { return plot_style(index); }
PlotStyle ReportStyles::candidate(std::size_t index) const { return plot_style(candidate_styles_.at(index)); }

std::string line_words(const PlotStyle& style, double width) {
    return fmt::format("linecolor rgb '{}' dashtype {} linewidth {}", style.colour, style.dash, width);
}
std::string mark_words(const PlotStyle& style, double size) {
    return fmt::format("pointtype {} pointsize {}", style.mark, size);
}

ReportFigure raw_and_corrected_pressure_figure(const StudyInput& study, const StudyResult& result,
                                               const ReportStyles&) {
    if (result.stand && result.stand->pressure_only && !result.stand->pressure_only->places.empty()) return pressure_order_figure(study, result);
    const Corrections done = corrections(study, result);
    ReportFigure figure{"raw-corrected",
                        done.tare ? "As read and corrected: what the stand hides"
                                  : "As read and brought together: the stand’s own resistance is in both",
                        {}, {}, {}};
    const std::size_t v = comparison_velocity_index(study, result);
    struct Row {
        std::size_t filter;
        Estimate corrected;
        double as_read;
        std::optional<double> same_velocity;
    };
    std::vector<Row> rows;
    // Without face velocities to compare at, the greatest of the common flows.
    const bool at_flow = study.comparison_velocities.empty() && !result.comparison_flows.empty();
    const std::size_t at_index = at_flow ? greatest_flow_index(result) : v;
    for (std::size_t f = 0; f < result.filters.size(); ++f) {
        const FilterResult& filter = result.filters[f];
        const auto& pressures = at_flow ? filter.pressure_at_flows : filter.pressure_at_velocities;
        const auto& raw_pressures = at_flow ? filter.raw_pressure_at_flows : filter.raw_pressure_at_velocities;
        if (at_index >= pressures.size()) continue;
        const auto corrected = estimate(pressures[at_index], units::Pa, study.coverage_probability);
        const auto as_read = greatest_raw_reading(filter);
        if (!corrected || !as_read) continue;
        std::optional<double> same;
        if (at_index < raw_pressures.size() && raw_pressures[at_index]) same = raw_pressures[at_index]->value();
        rows.push_back({f, *corrected, *as_read, same});
    }
    if (rows.empty()) {
        figure.missing = "needs, for at least one filter, clean pressure readings with flows that span one of the "
                         "comparison velocities or flows";
        return figure;
    }
    std::stable_sort(rows.begin(), rows.end(),
                     [](const Row& a, const Row& b) { return a.corrected.value < b.corrected.value; });
    std::vector<double> raw;
    for (const Row& row : rows) raw.push_back(row.as_read);
    const auto raw_place = places(raw);

    const std::string at =
        at_flow ? fmt::format("{} m³/h ({} cfm)", significant_text(result.comparison_flows[at_index] / units::m3_per_h, 4),
                              significant_text(result.comparison_flows[at_index] / units::cfm, 4))
                : fmt::format("{} m/s ({} fpm)", significant_text(study.comparison_velocities[v].value(), 3),
                              significant_text(study.comparison_velocities[v] / units::fpm, 3));
    Plot plot(1080, static_cast<int>(200 + 34 * rows.size()));
    plot.axes("pressure across the filter [Pa]", "");
    std::vector<std::vector<double>> joins, as_read, same, corrected;
    std::string left, right;
    double greatest = 0.0;
    bool moved = false;
    const double least_read = *std::min_element(raw.begin(), raw.end());
    const auto times = [](double value, double least) {
        return least > 0.0 && std::isfinite(value) ? fixed_text(value / least, 1) : std::string("-");
    };
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Row& row = rows[i];
        const double y = static_cast<double>(rows.size() - i);
        joins.push_back({row.as_read, y, row.corrected.value - row.as_read});
        as_read.push_back({row.as_read, y});
        if (row.same_velocity) same.push_back({*row.same_velocity, y});
        corrected.push_back({row.corrected.value, y, row.corrected.lower, row.corrected.upper});
        greatest = std::max({greatest, row.as_read, row.corrected.upper, row.same_velocity.value_or(0.0)});
        left += fmt::format("{}{} {}", i > 0 ? ", " : "", plot.name(result.filters[row.filter].name), y);
        moved = moved || raw_place[i] != i + 1;
        right += fmt::format("{}'{} → {}{}' {}", i > 0 ? ", " : "", times(row.as_read, least_read),
                             times(row.corrected.value, rows[0].corrected.value),
                             raw_place[i] == i + 1 ? "" : fmt::format(", place {} → {}", raw_place[i], i + 1), y);
    }
    plot.command("set ytics (" + left + ")");
    plot.command("unset ylabel");
    plot.y_range(0.4, static_cast<double>(rows.size()) + 0.6);
    plot.x_range(0.0, 1.06 * greatest);
    plot.second_x(inch_of_water, "[inH2O]");
    plot.second_y(1.0, "");
    plot.command("set border 7");
    plot.command("set y2tics (" + right + ") scale 0");
    plot.command("set label 'times the lowest:' at graph 1.012, graph 1 offset 0,2.1 left font ',11.5' textcolor rgb '#555555'");
    plot.command("set label 'as read → " + std::string(done.tare ? "corrected" : at_flow ? "at one flow" : "at one velocity") + "' at graph 1.012, graph 1 offset 0,1.0 left font ',11.5' textcolor rgb '#555555'");
    plot.command(fmt::format("set rmargin {}", moved ? 30 : 22));
    plot.command("set tmargin 4.4");
    plot.command("set key outside bottom center horizontal height 1.2");
    std::string draw = "plot " + plot.data(joins) +
                       " using 1:2:3:(0) with vectors nohead linecolor rgb '#bbbbbb' linewidth 1.4 notitle, " +
                       plot.data(as_read) +
                       " using 1:2 with points pointtype 8 pointsize 0.9 linecolor rgb '#D55E00' "
                       "title 'as read, highest reading'";
    if (!same.empty()) {
        draw += ", " + plot.data(same) +
                " using 1:2 with points pointtype 6 pointsize 0.75 linecolor rgb '#777777' "
                "title 'as read, at the common " + std::string(at_flow ? "flow'" : "velocity'");
    }
    draw += ", " + plot.data(corrected) +
            " using 1:2:3:4 with xerrorbars pointtype 7 pointsize 0.75 linecolor rgb '#0072B2' linewidth 1.4 "
            "title '" + (done.tare ? done.column() : std::string("fitted, at the common ") + (at_flow ? "flow" : "velocity")) + ", with interval'";
    plot.command(draw);
    figure.caption = fmt::format(
        "{} Discs with intervals: the fitted curve at one {}, {}. As read, highest reading: what the manometer "
        "showed with the stand’s fan at full, each filter at another flow. A filter that loads the stand’s fan more gets "
        "less air and so looks better beside the others than it is: {}",
        done.words(study.standard_air_name), at_flow ? "flow" : "face velocity", at,
        moved ? "the order changes, as the places on the right show." : "the order stays, the ratios on the right do not.");
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

ReportFigure pressure_and_flow_figure(const StudyInput& study, const StudyResult& result, const ReportStyles& styles) {
    ReportFigure figure{"pressure-flow", "Pressure against flow", {}, {}, {}};
    const AirState air = stand_air(study);
    Plot plot(1080, 520);
    plot.axes("flow through the filter [m³/h]", "pressure across the filter [Pa]");
    std::vector<std::string> parts;
    double greatest_pressure = 0.0, greatest_flow = 0.0;
    const auto draw_curve = [&](const ElementFit& fit, const std::string& words, const std::string& title) {
        std::vector<std::vector<double>> line;
        const double low = fit.least_flow.value(), high = fit.greatest_flow.value();
        const int steps = high > low ? 60 : 0;
        for (int k = 0; k <= steps; ++k) {
            const double q = low + (high - low) * (steps > 0 ? double(k) / steps : 0.0);
            const double p = pressure_drop(fit.curve, VolumeFlow::from_value(q), air).value();
            line.push_back({q * 3600.0, p});
            greatest_pressure = std::max(greatest_pressure, p);
            greatest_flow = std::max(greatest_flow, q * 3600.0);
        }
        parts.push_back(plot.data(line) + " using 1:2 with lines " + words + " " + title);
    };
    for (std::size_t f = 0; f < result.filters.size(); ++f) {
        const FilterResult& filter = result.filters[f];
        const PlotStyle style = styles.filter(f);
        std::vector<std::vector<double>> points;
        for (const CorrectedReading& reading : filter.readings) {
            const auto flow = estimate(reading.flow, units::m3_per_h, study.coverage_probability);
            const auto drop = estimate(reading.net_pressure, units::Pa, study.coverage_probability);
            if (!flow || !drop) continue;
            points.push_back({flow->value, drop->value, flow->lower, flow->upper, drop->lower, drop->upper});
            greatest_pressure = std::max(greatest_pressure, drop->upper);
            greatest_flow = std::max(greatest_flow, flow->upper);
        }
        const std::string title = "title " + plot.name(filter.name);
        if (filter.curve) draw_curve(*filter.curve, line_words(style, 1.4), "notitle");
        if (!points.empty()) {
            const std::string block = plot.data(points);
            parts.push_back(block + " using 1:2:3:4:5:6 with xyerrorbars pointsize 0 linewidth 0.9 linecolor rgb '" +
                            style.colour + "' notitle");
            parts.push_back(block + " using 1:2 with points linecolor rgb '" + style.colour + "' " + mark_words(style) +
                            " notitle");
        }
        if (filter.curve || !points.empty()) {
            parts.push_back("NaN with linespoints " + line_words(style, 1.4) + " " + mark_words(style) + " " + title);
        }
    }
    if (parts.empty()) {
        figure.missing = "needs clean pressure readings with a flow, measured or from the stand’s fan table";
        return figure;
    }
    if (result.stand && result.stand->tare) {
        draw_curve(*result.stand->tare, "linecolor rgb '#777777' dashtype (2,3) linewidth 1.4",
                   "title 'empty stand (tare)'");
    }
    plot.y_range(0.0, 1.04 * greatest_pressure);
    plot.x_range(0.0, 1.04 * greatest_flow);
    plot.second_x(cfm_in_m3_per_h, "[cfm]");
    plot.second_y(inch_of_water, "[inH2O]");
    plot.command("set border 15");
    plot.command("plot " + joined(parts));
    const Corrections done = corrections(study, result);
    figure.caption = fmt::format(
        "Marks: readings {}, with {:.4g} % intervals of flow and pressure. Lines: fitted r Q + s Q², drawn over the "
        "readings’ flows only, in {}.",
        done.tare ? "with the tare taken off at their own flow" : "with the stand’s own resistance in them (no empty stand "
                                                                  "was read)",
        100.0 * study.coverage_probability, done.air ? "the air of the test" : "the declared standard air, as that of "
                                                                               "the test was not stated");
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

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
            unknown += (unknown.empty() ? "" : "; ") + filter.name + ", " + size_text(range.range) + ": " + range.reason;
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
        "One minus penetration, with 95 % intervals from the counts (counting statistics or the spread between "
        "samples, whichever is wider). Drawn at the geometric mean of each range, filters side by side within it.";
    std::vector<std::string> velocities;
    for (const std::size_t f : drawn) {
        std::string text = "not stated";
        if (f < study.filters.size() && study.filters[f].counts_face_velocity) {
            const Velocity velocity = *study.filters[f].counts_face_velocity;
            text = significant_text(velocity.value(), 3) + " m/s (" + significant_text(velocity / units::fpm, 3) + " fpm)";
        }
        if (std::find(velocities.begin(), velocities.end(), text) == velocities.end()) velocities.push_back(text);
    }
    figure.caption += " Face velocity of the counts: " + joined(velocities, "; ") + ".";
    if (open) figure.caption += " A range that is open above is drawn a little above its lower end.";
    if (!unknown.empty()) figure.caption += " Not determined: " + typeset(unknown) + ".";
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

ReportFigure pressure_and_dust_figure(const StudyInput& study, const StudyResult& result, const ReportStyles& styles) {
    ReportFigure figure{"pressure-dust", "Pressure against dust", {}, {}, {}};
    const AirState air = stand_air(study);
    const std::size_t v = comparison_velocity_index(study, result);
    Plot plot(1080, 480);
    plot.axes("dust retained on the filter [g]", "pressure across the filter [Pa]");
    std::vector<std::string> parts;
    double greatest = 0.0, most_dust = 0.0;
    for (std::size_t f = 0; f < result.filters.size(); ++f) {
        const FilterResult& filter = result.filters[f];
        if (!filter.loading || !filter.curve || f >= study.filters.size()) continue;
        const LoadingFit& fit = *filter.loading;
        const FilterInput& input = study.filters[f];
        const double area = fit.area.value();
        const bool at_velocity = v < study.comparison_velocities.size() && input.width && input.height;
        const double reference_flow =
            at_velocity ? study.comparison_velocities[v].value() * input.width->value() * input.height->value()
                        : filter.curve->greatest_flow.value();
        const PlotStyle style = styles.filter(f);
        // The law drawn at one flow; each reading is brought there by its own flow, its factor on the viscous part kept.
        ElementCurve viscous = filter.curve->curve, inertial = filter.curve->curve;
        viscous.quadratic = {};
        inertial.linear = {};
        const auto drop_at = [&](const ElementCurve& part, double flow) {
            return pressure_drop(part, VolumeFlow::from_value(flow), air).value();
        };
        const auto at_reference = [&](double factor) {
            return factor * drop_at(viscous, reference_flow) + drop_at(inertial, reference_flow);
        };
        std::vector<std::vector<double>> points, law;
        for (std::size_t i = 0; i < filter.loading_readings.size() && i < fit.retained.size(); ++i) {
            const CorrectedReading& reading = filter.loading_readings[i];
            if (!reading.flow || !reading.net_pressure) continue;
            const auto drop = estimate(reading.net_pressure, units::Pa, study.coverage_probability);
            const auto dust = estimate(fit.retained[i], units::g, study.coverage_probability);
            const double q = reading.flow->value.value();
            if (!drop || !dust || !(q > 0.0) || !(viscous.linear.value() > 0.0)) continue;
            const auto brought = [&](double p) { return at_reference((p - drop_at(inertial, q)) / drop_at(viscous, q)); };
            points.push_back({dust->value, brought(drop->value), dust->lower, dust->upper, brought(drop->lower),
                              brought(drop->upper)});
            greatest = std::max(greatest, brought(drop->upper));
        }
        constexpr int steps = 80;
        for (int k = 0; k <= steps; ++k) {
            const double retained = fit.greatest_retained.value() * k / steps;
            const double p = at_reference(resistance_factor(fit.law, MassPerArea::from_value(retained)));
            law.push_back({1000.0 * retained * area, p});
            most_dust = std::max(most_dust, 1000.0 * retained * area);
            greatest = std::max(greatest, p);
        }
        parts.push_back(plot.data(law) + " using 1:2 with lines " + line_words(style, 1.4) + " notitle");
        if (!points.empty()) {
            const std::string block = plot.data(points);
            parts.push_back(block + " using 1:2:3:4:5:6 with xyerrorbars pointsize 0 linewidth 0.9 linecolor rgb '" +
                            style.colour + "' notitle");
            parts.push_back(block + " using 1:2 with points linecolor rgb '" + style.colour + "' " + mark_words(style) +
                            " notitle");
        }
        parts.push_back("NaN with linespoints " + line_words(style, 1.4) + " " + mark_words(style) + " title " +
                        plot.name(filter.name));
    }
    if (parts.empty()) {
        figure.missing = "needs loading readings (dust fed, pressure, flow) and clean pressure readings of the same filter";
        return figure;
    }
    plot.y_range(0.0, 1.05 * greatest);
    plot.x_range(0.0, 1.05 * most_dust);
    plot.second_y(inch_of_water, "[inH2O]");
    plot.command("plot " + joined(parts));
    figure.caption = fmt::format(
        "Marks: loading readings, each brought from its own flow to the common face velocity ({}) with its factor on "
        "the viscous part kept. Lines: fitted loading law, drawn to the last reading; beyond it is extrapolation.",
        v < study.comparison_velocities.size()
            ? significant_text(study.comparison_velocities[v].value(), 3) + " m/s"
            : std::string("the greatest flow of the readings"));
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

}   // namespace choose_filter
