// SPDX-License-Identifier: BSL-1.0
#pragma once

// Draws from distributions. Each input has its own stream, so that what it draws does not depend on the distributions
// of the others: uniform numbers turned by the inverse distribution function, normal ones moved and widened, Student's
// by the polar method. As with all streams, a number does not depend on parts, order or threads.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <variant>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/random_distributions.hpp>
#include <filterflow/numeric/random_streams.hpp>

namespace filterflow {

namespace detail {

/// One number for each of the draws made at once.
using NumberRow = std::array<double, random_lanes>;

// What turns uniform numbers into a distribution's. Not inlined: a number does not depend on the place that asks for
// it.
template <Deferred...>
[[gnu::noinline]] inline void turn(const UniformDistribution& d, NumberRow& u) {
    const double lower = d.lower, width = d.upper - d.lower;
    for (double& x : u) x = lower + width * x;
}
template <Deferred...>
[[gnu::noinline]] inline void turn(const TriangularDistribution& d, NumberRow& u) {
    const double lower = d.lower, upper = d.upper, width = upper - lower;
    const double share_below = (d.mode - lower) / width;
    const double below = width * (d.mode - lower), above = width * (upper - d.mode);
    for (double& x : u) {
        const bool is_below = x < share_below;
        const double root = loop_sqrt(is_below ? x * below : (1.0 - x) * above);
        x = is_below ? lower + root : upper - root;
    }
}
template <Deferred...>
[[gnu::noinline]] inline void turn(const ArcsineDistribution& d, NumberRow& u) {
    const double middle = 0.5 * (d.lower + d.upper), half = 0.5 * (d.upper - d.lower);
    for (double& x : u) x = middle + half * loop_sine(3.14159265358979323846 * (x - 0.5));
}
template <Deferred...>
inline void turn(const EmpiricalDistribution& d, NumberRow& u) {
    for (double& x : u) x = d.quantile(x);
}

// What turns standard normal numbers.
template <Deferred...>
[[gnu::noinline]] inline void turn_normal(double mean, double standard_deviation, NumberRow& z) {
    for (double& x : z) x = mean + standard_deviation * x;
}
template <Deferred...>
[[gnu::noinline]] inline void turn(const LognormalDistribution& d, NumberRow& z) {
    const double median = d.median, width = std::log(d.geometric_standard_deviation);
    for (double& x : z) x = median * loop_exp(width * x);
}

/// Student's t by Bailey's polar method: (nu (u^(-2/nu) - 1))^0.5 cos a. Two words a number, so that two inputs share a
/// block instead of four; `place` is input mod 4.
template <Deferred...>
[[gnu::noinline]] inline void student_row(const StudentDistribution& d, std::uint64_t seed, std::uint64_t first_draw,
                                          std::uint64_t candidate, std::uint64_t block, std::size_t place,
                                          NumberRow& row) {
    RandomLanes random;
    const RandomUse use = place < 2 ? RandomUse::first_pairs : RandomUse::last_pairs;
    fill_random_words(seed, first_draw, candidate, block, static_cast<std::uint64_t>(use), random);
    const std::size_t word = 2 * (place % 2);
    const double location = d.location, scale = d.scale, nu = d.degrees_of_freedom, power = -2.0 / nu;
    for (std::size_t i = 0; i < random_lanes; ++i) {
        const double u = unit_number(random.words[word][i]);
        const double radius = loop_sqrt(nu * (loop_exp(power * loop_log(u)) - 1.0));
        row[i] = location + scale * (radius * loop_circle_point(random.words[word + 1][i]).cosine);
    }
}

/// Between limits that are drawn first, about their stated places; two words a number, too.
template <Deferred...>
[[gnu::noinline]] inline void trapezoid_row(const CurvilinearTrapezoidDistribution& d, std::uint64_t seed,
                                            std::uint64_t first_draw, std::uint64_t candidate, std::uint64_t block,
                                            std::size_t place, NumberRow& row) {
    RandomLanes random;
    const RandomUse use = place < 2 ? RandomUse::first_pairs : RandomUse::last_pairs;
    fill_random_words(seed, first_draw, candidate, block, static_cast<std::uint64_t>(use), random);
    const std::size_t word = 2 * (place % 2);
    const double middle = 0.5 * (d.lower + d.upper), half = 0.5 * (d.upper - d.lower), rough = d.limits_uncertainty;
    for (std::size_t i = 0; i < random_lanes; ++i) {
        const double reach = half + rough * (2.0 * unit_number(random.words[word][i]) - 1.0);
        row[i] = middle + reach * (2.0 * unit_number(random.words[word + 1][i]) - 1.0);
    }
}

/// The numbers of a block of four inputs that distributions ask for, made when the first one does.
class BlockDraws {
public:
    BlockDraws(std::uint64_t seed, std::uint64_t candidate, std::uint64_t block, std::uint64_t first_draw)
        : seed_(seed), candidate_(candidate), block_(block), first_draw_(first_draw) {}

