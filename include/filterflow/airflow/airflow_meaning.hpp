// SPDX-License-Identifier: BSL-1.0
#pragma once

// What an airflow means to the equipment it passes: temperature rise across a heater, airflow for the cooling capacity,
// velocities through filter and coil, and the cautions that belong to them. A caution is a reason to look at the
// nameplate, the manual and the local code, or to ask a licensed technician; nothing here is a limit of its own.

#include <cmath>
#include <optional>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Airflow for a cooling capacity.
using AirflowPerCapacity = boost::units::quantity<detail::si_unit<1, -1, 2>, double>;

namespace units {
inline constexpr auto ton = named<Power>(12000.0 * 1055.05585262 / 3600.0);   ///< of refrigeration: 12 000 Btu/h
inline constexpr auto Btu_per_h = named<Power>(1055.05585262 / 3600.0);       ///< with the international table's Btu
inline constexpr auto m3_per_s_per_kW = named<AirflowPerCapacity>(1e-3);
inline constexpr auto cfm_per_ton = named<AirflowPerCapacity>(cfm.one.value() / ton.one.value());
}   // namespace units

/// Temperature rise that a heater's nameplate allows, as differences in kelvin.
struct RatedRise {
    Temperature least{};      ///< lower end, >= 0
    Temperature greatest{};   ///< upper end, above the lower
};

/// Equipment in an airflow; what is not known stays empty.
struct AirflowEquipment {
    std::optional<Power> heating_output{};     ///< to the air, > 0
    std::optional<RatedRise> rated_rise{};     ///< of the nameplate
    std::optional<Power> cooling_capacity{};   ///< total at rating, > 0
    std::optional<Area> filter_face{};         ///< free area of the filter's face, > 0
    bool deep_filter = false;                  ///< of 100 mm or more, made for higher velocities
    std::optional<Area> coil_face{};           ///< free area of the cooling coil's face, > 0
};

/// What an airflow should be looked at for.
enum class AirflowCaution {
    heating_rise_above_rating,       ///< the air gets hotter than the nameplate allows
    heating_rise_below_rating,       ///< the air stays colder than the nameplate wants
    little_air_for_cooling,          ///< below 350 cfm a ton (47 L/s a kW)
    much_air_for_cooling,            ///< above 450 cfm a ton (60 L/s a kW)
    fast_through_filter,             ///< above 300 fpm (1.52 m/s), or 500 fpm (2.54 m/s) through a deep filter
    fast_through_coil                ///< above 500 fpm (2.54 m/s)
};

/// What an airflow means; empty where the equipment is not known.
struct AirflowMeaning {
    std::optional<Temperature> heating_rise{};               ///< a difference
    std::optional<AirflowPerCapacity> per_cooling_capacity{};
    std::optional<Velocity> filter_face_velocity{};
    std::optional<Velocity> coil_face_velocity{};
    std::vector<AirflowCaution> cautions{};                  ///< in the order of AirflowCaution
};

/// A coil known at its rated airflow, whose surface keeps its temperature.
struct CoilRating {
    VolumeFlow flow{};                 ///< rated, > 0
    double bypass_factor{};   ///< share of the air that leaves as it came, at the rated flow, above 0 and below 1
    Temperature surface{};             ///< temperature of the surface
    double transfer_exponent = 0.65;   ///< of the air side's transfer over flow, 0.5 to 0.8
};

/// What a coil does to the air at a flow.
struct CoilDuty {
    double bypass_factor;     ///< at this flow, 0 to 1
    Temperature leaving;      ///< mean temperature behind the coil
    Power sensible_heat;      ///< taken from the air; negative where the surface is warmer
};

namespace detail {

/// Heat capacity of a flow of moist air [W/K]: dry air 1006 J/(kg K), vapour 1860 J/(kg K).
inline double flow_heat_capacity(double flow, const AirState& air) {
    const double w = air.humidity_ratio;
    return air.density.value() * flow * (1006.0 + 1860.0 * w) / (1.0 + w);
}

template <Deferred...>
inline void check_meaning_air(const AirState& air, const char* where) {
    check_air(air, where);
    require_non_negative(where, "air humidity_ratio", air.humidity_ratio, "kg/kg");
}

}   // namespace detail

