// SPDX-License-Identifier: BSL-1.0
#pragma once

// Flow elements that turn a flow into a differential pressure: discharge coefficients and expansibilities of the
// primary devices of ISO 5167 (orifice plates, nozzles, Venturi tubes) and of the nozzles of fan test chambers.

#include <cmath>
#include <optional>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Kind of flow element, with its pressure taps or finish where the coefficient depends on them.
enum class FlowElementKind {
    orifice_corner_taps,            ///< ISO 5167-2 orifice plate, corner taps
    orifice_diameter_taps,          ///< ISO 5167-2 orifice plate, taps one diameter upstream and half one downstream
    orifice_flange_taps,            ///< ISO 5167-2 orifice plate, taps 25.4 mm from either face
    isa_1932_nozzle,                ///< ISO 5167-3
    long_radius_nozzle,             ///< ISO 5167-3
    venturi_nozzle,                 ///< ISO 5167-3
    classical_venturi_as_cast,      ///< ISO 5167-4, convergent section as cast
    classical_venturi_machined,     ///< ISO 5167-4, convergent section machined
    classical_venturi_welded_sheet, ///< ISO 5167-4, convergent section of rough welded sheet
    chamber_nozzle_long_throat,     ///< fan test code, throat 0.6 diameters long, drawing from a chamber
    chamber_nozzle_short_throat,    ///< fan test code, throat 0.5 diameters long, drawing from a chamber
    stated_nozzle                   ///< inlet or chamber nozzle of which the user states the coefficient
};

/// The bore of a flow element.
template <class T>
struct BasicFlowElementBore {
    FlowElementKind kind{};                       ///< which coefficient holds
    std::optional<BasicLength<T>> pipe_diameter{};  ///< upstream, > throat; none: draws from a room or chamber
    BasicLength<T> throat_diameter{};             ///< smallest diameter, > 0
};
using FlowElementBore = BasicFlowElementBore<double>;

/// What the expansion of the gas in a flow element depends on.
template <class T>
struct BasicElementExpansion {
    FlowElementKind kind{};          ///< orifice plates and nozzles differ
    T diameter_ratio{};              ///< throat over pipe diameter, from 0 (no pipe) to below 1
    T pressure_ratio{};              ///< absolute pressure at the downstream tap over that at the upstream tap
    double isentropic_exponent = 1.4;///< of the gas; air 1.4
};
using ElementExpansion = BasicElementExpansion<double>;

