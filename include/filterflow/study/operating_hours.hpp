// SPDX-License-Identifier: BSL-1.0
#pragma once

// When a system's fan runs and how dusty its air is, hour by hour: what of it a study goes by. Life and cost follow the
// running time and the dust in it, prices by the hour what the fan runs in each, the calendar of changes and the room's
// mean the hours themselves.

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/common_year.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/tariff.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow {

namespace detail {

template <Deferred...>
inline void check(const OperatingHours& hours, const std::string& of, const char* where) {
    const std::size_t count = hours.schedule.hours().size();
    if (count != 8760) {
        throw_domain_error(where, "number of hours of the schedule" + of, static_cast<double>(count), "",
                           "8760: a year");
    }
    require_between(where, "new_years_weekday" + of, static_cast<double>(hours.new_years_weekday), 0.0, 6.0, "");
    require_between(where, "fan speed levels of the schedule" + of, static_cast<double>(hours.schedule.levels()), 1.0,
                    1.0, "");
    require_between(where, "kinds of dust of the schedule" + of, static_cast<double>(hours.schedule.dusts()), 1.0, 1.0,
                    "");
}

/// Months of a year in which the fan runs; all where its hours are not known.
template <Deferred...>
inline double running_months(const SystemInput& system) {
    if (!system.operating_hours) return 12.0;
    const auto sums = system.operating_hours->schedule.running_sums();
    double months = 0.0;
    for (std::size_t m = 0; m < 12; ++m) {
        if (sums[24 * days_before_month[m + 1]] > sums[24 * days_before_month[m]]) months += 1.0;
    }
    return months;
}

/// The mean price of the electricity that a system's fan uses, with the shares of its use at each price; nothing
/// without a price.
template <Deferred...>
inline std::optional<SystemElectricity> electricity_of(const StudyInput& study, const SystemInput& system) {
    const PricesInput& prices = study.prices;
    if (!prices.electricity) return std::nullopt;
    SystemElectricity result{*prices.electricity, {}, system.operating_hours.has_value()};
    if (prices.time_of_use.empty()) return result;
    TimeOfUseTariff tariff{prices.electricity->value, {}};
    for (const TimeOfUsePrice& period : prices.time_of_use) {
        tariff.windows.push_back(period.window);
        tariff.windows.back().price = period.price.value;
    }
    std::vector<double> use(8760, 1.0);   // hours not known: the mean over all
    int weekday = 0;
    if (system.operating_hours) {
        for (std::size_t h = 0; h < use.size(); ++h) use[h] = system.operating_hours->schedule.hours()[h].running;
        weekday = system.operating_hours->new_years_weekday;
    }
    result.shares = tariff_shares(tariff, use, weekday);
    result.price = Uncertain<EnergyPrice>(mean_electricity_price(tariff, use, weekday));
    result.price.gradient.add(prices.electricity->gradient, result.shares.base);
    for (std::size_t k = 0; k < prices.time_of_use.size(); ++k) {
        result.price.gradient.add(prices.time_of_use[k].price.gradient, result.shares.windows[k]);
    }
    return result;
}

}   // namespace detail

/// A system whose running time and dust are those of its hours.
///
/// Equation: t_a = sum f, C = sum f C_h / sum f over the hours of a year
/// Symbols:  f running share and C_h concentration of an hour, t_a running time of a year, C concentration of the dust
///           while the fan runs
/// Validity: a fan of one speed: a life is then a dose of dust, whatever the hours in which it comes
/// @param  system  its dust_concentration is multiplied by the hours' mean where these are factors, else replaced by it
/// @param  hours  of a year
/// @param  dust_factor  how well the hours' own concentrations are known: one, with its uncertainty
/// @return the system with its hours, hours_per_year and dust_concentration
/// @throws DomainError if the hours are not those of a year of one fan speed and one kind of dust
/// @source definition; test: study/operating_hours_test.cpp
template <Deferred...>
inline SystemInput with_operating_hours(SystemInput system, OperatingHours hours,
                                        const Uncertain<double>& dust_factor = Uncertain<double>(1.0)) {
    detail::check(hours, " of system '" + system.name + "'", "with_operating_hours");
    system.hours_per_year = hours.schedule.running_fraction() * units::year;
    const MassConcentration mean = hours.schedule.mean_concentration();
    if (hours.states_dust) {
        system.dust_concentration = Uncertain<MassConcentration>(MassConcentration(mean * dust_factor.value));
        system.dust_concentration->gradient.add(dust_factor.gradient, mean.value());
    } else if (system.dust_concentration) {
        const double factor = mean.value();   // of concentrations that are one where the dust is the one stated
        Uncertain<MassConcentration> scaled(MassConcentration(factor * system.dust_concentration->value));
        scaled.gradient.add(system.dust_concentration->gradient, factor);
        system.dust_concentration = scaled;
    }
    system.operating_hours = std::move(hours);
    return system;
}

}   // namespace filterflow
