// SPDX-License-Identifier: BSL-1.0
#pragma once

// Monte Carlo propagation (GUM Supplement 1, JCGM 101:2008): the stage of a calculation that `propagate` differentiates
// is evaluated for draws of its inputs instead, sequence after sequence, until estimate, uncertainty and interval no
// longer change in the digits asked for.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/interval.hpp>

namespace filterflow {

/// What a Monte Carlo propagation is asked for.
struct MonteCarloOptions {
    std::uint64_t seed = 1;                   ///< any number: the same seed gives the same results
    double probability = 0.95;                ///< that the intervals cover, between 0 and 1
    int significant_digits = 2;               ///< of the standard uncertainty, that are to be stable; 1 to 9
    double part_of_tolerance = 1.0;           ///< what is to be met of it, > 0 to 1; 0.2 to check first order with
    CoverageKind interval = CoverageKind::symmetric;   // whose ends are to be stable
    std::size_t least_sequences = 10;         ///< of draws before the first stop, >= 2
    std::size_t greatest_draws = 10'000'000;  ///< it ends with these, stable or not; 8 bytes a draw and output
};

/// What a Monte Carlo propagation found of one output, in SI.
struct MonteCarloResult {
    double estimate = 0.0;               ///< mean of the draws
    double standard_uncertainty = 0.0;   ///< standard deviation of the draws, >= 0
    double probability = 0.0;            ///< that the intervals cover, between 0 and 1
    Interval<double> symmetric;          // as likely below as above
    Interval<double> shortest;           // the narrowest
    bool is_stable = false;              // whether all four doubts are within the tolerance
    bool has_spread = true;              // false: an input has no standard deviation (Student's t with two or fewer
                                         // degrees of freedom), so that of the draws means nothing, the ends still do
    double tolerance = 0.0;              ///< that estimate, uncertainty and both ends were to meet, >= 0
    double estimate_doubt = 0.0;         ///< twice the standard deviation of the estimate, from sequence to sequence
    double uncertainty_doubt = 0.0;      ///< of the standard uncertainty, likewise
    Interval<double> end_doubts;         // of the two ends of the interval asked for, likewise
    std::vector<double> values;          ///< all draws, ascending; shape (draws)
};

namespace detail {

/// Figures of one output, one a sequence.
struct SequenceFigures {
    std::vector<double> estimates, uncertainties, lowers, uppers;
    double mean = 0.0, squares = 0.0, count = 0.0;   // of all draws so far

