// SPDX-License-Identifier: BSL-1.0
#pragma once

// Draws of uncertain values, all together: their elementary inputs are drawn by their shapes, and each value follows by
// its gradient. What several values share they share in every draw, so that correlations need no more thought. The
// number of an input's stream is its place in the order in which the inputs were made: make them in statements of their
// own, as a compiler may evaluate the operands of one expression in any order.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/bounded_input.hpp>
#include <filterflow/numeric/chi_squared_draws.hpp>
#include <filterflow/numeric/random_distributions.hpp>
#include <filterflow/numeric/random_draws.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

/// A value with a distribution of its own: one new elementary input with its mean and standard deviation.
///
/// Equation: x = mean, u = standard deviation
/// Symbols:  none
/// Validity: any distribution with a standard deviation
/// @param  distribution  of the value, in SI
/// @param  name  what a budget prints
/// @return the uncertain value, of the quantity Q or, without one, a plain number; drawn from the distribution in Monte
///         Carlo
/// @throws DomainError if the distribution is none, or has no standard deviation
/// @source JCGM 101:2008, 5.6 and 6; test: numeric/input_draws_test.cpp
template <class Q>
Uncertain<Q> distributed(const RandomDistribution& distribution, std::string name) {
    const double estimate = mean_of(distribution);
    ElementaryInput input = *elementary_input(std::move(name), standard_deviation_of(distribution));
    input.shape = InputShape::stated;
    input.distribution = std::make_shared<const InputDistribution>(InputDistribution{distribution, estimate});
    return {detail::from_si<Q>(estimate), Gradient(std::make_shared<const ElementaryInput>(std::move(input)))};
}
template <Deferred...>
inline Uncertain<double> distributed(const RandomDistribution& distribution, std::string name) {
    return distributed<double>(distribution, std::move(name));
}

namespace detail {

/// What an elementary input is drawn from, about zero but for a stated one. Those of one variance group are normal
/// here.
template <Deferred...>
inline RandomDistribution input_distribution(const ElementaryInput& input) {
    const double u = input.standard_uncertainty, nu = input.degrees_of_freedom;
    switch (input.shape) {
        case InputShape::normal:
            if (std::isinf(nu) || input.variance_group != 0) return NormalDistribution{0.0, u};
            return StudentDistribution{0.0, u, nu};
        case InputShape::rectangular: {
            const double half = u * 1.7320508075688773;
            if (std::isinf(nu)) return UniformDistribution{-half, half};
            return CurvilinearTrapezoidDistribution{-half, half, half / std::sqrt(2.0 * nu)};
        }
        case InputShape::triangular: return TriangularDistribution{-u * 2.449489742783178, 0.0, u * 2.449489742783178};
        case InputShape::arcsine: return ArcsineDistribution{-u * 1.4142135623730951, u * 1.4142135623730951};
        case InputShape::stated: return input.distribution->distribution;
    }
    throw DomainError("input_draws: shape of " + input.name + " is none of the enumeration's values");
}

/// sum += factor row; not inlined, as a number may not depend on the place that asks for it.
template <Deferred...>
[[gnu::noinline]] inline void add_scaled(NumberRow& sum, const NumberRow& row, double factor) {
    for (std::size_t i = 0; i < random_lanes; ++i) sum[i] += factor * row[i];
}

}   // namespace detail

/// Joint draws of uncertain values.
class InputDraws {
public:
    /// Of raw uncertain SI numbers, under a seed. Throws DomainError if an input cannot be drawn: a normal one with
    /// less than a quarter, a rectangular one with less than half a degree of freedom.
    template <Deferred...>
    explicit InputDraws(std::span<const Uncertain<double>> inputs, std::uint64_t seed, std::uint64_t candidate = 0)
        : seed_(seed), candidate_(candidate) {
        std::vector<InputHandle> handles;
        for (const Uncertain<double>& x : inputs) {
            for (const Gradient::Term& term : x.gradient.terms()) handles.push_back(term.input);
        }
        std::sort(handles.begin(), handles.end(),
                  [](const InputHandle& a, const InputHandle& b) { return a->serial < b->serial; });
        handles.erase(std::unique(handles.begin(), handles.end()), handles.end());
        std::erase_if(handles, [](const InputHandle& handle) { return !(handle->standard_uncertainty > 0.0); });
        for (std::size_t k = 0; k < handles.size(); ++k) {
            const ElementaryInput& input = *handles[k];
            distributions_.push_back(detail::input_distribution(input));
            detail::require_distribution("InputDraws", distributions_.back());
            offsets_.push_back(input.shape == InputShape::stated ? -input.distribution->estimate : 0.0);
            if (input.shape == InputShape::normal) {
                least_degrees_of_freedom_ = std::min(least_degrees_of_freedom_, input.degrees_of_freedom);
            }
            if (input.variance_group == 0 || !(input.degrees_of_freedom <= detail::student_is_normal_above)) continue;
            if (!groups_.empty() && groups_.back().end == k &&
                handles[groups_.back().begin]->variance_group == input.variance_group) {
                groups_.back().end = k + 1;
            } else {
                detail::require_between("InputDraws", "degrees_of_freedom of " + input.name, input.degrees_of_freedom,
                                        0.25, 1e6, "");
                groups_.push_back({k, k + 1, input.degrees_of_freedom});
            }
        }
        for (const Uncertain<double>& x : inputs) {
            values_.push_back({x.value, {}});
            for (const Gradient::Term& term : x.gradient.terms()) {
                const auto at = std::lower_bound(handles.begin(), handles.end(), term.input->serial,
                                                 [](const InputHandle& a, std::size_t serial) { return a->serial < serial; });
                if (at == handles.end() || *at != term.input) continue;   // exact
                values_.back().parts.push_back({static_cast<std::size_t>(at - handles.begin()), term.derivative});
            }
        }
    }

