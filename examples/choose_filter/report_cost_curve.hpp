// SPDX-License-Identifier: BSL-1.0
#pragma once

// The curve of yearly cost against the change interval, drawn finer than the samples of a study.

#include <vector>

#include <filterflow/core/units.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// A point of the curve.
struct CostCurvePoint {
    double hours = 0.0;         ///< running hours between changes
    double annual_cost = 0.0;   ///< at equal service, in the study's currency
};

/// The curve from an interval on, through every sample of the study from there on; empty for a candidate that has
/// none, as one whose stages are changed apart. Where a drive holds the airflow a life takes few steps and leaves few
/// samples. Between them the cost times the air delivered is smooth: the price of a change at no hours, and from there
/// on it grows as the power does; it is interpolated so, and divided by the air again.
std::vector<CostCurvePoint> cost_curve(const filterflow::CandidateResult& candidate, double from_hours);

/// The cost at an interval on the curve, between its points in a straight line.
double cost_on(const std::vector<CostCurvePoint>& curve, double hours);

}   // namespace choose_filter
