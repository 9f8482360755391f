// SPDX-License-Identifier: BSL-1.0
#pragma once

// Permeability of the medium of a filter that was tested clean and then opened: pleats counted, depth and thickness
// measured. Only the viscous part of the element's curve is used, since the inertial part belongs to frame, gaps
// and edges as much as to the medium.

#include <cmath>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// What an opened filter says about its medium.
struct OpenedMedium {
    Uncertain<Permeability> permeability;   ///< with the uncertainty of the curve; the ruler's is not in it
    double medium_share = 0;                ///< of the medium in the element's viscous part; the rest is channels
};

/// Permeability of the medium of an opened pleated filter from its clean element curve.
///
/// Equation: r = R g(X(R)) / (2 N L B), solved for R = mu t/k; r, mu of the stated air; g as pressure_drop_parts
/// Symbols:  r linear part of the curve [Pa s/m3], N count, L depth [m], B fold length [m], t thickness [m],
///           k permeability [m2], mu viscosity [Pa s]
/// Validity: as pressure_drop_parts; a curve whose viscous part was shown by readings (a form that was assumed, or
///           an inertial-only fit, is refused)
/// @param  fit  clean element curve, tare removed
/// @param  pack  geometry as measured
/// @param  thickness  of the medium [m], > 0
/// @return permeability [m2] with the uncertainty of the curve, and the medium's share
/// @throws DomainError if a dimension is out of range, the form was assumed or has no viscous part; NoSolution if
///         the channels of that geometry alone resist more than the whole element did
/// @source own, the inverse of pressure_drop_parts; test: resistance/opened_filter_test.cpp
[[nodiscard]] inline OpenedMedium opened_medium(const ElementFit& fit, const PleatPack& pack, Length thickness) {
    constexpr auto where = "opened_medium";
    const PleatGaps gaps = pleat_gaps(pack, thickness);
    const AirState& air = fit.curve.stated_air;
    detail::check_air(air, where);
    if (fit.form_assumed) {
        detail::throw_domain_error(where, "readings of the curve", static_cast<double>(fit.reading_count), "",
                                   "two or more at different flows: a form that is assumed says nothing about the "
                                   "medium");
    }
    const double r = detail::require_positive(where, "linear part of the curve", fit.curve.linear.value(), "Pa s/m3");
    const double area = media_area(pack) / units::m2;
    const double depth = pack.depth.value();
    const auto cube = [](double h) { return h * h * h; };
    const double a1 = 12.0 * air.viscosity.value() / cube(gaps.inlet.value());
    const double a2 = 12.0 * air.viscosity.value() / cube(gaps.outlet.value());
    const double share = a2 / (a1 + a2);
    // Per unit of velocity through the medium the element resists r A, of which R = exp(y) is the medium's.
    const auto excess = [&](double y) {
        const auto resistance = exp(Dual<1>::input(y, 0));
        const auto two = detail::two_channel<Dual<1>>(2.0 * (a1 + a2) * depth * depth / resistance, share);
        const Dual<1> f = resistance * (1.0 + two.excess) / (r * area) - 1.0;
        return std::pair(f.value, f.derivative[0]);
    };
    const double most = std::log(r * area);   // R alone cannot resist more than the element
    const double least = most - std::log(1e9);
    if (!(excess(least).first < 0.0)) {
        throw NoSolution(std::string(where) + ": the channels of that geometry alone resist at least " +
                         detail::number_text((1.0 + excess(least).first) * r) + " Pa s/m3, the element " +
                         detail::number_text(r) + " Pa s/m3; check count, thickness and fold length");
    }
    const Root root = find_root(excess, least, most + 1e-9, 1e-15);
    if (!root.converged) throw NoSolution(std::string(where) + ": the search did not converge");
    const double resistance = std::exp(root.location);
    OpenedMedium medium;
    medium.medium_share = resistance / (r * area);
    medium.permeability.value = Permeability::from_value(air.viscosity.value() * thickness.value() / resistance);
    // d ln k/d ln r = -d y/d ln r, and f = F(y)/r - 1 gives d y/d ln r = 1/F'(y) at the root.
    const double slope = excess(root.location).second;
    medium.permeability.gradient.add(fit.linear.gradient, -medium.permeability.value.value() / (slope * r));
    return medium;
}

}   // namespace filterflow