namespace detail {

constexpr bool is_orifice(FlowElementKind kind) {
    return kind == FlowElementKind::orifice_corner_taps || kind == FlowElementKind::orifice_diameter_taps ||
           kind == FlowElementKind::orifice_flange_taps;
}
constexpr bool is_classical_venturi(FlowElementKind kind) {
    return kind == FlowElementKind::classical_venturi_as_cast ||
           kind == FlowElementKind::classical_venturi_machined ||
           kind == FlowElementKind::classical_venturi_welded_sheet;
}
constexpr bool is_chamber_nozzle(FlowElementKind kind) {
    return kind == FlowElementKind::chamber_nozzle_long_throat ||
           kind == FlowElementKind::chamber_nozzle_short_throat;
}
/// Whether the element sits in a pipe whose diameter its coefficient needs.
constexpr bool needs_pipe(FlowElementKind kind) {
    return !is_chamber_nozzle(kind) && kind != FlowElementKind::stated_nozzle;
}

/// Reader-Harris/Gallagher equation; D in m, Re of the pipe.
template <class T>
T orifice_coefficient(FlowElementKind kind, const T& pipe, const T& beta, const T& re) {
    using std::exp;
    using std::pow;
    T upstream(0.0);     // distance of the upstream tap over the pipe diameter
    T downstream(0.0);   // distance of the downstream tap from the downstream face over the pipe diameter
    if (kind == FlowElementKind::orifice_diameter_taps) {
        upstream = T(1.0);
        downstream = T(0.47);
    } else if (kind == FlowElementKind::orifice_flange_taps) {
        upstream = downstream = T(0.0254) / pipe;
    }
    const T a = pow(T(19000.0) * beta / re, 0.8);
    const T dam = T(2.0) * downstream / (T(1.0) - beta);
    const T b2 = beta * beta;
    const T b4 = b2 * b2;
    // A tap on the face has no dam height; 0^1.1 is zero with zero slope.
    const T dam_term = downstream > T(0.0) ? dam - T(0.8) * pow(dam, 1.1) : T(0.0);
    T c = T(0.5961) + T(0.0261) * b2 - T(0.216) * b4 * b4 + T(0.000521) * pow(T(1e6) * beta / re, 0.7) +
          (T(0.0188) + T(0.0063) * a) * pow(beta, 3.5) * pow(T(1e6) / re, 0.3) +
          (T(0.043) + T(0.080) * exp(T(-10.0) * upstream) - T(0.123) * exp(T(-7.0) * upstream)) *
              (T(1.0) - T(0.11) * a) * b4 / (T(1.0) - b4) -
          T(0.031) * dam_term * pow(beta, 1.3);
    if (pipe < T(0.07112)) c += T(0.011) * (T(0.75) - beta) * (T(2.8) - pipe / T(0.0254));
    return c;
}

/// Discharge coefficient by the kind's law; re is that of the pipe, of the throat for chamber nozzles.
template <class T>
T coefficient_by_law(FlowElementKind kind, const T& pipe, const T& beta, const T& re) {
    using std::pow;
    using std::sqrt;
    switch (kind) {
        case FlowElementKind::orifice_corner_taps:
        case FlowElementKind::orifice_diameter_taps:
        case FlowElementKind::orifice_flange_taps: return orifice_coefficient(kind, pipe, beta, re);
        case FlowElementKind::isa_1932_nozzle:
            return T(0.9900) - T(0.2262) * pow(beta, 4.1) -
                   (T(0.00175) * beta * beta - T(0.0033) * pow(beta, 4.15)) * pow(T(1e6) / re, 1.15);
        case FlowElementKind::long_radius_nozzle: return T(0.9965) - T(0.00653) * sqrt(beta * T(1e6) / re);
        case FlowElementKind::venturi_nozzle: return T(0.9858) - T(0.196) * pow(beta, 4.5);
        case FlowElementKind::classical_venturi_as_cast: return T(0.984);
        case FlowElementKind::classical_venturi_machined: return T(0.995);
        case FlowElementKind::classical_venturi_welded_sheet: return T(0.985);
        case FlowElementKind::chamber_nozzle_long_throat:
            return T(0.9986) - T(7.006) / sqrt(re) + T(134.6) / re;
        case FlowElementKind::chamber_nozzle_short_throat:
            return T(0.9986) - T(6.688) / sqrt(re) + T(131.5) / re;
        case FlowElementKind::stated_nozzle: break;
    }
    return T(1.0);   // stated: the statement is the whole coefficient
}

template <class T>
T element_expansibility(FlowElementKind kind, const T& beta, const T& tau, double kappa) {
    using std::pow;
    using std::sqrt;
    const T b4 = beta * beta * beta * beta;
    if (is_orifice(kind)) {
        return T(1.0) - (T(0.351) + T(0.256) * b4 + T(0.93) * b4 * b4) * (T(1.0) - pow(tau, 1.0 / kappa));
    }
    const T t = pow(tau, 2.0 / kappa);
    return sqrt(T(kappa / (kappa - 1.0)) * t * ((T(1.0) - b4) / (T(1.0) - b4 * t)) *
                ((T(1.0) - pow(tau, (kappa - 1.0) / kappa)) / (T(1.0) - tau)));
}

/// Checks the bore and returns the diameter ratio, zero without a pipe.
template <class T>
T checked_diameter_ratio(const BasicFlowElementBore<T>& bore, const char* where) {
    const T throat = require_positive(where, "throat_diameter", bore.throat_diameter.value(), "m");
    if (!bore.pipe_diameter) {
        if (needs_pipe(bore.kind)) {
            throw DomainError(std::string(where) + ": pipe_diameter is not given; required: the inner diameter of "
                                                   "the pipe upstream, on which the coefficient of this kind of "
                                                   "element depends");
        }
        return T(0.0);
    }
    const T pipe = require_positive(where, "pipe_diameter", bore.pipe_diameter->value(), "m");
    if (!(throat < pipe)) {
        throw_domain_error(where, "throat_diameter", plain_value(throat), "m",
                           "< pipe_diameter = " + number_text(plain_value(pipe)) + " m");
    }
    return throat / pipe;
}

}   // namespace detail

