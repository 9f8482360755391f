// SPDX-License-Identifier: BSL-1.0
#pragma once

// When to renew something that is cheap to keep at first and dearer to keep the longer it stays: the average cost
// falls while the running cost is below it and rises once it is above, so the best moment is where the two meet.
// Also the closed form for running costs that rise in a straight line.

#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A renewal cost with the running cost of each period, as a table has them.
struct PeriodCosts {
    Money renewal{};              ///< paid at each renewal, > 0
    std::vector<Money> running;   ///< of the first, second, ... period after it, >= 0
};

/// Average cost per period for renewal after one, two, ... periods.
///
/// Equation: C_n = (K + sum_{i<=n} e_i) / n
/// Symbols:  K renewal cost, e_i running cost of period i, n periods
/// Validity: no discounting
/// @param  costs  renewal cost and running cost of each period; shape (n)
/// @return average cost per period [money]; shape (n)
/// @throws DomainError if there is no period or a cost is outside its range
/// @source Panneerselvam, Engineering Economics, example 8.1; test: cost/least_average_test.cpp
template <Deferred...>
inline std::vector<Money> average_costs(const PeriodCosts& costs) {
    constexpr auto where = "average_costs";
    double sum = detail::require_positive(where, "renewal", costs.renewal.value(), "money");
    if (costs.running.empty()) detail::throw_domain_error(where, "number of periods", 0.0, "", "at least 1");
    std::vector<Money> averages;
    for (const Money& cost : costs.running) {
        sum += detail::require_non_negative(where, "running cost of a period", cost.value(), "money");
        averages.push_back(Money::from_value(sum / static_cast<double>(averages.size() + 1)));
    }
    return averages;
}

/// A filter whose pressure drop rises in a straight line at constant flow, and what it costs.
struct LinearGrowthCost {
    Money change{};                    ///< filter, labour and disposal, > 0
    EnergyPrice electricity{};         ///< > 0
    VolumeFlow flow{};                 ///< constant, > 0
    double overall_efficiency = 0.0;   ///< wire to air, > 0 and <= 1
    Pressure first_drop{};             ///< of the clean filter, >= 0
    Pressure rise{};                   ///< of the pressure drop in the time below, > 0
    Time rise_time{};                  ///< > 0
};

/// A best change interval in closed form.
struct ClosedFormInterval {
    Time interval{};         ///< running time between changes
    MoneyRate cost_rate{};   ///< average over it, filters and attributable energy
    Pressure drop{};         ///< when it is changed
};

namespace detail {
/// Money per second per pascal.
template <Deferred...>
inline double cost_per_pascal(const EnergyPrice& price, const VolumeFlow& flow, double efficiency, const char* where) {
    require_positive(where, "electricity", price.value(), "money/J");
    require_positive(where, "flow", flow.value(), "m3/s");
    require_positive(where, "overall_efficiency", efficiency, "-");
    require_between(where, "overall_efficiency", efficiency, 0.0, 1.0, "-");
    return price.value() * flow.value() / efficiency;
}
}   // namespace detail

/// Best change interval where the pressure drop rises in a straight line and the flow is held.
///
/// Equation: T = sqrt(2 K / (c a)), C = c p0 + sqrt(2 K c a)
/// Symbols:  K cost of a change, c cost of a pascal for a time (price Q / eta), a rise [Pa/s], p0 first pressure drop
///           [Pa], C average cost rate
/// Validity: constant flow, no discounting, no limits
/// @param  costs  prices, flow, efficiency and the pressure's rise
/// @return interval, cost rate there, pressure drop when changed
/// @throws DomainError if an argument is outside its range
/// @source minimum of the average cost, by hand; test: cost/least_average_test.cpp
template <Deferred...>
inline ClosedFormInterval best_interval_for_linear_growth(const LinearGrowthCost& costs) {
    constexpr auto where = "best_interval_for_linear_growth";
    const double k = detail::require_positive(where, "change", costs.change.value(), "money");
    const double c = detail::cost_per_pascal(costs.electricity, costs.flow, costs.overall_efficiency, where);
    const double p0 = detail::require_non_negative(where, "first_drop", costs.first_drop.value(), "Pa");
    const double a = detail::require_positive(where, "rise", costs.rise.value(), "Pa") /
                     detail::require_positive(where, "rise_time", costs.rise_time.value(), "s");
    const double interval = std::sqrt(2.0 * k / (c * a));
    return {Time::from_value(interval), MoneyRate::from_value(c * p0 + std::sqrt(2.0 * k * c * a)),
            Pressure::from_value(p0 + a * interval)};
}

