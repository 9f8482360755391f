// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a candidate removes, the limits it is held against and what a reader should know of its inputs. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/limit_doubts.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

/// Efficiency by size of all stages with the gaps around them, in the state that lasts, and the greatest it can be.
struct InstalledEfficiency {
    FractionalEfficiency efficiency;
    double greatest = 1.0;
};

/// Removal by the stages as they are installed; nothing, said so, of counts that contradict themselves.
template <Deferred...>
inline std::optional<InstalledEfficiency> removal_of_stages(const std::vector<FractionalEfficiency>& stages,
                                                            const std::vector<FractionalEfficiency>& discharged,
                                                            bool any_discharged, double passing_all,
                                                            CandidateResult& result) {
    bool contradicted = false;
    double least_possible = 1.0;   // with nothing stopped of the sizes that were not counted
    const auto removal = [&](const std::vector<FractionalEfficiency>& of, DustOfInterest dust, const char* name) -> std::optional<Uncertain<double>> {
        const FractionalEfficiency whole = in_series(of);
        if (whole.ranges.empty()) {
            result.missing.push_back({std::string(name) + " removed", "a size range that all stages were counted in"});
            return std::nullopt;
        }
        dust.greatest_efficiency = 1.0 - passing_all;
        const MassEfficiency mass = mass_efficiency(whole, dust);
        for (const std::string& a : mass.assumptions) add_once(result.warnings, {std::string(name) + ": " + a});
        if (contradicts(mass, result.counts_contradict)) {
            result.missing.push_back({std::string(name) + " removed",
                                      "counts that do not show more particles behind the filters than before them"});
            contradicted = true;
            return std::nullopt;
        }
        least_possible = mass.bounds.lower;
        return mass.estimate;
    };
    result.pm25_removal = removal(stages, urban_pm25(), "PM2.5");
    result.least_pm25_removal = least_possible;
    if (any_discharged) {
        result.pm25_removal_discharged = removal(discharged, urban_pm25(), "PM2.5, discharged");
        result.least_pm25_removal = std::min(result.least_pm25_removal, least_possible);
    }
    const bool pm25_contradicted = contradicted;
    result.pm10_removal = removal(stages, rural_pm10(), "PM10");
    if (!result.pm25_removal || pm25_contradicted) return std::nullopt;
    result.lasting_pm25_removal = result.pm25_removal;
    const std::vector<FractionalEfficiency>* lasting = &stages;
    if (result.pm25_removal_discharged && result.pm25_removal_discharged->value < result.pm25_removal->value) {
        result.lasting_pm25_removal = result.pm25_removal_discharged;
        lasting = &discharged;
    }
    return InstalledEfficiency{in_series(*lasting), 1.0 - passing_all};
}

template <Deferred...>
inline std::optional<InstalledEfficiency> set_removal(const PreparedCandidate& prepared,
                                                      const CandidateFigures<Uncertain<double>>& figures,
                                                      CandidateResult& result) {
    std::vector<FractionalEfficiency> stages, discharged;
    bool any_discharged = false;
    double passing_all = 1.0;   // share of the air that goes past every stage
    for (std::size_t k = 0; k < prepared.filters.size(); ++k) {
        const FilterResult& filter = *prepared.filters[k];
        if (!filter.efficiency || filter.efficiency->ranges.empty()) {
            result.missing.push_back(
                {"PM2.5 and PM10 removed, clean air delivered", "particle counts of " + in_quotes(filter.name)});
            return std::nullopt;
        }
        result.counts_contradict = result.counts_contradict || counts_more_behind(*filter.efficiency);
        const bool sealed = !(prepared.model.stages[k].gap_area.value() > 0.0);
        passing_all *= sealed ? 0.0 : 1.0 - figures.through_share[k].value;
        const auto installed = [&](const FractionalEfficiency& efficiency) {
            return sealed ? efficiency : with_bypass(efficiency, Uncertain<double>(1.0) - figures.through_share[k]);
        };
        stages.push_back(installed(*filter.efficiency));
        any_discharged = any_discharged || filter.conditioned_efficiency;
        discharged.push_back(filter.conditioned_efficiency ? installed(*filter.conditioned_efficiency) : stages.back());
    }
    const auto installed = removal_of_stages(stages, discharged, any_discharged, passing_all, result);
    if (installed) {
        result.clean_air_pm25 =
            from_si<VolumeFlow>(product_of(to_si(result.clean->flow), *result.lasting_pm25_removal));
    }
    return installed;
}

