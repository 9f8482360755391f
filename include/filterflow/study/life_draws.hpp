// SPDX-License-Identifier: BSL-1.0
#pragma once

// Intervals of lives and costs, and of the differences of costs, from draws of everything uncertain. Of a candidate of
// one stage a draw reads tables instead of computing lives, the dust through a table of them, the rest to first order
// (life_table.hpp), so that some thousand cost less than a second; of several stages fewer draws compute every life.
// Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
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
#include <filterflow/study/drawn_intervals.hpp>
#include <filterflow/study/input_order.hpp>
#include <filterflow/study/life_table.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

/// Draws of a candidate of several stages, each computed in full: a hundred times as long as to read a table.
inline constexpr std::size_t full_draw_count = 1024;

/// A candidate whose figures are drawn, and its draws.
struct LifeDraws {
    std::size_t index = 0;                      // in the study
    std::optional<LifeTable> table{};           // of one stage
    std::optional<CandidateModel> in_full{};    // of several stages
    std::vector<Uncertain<double>> inputs{};    // factors of the dust; of several stages all parameters
    std::optional<Uncertain<double>> removal{};   // of PM2.5, as it lasts
    std::size_t first_value = 0;                // of its values among those drawn
    std::vector<char> is_there{};               // the draw can be, and leads to an interval
    std::vector<double> interval{}, to_limit{}, cost_per_clean_air{};
    std::array<std::vector<double>, drawn_figure_count> figures{};
    std::vector<std::size_t> ways{};           // how many draws end each way
    std::vector<int> causes{};                 // of several stages: the rule that each meets first at the estimates
    std::vector<std::size_t> other_causes{};   // and in how many draws it meets another
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
    const InputDraws inputs(in_order_of_use(dust), study_draws_seed);
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

template <Deferred...>
inline void add_cost_per_clean_air(LifeDraws& c, double removal) {
    const auto& per_volume = c.figures[drawn_cost_per_volume];
    if (c.removal && removal > 0.0 && !per_volume.empty()) c.cost_per_clean_air.push_back(per_volume.back() / removal);
}

/// One draw of a candidate of several stages. They are changed one by one over years, so that every figure has steps in
/// every parameter: no slope stands for them.
template <Deferred...>
inline void add_full_draw(LifeDraws& c, std::span<const double> drawn) {
    std::optional<LifeNode> life;
    if (c.is_there.size() < full_draw_count) life = life_node(*c.in_full, drawn.first(c.inputs.size()), 0.0);
    c.is_there.push_back(life.has_value());
    if (!life) return;
    c.interval.push_back(life->interval);
    for (std::size_t i = 0; i < drawn_figure_count; ++i) {
        if (life->figures[i]) c.figures[i].push_back(*life->figures[i]);
    }
    c.to_limit.push_back(life->to_limit.value_or(c.in_full->horizon.value()));
    add_cost_per_clean_air(c, drawn[c.inputs.size()]);
    for (std::size_t k = 0; k < c.causes.size() && k < life->causes.size(); ++k) {
        c.other_causes[k] += life->causes[k] != c.causes[k];
    }
}

/// One draw of a candidate: `drawn` are its values, in the order of append_values.
template <Deferred...>
inline void add_life_draw(LifeDraws& c, std::span<const double> drawn) {
    if (c.in_full) return add_full_draw(c, drawn);
    const LifeTable& table = *c.table;
    const auto load = load_of(c.inputs, drawn);
    const std::size_t effects = c.inputs.size(), a_way = 1 + drawn_figure_count;
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
    add_cost_per_clean_air(c, drawn[limits + table.limits().size()]);
}

/// The values that a candidate's draws rest on.
template <Deferred...>
inline void append_values(const LifeDraws& c, std::vector<Uncertain<double>>& values) {
    values.insert(values.end(), c.inputs.begin(), c.inputs.end());
    if (c.table) {
        for (const LifeWay& way : c.table->ways()) {
            values.push_back(way.interval_effect);
            values.insert(values.end(), way.figure_effects.begin(), way.figure_effects.end());
        }
        for (const LifeLimit& limit : c.table->limits()) values.push_back(limit.effect);
    }
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
        if (c.table) c.ways.assign(c.table->ways().size(), 0);
        c.other_causes.assign(c.causes.size(), 0);
    }
    const InputDraws inputs(in_order_of_use(values), study_draws_seed);
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
    if (!c.table) return;
    const int at_estimates = c.table->nearest(0.0).causes.front();
    for (std::size_t w = 0; w < c.ways.size(); ++w) {
        const int cause = c.table->ways()[w].cause;
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

/// A candidate made ready to be drawn; nothing where it has no life.
template <Deferred...>
inline std::optional<LifeDraws> life_draws(EvaluatedLife& life, const std::optional<Uncertain<double>>& removal) {
    LifeDraws draws{.index = life.index, .removal = removal};
    CandidateModel& model = life.prepared.model;
    std::vector<Uncertain<double>>& parameters = life.prepared.parameters;
    if (model.stages.size() > 1) {
        std::vector<double> values;
        for (const auto& p : parameters) values.push_back(p.value);
        model.with_middle = false;
        model.change_penalty = 0.0;   // not drawn
        model.service.years = 0.0;
        model.step_error = steps_of_draws;
        const std::optional<LifeNode> estimates = life_node(model, values, 0.0);
        if (!estimates) return std::nullopt;
        draws.causes = estimates->causes;
        draws.in_full = std::move(model);
        draws.inputs = std::move(parameters);
        return draws;
    }
    for (const std::size_t place : LifeTable::dust_places()) draws.inputs.push_back(parameters[place]);
    draws.table.emplace(std::move(model), std::move(parameters), drawn_loads(draws.inputs));
    if (draws.table->ways().empty()) return std::nullopt;
    return draws;
}

/// Draws the lives of a system's candidates and gives their figures, and the differences of their costs, the intervals
/// that hold. What cannot be drawn stays first order.
template <Deferred...>
inline void cover_lives(const StudyInput& study, std::vector<EvaluatedLife> lives, SystemResult& result) {
    const double probability = study.coverage_probability;
    const std::size_t count = study_draw_count(probability);
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
            if (auto draws = life_draws(life, result.candidates[life.index].lasting_pm25_removal)) {
                drawn.push_back(*std::move(draws));
            }
        }
        draw_lives(drawn, count);
    } catch (const Error&) {
        return;   // an input that has no distribution to draw from
    }
    std::erase_if(drawn, [&](const LifeDraws& c) {
        const std::size_t tried = c.in_full ? std::min(count, full_draw_count) : count;
        return 20 * (tried - c.interval.size()) > tried;
    });
    for (const LifeDraws& c : drawn) {
        CandidateResult& candidate = result.candidates[c.index];
        const std::size_t there = c.interval.size();
        const auto figure = [&](auto& to, DrawnFigure from) { cover(to, c.figures[from], there, probability); };
        cover(candidate.change_interval, c.interval, there, probability);
        if (c.in_full || !c.table->limits().empty()) cover(candidate.hours_to_limit, c.to_limit, there, probability);
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
