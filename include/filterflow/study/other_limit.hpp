// SPDX-License-Identifier: BSL-1.0
#pragma once

// Two limits that may both end a life. First order follows the one that comes first where every input has its estimate,
// and would call a change at a greatest age exact although the final resistance may well come before it. Here the other
// limit's figures are computed too, and the uncertainty of what happens at the earlier of both is their mixture. Not
// public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/candidate_figures.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

/// How two moments in time may follow each other.
struct Order {
    double lead = 0.0, spread = 0.0;   // of the second behind the first: mean and standard deviation
    double second_first() const { return 0.5 * std::erfc(lead / spread / std::sqrt(2.0)); }
};

/// What can be said of the order of two times; nothing where it is certain.
template <Deferred...>
inline std::optional<Order> open_order(const Uncertain<double>& first, const Uncertain<double>& second) {
    const Uncertain<double> lead = second - first;
    const Order order{lead.value, std::sqrt(lead.gradient.variance())};
    if (!(order.spread > 0.0) || order.second_first() < 1e-4) return std::nullopt;
    return order;
}

/// A figure that is `a` where the first of two times comes first and `b` elsewhere, all normal: the value of `a`, the
/// mean derivatives (so that what candidates share still cancels), and an input of its own that brings the mean square
/// deviation from that value to what the mixture has.
template <Deferred...>
inline Uncertain<double> mixed_figure(const Uncertain<double>& a, const Uncertain<double>& b, const Uncertain<double>& lead,
                                      const Order& order) {
    const double z = order.lead / order.spread;
    const double p = 1.0 - order.second_first();
    const double density = std::exp(-0.5 * z * z) / std::sqrt(2.0 * 3.14159265358979323846);
    // The part of a figure that follows the lead d, and the rest, which does not: truncated moments of d about its mean.
    const auto mean_square = [&](const Uncertain<double>& f, double share, double first, double second) {
        const double slope = covariance(f.gradient, lead.gradient) / (order.spread * order.spread);
        const double rest = std::max(0.0, f.gradient.variance() - slope * slope * order.spread * order.spread);
        const double shift = f.value - a.value;
        return shift * shift * share + 2.0 * shift * slope * first + slope * slope * second + rest * share;
    };
    const double variance = order.spread * order.spread;
    const double square = mean_square(a, p, order.spread * density, variance * (p - z * density)) +
                          mean_square(b, 1.0 - p, -order.spread * density, variance * (1.0 - p + z * density));
    Uncertain<double> result(a.value);
    result.gradient.add(a.gradient, p);
    result.gradient.add(b.gradient, 1.0 - p);
    const double missing = square - result.gradient.variance();
    if (missing > 0.0) {
        result.gradient.add(Gradient(elementary_input("which limit comes first", std::sqrt(missing))), 1.0);
    }
    return result;
}

/// The model without the rule or limit that ended a life; nothing if it was not one of these.
template <Deferred...>
inline std::optional<CandidateModel> without_limit(CandidateModel model, LifeEnd end, std::size_t stage) {
    switch (end) {
        case LifeEnd::final_resistance:
            model.stages.at(stage).final_resistance.reset();
            return model;
        case LifeEnd::age:
            model.stages.at(stage).greatest_age.reset();
            return model;
        case LifeEnd::least_airflow:
            model.limits.least_airflow.reset();
            return model;
        case LifeEnd::external_static_pressure:
            model.limits.greatest_external_static_pressure.reset();
            return model;
        case LifeEnd::greatest_power:
            model.limits.greatest_power.reset();
            return model;
        default:
            return std::nullopt;
    }
}

template <Deferred...>
inline std::size_t figure_count(CandidateFigures<Uncertain<double>>& figures) {
    std::size_t count = 0;
    visit_figures(figures, [&](Uncertain<double>&) { ++count; });
    return count;
}

