// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_cost_curve.hpp"
#include "report_estimate.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::size_t style_index(const StudyInput& study, const std::string& name) {
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        if (study.candidates[i].name == name) return i;
    }
    return 0;
}

}   // namespace

std::string figure_id(const char* what, std::size_t system) { return fmt::format("{}-{}", what, system + 1); }

ReportFigure cost_and_interval_figure(const StudyInput& study, const StudyResult& result, std::size_t index,
                                      const ReportStyles& styles) {
    ReportFigure figure{figure_id("cost-interval", index), "Cost against change interval", {}, {}, {}};
    const SystemResult& system = result.systems[index];
    const SystemInput& input = study.systems[index];
    Plot plot(1080, 480);
    std::vector<std::string> parts;
    std::vector<std::string> without;   // that have a cost and no curve
    std::vector<std::vector<double>> limits;   // where each is reached
    double least_cost = 0.0, greatest_cost = 0.0, first = 0.0, last = 0.0;
    for (const std::size_t c : candidates_in_order(system)) {
        const CandidateResult& candidate = system.candidates[c];
        const auto interval = estimate(candidate.change_interval, units::h, study.coverage_probability);
        const auto cost = estimate(candidate.annual_cost, 1.0, study.coverage_probability);
        const double drawn_from = interval && interval->value > 0.0 ? 0.03 * interval->value : 0.0;
        const std::vector<CostCurvePoint> curve = cost_curve(candidate, drawn_from);
        if (curve.size() < 2) {
            if (candidate.annual_cost) without.push_back(candidate.name);
            continue;
        }
        std::vector<std::vector<double>> line;
        double least = curve.front().annual_cost;
        for (const CostCurvePoint& point : curve) {
            line.push_back({point.hours, point.annual_cost});
            least = std::min(least, point.annual_cost);
        }
        least_cost = least_cost > 0.0 ? std::min(least_cost, least) : least;
        greatest_cost = std::max(greatest_cost, least);
        last = std::max(last, curve.back().hours);
        const PlotStyle style = styles.candidate(style_index(study, candidate.name));
        parts.push_back(plot.data(line) + " using 1:2 with lines " + line_words(style, 1.6) + " notitle");
        if (interval && cost && interval->value > 0.0) {
            const std::string block = plot.data({{interval->value, cost->value, cost->lower, cost->upper}});
            parts.push_back(block + " using 1:2:3:4 with yerrorbars linewidth 1.4 linecolor rgb '" + style.colour +
                            "' " + mark_words(style, 1.0) + " notitle");
            first = first > 0.0 ? std::min(first, interval->value) : interval->value;
            greatest_cost = std::max(greatest_cost, cost->upper);
            least_cost = std::min(least_cost, cost->lower);
        }
        const auto limit = estimate(candidate.hours_to_limit, units::h, study.coverage_probability);
        if (limit && limit->value > 0.0) {
            const double there = std::min(limit->value, curve.back().hours);
            limits.push_back({there, cost_on(curve, there)});
        }
        parts.push_back("NaN with linespoints " + line_words(style, 1.6) + " " + mark_words(style) + " title " +
                        plot.name(candidate.name));
    }
    if (parts.empty()) {
        figure.missing = "needs prices of filters and electricity, hours of operation, the dust concentration and "
                         "loading readings";
        return figure;
    }
    if (!(first > 0.0)) first = last;
    plot.axes("running hours between changes", "");
    plot.command("set ylabel 'yearly cost at equal service [" + plot.token(currency_name(study), 24) + "]'");
    const double from = 0.3 * first, to = 1.1 * last;
    plot.command("set logscale x");
    plot.command(fmt::format("set xrange [{:.9g}:{:.9g}]", from, to));
    plot.command("set xtics (50, 100, 200, 300, 500, 700, 1000, 1500, 2000, 3000, 5000, 7000, 10000, 20000, 50000)");
    if (input.hours_per_year && input.hours_per_year->value() > 0.0) {
        // gnuplot links no logarithmic axes: the second one gets the same range in its own unit.
        const double month = (*input.hours_per_year / units::h) / 12.0;
        plot.command("set border 7");
        plot.command("set logscale x2");
        plot.command(fmt::format("set x2range [{:.9g}:{:.9g}]", from / month, to / month));
        plot.command("set x2tics (0.25, 0.5, 1, 1.5, 2, 3, 4, 6, 9, 12, 18, 24, 36, 60) out scale 0.5");
        plot.command("set x2label 'months between changes'");
    }
    plot.command(fmt::format("set yrange [{:.9g}:{:.9g}]", std::max(0.0, 0.85 * least_cost), 1.35 * greatest_cost));
    if (!limits.empty()) {   // last, to be seen on the large marks
        parts.push_back(plot.data(limits) + " using 1:2 with points pointtype 2 pointsize 1.5 linewidth 1.4 "
                                            "linecolor rgb '#000000' title 'first limit reached'");
    }
    plot.command("plot " + joined(parts));
    figure.caption = fmt::format(
        "Large mark: the change interval chosen, with the {:.4g} % interval of its cost. Cross: the first limit (final "
        "resistance, airflow, age) is reached. Short intervals cost filters and labour, long ones fan energy: where a "
        "curve is flat, an earlier or later change costs little; where it still falls at its cross, the limit sets the "
        "interval and not the cost.",
        100.0 * study.coverage_probability);
    if (!without.empty())
        figure.caption += " Not drawn, for want of one interval for all stages: " + joined(without, "; ") + ".";
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

ReportFigure cost_parts_figure(const StudyInput& study, const StudyResult& result, std::size_t index,
                               const ReportStyles&) {
    ReportFigure figure{figure_id("cost-parts", index), "Yearly cost at equal service, in its parts", {}, {}, {}};
    const SystemResult& system = result.systems[index];
    const bool with_demand = study.prices.demand.has_value();   // its key takes a line more
    const std::size_t bars = std::max<std::size_t>(system.candidates.size(), 1);
    Plot plot(1080, static_cast<int>((with_demand ? 180 : 140) + 34 * bars));
    std::vector<std::vector<double>> rows;
    std::string tics;
    double greatest = 0.0;
    const auto order = candidates_in_order(system);
    std::vector<std::size_t> shown;
    for (const std::size_t c : order) {
        if (system.candidates[c].annual_cost && system.candidates[c].annual_filter_cost) shown.push_back(c);
    }
    for (std::size_t i = 0; i < shown.size(); ++i) {
        const CandidateResult& candidate = system.candidates[shown[i]];
        const auto cost = estimate(candidate.annual_cost, 1.0, study.coverage_probability);
        const auto filters = estimate(candidate.annual_filter_cost, 1.0, study.coverage_probability);
        if (!cost || !filters) continue;
        const double y = static_cast<double>(shown.size() - i);
        const auto demand = estimate(candidate.annual_demand_cost, 1.0, study.coverage_probability);
        const double energy = cost->value - filters->value - (demand ? demand->value : 0.0);
        rows.push_back({y, energy, cost->value, cost->lower, cost->upper, cost->value - filters->value});
        greatest = std::max(greatest, cost->upper);
        tics += fmt::format("{}{} {}", tics.empty() ? "" : ", ", plot.name(candidate.name), y);
    }
    if (rows.empty()) {
        figure.missing =
            "needs prices of filters, labour and electricity, hours of operation, and a fan table with power";
        return figure;
    }
    plot.axes("", "");
    plot.command("set xlabel 'yearly cost at equal service [" + plot.token(currency_name(study), 24) + "]'");
    plot.command("unset ylabel");
    plot.command("set ytics (" + tics + ") scale 0");
    plot.command("unset grid");
    plot.command("set grid xtics linecolor rgb '#dddddd' linewidth 0.6 dashtype solid");
    plot.command(fmt::format("set xrange [0:{:.9g}]", 1.05 * greatest));
    plot.command(fmt::format("set yrange [0.4:{}]", static_cast<double>(shown.size()) + 0.6));
    plot.command("set key outside bottom center horizontal height 1.2");
    plot.command("set style fill solid 1.0 border rgb '#ffffff'");
    const std::string block = plot.data(rows);
    plot.command("plot " + block +
                 " using ($2*0.5):1:($2*0.5):(0.3) with boxxyerror fillcolor rgb '#0072B2' title 'fan energy', " +
                 (study.prices.demand ? block + " using (0.5*($2+$6)):1:(0.5*($6-$2)):(0.3) with boxxyerror "
                                                "fillcolor rgb '#009E73' title 'demand charges', "
                                      : std::string()) +
                 block + " using (0.5*($6+$3)):1:(0.5*($3-$6)):(0.3) with boxxyerror fillcolor rgb '#E69F00' "
                 "title 'filters, labour, disposal', " +
                 block +
                 " using 3:1:4:5 with xerrorbars pointtype 7 pointsize 0.4 linewidth 1.4 linecolor rgb '#000000' "
                 "title 'total with interval'");
    figure.caption = fmt::format(
        "The longer part is where to save: on the fan’s energy, or on filters and their changes. Energy is that for "
        "the "
        "same air delivered. The {:.4g} % intervals hold what candidates share "
        "(prices, fan, dust); ties are judged on differences, in which it cancels, not on these intervals.",
        100.0 * study.coverage_probability);
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

ReportFigure airflow_and_power_figure(const StudyInput& study, const StudyResult& result, std::size_t index,
                                      const ReportStyles& styles) {
    ReportFigure figure{
        figure_id("airflow-power", index), "Airflow and power over the life of the filters", {}, {}, {}};
    const SystemResult& system = result.systems[index];
    const SystemInput& input = study.systems[index];
    Plot plot(1080, 620);
    std::vector<std::string> flows, powers, keys;
    double least_flow = 0.0, greatest_flow = 0.0, least_power = 0.0, greatest_power = 0.0, last = 0.0;
    for (const std::size_t c : candidates_in_order(system)) {
        const CandidateResult& candidate = system.candidates[c];
        std::vector<std::vector<double>> flow, power;
        for (const LifeSample& sample : candidate.life) {
            const double hours = sample.time / units::h;
            const double q = sample.flow.value() * cubic_metres_per_hour;
            flow.push_back({hours, q});
            least_flow = least_flow > 0.0 ? std::min(least_flow, q) : q;
            greatest_flow = std::max(greatest_flow, q);
            last = std::max(last, hours);
            if (!sample.power) continue;
            const double p = sample.power->value();
            power.push_back({hours, p});
            least_power = least_power > 0.0 ? std::min(least_power, p) : p;
            greatest_power = std::max(greatest_power, p);
        }
        if (flow.size() < 2) continue;
        const PlotStyle style = styles.candidate(style_index(study, candidate.name));
        const auto draw = [&](const std::vector<std::vector<double>>& rows, std::vector<std::string>& into) {
            const std::string block = plot.data(rows);
            into.push_back(block + " using 1:2 with lines " + line_words(style, 1.6) + " notitle");
            into.push_back(plot.data({rows.front(), rows.back()}) + " using 1:2 with points linecolor rgb '" +
                           style.colour + "' " + mark_words(style) + " notitle");
        };
        draw(flow, flows);
        if (power.size() > 1) draw(power, powers);
        keys.push_back("NaN with linespoints " + line_words(style, 1.6) + " " + mark_words(style) + " title " +
                       plot.name(candidate.name));
    }
    if (flows.empty() || !(last > 0.0)) {
        figure.missing = "needs loading readings, the dust concentration and the fan table of the system";
        return figure;
    }
    plot.axes("", "airflow [m³/h]");
    plot.command(fmt::format("set multiplot layout {},1", powers.empty() ? 1 : 2));
    plot.command("set lmargin at screen 0.085");
    plot.command("set rmargin at screen 0.575");
    plot.command("set key at screen 0.99, screen 0.95 right top vertical Left reverse samplen 3.2 spacing 1.3");
    plot.command(fmt::format("set xrange [0:{:.9g}]", 1.02 * last));
    const auto range = [&plot](double low, double high) {
        const double room = std::max(0.08 * (high - low), 0.05 * high);
        plot.y_range(std::max(0.0, low - room), high + room);
    };
    std::string limit;
    if (input.least_airflow) {
        const double q = input.least_airflow->value() * cubic_metres_per_hour;
        least_flow = std::min(least_flow, q);
        plot.command(fmt::format("set arrow 1 from graph 0, first {0:.9g} to graph 1, first {0:.9g} nohead back "
                                 "linecolor rgb '#AA4499' dashtype (3,3) linewidth 1.2",
                                 q));
        limit = fmt::format(" Horizontal line: least airflow allowed, {} m³/h.", significant_text(q, 4));
    }
    range(least_flow, greatest_flow);
    plot.second_y(cfm_in_m3_per_h, "airflow [cfm]");
    if (powers.empty()) plot.command("set xlabel 'running hours since the change'");
    plot.command("plot " + joined(flows) + ", " + joined(keys));
    if (!powers.empty()) {
        plot.command("unset arrow 1");
        plot.command("unset key");
        plot.command("unset y2tics");
        plot.command("unset y2label");
        plot.command("set border 3");
        plot.command("set ylabel 'fan power [W]'");
        plot.command("set xlabel 'running hours since the change'");
        range(least_power, greatest_power);
        plot.command("plot " + joined(powers));
    }
    plot.command("unset multiplot");
    figure.caption =
        "How airflow and power change as the filters load, from the change of all stages to the first limit; a jump is "
        "the change of one stage. The scales do not begin at zero." +
        limit;
    if (input.control == FanControl::fixed_speed) {
        figure.caption += " At fixed speed a loaded filter takes air away; power that falls with it is no saving.";
    } else {
        figure.caption += " The drive holds the airflow and pays for it with power, until it reaches its limit.";
    }
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

}   // namespace choose_filter
