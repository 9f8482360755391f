// SPDX-License-Identifier: BSL-1.0
#pragma once

// Draws of the figures that a choice between candidates rests on: one joint draw of everything uncertain gives a number
// for each candidate, and the draws of all candidates belong together.

#include <cmath>
#include <cstddef>
#include <span>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// Draws of one figure of all candidates, raw numbers: that of candidate k in draw i is at k n + i.
struct CandidateDraws {
    std::size_t candidates = 0;       ///< >= 1
    std::span<const double> values;   ///< finite; shape (candidates n)

    /// Number of draws.
    std::size_t size() const { return candidates > 0 ? values.size() / candidates : 0; }
    /// Those of one candidate.
    template <Deferred...>
    std::span<const double> of(std::size_t candidate) const { return values.subspan(candidate * size(), size()); }
};

/// Margin by which candidates keep to a limit: zero or more where it holds.
struct LimitDraws {
    std::string name;        ///< what it limits
    CandidateDraws margins;
};

namespace detail {

/// Checks shape and numbers; returns the number of draws.
template <Deferred...>
inline std::size_t require_draws_of(const char* where, const std::string& name, const CandidateDraws& draws,
                                    std::size_t candidates) {
    if (draws.candidates != candidates || candidates == 0) {
        throw_domain_error(where, "candidates of " + name, static_cast<double>(draws.candidates), "",
                           candidates == 0 ? "at least 1" : number_text(static_cast<double>(candidates)));
    }
    if (draws.values.empty() || draws.values.size() % candidates != 0) {
        throw_domain_error(where, "number of values of " + name, static_cast<double>(draws.values.size()), "",
                           "as many draws, at least one, of each candidate");
    }
    for (const double x : draws.values) require_finite(where, name, x, "");
    return draws.size();
}

/// Likewise, and as many draws as there are of something else.
template <Deferred...>
inline void require_draws_of(const char* where, const std::string& name, const CandidateDraws& draws,
                             std::size_t candidates, std::size_t count) {
    if (require_draws_of(where, name, draws, candidates) != count) {
        throw_domain_error(where, "draws of " + name, static_cast<double>(draws.size()), "",
                           number_text(static_cast<double>(count)));
    }
}

/// Mean of numbers, in the order of the draws.
template <Deferred...>
inline double mean_of_draws(std::span<const double> values) {
    double sum = 0.0;
    for (const double x : values) sum += x;
    return sum / static_cast<double>(values.size());
}

}   // namespace detail

}   // namespace filterflow
