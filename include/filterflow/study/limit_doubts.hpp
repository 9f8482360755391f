// SPDX-License-Identifier: BSL-1.0
#pragma once

// Limits that a candidate meets by the estimates and perhaps not in truth: the limit lies inside the interval, it runs
// at another velocity than it was counted at, or fan and system meet at several flows. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

template <Deferred...>
inline void add_doubt(CandidateResult& result, const std::string& doubt, const std::string& condition) {
    result.doubted_limits.push_back(doubt);
    result.doubt_conditions.push_back(condition);
}

/// What a limit is held against, where the limit lies inside its interval: a doubt if it is met, a warning if not.
template <class X, class Q>
void doubt_near(const X& x, const Q& limit, double probability, bool met, const std::string& figure,
                const std::string& values, const std::string& condition, CandidateResult& result) {
    if (!coverage_interval(x, probability).contains(limit)) return;
    const std::string why = " within the uncertainty of the limit: measure before relying on it";
    if (met) {
        add_doubt(result, figure + values + ", lies" + why, condition);
    } else {
        result.warnings.push_back(figure + " lies" + why);
    }
}

/// Efficiency by size at another velocity: fibres catch less by a factor, and what passes goes as exp(-that).
template <Deferred...>
inline FractionalEfficiency with_weaker_fibres(FractionalEfficiency efficiency, double factor) {
    for (SizeEfficiency& range : efficiency.ranges) {
        const auto passing = [&](double p) { return p > 0.0 ? std::pow(p, factor) : 0.0; };
        range.penetration = passing(range.penetration.value);
        range.penetration_interval = {passing(range.penetration_interval.lower),
                                      passing(range.penetration_interval.upper)};
    }
    return efficiency;
}

/// A limit that is met, and may not be where the filter serves: removal was counted on one specimen at one velocity,
/// and of fine particles faster air leaves less time to diffuse to a fibre. In either direction fibres are taken to
/// catch less of each size by the ratio of the velocities to the power 2/3 (single-fibre efficiency of diffusion goes
/// as Pe^(-2/3), Lee and Liu 1982); no figure is corrected by it.
template <Deferred...>
inline void doubt_removal(const StudyInput& study, const SystemInput& system, const CandidateInput& candidate,
                          const PreparedCandidate& prepared, const std::vector<Uncertain<double>>& through_share,
                          CandidateResult& result) {
    if (!system.least_pm25_removal || !result.lasting_pm25_removal) return;
    const double limit = *system.least_pm25_removal, counted = result.lasting_pm25_removal->value;
    if (counted < limit) return;
    const bool discharged = result.pm25_removal_discharged &&
                            result.pm25_removal_discharged->value < result.pm25_removal->value;
    double least_ratio = 1.0, passing_all = 1.0;
    Velocity counted_at{}, runs_at{};
    std::vector<FractionalEfficiency> stages;
    for (std::size_t k = 0; k < candidate.stages.size(); ++k) {
        const FilterInput& filter = study.filters[filter_index(study, candidate.stages[k].filter)];
        const FilterResult& found = *prepared.filters[k];
        const FractionalEfficiency& measured =
            discharged && found.conditioned_efficiency ? *found.conditioned_efficiency : *found.efficiency;
        const std::optional<Area> face = face_area(filter);
        double ratio = 1.0;
        if (face && filter.counts_face_velocity) {
            const Velocity here = through_share.at(k).value * result.clean->flow.value / *face;
            ratio = std::min(here / *filter.counts_face_velocity, *filter.counts_face_velocity / here);
            if (ratio < least_ratio) {
                least_ratio = ratio;
                counted_at = *filter.counts_face_velocity;
                runs_at = here;
            }
        }
        const double past = prepared.model.stages[k].gap_area.value() > 0.0 ? 1.0 - through_share[k].value : 0.0;
        stages.push_back(
            with_bypass(with_weaker_fibres(measured, std::pow(ratio, 2.0 / 3.0)), Uncertain<double>(past)));
        passing_all *= past;
    }
    if (!(least_ratio < 1.0)) return;
    DustOfInterest dust = urban_pm25();
    dust.greatest_efficiency = 1.0 - passing_all;
    const double least = mass_efficiency(in_series(stages), dust).estimate.value;
    if (!(least < limit)) return;
    result.pm25_removal_as_it_runs = least;
    add_doubt(result,
              "removal of PM2.5 " + percent_words(counted) + ", limit at least " + percent_words(limit) +
                  ", was counted at " + velocity_words(counted_at) + " on one specimen; at the " +
                  velocity_words(runs_at) + " that it runs at it may be " + percent_words(least) +
                  ": count it there before relying on the limit",
              "a count at " + velocity_words(runs_at) + ", where it runs, confirms a removal of PM2.5 of at least " +
                  percent_words(limit));
}

