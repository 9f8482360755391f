// SPDX-License-Identifier: BSL-1.0

#include "report_figures.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/resistance/element_fit.hpp>

#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

AirState stand_air(const StudyInput& study) {
    return study.stand && study.stand->air ? moist_air(*study.stand->air) : study.standard_air;
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
    plot.second_x(cfm_in_m3_per_h, "airflow [cfm]");
    plot.second_y(inch_of_water, "pressure [inH2O]");
    plot.command("set border 15");
    plot.command("plot " + joined(parts));
    const Corrections done = corrections(study, result);
    figure.caption = fmt::format(
        "The higher a curve, the more pressure the filter takes at that flow. Marks: readings {}, with {:.4g} % "
        "intervals of flow and pressure. Lines: fitted r Q + s Q², drawn over the "
        "readings’ flows only, in {}.",
        done.tare ? "with the tare taken off at their own flow"
                  : "with the stand’s own resistance in them (no empty stand "
                    "was read)",
        100.0 * study.coverage_probability,
        done.air ? "the air of the test"
                 : "the declared standard air, as that of "
                   "the test was not stated");
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
        // The law drawn at one flow; each reading is brought there by its own flow, its factor on the viscous part
        // kept.
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
            const auto brought = [&](double p) {
                return at_reference((p - drop_at(inertial, q)) / drop_at(viscous, q));
            };
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
        figure.missing =
            "needs loading readings (dust fed, pressure, flow) and clean pressure readings of the same filter";
        return figure;
    }
    plot.y_range(0.0, 1.05 * greatest);
    plot.x_range(0.0, 1.05 * most_dust);
    plot.second_y(inch_of_water, "pressure [inH2O]");
    plot.command("plot " + joined(parts));
    figure.caption = fmt::format(
        "The flatter a line, the more dust the filter holds before it takes more pressure. Marks: loading readings, "
        "each brought from its own flow to the common face velocity ({}) with its factor on "
        "the viscous part kept. Lines: fitted loading law, drawn to the last reading; beyond it is extrapolation.",
        v < study.comparison_velocities.size() ? significant_text(study.comparison_velocities[v].value(), 3) + " m/s"
                                               : std::string("the greatest flow of the readings"));
    figure.svg = plot.svg(figure.id, figure.heading, figure.caption);
    return figure;
}

}   // namespace choose_filter
