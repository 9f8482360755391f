// SPDX-License-Identifier: BSL-1.0
#pragma once

// Electricity whose price depends on the hour, the day of the week and the month. A filter loads over months and a
// schedule repeats by the week, so what a life costs goes by one price: the mean over the hours in which the fan runs,
// weighted by what it uses in them.

#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/common_year.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Days of the week on which a price holds.
enum class TariffDays {
    every_day,      ///< Monday to Sunday
    working_days,   ///< Monday to Friday
    weekend         ///< Saturday and Sunday
};

/// Hours in which a price of its own holds.
struct TariffWindow {
    int first_hour = 0;   ///< of the day, 0 to 23: the window starts at its full hour
    int end_hour = 24;    ///< of the day, 1 to 24: the window ends at it; not after first_hour: it goes over midnight
    TariffDays days = TariffDays::every_day;   ///< by the day on which the hour lies
    int first_month = 1;                       ///< 1 to 12
    int last_month = 12;   ///< 1 to 12, included; before first_month: it goes over the turn of the year
    EnergyPrice price{};   ///< in these hours, >= 0
};

/// A price for all hours and windows of other prices; where windows overlap the later one in the list holds.
struct TimeOfUseTariff {
    EnergyPrice base{};                  ///< outside all windows, >= 0
    std::vector<TariffWindow> windows;   ///< may be empty
};

/// An hour of a common year.
struct HourOfYear {
    std::size_t hour = 0;        ///< 0 to 8759: from the first hour of 1 January
    int new_years_weekday = 0;   ///< weekday of 1 January, 0 (Monday) to 6 (Sunday)
};

namespace detail {

template <Deferred...>
inline void check(const TimeOfUseTariff& tariff, const char* where) {
    require_non_negative(where, "base", tariff.base.value(), "money/J");
    for (std::size_t i = 0; i < tariff.windows.size(); ++i) {
        const TariffWindow& w = tariff.windows[i];
        const std::string name = "window " + std::to_string(i + 1) + ": ";
        require_between(where, name + "first_hour", static_cast<double>(w.first_hour), 0.0, 23.0, "");
        require_between(where, name + "end_hour", static_cast<double>(w.end_hour), 1.0, 24.0, "");
        require_between(where, name + "first_month", static_cast<double>(w.first_month), 1.0, 12.0, "");
        require_between(where, name + "last_month", static_cast<double>(w.last_month), 1.0, 12.0, "");
        require_non_negative(where, name + "price", w.price.value(), "money/J");
    }
}

inline int month_of_day(std::size_t day) {
    int month = 1;
    while (day >= days_before_month[static_cast<std::size_t>(month)]) ++month;
    return month;
}

inline bool holds(const TariffWindow& w, int hour, int weekday, int month) {
    const bool in_hours = w.first_hour < w.end_hour ? hour >= w.first_hour && hour < w.end_hour
                                                    : hour >= w.first_hour || hour < w.end_hour;
    const bool in_months = w.first_month <= w.last_month ? month >= w.first_month && month <= w.last_month
                                                         : month >= w.first_month || month <= w.last_month;
    const bool on_days = w.days == TariffDays::every_day || (w.days == TariffDays::weekend) == (weekday >= 5);
    return in_hours && in_months && on_days;
}

/// The window whose price holds, or the number of windows where none does.
template <Deferred...>
inline std::size_t window_at(const TimeOfUseTariff& tariff, const HourOfYear& at) {
    const std::size_t day = at.hour / 24;
    const int hour = static_cast<int>(at.hour % 24);
    const int weekday = static_cast<int>((day + static_cast<std::size_t>(at.new_years_weekday)) % 7);
    const int month = month_of_day(day);
    for (std::size_t k = tariff.windows.size(); k > 0; --k) {
        if (holds(tariff.windows[k - 1], hour, weekday, month)) return k - 1;
    }
    return tariff.windows.size();
}

template <Deferred...>
inline double price_at(const TimeOfUseTariff& tariff, const HourOfYear& at) {
    const std::size_t k = window_at(tariff, at);
    return k < tariff.windows.size() ? tariff.windows[k].price.value() : tariff.base.value();
}

}   // namespace detail

