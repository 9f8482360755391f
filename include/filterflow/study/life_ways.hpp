// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a table of lives is made of: figures over the amount of dust, the ways in which an interval ends, and the
// effects of everything but the dust. Not public.

#include <algorithm>
#include <array>
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

namespace filterflow::detail {

inline constexpr std::size_t drawn_figure_count = 8;

/// The figures beside the times that depend on the interval, in a fixed order.
template <class Figures>
auto drawn_figures_of(Figures& f) {
    return std::array{&f.annual_running_time, &f.annual_energy,      &f.attributable_energy, &f.counterfactual_energy,
                      &f.annual_cost,         &f.annual_filter_cost, &f.present_value,       &f.cost_per_volume};
}
enum DrawnFigure : std::size_t {
    drawn_running_time,
    drawn_energy,
    drawn_attributable,
    drawn_counterfactual,
    drawn_cost,
    drawn_filter_cost,
    drawn_present_value,
    drawn_cost_per_volume
};

/// Values over the logarithm of the dust: straight lines between the places, and on beyond them.
class LoadCurve {
public:
    template <Deferred...>
    void add(double load, double value) { points_.emplace_back(load, value); }   // in ascending order
    bool empty() const { return points_.empty(); }
    template <Deferred...>
    double value(double load, double slope_of_one) const {
        if (points_.size() == 1) return points_[0].second + slope_of_one * (load - points_[0].first);
        const auto above = std::upper_bound(points_.begin() + 1, points_.end() - 1, load,
                                            [](double x, const auto& p) { return x < p.first; });
        const auto &a = *(above - 1), &b = *above;
        return a.second + (b.second - a.second) * (load - a.first) / (b.first - a.first);
    }

private:
    std::vector<std::pair<double, double>> points_;
};

/// The interval of several stages is that of the one that lasts longest.
template <class T>
std::optional<T> change_interval_of_figures(const CandidateFigures<T>& f) {
    std::optional<T> longest = f.interval;
    for (const T& x : f.stage_intervals) {
        if (!longest || plain_value(*longest) < plain_value(x)) longest = x;
    }
    return longest;
}
template <Deferred...>
inline const Uncertain<double>* change_interval_of_figures(const CandidateFigures<Uncertain<double>>& f) {
    const Uncertain<double>* longest = f.interval ? &*f.interval : nullptr;
    for (const Uncertain<double>& x : f.stage_intervals) {
        if (longest == nullptr || longest->value < x.value) longest = &x;
    }
    return longest;
}

/// What a life is like at one amount of dust.
struct LifeNode {
    static constexpr int least_cost = -1;   // cause: the cost is least; others are limits, by LifeEnd
    double load = 0.0;                // logarithm of the dust over that of the estimates
    std::vector<int> causes;          // what ends the interval: of one stage, or the first of each
    double interval = 0.0;            // s
    std::optional<double> to_limit;   // s
    LifeEnd limit{};                  // the first one
    std::array<std::optional<double>, drawn_figure_count> figures{};
};

/// The life that parameters lead to; nothing where there is none.
template <Deferred...>
inline std::optional<LifeNode> life_node(const CandidateModel& model, std::span<const double> parameters, double load) {
    CandidateCourse course;
    CandidateFigures<double> figures;
    try {
        check(life_input<double>(model, parameters), "life table");
        figures = candidate_figures<double>(model, parameters, &course);
    } catch (const Error&) {
        return std::nullopt;   // no life with so much or so little dust, or with numbers that cannot be
    }
    const auto interval = change_interval_of_figures(figures);
    if (!interval || !(*interval > 0.0)) return std::nullopt;
    LifeNode node;
    node.load = load;
    node.interval = *interval;
    node.limit = course.life.end;
    if (course.life.limit_met && course.life.time.value() > 0.0) node.to_limit = course.life.time.value();
    if (course.history) {
        for (std::size_t k = 0; k < model.stages.size(); ++k) {
            const auto& changes = course.history->changes;
            const auto first =
                std::find_if(changes.begin(), changes.end(), [&](const auto& c) { return c.stage == k; });
            if (first != changes.end()) node.causes.push_back(static_cast<int>(first->cause));
        }
    } else {
        const bool cheapest = course.change && course.change->reason == ChangeIntervalReason::cost_optimum;
        node.causes.push_back(cheapest ? LifeNode::least_cost : static_cast<int>(course.life.end));
    }
    if (node.causes.empty()) return std::nullopt;
    const auto found = drawn_figures_of(figures);
    for (std::size_t i = 0; i < found.size(); ++i) node.figures[i] = *found[i];
    return node;
}

/// One way in which an interval ends: the figures where it does, the effects of everything but the dust there.
struct LifeWay {
    static constexpr int least_cost = LifeNode::least_cost;
    int cause = 0;
    LoadCurve interval;   // logarithm; where the cause is a limit until it is met, first or not
    std::array<LoadCurve, drawn_figure_count> figures{};
    Uncertain<double> interval_effect;                                    // relative, about zero
    std::array<Uncertain<double>, drawn_figure_count> figure_effects{};   // about zero
};

/// A limit and the time until it is met.
struct LifeLimit {
    int cause = 0;
    LoadCurve time;             // logarithm
    Uncertain<double> effect;   // relative, about zero
};

/// Figures with a gradient to each parameter by itself: rows of the Jacobian.
struct FigureRows {
    std::vector<InputHandle> inputs;   // one a parameter
    CandidateFigures<Uncertain<double>> figures;

    template <Deferred...>
    FigureRows(const CandidateModel& model, std::span<const double> values, CandidateCourse& course) {
        std::vector<Uncertain<double>> parameters;
        for (const double value : values) {
            inputs.push_back(elementary_input("parameter", 1.0));
            parameters.emplace_back(value, Gradient(inputs.back()));
        }
        figures = uncertain_figures(model, parameters, course);
    }

    /// A figure's gradient to the elementary inputs behind the parameters, those left out that are drawn by themselves.
    template <Deferred...>
    Gradient through(const Uncertain<double>& figure, std::span<const Uncertain<double>> parameters,
                     std::span<const std::size_t> left_out) const {
        std::vector<const Gradient*> gradients;
        std::vector<double> factors;
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            if (std::find(left_out.begin(), left_out.end(), i) != left_out.end()) continue;
            gradients.push_back(&parameters[i].gradient);
            factors.push_back(figure.gradient.derivative(inputs[i]));
        }
        return Gradient::combination(gradients, factors);
    }
};

}   // namespace filterflow::detail
