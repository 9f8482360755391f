// SPDX-License-Identifier: BSL-1.0
#pragma once

// The life of a candidate of one stage over how much dust comes. Dust is known within a third or a half, and a life
// goes about as its inverse, is cut at an age and ends by one limit here and by another there: nothing of that is
// straight. So the figures are computed at many amounts of dust and read between them; everything else stays first
// order, about each way in which an interval may end. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/candidate_figures.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/life_ways.hpp>

namespace filterflow::detail {

class LifeTable {
public:
    /// The parameters that multiply to the dust.
    template <Deferred...>
    static std::vector<std::size_t> dust_places() {
        using Places = ParameterPlaces;
        return {Places::dust, Places::equivalence, Places::of_stage(0, Places::efficiency)};
    }

    /// A table for loads as they are drawn, in ascending order, and a little beyond: other inputs may make up for dust.
    template <Deferred...>
    LifeTable(CandidateModel model, std::vector<Uncertain<double>> parameters, std::span<const double> loads)
        : model_(std::move(model)), parameters_(std::move(parameters)) {
        constexpr double margin = 0.4;
        model_.with_middle = false;
        model_.change_penalty = 0.0;   // not drawn
        model_.service.years = 0.0;
        for (const auto& p : parameters_) values_.push_back(p.value);
        if (loads.empty()) return;
        scan(loads.front() - margin, loads.back() + margin);
        for (const LifeNode& node : nodes_) {
            const int cause = node.causes.front();
            const bool known =
                std::any_of(ways_.begin(), ways_.end(), [&](const LifeWay& w) { return w.cause == cause; });
            if (!known) add_way(cause, loads);
        }
        add_limits();
    }

    const std::vector<LifeNode>& nodes() const { return nodes_; }
    const std::vector<LifeWay>& ways() const { return ways_; }
    const std::vector<LifeLimit>& limits() const { return limits_; }
    double horizon() const { return model_.horizon.value(); }

    /// Running time that no interval exceeds: the greatest age, where there is one.
    template <Deferred...>
    double greatest_interval() const {
        const std::optional<Time>& age = model_.stages.front().greatest_age;
        return age ? std::min(age->value() * model_.running_fraction, horizon()) : horizon();
    }

    template <Deferred...>
    const LifeNode& nearest(double load) const {
        return *std::min_element(nodes_.begin(), nodes_.end(), [&](const LifeNode& a, const LifeNode& b) {
            return std::abs(a.load - load) < std::abs(b.load - load);
        });
    }

    /// d log(time) / d log(dust) where one place is all that is known.
    static double slope_of_one(int cause) {
        if (cause == static_cast<int>(LifeEnd::age)) return 0.0;
        return cause == LifeWay::least_cost ? -0.5 : -1.0;
    }

private:
    std::vector<double> values_at(double load) const {
        std::vector<double> values = values_;
        values[ParameterPlaces::dust] *= std::exp(load);
        return values;
    }

    template <Deferred...>
    std::optional<LifeNode> node_at(double load) const { return life_node(model_, values_at(load), load); }

    static bool alike(const LifeNode& a, const LifeNode& b) { return a.causes == b.causes && a.limit == b.limit; }

    /// Even steps, the estimates among them, and closer ones where what ends the interval changes.
    template <Deferred...>
    void scan(double from, double to) {
        constexpr double step = 0.2;
        for (double i = std::floor(from / step); i * step < to + step; i += 1.0) {
            if (auto node = node_at(i * step)) nodes_.push_back(std::move(*node));
        }
        std::vector<LifeNode> closer;
        for (std::size_t i = 0; i + 1 < nodes_.size(); ++i) {
            LifeNode low = nodes_[i], high = nodes_[i + 1];
            for (int halving = 0; halving < 6 && !alike(low, high); ++halving) {
                const auto middle = node_at(0.5 * (low.load + high.load));
                if (!middle) break;
                closer.push_back(*middle);
                (alike(*middle, low) ? low : high) = *middle;
            }
        }
        nodes_.insert(nodes_.end(), closer.begin(), closer.end());
        std::sort(nodes_.begin(), nodes_.end(), [](const LifeNode& a, const LifeNode& b) { return a.load < b.load; });
    }

