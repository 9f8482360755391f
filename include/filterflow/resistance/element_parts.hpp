// SPDX-License-Identifier: BSL-1.0
#pragma once

// What stands around a pack: a frame that narrows the way, perforated grilles, a wire screen. Each costs a viscous and
// an inertial part, so that the whole is an element curve again.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A plate with round holes.
template <class T>
struct BasicPerforatedPlate {
    T open_share;                   ///< area of the holes over that of the plate, > 0 to 1
    BasicLength<T> hole_diameter;   ///< > 0
};
using PerforatedPlate = BasicPerforatedPlate<double>;

/// A plain square weave of round wire.
template <class T>
struct BasicWireScreen {
    BasicLength<T> wire_diameter;   ///< > 0
    BasicLength<T> pitch;           ///< of the wires, centre to centre, > wire diameter
};
using WireScreen = BasicWireScreen<double>;

namespace detail {

/// On the velocity before the plate. Written out, since the derivative of a square root is infinite at zero.
template <class T>
T perforated_plate_loss(const T& open) {
    using std::sqrt;
    const T closed = T(1) - open;
    const T root_part = plain_value(closed) > 0.0 ? T(2.0 * 0.707 * closed * sqrt(closed)) : T(0);
    return (T(0.707 * 0.707) * closed + root_part + closed * closed) / (open * open);
}

/// On the velocity before the frame.
template <class T>
T frame_loss(const T& open) {
    using std::sqrt;
    const T fifth = open * open * sqrt(open);   // fifth power of the ratio of diameters
    const T jet = T(1) + T(0.622) * (T(1) - T(0.215) * open - T(0.785) * fifth);
    const T contraction = T(0.0696) * (T(1) - fifth) * jet * jet + (jet - T(1)) * (jet - T(1));
    const T closed = T(1) - open;
    return (contraction + closed * closed) / (open * open);
}

/// A weave of round wire in a slab two wires thick.
template <class T>
struct Weave {
    T thickness, opening, porosity, surface;   // surface over volume of the slab [1/m]
};

template <class T>
Weave<T> weave(const BasicWireScreen<T>& screen) {
    using std::sqrt;
    const T d = screen.wire_diameter.value(), p = screen.pitch.value();
    const T slant = sqrt(T(1) + (d / p) * (d / p));
    const T solid = T(0.25 * 3.14159265358979323846) * (d / p) * slant;
    return {T(2) * d, p - d, T(1) - solid, T(4) * solid / d};
}

template <class T>
void check(const BasicWireScreen<T>& screen, const char* where) {
    const double d = plain_value(require_positive(where, "wire_diameter", screen.wire_diameter.value(), "m"));
    const double p = plain_value(require_positive(where, "pitch of the wires", screen.pitch.value(), "m"));
    if (!(p > d)) {
        throw_domain_error(where, "pitch of the wires", p, "m", "> the wire's diameter " + number_text(d) + " m");
    }
}

template <class T>
const T& require_open_share(const char* where, const char* name, const T& share) {
    const double value = plain_value(share);
    if (!(value > 0.0 && value <= 1.0)) throw_domain_error(where, name, value, "-", "> 0 and at most 1");
    return share;
}

/// r and s of a screen in SI.
template <class T>
ElementCoefficients<T> screen_coefficients(const BasicWireScreen<T>& screen, const T& area, const AirState& air) {
    const Weave<T> w = weave(screen);
    const T per_opening = w.thickness / (w.porosity * w.porosity);
    return {T(8.61 * air.viscosity.value()) * w.surface * w.surface * per_opening / area,
            T(0.52 * air.density.value()) * per_opening / (w.opening * area * area)};
}

template <class T>
BasicElementCurve<T> curve_of(const ElementCoefficients<T>& c, const AirState& air, const char* where) {
    require_finite(where, "linear part of the result", c.linear, "Pa s/m3");
    require_finite(where, "quadratic part of the result", c.quadratic, "Pa s2/m6");
    return {BasicLinearResistance<T>::from_value(c.linear), BasicQuadraticResistance<T>::from_value(c.quadratic), air};
}

}   // namespace detail

/// Loss coefficient of a thin plate with sharp-edged holes, on the velocity before it.
///
/// Equation: K = (0.707 (1 - f)^0.5 + 1 - f)^2/f^2
/// Symbols:  f open share [-], K pressure drop over rho v^2/2 [-], v velocity before the plate
/// Validity: sharp edges, plate thin beside the holes, hole Reynolds number above 1e5; some 20 % down to 1000. Holes
///           longer than their diameter lose up to a half less: the air meets their walls again
/// @param  open_share  area of the holes over that of the plate [-], > 0 to 1
/// @return loss coefficient [-]
/// @throws DomainError if the share is not > 0 and at most 1, or the result is not finite
/// @source Idelchik, Handbook of Hydraulic Resistance, diagram 8-1 (from memory); test:
///         resistance/element_parts_test.cpp
template <class T>
T perforated_plate_loss_coefficient(const T& open_share) {
    constexpr auto where = "perforated_plate_loss_coefficient";
    detail::require_open_share(where, "open_share", open_share);
    return detail::require_finite(where, "result", detail::perforated_plate_loss(open_share), "-");
}
template <Deferred...>
inline double perforated_plate_loss_coefficient(double open_share) {
    return perforated_plate_loss_coefficient<double>(open_share);
}