    template <Deferred...>
    void add(std::span<double> values, const MonteCarloOptions& options) {
        const double n = static_cast<double>(values.size());
        double sum = 0.0, square_sum = 0.0;
        for (const double y : values) sum += y;
        const double average = sum / n;
        for (const double y : values) square_sum += (y - average) * (y - average);
        const double shift = average - mean;
        squares += square_sum + shift * shift * count * n / (count + n);
        count += n;
        mean += shift * n / count;
        std::sort(values.begin(), values.end());
        const Interval<double> ends = options.interval == CoverageKind::symmetric
                                          ? symmetric_interval(values, options.probability)
                                          : shortest_interval(values, options.probability);
        estimates.push_back(average);
        uncertainties.push_back(std::sqrt(square_sum / (n - 1.0)));
        lowers.push_back(ends.lower);
        uppers.push_back(ends.upper);
    }
    double standard_uncertainty() const { return std::sqrt(squares / (count - 1.0)); }
};

/// Twice the standard deviation of the mean of figures.
template <Deferred...>
inline double doubt_of(const std::vector<double>& figures) {
    const double n = static_cast<double>(figures.size());
    double sum = 0.0, squares = 0.0;
    for (const double x : figures) sum += x;
    for (const double x : figures) squares += (x - sum / n) * (x - sum / n);
    return 2.0 * std::sqrt(squares / (n * (n - 1.0)));
}

template <Deferred...>
inline void require_options(const char* where, const MonteCarloOptions& options) {
    if (!(options.probability > 0.0 && options.probability < 1.0)) {
        throw_domain_error(where, "probability", options.probability, "-", "between 0 and 1, exclusive");
    }
    require_between(where, "significant_digits", static_cast<double>(options.significant_digits), 1.0, 9.0, "");
    require_between(where, "part_of_tolerance", require_positive(where, "part_of_tolerance", options.part_of_tolerance, ""),
                    0.0, 1.0, "");
    if (options.least_sequences < 2) {
        throw_domain_error(where, "least_sequences", static_cast<double>(options.least_sequences), "", "at least 2");
    }
}

/// Draws in a sequence: enough to tell the interval, ten thousand at least.
template <Deferred...>
inline std::size_t sequence_length(double probability) {
    return std::max<std::size_t>(10000, static_cast<std::size_t>(std::ceil(100.0 / (1.0 - probability))));
}

/// Sequences of draws of `inputs`, each given as N numbers in a row to `evaluate`, until all outputs are stable.
template <class Evaluate>
std::vector<MonteCarloResult> monte_carlo(std::span<const Uncertain<double>> inputs, const MonteCarloOptions& options,
                                          const Evaluate& evaluate) {
    constexpr auto where = "monte_carlo";
    require_options(where, options);
    const InputDraws draws(inputs, options.seed);
    const std::size_t length = sequence_length(options.probability), n = inputs.size();
    const std::size_t most = options.greatest_draws / length;
    if (most < options.least_sequences) {
        throw_domain_error(where, "greatest_draws", static_cast<double>(options.greatest_draws), "",
                           "at least " + std::to_string(options.least_sequences * length));
    }
    std::vector<double> drawn(n * length), row(n);
    std::vector<SequenceFigures> figures;
    std::vector<MonteCarloResult> results;
    bool is_stable = false;
    for (std::size_t sequence = 0; sequence < most && !is_stable; ++sequence) {
        draws.fill(sequence * length, drawn);
        for (std::size_t i = 0; i < length; ++i) {
            for (std::size_t k = 0; k < n; ++k) row[k] = drawn[k * length + i];
            const auto outputs = evaluate(std::span<const double>(row));
            if (results.empty()) {
                results.resize(outputs.size());
                figures.resize(outputs.size());
            }
            for (std::size_t m = 0; m < results.size(); ++m) {
                if (!std::isfinite(outputs[m])) {
                    throw_domain_error(where, "output " + std::to_string(m + 1) + " of draw " +
                                                  std::to_string(sequence * length + i), outputs[m], "",
                                       "a finite number from every draw");
                }
                results[m].values.push_back(outputs[m]);
            }
        }
        is_stable = sequence + 1 >= options.least_sequences;
        for (std::size_t m = 0; m < results.size(); ++m) {
            figures[m].add(std::span(results[m].values).subspan(sequence * length, length), options);
            if (sequence + 1 < options.least_sequences) continue;
            MonteCarloResult& r = results[m];
            r.tolerance = options.part_of_tolerance *
                          numerical_tolerance(figures[m].standard_uncertainty(), options.significant_digits);
            r.estimate_doubt = doubt_of(figures[m].estimates);
            r.uncertainty_doubt = doubt_of(figures[m].uncertainties);
            r.end_doubts = {doubt_of(figures[m].lowers), doubt_of(figures[m].uppers)};
            r.has_spread = draws.least_degrees_of_freedom() > 2.0;
            r.is_stable = std::max(r.end_doubts.lower, r.end_doubts.upper) <= r.tolerance &&
                          (!r.has_spread || std::max(r.estimate_doubt, r.uncertainty_doubt) <= r.tolerance);
            is_stable = is_stable && r.is_stable;
        }
    }
    for (std::size_t m = 0; m < results.size(); ++m) {
        MonteCarloResult& r = results[m];
        r.estimate = figures[m].mean;
        r.standard_uncertainty = figures[m].standard_uncertainty();
        r.probability = options.probability;
        std::sort(r.values.begin(), r.values.end());
        r.symmetric = symmetric_interval(r.values, options.probability);
        r.shortest = shortest_interval(r.values, options.probability);
    }
    return results;
}

}   // namespace detail

/// Monte Carlo propagation through one stage of a calculation, the same that `propagate` takes.
///
/// Equation: y_r = f(x_r) for draws r = 1 to M of the joint distribution of the inputs; estimate and standard
///           uncertainty are mean and standard deviation of the y_r, intervals the ends of their ordered values
/// Symbols:  f stage, x inputs, y output
/// Validity: any stage that every draw can be put into: normal and Student's inputs have no limits. Draws come in
///           sequences of max(10^4, 100/(1 - p)). It stops when twice the standard deviations of the means of estimate,
///           uncertainty and both ends over the sequences are within the tolerance; the standard begins to look after
///           two sequences, here after ten, as two may agree by chance. Means of two or three readings have no standard
///           deviation (Student's t with one or two degrees of freedom): then it looks at the ends alone and says so
/// @param  stage  callable on std::array<T, N> (raw SI), returning std::array<T, M>, for T = double
/// @param  inputs  the stage's N inputs as raw uncertain SI numbers
/// @param  options  seed, probability, digits, greatest number of draws
/// @return one result for each of the M outputs
/// @throws DomainError if an option is outside its range, an input cannot be drawn, or an output is not finite; what
///         the stage throws
/// @source JCGM 101:2008, 7 and 7.9; test: numeric/monte_carlo_test.cpp
template <std::size_t N, class Stage>
auto monte_carlo(const Stage& stage, const std::array<Uncertain<double>, N>& inputs, const MonteCarloOptions& options = {}) {
    using Outputs = std::remove_cvref_t<decltype(stage(std::array<double, N>{}))>;
    auto found = detail::monte_carlo(std::span<const Uncertain<double>>(inputs), options, [&](std::span<const double> row) {
        std::array<double, N> x;
        std::copy(row.begin(), row.end(), x.begin());
        return stage(x);
    });
    std::array<MonteCarloResult, std::tuple_size_v<Outputs>> results;
    std::move(found.begin(), found.end(), results.begin());
    return results;
}

/// Monte Carlo propagation through one stage with any number of inputs, known at run time.
///
/// Equation: as for a fixed number
/// Symbols:  as for a fixed number
/// Validity: as for a fixed number
/// @param  stage  callable on std::span<const double> (raw SI), returning std::vector<double>, always of one size
/// @param  inputs  the stage's inputs as raw uncertain SI numbers; shape (n)
/// @param  options  seed, probability, digits, greatest number of draws
/// @return one result for each output; shape (m)
/// @throws DomainError as for a fixed number
/// @source as for a fixed number; test: numeric/monte_carlo_test.cpp
template <class Stage>
std::vector<MonteCarloResult> monte_carlo_of_many(const Stage& stage, std::span<const Uncertain<double>> inputs,
                                                  const MonteCarloOptions& options = {}) {
    return detail::monte_carlo(inputs, options, stage);
}

}   // namespace filterflow