/// Price of electricity in an hour of a common year.
///
/// Equation: price of the last window in the list that holds in that hour, else the base price
/// Symbols:  none
/// Validity: a year of 365 days in one clock (no summer time), no public holidays
/// @param  tariff  base price and windows
/// @param  at  hour of the year and weekday of its first day
/// @return price [money/J]
/// @throws DomainError if an hour, month or weekday is outside its range or a price is negative
/// @source definition; test: cost/tariff_test.cpp
template <Deferred...>
inline EnergyPrice electricity_price_at(const TimeOfUseTariff& tariff, const HourOfYear& at) {
    constexpr auto where = "electricity_price_at";
    detail::check(tariff, where);
    detail::require_between(where, "hour", static_cast<double>(at.hour), 0.0, 8759.0, "");
    detail::require_between(where, "new_years_weekday", static_cast<double>(at.new_years_weekday), 0.0, 6.0, "");
    return EnergyPrice::from_value(detail::price_at(tariff, at));
}

/// Which part of what a fan uses falls under which price.
struct TariffShares {
    double base = 1.0;             ///< at the base price, 0 to 1
    std::vector<double> windows;   ///< at the price of each window, 0 to 1; all together 1; shape of the windows
};

/// Shares of a fan's use at each price of a tariff: weights by which prices that are not known exactly make a mean.
///
/// Equation: w_k = sum_{h: price k} w_h / sum_h w_h
/// Symbols:  w_h what the fan uses in hour h, k the price that holds in it
/// Validity: as mean_electricity_price
/// @param  tariff  base price and windows
/// @param  hourly_use  use in each hour of a common year, in any one unit, >= 0; shape (8760)
/// @param  new_years_weekday  weekday of 1 January, 0 (Monday) to 6 (Sunday)
/// @return shares [-]; together 1
/// @throws DomainError as mean_electricity_price
/// @source definition; test: cost/tariff_test.cpp
template <Deferred...>
inline TariffShares tariff_shares(const TimeOfUseTariff& tariff, std::span<const double> hourly_use,
                                  int new_years_weekday) {
    constexpr auto where = "tariff_shares";
    detail::check(tariff, where);
    detail::require_between(where, "new_years_weekday", static_cast<double>(new_years_weekday), 0.0, 6.0, "");
    if (hourly_use.size() != 8760) {
        detail::throw_domain_error(where, "number of hours", static_cast<double>(hourly_use.size()), "", "8760");
    }
    TariffShares shares{0.0, std::vector<double>(tariff.windows.size(), 0.0)};
    double use = 0.0;
    for (std::size_t h = 0; h < hourly_use.size(); ++h) {
        const double w = detail::require_non_negative(where, "hourly_use", hourly_use[h], "");
        use += w;
        if (!(w > 0.0)) continue;
        const std::size_t k = detail::window_at(tariff, {h, new_years_weekday});
        (k < shares.windows.size() ? shares.windows[k] : shares.base) += w;
    }
    detail::require_positive(where, "sum of hourly_use", use, "");
    shares.base /= use;
    for (double& share : shares.windows) share /= use;
    return shares;
}

/// Mean price of electricity for a fan that runs by the hours: the price that a life is costed with.
///
/// Equation: p = sum_h p_h w_h / sum_h w_h
/// Symbols:  p_h price in hour h, w_h what the fan uses in it
/// Validity: exact for a fan of one speed, with its running time as the use, while the filters load little within a
///           week; with several speeds the use is running time times the power of the speed. Prices for the greatest
///           power of a month are no part of it: annual_demand_cost
/// @param  tariff  base price and windows
/// @param  hourly_use  use in each hour of a common year, in any one unit (share of the hour that the fan runs, or
///         energy), >= 0; shape (8760)
/// @param  new_years_weekday  weekday of 1 January, 0 (Monday) to 6 (Sunday)
/// @return price [money/J]
/// @throws DomainError if there are not 8760 hours, a use is negative or all are zero, or the tariff is out of its
///         ranges
/// @source mean weighted by use; test: cost/tariff_test.cpp
template <Deferred...>
inline EnergyPrice mean_electricity_price(const TimeOfUseTariff& tariff, std::span<const double> hourly_use,
                                          int new_years_weekday) {
    const TariffShares shares = tariff_shares(tariff, hourly_use, new_years_weekday);
    EnergyPrice mean = shares.base * tariff.base;
    for (std::size_t k = 0; k < shares.windows.size(); ++k) mean += shares.windows[k] * tariff.windows[k].price;
    return mean;
}

}   // namespace filterflow