/// Discharge coefficient of a flow element: mass flow over the ideal, incompressible one.
///
/// Equation: orifice: Reader-Harris/Gallagher; ISA 1932 nozzle: C = 0.99 - 0.2262 beta^4.1
///           - (0.00175 beta^2 - 0.0033 beta^4.15) (1e6/Re)^1.15; long-radius nozzle: C = 0.9965
///           - 0.00653 sqrt(1e6 beta/Re); Venturi nozzle: C = 0.9858 - 0.196 beta^4.5; classical Venturi: 0.984
///           as cast, 0.995 machined, 0.985 welded sheet; chamber nozzle: C = 0.9986 - 7.006/sqrt(Re_d)
///           + 134.6/Re_d (throat 0.6 long), C = 0.9986 - 6.688/sqrt(Re_d) + 131.5/Re_d (0.5 long)
/// Symbols:  beta throat over pipe diameter, Re Reynolds number of the pipe, Re_d of the throat
/// Validity: evaluated for any geometry and Reynolds number; flow_element_flags says which limits of the
///           standard are crossed
/// @param  bore  kind and diameters; a stated nozzle has no law
/// @param  reynolds_number  of the pipe [-], of the throat for chamber nozzles, > 0
/// @return discharge coefficient [-]
/// @throws DomainError if a diameter or the Reynolds number is not > 0, the throat is not smaller than the pipe,
///         the pipe is missing where the law needs it, the kind is a stated nozzle, or the result is not > 0
///         (Reynolds number far below the law's)
/// @source ISO 5167-2, -3 and -4:2003 as transcribed in the documentation of an open-source fluid mechanics
///         library (classical Venturi from memory); chamber nozzles from memory of ANSI/ASHRAE 51 and ISO 5801;
///         test: stand/flow_element_test.cpp
template <class T>
T discharge_coefficient(const BasicFlowElementBore<T>& bore, const T& reynolds_number) {
    constexpr auto where = "discharge_coefficient(FlowElementBore)";
    const T beta = detail::checked_diameter_ratio(bore, where);
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    if (bore.kind == FlowElementKind::stated_nozzle) {
        throw DomainError(std::string(where) + ": the coefficient of a stated nozzle follows from no law; required: "
                                               "a kind with a law");
    }
    const T pipe = bore.pipe_diameter ? bore.pipe_diameter->value() : T(0.0);
    return detail::require_positive(where, "result", detail::coefficient_by_law(bore.kind, pipe, beta, reynolds_number),
                                    "-");
}
template <Deferred...>
inline double discharge_coefficient(const FlowElementBore& bore, double reynolds_number) {
    return discharge_coefficient<double>(bore, reynolds_number);
}

