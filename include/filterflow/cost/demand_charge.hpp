// SPDX-License-Identifier: BSL-1.0
#pragma once

// A demand charge: what utilities bill, beside energy, for the greatest power of each month. A fan whose filters load
// draws a power that changes between two changes, so what counts is the greatest of each month, in the mean of years.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/service_history.hpp>

namespace filterflow {

namespace detail {
using demand_price_unit = ratio<money_unit, Power::unit_type>;
}
template <class T>
using BasicDemandPrice = boost::units::quantity<detail::demand_price_unit, T>;
using DemandPrice = BasicDemandPrice<double>;   ///< money per power, for one month

namespace units {
inline constexpr auto money_per_kW = named<DemandPrice>(1e-3);
}   // namespace units

/// A price of each month's greatest power.
template <class T>
struct BasicDemandCharge {
    BasicDemandPrice<T> price{};   ///< for a month, >= 0
    double months = 12.0;          ///< of a year in which the fan runs and is billed, 0 to 12
};
using DemandCharge = BasicDemandCharge<double>;

namespace detail {

template <class T>
void check(const BasicDemandCharge<T>& charge, const char* where) {
    require_non_negative(where, "price of the months' greatest power", charge.price.value(), "money/W");
    require_between(where, "months", charge.months, 0.0, 12.0, "");
}

inline constexpr double month_seconds = 8760.0 * 3600.0 / 12.0;

/// Power over calendar time: straight between the samples, or with slopes there from the parabola through neighbours.
template <class T>
struct PowerCourse {
    std::vector<T> time, power, slope;   // times rise; equal ones part two stretches; no slopes: straight

    void set_slopes() {
        const std::size_t n = time.size();
        slope.assign(n, T(0.0));
        const auto chord = [&](std::size_t i) { return T((power[i + 1] - power[i]) / (time[i + 1] - time[i])); };
        const auto apart = [&](std::size_t i) { return plain_value(time[i + 1]) > plain_value(time[i]); };
        for (std::size_t i = 0; i < n; ++i) {
            const bool before = i > 0 && apart(i - 1), after = i + 1 < n && apart(i);
            if (before && after) {
                const T h0 = time[i] - time[i - 1], h1 = time[i + 1] - time[i];
                slope[i] = (h1 * chord(i - 1) + h0 * chord(i)) / (h0 + h1);
            } else if (before || after) {
                slope[i] = chord(before ? i - 1 : i);
            }
        }
        // At an end the parabola of its neighbour goes on: its chord is the mean of the two slopes.
        for (std::size_t i = 0; i + 1 < n; ++i) {
            if (!apart(i)) continue;
            const bool first = i == 0 || !apart(i - 1), last = i + 2 == n || !apart(i + 1);
            if (first && !last) slope[i] = T(2.0) * chord(i) - slope[i + 1];
            if (last && !first) slope[i + 1] = T(2.0) * chord(i) - slope[i];
        }
    }

    T at(const T& t) const {
        const double plain = plain_value(t);
        std::size_t i = 0;
        while (i + 2 < time.size() && plain_value(time[i + 1]) < plain) ++i;
        const T h = time[i + 1] - time[i];
        if (!(plain_value(h) > 0.0)) return power[i + 1];
        const T s = (t - time[i]) / h, dy = power[i + 1] - power[i];
        if (slope.empty()) return power[i] + s * dy;
        const T c = T(3.0) * dy - h * (T(2.0) * slope[i] + slope[i + 1]),
                d = h * (slope[i] + slope[i + 1]) - T(2.0) * dy;
        return power[i] + s * (h * slope[i] + s * (c + s * d));
    }

