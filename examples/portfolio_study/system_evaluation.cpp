// SPDX-License-Identifier: BSL-1.0

#include "system_evaluation.hpp"

#include <array>
#include <cmath>
#include <span>
#include <string>
#include <utility>

#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/study/choice_statistics.hpp>

namespace portfolio_study {

namespace {

constexpr double followed_years = 10.0;            // as choose_filter follows lives
constexpr double half_width = 1.959963984540054;   // of a 95 % interval over the standard deviation

/// Factors on what is uncertain, one where the estimates are taken.
struct SystemFactors {
    double fan = 1.0, ducts = 1.0, dust = 1.0, equivalence = 1.0, electricity = 1.0;
};
struct CandidateFactors {
    double resistance = 1.0, growth = 1.0;
};

Fan fan_of(const PortfolioSystem& system) {
    const FanTable table = fan_table_at(*system.fan, system.fan_ratios);
    if (system.holds_airflow) return flow_holding_fan(table);
    return fan_curve(table);
}

/// The filters of a candidate side by side as one stage.
FilterStage stage_of(const PortfolioSystem& system, const PortfolioCandidate& candidate,
                     const CandidateFactors& factors) {
    const double n = system.filters;
    FilterStage stage;
    stage.clean = {factors.resistance / n * candidate.clean.linear,
                   factors.resistance / (n * n) * candidate.clean.quadratic, candidate.clean.stated_air};
    stage.law = candidate.law;
    stage.law.growth_scale = factors.growth * candidate.law.growth_scale;
    stage.law.transition = factors.growth * candidate.law.transition;
    stage.law.cake_slope = candidate.law.cake_slope / factors.growth;
    stage.area = n * candidate.area;
    stage.efficiency.clean = candidate.dust_caught;
    stage.final_resistance = candidate.final_resistance;
    stage.greatest_age = candidate.greatest_age;
    stage.greatest_known = candidate.known_up_to;
    return stage;
}

SystemCurve ducts_of(const PortfolioSystem& system, double factor) {
    SystemCurve ducts = system.ducts;
    for (auto& part : ducts.power_laws) part.reference_pressure = factor * part.reference_pressure;
    return ducts;
}

ChangedBy changed_by(const ChangeInterval& change) {
    if (change.reason == ChangeIntervalReason::cost_optimum) return ChangedBy::least_cost;
    switch (change.life.end) {
        case LifeEnd::final_resistance:
            return ChangedBy::final_resistance;
        case LifeEnd::age:
            return ChangedBy::age;
        case LifeEnd::least_airflow:
            return ChangedBy::least_airflow;
        case LifeEnd::fan_table_end:
            return ChangedBy::fan_table_end;
        case LifeEnd::operating_point_lost:
            return ChangedBy::operating_point_lost;
        default:
            return ChangedBy::nothing;   // limits that a portfolio does not set
    }
}

/// A candidate being looked at.
struct Attempt {
    FilterLifeInput input;
    CandidateOutcome outcome;
};

/// The candidate with clean filters: status, airflow, limits that do not need a life.
Attempt clean_attempt(const PortfolioSystem& system, const Fan& fan, const PortfolioCandidate& candidate,
                      const SystemFactors& s, const CandidateFactors& c) {
    Attempt attempt{{fan,
                     {s.fan, 1.0},
                     ducts_of(system, s.ducts),
                     {stage_of(system, candidate, c)},
                     {s.dust * system.dust, s.equivalence * system.equivalence, {}},
                     system.hours / units::year,
                     system.air,
                     {system.least_airflow, {}, {}},
                     followed_years * system.hours},
                    {}};
    CandidateOutcome& outcome = attempt.outcome;
    SystemCurve whole = attempt.input.ducts;
    whole.elements.push_back(attempt.input.stages.front().clean);
    OperatingState clean;
    try {
        clean = operating_state(fan, whole, system.air, attempt.input.fan_scale);
    } catch (const NoSolution&) {
        return attempt;
    }
    outcome.flow_clean = clean.flow;
    outcome.drop_clean = pressure_drop(attempt.input.stages.front().clean, clean.flow, system.air);
    outcome.power_clean = clean.power;
    if (candidate.face) outcome.face_velocity = clean.flow / (system.filters * *candidate.face);
    outcome.lacks_airflow = system.least_airflow && clean.flow < *system.least_airflow;
    outcome.too_fast = system.greatest_face_velocity &&
                       !(outcome.face_velocity && *outcome.face_velocity <= *system.greatest_face_velocity);
    outcome.lacks_removal =
        system.least_pm25_removal && !(candidate.pm25_removal && *candidate.pm25_removal >= *system.least_pm25_removal);
    outcome.status = candidate.final_resistance && !(*outcome.drop_clean < *candidate.final_resistance)
                         ? CandidateStatus::above_final
                         : CandidateStatus::served;
    return attempt;
}

/// Air of a year that every candidate has to deliver: what the present one delivers clean, else the least airflow asked
/// for, else what the least delivering candidate does. Zero if none delivers any.
Volume equal_service(const PortfolioSystem& system, const std::vector<Attempt>& attempts) {
    if (system.present && attempts[*system.present].outcome.flow_clean) {
        return *attempts[*system.present].outcome.flow_clean * system.hours;
    }
    if (system.least_airflow) return *system.least_airflow * system.hours;
    VolumeFlow least{};
    for (const Attempt& a : attempts) {
        const auto& flow = a.outcome.flow_clean;
        if (flow && (!(least.value() > 0.0) || *flow < least)) least = *flow;
    }
    return least * system.hours;
}

void add_year(const PortfolioSystem& system, const PortfolioCandidate& candidate, Volume annual, double electricity,
              Attempt& attempt) {
    CandidateOutcome& outcome = attempt.outcome;
    ServicePrices prices;
    prices.change = {system.filters * candidate.price, system.labour, system.filters * system.disposal};
    prices.electricity = electricity * system.electricity;
    prices.annual_volume = annual;
    const ChangeInterval change = find_change_interval(attempt.input, prices);
    if (!change.interval) {
        outcome.status = change.reason == ChangeIntervalReason::no_service ? CandidateStatus::limit_from_start
                                                                           : CandidateStatus::no_interval;
        return;
    }
    outcome.changed_by = changed_by(change);
    const auto& known = attempt.input.stages.front().greatest_known;
    outcome.extrapolated =
        known && change.moment->retained.front() * attempt.input.dust.equivalence / attempt.input.stages.front().area >
                     (1.0 + 1e-12) * *known;
    outcome.interval = *change.interval;
    outcome.flow_end = change.moment->flow;
    outcome.drop_end = change.moment->filter_drop;
    outcome.running_time = change.cost->annual_running_time;
    outcome.energy = change.cost->annual_energy;
    outcome.filter_cost = change.cost->annual_filter_cost;
    outcome.cost = change.cost->annual_cost;
    outcome.service = annual;
    outcome.exceeds_year = change.cost->exceeds_year;
}

std::vector<CandidateOutcome> outcomes(const PortfolioSystem& system, const Fan& fan,
                                       const std::vector<PortfolioCandidate>& candidates, const SystemFactors& s,
                                       const std::vector<CandidateFactors>& c) {
    std::vector<Attempt> attempts;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
        attempts.push_back(clean_attempt(system, fan, candidates[k], s, c[k]));
    }
    const Volume annual = equal_service(system, attempts);
    std::vector<CandidateOutcome> result;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
        if (attempts[k].outcome.status == CandidateStatus::served) {
            add_year(system, candidates[k], annual, s.electricity, attempts[k]);
        }
        result.push_back(std::move(attempts[k].outcome));
    }
    return result;
}

