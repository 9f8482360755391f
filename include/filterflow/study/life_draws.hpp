// SPDX-License-Identifier: BSL-1.0
#pragma once

// Intervals of lives and costs, and of the differences of costs, from draws of everything uncertain: the dust through
// each candidate's table of lives, the rest to first order (life_table.hpp). A draw reads tables instead of computing
// lives, so that some thousand cost less than a second. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/covered_figure.hpp>
#include <filterflow/study/input_order.hpp>
#include <filterflow/study/life_table.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

inline constexpr std::uint64_t life_draws_seed = 1;

/// Draws for a coverage probability: some two hundred beyond each end of an interval; none where that were too many.
template <Deferred...>
inline std::size_t life_draw_count(double probability) {
    constexpr double at_least = 8192.0, at_most = 65536.0, beyond = 200.0;
    const double wanted = std::ceil(2.0 * beyond / (1.0 - probability));
    return wanted > at_most ? 0 : static_cast<std::size_t>(std::max(at_least, wanted));
}

/// A candidate whose figures are drawn, and its draws.
struct LifeDraws {
    std::size_t index = 0;   // in the study
    LifeTable table;
    std::vector<Uncertain<double>> dust;        // factors of the dust
    std::optional<Uncertain<double>> removal;   // of PM2.5, as it lasts
    std::size_t first_value = 0;                // of its values among those drawn
    std::vector<char> is_there{};               // the draw can be, and leads to an interval
    std::vector<double> interval{}, to_limit{}, cost_per_clean_air{};
    std::array<std::vector<double>, drawn_figure_count> figures{};
    std::vector<std::size_t> ways{};           // how many draws end each way
    std::vector<std::size_t> other_causes{};   // of several stages: in how many each meets another rule first
};

/// Sum of the logarithms of dust factors over their estimates; nothing if a factor cannot be.
template <Deferred...>
inline std::optional<double> load_of(std::span<const Uncertain<double>> dust, std::span<const double> drawn) {
    double load = 0.0;
    for (std::size_t j = 0; j < dust.size(); ++j) {
        const bool is_share = j == 2;   // an efficiency
        if (!(drawn[j] > 0.0) || (is_share && drawn[j] > 1.0)) return std::nullopt;
        load += std::log(drawn[j] / dust[j].value);
    }
    return load;
}

/// Loads as they are drawn, in ascending order, but for the outermost few.
template <Deferred...>
inline std::vector<double> drawn_loads(std::span<const Uncertain<double>> dust) {
    constexpr std::size_t count = 4096, outside = 4;
    const InputDraws inputs(in_order_of_use(dust), life_draws_seed);
    std::vector<double> drawn(count * dust.size()), loads, one(dust.size());
    inputs.fill(0, drawn);
    for (std::size_t i = 0; i < count; ++i) {
        for (std::size_t j = 0; j < dust.size(); ++j) one[j] = drawn[j * count + i];
        if (const auto load = load_of(dust, one)) loads.push_back(*load);
    }
    if (loads.size() <= 2 * outside) return {};
    std::sort(loads.begin(), loads.end());
    return {loads.begin() + outside, loads.end() - outside};
}

/// One draw of a candidate: `drawn` are its values, in the order of append_values.
template <Deferred...>
inline void add_life_draw(LifeDraws& c, std::span<const double> drawn) {
    const LifeTable& table = c.table;
    const auto load = load_of(c.dust, drawn);
    const std::size_t effects = c.dust.size(), a_way = 1 + drawn_figure_count;
    std::size_t chosen = 0;
    double interval = 0.0;
    for (std::size_t w = 0; load && w < table.ways().size(); ++w) {
        const LifeWay& way = table.ways()[w];
        const double time =
            std::exp(way.interval.value(*load, LifeTable::slope_of_one(way.cause)) + drawn[effects + w * a_way]);
        if (w == 0 || time < interval) {
            chosen = w;
            interval = time;
        }
    }
    const bool is_there = load && std::isfinite(interval) && interval > 0.0 && interval < table.horizon();
    c.is_there.push_back(is_there);
    if (!is_there) return;
    c.interval.push_back(std::min(interval, table.greatest_interval()));
    ++c.ways[chosen];
    for (std::size_t i = 0; i < drawn_figure_count; ++i) {
        const LoadCurve& curve = table.ways()[chosen].figures[i];
        if (!curve.empty()) c.figures[i].push_back(curve.value(*load, 0.0) + drawn[effects + chosen * a_way + 1 + i]);
    }
    const std::size_t limits = effects + table.ways().size() * a_way;
    double to_limit = table.horizon();
    for (std::size_t l = 0; l < table.limits().size(); ++l) {
        const LifeLimit& limit = table.limits()[l];
        to_limit = std::min(
            to_limit, std::exp(limit.time.value(*load, LifeTable::slope_of_one(limit.cause)) + drawn[limits + l]));
    }
    c.to_limit.push_back(to_limit);
    const double removal = drawn[limits + table.limits().size()];
    const auto& per_volume = c.figures[drawn_cost_per_volume];
    if (c.removal && removal > 0.0 && !per_volume.empty()) c.cost_per_clean_air.push_back(per_volume.back() / removal);
    if (!table.several()) return;
    const auto &causes = table.nearest(*load).causes, &at_estimates = table.nearest(0.0).causes;
    for (std::size_t k = 0; k < c.other_causes.size(); ++k) c.other_causes[k] += causes[k] != at_estimates[k];
}

