// SPDX-License-Identifier: BSL-1.0
#pragma once

// Efficiency for particles of one size while dust builds up: the mechanical part gains, as dust on the fibres catches
// dust; the part of electric charge fades, as dust covers it. A charged medium so falls at first and may recover. The
// exponent X = -ln P of the penetration P adds up:
//
//     X(W) = X_m + g W + X_e exp(-W/W_e)

#include <cmath>
#include <optional>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_form.hpp>

namespace filterflow {

/// Efficiency for one size over the dust retained per reference area.
template <class T>
struct BasicSizeLoading {
    T mechanical{};               ///< X_m, -ln of the penetration of the clean medium without its charge, >= 0
    T charge{0.0};                ///< X_e, what the fresh charge adds to it, >= 0; 0: no charge
    BasicAreaPerMass<T> gain{};   ///< g, growth of the mechanical part with dust, >= 0
    BasicMassPerArea<T> charge_scale = BasicMassPerArea<T>::from_value(T(1.0));   ///< W_e, dust over which the charge's
                                                                                  ///< part falls e-fold, > 0
};
using SizeLoading = BasicSizeLoading<double>;

/// Efficiency of a charged medium, new and without its charge.
template <class T>
struct BasicChargedEfficiency {
    T fresh{};        ///< of the new medium, 0 to below 1, at least that without charge
    T discharged{};   ///< of the medium freed of its charge (conditioned), 0 to below 1
};
using ChargedEfficiency = BasicChargedEfficiency<double>;

/// The lowest efficiency that a medium has while it loads.
template <class T>
struct BasicLowestLoadedEfficiency {
    T efficiency{};                                  ///< lowest, 0 to 1
    std::optional<BasicMassPerArea<T>> retained{};   ///< dust at which it is met; absent: approached without end
};
using LowestLoadedEfficiency = BasicLowestLoadedEfficiency<double>;

namespace detail {

template <class T>
T loaded_exponent(const BasicSizeLoading<T>& law, const T& mass) {
    using std::exp;
    const T mechanical = law.mechanical + law.gain.value() * mass;
    if (plain_value(law.charge) == 0.0) return mechanical;
    return mechanical + law.charge * exp(-mass / law.charge_scale.value());
}

template <class T>
T loaded_efficiency(const BasicSizeLoading<T>& law, const T& mass) {
    using std::expm1;
    return -expm1(-loaded_exponent(law, mass));
}

template <class T>
void check(const BasicSizeLoading<T>& law, const char* where, const std::string& name = {}) {
    require_non_negative(where, name + "mechanical", law.mechanical, "-");
    require_non_negative(where, name + "charge", law.charge, "-");
    require_non_negative(where, name + "gain", law.gain.value(), "m2/kg");
    require_positive(where, name + "charge_scale", law.charge_scale.value(), "kg/m2");
}

template <class T>
void check_efficiency(const T& efficiency, const char* where, const char* name) {
    const double e = plain_value(efficiency);
    if (!(e >= 0.0 && e < 1.0)) throw_domain_error(where, name, e, "-", "0 to below 1");
}

}   // namespace detail

/// Efficiency for one size with dust on the filter.
///
/// Equation: E = 1 - exp(-X), X = X_m + g W + X_e exp(-W/W_e)
/// Symbols:  W dust per reference area [kg/m2], X_m mechanical part [-], g its gain [m2/kg], X_e charge [-], W_e charge
///           scale [kg/m2]
/// Validity: one size, one face velocity. Charge also fades with time, humidity and oil, without any dust, which this
///           does not have
/// @param  law  mechanical part, its gain, charge and its scale
/// @param  retained  dust per reference area [kg/m2], >= 0
/// @return share of the particles stopped [-], 0 to 1
/// @throws DomainError if a value is out of its range
/// @source mechanical and charge parts add in -ln P; their course: common practice (from memory);
///         test: loading/size_loading_test.cpp
template <class T>
T efficiency_at(const BasicSizeLoading<T>& law, BasicMassPerArea<T> retained) {
    constexpr auto where = "efficiency_at";
    detail::check(law, where);
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    return detail::require_finite(where, "result", detail::loaded_efficiency(law, mass), "-");
}
template <Deferred...>
inline double efficiency_at(const SizeLoading& law, MassPerArea retained) {
    return efficiency_at<double>(law, retained);
}

/// The lowest efficiency for one size while dust builds up, and the dust at which it is met.
///
/// Equation: dX/dW = 0: W = W_e ln(X_e/(g W_e)) where X_e > g W_e, else the clean filter; without gain the charge fades
///           without end towards X_m
/// Symbols:  as efficiency_at
/// Validity: as efficiency_at
/// @param  law  mechanical part, its gain, charge and its scale
/// @return efficiency and dust
/// @throws DomainError if a value is out of its range
/// @source minimum of efficiency_at; test: loading/size_loading_test.cpp
template <class T>
BasicLowestLoadedEfficiency<T> least_efficiency(const BasicSizeLoading<T>& law) {
    using std::expm1;
    using std::log;
    detail::check(law, "least_efficiency");
    const T gained = law.gain.value() * law.charge_scale.value();
    T mass(0.0);
    if (law.charge > gained) {
        if (!(detail::plain_value(gained) > 0.0)) return {T(-expm1(-law.mechanical)), std::nullopt};
        mass = law.charge_scale.value() * log(law.charge / gained);
    }
    return {detail::loaded_efficiency(law, mass), BasicMassPerArea<T>::from_value(mass)};
}
template <Deferred...>
inline LowestLoadedEfficiency least_efficiency(const SizeLoading& law) { return least_efficiency<double>(law); }

/// Efficiency under load from two tests of a charged medium: new, and freed of its charge.
///
/// Equation: X_m = -ln(1 - E_d), X_e = -ln(1 - E_f) - X_m
/// Symbols:  E_f fresh, E_d discharged efficiency [-]
/// Validity: discharging takes all of the charge and nothing else
/// @param  tests  fresh and discharged efficiency
/// @param  gain  g of the mechanical part [m2/kg], >= 0
/// @param  charge_scale  W_e [kg/m2], > 0
/// @return the law
/// @throws DomainError if an efficiency is not from 0 to below 1, the fresh one is below the other, or a value is out
///         of its range
/// @source as efficiency_at; discharging as in ISO 16890-4 (from memory); test: loading/size_loading_test.cpp
template <class T>
BasicSizeLoading<T> size_loading(const BasicChargedEfficiency<T>& tests, BasicAreaPerMass<T> gain,
                                 BasicMassPerArea<T> charge_scale) {
    using std::log1p;
    constexpr auto where = "size_loading";
    detail::check_efficiency(tests.fresh, where, "fresh efficiency");
    detail::check_efficiency(tests.discharged, where, "discharged efficiency");
    if (tests.fresh < tests.discharged) {
        detail::throw_domain_error(
            where, "fresh efficiency", detail::plain_value(tests.fresh), "-",
            "at least the discharged one, " + detail::number_text(detail::plain_value(tests.discharged)));
    }
    BasicSizeLoading<T> law;
    law.mechanical = -log1p(-tests.discharged);
    law.charge = log1p(-tests.discharged) - log1p(-tests.fresh);
    law.gain = gain;
    law.charge_scale = charge_scale;
    detail::check(law, where);
    return law;
}
template <Deferred...>
inline SizeLoading size_loading(const ChargedEfficiency& tests, AreaPerMass gain, MassPerArea charge_scale) {
    return size_loading<double>(tests, gain, charge_scale);
}

}   // namespace filterflow
