// SPDX-License-Identifier: BSL-1.0
#pragma once

// Arrestance: the share of the dust fed to a filter, by mass, that stays on it.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// One feeding step of a loading test.
struct DustIncrement {
    Uncertain<Mass> fed;      ///< dust fed in this step, > 0
    Uncertain<Mass> passed;   ///< dust that passed in this step, weighed behind the filter, between 0 and fed
};

/// Arrestance of a loading test.
struct Arrestance {
    std::vector<Uncertain<double>> increments;   ///< of each step
    Uncertain<double> average;                   ///< mass-weighted over the test
    Uncertain<Mass> fed;                         ///< dust fed in all
    Uncertain<Mass> retained;                    ///< dust that stayed: the dust holding capacity of the test
};

namespace detail {

/// 1 - passed / fed with gradients.
template <Deferred...>
inline Uncertain<double> arrested_share(const Uncertain<Mass>& fed, const Uncertain<Mass>& passed) {
    const double f = fed.value.value();
    const double p = passed.value.value();
    Uncertain<double> share(1.0 - p / f);
    share.gradient.add(passed.gradient, -1.0 / f);
    share.gradient.add(fed.gradient, p / (f * f));
    return share;
}

}   // namespace detail

/// Arrestance of each feeding step and its average over the test.
///
/// Equation: A_i = 1 - p_i / f_i; A = sum_i f_i A_i / sum_i f_i = 1 - sum p / sum f; retained = sum (f - p)
/// Symbols:  f_i dust fed [kg], p_i dust passed [kg] in step i, A arrestance [-]
/// Validity: at least one step, 0 <= p_i <= f_i
/// @param  increments  feeding steps, not running totals; shape (n)
/// @return arrestance of each step, mass-weighted average, dust fed and retained
/// @throws DomainError if there is no step, or a step passed more than it was fed
/// @source definitions of ASHRAE 52.2 loading tests, from memory; test: loading/arrestance_test.cpp
template <Deferred...>
inline Arrestance arrestance(std::span<const DustIncrement> increments) {
    constexpr auto where = "arrestance";
    if (increments.empty()) detail::throw_domain_error(where, "number of increments", 0.0, "", "at least 1");
    Arrestance result;
    Uncertain<Mass> passed;
    for (std::size_t i = 0; i < increments.size(); ++i) {
        const DustIncrement& step = increments[i];
        const std::string name = "increment " + std::to_string(i + 1) + ": ";
        const double fed = detail::require_positive(where, name + "dust fed", step.fed.value.value(), "kg");
        detail::require_between(where, name + "dust passed", step.passed.value.value(), 0.0, fed, "kg");
        result.increments.push_back(detail::arrested_share(step.fed, step.passed));
        result.fed = i == 0 ? step.fed : result.fed + step.fed;
        passed = i == 0 ? step.passed : passed + step.passed;
    }
    result.average = detail::arrested_share(result.fed, passed);
    result.retained = result.fed - passed;
    return result;
}

}   // namespace filterflow