/// The values that a candidate's draws rest on.
template <Deferred...>
inline void append_values(const LifeDraws& c, std::vector<Uncertain<double>>& values) {
    values.insert(values.end(), c.dust.begin(), c.dust.end());
    for (const LifeWay& way : c.table.ways()) {
        values.push_back(way.interval_effect);
        values.insert(values.end(), way.figure_effects.begin(), way.figure_effects.end());
    }
    for (const LifeLimit& limit : c.table.limits()) values.push_back(limit.effect);
    values.push_back(c.removal.value_or(Uncertain<double>{}));
}

/// Draws all candidates together.
template <Deferred...>
inline void draw_lives(std::vector<LifeDraws>& candidates, std::size_t draws) {
    constexpr std::size_t chunk = 512;
    std::vector<Uncertain<double>> values;
    for (LifeDraws& c : candidates) {
        c.first_value = values.size();
        append_values(c, values);
        c.ways.assign(c.table.ways().size(), 0);
        if (c.table.several()) c.other_causes.assign(c.table.nearest(0.0).causes.size(), 0);
    }
    const InputDraws inputs(in_order_of_use(values), life_draws_seed);
    std::vector<double> drawn, row(values.size());
    for (std::size_t begin = 0; begin < draws; begin += chunk) {
        const std::size_t count = std::min(chunk, draws - begin);
        drawn.resize(values.size() * count);
        inputs.fill(begin, drawn);
        for (std::size_t i = 0; i < count; ++i) {
            for (std::size_t v = 0; v < values.size(); ++v) row[v] = drawn[v * count + i];
            for (LifeDraws& c : candidates) add_life_draw(c, std::span(row).subspan(c.first_value));
        }
    }
}

/// Gives a figure the interval of its draws where the one by first order is off by more than half of the last digit
/// that matters.
template <class Q>
void cover(std::optional<CoveredUncertain<Q>>& figure, std::vector<double> draws, std::size_t expected,
           double probability) {
    if (!figure || draws.size() != expected || draws.empty()) return;
    std::sort(draws.begin(), draws.end());
    Interval<double> drawn = symmetric_interval(draws, probability);
    const double value = in_si(figure->value), exact = 1e-9 * std::abs(value);
    for (double* end : {&drawn.lower, &drawn.upper}) {
        if (std::abs(*end - value) <= exact) *end = value;   // a life cut at an age
    }
    const Interval<Q> stated = coverage_interval(static_cast<const Uncertain<Q>&>(*figure), probability);
    const double enough = std::max(exact, 0.5 * numerical_tolerance(std::sqrt(figure->gradient.variance()), 1));
    if (std::abs(in_si(stated.lower) - drawn.lower) <= enough && std::abs(in_si(stated.upper) - drawn.upper) <= enough)
        return;
    figure->covering = CoveringInterval<Q>{{from_si<Q>(drawn.lower), from_si<Q>(drawn.upper)}, probability};
}

/// Says in how many cases something else ends the interval than at the estimates, where that is not rare.
template <Deferred...>
inline void warn_of_other_ways(const LifeDraws& c, std::vector<std::string>& warnings) {
    const double count = static_cast<double>(c.interval.size());
    const auto warn = [&](std::size_t draws, const std::string& what) {
        const double share = static_cast<double>(draws) / count;
        if (share < 0.05) return;
        warnings.push_back("in about " + rounded(100.0 * share, 1) + " % of cases " + what +
                           ": the intervals allow for that");
    };
    for (std::size_t k = 0; k < c.other_causes.size(); ++k) {
        warn(c.other_causes[k], "stage " + std::to_string(k + 1) + " meets another of its limits first");
    }
    if (c.table.several()) return;
    const int at_estimates = c.table.nearest(0.0).causes.front();
    for (std::size_t w = 0; w < c.ways.size(); ++w) {
        const int cause = c.table.ways()[w].cause;
        if (cause == at_estimates) continue;
        warn(c.ways[w], cause == LifeWay::least_cost
                            ? "the least cost comes before the limit"
                            : life_end_text(static_cast<LifeEnd>(cause), 0, 1) +
                                  (at_estimates == LifeWay::least_cost ? " before the least cost" : " first"));
    }
}

