// SPDX-License-Identifier: BSL-1.0
#pragma once

// A candidate made ready to be run in a system: its stages put together from the bench results, every uncertain
// parameter in its place, what is missing for which figure. Not public.

#include <algorithm>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/operating_hours.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

inline constexpr double greatest_interval_years = 10.0;   // lives and histories are followed that far

template <Deferred...>
inline Fan fan_of(const SystemInput& system) {
    if (system.control == FanControl::holds_airflow) return flow_holding_fan(system.fan);
    return fan_curve(system.fan);
}

template <Deferred...>
inline AirState air_of(const StudyInput& study, const SystemInput& system) {
    return system.air ? moist_air(*system.air) : study.standard_air;
}

template <Deferred...>
inline std::size_t filter_index(const StudyInput& study, const std::string& name) {
    for (std::size_t i = 0; i < study.filters.size(); ++i) {
        if (study.filters[i].name == name) return i;
    }
    throw DomainError("study: no filter is named " + in_quotes(name));
}

template <Deferred...>
inline Uncertain<double> product_of(const Uncertain<double>& a, const Uncertain<double>& b) {
    Uncertain<double> result(a.value * b.value);
    result.gradient.add(a.gradient, b.value);
    result.gradient.add(b.gradient, a.value);
    return result;
}

/// a / b
template <Deferred...>
inline Uncertain<double> ratio_of(const Uncertain<double>& a, const Uncertain<double>& b) {
    Uncertain<double> result(a.value / b.value);
    result.gradient.add(a.gradient, 1.0 / b.value);
    result.gradient.add(b.gradient, -a.value / (b.value * b.value));
    return result;
}

/// Whether more particles of some size were counted behind the filter than before it, beyond noise.
template <Deferred...>
inline bool counts_more_behind(const FractionalEfficiency& efficiency) {
    return std::any_of(efficiency.ranges.begin(), efficiency.ranges.end(),
                       [](const SizeEfficiency& range) { return range.penetration_interval.lower > 1.0; });
}

/// Whether a share of mass contradicts itself, so that nothing may be computed from it: below zero beyond its
/// uncertainty, or below zero where some size counts more behind.
template <Deferred...>
inline bool contradicts(const MassEfficiency& mass, bool some_size_counts_more_behind) {
    return coverage_interval(mass.estimate).upper < 0.0 || (some_size_counts_more_behind && mass.estimate.value < 0.0);
}

/// Share of the building's dust that filters in series stop, by their names. Kept, so that candidates of the same
/// filters share what of it is not known.
using DustCaught = std::map<std::vector<std::string>, MassEfficiency>;

/// Share of the building's dust that each stage stops of what reaches it, from efficiencies by size where all stages
/// so far have them, else from the arrestance of the bench's dust.
template <Deferred...>
inline std::vector<std::optional<Uncertain<double>>> dust_efficiencies(const std::vector<const FilterResult*>& stages,
                                                                       DustCaught& kept, CandidateResult& result) {
    std::vector<std::optional<Uncertain<double>>> efficiencies;
    std::vector<FractionalEfficiency> so_far;
    std::vector<std::string> names;
    Uncertain<double> passed_before(1.0);
    bool by_size = true;
    for (const FilterResult* stage : stages) {
        by_size = by_size && stage->efficiency && !stage->efficiency->ranges.empty();
        FractionalEfficiency whole;
        if (by_size) {
            so_far.push_back(*stage->efficiency);
            names.push_back(stage->name);
            whole = in_series(so_far);
            by_size = !whole.ranges.empty();   // a range that all stages so far were counted in
        }
        if (by_size) {
            if (!kept.contains(names)) {
                DustOfInterest dust = whole_dust(urban_distribution());
                dust.efficiency_rises_above_measured = true;
                kept.emplace(names, mass_efficiency(whole, dust));
            }
            by_size = !contradicts(kept.at(names), counts_more_behind(whole));
            if (!by_size) {
                add_once(result.warnings, {"dust caught: not by the counts of " + in_quotes(stage->name) +
                                           ", which show more particles behind the filter than before it"});
            }
        }
        if (by_size) {
            const MassEfficiency& removed = kept.at(names);
            const Uncertain<double> passed = Uncertain<double>(1.0) - removed.estimate;
            efficiencies.emplace_back(Uncertain<double>(1.0) - ratio_of(passed, passed_before));
            passed_before = passed;
            add_once(result.warnings,
                     {"dust caught: by the urban distribution of ISO 16890 and the efficiencies by size"});
            for (const std::string& a : removed.assumptions) add_once(result.warnings, {"dust caught: " + a});
        } else if (stage->loading && stage->loading->average_arrestance) {
            efficiencies.emplace_back(*stage->loading->average_arrestance);
            add_once(result.warnings, {"dust caught by " + in_quotes(stage->name) +
                                       ": the arrestance of the bench's dust stands in for the building's"});
        } else {
            efficiencies.emplace_back();
        }
    }
    return efficiencies;
}

