// SPDX-License-Identifier: BSL-1.0
#pragma once

// From the library's uncertain values to numbers in the units of print.

#include <cmath>
#include <optional>

#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/covered_figure.hpp>

#include "report_text.hpp"

namespace choose_filter {

/// A number without an interval.
inline Estimate exact(double value) { return {value, value, value}; }

/// A value and its interval in a unit; empty where a number is not finite, so that nothing of the kind is printed.
template <class Q>
std::optional<Estimate> estimate(const Q& value, const filterflow::Interval<Q>& interval, double one) {
    const Estimate e{filterflow::detail::in_si(value) / one, filterflow::detail::in_si(interval.lower) / one,
                     filterflow::detail::in_si(interval.upper) / one};
    if (!std::isfinite(e.value) || !std::isfinite(e.lower) || !std::isfinite(e.upper)) return std::nullopt;
    return e;
}
/// The uncertain quantity in a unit: with the interval that it has, else by first order.
template <class Q>
std::optional<Estimate> estimate(const filterflow::Uncertain<Q>& x, double one, double probability) {
    return estimate(x.value, filterflow::coverage_interval(x, probability), one);
}
template <class Q>
std::optional<Estimate> estimate(const filterflow::CoveredUncertain<Q>& x, double one, double probability) {
    return estimate(x.value, filterflow::coverage_interval(x, probability), one);
}
template <class Q>
std::optional<Estimate> estimate(const filterflow::Uncertain<Q>& x, filterflow::NamedUnit<Q> unit,
                                 double probability) {
    return estimate(x, unit.one.value(), probability);
}
template <class X>
std::optional<Estimate> estimate(const std::optional<X>& x, double one, double probability) {
    return x ? estimate(*x, one, probability) : std::nullopt;
}
template <class X, class Q>
std::optional<Estimate> estimate(const std::optional<X>& x, filterflow::NamedUnit<Q> unit, double probability) {
    return x ? estimate(*x, unit.one.value(), probability) : std::nullopt;
}

/// An estimate of a share in per cent, where there is one.
inline std::optional<Estimate> share(const std::optional<Estimate>& e) {
    return e ? std::optional<Estimate>(share(*e)) : std::nullopt;
}

/// Slope of the resistance factor in the cake stage, in m2/kg: where the law is smooth, that of its exponential at the
/// transition.
inline filterflow::Uncertain<double> cake_slope_of(const filterflow::LoadingFit& fit) {
    if (fit.law.form != filterflow::LoadingForm::smooth) return fit.parameters[2];
    const double scale = fit.parameters[0].value, transition = fit.parameters[1].value;
    filterflow::Uncertain<double> slope(std::exp(transition / scale) / scale);
    slope.gradient.add(fit.parameters[0].gradient, -slope.value * (scale + transition) / (scale * scale));
    slope.gradient.add(fit.parameters[1].gradient, slope.value / scale);
    return slope;
}

}   // namespace choose_filter