/// A factor whose logarithm is normal, one in its middle; 95 % of them lie within the half width above.
double factor_of(double within, double normal) { return std::exp(std::log1p(within) / half_width * normal); }

// Streams of the draws: those of a system carry its number, those of a candidate are the same for all systems.
constexpr std::uint64_t candidate_streams = std::uint64_t{1} << 63;

std::array<std::vector<double>, 4> four_normals(const RandomStream& first, std::size_t draws) {
    std::array<std::vector<double>, 4> z;
    for (auto& row : z) row.resize(draws);
    fill_normals(first, 0, {z[0], z[1], z[2], z[3]});
    return z;
}

void add_probabilities(const PortfolioSystem& system, std::uint64_t number, const Fan& fan,
                       const std::vector<PortfolioCandidate>& candidates, const DrawOptions& options,
                       std::vector<CandidateOutcome>& result) {
    const std::size_t n = options.draws, count = candidates.size();
    const auto of_system = four_normals({options.seed, number, 0}, n);
    std::vector<double> of_price(n);
    fill_normals({options.seed, number, 4}, 0, of_price);
    std::vector<std::array<std::vector<double>, 4>> of_candidates;
    for (std::size_t k = 0; k < count; ++k) {
        of_candidates.push_back(four_normals({options.seed, candidate_streams + k, 0}, n));
    }
    std::vector<double> cost(count * n), margin(count * n);
    std::vector<CandidateFactors> c(count);
    for (std::size_t i = 0; i < n; ++i) {
        const SystemFactors s{
            factor_of(system.fan_within, of_system[0][i]), factor_of(system.duct_within, of_system[1][i]),
            factor_of(system.dust_within, of_system[2][i]), factor_of(system.equivalence_within, of_system[3][i]),
            factor_of(system.electricity_within, of_price[i])};
        for (std::size_t k = 0; k < count; ++k) {
            c[k] = {factor_of(candidates[k].resistance_within, of_candidates[k][0][i]),
                    factor_of(candidates[k].growth_within, of_candidates[k][1][i])};
        }
        const auto drawn = outcomes(system, fan, candidates, s, c);
        for (std::size_t k = 0; k < count; ++k) {
            cost[k * n + i] = drawn[k].cost ? drawn[k].cost->value() : 0.0;   // not ranked without a cost
            margin[k * n + i] = drawn[k].eligible() ? 1.0 : -1.0;
        }
    }
    const LimitDraws limits[] = {{"limits", {count, margin}}};
    const ChoiceStatistics statistics = choice_statistics({count, cost}, limits);
    for (std::size_t k = 0; k < count; ++k) result[k].probability_best = statistics.candidates[k].rank.front();
}

}   // namespace

std::vector<CandidateOutcome> evaluated(const PortfolioSystem& system, std::uint64_t number,
                                        const std::vector<PortfolioCandidate>& candidates, const DrawOptions& options) {
    const Fan fan = fan_of(system);
    std::vector<CandidateOutcome> result =
        outcomes(system, fan, candidates, {}, std::vector<CandidateFactors>(candidates.size()));
    CandidateOutcome* best = nullptr;
    for (CandidateOutcome& outcome : result) {
        if (outcome.eligible() && (best == nullptr || *outcome.cost < *best->cost)) best = &outcome;
    }
    if (best != nullptr) best->best = true;
    if (system.present) result[*system.present].present = true;
    if (options.draws > 0) add_probabilities(system, number, fan, candidates, options, result);
    return result;
}

}   // namespace portfolio_study
