// SPDX-License-Identifier: BSL-1.0
#pragma once

// Elementary inputs: what a budget of uncertainty rests on. Every reading that somebody took, every stated price or
// calibration is one, with an identity, a standard uncertainty, degrees of freedom and a shape of distribution. All are
// independent of each other; what is correlated is made of several (correlated_block.hpp).

#include <atomic>
#include <cstddef>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// How an input is spread about its estimate. First order looks at the standard uncertainty alone; Monte Carlo draws.
enum class InputShape {
    normal,        ///< normal; Student's t, scaled by the standard uncertainty, where degrees of freedom are finite
    rectangular,   ///< anything between two limits as likely; where degrees of freedom are finite, limits known roughly
    triangular,    ///< most likely in the middle, falling straight to two limits
    arcsine,       ///< a sine of an unknown time, between two limits
    stated         ///< as its `distribution` says
};

struct InputDistribution;   // in bounded_input.hpp

/// An independent source of uncertainty, known by its identity (two inputs of one name are two inputs).
struct ElementaryInput {
    std::string name;                  ///< what a budget prints: "manometer gain", "price of electricity"
    double standard_uncertainty = 0;   ///< in SI, or relative where the input is a factor; >= 0
    double degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< of that uncertainty, > 0
    std::size_t serial = 0;            ///< order of creation: budgets and sums do not depend on addresses
    std::size_t variance_group = 0;    ///< inputs whose uncertainty is one estimate (a fit's scatter); 0: its own
    InputShape shape = InputShape::normal;
    std::shared_ptr<const InputDistribution> distribution;   // only where the shape is stated
};
using InputHandle = std::shared_ptr<const ElementaryInput>;

namespace detail {
/// The first of `number` serials in a row that nobody else has, whichever threads make inputs.
template <Deferred...>
inline std::size_t next_input_serial(std::size_t number = 1) {
    static std::atomic<std::size_t> count{0};
    return count.fetch_add(number, std::memory_order_relaxed) + 1;
}
}   // namespace detail

/// A new elementary input.
///
/// Equation: none; gives the input its identity
/// Symbols:  none
/// Validity: standard uncertainty >= 0, degrees of freedom > 0 (infinite where the uncertainty is exact)
/// @param  name  what a budget prints
/// @param  standard_uncertainty  [SI unit of the input, or relative], >= 0
/// @param  degrees_of_freedom  [-], > 0, may be infinite
/// @param  shape  how it is spread; normal by default
/// @return handle to the input
/// @throws DomainError if the uncertainty is < 0 or not finite, or the degrees of freedom are not > 0
/// @source JCGM 100:2008 (GUM), 4.1; test: numeric/uncertain_test.cpp
template <Deferred...>
inline InputHandle elementary_input(std::string name, double standard_uncertainty,
                                    double degrees_of_freedom = std::numeric_limits<double>::infinity(),
                                    InputShape shape = InputShape::normal) {
    detail::require_non_negative("elementary_input", "standard_uncertainty of " + name, standard_uncertainty, "-");
    if (!(degrees_of_freedom > 0.0)) {
        detail::throw_domain_error("elementary_input", "degrees_of_freedom of " + name, degrees_of_freedom, "-",
                                   "> 0");
    }
    return std::make_shared<const ElementaryInput>(ElementaryInput{
        std::move(name), standard_uncertainty, degrees_of_freedom, detail::next_input_serial(), 0, shape, nullptr});
}

}   // namespace filterflow