/// The removal of a candidate whose airflow is not known: that of the counts, if no air goes past its filters.
template <Deferred...>
inline void set_removal_without_flow(const StudyInput& study, const CandidateInput& candidate,
                                     const std::vector<FilterResult>& filters, CandidateResult& result) {
    const char* const figure = "PM2.5 and PM10 removed";
    std::vector<FractionalEfficiency> stages, discharged;
    bool any_discharged = false;
    std::string counted_at;
    for (const StageInput& stage : candidate.stages) {
        const std::size_t i = filter_index(study, stage.filter);
        const FilterResult& filter = filters[i];
        if (!filter.efficiency || filter.efficiency->ranges.empty()) {
            result.missing.push_back({figure, "particle counts of " + in_quotes(filter.name)});
            return;
        }
        result.counts_contradict = result.counts_contradict || counts_more_behind(*filter.efficiency);
        stages.push_back(*filter.efficiency);
        any_discharged = any_discharged || filter.conditioned_efficiency;
        discharged.push_back(filter.conditioned_efficiency ? *filter.conditioned_efficiency : stages.back());
        const auto& velocity = study.filters[i].counts_face_velocity;
        const std::string at = velocity ? velocity_words(*velocity) : "a face velocity that is not stated";
        if (counted_at.find(at) == std::string::npos) counted_at += (counted_at.empty() ? "" : " and ") + at;
    }
    if (candidate.bypass_gap && candidate.bypass_gap->value() > 0.0) {
        result.missing.push_back({figure, "the airflow, on which the share of the air that goes past its gap depends"});
        return;
    }
    if (removal_of_stages(stages, discharged, any_discharged, 0.0, result)) {
        result.warnings.push_back("its removal was counted at " + counted_at +
                                  "; at which face velocity it would run is not known");
    }
}

template <Deferred...>
inline void check_limits(const StudyInput& study, const SystemInput& system, const PreparedCandidate& prepared,
                         CandidateResult& result) {
    const CandidateMoment& clean = *result.clean;
    const auto fail = [&](const std::string& text) { result.failed_limits.push_back(text); };
    const double probability = study.coverage_probability;
    if (system.least_airflow) {
        const VolumeFlow limit = *system.least_airflow;
        doubt_near(clean.flow, limit, probability, !(clean.flow.value < limit), "airflow with clean filters",
                   " " + flow_words(clean.flow, probability) + ", limit at least " + flow_words(limit),
                   "a measurement confirms an airflow of at least " + flow_words(limit) + " with clean filters",
                   result);
    }
    if (system.greatest_external_static_pressure) {
        const Pressure limit = *system.greatest_external_static_pressure;
        const auto& pressure = clean.external_static_pressure;
        doubt_near(pressure, limit, probability, !(pressure.value > limit),
                   "external static pressure with clean filters",
                   " " + pressure_words(pressure.value) + ", limit at most " + pressure_words(limit),
                   "a measurement confirms an external static pressure of at most " + pressure_words(limit) +
                       " with clean filters",
                   result);
        if (system.fan.kind != FanPressureKind::external_static) {
            add_once(result.warnings,
                     {"the greatest external static pressure is held against the fan table's own pressure, "
                      "which is not stated as external: parts inside the cabinet count too"});
        }
    }
    if (system.greatest_face_velocity && prepared.least_face_area) {
        const Velocity limit = *system.greatest_face_velocity;
        const VolumeFlow most = limit * *prepared.least_face_area;
        doubt_near(clean.flow, most, probability, !(clean.flow.value > most), "face velocity",
                   " " + velocity_words(clean.flow.value / *prepared.least_face_area) + ", limit at most " +
                       velocity_words(limit),
                   "a measurement confirms a face velocity of at most " + velocity_words(limit), result);
    }
    if (system.least_pm25_removal && result.lasting_pm25_removal) {
        const double limit = *system.least_pm25_removal;
        doubt_near(*result.lasting_pm25_removal, limit, probability, !(result.lasting_pm25_removal->value < limit),
                   "removal of PM2.5",
                   " " + percent_words(result.lasting_pm25_removal->value) + ", limit at least " +
                       percent_words(limit),
                   "a further count confirms a removal of PM2.5 of at least " + percent_words(limit), result);
    }
    if (system.least_airflow && clean.flow.value < *system.least_airflow) {
        fail("airflow with clean filters " + flow_words(clean.flow.value) + ", limit at least " +
             flow_words(*system.least_airflow));
    }
    if (system.greatest_external_static_pressure &&
        clean.external_static_pressure.value > *system.greatest_external_static_pressure) {
        fail("external static pressure with clean filters " + pressure_words(clean.external_static_pressure.value) +
             ", limit at most " + pressure_words(*system.greatest_external_static_pressure));
    }
    if (prepared.least_face_area) result.face_velocity = clean.flow.value / *prepared.least_face_area;
    if (result.face_velocity &&
        (*result.face_velocity < 0.2 * units::m_per_s || *result.face_velocity > 4.0 * units::m_per_s)) {
        result.warnings.push_back("face velocity " + velocity_words(*result.face_velocity) +
                                  " is unusual for a ducted filter: check width and height, and the airflow");
    }
    if (system.greatest_face_velocity && !result.face_velocity) {
        fail("face velocity is not known, limit at most " + velocity_words(*system.greatest_face_velocity));
    } else if (system.greatest_face_velocity && *result.face_velocity > *system.greatest_face_velocity) {
        fail("face velocity " + velocity_words(*result.face_velocity) + ", limit at most " +
             velocity_words(*system.greatest_face_velocity));
    }
    if (system.least_pm25_removal) {
        const std::string limit = ", limit at least " + percent_words(*system.least_pm25_removal);
        if (!result.lasting_pm25_removal) {
            fail("removal of PM2.5 is not known" + limit);
        } else if (result.lasting_pm25_removal->value < *system.least_pm25_removal) {
            const bool met_when_new = result.pm25_removal->value >= *system.least_pm25_removal;
            fail("removal of PM2.5 " +
                 (met_when_new ? percent_words(result.pm25_removal->value) + " only while the charge lasts, then "
                               : "") +
                 percent_words(result.lasting_pm25_removal->value) + limit);
        } else if (result.least_pm25_removal < *system.least_pm25_removal) {
            result.warnings.push_back("the removal of PM2.5 meets its limit only by what is estimated for sizes that "
                                      "were not counted: the counted ones alone give " +
                                      percent_words(result.least_pm25_removal));
        }
    }
}