    std::size_t size() const { return values_.size(); }                       ///< values that are drawn
    std::size_t elementary_inputs() const { return distributions_.size(); }   ///< that they rest on, exact ones excluded
    /// Least degrees of freedom of an input that is drawn as Student's t: up to two it has no standard deviation.
    double least_degrees_of_freedom() const { return least_degrees_of_freedom_; }

    /// Draws of the values: value k of draw first_draw + i at k n + i. Throws DomainError if the number of places is no
    /// multiple of that of the values, or the draws' numbers do not fit 64 bits.
    template <Deferred...>
    void fill(std::uint64_t first_draw, std::span<double> places) const {
        if (values_.empty() ? !places.empty() : places.size() % values_.size() != 0) {
            detail::throw_domain_error("InputDraws::fill", "number of places", static_cast<double>(places.size()), "",
                                       "a multiple of the number of values");
        }
        if (values_.empty()) return;
        detail::require_draws("InputDraws::fill", first_draw, places.size());
        const std::size_t n = places.size() / values_.size();
        std::vector<detail::NumberRow> rows(distributions_.size());
        for (std::size_t done = 0; done < n; done += detail::random_lanes) {
            draw_rows(first_draw + done, rows);
            const std::size_t count = std::min(n - done, detail::random_lanes);
            for (std::size_t k = 0; k < values_.size(); ++k) {
                detail::NumberRow sum;
                sum.fill(values_[k].estimate);
                for (const Part& part : values_[k].parts) detail::add_scaled(sum, rows[part.input], part.derivative);
                std::copy_n(sum.begin(), count, places.begin() + static_cast<std::ptrdiff_t>(k * n + done));
            }
        }
    }

private:
    struct Part {
        std::size_t input;
        double derivative;
    };
    struct Value {
        double estimate;
        std::vector<Part> parts;
    };
    struct Group {   // inputs begin to end rest on one estimate of a variance
        std::size_t begin, end;
        double degrees_of_freedom;
    };

    template <Deferred...>
    void draw_rows(std::uint64_t first_draw, std::vector<detail::NumberRow>& rows) const {
        for (std::size_t k = 0; k < rows.size();) {
            detail::BlockDraws draws(seed_, candidate_, k / 4, first_draw);
            for (const std::uint64_t block = k / 4; k < rows.size() && k / 4 == block; ++k) {
                draws.draw(distributions_[k], k % 4, rows[k]);
                if (offsets_[k] == 0.0) continue;
                for (double& x : rows[k]) x += offsets_[k];
            }
        }
        for (const Group& group : groups_) {
            for (std::size_t i = 0; i < detail::random_lanes; ++i) {
                const double chi_squared = detail::chi_squared_draw(
                    group.degrees_of_freedom, {seed_, candidate_, group.begin}, first_draw + i);
                const double factor = std::sqrt(group.degrees_of_freedom / chi_squared);
                for (std::size_t k = group.begin; k < group.end; ++k) rows[k][i] *= factor;
            }
        }
    }

    std::uint64_t seed_, candidate_;
    double least_degrees_of_freedom_ = std::numeric_limits<double>::infinity();
    std::vector<RandomDistribution> distributions_;
    std::vector<double> offsets_;   // added to draws of stated distributions, which then are about zero
    std::vector<Group> groups_;
    std::vector<Value> values_;
};

}   // namespace filterflow
