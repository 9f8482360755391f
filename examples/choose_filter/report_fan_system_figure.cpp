// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>

#include "report_candidate.hpp"
#include "report_estimate.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// The filters of a candidate in series, each with its gap around it, stated for the air of the system.
struct InstalledFilters {
    std::vector<BypassedElement> stages;

    double pressure(VolumeFlow flow) const {
        double sum = 0.0;
        for (const BypassedElement& stage : stages) {
            sum += flow_split(stage, flow, stage.element.stated_air).drop.value();
        }
        return sum;
    }
    InstalledFilters with_viscous_part_times(double factor) const {
        InstalledFilters loaded = *this;
        for (BypassedElement& stage : loaded.stages) stage.element.linear *= factor;
        return loaded;
    }
    /// The same with dust: the viscous parts raised by one factor, until the pressure at a flow is what it is there.
    /// Empty where no factor does it.
    std::optional<InstalledFilters> loaded_to(VolumeFlow flow, Pressure there) const {
        double low = 0.0, high = 1.0;
        while (with_viscous_part_times(high).pressure(flow) < there.value()) {
            high *= 2.0;
            if (high > 1e6) return std::nullopt;
        }
        for (int k = 0; k < 60; ++k) {
            const double middle = 0.5 * (low + high);
            (with_viscous_part_times(middle).pressure(flow) < there.value() ? low : high) = middle;
        }
        return with_viscous_part_times(high);
    }
};

std::optional<InstalledFilters> installed_filters(const StudyResult& result,
                                                  const CandidateInput& candidate, const AirState& air) {
    InstalledFilters installed;
    const VolumeFlow one = VolumeFlow::from_value(1.0);
    for (const StageInput& stage : candidate.stages) {
        const auto filter = std::find_if(result.filters.begin(), result.filters.end(),
                                         [&](const FilterResult& f) { return f.name == stage.filter; });
        if (filter == result.filters.end() || !filter->curve) return std::nullopt;
        // r and s in the air of the system are the drops of the two parts at unit flow.
        ElementCurve viscous = filter->curve->curve, inertial = filter->curve->curve;
        viscous.quadratic = {};
        inertial.linear = {};
        BypassedElement part;
        part.element.stated_air = air;
        part.element.linear = LinearResistance(pressure_drop(viscous, one, air) / one);
        part.element.quadratic = QuadraticResistance(pressure_drop(inertial, one, air) / one / one);
        if (candidate.bypass_gap) part.gap_area = *candidate.bypass_gap;
        installed.stages.push_back(part);
    }
    return installed;
}

const CandidateInput* input_of(const StudyInput& study, const std::string& name) {
    for (const CandidateInput& candidate : study.candidates) {
        if (candidate.name == name) return &candidate;
    }
    return nullptr;
}

std::vector<std::vector<double>> samples_of(const std::vector<std::pair<VolumeFlow, Pressure>>& samples) {
    std::vector<std::vector<double>> rows;
    for (const auto& [flow, pressure] : samples) {
        rows.push_back({flow.value() * cubic_metres_per_hour, pressure.value()});
    }
    return rows;
}

}   // namespace

