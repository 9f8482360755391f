// SPDX-License-Identifier: BSL-1.0
#pragma once

// A candidate's life over how much dust comes. Dust is known within a third or a half, and a life goes about as its
// inverse, is cut at an age and ends by one limit here and by another there: nothing of that is straight. So the
// figures are computed at many amounts of dust and read between them; everything else stays first order, about each way
// in which an interval may end. Not public.

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
    /// The parameters that multiply to the dust: of a single stage its efficiency, too.
    template <Deferred...>
    static std::vector<std::size_t> dust_places(const CandidateModel& model) {
        using Places = ParameterPlaces;
        std::vector<std::size_t> places{Places::dust, Places::equivalence};
        if (model.stages.size() == 1) places.push_back(Places::of_stage(0, Places::efficiency));
        return places;
    }

    /// A table for loads as they are drawn, in ascending order, and a little beyond: other inputs may make up for dust.
    template <Deferred...>
    LifeTable(CandidateModel model, std::vector<Uncertain<double>> parameters, std::span<const double> loads)
        : model_(std::move(model)), parameters_(std::move(parameters)), several_(model_.stages.size() > 1) {
        constexpr double margin = 0.4;
        model_.with_middle = false;
        model_.change_penalty = 0.0;   // not drawn
        model_.service.years = 0.0;
        for (const auto& p : parameters_) values_.push_back(p.value);
        if (loads.empty()) return;
        scan(loads.front() - margin, loads.back() + margin);
        for (const LifeNode& node : nodes_) {
            if (several_ && !ways_.empty()) break;   // which cause comes next changes all along: one way for all
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
    bool several() const { return several_; }
    double horizon() const { return model_.horizon.value(); }

    /// Running time that no interval exceeds: the greatest age, where each stage has one.
    template <Deferred...>
    double greatest_interval() const {
        double greatest = 0.0;
        for (const StageModel& stage : model_.stages) {
            if (!stage.greatest_age) return horizon();
            greatest = std::max(greatest, stage.greatest_age->value() * model_.running_fraction);
        }
        return std::min(greatest, horizon());
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
    template <Deferred...>
    std::vector<double> values_at(double load) const {
        std::vector<double> values = values_;
        values[ParameterPlaces::dust] *= std::exp(load);
        return values;
    }

    template <Deferred...>
    std::optional<LifeNode> node_at(double load) const { return node_of(values_at(load), load); }

    template <Deferred...>
    std::optional<LifeNode> node_of(const std::vector<double>& values, double load) const {
        CandidateCourse course;
        CandidateFigures<double> figures;
        try {
            check(life_input<double>(model_, values), "life table");
            figures = candidate_figures<double>(model_, values, &course);
        } catch (const Error&) {
            return std::nullopt;   // no life with so much or so little dust
        }
        const auto interval = change_interval_of_figures(figures);
        if (!interval || !(*interval > 0.0)) return std::nullopt;
        LifeNode node;
        node.load = load;
        node.interval = *interval;
        node.limit = course.life.end;
        if (course.life.limit_met && course.life.time.value() > 0.0) node.to_limit = course.life.time.value();
        if (course.history) {
            for (std::size_t k = 0; k < model_.stages.size(); ++k) {
                for (const StageChange& change : course.history->changes) {
                    if (change.stage != k) continue;
                    node.causes.push_back(static_cast<int>(change.cause));
                    break;
                }
            }
        } else {
            const bool cheapest = course.change && course.change->reason == ChangeIntervalReason::cost_optimum;
            node.causes.push_back(cheapest ? LifeWay::least_cost : static_cast<int>(course.life.end));
        }
        if (node.causes.empty()) return std::nullopt;
        const auto found = drawn_figures_of(figures);
        for (std::size_t i = 0; i < found.size(); ++i) node.figures[i] = *found[i];
        return node;
    }

    static bool alike(const LifeNode& a, const LifeNode& b) { return a.causes == b.causes && a.limit == b.limit; }

    /// Even steps, the estimates among them, and closer ones where what ends a single stage's interval changes.
    template <Deferred...>
    void scan(double from, double to) {
        constexpr double step = 0.2;
        for (double i = std::floor(from / step); i * step < to + step; i += 1.0) {
            if (auto node = node_at(i * step)) nodes_.push_back(std::move(*node));
        }
        std::vector<LifeNode> closer;
        for (std::size_t i = 0; !several_ && i + 1 < nodes_.size(); ++i) {
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

    bool is_of(const LifeNode& node, const LifeWay& way) const { return several_ || node.causes.front() == way.cause; }

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
            const bool limits = !several_ && cause != LifeWay::least_cost && static_cast<int>(node.limit) == cause;
            if (limits && node.to_limit) way.interval.add(node.load, std::log(*node.to_limit));
            if (!is_of(node, way)) continue;
            if (!limits) way.interval.add(node.load, std::log(node.interval));
            for (std::size_t i = 0; i < drawn_figure_count; ++i) {
                if (node.figures[i]) way.figures[i].add(node.load, *node.figures[i]);
            }
        }
        if (several_) {
            add_effects_by_differences(way);
        } else {
            add_effects(amid(way, loads), way);
        }
        ways_.push_back(std::move(way));
    }

    /// By derivatives, at a node.
    template <Deferred...>
    void add_effects(const LifeNode& node, LifeWay& way) {
        CandidateCourse course;
        const FigureRows rows(model_, values_at(node.load), course);
        const std::vector<std::size_t> dust = dust_places(model_);
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

    /// By a standard uncertainty up and down: several stages changed one by one make steps that a derivative takes for
    /// the whole (JCGM 100:2008, 5.1.3, note 2).
    template <Deferred...>
    void add_effects_by_differences(LifeWay& way) {
        const std::optional<LifeNode> estimates = node_at(0.0);
        if (!estimates) return;
        const std::vector<std::size_t> dust = dust_places(model_);
        Uncertain<double> to_limit;
        for (std::size_t i = 0; i < parameters_.size(); ++i) {
            const double u = std::sqrt(parameters_[i].gradient.variance());
            if (!(u > 0.0) || std::find(dust.begin(), dust.end(), i) != dust.end()) continue;
            std::array<LifeNode, 2> ends{*estimates, *estimates};
            double apart = 0.0;
            for (const int side : {0, 1}) {
                std::vector<double> values = values_;
                values[i] += side == 0 ? -u : u;
                const auto node = node_of(values, 0.0);
                if (!node) continue;   // the other side alone
                ends[static_cast<std::size_t>(side)] = *node;
                apart += u;
            }
            if (!(apart > 0.0)) continue;
            const Gradient& gradient = parameters_[i].gradient;
            way.interval_effect.gradient.add(gradient, std::log(ends[1].interval / ends[0].interval) / apart);
            for (std::size_t f = 0; f < drawn_figure_count; ++f) {
                if (!ends[0].figures[f] || !ends[1].figures[f]) continue;
                way.figure_effects[f].gradient.add(gradient, (*ends[1].figures[f] - *ends[0].figures[f]) / apart);
            }
            const bool as_before = ends[0].to_limit && ends[1].to_limit && ends[0].limit == ends[1].limit;
            if (as_before) to_limit.gradient.add(gradient, std::log(*ends[1].to_limit / *ends[0].to_limit) / apart);
        }
        if (estimates->to_limit) limit_effects_.emplace_back(static_cast<int>(estimates->limit), to_limit);
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
    bool several_;
    std::vector<double> values_;
    std::vector<LifeNode> nodes_;
    std::vector<LifeWay> ways_;
    std::vector<LifeLimit> limits_;
    std::vector<std::pair<int, Uncertain<double>>> limit_effects_;
};

}   // namespace filterflow::detail
