// SPDX-License-Identifier: BSL-1.0
#pragma once

// Elementary inputs in an order that depends on where they are used and not on when they were made, so that draws of
// them are the same in whatever order candidates and filters are stated. Not public.

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow::detail {

/// An elementary input with where it is used: (value, derivative) in the order of the values.
struct InputUse {
    InputHandle input;
    std::vector<std::pair<std::size_t, double>> places;
};

/// Inputs in the order in which the values use them, those of one variance group together.
template <Deferred...>
inline std::vector<InputUse> inputs_in_order_of_use(std::span<const Uncertain<double>> values) {
    std::map<const ElementaryInput*, std::size_t> known;
    std::vector<InputUse> uses;
    for (std::size_t v = 0; v < values.size(); ++v) {
        for (const Gradient::Term& term : values[v].gradient.terms()) {
            const auto [at, is_new] = known.emplace(term.input.get(), uses.size());
            if (is_new) uses.push_back({term.input, {}});
            uses[at->second].places.emplace_back(v, term.derivative);
        }
    }
    const auto before = [](const InputUse& a, const InputUse& b) {
        return std::tie(a.places, a.input->name, a.input->serial) < std::tie(b.places, b.input->name, b.input->serial);
    };
    std::sort(uses.begin(), uses.end(),
              [](const InputUse& a, const InputUse& b) { return a.input->serial < b.input->serial; });
    std::vector<std::vector<InputUse>> groups;   // a block's inputs were made one after the other
    for (InputUse& use : uses) {
        const std::size_t group = use.input->variance_group;
        const bool joins = group != 0 && !groups.empty() && groups.back().back().input->variance_group == group;
        if (!joins) groups.emplace_back();
        groups.back().push_back(std::move(use));
    }
    std::sort(groups.begin(), groups.end(), [&](const auto& a, const auto& b) { return before(a.front(), b.front()); });
    uses.clear();
    for (auto& group : groups) std::move(group.begin(), group.end(), std::back_inserter(uses));
    return uses;
}

/// The same values over inputs of their own, made in the order of use: their draws do not depend on the order in which
/// the study's inputs came into being.
template <Deferred...>
inline std::vector<Uncertain<double>> in_order_of_use(std::span<const Uncertain<double>> values) {
    std::vector<std::vector<std::pair<InputHandle, double>>> terms(values.size());
    for (const InputUse& use : inputs_in_order_of_use(values)) {
        ElementaryInput copy = *use.input;
        copy.serial = next_input_serial();
        const InputHandle handle = std::make_shared<const ElementaryInput>(std::move(copy));
        for (const auto& [value, derivative] : use.places) terms[value].emplace_back(handle, derivative);
    }
    std::vector<Uncertain<double>> ordered;
    for (std::size_t v = 0; v < values.size(); ++v) {
        ordered.emplace_back(values[v].value);
        for (const auto& [handle, derivative] : terms[v]) ordered.back().gradient.add(Gradient(handle), derivative);
    }
    return ordered;
}

}   // namespace filterflow::detail