/// What another interval than the best costs more, where the pressure drop rises in a straight line at held flow.
///
/// Equation: [c p0 + sqrt(2 K c a) (x + 1/x)/2]/[c p0 + sqrt(2 K c a)] - 1, x = T/T*
/// Symbols:  T interval, T* the best, otherwise as best_interval_for_linear_growth
/// Validity: as best_interval_for_linear_growth
/// @param  costs  prices, flow, efficiency and the pressure's rise
/// @param  interval  running time between changes [s], > 0
/// @return average cost over the least, less one [-]
/// @throws DomainError if an argument is outside its range
/// @source average cost of a rising line, by hand; test: cost/least_average_test.cpp
template <Deferred...>
inline double linear_growth_penalty(const LinearGrowthCost& costs, Time interval) {
    const ClosedFormInterval best = best_interval_for_linear_growth(costs);
    const double x = detail::require_positive("linear_growth_penalty", "interval", interval.value(), "s") /
                     best.interval.value();
    const double level = detail::cost_per_pascal(costs.electricity, costs.flow, costs.overall_efficiency,
                                                 "linear_growth_penalty") * costs.first_drop.value();
    return (best.cost_rate.value() - level) * (0.5 * (x + 1.0 / x) - 1.0) / best.cost_rate.value();
}

/// Running cost after a service (a time, or a volume of air delivered) since the renewal.
struct RunningCost {
    double service = 0.0;   ///< since the renewal, in any unit
    double rate = 0.0;      ///< cost of the next unit of service
    double total = 0.0;     ///< cost since the renewal
};

/// Where the average cost is least.
struct LeastAverage {
    bool found = false;     ///< false: the average cost falls all the way to the greatest service
    double service = 0.0;   ///< at which it is least; the greatest service if not found
    double average = 0.0;   ///< cost per service there, renewal included
};

/// Least average cost of a renewal and a running cost, where the running cost meets the average.
///
/// Equation: C(x) = (K + E(x)) / x; minimum where e(x) x - K - E(x) = 0 and rising, e = dE/dx
/// Symbols:  x service, K renewal cost, E running cost until x, e running cost of the next unit, C average
/// Validity: E smooth; of several minima the least that a scan of 200 equal parts tells apart
/// @param  renewal  cost of a renewal, > 0
/// @param  running  callable on double (service > 0) returning RunningCost
/// @param  greatest_service  end of the search, > 0
/// @return the minimum, or the end of the search with found = false
/// @throws DomainError if an argument is outside its range
/// @source renewal theory: change when the running cost equals the average cost; test: cost/least_average_test.cpp
template <class Running>
LeastAverage find_least_average(double renewal, const Running& running, double greatest_service) {
    constexpr auto where = "find_least_average";
    detail::require_positive(where, "renewal", renewal, "");
    detail::require_positive(where, "greatest_service", greatest_service, "");
    const auto excess = [&](double x) {
        const RunningCost at = running(x);
        return at.rate * x - renewal - at.total;
    };
    const auto average = [&](double x) { return (renewal + running(x).total) / x; };
    LeastAverage best{false, greatest_service, average(greatest_service)};
    constexpr int parts = 200;
    double a = 0.0, fa = -renewal;
    for (int i = 1; i <= parts; ++i) {
        const double b = greatest_service * i / parts;
        const double fb = detail::require_finite(where, "running cost", excess(b), "");
        if (fa < 0.0 && fb >= 0.0) {
            double lower = a, upper = b;
            while (upper - lower > 1e-15 * greatest_service) {
                const double middle = lower + 0.5 * (upper - lower);
                if (!(middle > lower && middle < upper)) break;
                (excess(middle) < 0.0 ? lower : upper) = middle;
            }
            const double cost = average(upper);
            if (cost <= best.average) best = {true, upper, cost};
        }
        a = b;
        fa = fb;
    }
    return best;
}

}   // namespace filterflow