/// Flows at which fan and system hold steady, the greatest first.
template <Deferred...>
inline std::vector<VolumeFlow> stable_flows(const OperatingPoint& point) {
    std::vector<VolumeFlow> flows;
    for (const Crossing& c : point.crossings) {
        if (c.stable) flows.insert(flows.begin(), c.flow);
    }
    return flows;
}

/// The system with the dust of a moment on the stages.
template <Deferred...>
inline SystemCurve loaded_system(FilterLifeInput input, const std::vector<Mass>& retained) {
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        FilterStage& stage = input.stages[k];
        const double load = input.dust.equivalence * retained.at(k).value() / stage.area.value();
        stage.clean.linear = stage.clean.linear * loading_factor(loading_coefficients(stage.law), load);
    }
    return clean_system(input);
}

/// Where fan and system meet at several flows, clean or under way to the change, it is not known which it is; limits
/// are held against the lowest of them until then.
template <Deferred...>
inline void doubt_operating_point(const SystemInput& system, const FilterLifeInput& input,
                                  const CandidateCourse& course, CandidateResult& result) {
    std::vector<VolumeFlow> first = stable_flows(result.clean_point);
    std::string when = "with clean filters";
    VolumeFlow lowest = first.back();
    const auto* fan = std::get_if<FanCurve>(&input.fan);
    if (fan != nullptr && !fan->falls_throughout() && result.change_interval) {
        const std::vector<LifeMoment>& moments = course.history ? course.history->moments : course.life.moments;
        for (const LifeMoment& m : moments) {
            if (m.time.value() > result.change_interval->value.value() * (1.0 + 1e-9)) break;
            const std::vector<VolumeFlow> flows = stable_flows(
                operating_point_of(input.fan, loaded_system(input, m.retained), input.air, input.fan_scale));
            if (flows.size() < 2) continue;
            lowest = std::min(lowest, flows.back());
            if (first.size() > 1) continue;
            first = flows;
            when = "after some " + hours_words(m.time);
        }
    }
    if (first.size() < 2) return;
    const VolumeFlow high = first.front(), low = first.back();
    const bool starved = system.least_airflow && lowest < *system.least_airflow;
    const bool falls = lowest < 0.995 * low;
    add_doubt(result,
              "airflow " + when + " may be " + flow_words(high) + ", which is counted on, or " + flow_words(low) +
                  (falls ? ", falling to " + flow_words(lowest) + " before the change" : "") +
                  (starved ? ", below the limit of " + flow_words(*system.least_airflow) : "") +
                  ": fan and system meet at both, and where it settles depends on its history",
              "it settles at " + flow_words(high) + " and not at " + flow_words(low) + " " + when);
}

/// A moment whose uncertainty is not known: where the flow would jump, its slopes have no bound.
template <Deferred...>
inline CandidateMoment without_uncertainty(CandidateMoment moment) {
    moment.flow.gradient = {};
    moment.filter_pressure.gradient = {};
    moment.external_static_pressure.gradient = {};
    if (moment.power) moment.power->gradient = {};
    return moment;
}

}   // namespace filterflow::detail
