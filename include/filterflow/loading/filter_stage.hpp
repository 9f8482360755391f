// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter's life is computed from: the stages of an installation, the building's dust, the fan and the rest of
// the system, the limits.

#include <cstddef>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dust_classes.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// Share of the dust that a filter stops, by mass, for the dust that reaches it; it may rise while dust builds up.
template <class T>
struct BasicLoadedEfficiency {
    T clean{};     ///< of the clean filter, between 0 and 1
    T gain{0.0};   ///< by which it rises in the end; clean + gain between 0 and 1
    BasicMassPerArea<T> gain_scale = BasicMassPerArea<T>::from_value(T(1.0));   ///< retained mass per reference area
                                                                                ///< over which most of the gain comes
};
using LoadedEfficiency = BasicLoadedEfficiency<double>;

/// One stage of an installation and the rule by which it is changed.
template <class T>
struct BasicFilterStage {
    BasicElementCurve<T> clean{};            ///< curve of the clean filter
    BasicLoadingLaw<T> law{};                ///< growth of its resistance
    BasicArea<T> area{};                     ///< reference area of the law, > 0
    BasicLoadedEfficiency<T> efficiency{};   ///< for the building's dust that reaches this stage
    BasicArea<T> gap_area{};                 ///< of the gap around it, >= 0: air that goes past is not filtered
    T discharge_coefficient{0.6};            ///< of the gap
    std::optional<BasicPressure<T>> final_resistance{};   ///< changed when its pressure drop, at the flow of the
                                                          ///< system then, reaches this
    std::optional<BasicTime<T>> greatest_age{};           ///< changed at this calendar age
    std::optional<MassPerArea> greatest_known{};          ///< retained mass the law was fitted up to: beyond it the
                                                          ///< life is marked as extrapolated
};
using FilterStage = BasicFilterStage<double>;

/// The dust of the building.
template <class T>
struct BasicBuildingDust {
    BasicMassConcentration<T> concentration{};   ///< upstream of the first stage, of all sizes, > 0
    T equivalence{};                             ///< mass of the bench's dust that raises resistance like a unit mass
                                                 ///< of this dust; > 0; never known without a field test, so without
                                                 ///< a default
};
using BuildingDust = BasicBuildingDust<double>;

/// Limits of the system during a filter's life; absent ones do not bind.
template <class T>
struct BasicLifeLimits {
    std::optional<BasicVolumeFlow<T>> least_airflow{};                     ///< > 0
    std::optional<BasicPressure<T>> greatest_external_static_pressure{};   ///< of ducts and filters together, > 0
};
using LifeLimits = BasicLifeLimits<double>;

/// A filter installation in its system.
template <class T>
struct BasicFilterLifeInput {
    Fan fan;                                     ///< at fixed speed, or holding its flow
    BasicFanScale<T> fan_scale{};                ///< factors on the fan table
    BasicSystemCurve<T> ducts{};                 ///< everything but the filters
    std::vector<BasicFilterStage<T>> stages{};   ///< upstream first, at least one
    BasicBuildingDust<T> dust{};                 ///< what loads them
    T running_fraction{1.0};                     ///< running time over calendar time, > 0 and <= 1
    BasicAirState<T> air{};                      ///< in the system
    BasicLifeLimits<T> limits{};                 ///< that end a life
    BasicTime<T> horizon{};                      ///< running time after which to stop if no limit is met, > 0
};
using FilterLifeInput = BasicFilterLifeInput<double>;

namespace detail {

template <class T>
T mass_efficiency_value(const BasicLoadedEfficiency<T>& e, const T& retained_per_area) {
    using std::expm1;
    return e.clean - e.gain * expm1(-retained_per_area / e.gain_scale.value());
}

template <class T>
void check(const BasicFilterLifeInput<T>& input, const char* where) {
    if (input.stages.empty()) throw_domain_error(where, "number of stages", 0.0, "", "at least 1");
    check(input.ducts, input.air, where);
    require_positive(where, "fan_scale.pressure_factor", input.fan_scale.pressure_factor, "-");
    require_positive(where, "fan_scale.power_factor", input.fan_scale.power_factor, "-");
    require_positive(where, "dust concentration", input.dust.concentration.value(), "kg/m3");
    require_positive(where, "dust equivalence", input.dust.equivalence, "-");
    require_positive(where, "running_fraction", input.running_fraction, "-");
    require_between(where, "running_fraction", input.running_fraction, 0.0, 1.0, "-");
    require_positive(where, "horizon", input.horizon.value(), "s");
    if (input.limits.least_airflow) {
        require_positive(where, "least_airflow", input.limits.least_airflow->value(), "m3/s");
    }
    if (input.limits.greatest_external_static_pressure) {
        require_positive(where, "greatest_external_static_pressure",
                         input.limits.greatest_external_static_pressure->value(), "Pa");
    }
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        const BasicFilterStage<T>& stage = input.stages[k];
        const std::string name = "stage " + std::to_string(k + 1) + ": ";
        check(BasicBypassedElement<T>{stage.clean, stage.gap_area, stage.discharge_coefficient}, where);
        check_loading_law(stage.law, where);
        require_positive(where, name + "area", stage.area.value(), "m2");
        require_between(where, name + "clean mass efficiency", stage.efficiency.clean, 0.0, 1.0, "-");
        require_between(where, name + "loaded mass efficiency", T(stage.efficiency.clean + stage.efficiency.gain), 0.0,
                        1.0, "-");
        require_positive(where, name + "efficiency gain_scale", stage.efficiency.gain_scale.value(), "kg/m2");
        if (stage.final_resistance) {
            require_positive(where, name + "final_resistance", stage.final_resistance->value(), "Pa");
        }
        if (stage.greatest_age) require_positive(where, name + "greatest_age", stage.greatest_age->value(), "s");
    }
}

}   // namespace detail

/// Share of the dust that a filter stops when it holds a mass of dust.
///
/// Equation: E = E_0 + dE (1 - exp(-W / W_E))
/// Symbols:  E_0 clean efficiency, dE gain, W retained mass per reference area [kg/m2], W_E gain scale [kg/m2]
/// Validity: by mass of the dust that reaches the filter; constant where the gain is zero
/// @param  efficiency  clean efficiency and its rise
/// @param  retained  dust on the filter per reference area [kg/m2], >= 0
/// @return share stopped [-], between 0 and 1
/// @throws DomainError if the efficiency leaves 0 to 1 or the retained mass is negative
/// @source simplest shape that rises to a limit, our own; test: loading/filter_life_test.cpp
template <class T>
T mass_efficiency_at(const BasicLoadedEfficiency<T>& efficiency, BasicMassPerArea<T> retained) {
    constexpr auto where = "mass_efficiency_at";
    detail::require_positive(where, "gain_scale", efficiency.gain_scale.value(), "kg/m2");
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    const T e = detail::mass_efficiency_value(efficiency, mass);
    detail::require_between(where, "efficiency", e, 0.0, 1.0, "-");
    return e;
}
inline double mass_efficiency_at(const LoadedEfficiency& efficiency, MassPerArea retained) {
    return mass_efficiency_at<double>(efficiency, retained);
}

}   // namespace filterflow
