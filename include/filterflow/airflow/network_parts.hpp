// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a branch of a network may be beside a duct segment, an element, a fan or a fitting: a butterfly damper, a law
// given as a function; and the list of all.

#include <cmath>
#include <functional>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A round damper with one blade that turns about its middle.
template <class T>
struct BasicButterflyDamper {
    BasicLength<T> diameter{};   ///< of the duct, > 0
    T blade_angle{};             ///< from open [degrees], 0 to 60
};
using ButterflyDamper = BasicButterflyDamper<double>;

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

/// ln K over the blade's angle; the angles are not uncertain, so the table is laid in double.
template <Deferred...>
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
void check(const BasicButterflyDamper<T>& part, const char* where) {
    require_positive(where, "damper diameter", part.diameter.value(), "m");
    require_between(where, "damper blade_angle", part.blade_angle, 0.0, 60.0, "degrees");
}

}   // namespace detail

/// Loss coefficient of a butterfly damper in a round duct, on the velocity in the duct.
///
/// Equation: ln K by monotone cubic over the angle; K = 0.20, 0.52, 1.5, 4.5, 11, 29, 108 at 0, 10 ... 60 degrees
/// Symbols:  K loss coefficient
/// Validity: 0 (open) to 60 degrees; throws outside, where leakage past the closed blade decides
/// @param  blade_angle  from open [degrees], 0 to 60
/// @return loss coefficient on the velocity in the duct
/// @throws DomainError outside the range
/// @source damper table of the sheet-metal trade (from memory); test: airflow/network_parts_test.cpp
template <class T>
BasicLossCoefficient<T> butterfly_damper_loss_coefficient(const T& blade_angle) {
    detail::require_between("butterfly_damper_loss_coefficient", "blade_angle", blade_angle, 0.0, 60.0, "degrees");
    return {detail::butterfly_damper_coefficient(blade_angle), VelocityBasis::duct, 0.0};
}

}   // namespace filterflow