/// What a reader of the figures should know of the inputs behind them.
template <Deferred...>
inline void add_cautions(const StudyInput& study, const CandidateInput& candidate, const PreparedCandidate& prepared,
                         const std::vector<Uncertain<double>>& through_share, CandidateResult& result) {
    const CandidateMoment& clean = *result.clean;
    if (clean.power) {
        const double efficiency = clean.flow.value * clean.external_static_pressure.value / clean.power->value;
        if (efficiency > 1.0) {
            result.warnings.push_back("the fan table gives the air more power than the fan takes (efficiency " +
                                      percent_words(efficiency) + "): its pressure or its power is wrong");
        }
    }
    for (std::size_t k = 0; k < candidate.stages.size(); ++k) {
        const FilterInput& filter = study.filters[filter_index(study, candidate.stages[k].filter)];
        const VolumeFlow through = through_share.at(k).value * clean.flow.value;
        if (extrapolates(*prepared.filters[k]->curve, through)) {
            result.warnings.push_back("the pressure of " + in_quotes(filter.name) +
                                      " is taken beyond the flows it was "
                                      "read at: here " +
                                      flow_words(through));
        }
        const std::optional<Area> face = face_area(filter);
        if (face && prepared.filters[k]->efficiency && filter.counts_face_velocity) {
            const Velocity here = through / *face;
            if (std::abs(here / *filter.counts_face_velocity - 1.0) > 0.25) {
                result.warnings.push_back(in_quotes(filter.name) + " was counted at " +
                                          velocity_words(*filter.counts_face_velocity) + " and runs at " +
                                          velocity_words(here) + ": its removal is not corrected for that");
            }
        }
    }
    if (result.pm25_removal && result.pm25_removal_discharged &&
        result.pm25_removal_discharged->value < 0.8 * result.pm25_removal->value) {
        result.warnings.push_back("removes " + percent_words(result.pm25_removal->value) +
                                  " of PM2.5 (mass from 0.3 to 2.5 um) as delivered and " +
                                  percent_words(result.pm25_removal_discharged->value) +
                                  " once its charge is gone: limits and clean air go by the lower one");
    }
}

/// A filter cannot be changed at a final resistance that it has from the start, whether or not its life is known.
template <Deferred...>
inline void require_final_resistances_above_clean(const FilterLifeInput& input, VolumeFlow flow) {
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        const FilterStage& stage = input.stages[k];
        if (!stage.final_resistance) continue;
        const Pressure drop =
            flow_split(BypassedElement{stage.clean, stage.gap_area, stage.discharge_coefficient}, flow, input.air).drop;
        if (*stage.final_resistance > drop) continue;
        throw DomainError("final resistance " + pressure_words(*stage.final_resistance) + " of stage " +
                          std::to_string(k + 1) + "; required: above its clean pressure drop, " + pressure_words(drop) +
                          " at " + flow_words(flow) + ", where the system runs");
    }
}

}   // namespace filterflow::detail
