// SPDX-License-Identifier: BSL-1.0
#pragma once

// The probability of a class, which every rating of uncertain values carries.

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// Probability of one class.
struct ClassProbability {
    std::string name;           ///< class, as its standard writes it
    double probability = 0.0;   ///< [-], from 0 to 1
};

namespace detail {

/// Probabilities of the classes of a ladder from the probabilities of reaching each step or a better one.
class LadderSteps {
public:
    template <Deferred...>
    explicit LadderSteps(std::string lowest) : before_(std::move(lowest)) {}

    /// The next better class and the probability of reaching it or a better one.
    template <Deferred...>
    void add(std::string name, double at_least) {
        const double reached = std::min(at_least, at_least_);   // quadrature must not make a probability negative
        steps_.push_back({std::move(before_), at_least_ - reached});
        at_least_ = reached;
        before_ = std::move(name);
    }
    template <Deferred...>
    std::vector<ClassProbability> finish() {
        steps_.push_back({std::move(before_), at_least_});
        return std::move(steps_);
    }

private:
    std::vector<ClassProbability> steps_;
    std::string before_;
    double at_least_ = 1.0;
};

}   // namespace detail

}   // namespace filterflow
