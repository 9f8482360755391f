// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter's life is computed from: the stages of an installation, the building's dust, the fan and the rest of
// the system, the limits.

#include <cstddef>
#include <optional>
#include <span>
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
#include <filterflow/loading/pleated_loading.hpp>
#include <filterflow/loading/size_loading.hpp>
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
    std::vector<BasicSizeLoading<T>> by_size{};           ///< efficiency for each of the dust's classes, instead of
                                                  ///< `efficiency`; empty: that for all of them
    std::optional<BasicPleatedLoading<T>> pleats{};   ///< instead of clean and law: made by pleated_stage
    BasicVolumeFlow<T> pleat_flow{};                  ///< of those pleats: at it and at half of it their curve is exact
};
using FilterStage = BasicFilterStage<double>;

/// The dust of the building.
template <class T>
struct BasicBuildingDust {
    BasicMassConcentration<T> concentration{};   ///< upstream of the first stage, of all sizes, > 0
    T equivalence{};                             ///< mass of the bench's dust that raises resistance like a unit mass
                                                 ///< of this dust; > 0; never known without a field test, so without
                                                 ///< a default
    std::vector<DustClass> classes{};            ///< by size, shares sum to one; empty: all sizes as one
};
using BuildingDust = BasicBuildingDust<double>;