ReportFigure fan_and_system_figure(const StudyInput& study, const StudyResult& result, std::size_t index,
                                   const ReportStyles&) {
    ReportFigure figure{figure_id("fan-system", index),
                        "Fan and system, filters clean and at the end of the change interval",
                        {},
                        {},
                        {}};
    const SystemResult& system = result.systems[index];
    const SystemInput& input = study.systems[index];
    if (system.fan_samples.size() < 2 || system.candidates.empty()) {
        figure.missing = "needs the fan table of the system, and candidates";
        return figure;
    }
    const AirState air = input.air ? moist_air(*input.air) : study.standard_air;
    const auto order = candidates_in_order(system);
    constexpr std::size_t columns = 3;
    const std::size_t cells = order.size() + 1;
    const std::size_t rows = (cells + columns - 1) / columns;

    double greatest_flow = 0.0, greatest_pressure = 0.0;
    for (const auto& [flow, pressure] : system.fan_samples) {
        greatest_flow = std::max(greatest_flow, flow.value() * cubic_metres_per_hour);
        greatest_pressure = std::max(greatest_pressure, pressure.value());
    }
    const auto step_for = [](double greatest) {   // four or five numbers on an axis of a panel
        const double rough = greatest / 4.0;
        const double ten = std::pow(10.0, std::floor(std::log10(rough)));
        return rough / ten < 1.5 ? ten : rough / ten < 3.5 ? 2.0 * ten : rough / ten < 7.5 ? 5.0 * ten : 10.0 * ten;
    };

    Plot plot(1080, static_cast<int>(30 + 250 * rows));
    const std::string fan = plot.data(samples_of(system.fan_samples));
    const std::string ducts = system.duct_samples.size() > 1 ? plot.data(samples_of(system.duct_samples)) : "";
    struct Panel {
        std::string title, clean_curve, end_curve, clean_point, end_point;
    };
    std::vector<Panel> panels;
    const auto places = place_names(system);
    for (const std::size_t c : order) {
        const CandidateResult& candidate = system.candidates[c];
        Panel panel;
        panel.title = plot.name(places[c] + " · " + candidate.name, 38);
        const CandidateInput* filters = input_of(study, candidate.name);
        const auto installed = filters ? installed_filters(result, *filters, air) : std::nullopt;
        const auto curve = [&](const InstalledFilters& part) {
            std::vector<std::vector<double>> line;
            for (const auto& [flow, pressure] : system.duct_samples) {
                line.push_back({flow.value() * cubic_metres_per_hour, pressure.value() + part.pressure(flow)});
            }
            return plot.data(line);
        };
        const auto point = [&](const CandidateMoment& moment) {
            return plot.data({{moment.flow.value.value() * cubic_metres_per_hour,
                               moment.external_static_pressure.value.value()}});
        };
        if (installed && system.duct_samples.size() > 1) {
            panel.clean_curve = curve(*installed);
            if (candidate.end) {
                const auto loaded =
                    installed->loaded_to(candidate.end->flow.value, candidate.end->filter_pressure.value);
                if (loaded) panel.end_curve = curve(*loaded);
            }
        }
        if (candidate.clean) panel.clean_point = point(*candidate.clean);
        if (candidate.end) panel.end_point = point(*candidate.end);
        panels.push_back(std::move(panel));
    }

    plot.axes("", "");
    plot.command("set tics font ',11'");
    plot.command("unset key");
    plot.command(fmt::format("set xrange [0:{:.9g}]", 1.03 * greatest_flow));
    plot.command(fmt::format("set yrange [0:{:.9g}]", 1.06 * greatest_pressure));
    plot.command(fmt::format("set xtics {:.9g}", step_for(greatest_flow)));
    plot.command(fmt::format("set ytics {:.9g}", step_for(greatest_pressure)));
    plot.command(fmt::format("set multiplot layout {},{} margins 0.068,0.985,{:.4f},{:.4f} spacing 0.06,{:.4f}", rows,
                             columns, 52.0 / static_cast<double>(30 + 250 * rows),
                             1.0 - 28.0 / static_cast<double>(30 + 250 * rows),
                             74.0 / static_cast<double>(30 + 250 * rows)));
    const std::string fan_line = " using 1:2 with lines linecolor rgb '#000000' linewidth 1.8 ";
    const std::string duct_line = " using 1:2 with lines linecolor rgb '#888888' dashtype (2,3) linewidth 1.6 ";
    const std::string clean_line = " using 1:2 with lines linecolor rgb '#0072B2' linewidth 1.6 ";
    const std::string end_line = " using 1:2 with lines linecolor rgb '#D55E00' dashtype (9,4) linewidth 1.6 ";
    const std::string clean_mark = " using 1:2 with points pointtype 7 pointsize 0.8 linecolor rgb '#0072B2' ";
    const std::string end_mark = " using 1:2 with points pointtype 5 pointsize 0.75 linecolor rgb '#D55E00' ";
    std::string limits;
    if (input.least_airflow) {
        plot.command(fmt::format("set arrow 1 from {0:.9g}, graph 0 to {0:.9g}, graph 1 nohead back linecolor rgb "
                                 "'#AA4499' dashtype (3,3) linewidth 1",
                                 input.least_airflow->value() * cubic_metres_per_hour));
        limits += fmt::format(" Vertical line: least airflow allowed, {} m³/h.",
                              significant_text(input.least_airflow->value() * cubic_metres_per_hour, 4));
    }
    if (input.greatest_external_static_pressure) {
        plot.command(fmt::format("set arrow 2 from graph 0, first {0:.9g} to graph 1, first {0:.9g} nohead back "
                                 "linecolor rgb '#AA4499' dashtype (10,3) linewidth 1",
                                 input.greatest_external_static_pressure->value()));
        limits += fmt::format(" Horizontal line: greatest external static pressure allowed, {} Pa.",
                              significant_text(input.greatest_external_static_pressure->value(), 4));
    }
    for (std::size_t i = 0; i < panels.size(); ++i) {
        const Panel& panel = panels[i];
        plot.command("set title " + panel.title + " offset 0,-0.7 font ',12.5'");
        plot.command(i % columns == 0 ? "set ylabel 'pressure [Pa]' offset 1.2 font ',11.5'" : "unset ylabel");
        const bool last_of_column = i + columns >= panels.size();
        plot.command(last_of_column ? "set xlabel 'airflow [m³/h]' offset 0,0.6 font ',11.5'" : "unset xlabel");
        std::string draw = "plot " + fan + fan_line + "notitle";
        if (!ducts.empty()) draw += ", " + ducts + duct_line + "notitle";
        if (!panel.clean_curve.empty()) draw += ", " + panel.clean_curve + clean_line + "notitle";
        if (!panel.end_curve.empty()) draw += ", " + panel.end_curve + end_line + "notitle";
        if (!panel.clean_point.empty()) draw += ", " + panel.clean_point + clean_mark + "notitle";
        if (!panel.end_point.empty()) draw += ", " + panel.end_point + end_mark + "notitle";
        plot.command(draw);
    }
    // The last cell holds the key, whose words are short enough for any column.
    for (const char* c : {"unset title", "unset border", "unset tics", "unset xlabel", "unset ylabel", "unset grid",
                          "unset arrow", "set key inside left top vertical Left reverse samplen 3.5 spacing 1.5"}) {
        plot.command(c);
    }
    plot.command(
        "plot NaN" + std::string(" with lines linecolor rgb '#000000' linewidth 1.8 title 'fan', ") +
        "NaN with lines linecolor rgb '#888888' dashtype (2,3) linewidth 1.6 title 'system without filters', "
        "NaN with linespoints pointtype 7 pointsize 0.8 linecolor rgb '#0072B2' linewidth 1.6 "
        "title 'filters clean', "
        "NaN with linespoints pointtype 5 pointsize 0.75 linecolor rgb '#D55E00' dashtype (9,4) linewidth 1.6 "
        "title 'filters at the end of the interval'" +
        (input.least_airflow
             ? ", NaN with lines linecolor rgb '#AA4499' dashtype (3,3) linewidth 1.2 title 'least airflow allowed'"
             : "") +
        (input.greatest_external_static_pressure ? ", NaN with lines linecolor rgb '#AA4499' dashtype (10,3) linewidth "
                                                   "1.2 title 'greatest pressure allowed'"
                                                 : ""));
    plot.command("unset multiplot");
    figure.caption =
        std::string(input.control == FanControl::fixed_speed
                        ? "How far the mark moves to the left from clean to loaded filters is the airflow that dust "
                          "takes away. "
                        : "How far the mark moves up from clean to loaded filters is the pressure that the drive adds; "
                          "off the vertical part it no longer holds the airflow. ") +
        "Candidates by number and letter as in the comparison. Marks: where fan and system meet, as solved; the system "
        "with "
        "loaded filters is the clean one with the viscous part raised until it passes through that point. 100 m³/h = "
        "58.9 cfm, 100 Pa = 0.401 inH2O." +
        limits;
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

}   // namespace choose_filter
