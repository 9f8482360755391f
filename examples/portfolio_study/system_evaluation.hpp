// SPDX-License-Identifier: BSL-1.0
#pragma once

// One system with each candidate over a year: airflow, filter life, change interval, energy and cost at equal service,
// limits, the cheapest that keeps to them, and how sure that is. Depends on the library alone.

#include <cstdint>
#include <vector>

#include "portfolio_system.hpp"

namespace portfolio_study {

/// How the uncertain numbers are drawn.
struct DrawOptions {
    std::size_t draws = 0;    ///< joint draws of each system, 0: no probabilities
    std::uint64_t seed = 1;   ///< any number
};

/// Outcomes of all candidates in their order. `number` is that of the system in the portfolio, from zero: draws belong
/// to it, so that they are the same whoever computes them. What a candidate's own figures are drawn as is the same in
/// all systems. Throws filterflow::Error if a number is out of its range.
std::vector<CandidateOutcome> evaluated(const PortfolioSystem& system, std::uint64_t number,
                                        const std::vector<PortfolioCandidate>& candidates, const DrawOptions& options);

}   // namespace portfolio_study