/// Limits of the system during a filter's life; absent ones do not bind.
template <class T>
struct BasicLifeLimits {
    std::optional<BasicVolumeFlow<T>> least_airflow{};                     ///< > 0
    std::optional<BasicPressure<T>> greatest_external_static_pressure{};   ///< of ducts and filters together, > 0
    std::optional<BasicPower<T>> greatest_power{};                         ///< of the fan, > 0; its table needs powers
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

/// 1 - exp(-x): where the exponential is far from one it leaves as many digits as expm1, which costs three times as
/// much.
template <class T>
T share_of_gain(const T& x) {
    using std::exp;
    using std::expm1;
    return plain_value(x) > 0.25 ? T(T(1.0) - exp(-x)) : T(-expm1(-x));
}

template <class T>
T mass_efficiency_value(const BasicLoadedEfficiency<T>& e, const T& retained_per_area) {
    return e.clean + e.gain * share_of_gain(T(retained_per_area / e.gain_scale.value()));
}

/// Checks a stage value by value. Cold: the usual stage is passed by the question below.
template <class T>
[[gnu::cold]] void check_stage(const BasicFilterLifeInput<T>& input, std::size_t k, const char* where) {
    const BasicFilterStage<T>& stage = input.stages[k];
    const std::string name = "stage " + std::to_string(k + 1) + ": ";
    check(BasicBypassedElement<T>{stage.clean, stage.gap_area, stage.discharge_coefficient}, where);
    check_loading_law(stage.law, where);
    require_positive(where, name + "area", stage.area.value(), "m2");
    require_between(where, name + "clean mass efficiency", stage.efficiency.clean, 0.0, 1.0, "-");
    require_between(where, name + "loaded mass efficiency", T(stage.efficiency.clean + stage.efficiency.gain), 0.0, 1.0,
                    "-");
    require_positive(where, name + "efficiency gain_scale", stage.efficiency.gain_scale.value(), "kg/m2");
    if (stage.final_resistance) {
        require_positive(where, name + "final_resistance", stage.final_resistance->value(), "Pa");
    }
    if (!stage.by_size.empty() && stage.by_size.size() != input.dust.classes.size()) {
        throw_domain_error(where, name + "number of efficiencies by size", static_cast<double>(stage.by_size.size()),
                           "", "the number of dust classes, " + std::to_string(input.dust.classes.size()));
    }
    for (const auto& law : stage.by_size) check(law, where, name + "efficiency by size: ");
    if (stage.pleats) require_positive(where, name + "pleat_flow", stage.pleat_flow.value(), "m3/s");
    if (stage.greatest_age) require_positive(where, name + "greatest_age", stage.greatest_age->value(), "s");
}

/// Whether a stage is of the usual kind (smooth or exponential law, no gap, no sizes, no pleats) and valid, as one
/// cheap question.
template <class T>
bool is_usual(const BasicFilterStage<T>& stage, std::size_t classes) {
    const auto positive = [](const T& x) { return is_positive_number(plain_value(x)); };
    const double clean = plain_value(stage.efficiency.clean), loaded = clean + plain_value(stage.efficiency.gain);
    return is_valid(stage.clean) && positive(stage.clean.linear.value()) &&
           plain_value(stage.gap_area.value()) == 0.0 &&
           (stage.law.form == LoadingForm::smooth || stage.law.form == LoadingForm::exponential) &&
           positive(stage.law.growth_scale.value()) && plain_value(stage.law.transition.value()) >= 0.0 &&
           std::isfinite(plain_value(stage.law.transition.value())) && positive(stage.area.value()) && clean >= 0.0 &&
           clean <= 1.0 && loaded >= 0.0 && loaded <= 1.0 && positive(stage.efficiency.gain_scale.value()) &&
           positive(stage.discharge_coefficient) && plain_value(stage.discharge_coefficient) <= 1.0 &&
           (!stage.final_resistance || positive(stage.final_resistance->value())) &&
           (!stage.greatest_age || positive(stage.greatest_age->value())) && stage.by_size.empty() && classes == 0 &&
           !stage.pleats;
}

template <class T>
void check(const BasicFilterLifeInput<T>& input, const char* where) {
    if (input.stages.empty()) throw_domain_error(where, "number of stages", 0.0, "", "at least 1");
    check(input.ducts, input.air, where);
    check(input.fan_scale, where);
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
    if (input.limits.greatest_power) {
        require_positive(where, "greatest_power", input.limits.greatest_power->value(), "W");
        if (!std::visit([](const auto& fan) { return fan.power_curve().has_value(); }, input.fan)) {
            throw DomainError(std::string(where) +
                              ": greatest_power is limited but the fan's table has no power; "
                              "required: a power in every row");
        }
    }
    check(std::span<const DustClass>(input.dust.classes), where);
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        if (!is_usual(input.stages[k], input.dust.classes.size())) check_stage(input, k, where);
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

namespace detail {

/// r and s of loaded pleats, exact at a flow and at half of it; none where they are as good as bridged.
template <class T>
std::optional<ElementCoefficients<T>> pleat_coefficients(const PleatsUnderLoad<T>& pleats, const T& least_gap,
                                                         const T& mass, const T& flow) {
    const NarrowedPleats<T> n = pleats.narrowed(mass);
    if (!(plain_value(n.open_share) > 0.0) || !(plain_value(n.channel.inlet_mouth) > 0.3 * plain_value(least_gap))) {
        return std::nullopt;
    }
    constexpr auto where = "pleated stage";
    const T full = pleats.drop(n, flow, where).total.value();
    const T half = pleats.drop(n, T(T(0.5) * flow), where).total.value();
    const T bend = T(2.0) * (full - T(2.0) * half);
    if (!(plain_value(bend) > 0.0)) return ElementCoefficients<T>{full / flow, T(0.0)};
    const T linear = T(4.0) * half - full;
    // Mouths all but closed: inertia alone is left, and grows a little faster than Q^2.
    if (!(plain_value(linear) > 0.0)) return ElementCoefficients<T>{T(0.0), full / (flow * flow)};
    return ElementCoefficients<T>{linear / flow, bend / (flow * flow)};
}

}   // namespace detail

/// A stage of pleats whose channels narrow with the cake, for filter_life.
///
/// Equation: dp = r Q + s Q^2 with r, s of the loaded pleats, exact at a flow and at half of it
/// Symbols:  r, s resistances of the pleats at their load
/// Validity: as loaded_pleats; between those flows and a tenth above within some 1 %, as pleats are nearly r Q + s Q^2,
///           at a quarter of the flow a few per cent. Where mouths are all but closed inertia alone is left, s Q^2
/// @param  pleats  filter, growth law, cake
/// @param  flow  near the flow of the system with clean filters [m3/s], > 0
/// @param  air  air for which the pleats are evaluated; r follows the viscosity, s the density from there
/// @return stage with clean curve, law and area; its efficiency and rules are still to be set
/// @throws DomainError as loaded_pleats
/// @source as loaded_pleats; test: loading/filter_life_test.cpp
template <class T>
BasicFilterStage<T> pleated_stage(const BasicPleatedLoading<T>& pleats, BasicVolumeFlow<T> flow, const AirState& air) {
    constexpr auto where = "pleated_stage";
    detail::require_positive(where, "flow", flow.value(), "m3/s");
    const detail::PleatsUnderLoad<T> loaded(pleats, air_as<T>(air), where);
    const auto c = detail::pleat_coefficients(loaded, T(pleats.least_gap.value()), T(0.0), T(flow.value()));
    BasicFilterStage<T> stage;
    stage.clean = {BasicLinearResistance<T>::from_value(c->linear),
                   BasicQuadraticResistance<T>::from_value(c->quadratic), air};
    stage.law = pleats.law;
    stage.area = pleat_geometry(pleats.clean.pack, pleats.clean.medium.thickness).media_area;
    stage.pleats = pleats;
    stage.pleat_flow = flow;
    return stage;
}
inline FilterStage pleated_stage(const PleatedLoading& pleats, VolumeFlow flow, const AirState& air) {
    return pleated_stage<double>(pleats, flow, air);
}

}   // namespace filterflow