/// Rise of the air's temperature by a heat given to it.
///
/// Equation: dT = q / (rho Q c), c = (1006 + 1860 W)/(1 + W)
/// Symbols:  q heat flow [W], rho density [kg/m3], Q volume flow [m3/s], c heat capacity [J/(kg K)], W humidity ratio
/// Validity: no water condensed or evaporated; density and flow at the same place
/// @param  heat  given to the air [W]; negative: taken from it
/// @param  flow  volume flow at the air's density [m3/s], > 0
/// @param  air  where the flow is stated
/// @return temperature difference [K]
/// @throws DomainError if the flow is not > 0, or an argument is not valid
/// @source energy balance; ASHRAE Handbook Fundamentals, chapter 1 (heat capacities, from memory); test:
///         airflow/airflow_meaning_test.cpp
template <Deferred...>
inline Temperature temperature_rise(Power heat, VolumeFlow flow, const AirState& air) {
    constexpr auto where = "temperature_rise";
    detail::check_meaning_air(air, where);
    const double q = detail::require_finite(where, "heat", heat.value(), "W");
    const double v = detail::require_positive(where, "flow", flow.value(), "m3/s");
    return Temperature::from_value(q / detail::flow_heat_capacity(v, air));
}

/// The airflow with which a heat raises the air's temperature by so much: the inverse of temperature_rise.
///
/// Equation: Q = q / (rho c dT)
/// Symbols:  as temperature_rise
/// Validity: as temperature_rise
/// @param  heat  given to the air [W], > 0
/// @param  rise  temperature difference [K], > 0
/// @param  air  where the flow is stated
/// @return volume flow [m3/s]
/// @throws DomainError if an argument is not > 0 and finite
/// @source as temperature_rise; test: airflow/airflow_meaning_test.cpp
template <Deferred...>
inline VolumeFlow flow_for_rise(Power heat, Temperature rise, const AirState& air) {
    constexpr auto where = "flow_for_rise";
    detail::check_meaning_air(air, where);
    const double q = detail::require_positive(where, "heat", heat.value(), "W");
    const double dt = detail::require_positive(where, "rise", rise.value(), "K");
    return VolumeFlow::from_value(q / (dt * detail::flow_heat_capacity(1.0, air)));
}

/// Mean velocity through a face.
///
/// Equation: v = Q / A
/// Symbols:  Q volume flow, A free area
/// Validity: even flow; behind an elbow parts of a face see half as much again (common practice)
/// @param  flow  volume flow [m3/s], >= 0
/// @param  face  free area [m2], > 0
/// @return velocity [m/s]
/// @throws DomainError if the flow is negative or the area not > 0
/// @source definition; test: airflow/airflow_meaning_test.cpp
template <Deferred...>
inline Velocity face_velocity(VolumeFlow flow, Area face) {
    constexpr auto where = "face_velocity(VolumeFlow, Area)";
    const double q = detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    return Velocity::from_value(q / detail::require_positive(where, "face", face.value(), "m2"));
}

/// What a coil does at another airflow than its rated one.
///
/// Equation: BF = exp(-NTU), NTU = NTU_0 (Q/Q_0)^(x - 1), NTU_0 = -ln BF_0; q = rho Q c (T - T_s)(1 - BF)
/// Symbols:  BF bypass factor, NTU transfer units, x transfer exponent, 0 rating, T entering, T_s surface temperature
/// Validity: sensible heat only, a surface that keeps its temperature; in truth it falls with airflow, which ices coils
/// @param  coil  rating
/// @param  flow  volume flow [m3/s], > 0
/// @param  air  entering
/// @return bypass factor, leaving temperature and heat taken
/// @throws DomainError if an argument is out of its range
/// @source definition of the bypass factor; exponent of the air side's transfer: common practice; test:
///         airflow/airflow_meaning_test.cpp
template <Deferred...>
inline CoilDuty coil_duty(const CoilRating& coil, VolumeFlow flow, const AirState& air) {
    constexpr auto where = "coil_duty";
    detail::check_meaning_air(air, where);
    const double q0 = detail::require_positive(where, "coil.flow", coil.flow.value(), "m3/s");
    const double q = detail::require_positive(where, "flow", flow.value(), "m3/s");
    if (!(coil.bypass_factor > 0.0 && coil.bypass_factor < 1.0)) {
        detail::throw_domain_error(where, "coil.bypass_factor", coil.bypass_factor, "-", "above 0 and below 1");
    }
    detail::require_between(where, "coil.transfer_exponent", coil.transfer_exponent, 0.5, 0.8, "-");
    const double surface = detail::require_positive(where, "coil.surface", coil.surface.value(), "K");
    const double entering = detail::require_positive(where, "air temperature", air.temperature.value(), "K");
    const double bypass = std::pow(coil.bypass_factor, std::pow(q / q0, coil.transfer_exponent - 1.0));
    return {bypass, Temperature::from_value(surface + bypass * (entering - surface)),
            Power::from_value(detail::flow_heat_capacity(q, air) * (entering - surface) * (1.0 - bypass))};
}