    bool is_of(const LifeNode& node, const LifeWay& way) const { return node.causes.front() == way.cause; }

    /// Where the effects of everything but the dust are looked at: amid the draws that end this way.
    template <Deferred...>
    const LifeNode& amid(const LifeWay& way, std::span<const double> loads) const {
        if (is_of(nearest(0.0), way)) return nearest(0.0);
        std::vector<const LifeNode*> drawn;
        const std::size_t step = std::max<std::size_t>(1, loads.size() / 256);
        for (std::size_t i = 0; i < loads.size(); i += step) {
            if (const LifeNode& node = nearest(loads[i]); is_of(node, way)) drawn.push_back(&node);
        }
        if (!drawn.empty()) return *drawn[drawn.size() / 2];
        return *std::find_if(nodes_.begin(), nodes_.end(), [&](const LifeNode& node) { return is_of(node, way); });
    }

    template <Deferred...>
    void add_way(int cause, std::span<const double> loads) {
        LifeWay way;
        way.cause = cause;
        for (const LifeNode& node : nodes_) {
            const bool limits = cause != LifeWay::least_cost && static_cast<int>(node.limit) == cause;
            if (limits && node.to_limit) way.interval.add(node.load, std::log(*node.to_limit));
            if (!is_of(node, way)) continue;
            if (!limits) way.interval.add(node.load, std::log(node.interval));
            for (std::size_t i = 0; i < drawn_figure_count; ++i) {
                if (node.figures[i]) way.figures[i].add(node.load, *node.figures[i]);
            }
        }
        add_effects(amid(way, loads), way);
        ways_.push_back(std::move(way));
    }

    /// By derivatives, at a node.
    template <Deferred...>
    void add_effects(const LifeNode& node, LifeWay& way) {
        CandidateCourse course;
        const FigureRows rows(model_, values_at(node.load), course);
        const std::vector<std::size_t> dust = dust_places();
        const auto effect = [&](const Uncertain<double>& figure, double scale) {
            Uncertain<double> relative;
            relative.gradient.add(rows.through(figure, parameters_, dust), scale);
            return relative;
        };
        if (const auto* interval = change_interval_of_figures(rows.figures)) {
            way.interval_effect = effect(*interval, 1.0 / interval->value);
        }
        const auto figures = drawn_figures_of(rows.figures);
        for (std::size_t i = 0; i < figures.size(); ++i) {
            if (*figures[i]) way.figure_effects[i] = effect(**figures[i], 1.0);
        }
        if (const auto& time = rows.figures.time_to_limit) {
            limit_effects_.emplace_back(static_cast<int>(node.limit), effect(*time, 1.0 / time->value));
        }
    }

    template <Deferred...>
    void add_limits() {
        for (const LifeNode& node : nodes_) {
            if (!node.to_limit) continue;
            const int cause = static_cast<int>(node.limit);
            auto at =
                std::find_if(limits_.begin(), limits_.end(), [&](const LifeLimit& l) { return l.cause == cause; });
            if (at == limits_.end()) {
                limits_.push_back({cause, {}, {}});
                at = limits_.end() - 1;
                for (const auto& [known, effect] : limit_effects_) {
                    if (known == cause) at->effect = effect;
                }
            }
            at->time.add(node.load, std::log(*node.to_limit));
        }
    }

    CandidateModel model_;
    std::vector<Uncertain<double>> parameters_;
    std::vector<double> values_;
    std::vector<LifeNode> nodes_;
    std::vector<LifeWay> ways_;
    std::vector<LifeLimit> limits_;
    std::vector<std::pair<int, Uncertain<double>>> limit_effects_;
};

}   // namespace filterflow::detail
