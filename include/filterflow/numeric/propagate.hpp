// SPDX-License-Identifier: BSL-1.0
#pragma once

// First-order propagation through the stages of a calculation, a Jacobian a stage by dual numbers.

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

namespace detail {

/// Derivatives of inputs to each other: rows that are copied as they are, not written number by number.
template <std::size_t N>
inline constexpr auto unit_rows = [] {
    std::array<std::array<double, N>, N> rows{};
    for (std::size_t i = 0; i < N; ++i) rows[i][i] = 1.0;
    return rows;
}();

template <std::size_t N, std::size_t... Place>
std::array<Dual<N>, N> seeded(const std::array<Uncertain<double>, N>& inputs, std::index_sequence<Place...>) {
    return {Dual<N>(inputs[Place].value, unit_rows<N>[Place])...};
}

}   // namespace detail

/// First-order propagation through one stage of a calculation: evaluates a generic function once with dual
/// numbers and chains its derivatives with the gradients of the inputs.
///
/// Equation: dy/dx_k = sum_i (df/dp_i) (dp_i/dx_k)
/// Symbols:  p the stage's inputs, x the elementary inputs, f the stage
/// Validity: where f is smooth on the scale of the inputs' uncertainties
/// @param  stage  callable on std::array<Dual<N>, N> (raw SI), returning std::array<Dual<N>, M>
/// @param  inputs  the stage's N inputs as raw uncertain SI numbers
/// @return the stage's M outputs as uncertain SI numbers
/// @throws what the stage throws
/// @source JCGM 100:2008 (GUM), 5.1.2 and 5.1.3 (chain rule); test: numeric/uncertain_test.cpp
template <std::size_t N, class Stage>
auto propagate(const Stage& stage, const std::array<Uncertain<double>, N>& inputs) {
    const auto seeds = detail::seeded(inputs, std::make_index_sequence<N>());
    const auto outputs = stage(seeds);
    std::array<Uncertain<double>, std::tuple_size_v<std::remove_cvref_t<decltype(outputs)>>> results;
    std::array<const Gradient*, N> gradients;
    for (std::size_t i = 0; i < N; ++i) gradients[i] = &inputs[i].gradient;
    for (std::size_t j = 0; j < outputs.size(); ++j) {
        results[j].value = outputs[j].value;
        results[j].gradient = Gradient::combination(gradients, outputs[j].derivative);
    }
    return results;
}

/// First-order propagation through one stage with any number of inputs, known at run time: the stage is
/// evaluated once for each block of N inputs.
///
/// Equation: as propagate
/// Symbols:  as propagate
/// Validity: as propagate; the stage must not depend on which inputs carry derivatives
/// @param  stage  callable on std::span<const Dual<N>> (raw SI), returning std::vector<Dual<N>>
/// @param  inputs  the stage's inputs as raw uncertain SI numbers; shape (n)
/// @return the stage's outputs as uncertain SI numbers; shape (m)
/// @throws what the stage throws
/// @source as propagate; test: numeric/uncertain_test.cpp
template <std::size_t N, class Stage>
std::vector<Uncertain<double>> propagate_blockwise(const Stage& stage, std::span<const Uncertain<double>> inputs) {
    std::vector<Uncertain<double>> results;
    std::vector<Dual<N>> seeds(inputs.size());
    std::size_t first = 0;
    do {
        const std::size_t last = std::min(first + N, inputs.size());
        for (std::size_t i = 0; i < inputs.size(); ++i) seeds[i] = Dual<N>(inputs[i].value);
        for (std::size_t i = first; i < last; ++i) seeds[i].derivative[i - first] = 1.0;
        const std::vector<Dual<N>> outputs = stage(std::span<const Dual<N>>(seeds));
        results.resize(outputs.size());
        for (std::size_t j = 0; j < outputs.size(); ++j) {
            results[j].value = outputs[j].value;
            for (std::size_t i = first; i < last; ++i) {
                results[j].gradient.add(inputs[i].gradient, outputs[j].derivative[i - first]);
            }
        }
        first = last;
    } while (first < inputs.size());
    return results;
}

}   // namespace filterflow