/// Loss coefficient of a frame that narrows the way to a pack and lets it widen behind, on the velocity before it.
///
/// Equation: K = [0.0696 (1 - b^5) j^2 + (j - 1)^2 + (1 - f)^2]/f^2,
///           j = 1 + 0.622 (1 - 0.215 b^2 - 0.785 b^5), b = f^0.5
/// Symbols:  f opening over face area [-], j velocity of the contracted jet over that in the opening, K drop over
///           rho v^2/2 [-], v velocity before the frame
/// Validity: sharp edges, turbulent; the widening is that of a jet of even velocity. Round edges lose less
/// @param  open_share  opening of the frame over the face area [-], > 0 to 1
/// @return loss coefficient [-]
/// @throws DomainError if the share is not > 0 and at most 1, or the result is not finite
/// @source contraction: Rennels and Hudson 2012 (read in an open library); widening: Borda and Carnot;
///         test: resistance/element_parts_test.cpp
template <class T>
T frame_loss_coefficient(const T& open_share) {
    constexpr auto where = "frame_loss_coefficient";
    detail::require_open_share(where, "open_share", open_share);
    return detail::require_finite(where, "result", detail::frame_loss(open_share), "-");
}
template <Deferred...>
inline double frame_loss_coefficient(double open_share) { return frame_loss_coefficient<double>(open_share); }

/// Element curve of a loss coefficient.
///
/// Equation: s = K rho/(2 A^2), r = 0
/// Symbols:  K loss coefficient [-], A area [m2], rho density [kg/m3]
/// Validity: a coefficient that does not depend on the velocity
/// @param  loss_coefficient  on the velocity in the area [-], >= 0
/// @param  area  [m2], > 0
/// @param  stated_air  air for which the curve is stated
/// @return curve, inertial only
/// @throws DomainError if an argument is out of range or the result is not finite
/// @source definition of the loss coefficient; test: resistance/element_parts_test.cpp
template <class T>
BasicElementCurve<T> loss_curve(const T& loss_coefficient, BasicArea<T> area, const AirState& stated_air) {
    constexpr auto where = "loss_curve";
    detail::require_non_negative(where, "loss_coefficient", loss_coefficient, "-");
    const T a = detail::require_positive(where, "area", area.value(), "m2");
    detail::check_air(stated_air, where);
    return detail::curve_of<T>({T(0), loss_coefficient * T(0.5 * stated_air.density.value()) / (a * a)}, stated_air,
                               where);
}
template <Deferred...>
inline ElementCurve loss_curve(double loss_coefficient, Area area, const AirState& stated_air) {
    return loss_curve<double>(loss_coefficient, area, stated_air);
}

/// Open share of a wire screen seen along the flow.
///
/// Equation: f = (1 - d/p)^2
/// Symbols:  d wire diameter [m], p pitch [m]
/// Validity: plain square weave
/// @param  screen  wire and pitch
/// @return open share [-], 0 to 1
/// @throws DomainError if the wire's diameter is not > 0 or the pitch not greater
/// @source geometry; test: resistance/element_parts_test.cpp
template <class T>
T open_share(const BasicWireScreen<T>& screen) {
    detail::check(screen, "open_share(WireScreen)");
    const T gap = T(1) - screen.wire_diameter.value() / screen.pitch.value();
    return gap * gap;
}
template <Deferred...>
inline double open_share(const WireScreen& screen) { return open_share<double>(screen); }

/// Element curve of a wire screen.
///
/// Equation: dp = (t/e^2) (8.61 mu c^2 v + 0.52 rho v^2/D); t = 2 d, D = p - d, c = 4 (1 - e)/d,
///           1 - e = (pi/4) (d/p) (1 + (d/p)^2)^0.5; r Q and s Q^2 with v = Q/A
/// Symbols:  d wire diameter [m], p pitch [m], t thickness, D opening [m], e porosity [-], c surface of the wires over
///           volume [1/m], v velocity before the screen [m/s], A area [m2]
/// Validity: plain square weave, porosity 0.35 to 0.76, Reynolds number rho v/(mu c^2 D) 0.1 to 1000 (status of
///           pressure_drop_parts). From open shares of 0.3 to 0.7 and wire Reynolds numbers of 20 to 400 within 21 % of
///           a table of loss coefficients from another source
/// @param  screen  wire and pitch
/// @param  area  of the screen [m2], > 0
/// @param  stated_air  air for which the curve is stated
/// @return curve with viscous and inertial part
/// @throws DomainError if an argument is out of range or the result is not finite
/// @source Armour and Cannon 1968, AIChE J. 14:415 (from memory); test: resistance/element_parts_test.cpp
template <class T>
BasicElementCurve<T> wire_screen_curve(const BasicWireScreen<T>& screen, BasicArea<T> area,
                                       const AirState& stated_air) {
    constexpr auto where = "wire_screen_curve";
    detail::check(screen, where);
    const T a = detail::require_positive(where, "area", area.value(), "m2");
    detail::check_air(stated_air, where);
    return detail::curve_of(detail::screen_coefficients(screen, a, stated_air), stated_air, where);
}
template <Deferred...>
inline ElementCurve wire_screen_curve(const WireScreen& screen, Area area, const AirState& stated_air) {
    return wire_screen_curve<double>(screen, area, stated_air);
}

}   // namespace filterflow