    /// The greatest at the ends of a stretch of time and at the samples in it.
    T greatest(const T& from, const T& to) const {
        const T first = at(from), last = at(to);
        T most = plain_value(first) < plain_value(last) ? last : first;
        for (std::size_t i = 0; i < time.size(); ++i) {
            const bool inside = plain_value(time[i]) > plain_value(from) && plain_value(time[i]) < plain_value(to);
            if (inside && plain_value(power[i]) > plain_value(most)) most = power[i];
        }
        return most;
    }
};

template <class T>
PowerCourse<T> power_course(const std::vector<BasicLifeMoment<T>>& moments, const T& running_fraction,
                            const char* where) {
    require_positive(where, "running_fraction", running_fraction, "-");
    require_between(where, "running_fraction", running_fraction, 0.0, 1.0, "-");
    PowerCourse<T> course;
    for (const BasicLifeMoment<T>& m : moments) {
        if (!m.power)
            throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
        course.time.push_back(m.time.value() / running_fraction);
        course.power.push_back(m.power->value());
    }
    const bool lasts = course.time.size() >= 2 && plain_value(course.time.back()) > plain_value(course.time.front());
    if (!lasts) throw DomainError(std::string(where) + ": the moments span no time; required: some");
    return course;
}

/// Mean of a function over a stretch, by Gauss and Legendre's two points in equal parts.
template <class T, class F>
T mean_over(const T& from, const T& to, std::size_t parts, const F& f) {
    const double offset = 0.5 / std::sqrt(3.0);
    T sum(0.0);
    for (std::size_t i = 0; i < parts; ++i) {
        for (const double x : {0.5 - offset, 0.5 + offset}) {
            sum = sum + f(T(from + (to - from) * T((static_cast<double>(i) + x) / static_cast<double>(parts))));
        }
    }
    return sum / T(2.0 * static_cast<double>(parts));
}

}   // namespace detail

/// Mean over years of each month's greatest power, of an installation that is changed after a life again and again.
///
/// Equation: mean over s in [0, tau) of max P(a), a in [s, s + m] from change to change; all of P where m >= tau
/// Symbols:  P fan power at an age, tau calendar time between changes, m a month (a twelfth of a year)
/// Validity: changes fall anywhere in a month, in the mean of years. The greatest is that of the samples and of a
///           month's ends: a turn between two samples is cut off. Power while the fan runs, not its mean over the
///           quarter of an hour that meters take
/// @param  moments  of a life from its clean filters to the change, with power; shape (n), n >= 2
/// @param  running_fraction  running over calendar time [-], > 0 and <= 1
/// @return power [W]
/// @throws DomainError if the moments span no time or lack power, or the fraction is out of its range
/// @source definition; test: cost/demand_charge_test.cpp, against month after month of many years
template <class T>
BasicPower<T> mean_monthly_peak(const std::vector<BasicLifeMoment<T>>& moments, const T& running_fraction) {
    detail::PowerCourse<T> course = detail::power_course(moments, running_fraction, "mean_monthly_peak");
    course.set_slopes();
    const T first = course.time.front(), end = course.time.back(), month(detail::month_seconds), span = end - first;
    if (!(detail::plain_value(span) > detail::month_seconds)) {
        return BasicPower<T>::from_value(course.greatest(first, end));
    }
    const T last_whole = end - month;   // months that begin later hold a change
    constexpr std::size_t parts = 24;
    const T whole = detail::mean_over<T>(first, last_whole, parts,
                                         [&](const T& s) { return course.greatest(s, T(s + month)); });
    const T changed = detail::mean_over<T>(last_whole, end, parts, [&](const T& s) {
        const T before = course.greatest(s, end), after = course.greatest(first, T(s + month - span));
        return detail::plain_value(before) < detail::plain_value(after) ? after : before;
    });
    return BasicPower<T>::from_value((whole * (span - month) + changed * month) / span);
}
template <Deferred...>
inline Power mean_monthly_peak(const std::vector<LifeMoment>& moments, double running_fraction) {
    return mean_monthly_peak<double>(moments, running_fraction);
}

/// Mean of each month's greatest power over years in which stages are changed at their own rules.
///
/// Equation: mean of max P over the months that begin at every eighth part of a month
/// Symbols:  P fan power
/// Validity: as mean_monthly_peak of a life, straight between the samples; a history of less than a month counts by its
///           greatest power
/// @param  history  service over years, with power
/// @param  running_fraction  running over calendar time [-], > 0 and <= 1
/// @return power [W]
/// @throws DomainError as mean_monthly_peak of a life
/// @source definition; test: cost/demand_charge_test.cpp
template <class T>
BasicPower<T> mean_monthly_peak(const BasicServiceHistory<T>& history, const T& running_fraction) {
    const detail::PowerCourse<T> all = detail::power_course(history.moments, running_fraction, "mean_monthly_peak");
    const double end = detail::plain_value(all.time.back()), step = detail::month_seconds / 8.0;
    T sum(0.0);
    std::size_t count = 0, begin = 0;
    detail::PowerCourse<T> part;   // the samples about one month
    for (double s = 0.0; s + detail::month_seconds <= end; s += step, ++count) {
        while (begin + 1 < all.time.size() && detail::plain_value(all.time[begin + 1]) <= s) ++begin;
        std::size_t stop = begin + 1;
        while (stop < all.time.size() && detail::plain_value(all.time[stop - 1]) < s + detail::month_seconds) ++stop;
        const auto cut = [&](const std::vector<T>& from, std::vector<T>& to) {
            to.assign(from.begin() + static_cast<std::ptrdiff_t>(begin),
                      from.begin() + static_cast<std::ptrdiff_t>(stop));
        };
        cut(all.time, part.time);
        cut(all.power, part.power);
        sum = sum + part.greatest(T(s), T(s + detail::month_seconds));
    }
    if (count == 0) return BasicPower<T>::from_value(all.greatest(all.time.front(), all.time.back()));
    return BasicPower<T>::from_value(sum / T(static_cast<double>(count)));
}
template <Deferred...>
inline Power mean_monthly_peak(const ServiceHistory& history, double running_fraction) {
    return mean_monthly_peak<double>(history, running_fraction);
}

/// What a year's demand charges cost.
///
/// Equation: D = n d P
/// Symbols:  n months billed, d price of a month's greatest power, P mean of these
/// Validity: the fan runs when the meter finds its month's greatest power, or has a meter of its own: what it adds to
///           another's peak is then its power. At equal service the charge does not grow with the running time
/// @param  charge  price and months
/// @param  monthly_peak  mean of each month's greatest power [W], >= 0
/// @return cost of a year [money]
/// @throws DomainError if an argument is outside its range
/// @source definition of a demand charge; test: cost/demand_charge_test.cpp
template <class T>
BasicMoney<T> annual_demand_cost(const BasicDemandCharge<T>& charge, BasicPower<T> monthly_peak) {
    constexpr auto where = "annual_demand_cost";
    detail::check(charge, where);
    const T peak = detail::require_non_negative(where, "monthly_peak", monthly_peak.value(), "W");
    return BasicMoney<T>::from_value(T(charge.months) * charge.price.value() * peak);
}
template <Deferred...>
inline Money annual_demand_cost(const DemandCharge& charge, Power monthly_peak) {
    return annual_demand_cost<double>(charge, monthly_peak);
}

}   // namespace filterflow
