// SPDX-License-Identifier: BSL-1.0
#pragma once

// A loss coefficient means nothing without the velocity it refers to, so the two are one type here; and a fitting is a
// coefficient with the area of that velocity.

#include <cmath>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Which mean velocity a loss coefficient is to be multiplied with.
enum class VelocityBasis {
    duct,              ///< in the duct that the fitting belongs to: entries, exits, elbows, dampers
    smaller_section,   ///< in the narrower of two sections: contractions, widenings
    joined_flow,       ///< in the leg of a junction that carries the whole flow
    fan_inlet          ///< in the inlet of a fan
};

/// A loss coefficient K, dp = K rho V^2 / 2, with the velocity V that it refers to and how far published values of it
/// lie apart.
template <class T>
struct BasicLossCoefficient {
    T value{};                                      ///< K; a junction may make it negative
    VelocityBasis basis = VelocityBasis::duct;      ///< of V
    double relative_uncertainty = 0.0;              ///< half the width, over K, of the range that published values
                                                    ///< cover; 0: none stated. 0.3 for elbows
};
using LossCoefficient = BasicLossCoefficient<double>;

/// The ends of the range in which a loss coefficient lies.
struct LossCoefficientRange {
    double least;      ///< lower end
    double greatest;   ///< upper end
};

/// A grille, an outlet, an elbow: a loss without length.
template <class T>
struct BasicFitting {
    BasicArea<T> area{};    ///< in which the velocity is reckoned, > 0
    T loss_coefficient{};   ///< on that velocity; a tee may make it negative
};
using Fitting = BasicFitting<double>;

/// A duct and, in it or beside it, the section in which a loss coefficient's velocity is reckoned; one flow in both.
template <class T>
struct BasicSectionAreas {
    BasicArea<T> basis{};   ///< of the coefficient's velocity, > 0
    BasicArea<T> duct{};    ///< of the duct, > 0
};
using SectionAreas = BasicSectionAreas<double>;

namespace detail {

template <class T>
T fitting_quadratic(const BasicFitting<T>& part, const T& density) {
    return T(0.5) * density * part.loss_coefficient / (part.area.value() * part.area.value());
}

template <class T>
void check(const BasicFitting<T>& part, const char* where) {
    require_positive(where, "fitting area", part.area.value(), "m2");
    require_finite(where, "fitting loss_coefficient", part.loss_coefficient, "-");
}

template <class T>
void check(const BasicLossCoefficient<T>& k, const char* where) {
    require_finite(where, "loss coefficient", k.value, "-");
    require_between(where, "relative_uncertainty", k.relative_uncertainty, 0.0, 1.0, "-");
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
template <Deferred...>
inline Pressure pressure_drop(const Fitting& part, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(part, flow, air);
}

/// The fitting of a loss coefficient in a section.
///
/// Equation: none
/// Symbols:  none
/// Validity: the section is the one that the coefficient's basis names
/// @param  coefficient  K with its basis
/// @param  basis_area  area of that basis [m2], > 0
/// @return fitting of that area and coefficient
/// @throws DomainError if the area is not > 0 or the coefficient is not finite
/// @source definition; test: airflow/fittings_test.cpp
template <class T>
BasicFitting<T> fitting_in(const BasicLossCoefficient<T>& coefficient, BasicArea<T> basis_area) {
    detail::check(coefficient, "fitting_in");
    const BasicFitting<T> fitting{basis_area, coefficient.value};
    detail::check(fitting, "fitting_in");
    return fitting;
}

/// The coefficient that stands for the same loss on the velocity in a duct: what a duct segment asks for.
///
/// Equation: K_d = K (A_d / A_b)^2
/// Symbols:  A_d area of the duct, A_b area of the velocity that K refers to
/// Validity: one flow in both sections. A junction's coefficient is on the whole flow, of which its legs carry shares:
///           it is refused here, junction_leg takes it
/// @param  coefficient  K with its basis, any but VelocityBasis::joined_flow
/// @param  areas  of its basis and of the duct [m2], > 0
/// @return coefficient on the velocity in the duct, same relative uncertainty
/// @throws DomainError if an area is not > 0, the coefficient is not finite or that of a junction
/// @source continuity; test: airflow/fittings_test.cpp
template <class T>
BasicLossCoefficient<T> on_velocity_in_duct(const BasicLossCoefficient<T>& coefficient,
                                            const BasicSectionAreas<T>& areas) {
    constexpr auto where = "on_velocity_in_duct";
    detail::check(coefficient, where);
    if (coefficient.basis == VelocityBasis::joined_flow) {
        throw DomainError(std::string(where) + ": a junction's coefficient is on the velocity of the whole flow; "
                                               "required: another basis, or junction_leg with the leg's share");
    }
    const T ratio = detail::require_positive(where, "area of the duct", areas.duct.value(), "m2") /
                    detail::require_positive(where, "area of the basis", areas.basis.value(), "m2");
    return {coefficient.value * ratio * ratio, VelocityBasis::duct, coefficient.relative_uncertainty};
}

/// The range in which a loss coefficient lies by its stated uncertainty.
///
/// Equation: K - u |K| to K + u |K|
/// Symbols:  u relative uncertainty
/// Validity: as the uncertainty was stated
/// @param  coefficient  K with its uncertainty
/// @return both ends [-]
/// @throws DomainError if K is not finite or the uncertainty lies outside 0 to 1
/// @source definition; test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficientRange loss_coefficient_range(const LossCoefficient& coefficient) {
    detail::check(coefficient, "loss_coefficient_range");
    const double half = coefficient.relative_uncertainty * std::abs(coefficient.value);
    return {coefficient.value - half, coefficient.value + half};
}

/// Standard uncertainty of a loss coefficient, for what propagates uncertainties.
///
/// Equation: u |K| / sqrt 3
/// Symbols:  as loss_coefficient_range
/// Validity: every value of the range equally likely
/// @param  coefficient  K with its uncertainty
/// @return standard uncertainty [-]
/// @throws DomainError as loss_coefficient_range
/// @source rectangular distribution, JCGM 100:2008, 4.3.7; test: airflow/fittings_test.cpp
template <Deferred...>
inline double standard_uncertainty(const LossCoefficient& coefficient) {
    detail::check(coefficient, "standard_uncertainty");
    return coefficient.relative_uncertainty * std::abs(coefficient.value) / std::sqrt(3.0);
}

}   // namespace filterflow
