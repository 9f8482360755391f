// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include <fmt/format.h>

#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

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
    plot.second_x(inch_of_water, "pressure [inH2O]");
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
        "not pressures at one flow. What the order rests on is listed with that order.";
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}
}   // namespace

ReportFigure raw_and_corrected_pressure_figure(const StudyInput& study, const StudyResult& result,
                                               const ReportStyles&) {
    if (result.stand && result.stand->pressure_only && !result.stand->pressure_only->places.empty())
        return pressure_order_figure(study, result);
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
        at_flow
            ? fmt::format("{} m³/h ({} cfm)", significant_text(result.comparison_flows[at_index] / units::m3_per_h, 4),
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
    plot.second_x(inch_of_water, "pressure [inH2O]");
    plot.second_y(1.0, "");
    plot.command("set border 7");
    plot.command("set y2tics (" + right + ") scale 0");
    plot.command(
        "set label 'times the lowest:' at graph 1.012, graph 1 offset 0,2.1 left font ',11.5' textcolor rgb '#555555'");
    plot.command("set label 'as read → " +
                 std::string(done.tare ? "corrected"
                             : at_flow ? "at one flow"
                                       : "at one velocity") +
                 "' at graph 1.012, graph 1 offset 0,1.0 left font ',11.5' textcolor rgb '#555555'");
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
            "title '" +
            (done.tare ? done.column() : std::string("fitted, at the common ") + (at_flow ? "flow" : "velocity")) +
            ", with interval'";
    plot.command(draw);
    figure.caption = fmt::format(
        "{} Discs with intervals: the fitted curve at one {}, {}. As read, highest reading: what the manometer "
        "showed with the stand’s fan at full, each filter at another flow. A filter that loads the stand’s fan more "
        "gets "
        "less air and so looks better beside the others than it is: {}",
        done.words(study.standard_air_name), at_flow ? "flow" : "face velocity", at,
        moved ? "the order changes, as the places on the right show."
              : "the order stays, the ratios on the right do not.");
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}
}   // namespace choose_filter
