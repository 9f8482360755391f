// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which measurement would sharpen the choice most: what it would be worth to know an input exactly before choosing, and
// how much of the doubt between the two best candidates it explains.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/choice_draws.hpp>

namespace filterflow {

/// What it would be worth to know one input.
struct InputWorth {
    std::size_t input = 0;            ///< its place among the inputs' draws
    double value = 0.0;               ///< expected saving by knowing it before choosing [unit of the cost]; may be
                                      ///< slightly below zero by chance
    double standard_error = 0.0;      ///< of that value, by the number of draws, >= 0
    double explained_share = 0.0;     ///< of the variance of the difference of the two best, about 0 to 1
};

/// What information would be worth for a choice.
struct InformationValue {
    std::size_t best = 0;             ///< candidate of the least expected cost
    std::size_t second = 0;           ///< of the next
    double perfect = 0.0;             ///< expected saving by knowing everything before choosing, >= 0
    double perfect_standard_error = 0.0;   ///< of that, by the number of draws, >= 0
    std::vector<InputWorth> inputs;   // the most worth first
};

namespace detail {

struct MeanWithError {
    double mean, standard_error;
};
template <class Value>
MeanWithError mean_with_error(std::size_t n, const Value& value) {
    double sum = 0.0, squares = 0.0;
    for (std::size_t i = 0; i < n; ++i) sum += value(i);
    const double mean = sum / static_cast<double>(n);
    for (std::size_t i = 0; i < n; ++i) squares += (value(i) - mean) * (value(i) - mean);
    const double count = static_cast<double>(n);
    return {mean, n > 1 ? std::sqrt(squares / (count - 1.0) / count) : 0.0};
}

/// The place of each draw among the values of an input in ascending order. Equal values keep their order, so that an
/// input with few values still fills every slice.
template <Deferred...>
inline std::vector<std::size_t> places_of(std::span<const double> input) {
    const std::size_t n = input.size();
    std::vector<std::size_t> order(n), place(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return input[a] < input[b]; });
    for (std::size_t r = 0; r < n; ++r) place[order[r]] = r;
    return place;
}

/// Slices of an input with as many draws each: of each draw, which slice its value falls into.
template <Deferred...>
inline std::vector<std::size_t> slices_of(const std::vector<std::size_t>& places, std::size_t slices) {
    std::vector<std::size_t> slice;
    slice.reserve(places.size());
    for (const std::size_t place : places) slice.push_back(place * slices / places.size());
    return slice;
}

/// Draws in each slice and half, and sums of a figure over them: at 2 slice + half.
struct SliceSums {
    std::vector<double> count, sum;
};
template <Deferred...>
inline SliceSums slice_sums(std::span<const double> figure, const std::vector<std::size_t>& slice, std::size_t slices) {
    SliceSums s{std::vector<double>(2 * slices, 0.0), std::vector<double>(2 * slices, 0.0)};
    for (std::size_t i = 0; i < figure.size(); ++i) {
        s.count[2 * slice[i] + i % 2] += 1.0;
        s.sum[2 * slice[i] + i % 2] += figure[i];
    }
    return s;
}

/// Share of a figure's variance that the slices explain, freed of what chance alone would explain.
template <Deferred...>
inline double explained_share(std::span<const double> figure, const std::vector<std::size_t>& slice, std::size_t slices) {
    const double n = static_cast<double>(figure.size()), mean = mean_of_draws(figure);
    const SliceSums s = slice_sums(figure, slice, slices);
    double total = 0.0, between = 0.0;
    for (const double x : figure) total += (x - mean) * (x - mean);
    for (std::size_t b = 0; b < slices; ++b) {
        const double count = s.count[2 * b] + s.count[2 * b + 1];
        const double difference = (s.sum[2 * b] + s.sum[2 * b + 1]) / count - mean;
        between += count * difference * difference;
    }
    if (!(total > 0.0)) return 0.0;
    const double within = (total - between) / (n - static_cast<double>(slices));
    return (between - static_cast<double>(slices - 1) * within) / total;
}

}   // namespace detail