/// Expansibility of the gas in a flow element: 1 for a liquid, a little less for a gas that expands.
///
/// Equation: orifice: eps = 1 - (0.351 + 0.256 beta^4 + 0.93 beta^8) (1 - tau^(1/kappa)); nozzle and Venturi:
///           eps^2 = kappa tau^(2/kappa)/(kappa - 1) (1 - beta^4)/(1 - beta^4 tau^(2/kappa))
///           (1 - tau^((kappa-1)/kappa))/(1 - tau)
/// Symbols:  tau pressure ratio, kappa isentropic exponent, beta diameter ratio
/// Validity: tau >= 0.75 in the standard (flow_element_flags says when not); evaluated from the choked ratio to 1
/// @param  expansion  kind, diameter ratio 0 to < 1, pressure ratio > choked ratio and < 1, exponent > 1
/// @return expansibility [-]
/// @throws DomainError outside the ranges
/// @source ISO 5167-2:2003 and 5167-3:2003, reproduced against the documentation of an open-source fluid
///         mechanics library; test: stand/flow_element_test.cpp
template <class T>
T expansibility(const BasicElementExpansion<T>& expansion) {
    constexpr auto where = "expansibility(ElementExpansion)";
    const double kappa = expansion.isentropic_exponent;
    if (!(kappa > 1.0 && kappa < 2.0)) {
        detail::throw_domain_error(where, "isentropic_exponent", kappa, "-", "> 1 and < 2");
    }
    const double beta = detail::plain_value(expansion.diameter_ratio);
    if (!(beta >= 0.0 && beta < 1.0)) detail::throw_domain_error(where, "diameter_ratio", beta, "-", ">= 0 and < 1");
    const double choked = std::pow(2.0 / (kappa + 1.0), kappa / (kappa - 1.0));
    const double tau = detail::plain_value(expansion.pressure_ratio);
    if (!(tau > choked && tau < 1.0)) {
        detail::throw_domain_error(where, "pressure_ratio", tau, "-",
                                   "above the choked ratio " + detail::number_text(choked) + " and below 1");
    }
    return detail::element_expansibility(expansion.kind, expansion.diameter_ratio, expansion.pressure_ratio, kappa);
}
template <Deferred...>
inline double expansibility(const ElementExpansion& expansion) { return expansibility<double>(expansion); }

/// Part of an orifice plate's or a nozzle's differential pressure that is lost for good.
///
/// Equation: w/dp = (x - C beta^2)/(x + C beta^2), x = sqrt(1 - beta^4 (1 - C^2))
/// Symbols:  w permanent loss, dp differential pressure, C discharge coefficient, beta diameter ratio
/// Validity: orifice plates and nozzles in a pipe; a Venturi tube recovers most of its pressure and is no case of it
/// @param  bore  orifice plate, ISA 1932 or long-radius nozzle in a pipe
/// @param  coefficient  discharge coefficient [-], > 0 and <= 1
/// @return lost part of the differential pressure [-]
/// @throws DomainError for another kind, an impossible bore, or a coefficient outside the range
/// @source ISO 5167-2:2003 5.4, as transcribed in the documentation of an open-source fluid mechanics library;
///         test: stand/flow_element_test.cpp
template <class T>
T permanent_loss_fraction(const BasicFlowElementBore<T>& bore, const T& coefficient) {
    using std::sqrt;
    constexpr auto where = "permanent_loss_fraction(FlowElementBore)";
    const T beta = detail::checked_diameter_ratio(bore, where);
    const bool loses = detail::is_orifice(bore.kind) || bore.kind == FlowElementKind::isa_1932_nozzle ||
                       bore.kind == FlowElementKind::long_radius_nozzle;
    if (!loses) {
        throw DomainError(std::string(where) +
                          ": this kind has no such law; required: an orifice plate, ISA 1932 or long-radius nozzle");
    }
    const double c = detail::plain_value(coefficient);
    if (!(c > 0.0 && c <= 1.0)) detail::throw_domain_error(where, "coefficient", c, "-", "> 0 and <= 1");
    const T b2 = beta * beta;
    const T x = sqrt(T(1.0) - b2 * b2 * (T(1.0) - coefficient * coefficient));
    return (x - coefficient * b2) / (x + coefficient * b2);
}
template <Deferred...>
inline double permanent_loss_fraction(const FlowElementBore& bore, double coefficient) {
    return permanent_loss_fraction<double>(bore, coefficient);
}

}   // namespace filterflow
