// SPDX-License-Identifier: BSL-1.0
#pragma once

// A pack with what stands around it, as an element curve and by its parts; the curve of a pack from its model.

#include <algorithm>
#include <cmath>
#include <optional>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/element_parts.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// A pack with what stands around it.
template <class T>
struct BasicElementAssembly {
    BasicElementCurve<T> pack;   ///< of the pack with its whole face open
    BasicArea<T> face_area;      ///< of the duct, frame included, > 0
    T pack_open_share = T(1);    ///< of the pack's face that glue and bars leave open, > 0 to 1
    T frame_open_share = T(1);   ///< opening of the frame over the face area, > 0 to 1
    std::optional<BasicPerforatedPlate<T>> upstream_grille = std::nullopt;   ///< in the frame's opening; none if absent
    std::optional<BasicPerforatedPlate<T>> downstream_grille = std::nullopt;   ///< likewise
    std::optional<BasicWireScreen<T>> screen = std::nullopt;   ///< in the frame's opening; none if absent
};
using ElementAssembly = BasicElementAssembly<double>;

/// Pressure drop of a pack and of what stands around it.
template <class T>
struct BasicAssemblyDrop {
    BasicPressure<T> total;        ///< sum of the parts
    BasicPressure<T> pack;         ///< at the velocity that the covered face leaves
    BasicPressure<T> frame;        ///< narrowing before the pack and widening behind it
    BasicPressure<T> grilles;      ///< of both
    BasicPressure<T> screen;       ///< of the wires
    T hole_reynolds_number;        ///< in the holes of the slower grille; 0 without one
    T screen_reynolds_number;      ///< as wire_screen_curve; 0 without one
    bool grilles_in_range = true;  ///< hole Reynolds number at least 1000: below it the coefficient is not known
    bool screen_in_range = true;   ///< Reynolds number and porosity as wire_screen_curve
};
using AssemblyDrop = BasicAssemblyDrop<double>;

/// An element curve laid through a model at two flows.
template <class T>
struct BasicPackCurve {
    BasicElementCurve<T> curve;      ///< equal to the model at both flows
    double greatest_deviation = 0;   ///< of the curve from the model between them, relative, >= 0
};
using PackCurve = BasicPackCurve<double>;

namespace detail {

inline constexpr double least_hole_reynolds_number = 1000.0;

/// r and s of each part of an assembly in its stated air; the assembly was checked.
template <class T>
struct AssemblyCoefficients {
    ElementCoefficients<T> pack, frame, grilles, screen;
};

template <class T>
void check(const BasicElementAssembly<T>& a, const char* where) {
    require_non_negative(where, "linear part of the pack", a.pack.linear.value(), "Pa s/m3");
    require_non_negative(where, "quadratic part of the pack", a.pack.quadratic.value(), "Pa s2/m6");
    check_air(a.pack.stated_air, where);
    require_positive(where, "face_area", a.face_area.value(), "m2");
    require_open_share(where, "pack_open_share", a.pack_open_share);
    require_open_share(where, "frame_open_share", a.frame_open_share);
    for (const auto* grille : {&a.upstream_grille, &a.downstream_grille}) {
        if (!*grille) continue;
        require_open_share(where, "open_share of a grille", (*grille)->open_share);
        require_positive(where, "hole_diameter of a grille", (*grille)->hole_diameter.value(), "m");
    }
    if (a.screen) check(*a.screen, where);
}

template <class T>
AssemblyCoefficients<T> assembly_coefficients(const BasicElementAssembly<T>& a) {
    const AirState& air = a.pack.stated_air;
    const T open = a.pack_open_share;
    const T face = a.face_area.value(), opening = face * a.frame_open_share;
    const T half_density = T(0.5 * air.density.value());
    AssemblyCoefficients<T> c{{a.pack.linear.value() / open, a.pack.quadratic.value() / (open * open)},
                              {T(0), half_density * frame_loss(a.frame_open_share) / (face * face)},
                              {T(0), T(0)},
                              {T(0), T(0)}};
    for (const auto* grille : {&a.upstream_grille, &a.downstream_grille}) {
        if (*grille) {
            c.grilles.quadratic += half_density * perforated_plate_loss((*grille)->open_share) / (opening * opening);
        }
    }
    if (a.screen) c.screen = screen_coefficients(*a.screen, opening, air);
    return c;
}

}   // namespace detail