/// A caution in words, with whom it defers to.
///
/// Equation: none
/// Symbols:  none
/// Validity: every caution
/// @param  caution  of airflow_meaning
/// @return what it means and who decides
/// @throws nothing
/// @source usual cautions of manuals and codes (from memory); test: airflow/airflow_meaning_test.cpp
template <Deferred...>
inline std::string_view caution_text(AirflowCaution caution) {
    switch (caution) {
        case AirflowCaution::heating_rise_above_rating:
            return "the air gets hotter than the nameplate allows: a starved furnace can crack its heat exchanger and "
                   "let carbon monoxide into the rooms. Nameplate, manual and local code decide; have a licensed "
                   "technician check, and keep a carbon monoxide alarm";
        case AirflowCaution::heating_rise_below_rating:
            return "the air stays colder than the nameplate wants: flue gas may condense where it must not. The "
                   "nameplate and the manual decide";
        case AirflowCaution::little_air_for_cooling:
            return "less air than is usual for this cooling capacity: the coil may ice and flood the compressor. The "
                   "equipment's manual decides; ask a licensed technician";
        case AirflowCaution::much_air_for_cooling:
            return "more air than is usual for this cooling capacity: less moisture is taken out. The equipment's "
                   "manual decides";
        case AirflowCaution::fast_through_filter:
            return "faster through the filter than is usual for its depth: its data sheet decides";
        case AirflowCaution::fast_through_coil:
            return "faster through the coil than is usual: water may be carried off it. The equipment's manual decides";
    }
    return "unknown caution";
}

/// What an airflow means to equipment, with cautions.
///
/// Equation: temperature_rise; Q / capacity; face_velocity
/// Symbols:  as there
/// Validity: usual ranges are common practice (airflow for cooling: a published range); a caution is no verdict, its
///           absence no clearance. Rated rises are those of the nameplate: without one there is no caution about heat
/// @param  equipment  what is known of it
/// @param  flow  volume flow at the air's density [m3/s], > 0
/// @param  air  where the flow is stated
/// @return figures and cautions
/// @throws DomainError if an argument is out of its range
/// @source Parker and others 1997 (350 to 450 cfm a ton); velocities: common practice; test:
///         airflow/airflow_meaning_test.cpp
template <Deferred...>
inline AirflowMeaning airflow_meaning(const AirflowEquipment& equipment, VolumeFlow flow, const AirState& air) {
    constexpr auto where = "airflow_meaning";
    detail::check_meaning_air(air, where);
    detail::require_positive(where, "flow", flow.value(), "m3/s");
    AirflowMeaning meaning;
    const auto warn = [&meaning](bool here, AirflowCaution caution) {
        if (here) meaning.cautions.push_back(caution);
    };
    if (equipment.heating_output) {
        detail::require_positive(where, "heating_output", equipment.heating_output->value(), "W");
        meaning.heating_rise = temperature_rise(*equipment.heating_output, flow, air);
        if (const auto& rated = equipment.rated_rise) {
            detail::require_non_negative(where, "rated_rise.least", rated->least.value(), "K");
            detail::require_positive(where, "rated_rise.greatest - least", (rated->greatest - rated->least).value(),
                                     "K");
            warn(*meaning.heating_rise > rated->greatest, AirflowCaution::heating_rise_above_rating);
            warn(*meaning.heating_rise < rated->least, AirflowCaution::heating_rise_below_rating);
        }
    }
    if (equipment.cooling_capacity) {
        const double capacity =
            detail::require_positive(where, "cooling_capacity", equipment.cooling_capacity->value(), "W");
        meaning.per_cooling_capacity = AirflowPerCapacity::from_value(flow.value() / capacity);
        const double usual = *meaning.per_cooling_capacity / units::cfm_per_ton;
        warn(usual < 350.0, AirflowCaution::little_air_for_cooling);
        warn(usual > 450.0, AirflowCaution::much_air_for_cooling);
    }
    if (equipment.filter_face) {
        meaning.filter_face_velocity = face_velocity(flow, *equipment.filter_face);
        warn(*meaning.filter_face_velocity / units::fpm > (equipment.deep_filter ? 500.0 : 300.0),
             AirflowCaution::fast_through_filter);
    }
    if (equipment.coil_face) {
        meaning.coil_face_velocity = face_velocity(flow, *equipment.coil_face);
        warn(*meaning.coil_face_velocity / units::fpm > 500.0, AirflowCaution::fast_through_coil);
    }
    return meaning;
}

}   // namespace filterflow
