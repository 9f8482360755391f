// SPDX-License-Identifier: BSL-1.0
#pragma once

// How much earlier or later than at the best time filters may be changed before the cost has risen by some share: near
// its least the cost is flat, so that a change may wait for the crew's next round.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/demand_interval.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

/// Running times between changes within which the average cost exceeds that of the interval found by no more than a
/// share.
template <class T>
struct BasicChangeWindow {
    BasicTime<T> earliest{};       ///< > 0
    BasicTime<T> latest{};         ///< not before the interval found
    bool ends_with_life = false;   ///< the cost never rises that far before the first limit, or the horizon
};
using ChangeWindow = BasicChangeWindow<double>;

namespace detail {

/// Root of a function between two times at which its signs differ, by regula falsi (Illinois).
template <class F>
double crossing_between(double a, double b, const F& f) {
    double at_a = f(a), at_b = f(b);
    for (int i = 0; i < 100 && std::abs(b - a) > 1e-9 * b; ++i) {
        const double next = b - at_b * (b - a) / (at_b - at_a);
        const double value = f(next);
        if ((value < 0.0) == (at_b < 0.0)) {
            at_a *= 0.5;
        } else {
            a = b;
            at_a = at_b;
        }
        const bool settled = std::abs(next - b) <= 1e-9 * next;
        b = next;
        at_b = value;
        if (settled || value == 0.0) break;
    }
    return b;
}

template <class T>
BasicChangeWindow<T> change_window_of(const BasicFilterLifeInput<T>& input, const BasicServicePrices<T>& prices,
                                      const BasicChangeInterval<T>& found, double greatest_penalty) {
    constexpr auto where = "find_change_window";
    check(prices, where);
    require_positive(where, "greatest_penalty", greatest_penalty, "-");
    if (!found.interval || !found.cost) {
        throw DomainError(std::string(where) + ": no interval was found (" + found.text +
                          "); required: one to compare with");
    }
    const double best = plain_value(found.interval->value()), end = plain_value(found.life.time.value());
    const T bound = T(1.0 + greatest_penalty) * average_of(*found.cost, found.basis);
    const auto excess = [&](double t) {
        return plain_value(average_until(input, prices, found.basis, t) - bound);
    };
    // A time where the cost meets the bound, moved by what the derivatives of both say.
    const auto settled = [&](double t) {
        const T difference = average_until(input, prices, found.basis, t) - bound;
        const double slope = plain_value(average_slope(input, prices, found.basis, t, end));
        return BasicTime<T>::from_value(T(t) - (difference - T(plain_value(difference))) / T(slope));
    };
    BasicChangeWindow<T> window;
    double early = 0.5 * best;
    while (excess(early) < 0.0) early *= 0.5;   // towards zero the cost of a change alone is without bound
    window.earliest = settled(crossing_between(early, best, excess));
    double before = best, after = end;
    bool rises = false;
    for (const ChangeIntervalSample& sample : found.curve) {
        if (!(sample.interval.value() > best) || rises) continue;
        rises = sample.penalty && *sample.penalty > greatest_penalty;
        (rises ? after : before) = sample.interval.value();
    }
    window.ends_with_life = !rises;
    window.latest = rises ? settled(crossing_between(before, after, excess)) : found.life.time;
    return window;
}

}   // namespace detail

/// The running times between which filters may be changed for no more than some share above the cost of an interval.
///
/// Equation: C(t) = (1 + x) C(T*)
/// Symbols:  C average cost by the basis of the search, T* interval found, x greatest penalty
/// Validity: as find_change_interval, with the same installation and prices; the first time after T* at which the bound
///           is met. Where a limit sets the interval nothing is later than it
/// @param  input  installation that the interval was found for
/// @param  prices  those it was found with
/// @param  found  change interval
/// @param  greatest_penalty  share by which the cost may exceed that of the interval [-], > 0
/// @return earliest and latest running time [s]
/// @throws DomainError if no interval was found or an argument is outside its range
/// @source definition; test: cost/change_window_test.cpp
template <std::size_t N>
BasicChangeWindow<Dual<N>> find_change_window(const BasicFilterLifeInput<Dual<N>>& input,
                                              const BasicServicePrices<Dual<N>>& prices,
                                              const BasicChangeInterval<Dual<N>>& found, double greatest_penalty) {
    return detail::change_window_of(input, prices, found, greatest_penalty);
}
template <Deferred...>
inline ChangeWindow find_change_window(const FilterLifeInput& input, const ServicePrices& prices,
                                       const ChangeInterval& found, double greatest_penalty) {
    return detail::change_window_of(input, prices, found, greatest_penalty);
}

}   // namespace filterflow
