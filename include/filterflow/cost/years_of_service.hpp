// SPDX-License-Identifier: BSL-1.0
#pragma once

// Years of service from what a year costs: how often filters are bought and when, energy, carbon, present value. So a
// deep filter that is changed seldom is compared with shallow ones that are changed often.

#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>

namespace filterflow {

/// Changes of one stage.
template <class T>
struct BasicStageChanges {
    BasicMoney<T> cost{};   ///< of one: filters, labour, disposal, >= 0
    T per_year{};           ///< how often, > 0; may be a fraction
};
using StageChanges = BasicStageChanges<double>;

/// What years of service take.
template <class T>
struct BasicYearsOfService {
    std::size_t purchases = 0;        ///< sets of filters bought, the first at the start; of several stages all
    T sets_used{};                    ///< the same, of the last only the share used up
    BasicTime<T> calendar_interval;   ///< calendar time between changes; of several stages between any two
    BasicEnergy<T> energy;            ///< of the fan
    BasicMoney<T> energy_cost;        ///< at today's price, demand charge included
    BasicMoney<T> filter_cost;        ///< sets used, labour and disposal included, at today's prices
    BasicMoney<T> present_value;      ///< of all payments; the unused share of the last set counts back at the end
    std::optional<BasicMass<T>> carbon{};             ///< empty without a carbon intensity
    std::vector<std::size_t> purchases_of_stages{};   ///< of each stage, upstream first
};
using YearsOfService = BasicYearsOfService<double>;

namespace detail {

/// Sets of filters of one stage over years, and their payments' present value over the cost of a change.
template <class T>
struct StagePayments {
    std::size_t purchases = 0;
    T sets_used{}, factor{};
};

template <class T>
StagePayments<T> stage_payments(const T& per_year, const BasicCostOutlook<T>& outlook, const char* where) {
    using std::exp;
    using std::log1p;
    StagePayments<T> result;
    result.sets_used = require_positive(where, "changes_per_year", per_year, "1/year") * T(outlook.years);
    require_between(where, "sets of filters over the years", plain_value(result.sets_used), 0.0, 1e6, "");
    result.purchases = static_cast<std::size_t>(std::ceil(plain_value(result.sets_used) * (1.0 - 1e-12)));
    const T growth = log1p((outlook.other_escalation - outlook.discount_rate) / (T(1.0) + outlook.discount_rate));
    const T step = exp(growth / per_year);
    T factor(0.0), at(1.0);
    for (std::size_t k = 0; k < result.purchases; ++k) {
        factor = factor + at;
        at = at * step;
    }
    result.factor = factor - (T(static_cast<double>(result.purchases)) - result.sets_used) *
                                 exp(growth * T(outlook.years));
    return result;
}

}   // namespace detail

/// Years of the same service of stages that are changed at times of their own.
///
/// Equation: PV = sum_j K_j [sum_{k<m_j} q_o^(k tau_j) - (m_j - n/tau_j) q_o^n] + E UPV(r, e_el, n);
///           q_o = (1 + e_o)/(1 + r)
/// Symbols:  K_j cost of a change of stage j, tau_j calendar years between its changes, m_j = n/tau_j rounded up, n
///           years, E energy cost of a year with its demand charge, r discount rate, e_el, e_o escalations, UPV uniform
///           present value factor
/// Validity: as years_of_service of one stage
/// @param  cost  of the service: energy, demand charge and carbon are read
/// @param  stages  changes of each stage, upstream first; shape (n), n >= 1
/// @param  outlook  rates and years
/// @return purchases, energy, costs and present value
/// @throws DomainError as years_of_service of one stage, or if there is no stage
/// @source engineering economics; test: cost/present_value_test.cpp, summed payment by payment
template <class T>
BasicYearsOfService<T> years_of_service(const BasicServiceCost<T>& cost,
                                        const std::vector<BasicStageChanges<T>>& stages,
                                        const BasicCostOutlook<T>& outlook) {
    constexpr auto where = "years_of_service";
    if (stages.empty()) detail::throw_domain_error(where, "number of stages", 0.0, "", "at least 1");
    const T energy_price =
        detail::require_finite(where, "annual_energy_cost", cost.annual_energy_cost.value(), "money");
    const T energy_cost =
        cost.annual_demand_cost ? T(energy_price + cost.annual_demand_cost->value()) : energy_price;
    const T energy_factor =
        uniform_present_value_factor<T>({outlook.discount_rate, outlook.electricity_escalation, outlook.years});
    detail::require_positive(where, "1 + other_escalation", T(T(1.0) + outlook.other_escalation), "-");
    BasicYearsOfService<T> result;
    T value = energy_cost * energy_factor, filters(0.0), per_year(0.0);
    for (const BasicStageChanges<T>& stage : stages) {
        const T change = detail::require_non_negative(where, "cost of a change", stage.cost.value(), "money");
        const auto payments = detail::stage_payments(stage.per_year, outlook, where);
        result.purchases += payments.purchases;
        result.purchases_of_stages.push_back(payments.purchases);
        result.sets_used = result.sets_used + payments.sets_used;
        per_year = per_year + stage.per_year;
        filters = filters + change * payments.sets_used;
        value = value + change * payments.factor;
    }
    result.calendar_interval = BasicTime<T>::from_value(T(units::year.one.value()) / per_year);
    result.energy = BasicEnergy<T>::from_value(cost.annual_energy.value() * T(outlook.years));
    result.energy_cost = BasicMoney<T>::from_value(energy_cost * T(outlook.years));
    result.filter_cost = BasicMoney<T>::from_value(filters);
    result.present_value = BasicMoney<T>::from_value(detail::require_finite(where, "result", value, "money"));
    if (cost.annual_carbon) result.carbon = BasicMass<T>::from_value(cost.annual_carbon->value() * T(outlook.years));
    return result;
}
template <Deferred...>
inline YearsOfService years_of_service(const ServiceCost& cost, const std::vector<StageChanges>& stages,
                                       const CostOutlook& outlook) {
    return years_of_service<double>(cost, stages, outlook);
}

/// Years of the same service.
///
/// Equation: PV = K [sum_{k<m} q_o^(k tau) - (m - n/tau) q_o^n] + E UPV(r, e_el, n); q_o = (1 + e_o)/(1 + r)
/// Symbols:  K cost of a change, tau calendar years between changes, m = n/tau rounded up, n years, E energy cost of a
///           year with its demand charge, r discount rate, e_el, e_o escalations, UPV uniform present value factor
/// Validity: all cycles alike; filters are paid when they are put in, the first set at the start (present_value counts
///           both parts at the end of each year); energy at the end of each year, which at 3 % is 1.5 % late
/// @param  cost  of the service, at equal service with whatever it is compared with
/// @param  outlook  rates and years
/// @return purchases, energy, costs and present value
/// @throws DomainError if the cost has no changes, or as uniform_present_value_factor
/// @source engineering economics; test: cost/present_value_test.cpp, summed payment by payment
template <class T>
BasicYearsOfService<T> years_of_service(const BasicServiceCost<T>& cost, const BasicCostOutlook<T>& outlook) {
    constexpr auto where = "years_of_service";
    const T changes = detail::require_positive(where, "changes_per_year", cost.changes_per_year, "1/year");
    const T filters =
        detail::require_non_negative(where, "annual_filter_cost", cost.annual_filter_cost.value(), "money");
    return years_of_service<T>(cost, {{BasicMoney<T>::from_value(filters / changes), changes}}, outlook);
}
template <Deferred...>
inline YearsOfService years_of_service(const ServiceCost& cost, const CostOutlook& outlook) {
    return years_of_service<double>(cost, outlook);
}

}   // namespace filterflow