/// Curve of an element part of whose face is covered, so that the rest takes all of the flow.
///
/// Equation: r' = r/f, s' = s/f^2
/// Symbols:  f open share of the face [-], r, s of the element with its face open
/// Validity: the air beside the cover is as evenly spread as before; the narrowing itself is frame_loss_coefficient
/// @param  curve  element with its whole face open, r and s >= 0
/// @param  open_share  of the face [-], > 0 to 1
/// @return curve of the element as covered
/// @throws DomainError if r, s or the share is out of range, or the result is not finite
/// @source continuity; test: resistance/element_parts_test.cpp
template <class T>
BasicElementCurve<T> covered_element(const BasicElementCurve<T>& curve, const T& open_share) {
    constexpr auto where = "covered_element";
    detail::check(curve, air_as<T>(curve.stated_air), where);
    detail::require_open_share(where, "open_share", open_share);
    return detail::curve_of<T>({curve.linear.value() / open_share, curve.quadratic.value() / (open_share * open_share)},
                               curve.stated_air, where);
}
template <Deferred...>
inline ElementCurve covered_element(const ElementCurve& curve, double open_share) {
    return covered_element<double>(curve, open_share);
}

/// Curve of two elements one behind the other, in the air of the first.
///
/// Equation: r = r1 + r2 mu1/mu2, s = s1 + s2 rho1/rho2
/// Symbols:  r, s of the elements in their stated airs, mu viscosity, rho density of these
/// Validity: far enough apart that neither disturbs the other
/// @param  first  element, r and s >= 0
/// @param  second  element, r and s >= 0
/// @return curve of both
/// @throws DomainError if r or s is < 0 or an air is out of range, or the result is not finite
/// @source common practice; test: resistance/element_parts_test.cpp
template <class T>
BasicElementCurve<T> elements_in_series(const BasicElementCurve<T>& first, const BasicElementCurve<T>& second) {
    constexpr auto where = "elements_in_series";
    const BasicAirState<T> air = air_as<T>(first.stated_air);
    detail::check(first, air, where);
    detail::check(second, air, where);
    const detail::ElementCoefficients<T> added = detail::element_coefficients(second, air);
    return detail::curve_of<T>({first.linear.value() + added.linear, first.quadratic.value() + added.quadratic},
                               first.stated_air, where);
}
template <Deferred...>
inline ElementCurve elements_in_series(const ElementCurve& first, const ElementCurve& second) {
    return elements_in_series<double>(first, second);
}

/// Element curve of a pleated filter, laid through its model at two flows.
///
/// Equation: r Q_i + s Q_i^2 = dp(Q_i), i = 1, 2
/// Symbols:  dp of pressure_drop(PleatedFilter) [Pa], Q flow [m3/s]
/// Validity: between the two flows, as closely as `greatest_deviation` says (seven flows between are tried)
/// @param  filter  medium and pack
/// @param  flows  least and greatest flow [m3/s], least > 0, greatest at least 1.05 times the least
/// @param  stated_air  air for which the curve is stated
/// @return curve and its greatest deviation from the model
/// @throws DomainError as pressure_drop(PleatedFilter), if the flows are out of range, or if the model's drop over flow
///         falls between them, so that no curve with s >= 0 goes through both; NoSolution as that function
/// @source own; test: resistance/element_parts_test.cpp
template <class T>
BasicPackCurve<T> pack_curve(const BasicPleatedFilter<T>& filter, Interval<VolumeFlow> flows,
                             const AirState& stated_air) {
    constexpr auto where = "pack_curve";
    const double q1 = detail::require_positive(where, "least flow", flows.lower.value(), "m3/s");
    const double q2 = detail::require_positive(where, "greatest flow", flows.upper.value(), "m3/s");
    if (!(q2 >= 1.05 * q1)) {
        detail::throw_domain_error(where, "greatest flow", q2, "m3/s",
                                   "at least 1.05 times the least flow " + detail::number_text(q1) + " m3/s");
    }
    const BasicAirState<T> air = air_as<T>(stated_air);
    const auto over_flow = [&](double q) {
        return T(pressure_drop(filter, BasicVolumeFlow<T>::from_value(T(q)), air).value() / T(q));
    };
    const T least = over_flow(q1), greatest = over_flow(q2);
    const T s = (greatest - least) / T(q2 - q1);
    const T r = least - s * T(q1);
    detail::require_non_negative(where, "quadratic part through both flows", s, "Pa s2/m6");
    detail::require_non_negative(where, "linear part through both flows", r, "Pa s/m3");
    BasicPackCurve<T> result{detail::curve_of<T>({r, s}, stated_air, where), 0.0};
    for (int i = 1; i < 8; ++i) {
        const double q = q1 + (q2 - q1) * i / 8.0;
        const double model = detail::plain_value(over_flow(q));
        const double line = detail::plain_value(r) + detail::plain_value(s) * q;
        result.greatest_deviation = std::max(result.greatest_deviation, std::abs(line - model) / model);
    }
    return result;
}
template <Deferred...>
inline PackCurve pack_curve(const PleatedFilter& filter, Interval<VolumeFlow> flows, const AirState& stated_air) {
    return pack_curve<double>(filter, flows, stated_air);
}

