// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a portfolio comes to, from its result rows in their order.

#include <cstddef>
#include <string>
#include <vector>

#include "result_rows.hpp"

namespace portfolio_study {

class Totals {
public:
    /// The next row; rows of a system follow each other.
    void add(const ResultRow& row);
    /// Name of every candidate so far.
    const std::vector<std::string>& candidates() const { return names_; }
    /// A few lines for a person.
    std::string text();

private:
    struct OfCandidate {
        std::size_t best = 0, unfit = 0;   // systems
        double cost = 0.0, energy = 0.0;   // where it is best
    };
    void end_system();

    std::vector<std::string> names_;
    std::vector<OfCandidate> of_candidates_;
    std::size_t systems_ = 0, without_choice_ = 0;
    std::size_t compared_ = 0;   // systems whose present filter and best one both have a cost
    double present_cost_ = 0.0, best_cost_ = 0.0, present_energy_ = 0.0, best_energy_ = 0.0;
    std::vector<ResultRow> open_;   // rows of the system that is being read
};

}   // namespace portfolio_study