/// Everything about a candidate that does not depend on which figures will exist.
struct PreparedCandidate {
    CandidateModel model;
    std::vector<Uncertain<double>> parameters;
    std::vector<const FilterResult*> filters;
    std::optional<Area> least_face_area;   // none: the face of a stage is not known
};

template <Deferred...>
inline void prepare_life(const StudyInput& study, const SystemInput& system, const CandidateInput& candidate,
                         DustCaught& kept, PreparedCandidate& prepared, CandidateResult& result) {
    const auto lacks = [&](const std::string& what) {
        result.missing.push_back({"hours to a limit, change interval, yearly cost and energy", what});
    };
    bool complete = true;
    const auto require = [&](bool there, const std::string& what) {
        if (!there) lacks(what);
        complete = complete && there;
    };
    for (const FilterResult* filter : prepared.filters) {
        const FilterInput& input = study.filters[filter_index(study, filter->name)];
        const bool area_known = input.media_area || face_area(input);
        require(filter->loading.has_value(),
                input.loading_readings.empty() ? "loading readings of " + in_quotes(filter->name)
                : area_known ? "loading readings of " + in_quotes(filter->name) + " that give a law"
                             : face_needed(filter->name) + ", or its media area");
    }
    require(system.hours_per_year.has_value(), "running hours a year of the system");
    require(system.dust_concentration.has_value(), "the dust concentration upstream of the filters");
    require(system.dust_equivalence.has_value(),
            "how much bench dust loads a filter like this building's dust (dust equivalence)");
    const auto efficiencies = dust_efficiencies(prepared.filters, kept, result);
    for (std::size_t k = 0; k < efficiencies.size(); ++k) {
        const bool there = efficiencies[k] && efficiencies[k]->value > 0.0 && efficiencies[k]->value <= 1.0;
        require(there, efficiencies[k]
                           ? "the share of dust that " + in_quotes(prepared.filters[k]->name) +
                                 " stops: its readings give " + percent_words(efficiencies[k]->value) +
                                 ", more than 0 and at most 100 % is possible; count again"
                           : "the share of dust that " + in_quotes(prepared.filters[k]->name) +
                                 " stops (particle counts, or dust passed in the loading test)");
        if (there) prepared.parameters[ParameterPlaces::of_stage(k, ParameterPlaces::efficiency)] = *efficiencies[k];
    }
    if (candidate.stages.size() > 1) {
        const bool limited = system.least_airflow || system.greatest_external_static_pressure;
        for (const StageInput& stage : candidate.stages) {
            require(limited || stage.final_resistance || stage.greatest_age,
                    "a rule by which stage " + in_quotes(stage.filter) + " is changed");
        }
    }
    if (!complete) return;
    prepared.model.with_life = true;
    prepared.model.annual_hours = *system.hours_per_year;
    prepared.model.running_fraction = *system.hours_per_year / units::year;
    prepared.model.horizon = greatest_interval_years * prepared.model.annual_hours;
    prepared.parameters[ParameterPlaces::dust] = to_si(*system.dust_concentration);
    prepared.parameters[ParameterPlaces::equivalence] = *system.dust_equivalence;
    if (system.dust_equivalence_is_assumed) {
        const Interval<double> range = coverage_interval(*system.dust_equivalence);
        add_once(result.warnings, {"hours and costs rest on an assumed dust equivalence of " +
                                   rounded(system.dust_equivalence->value, 3) +
                                   (range.upper > range.lower
                                        ? " (" + rounded(range.lower, 2) + " to " + rounded(range.upper, 2) + ")"
                                        : " without a range, so their intervals are too narrow") +
                                   ": bench dust is not building dust, and only a test in the building tells"});
    }
    // Prices.
    bool priced = true;
    const auto require_price = [&](bool there, const std::string& what) {
        if (!there) result.missing.push_back({"yearly cost, cost-optimal change interval", what});
        priced = priced && there;
    };
    require_price(study.prices.electricity.has_value(), "the price of electricity");
    if (system.fan.points.empty() || !system.fan.points.front().power) {
        result.missing.push_back(
            {"power, yearly energy and cost, cost-optimal change interval", "power in the fan table"});
        priced = false;
    }
    for (std::size_t k = 0; k < candidate.stages.size(); ++k) {
        const FilterInput& filter = study.filters[filter_index(study, candidate.stages[k].filter)];
        require_price(filter.price.has_value(), "the price of " + in_quotes(filter.name));
        if (filter.price)
            prepared.parameters[ParameterPlaces::of_stage(k, ParameterPlaces::price)] = to_si(*filter.price);
    }
    if (!priced) return;
    prepared.model.with_cost = true;
    prepared.parameters[ParameterPlaces::electricity] = to_si(electricity_of(study, system)->price);
    if (study.prices.demand) {
        prepared.model.with_demand = true;
        prepared.model.demand_months = running_months(system);
        prepared.parameters[ParameterPlaces::demand] = to_si(*study.prices.demand);
    }
    prepared.model.change_penalty = study.prices.change_penalty.value_or(0.0);
    const CostOutlook rates{study.prices.discount_rate, study.prices.electricity_escalation,
                            study.prices.other_escalation, 0.0};
    if (study.prices.years_of_service) {
        prepared.model.service = rates;
        prepared.model.service.years = *study.prices.years_of_service / units::year;
    }
    if (study.prices.labour_per_change) {
        prepared.parameters[ParameterPlaces::labour] = to_si(*study.prices.labour_per_change);
    } else {
        add_once(result.warnings, {"labour of a change is not stated and not in the cost"});
    }
    if (study.prices.disposal_per_filter) {
        prepared.parameters[ParameterPlaces::disposal] = to_si(*study.prices.disposal_per_filter);
    } else {
        add_once(result.warnings, {"disposal of a filter is not stated and not in the cost"});
    }
    if (study.prices.horizon) {
        prepared.model.outlook = rates;
        prepared.model.outlook.years = *study.prices.horizon / units::year;
    } else {
        result.missing.push_back({"present value", "a horizon in the prices"});
    }
}

