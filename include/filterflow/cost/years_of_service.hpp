// SPDX-License-Identifier: BSL-1.0
#pragma once

// Years of service from what a year costs: how often filters are bought and when, energy, carbon, present value. So a
// deep filter that is changed seldom is compared with shallow ones that are changed often.

#include <cmath>
#include <cstddef>
#include <optional>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>

namespace filterflow {

/// What years of service take.
template <class T>
struct BasicYearsOfService {
    std::size_t purchases = 0;        ///< sets of filters bought, the first at the start
    T sets_used{};                    ///< the same, of the last only the share used up
    BasicTime<T> calendar_interval;   ///< calendar time between changes
    BasicEnergy<T> energy;            ///< of the fan
    BasicMoney<T> energy_cost;        ///< at today's price
    BasicMoney<T> filter_cost;        ///< sets used, labour and disposal included, at today's prices
    BasicMoney<T> present_value;      ///< of all payments; the unused share of the last set counts back at the end
    std::optional<BasicMass<T>> carbon{};   ///< empty without a carbon intensity
};
using YearsOfService = BasicYearsOfService<double>;

/// Years of the same service.
///
/// Equation: PV = K [sum_{k<m} q_o^(k tau) - (m - n/tau) q_o^n] + E UPV(r, e_el, n); q_o = (1 + e_o)/(1 + r)
/// Symbols:  K cost of a change, tau calendar years between changes, m = n/tau rounded up, n years, E energy cost of a
///           year, r discount rate, e_el, e_o escalations, UPV uniform present value factor
/// Validity: all cycles alike; filters are paid when they are put in, the first set at the start (present_value counts
///           both parts at the end of each year); energy at the end of each year, which at 3 % is 1.5 % late
/// @param  cost  of the service, at equal service with whatever it is compared with
/// @param  outlook  rates and years
/// @return purchases, energy, costs and present value
/// @throws DomainError if the cost has no changes, or as uniform_present_value_factor
/// @source engineering economics; test: cost/present_value_test.cpp, summed payment by payment
template <class T>
BasicYearsOfService<T> years_of_service(const BasicServiceCost<T>& cost, const BasicCostOutlook<T>& outlook) {
    using std::exp;
    using std::log1p;
    constexpr auto where = "years_of_service";
    const T changes = detail::require_positive(where, "changes_per_year", cost.changes_per_year, "1/year");
    const T a_change =
        detail::require_non_negative(where, "annual_filter_cost", cost.annual_filter_cost.value(), "money") / changes;
    const T energy_cost = detail::require_finite(where, "annual_energy_cost", cost.annual_energy_cost.value(), "money");
    const T energy_factor =
        uniform_present_value_factor<T>({outlook.discount_rate, outlook.electricity_escalation, outlook.years});
    detail::require_positive(where, "1 + other_escalation", T(T(1.0) + outlook.other_escalation), "-");
    const double years = outlook.years;
    const T sets = changes * T(years);
    detail::require_between(where, "sets of filters over the years", detail::plain_value(sets), 0.0, 1e6, "");
    BasicYearsOfService<T> result;
    result.purchases = static_cast<std::size_t>(std::ceil(detail::plain_value(sets) * (1.0 - 1e-12)));
    const T growth = log1p((outlook.other_escalation - outlook.discount_rate) / (T(1.0) + outlook.discount_rate));
    const T step = exp(growth / changes);
    T factor(0.0), at(1.0);
    for (std::size_t k = 0; k < result.purchases; ++k) {
        factor = factor + at;
        at = at * step;
    }
    factor = factor - (T(static_cast<double>(result.purchases)) - sets) * exp(growth * T(years));
    result.sets_used = sets;
    result.calendar_interval = BasicTime<T>::from_value(T(units::year.one.value()) / changes);
    result.energy = BasicEnergy<T>::from_value(cost.annual_energy.value() * T(years));
    result.energy_cost = BasicMoney<T>::from_value(energy_cost * T(years));
    result.filter_cost = BasicMoney<T>::from_value(a_change * sets);
    result.present_value = BasicMoney<T>::from_value(
        detail::require_finite(where, "result", T(a_change * factor + energy_cost * energy_factor), "money"));
    if (cost.annual_carbon) result.carbon = BasicMass<T>::from_value(cost.annual_carbon->value() * T(years));
    return result;
}
template <Deferred...>
inline YearsOfService years_of_service(const ServiceCost& cost, const CostOutlook& outlook) {
    return years_of_service<double>(cost, outlook);
}

}   // namespace filterflow
