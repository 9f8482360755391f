// SPDX-License-Identifier: BSL-1.0
#pragma once

// The figures of the report. Each comes as a drawing with its caption, or as what is missing for it.

#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_plot.hpp"

namespace choose_filter {

inline const double inch_of_water = filterflow::units::inH2O.one.value();
inline const double cfm_in_m3_per_h = filterflow::units::cfm.one / filterflow::units::m3_per_h;
inline constexpr double cubic_metres_per_hour = 3600.0;   ///< of one m3/s

/// A figure of the report.
struct ReportFigure {
    std::string id;        ///< of the element, unique in the page
    std::string heading;
    std::string svg;       ///< empty: not drawn
    std::string caption;   ///< plain text
    std::string missing;   ///< why it is not drawn: plain text
};

/// One style for each filter and candidate, the same in every figure: a candidate of one stage looks like its
/// filter.
class ReportStyles {
public:
    explicit ReportStyles(const filterflow::StudyInput& study);
    PlotStyle filter(std::size_t index) const;
    PlotStyle candidate(std::size_t index) const;

private:
    std::vector<std::size_t> candidate_styles_;
};

/// Of a figure of a system.
std::string figure_id(const char* what, std::size_t system);

/// gnuplot's words for a style.
std::string line_words(const PlotStyle& style, double width = 1.8);
std::string mark_words(const PlotStyle& style, double size = 0.7);

/// Pressure as read against pressure corrected; where no flow is known, the order of the net readings.
ReportFigure raw_and_corrected_pressure_figure(const filterflow::StudyInput&, const filterflow::StudyResult&,
                                               const ReportStyles&);
/// Pressure against flow: readings and fitted curves.
ReportFigure pressure_and_flow_figure(const filterflow::StudyInput&, const filterflow::StudyResult&,
                                      const ReportStyles&);
/// Efficiency against particle size, with intervals.
ReportFigure efficiency_figure(const filterflow::StudyInput&, const filterflow::StudyResult&, const ReportStyles&);
/// Pressure against dust retained: readings and loading laws at one flow.
ReportFigure pressure_and_dust_figure(const filterflow::StudyInput&, const filterflow::StudyResult&,
                                      const ReportStyles&);

/// Fan against system, filters clean and at the end of their life, a panel for each candidate.
ReportFigure fan_and_system_figure(const filterflow::StudyInput&, const filterflow::StudyResult&, std::size_t system,
                                   const ReportStyles&);
/// Yearly cost at equal service against the change interval.
ReportFigure cost_and_interval_figure(const filterflow::StudyInput&, const filterflow::StudyResult&,
                                      std::size_t system, const ReportStyles&);
/// Yearly cost in its parts, with its interval.
ReportFigure cost_parts_figure(const filterflow::StudyInput&, const filterflow::StudyResult&, std::size_t system,
                               const ReportStyles&);
/// Airflow and power over the life of the filters.
ReportFigure airflow_and_power_figure(const filterflow::StudyInput&, const filterflow::StudyResult&,
                                      std::size_t system, const ReportStyles&);

/// Index of the comparison velocity that most filters have a corrected pressure at; the highest of those.
std::size_t comparison_velocity_index(const filterflow::StudyInput&, const filterflow::StudyResult&);

}   // namespace choose_filter
