// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a branch of a network may be beside a duct segment, an element or a fan: a fitting with a coefficient on the
// velocity in a stated area, a butterfly damper, a leak known by one point and an exponent, a law given as a function.

#include <cmath>
#include <functional>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A grille, an outlet, an elbow: a loss without length.
template <class T>
struct BasicFitting {
    BasicArea<T> area{};    ///< in which the velocity is reckoned, > 0
    T loss_coefficient{};   ///< on that velocity; a tee may make it negative
};
using Fitting = BasicFitting<double>;

/// A round damper with one blade that turns about its middle.
template <class T>
struct BasicButterflyDamper {
    BasicLength<T> diameter{};   ///< of the duct, > 0
    T blade_angle{};             ///< from open [degrees], 0 to 60
};
using ButterflyDamper = BasicButterflyDamper<double>;

/// Cracks, seams, a leaky duct: a flow that grows with a power of the pressure difference.
template <class T>
struct BasicLeakagePath {
    BasicVolumeFlow<T> reference_flow{};     ///< at the reference pressure, > 0
    BasicPressure<T> reference_pressure{};   ///< > 0
    T exponent{0.65};                        ///< of the pressure difference, 0.5 (orifice) to 1 (viscous)
};
using LeakagePath = BasicLeakagePath<double>;

/// Pressure drop at one flow, and how it changes with flow.
struct FlowLawPoint {
    Pressure drop{};            ///< from the branch's first node to its second, of either sign
    LinearResistance slope{};   ///< derivative of the drop to the flow
};

/// A law of the user's own, stated for the air in the network: the drop and its slope at any flow of either sign.
/// The drop is to rise with flow, or there may be more than one answer.
using FlowLaw = std::function<FlowLawPoint(VolumeFlow)>;

/// What a branch may be.
using BranchPart = std::variant<DuctSegment, Fitting, ButterflyDamper, ElementCurve, BypassedElement, PowerLawPart,
                                LeakagePath, FanCurve, SystemCurve, FlowLaw>;

namespace detail {

template <class T>
T fitting_quadratic(const BasicFitting<T>& part, const T& density) {
    return T(0.5) * density * part.loss_coefficient / (part.area.value() * part.area.value());
}

/// ln K over the blade's angle; the angles are not uncertain, so the table is laid in double.
inline const MonotoneCubic& butterfly_damper_table() {
    static const MonotoneCubic table = [] {
        std::vector<double> logarithms;
        for (const double k : {0.20, 0.52, 1.5, 4.5, 11.0, 29.0, 108.0}) logarithms.push_back(std::log(k));
        return MonotoneCubic({0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0}, std::move(logarithms));
    }();
    return table;
}

template <class T>
T butterfly_damper_coefficient(const T& blade_angle) {
    using std::exp;
    return exp(T(butterfly_damper_table().value(blade_angle)));
}

template <class T>
BasicFitting<T> damper_as_fitting(const BasicButterflyDamper<T>& part) {
    const T d = part.diameter.value();
    return {BasicArea<T>::from_value(T(0.7853981633974483) * d * d), butterfly_damper_coefficient(part.blade_angle)};
}

template <class T>
void check(const BasicFitting<T>& part, const char* where) {
    require_positive(where, "fitting area", part.area.value(), "m2");
    require_finite(where, "fitting loss_coefficient", part.loss_coefficient, "-");
}

template <class T>
void check(const BasicButterflyDamper<T>& part, const char* where) {
    require_positive(where, "damper diameter", part.diameter.value(), "m");
    require_between(where, "damper blade_angle", part.blade_angle, 0.0, 60.0, "degrees");
}

template <class T>
void check(const BasicLeakagePath<T>& part, const char* where) {
    require_positive(where, "leakage reference_flow", part.reference_flow.value(), "m3/s");
    require_positive(where, "leakage reference_pressure", part.reference_pressure.value(), "Pa");
    require_between(where, "leakage exponent", part.exponent, 0.5, 1.0, "-");
}

}   // namespace detail

/// Pressure drop of a fitting; odd in the flow.
///
/// Equation: dp = K rho V |V| / 2, V = Q / A
/// Symbols:  K loss coefficient, A area of its velocity, rho density, Q flow
/// Validity: turbulent flow; published coefficients of one fitting scatter by about 30 %
/// @param  part  area and coefficient
/// @param  flow  [m3/s], any finite value
/// @param  air  air in the fitting
/// @return pressure drop [Pa]
/// @throws DomainError if an argument is out of its range or not finite
/// @source definition of the loss coefficient; test: airflow/network_parts_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicFitting<T>& part, BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(Fitting)";
    using std::abs;
    detail::check(part, where);
    detail::check_air(air, where);
    const T q = detail::require_finite(where, "flow", flow.value(), "m3/s");
    return BasicPressure<T>::from_value(detail::require_finite(
        where, "result", T(detail::fitting_quadratic(part, T(air.density.value())) * q * abs(q)), "Pa"));
}
inline Pressure pressure_drop(const Fitting& part, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(part, flow, air);
}

/// Loss coefficient of a butterfly damper in a round duct, on the velocity in the duct.
///
/// Equation: ln K by monotone cubic over the angle; K = 0.20, 0.52, 1.5, 4.5, 11, 29, 108 at 0, 10 ... 60 degrees
/// Symbols:  K loss coefficient
/// Validity: 0 (open) to 60 degrees; throws outside, where leakage past the closed blade decides
/// @param  blade_angle  from open [degrees], 0 to 60
/// @return loss coefficient [-]
/// @throws DomainError outside the range
/// @source damper table of the sheet-metal trade (from memory); test: airflow/network_parts_test.cpp
template <class T>
T butterfly_damper_loss_coefficient(const T& blade_angle) {
    detail::require_between("butterfly_damper_loss_coefficient", "blade_angle", blade_angle, 0.0, 60.0, "degrees");
    return detail::butterfly_damper_coefficient(blade_angle);
}

/// Flow through a leak; odd in the pressure difference.
///
/// Equation: Q = Q0 (dp / p0)^n
/// Symbols:  Q0, p0 reference point, n exponent
/// Validity: pressures near those of the reference, as cracks change from viscous to orifice flow
/// @param  part  point and exponent
/// @param  difference  pressure inside less outside [Pa], any finite value
/// @return leakage flow [m3/s]
/// @throws DomainError if an argument is out of its range or not finite
/// @source common practice; test: airflow/network_parts_test.cpp
template <class T>
BasicVolumeFlow<T> leakage_flow(const BasicLeakagePath<T>& part, BasicPressure<T> difference) {
    constexpr auto where = "leakage_flow";
    using std::abs;
    using std::pow;
    detail::check(part, where);
    const T p = detail::require_finite(where, "difference", difference.value(), "Pa");
    if (!(abs(p) > T(0.0))) return BasicVolumeFlow<T>::from_value(T(0));
    const T size = part.reference_flow.value() * pow(T(abs(p) / part.reference_pressure.value()), part.exponent);
    return BasicVolumeFlow<T>::from_value(p < T(0.0) ? T(-size) : size);
}
inline VolumeFlow leakage_flow(const LeakagePath& part, Pressure difference) {
    return leakage_flow<double>(part, difference);
}

}   // namespace filterflow