/// Element curve of a pack with frame, grilles, screen and cover, in the pack's stated air.
///
/// Equation: r = r_p/g + r_s, s = s_p/g^2 + rho/(2 A^2) [K_f + sum K_g/f^2] + s_s
/// Symbols:  r_p, s_p of the pack, g its open share, A face area [m2], f frame's open share, rho density,
///           K_f frame_loss_coefficient, K_g perforated_plate_loss_coefficient, r_s, s_s wire_screen_curve of f A
/// Validity: parts do not disturb each other. A grille that lies on the pack shades what is behind its bars: put that
///           share into pack_open_share; jets from an upstream grille that strike the pack are not modelled
/// @param  assembly  pack and what stands around it
/// @return curve of the whole
/// @throws DomainError if a dimension, share or the pack's curve is out of range, or the result is not finite
/// @source as the functions named; test: resistance/element_parts_test.cpp
template <class T>
BasicElementCurve<T> element_curve(const BasicElementAssembly<T>& assembly) {
    constexpr auto where = "element_curve(ElementAssembly)";
    detail::check(assembly, where);
    const detail::AssemblyCoefficients<T> c = detail::assembly_coefficients(assembly);
    return detail::curve_of<T>(
        {c.pack.linear + c.screen.linear,
         c.pack.quadratic + c.frame.quadratic + c.grilles.quadratic + c.screen.quadratic},
        assembly.pack.stated_air, where);
}
template <Deferred...>
inline ElementCurve element_curve(const ElementAssembly& assembly) { return element_curve<double>(assembly); }

/// Pressure drop of a pack with frame, grilles, screen and cover by its parts, and whether each is in its range.
///
/// Equation: as element_curve(ElementAssembly), each part in the air of operation
/// Symbols:  as there
/// Validity: as there; status for grilles (hole Reynolds number >= 1000) and screen (as wire_screen_curve)
/// @param  assembly  pack and what stands around it
/// @param  flow  [m3/s], any finite value; a backward flow gives negative parts
/// @param  air  air of operation
/// @return the parts [Pa], their sum, and the statuses
/// @throws DomainError as element_curve(ElementAssembly), or if the air or the flow is out of range
/// @source as the functions named there; test: resistance/element_parts_test.cpp
template <class T>
BasicAssemblyDrop<T> pressure_drop_parts(const BasicElementAssembly<T>& assembly, BasicVolumeFlow<T> flow,
                                         const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop_parts(ElementAssembly)";
    using std::abs;
    detail::check(assembly, where);
    detail::check_air(air, where);
    const T q = detail::require_finite(where, "flow", flow.value(), "m3/s");
    const detail::AssemblyCoefficients<T> c = detail::assembly_coefficients(assembly);
    const AirState& stated = assembly.pack.stated_air;
    const T viscosity = air.viscosity.value() / T(stated.viscosity.value());
    const T density = air.density.value() / T(stated.density.value());
    const auto drop = [&](const detail::ElementCoefficients<T>& part) {
        return BasicPressure<T>::from_value(detail::element_pressure_drop<T>(
            {part.linear * viscosity, part.quadratic * density}, q));
    };
    BasicAssemblyDrop<T> result{{}, drop(c.pack), drop(c.frame), drop(c.grilles), drop(c.screen), T(0), T(0)};
    result.total = result.pack + result.frame + result.grilles + result.screen;
    detail::require_finite(where, "result", result.total.value(), "Pa");
    const T over_viscosity = air.density.value() / air.viscosity.value();
    const T velocity = abs(q) / (assembly.face_area.value() * assembly.frame_open_share);
    for (const auto* grille : {&assembly.upstream_grille, &assembly.downstream_grille}) {
        if (!*grille) continue;
        const T reynolds = over_viscosity * velocity / (*grille)->open_share * (*grille)->hole_diameter.value();
        detail::require_finite(where, "Reynolds number of a grille", reynolds, "-");
        if (result.hole_reynolds_number == T(0) || reynolds < result.hole_reynolds_number) {
            result.hole_reynolds_number = reynolds;
        }
        if (!(detail::plain_value(reynolds) >= detail::least_hole_reynolds_number)) result.grilles_in_range = false;
    }
    if (assembly.screen) {
        const detail::Weave<T> w = detail::weave(*assembly.screen);
        const T reynolds = over_viscosity * velocity / (w.surface * w.surface * w.opening);
        result.screen_reynolds_number = detail::require_finite(where, "Reynolds number of the screen", reynolds, "-");
        const double porosity = detail::plain_value(w.porosity), number = detail::plain_value(reynolds);
        result.screen_in_range = porosity >= 0.35 && porosity <= 0.76 && number >= 0.1 && number <= 1000.0;
    }
    return result;
}
template <Deferred...>
inline AssemblyDrop pressure_drop_parts(const ElementAssembly& assembly, VolumeFlow flow, const AirState& air) {
    return pressure_drop_parts<double>(assembly, flow, air);
}

}   // namespace filterflow