/// Every figure becomes the mixture of itself and the other's, but for the states half-way and at the end: they are
/// those of the interval named.
template <Deferred...>
inline void mix_figures(CandidateFigures<Uncertain<double>>& figures, CandidateFigures<Uncertain<double>>& other,
                        const Uncertain<double>& lead, const Order& order) {
    std::vector<const Uncertain<double>*> others;
    visit_figures(other, [&](Uncertain<double>& x) { others.push_back(&x); });
    const auto middle = figures.middle, end = figures.end;
    std::size_t next = 0;
    visit_figures(figures, [&](Uncertain<double>& x) { x = mixed_figure(x, *others[next++], lead, order); });
    figures.middle = middle;
    figures.end = end;
}

/// Widens what depends on which limit comes first, and says so.
template <Deferred...>
inline void widen_for_other_limits(const CandidateModel& model, std::span<const Uncertain<double>> parameters,
                                   const CandidateCourse& course, CandidateFigures<Uncertain<double>>& figures,
                                   std::vector<std::string>& warnings) {
    // Said where it is not rare and the interval is much wider for it.
    const auto warn = [&](const std::string& what, const Order& order, double before, double after) {
        if (order.second_first() < 0.05 || !(after > 1.25 * before)) return;
        warnings.push_back("in about " + rounded(100.0 * std::min(order.second_first(), 0.5), 1) + " % of cases " + what +
                           ": the intervals allow for that");
    };
    const auto spread = [](const Uncertain<double>& x) { return std::sqrt(x.gradient.variance()); };
    const auto other_course = [&](LifeEnd end, std::size_t stage, CandidateCourse& found) {
        std::optional<CandidateFigures<Uncertain<double>>> other;
        const auto shorter = without_limit(model, end, stage);
        if (shorter) other = uncertain_figures(*shorter, parameters, found);
        return other;
    };
    if (model.stages.size() > 1) {
        if (!course.history || figures.stage_intervals.empty()) return;
        for (std::size_t k = 0; k < model.stages.size(); ++k) {
            const auto change = std::find_if(course.history->changes.begin(), course.history->changes.end(),
                                             [&](const StageChange& c) { return c.stage == k; });
            CandidateCourse found;
            if (change == course.history->changes.end()) continue;
            auto other = other_course(change->cause, k, found);
            if (!other || figure_count(*other) != figure_count(figures)) continue;
            const auto order = open_order(figures.stage_intervals[k], other->stage_intervals[k]);
            if (!order) continue;
            const double before = spread(figures.stage_intervals[k]);
            mix_figures(figures, *other, other->stage_intervals[k] - figures.stage_intervals[k], *order);
            warn("stage " + std::to_string(k + 1) + " meets another of its limits first", *order, before,
                 spread(figures.stage_intervals[k]));
        }
        return;
    }
    if (!figures.time_to_limit || !course.life.limit_met) return;
    const bool at_limit = !course.change || course.change->reason == ChangeIntervalReason::limit;
    CandidateCourse found;
    auto other = other_course(course.life.end, course.life.stage, found);
    if (at_limit && figures.interval && other && other->interval && figure_count(*other) == figure_count(figures)) {
        if (const auto order = open_order(*figures.interval, *other->interval)) {
            const bool optimum = found.change && found.change->reason == ChangeIntervalReason::cost_optimum;
            const double before = spread(*figures.interval);
            mix_figures(figures, *other, *other->interval - *figures.interval, *order);
            warn(optimum ? "the least cost comes before the limit" : found.life.reason + " first", *order, before,
                 spread(*figures.interval));
        }
        return;
    }
    const Uncertain<double> to_limit = *figures.time_to_limit;
    if (other && other->time_to_limit) {
        if (const auto order = open_order(to_limit, *other->time_to_limit)) {
            figures.time_to_limit = mixed_figure(to_limit, *other->time_to_limit, *other->time_to_limit - to_limit, *order);
        }
    }
    if (at_limit || !figures.interval) return;
    if (const auto order = open_order(*figures.interval, to_limit)) {   // the cost is flat at its optimum
        const double before = spread(*figures.interval);
        figures.interval = mixed_figure(*figures.interval, to_limit, to_limit - *figures.interval, *order);
        warn(course.life.reason + " before the least cost", *order, before, spread(*figures.interval));
    }
}

}   // namespace filterflow::detail
