// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a counter misses when particles come too close together: coincidence in the sensing volume (paralysable: each
// particle prolongs the pulse) and dead time of the electronics (non-paralysable). Forward, inverse, and the factors
// by which the samples of a test are to be multiplied.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include <filterflow/capture/particle_counts.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/lambert_w.hpp>

namespace filterflow {

/// How a counter loses particles.
enum class CounterLossModel {
    paralysable,      ///< coincidence: overlapping pulses count as one, however many overlap
    non_paralysable   ///< dead time: after each particle counted the counter is blind for a while
};

/// What a counter loses, as its maker states it or a dilution test shows.
template <class T>
struct BasicCounterLoss {
    BasicTime<T> dead_time;                                  ///< of one particle, > 0
    CounterLossModel model = CounterLossModel::paralysable;   ///< which of the two
};
using CounterLoss = BasicCounterLoss<double>;

namespace detail {

inline constexpr double euler_e = 2.718281828459045;

template <class T>
T indicated_rate(const T& rate, const T& dead_time, CounterLossModel model) {
    using std::exp;
    return model == CounterLossModel::paralysable ? T(rate * exp(-rate * dead_time))
                                                  : T(rate / (T(1) + rate * dead_time));
}

/// Lower root of m = n exp(-n tau). Lambert's W gives it in double; one Newton step there carries derivatives.
template <class T>
T paralysable_true_rate(const T& indicated, const T& dead_time) {
    using std::exp;
    const double tau = plain_value(dead_time);
    const double root = -lambert_w(-plain_value(indicated) * tau) / tau;
    if constexpr (std::is_same_v<T, double>) {
        return root;
    } else {
        const T n(root);
        const T shown = n * exp(-n * dead_time);
        return n - (shown - indicated) / (T(1 - root * tau) * T(std::exp(-root * tau)));
    }
}

}   // namespace detail

/// Rate that a counter shows where particles arrive at a rate.
///
/// Equation: m = n exp(-n tau) (paralysable), m = n/(1 + n tau) (non-paralysable)
/// Symbols:  n arrival rate [1/s] (concentration times flow of the counter), m rate shown, tau dead time [s]
/// Validity: particles arrive independently of each other; beyond n tau = 1 a paralysable counter shows less the more
///           arrive
/// @param  arrival_rate  n, of particles of all sizes that the counter sees [1/s], >= 0
/// @param  loss  dead time and model
/// @return rate shown [1/s]
/// @throws DomainError if the rate is negative, the dead time not > 0, or one of them not finite
/// @source Knoll 2010, section 4.7 (from memory); coincidence in particle counters:
///         doi 10.1080/02786826.2012.737049 (abstract read); test: capture/counter_losses_test.cpp
template <class T>
BasicRate<T> indicated_rate(const BasicRate<T>& arrival_rate, const BasicCounterLoss<T>& loss) {
    constexpr auto where = "indicated_rate";
    detail::require_non_negative(where, "arrival_rate", arrival_rate.value(), "1/s");
    detail::require_positive(where, "dead_time", loss.dead_time.value(), "s");
    return BasicRate<T>::from_value(detail::require_finite(
        where, "result", detail::indicated_rate(T(arrival_rate.value()), T(loss.dead_time.value()), loss.model), "1/s"));
}
template <Deferred...>
inline Rate indicated_rate(const Rate& arrival_rate, const CounterLoss& loss) {
    return indicated_rate<double>(arrival_rate, loss);
}

/// Rate at which particles arrived, from the rate that a counter shows: the inverse of indicated_rate.
///
/// Equation: n = -W(-m tau)/tau (paralysable), n = m/(1 - m tau) (non-paralysable)
/// Symbols:  m rate shown [1/s], n arrival rate [1/s], tau dead time [s], W principal branch of Lambert's function
/// Validity: m <= 1/(e tau) paralysable, m < 1/tau non-paralysable; more cannot be shown. A paralysable counter shows
///           each rate at a second, higher concentration, too: only diluting tells which, and the lower one is
///           returned. Losses above 10 % are better diluted than corrected.
/// @param  rate_shown  m, of particles of all sizes that the counter sees [1/s], >= 0
/// @param  loss  dead time and model
/// @return arrival rate [1/s]; with derivatives where the number type has them
/// @throws DomainError if the rate is negative, the dead time not > 0, or the result not finite; NoSolution if the
///         counter cannot show so high a rate
/// @source as indicated_rate; test: capture/counter_losses_test.cpp
template <class T>
BasicRate<T> arrival_rate(const BasicRate<T>& rate_shown, const BasicCounterLoss<T>& loss) {
    constexpr auto where = "arrival_rate";
    const T m = detail::require_non_negative(where, "rate_shown", rate_shown.value(), "1/s");
    const T tau = detail::require_positive(where, "dead_time", loss.dead_time.value(), "s");
    const bool paralysable = loss.model == CounterLossModel::paralysable;
    const double share = detail::plain_value(m) * detail::plain_value(tau);
    const double greatest = paralysable ? 1.0 / detail::euler_e : 1.0;
    if (paralysable ? share > greatest * (1.0 + 1e-15) : !(share < greatest)) {
        throw NoSolution(std::string(where) + ": rate_shown = " + detail::number_text(detail::plain_value(m)) +
                         " 1/s; a counter with a dead time of " + detail::number_text(detail::plain_value(tau)) +
                         " s shows " + (paralysable ? "at most 1/(e tau) = " : "less than 1/tau = ") +
                         detail::number_text(greatest / detail::plain_value(tau)) +
                         " 1/s: no arrival rate gives it; check the dead time, or the reading's unit");
    }
    const T n = !paralysable          ? T(m / (T(1) - m * tau))
                : share >= greatest   ? T(T(1) / tau)   // the greatest rate shown, to the last digit
                                      : detail::paralysable_true_rate(m, tau);
    return BasicRate<T>::from_value(detail::require_finite(where, "result", n, "1/s"));
}
template <Deferred...>
inline Rate arrival_rate(const Rate& rate_shown, const CounterLoss& loss) {
    return arrival_rate<double>(rate_shown, loss);
}

namespace detail {

/// Factors (arrived over shown) of the samples of one kind: the rate is that of all sizes together.
template <Deferred...>
inline std::vector<double> loss_factors(std::span<const SizeRangeCounts> counts,
                                        std::vector<double> SizeRangeCounts::*samples, bool cumulative,
                                        const CounterLoss& loss, std::string_view where, const char* name) {
    const SizeRangeCounts* lowest = &counts.front();
    for (const SizeRangeCounts& c : counts) {
        if ((c.*samples).size() != (lowest->*samples).size()) {
            throw_domain_error(where, std::string("number of ") + name + " samples in " + range_text(c.range),
                               static_cast<double>((c.*samples).size()), "",
                               "as many as in every range: one reading of the counter gives all of them");
        }
        if (c.range.lower < lowest->range.lower) lowest = &c;
    }
    std::vector<double> factors((lowest->*samples).size());
    for (std::size_t i = 0; i < factors.size(); ++i) {
        double shown = 0.0;
        if (cumulative) {
            shown = (lowest->*samples)[i];
        } else {
            for (const SizeRangeCounts& c : counts) shown += (c.*samples)[i];
        }
        const double rate = shown / lowest->sample_time.value();
        factors[i] = rate > 0.0 ? arrival_rate(Rate::from_value(rate), loss).value() / rate : 1.0;
    }
    return factors;
}

}   // namespace detail

/// Counts with the factors by which coincidence or dead time is corrected. Counts stay as they were counted, since
/// their scatter is that of what was counted; count_ratio multiplies.
///
/// Equation: factor of a sample = n(m)/m, m = (particles of all sizes in the sample)/sample_time, n = arrival_rate(m)
/// Symbols:  m rate shown [1/s], n arrival rate [1/s]
/// Validity: the ranges are all that the counter shows of one reading, either cumulative channels (every range open
///           above: the lowest threshold holds all) or bands that do not overlap; particles below the lowest threshold
///           coincide, too, and are not known. With the factor the relative scatter of a corrected count is taken as
///           that of the count: at 10 % loss it is 1 % less than the truth ((1 - 2 x e^-x)/(1 - x)^2 = 1.01 at x = n
///           tau = 0.1), as fewer chances to scatter and the steeper inverse nearly cancel. The dead time is taken as
///           exact: repeat with its bounds. Backgrounds are left as they are. When the factors are known, counts may be
///           differenced.
/// @param  counts  of one test, sample_time > 0 and the same in all ranges; shape (k), k >= 1
/// @param  loss  dead time and model
/// @return the counts with loss_factors; shape (k)
/// @throws DomainError if there is no range, the sample time is not stated or differs, or sample numbers differ between
///         ranges; NoSolution if a sample is more than the counter can show
/// @source as indicated_rate; variance of paralysable counts from memory; test: capture/counter_losses_test.cpp
template <Deferred...>
inline std::vector<SizeRangeCounts> with_loss_factors(std::span<const SizeRangeCounts> counts, const CounterLoss& loss) {
    constexpr auto where = "with_loss_factors";
    if (counts.empty()) detail::throw_domain_error(where, "number of size ranges", 0.0, "", ">= 1");
    bool cumulative = true;
    for (const SizeRangeCounts& c : counts) {
        detail::check(c, where);
        detail::require_positive(where, "sample_time", c.sample_time.value(), "s");
        if (!(std::abs(c.sample_time.value() / counts.front().sample_time.value() - 1.0) < 1e-9)) {
            detail::throw_domain_error(where, "sample_time", c.sample_time.value(), "s", "the same in every range");
        }
        cumulative = cumulative && c.range.open_above;
    }
    LossFactors factors;
    const auto of = [&](std::vector<double> SizeRangeCounts::*samples, const char* name) {
        return detail::loss_factors(counts, samples, cumulative, loss, where, name);
    };
    factors.upstream = of(&SizeRangeCounts::upstream, "upstream");
    factors.downstream = of(&SizeRangeCounts::downstream, "downstream");
    factors.correlation_upstream = of(&SizeRangeCounts::correlation_upstream, "upstream correlation");
    factors.correlation_downstream = of(&SizeRangeCounts::correlation_downstream, "downstream correlation");
    std::vector<SizeRangeCounts> result(counts.begin(), counts.end());
    for (SizeRangeCounts& c : result) c.loss_factors = factors;
    return result;
}

}   // namespace filterflow