/// Worth of knowing each input before choosing between candidates by their cost.
///
/// Equation: perfect: min_k E(c_k) - E(min_k c_k); of input x: min_k E(c_k) - E(min_k E(c_k | x)). The means given x
///           are those of slices of x with as many draws each; a slice's candidate is chosen by one half of its draws
///           and paid by the other. Share: variance of E(d | x) over that of d = c_second - c_best
/// Symbols:  c cost, k candidates, E mean over the draws, d difference of the two best
/// Validity: at least 1000 draws; about n^(1/3)/2 slices for the worth, n/20, at most 100, for the share (what an
///           input spreads within a slice is missing from the share: half a per cent of a normal one's). An input that only matters together with another may be worth
///           nothing alone. Limits are not in the cost: leave out candidates that fail them, or add what failing costs
/// @param  cost  joint draws of the costs
/// @param  inputs  draws of the inputs that gave them, input by input; shape (inputs n)
/// @return what knowing everything, and each input, is worth, the most first
/// @throws DomainError if shapes differ, there are fewer than 1000 draws or two candidates, or a number is not finite
/// @source expected value of perfect information: Raiffa and Schlaifer 1961; of one input from one set of draws: Strong
///         and Oakley 2013, Med. Decis. Making 33:755; share: Sobol 1993 (all from memory); test:
///         study/choice_statistics_test.cpp
template <Deferred...>
inline InformationValue information_value(const CandidateDraws& cost, std::span<const double> inputs) {
    constexpr auto where = "information_value";
    const std::size_t candidates = cost.candidates;
    const std::size_t n = detail::require_draws_of(where, "cost", cost, candidates);
    if (candidates < 2) detail::throw_domain_error(where, "candidates", static_cast<double>(candidates), "", "at least 2");
    if (n < 1000) detail::throw_domain_error(where, "draws", static_cast<double>(n), "", "at least 1000");
    if (inputs.size() % n != 0) {
        detail::throw_domain_error(where, "number of values of the inputs", static_cast<double>(inputs.size()), "",
                                   "as many draws of each as of the costs");
    }
    for (const double x : inputs) detail::require_finite(where, "input", x, "");
    std::vector<double> means;
    for (std::size_t k = 0; k < candidates; ++k) means.push_back(detail::mean_of_draws(cost.of(k)));
    InformationValue found;
    for (std::size_t k = 1; k < candidates; ++k) {
        if (means[k] < means[found.best]) found.best = k;
    }
    found.second = found.best == 0 ? 1 : 0;
    for (std::size_t k = 0; k < candidates; ++k) {
        if (k != found.best && means[k] < means[found.second]) found.second = k;
    }
    const std::span<const double> best = cost.of(found.best), second = cost.of(found.second);
    const auto perfect = detail::mean_with_error(n, [&](std::size_t i) {
        double least = best[i];
        for (std::size_t k = 0; k < candidates; ++k) least = std::min(least, cost.values[k * n + i]);
        return best[i] - least;
    });
    found.perfect = perfect.mean;
    found.perfect_standard_error = perfect.standard_error;
    std::vector<double> difference(n);
    for (std::size_t i = 0; i < n; ++i) difference[i] = second[i] - best[i];
    const std::size_t slices = std::max<std::size_t>(4, static_cast<std::size_t>(0.5 * std::cbrt(static_cast<double>(n))));
    const std::size_t share_slices = std::min<std::size_t>(100, n / 20);
    for (std::size_t j = 0; j * n < inputs.size(); ++j) {
        const std::vector<std::size_t> places = detail::places_of(inputs.subspan(j * n, n));
        const std::vector<std::size_t> slice = detail::slices_of(places, slices);
        const std::vector<std::size_t> fine = detail::slices_of(places, share_slices);
        std::vector<std::size_t> chosen(2 * slices, 0);   // by one half of a slice's draws
        std::vector<double> least(2 * slices, 0.0);
        for (std::size_t k = 0; k < candidates; ++k) {
            const detail::SliceSums s = detail::slice_sums(cost.of(k), slice, slices);
            for (std::size_t b = 0; b < 2 * slices; ++b) {
                if (s.count[b] == 0.0) continue;
                const double mean = s.sum[b] / s.count[b];
                if (k == 0 || mean < least[b]) {
                    least[b] = mean;
                    chosen[b] = k;
                }
            }
        }
        const auto worth = detail::mean_with_error(n, [&](std::size_t i) {
            return best[i] - cost.values[chosen[2 * slice[i] + 1 - i % 2] * n + i];   // by the other half
        });
        found.inputs.push_back(
            {j, worth.mean, worth.standard_error, detail::explained_share(difference, fine, share_slices)});
    }
    std::stable_sort(found.inputs.begin(), found.inputs.end(),
                     [](const InputWorth& a, const InputWorth& b) { return a.value > b.value; });
    return found;
}

}   // namespace filterflow