template <Deferred...>
inline std::optional<PreparedCandidate> prepared_candidate(const StudyInput& study, const SystemInput& system,
                                                           const CandidateInput& candidate,
                                                           const std::vector<FilterResult>& filters, DustCaught& kept,
                                                           CandidateResult& result) {
    using Places = ParameterPlaces;
    PreparedCandidate prepared{
        {fan_of(system), system.ducts, air_of(study, system), {}, {}, 1.0, {}, {}, {}, {}, false, false, true},
        std::vector<Uncertain<double>>(Places::of_stage(candidate.stages.size(), 0)),
        {},
        std::nullopt};
    prepared.parameters[Places::fan_pressure] = system.fan_pressure_factor;
    prepared.parameters[Places::fan_power] = system.fan_power_factor;
    prepared.parameters[Places::duct_pressure] = system.duct_pressure_factor;
    prepared.parameters[Places::held_airflow] = system.held_airflow_factor;
    prepared.model.limits = {system.least_airflow, system.greatest_external_static_pressure};
    prepared.model.horizon = 1.0 * units::h;
    prepared.parameters[Places::dust].value = 1.0;   // placeholders of a model without a life
    prepared.parameters[Places::equivalence].value = 1.0;
    bool complete = true, faces_known = true;
    for (std::size_t k = 0; k < candidate.stages.size(); ++k) {
        const StageInput& stage = candidate.stages[k];
        const std::size_t i = filter_index(study, stage.filter);
        const FilterResult& filter = filters[i];
        prepared.filters.push_back(&filter);
        const std::optional<Area> face = face_area(study.filters[i]);
        faces_known = faces_known && face;
        if (face && (!prepared.least_face_area || *face < *prepared.least_face_area)) prepared.least_face_area = face;
        if (!face) result.missing.push_back({"face velocity", face_needed(filter.name)});
        if (!filter.curve) {
            result.missing.push_back(
                {"airflow, pressures and everything after them", "pressure against flow of " + in_quotes(filter.name)});
            complete = false;
            continue;
        }
        const LoadingFit* loading = filter.loading ? &*filter.loading : nullptr;
        prepared.model.stages.push_back(
            StageModel{.stated_air = filter.curve->curve.stated_air,
                       .form = loading ? std::optional(loading->law.form) : std::nullopt,
                       .reference = loading ? loading->law.reference : ReferenceArea::face,
                       .area = loading ? loading->area : face.value_or(units::m2.one),   // without a law it says nothing
                       .greatest_known = loading ? std::optional(loading->greatest_retained) : std::nullopt,
                       .final_resistance = stage.final_resistance,
                       .greatest_age = stage.greatest_age,
                       .gap_area = candidate.bypass_gap ? *candidate.bypass_gap : Area{}});
        prepared.parameters[Places::of_stage(k, Places::linear)] = to_si(filter.curve->linear);
        prepared.parameters[Places::of_stage(k, Places::quadratic)] = to_si(filter.curve->quadratic);
        for (std::size_t j = 0; loading && j < 3; ++j) {
            prepared.parameters[Places::of_stage(k, Places::growth_scale + j)] = loading->parameters[j];
        }
    }
    if (!faces_known) prepared.least_face_area.reset();
    if (!complete) return std::nullopt;
    if (!candidate.bypass_gap) add_once(result.warnings, {"no gap around the filters is stated: taken as sealed"});
    prepare_life(study, system, candidate, kept, prepared, result);
    return prepared;
}

}   // namespace filterflow::detail