/// A candidate as evaluate_system leaves it.
struct EvaluatedLife {
    std::size_t index = 0;
    PreparedCandidate prepared;
};

/// Draws the lives of a system's candidates and gives their figures, and the differences of their costs, the intervals
/// that hold. What cannot be drawn stays first order.
template <Deferred...>
inline void cover_lives(const StudyInput& study, std::vector<EvaluatedLife> lives, SystemResult& result) {
    const double probability = study.coverage_probability;
    const std::size_t count = life_draw_count(probability);
    std::erase_if(lives, [&](const EvaluatedLife& life) {
        const CandidateResult& c = result.candidates[life.index];
        return !c.change_interval && !c.hours_to_limit;
    });
    if (count == 0 || lives.empty()) return;
    std::sort(lives.begin(), lives.end(), [&](const EvaluatedLife& a, const EvaluatedLife& b) {
        return study.candidates[a.index].name < study.candidates[b.index].name;   // in whatever order they are stated
    });
    std::vector<LifeDraws> drawn;
    try {
        for (EvaluatedLife& life : lives) {
            std::vector<Uncertain<double>> dust;
            for (const std::size_t place : LifeTable::dust_places(life.prepared.model)) {
                dust.push_back(life.prepared.parameters[place]);
            }
            LifeTable table(life.prepared.model, std::move(life.prepared.parameters), drawn_loads(dust));
            if (table.ways().empty()) continue;
            drawn.push_back(
                {life.index, std::move(table), std::move(dust), result.candidates[life.index].lasting_pm25_removal});
        }
        draw_lives(drawn, count);
    } catch (const Error&) {
        return;   // an input that has no distribution to draw from
    }
    std::erase_if(drawn, [&](const LifeDraws& c) { return 20 * (count - c.interval.size()) > count; });
    for (const LifeDraws& c : drawn) {
        CandidateResult& candidate = result.candidates[c.index];
        const std::size_t there = c.interval.size();
        const auto figure = [&](auto& to, DrawnFigure from) { cover(to, c.figures[from], there, probability); };
        cover(candidate.change_interval, c.interval, there, probability);
        if (!c.table.limits().empty()) cover(candidate.hours_to_limit, c.to_limit, there, probability);
        figure(candidate.annual_running_time, drawn_running_time);
        figure(candidate.annual_energy, drawn_energy);
        figure(candidate.attributable_energy, drawn_attributable);
        figure(candidate.counterfactual_energy, drawn_counterfactual);
        figure(candidate.annual_cost, drawn_cost);
        figure(candidate.annual_filter_cost, drawn_filter_cost);
        figure(candidate.present_value, drawn_present_value);
        cover(candidate.cost_per_clean_air, c.cost_per_clean_air, there, probability);
        warn_of_other_ways(c, candidate.warnings);
    }
    for (const LifeDraws& a : drawn) {
        for (const LifeDraws& b : drawn) {
            if (!(a.index < b.index)) continue;
            const auto &cost = a.figures[drawn_cost], &other = b.figures[drawn_cost];
            if (cost.size() != a.interval.size() || other.size() != b.interval.size()) continue;
            std::vector<double> difference;
            double cheaper = 0.0;
            for (std::size_t i = 0, at = 0, of = 0; i < count; ++i) {
                if (a.is_there[i] && b.is_there[i]) {
                    difference.push_back(cost[at] - other[of]);
                    cheaper += difference.back() < 0.0 ? 1.0 : 0.0;
                }
                at += a.is_there[i] ? 1 : 0;
                of += b.is_there[i] ? 1 : 0;
            }
            std::sort(difference.begin(), difference.end());
            const Interval<double> interval = symmetric_interval(difference, probability);
            result.cost_differences.push_back({a.index,
                                               b.index,
                                               {Money::from_value(interval.lower), Money::from_value(interval.upper)},
                                               cheaper / static_cast<double>(difference.size())});
        }
    }
}

}   // namespace filterflow::detail