    template <Deferred...>
    void draw(const RandomDistribution& distribution, std::size_t place, NumberRow& row) {
        std::visit([&](const auto& d) { draw(d, place, row); }, distribution);
    }

private:
    template <Deferred...>
    const NumberRow& uniform(std::size_t place) {
        if (!has_uniforms_) uniform_lanes(seed_, first_draw_, candidate_, block_, uniforms_);
        has_uniforms_ = true;
        return uniforms_.numbers[place];
    }
    template <Deferred...>
    const NumberRow& normal(std::size_t place) {
        if (!has_normals_) normal_lanes(seed_, first_draw_, candidate_, block_, normals_);
        has_normals_ = true;
        return normals_.numbers[place];
    }
    template <class D>
    void draw(const D& d, std::size_t place, NumberRow& row) {
        row = uniform(place);
        turn(d, row);
    }
    template <Deferred...>
    void draw(const NormalDistribution& d, std::size_t place, NumberRow& row) {
        row = normal(place);
        turn_normal(d.mean, d.standard_deviation, row);
    }
    template <Deferred...>
    void draw(const LognormalDistribution& d, std::size_t place, NumberRow& row) {
        row = normal(place);
        turn(d, row);
    }
    template <Deferred...>
    void draw(const StudentDistribution& d, std::size_t place, NumberRow& row) {
        if (d.degrees_of_freedom > student_is_normal_above) {
            draw(NormalDistribution{d.location, d.scale}, place, row);
        } else {
            student_row(d, seed_, first_draw_, candidate_, block_, place, row);
        }
    }

    template <Deferred...>
    void draw(const CurvilinearTrapezoidDistribution& d, std::size_t place, NumberRow& row) {
        trapezoid_row(d, seed_, first_draw_, candidate_, block_, place, row);
    }

    std::uint64_t seed_, candidate_, block_, first_draw_;
    bool has_uniforms_ = false, has_normals_ = false;
    NumberLanes uniforms_, normals_;
};

/// Draws of inputs that follow each other, input by input: value of input k and draw first_draw + i at k n + i.
template <Deferred...>
inline void fill_draws(std::span<const RandomDistribution> inputs, const RandomStream& first, std::uint64_t first_draw,
                       std::span<double> values) {
    if (inputs.empty()) return;
    const std::size_t n = values.size() / inputs.size();
    NumberRow row;
    for (std::size_t done = 0; done < n; done += random_lanes) {
        const std::size_t count = std::min(n - done, random_lanes);
        for (std::size_t k = 0; k < inputs.size();) {
            const std::uint64_t block = (first.input + k) / 4;
            BlockDraws draws(first.seed, first.candidate, block, first_draw + done);
            for (; k < inputs.size() && (first.input + k) / 4 == block; ++k) {
                draws.draw(inputs[k], static_cast<std::size_t>((first.input + k) % 4), row);
                std::copy_n(row.begin(), count, values.begin() + static_cast<std::ptrdiff_t>(k * n + done));
            }
        }
    }
}

}   // namespace detail

/// Draws of one input from its distribution.
///
/// Equation: uniform, triangular, arcsine and empirical: inverse distribution function of the stream's uniform number;
///           normal m + s z, lognormal m g^z of its normal number; Student's m + s (nu (u^(-2/nu) - 1))^0.5 cos a;
///           curvilinear trapezoid m + (w + d (2 u - 1)) (2 v - 1)
/// Symbols:  z standard normal, u, v uniform, a a direction, m mean, median, location or middle, s standard deviation
///           or scale, g geometric standard deviation, nu degrees of freedom, w half width, d uncertainty of the limits
/// Validity: any of the distributions
/// @param  distribution  what is drawn from
/// @param  stream  seed, candidate and input
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw; shape (n)
/// @return nothing
/// @throws DomainError if the distribution is none, or the draws' numbers do not fit 64 bits
/// @source JCGM 101:2008, 6.4 and annex C; Bailey 1994, Math. Comp. 62:779 (Student's t, from memory);
///         test: numeric/random_distributions_test.cpp
template <Deferred...>
inline void fill_draws(const RandomDistribution& distribution, const RandomStream& stream, std::uint64_t first_draw,
                       std::span<double> values) {
    detail::require_distribution("fill_draws", distribution);
    detail::require_draws("fill_draws", first_draw, values.size());
    detail::fill_draws(std::span(&distribution, 1), stream, first_draw, values);
}

/// Draws of inputs that follow each other, each from its distribution: the same as one by one, in less time.
///
/// Equation: as for one input
/// Symbols:  as for one input
/// Validity: as for one input
/// @param  inputs  distribution of each input; shape (k)
/// @param  first  seed, candidate and the first input
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, input by input: draw i of input j at j n + i; shape (k n)
/// @return nothing
/// @throws DomainError as for one input, or if the number of values is no multiple of that of the inputs
/// @source as for one input; test: numeric/random_distributions_test.cpp
template <Deferred...>
inline void fill_draws(std::span<const RandomDistribution> inputs, const RandomStream& first, std::uint64_t first_draw,
                       std::span<double> values) {
    constexpr auto where = "fill_draws";
    for (const RandomDistribution& d : inputs) detail::require_distribution(where, d);
    if (inputs.empty() ? !values.empty() : values.size() % inputs.size() != 0) {
        detail::throw_domain_error(where, "number of values", static_cast<double>(values.size()), "",
                                   "a multiple of the number of inputs");
    }
    detail::require_draws(where, first_draw, values.size());
    detail::fill_draws(inputs, first, first_draw, values);
}

}   // namespace filterflow
