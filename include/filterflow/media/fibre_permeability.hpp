// SPDX-License-Identifier: BSL-1.0
#pragma once

// Permeability of clean mats of fibres by eight models, chosen by name. Each has the range that its source states; the
// answer says which limit of it a medium crosses and by how much. What no model can be is refused.

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/media/permeability_estimate.hpp>

namespace filterflow {

/// Models of the permeability of fibres: k permeability, d fibre diameter, a solidity.
enum class FibrePermeability {
    davies,           ///< k = d^2/(64 a^1.5 (1 + 56 a^3)): measured pads and papers, effective diameter
    kuwabara,         ///< k = d^2 Ku/(16 a), Ku = -ln(a)/2 - 3/4 + a - a^2/4: cell without vorticity at its rim
    happel_across,    ///< k = d^2 Ha/(16 a), Ha = -ln(a)/2 - (1 - a^2)/(2 (1 + a^2)): cell without shear at its rim
    happel_along,     ///< k = d^2 Ku/(8 a): the same cell, flow along the fibres
    drummond_tahir,   ///< k = d^2/(32 a) (-ln a - 1.476 + 2 a - 1.774 a^2 + 4.076 a^3): square array across the flow
    jackson_james,    ///< k = 3 d^2/(80 a) (-ln a - 0.931): fibres in all directions
    spielman_goren_layered,   ///< 1/(4 a) = 1/2 + K1(x)/(x K0(x)), x = d/(2 k^0.5): fibres in planes across the flow
    spielman_goren_isotropic  ///< 1/(4 a) = 1/3 + (5/6) K1(x)/(x K0(x)): fibres in all directions
};

/// What a model of fibre permeability is stated for.
struct FibrePermeabilityRange {
    std::string_view name;             ///< of the model, to print
    bool effective_diameter = false;   ///< true: takes the effective fibre diameter; false: the geometric one
    double least_solidity = 0.0;       ///< inclusive; 0 for a model without one
    double greatest_solidity = 0.0;    ///< inclusive
    double impossible_solidity = 1.0;  ///< from here on there is no such medium, or the equation has no answer > 0
    Length least_diameter{};           ///< of fibres in the data; 0 for a theory
    Length greatest_diameter{};        ///< of fibres in the data; infinite for a theory
};

namespace detail {

template <class T>
T happel_across_factor(const T& a) {
    using std::log;
    return T(-0.5) * log(a) - (T(1) - a * a) / (T(2) * (T(1) + a * a));
}

/// Permeability over squared diameter of a square array of cylinders.
template <class T>
T drummond_tahir_permeability(const T& a) {
    using std::log;
    return (-log(a) - T(1.476) + a * (T(2) + a * (T(-1.774) + a * T(4.076)))) / (T(32) * a);
}

template <class T>
T jackson_james_permeability(const T& a) {
    using std::log;
    return T(3) * (-log(a) - T(0.931)) / (T(80) * a);
}

/// K1(x)/K0(x), modified Bessel functions of the second kind. To x = 2 their power series, beyond it the trapezoidal
/// rule on K_n(x) = integral of exp(-x cosh t) cosh(n t), whose error falls like exp(-pi^2/step).
template <Deferred...>
inline double bessel_k_ratio(double x) {
    if (x <= 2.0) {
        const double q = 0.25 * x * x;
        double term = 1.0, harmonic = 0.0, i0 = 1.0, i1_series = 1.0, k0_series = 0.0;
        for (int k = 1; k <= 30 && term > 1e-18 * i0; ++k) {
            term *= q / (k * k);   // q^k/(k!)^2
            harmonic += 1.0 / k;
            i0 += term;
            i1_series += term / (k + 1);
            k0_series += term * harmonic;
        }
        const double k0 = k0_series - (std::log(0.5 * x) + std::numbers::egamma) * i0;
        const double k1 = (1.0 / x - 0.5 * x * i1_series * k0) / i0;   // I0 K1 + I1 K0 = 1/x
        return k1 / k0;
    }
    const double step = std::min(0.25, 0.5 / std::sqrt(x));
    double k0 = 0.5, k1 = 0.5;   // both times exp(x)
    for (int i = 1;; ++i) {
        const double s = std::sinh(0.5 * step * i);
        const double exponent = 2.0 * x * s * s;   // x (cosh t - 1)
        if (!(exponent <= 45.0)) return k1 / k0;
        const double weight = std::exp(-exponent);
        k0 += weight;
        k1 += weight * (1.0 + 2.0 * s * s);
    }
}

/// The x > 0 with K1(x)/(x K0(x)) = target > 0: Newton's method on ln x, where the left side's logarithm is convex
/// with a slope between -2 and -1.
template <Deferred...>
inline double spielman_goren_root(double target) {
    const double wanted = std::log(target);
    double log_x = target > 1.0 ? -0.5 * wanted : -wanted;
    for (int i = 0; i < 60; ++i) {
        const double x = std::exp(log_x);
        const double r = bessel_k_ratio(x);
        const double slope = std::clamp(x * (r - 1.0 / r) - 2.0, -2.0, -1.0);
        const double step = (std::log(r) - log_x - wanted) / slope;
        log_x -= step;
        if (std::abs(step) < 1e-14 * std::max(1.0, std::abs(log_x))) return std::exp(log_x);
    }
    return std::exp(log_x);   // the last steps were round-off
}

/// Permeability over squared diameter: 1/(4 a) = c0 + c1 K1(x)/(x K0(x)), 1/(4 x^2). Solved in double; one Newton step
/// in T brings the derivatives.
template <class T>
T spielman_goren_permeability(const T& a, double c0, double c1) {
    const double x = spielman_goren_root((0.25 / plain_value(a) - c0) / c1);
    const double r = bessel_k_ratio(x);
    const double g = r / x;                            // K1/(x K0)
    const double slope = (r * r - 1.0 - 2.0 * g) / x;  // its derivative, by K0' = -K1, K1' = -K0 - K1/x
    const T corrected = T(x) - (T(c0) + T(c1 * g) - T(0.25) / a) / T(c1 * slope);
    return T(0.25) / (corrected * corrected);
}

/// Permeability over squared diameter.
template <class T>
T relative_permeability(FibrePermeability model, const T& a) {
    switch (model) {
        case FibrePermeability::davies: return davies_permeability(T(1), a);
        case FibrePermeability::kuwabara: return detail::kuwabara_factor(a) / (T(16) * a);
        case FibrePermeability::happel_across: return happel_across_factor(a) / (T(16) * a);
        case FibrePermeability::happel_along: return detail::kuwabara_factor(a) / (T(8) * a);
        case FibrePermeability::drummond_tahir: return drummond_tahir_permeability(a);
        case FibrePermeability::jackson_james: return jackson_james_permeability(a);
        case FibrePermeability::spielman_goren_layered: return spielman_goren_permeability(a, 0.5, 1.0);
        case FibrePermeability::spielman_goren_isotropic: return spielman_goren_permeability(a, 1.0 / 3.0, 5.0 / 6.0);
    }
    return T(0);   // not a model; permeability_range has refused it
}

}   // namespace detail

/// What a model of fibre permeability is stated for.
///
/// Equation: none
/// Symbols:  none
/// Validity: every model
/// @param  model  by name
/// @return name, kind of fibre diameter, range of solidity and of fibre diameter
/// @throws DomainError if the value is none of the models
/// @source Davies 1953 (range from memory); for theories the range where authors use them (from memory), for the square
///         array where it agrees with Sangani and Acrivos 1982; test: media/fibre_permeability_test.cpp
template <Deferred...>
inline FibrePermeabilityRange permeability_range(FibrePermeability model) {
    const Length none = Length::from_value(0.0);
    const Length any = Length::from_value(std::numeric_limits<double>::infinity());
    switch (model) {
        case FibrePermeability::davies:
            return {"Davies", true, detail::davies_least_solidity, detail::davies_greatest_solidity, 1.0,
                    Length::from_value(1.6e-6), Length::from_value(80e-6)};
        case FibrePermeability::kuwabara:
            return {"Kuwabara", false, 0.0, detail::kuwabara_greatest_solidity, 1.0, none, any};
        case FibrePermeability::happel_across: return {"Happel, across", false, 0.0, 0.25, 1.0, none, any};
        case FibrePermeability::happel_along: return {"Happel, along", false, 0.0, 0.25, 1.0, none, any};
        case FibrePermeability::drummond_tahir:   // cylinders in a square array touch at pi/4
            return {"Drummond and Tahir", false, 0.0, 0.2, 0.25 * std::numbers::pi, none, any};
        case FibrePermeability::jackson_james:    // exp(-0.931)
            return {"Jackson and James", false, 0.0, 0.25, 0.3941593538723422, none, any};
        case FibrePermeability::spielman_goren_layered:
            return {"Spielman and Goren, layered", false, 0.0, 0.3, 0.5, none, any};
        case FibrePermeability::spielman_goren_isotropic:
            return {"Spielman and Goren, isotropic", false, 0.0, 0.3, 0.75, none, any};
    }
    detail::throw_domain_error("permeability_range", "model", static_cast<double>(model), "-",
                               "a value of FibrePermeability");
}

/// Darcy permeability of a fibrous medium by a model of choice, with the medium's standing to the model's range.
///
/// Equation: beside each value of FibrePermeability
/// Symbols:  k permeability [m2]; d fibre diameter [m]: effective for Davies, geometric for the others; a solidity [-];
///           K0, K1 modified Bessel functions of the second kind
/// Validity: permeability_range(model), creeping flow, no slip; outside the range the equation's answer with a status
///           that says which limit was crossed and by how much; from the impossible solidity on it throws
/// @param  medium  thickness [m] > 0, the model's fibre diameter [m] > 0, solidity [-] > 0
/// @param  model  by name
/// @return permeability [m2], status of solidity and fibre diameter
/// @throws DomainError if the thickness is not > 0, the model's diameter is not given or not > 0, the solidity is not
///         > 0 or is impossible, or the result is not > 0 and finite
/// @source Davies 1953 as in Tan 2014, equations 6.100 and 6.101; Kuwabara 1959; Happel 1959, Drummond and Tahir 1984,
///         Jackson and James 1986 (from memory); Spielman and Goren 1968 (abstract; constants from memory); titles and
///         journals: docs/media.md; test: media/fibre_permeability_test.cpp
template <class T>
BasicPermeabilityEstimate<T> permeability_estimate(const BasicFibrousMedium<T>& medium, FibrePermeability model) {
    constexpr auto where = "permeability_estimate(FibrousMedium)";
    const FibrePermeabilityRange range = permeability_range(model);
    detail::require_positive(where, "thickness", medium.thickness.value(), "m");
    const double a = detail::plain_value(detail::require_positive(where, "solidity", medium.solidity, "-"));
    if (!(a < range.impossible_solidity)) {
        detail::throw_domain_error(where, "solidity", a, "-",
                                   "below " + detail::number_text(range.impossible_solidity) +
                                       ", from where on there is no permeability > 0 by " + std::string(range.name));
    }
    const T d = range.effective_diameter ? detail::effective_fibre_diameter(medium, where)
                                         : detail::geometric_fibre_diameter(medium, where);
    const T k = d * d * detail::relative_permeability(model, medium.solidity);
    detail::require_positive(where, "result", k, "m2");
    return {BasicPermeability<T>::from_value(k),
            range_status({.quantity = "solidity",
                          .unit = "-",
                          .value = a,
                          .least = range.least_solidity,
                          .greatest = range.greatest_solidity}),
            range_status({.quantity = "fibre diameter",
                          .unit = "m",
                          .value = detail::plain_value(d),
                          .least = range.least_diameter.value(),
                          .greatest = range.greatest_diameter.value()})};
}
template <Deferred...>
inline PermeabilityEstimate permeability_estimate(const FibrousMedium& medium, FibrePermeability model) {
    return permeability_estimate<double>(medium, model);
}

}   // namespace filterflow
