// SPDX-License-Identifier: BSL-1.0
#pragma once

// Intervals of what a candidate removes and of the clean air that it delivers, from draws by the shapes of their
// inputs: of sizes that nobody counted only bounds are known, all between them as probable, so that a normal interval
// would reach beyond what can be. Not public.

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/study/drawn_intervals.hpp>
#include <filterflow/study/input_order.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow::detail {

/// Gives removals and clean air the intervals of their draws. What cannot be drawn stays first order.
template <Deferred...>
inline void cover_removal(double probability, CandidateResult& result) {
    const std::size_t count = study_draw_count(probability);
    if (count == 0 || !result.clean) return;
    const std::array shares{&result.lasting_pm25_removal, &result.pm25_removal, &result.pm25_removal_discharged,
                            &result.pm10_removal};
    std::vector<Uncertain<double>> values{to_si(result.clean->flow)};
    for (const auto* const share : shares) values.push_back(share->value_or(Uncertain<double>{}));
    std::vector<double> drawn(values.size() * count);
    try {
        InputDraws(in_order_of_use(values), study_draws_seed).fill(0, drawn);
    } catch (const Error&) {
        return;   // an input that has no distribution to draw from
    }
    const auto draws_of = [&](std::size_t value) {
        const auto begin = drawn.begin() + static_cast<std::ptrdiff_t>(value * count);
        return std::vector<double>(begin, begin + static_cast<std::ptrdiff_t>(count));
    };
    std::size_t value = 0;
    for (auto* const share : shares) cover(*share, draws_of(++value), count, probability);
    std::vector<double> clean_air = draws_of(0);
    for (std::size_t i = 0; i < count; ++i) clean_air[i] *= drawn[count + i];   // the lasting removal comes first
    cover(result.clean_air_pm25, std::move(clean_air), count, probability);
}

}   // namespace filterflow::detail
