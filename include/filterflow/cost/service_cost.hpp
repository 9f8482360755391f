// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cost at equal service. A filter that lets less air through makes the fan run longer for the same air, so candidates
// are compared by what the same volume of air costs: energy and changes over the air delivered between two changes,
// times the volume required. Per clean air it is the same over the share that is cleaned.

#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/carbon.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/service_history.hpp>

namespace filterflow {

/// What one change of an installation costs.
template <class T>
struct BasicChangeCost {
    BasicMoney<T> filters{};    ///< all filters changed together, >= 0
    BasicMoney<T> labour{};     ///< of the change, >= 0
    BasicMoney<T> disposal{};   ///< of the filters taken out, >= 0
};
using ChangeCost = BasicChangeCost<double>;

/// Prices, and the air that is to be delivered.
template <class T>
struct BasicServicePrices {
    BasicChangeCost<T> change{};         ///< of one change; > 0 together
    BasicEnergyPrice<T> electricity{};   ///< > 0; of a tariff by the hour: mean_electricity_price
    BasicVolume<T> annual_volume{};      ///< air to be delivered in a year, the same for all candidates, > 0: the
                                         ///< volume required, or what the present filter delivers clean
    std::optional<BasicCarbonIntensity<T>> carbon{};   ///< of the electricity, >= 0
    std::optional<BasicDemandCharge<T>> demand{};      ///< for each month's greatest power
};
using ServicePrices = BasicServicePrices<double>;

/// Air delivered between two changes and what the fan used for it.
template <class T>
struct BasicCycle {
    BasicTime<T> time{};           ///< running time, > 0
    BasicVolume<T> delivered{};    ///< > 0
    BasicEnergy<T> fan_energy{};   ///< > 0
    std::optional<BasicVolume<T>> clean_air{};     ///< air delivered times the share of its dust stopped, > 0
    std::optional<BasicPower<T>> monthly_peak{};   ///< mean of each month's greatest power, >= 0: for a demand charge
};
using Cycle = BasicCycle<double>;

/// What a service costs.
template <class T>
struct BasicServiceCost {
    BasicMoneyPerVolume<T> per_volume;     ///< changes, energy and demand charge over air delivered
    BasicMoneyPerVolume<T> running_cost;   ///< of energy alone: mean over the cycle
    BasicEnergy<T> annual_energy;          ///< of the fan for the annual volume
    BasicMoney<T> annual_energy_cost;      ///< of that energy
    BasicMoney<T> annual_filter_cost;      ///< filters, labour and disposal for the annual volume
    BasicMoney<T> annual_cost;             ///< both, and the demand charge: what ranks
    BasicTime<T> annual_running_time;      ///< that the annual volume takes
    T changes_per_year;                    ///< may be a fraction
    bool exceeds_year = false;             ///< the annual volume takes longer than 8760 h: it cannot be delivered
    std::optional<BasicMoneyPerVolume<T>> per_clean_air{};   ///< over the clean air; empty where it is not known
    std::optional<BasicMass<T>> annual_carbon{};             ///< of the annual energy; empty without an intensity
    std::optional<BasicMoney<T>> annual_demand_cost{};       ///< of the months' greatest power; empty without a price
};
using ServiceCost = BasicServiceCost<double>;

namespace detail {

template <class T>
T change_cost(const BasicChangeCost<T>& change, const char* where) {
    require_non_negative(where, "filters", change.filters.value(), "money");
    require_non_negative(where, "labour", change.labour.value(), "money");
    require_non_negative(where, "disposal", change.disposal.value(), "money");
    return change.filters.value() + change.labour.value() + change.disposal.value();
}

template <class T>
void check(const BasicServicePrices<T>& prices, const char* where) {
    require_positive(where, "cost of a change", change_cost(prices.change, where), "money");
    require_positive(where, "electricity", prices.electricity.value(), "money/J");
    require_positive(where, "annual_volume", prices.annual_volume.value(), "m3");
    if (prices.carbon) require_non_negative(where, "carbon", prices.carbon->value(), "kg/J");
    if (prices.demand) check(*prices.demand, where);
}

/// Cost of a time with some money spent on changes, scaled to the annual volume.
template <class T>
BasicServiceCost<T> cost_at_equal_service(const BasicCycle<T>& cycle, const T& spent, const T& changes,
                                          const BasicServicePrices<T>& prices, const char* where) {
    const T time = require_positive(where, "running time", cycle.time.value(), "s");
    const T volume = require_positive(where, "delivered", cycle.delivered.value(), "m3");
    const T energy = require_positive(where, "fan_energy", cycle.fan_energy.value(), "J");
    const T annual = prices.annual_volume.value() / volume;   // such times a year
    BasicServiceCost<T> cost;
    const T energy_cost = energy * prices.electricity.value();
    cost.per_volume = BasicMoneyPerVolume<T>::from_value((spent + energy_cost) / volume);
    cost.running_cost = BasicMoneyPerVolume<T>::from_value(energy_cost / volume);
    cost.annual_energy = BasicEnergy<T>::from_value(annual * energy);
    cost.annual_energy_cost = BasicMoney<T>::from_value(annual * energy_cost);
    cost.annual_filter_cost = BasicMoney<T>::from_value(annual * spent);
    cost.annual_cost = BasicMoney<T>::from_value(annual * (spent + energy_cost));
    cost.annual_running_time = BasicTime<T>::from_value(annual * time);
    cost.changes_per_year = annual * changes;
    cost.exceeds_year = plain_value(annual * time) > 8760.0 * 3600.0;
    T per_cycle = spent + energy_cost;
    if (prices.demand) {
        if (!cycle.monthly_peak) {
            throw DomainError(std::string(where) + ": a price of the months' greatest power, but a cycle without "
                              "monthly_peak; required: both");
        }
        cost.annual_demand_cost = annual_demand_cost<T>(*prices.demand, *cycle.monthly_peak);
        per_cycle = per_cycle + cost.annual_demand_cost->value() / annual;
        cost.per_volume = BasicMoneyPerVolume<T>::from_value(per_cycle / volume);
        cost.annual_cost = BasicMoney<T>::from_value(annual * per_cycle);
    }
    if (cycle.clean_air) {
        const T clean = require_positive(where, "clean_air", cycle.clean_air->value(), "m3");
        cost.per_clean_air = BasicMoneyPerVolume<T>::from_value(per_cycle / clean);
    }
    if (prices.carbon) cost.annual_carbon = carbon_of<T>(cost.annual_energy, *prices.carbon);
    return cost;
}

template <class T>
BasicCycle<T> cycle_until(const BasicLifeMoment<T>& moment, const char* where) {
    if (!moment.fan_energy) {
        throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
    }
    BasicCycle<T> cycle{moment.time, moment.delivered, *moment.fan_energy, std::nullopt};
    if (plain_value(moment.clean_air.value()) > 0.0) cycle.clean_air = moment.clean_air;
    return cycle;
}

}   // namespace detail

/// What an installation did from its clean filters until a moment of its life, as a cycle between two changes.
///
/// Equation: none
/// Symbols:  none
/// Validity: clean of the building's dust by mass: of finer dust less is stopped, of coarser more
/// @param  moment  of a life that began with clean filters
/// @return running time, air, clean air and fan energy; no clean air where no dust was stopped
/// @throws DomainError if the fan's table has no power
/// @source as filter_life; test: cost/service_cost_test.cpp
template <class T>
BasicCycle<T> cycle_until(const BasicLifeMoment<T>& moment) {
    return detail::cycle_until(moment, "cycle_until");
}
template <Deferred...>
inline Cycle cycle_until(const LifeMoment& moment) { return cycle_until<double>(moment); }

/// Cost at equal service of an installation changed after a cycle.
///
/// Equation: c = (K + p E) / V; a year costs c V_a, takes t V_a / V and V_a / V changes
/// Symbols:  K cost of a change, p price of electricity, E fan energy, V air delivered, t running time of the cycle,
///           V_a annual volume; a demand charge adds its cost of a year, whatever the running time
/// Validity: all cycles alike; the fan's energy, not the filter's share of it: what differs between candidates of
///           equal service
/// @param  cycle  running time, air delivered, fan energy between two changes
/// @param  prices  of a change and of electricity, annual volume
/// @return cost per volume and per year, energy, running time, changes per year
/// @throws DomainError if an argument is outside its range
/// @source definition; test: cost/service_cost_test.cpp
template <class T>
BasicServiceCost<T> service_cost(const BasicCycle<T>& cycle, const BasicServicePrices<T>& prices) {
    constexpr auto where = "service_cost";
    detail::check(prices, where);
    return detail::cost_at_equal_service(cycle, detail::change_cost(prices.change, where), T(1.0), prices, where);
}
template <Deferred...>
inline ServiceCost service_cost(const Cycle& cycle, const ServicePrices& prices) {
    return service_cost<double>(cycle, prices);
}

/// Prices of an installation whose stages are changed one by one.
template <class T>
struct BasicStagePrices {
    std::vector<BasicChangeCost<T>> changes{};   ///< of a change of each stage, upstream first
    BasicEnergyPrice<T> electricity{};           ///< > 0
    BasicVolume<T> annual_volume{};              ///< as BasicServicePrices, > 0
    std::optional<BasicCarbonIntensity<T>> carbon{};   ///< of the electricity, >= 0
    std::optional<BasicDemandCharge<T>> demand{};      ///< for each month's greatest power
    T running_fraction{1.0};   ///< of the calendar time, > 0 and <= 1: how long a month is, for the demand charge
};
using StagePrices = BasicStagePrices<double>;

namespace detail {

/// Filters of a stage that a history uses up: changes made, and of the last filter the share by time of a usual life.
template <class T>
T filters_used(const BasicServiceHistory<T>& history, std::size_t stage) {
    if (history.change_counts[stage] == 0) return T(1.0);
    T last(0.0);
    for (const auto& change : history.changes) {
        if (change.stage == stage) last = change.time.value();
    }
    const T filters(static_cast<double>(history.change_counts[stage]));
    const T usual = last / filters;
    return filters + (history.time.value() - last) / usual;
}

}   // namespace detail

/// Cost at equal service of stages changed at their own rules over a long time.
///
/// Equation: c = (sum_k x_k K_k + p E) / V with x_k the filters of stage k used up: changes made, plus the share of
///           the last one's usual life (or the rest of the horizon if it was never changed)
/// Symbols:  K_k cost of a change of stage k, E fan energy, V air delivered over the horizon
/// Validity: a horizon of several lives of each stage; the share of the last filter used up counts by time since its
///           change over the mean time between its changes; a stage that was never changed counts as used up by the
///           horizon's end
/// @param  history  service over the horizon, with at least some time
/// @param  prices  of a change of each stage and of electricity, annual volume
/// @return as service_cost; changes_per_year counts all stages
/// @throws DomainError if a price is outside its range, the number of prices differs from that of the stages, or the
///         fan's table has no power
/// @source definition; test: cost/service_cost_test.cpp
template <class T>
BasicServiceCost<T> service_cost(const BasicServiceHistory<T>& history, const BasicStagePrices<T>& prices) {
    constexpr auto where = "service_cost(ServiceHistory)";
    const std::size_t n = history.change_counts.size();
    if (prices.changes.size() != n) {
        detail::throw_domain_error(where, "number of prices of a change", static_cast<double>(prices.changes.size()),
                                   "", "one for each of the " + std::to_string(n) + " stages");
    }
    if (!history.fan_energy) {
        throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
    }
    T spent(0.0), used(0.0);
    for (std::size_t k = 0; k < n; ++k) {
        const T filters = detail::filters_used(history, k);
        spent = spent + filters * detail::change_cost(prices.changes[k], where);
        used = used + filters;
    }
    const BasicServicePrices<T> common{
        {BasicMoney<T>::from_value(spent), {}, {}}, prices.electricity, prices.annual_volume, prices.carbon,
        prices.demand};
    detail::check(common, where);
    BasicCycle<T> whole{history.time, history.delivered, *history.fan_energy, std::nullopt};
    if (detail::plain_value(history.dust_caught.value()) > 0.0) {   // air times the share of its dust that was caught
        whole.clean_air = BasicVolume<T>::from_value(history.delivered.value() * history.dust_caught.value() /
                                                     history.dust_arrived.value());
    }
    if (prices.demand) whole.monthly_peak = mean_monthly_peak(history, prices.running_fraction);
    return detail::cost_at_equal_service(whole, spent, used, common, where);
}

/// Cost of clean air: of air over the share of its particles that is removed.
///
/// Equation: c_clean = c / eta
/// Symbols:  c cost per volume, eta share removed of the particles in question, installed
/// Validity: eta > 0; for the particles that eta is stated for
/// @param  per_volume  cost per volume of air [money/m3], >= 0
/// @param  removal  share removed [-], > 0 and <= 1
/// @return cost per volume of clean air [money/m3]
/// @throws DomainError if an argument is outside its range
/// @source definition of clean air delivery; test: cost/service_cost_test.cpp
template <class T>
BasicMoneyPerVolume<T> cost_per_clean_air(BasicMoneyPerVolume<T> per_volume, const T& removal) {
    constexpr auto where = "cost_per_clean_air";
    detail::require_non_negative(where, "per_volume", per_volume.value(), "money/m3");
    detail::require_positive(where, "removal", removal, "-");
    detail::require_between(where, "removal", removal, 0.0, 1.0, "-");
    return BasicMoneyPerVolume<T>::from_value(per_volume.value() / removal);
}
template <Deferred...>
inline MoneyPerVolume cost_per_clean_air(MoneyPerVolume per_volume, double removal) {
    return cost_per_clean_air<double>(per_volume, removal);
}

}   // namespace filterflow
