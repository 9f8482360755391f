// SPDX-License-Identifier: BSL-1.0
#pragma once

// Probabilities of the classes of a ladder: each class requires no less than the one below it, the upper ones of up
// to three values, the lower ones of arrestance.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/joint_normal.hpp>

namespace filterflow::detail {

/// One class of a ladder, all as shares; zero requires nothing.
struct LadderClass {
    std::string name;
    std::array<double, 3> least{};
    double least_arrestance = 0.0;
};

template <Deferred...>
inline Requirement at_least(const Uncertain<double>& value, double limit) {
    return {&value, limit > 0.0 ? limit : -HUGE_VAL};
}

/// Probability of each class, lowest first; the lowest requires nothing. The first class that goes by the values
/// requires one of them alone (`decisive`); below it arrestance decides, and classes that only an arrestance not
/// measured tells apart are given as one, named from the lowest to the highest.
template <Deferred...>
inline std::vector<ClassProbability> ladder_probabilities(std::span<const LadderClass> classes, std::size_t decisive,
                                                          const std::array<Uncertain<double>, 3>& values,
                                                          const std::optional<Uncertain<double>>& arrestance) {
    std::size_t first = 1;   // that goes by the values
    while (first < classes.size() && classes[first].least_arrestance > 0.0) ++first;
    LadderSteps steps(first > 1 && !arrestance ? classes[0].name + " to " + classes[first - 1].name : classes[0].name);
    const Uncertain<double> certain(0.0);
    const Requirement nothing{&certain, -HUGE_VAL};
    if (arrestance && first < classes.size()) {
        const Requirement by_value = at_least(values[decisive], classes[first].least[decisive]);
        const Requirement below{by_value.value, by_value.limit, false};
        const double above = probability_of({by_value, nothing, nothing});
        for (std::size_t k = 1; k < first; ++k) {
            const Requirement held = at_least(*arrestance, classes[k].least_arrestance);
            steps.add(classes[k].name, above + probability_of({below, held, nothing}));
        }
    }
    for (std::size_t k = first; k < classes.size(); ++k) {
        steps.add(classes[k].name, probability_of({at_least(values[0], classes[k].least[0]),
                                                   at_least(values[1], classes[k].least[1]),
                                                   at_least(values[2], classes[k].least[2])}));
    }
    return steps.finish();
}

}   // namespace filterflow::detail
