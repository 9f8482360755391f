// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a joint Monte Carlo over a whole comparison needs: each candidate by its bench readings, efficiencies by size
// and loading law, the system they all run in, and how well each of it is known. Nothing is fitted beforehand: the
// draws go through the fit.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

namespace filterflow {

/// A reading of a candidate on the bench.
struct ChainReading {
    VolumeFlow flow{};                 ///< at the density of the bench's air, > 0
    Pressure drop{};                   ///< of the element alone
    Pressure standard_uncertainty{};   ///< of this drop alone, shared with no other reading, > 0; normal
};

/// A candidate of a chain: one filter, its readings and what is stated about it.
struct ChainCandidate {
    std::string name{};                     ///< for messages
    std::uint64_t stream = 0;               ///< number of its random streams, > 0, another for each candidate: what
                                            ///< it draws depends neither on its place nor on the others
    std::vector<ChainReading> readings{};   ///< two or more; the greatest flow at least 1.05 times the least
    AirState bench_air{};                   ///< of the readings
    TwelveEfficiencies efficiencies{};      ///< in the twelve ranges of the standards, 0 to 1; shape (12)
    TwelveEfficiencies efficiency_uncertainties{};   ///< standard uncertainty of each, independent, >= 0; shape (12)
    LoadingLaw law{};                                ///< growth of its viscous resistance with dust
    double law_spread = 1.0;                    ///< geometric standard deviation of the dust's effect on it, 1 to 10
    Area area{};                                ///< reference area of the law, > 0
    LoadedEfficiency dust_efficiency{};         ///< share of the building's dust stopped, by mass; > 0 to 1
    double dust_efficiency_uncertainty = 0.0;   ///< standard uncertainty of the clean one, >= 0; normal
    MassPerArea dust_at_change{};               ///< the building's dust on the area at which it is changed, > 0
    ChangeCost change{};                        ///< what a change costs, > 0 together
};

/// The system that all candidates of a chain run in.
struct ChainSystem {
    FanCurve fan;                ///< at fixed speed, with power in its table
    SystemCurve ducts{};         ///< all but the filter: parts that are constant, linear or quadratic in the flow
    AirState air{};              ///< at the fan and in the ducts
    BuildingDust dust{};         ///< concentration and equivalence; no classes
    EnergyPrice electricity{};   ///< > 0
    Volume annual_volume{};      ///< air to be delivered in a year, the same for all candidates, > 0
};

/// How well is known what all candidates share. Normal factors about one have a relative standard uncertainty from 0 to
/// 0.1, so that none becomes negative; what is known within a factor has a geometric standard deviation from 1 to 10.
struct ChainUncertainties {
    double bench_flow = 0.0;           ///< of the scale of the bench's flows, relative
    double bench_pressure = 0.0;       ///< of the scale of its manometer, relative
    double fan_pressure = 0.0;         ///< of the fan table's pressures, relative
    double fan_power = 0.0;            ///< of its powers, relative
    double duct_pressure = 0.0;        ///< of the ducts' pressure drops, relative
    double electricity = 0.0;          ///< of the price, relative
    double dust_concentration = 1.0;   ///< geometric standard deviation
    double dust_equivalence = 1.0;     ///< geometric standard deviation
};

/// Everything of a chain.
struct ChainInput {
    ChainSystem system;
    ChainUncertainties uncertainties{};
    std::vector<ChainCandidate> candidates{};   ///< at least one
    std::uint64_t seed = 1;                     ///< the same seed gives the same draws
};

namespace detail {

template <Deferred...>
inline void check_relative(const char* where, const char* name, double value) {
    require_between(where, name, value, 0.0, 0.1, "-");
}
template <Deferred...>
inline void check_spread(const char* where, const std::string& name, double value) {
    require_between(where, name, value, 1.0, 10.0, "-");
}

template <Deferred...>
inline void check(const ChainUncertainties& u, const char* where) {
    check_relative(where, "uncertainty of bench_flow", u.bench_flow);
    check_relative(where, "uncertainty of bench_pressure", u.bench_pressure);
    check_relative(where, "uncertainty of fan_pressure", u.fan_pressure);
    check_relative(where, "uncertainty of fan_power", u.fan_power);
    check_relative(where, "uncertainty of duct_pressure", u.duct_pressure);
    check_relative(where, "uncertainty of electricity", u.electricity);
    check_spread(where, "spread of dust_concentration", u.dust_concentration);
    check_spread(where, "spread of dust_equivalence", u.dust_equivalence);
}

/// Checks a system and returns its ducts as constant, linear and quadratic parts in its air.
template <Deferred...>
inline PolynomialSystem checked_ducts(const ChainSystem& system, const char* where) {
    check(system.ducts, system.air, where);
    if (!system.fan.power_curve()) {
        throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
    }
    const PolynomialSystem ducts = polynomial_system(system.ducts, system.air, 1.0);
    if (!ducts.complete) {
        throw DomainError(std::string(where) +
                          ": the ducts have a part that is neither constant, linear nor quadratic in "
                          "the flow; required: power laws with exponent 1 or 2 and elements, without gap, alone");
    }
    require_positive(where, "dust concentration", system.dust.concentration.value(), "kg/m3");
    require_positive(where, "dust equivalence", system.dust.equivalence, "-");
    require_between(where, "number of dust classes", static_cast<double>(system.dust.classes.size()), 0.0, 0.0, "-");
    require_positive(where, "electricity", system.electricity.value(), "money/J");
    require_positive(where, "annual_volume", system.annual_volume.value(), "m3");
    return ducts;
}

template <Deferred...>
inline void check(const ChainCandidate& c, const std::string& where_text) {
    const char* where = where_text.c_str();
    if (c.stream == 0) throw_domain_error(where, "stream", 0.0, "-", "> 0, another for each candidate");
    if (c.readings.size() < 2) {
        throw_domain_error(where, "number of readings", static_cast<double>(c.readings.size()), "-", "at least 2");
    }
    double least = c.readings.front().flow.value(), greatest = least;
    for (std::size_t i = 0; i < c.readings.size(); ++i) {
        const ChainReading& reading = c.readings[i];
        const std::string of = " of reading " + std::to_string(i + 1);
        const double flow = require_positive(where, "flow" + of, reading.flow.value(), "m3/s");
        require_finite(where, "drop" + of, reading.drop.value(), "Pa");
        require_positive(where, "standard_uncertainty" + of, reading.standard_uncertainty.value(), "Pa");
        least = flow < least ? flow : least;
        greatest = flow > greatest ? flow : greatest;
    }
    if (!(greatest >= 1.05 * least)) {
        throw_domain_error(where, "greatest flow of the readings", greatest, "m3/s",
                           "at least 1.05 times the least: readings at one flow do not tell the viscous from the "
                           "inertial part");
    }
    check_air(c.bench_air, where);
    for (std::size_t i = 0; i < 12; ++i) {
        const std::string of = " in range " + std::to_string(i + 1);
        require_between(where, "efficiency" + of, c.efficiencies[i], 0.0, 1.0, "-");
        require_between(where, "uncertainty of the efficiency" + of, c.efficiency_uncertainties[i], 0.0, 1.0, "-");
    }
    check_loading_law(c.law, where);
    check_spread(where, "law_spread", c.law_spread);
    require_positive(where, "area", c.area.value(), "m2");
    const double loaded = c.dust_efficiency.clean + c.dust_efficiency.gain;
    require_positive(where, "clean mass efficiency", c.dust_efficiency.clean, "-");
    require_between(where, "clean mass efficiency", c.dust_efficiency.clean, 0.0, 1.0, "-");
    require_positive(where, "loaded mass efficiency", loaded, "-");
    require_between(where, "loaded mass efficiency", loaded, 0.0, 1.0, "-");
    require_positive(where, "efficiency gain_scale", c.dust_efficiency.gain_scale.value(), "kg/m2");
    require_between(where, "dust_efficiency_uncertainty", c.dust_efficiency_uncertainty, 0.0, 1.0, "-");
    require_positive(where, "dust_at_change", c.dust_at_change.value(), "kg/m2");
    require_positive(where, "cost of a change", change_cost(c.change, where), "money");
}

}   // namespace detail

}   // namespace filterflow
