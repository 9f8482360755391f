// SPDX-License-Identifier: BSL-1.0
#pragma once

// What joint draws say of the choice in a system: ranks, regret, limits, the front of cost against airflow and clean
// air, which measurement would sharpen the choice, and whether the study's own intervals were good enough.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/monte_carlo.hpp>
#include <filterflow/study/choice_statistics.hpp>
#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/covered_figure.hpp>
#include <filterflow/study/difference_check.hpp>
#include <filterflow/study/information_value.hpp>
#include <filterflow/study/joint_draws.hpp>
#include <filterflow/study/pareto_front.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow {

/// The interval of one figure of one candidate, by the study and by draws.
struct FigureCheck {
    std::size_t candidate = 0;   ///< index among the study's candidates
    std::string figure;          ///< "yearly cost", "airflow", "energy", "change interval", "clean air"
    double mean = 0.0;           ///< of the draws [SI]
    FirstOrderCheck check;       // compared to one significant digit of the uncertainty
    Interval<double> end_doubts;   // of the drawn interval's ends, by the number of draws [SI]
};

/// What joint draws say of the choice in a system.
struct JointChoice {
    std::vector<std::vector<double>> limits;       ///< probability that each limit holds; shape (candidates limits)
    std::optional<ChoiceStatistics> statistics;    // ranks and regret; absent without costs
    std::vector<std::string> objectives;           ///< that the front weighs; fewer than two: no front
    std::vector<FrontPlace> front;                 // of each candidate compared
    std::optional<InformationValue> information;   // absent without costs, with too few draws or candidates
    std::vector<std::size_t> informed_choice;      ///< candidates that it chooses between: those that meet the limits
                                                   ///< at their estimates; indices among the study's
    std::vector<FigureCheck> checks;               // figure by figure; empty with too few draws
    std::vector<DifferenceCheck> differences;      ///< of yearly costs: each pair that the study ties, and the
                                                   ///< recommended candidate against all that meet the limits at
                                                   ///< their estimates; in such a pair it is `candidate`
};

namespace detail {

/// Compares each candidate's figure as the study states it, where it has one, with its draws.
template <class Figure>
void add_checks(const SystemResult& system, const JointDraws& draws, const std::vector<double>& values,
                const std::string& name, double probability, const Figure& figure, std::vector<FigureCheck>& checks) {
    if (values.empty()) return;
    for (std::size_t k = 0; k < draws.candidates.size(); ++k) {
        const std::optional<CoveredUncertain<double>> stated = figure(system.candidates.at(draws.candidates[k]));
        if (!stated) continue;
        const MonteCarloResult drawn = result_of_draws(draws.of(values).of(k), probability);
        checks.push_back({draws.candidates[k], name, drawn.estimate, check_figure(*stated, drawn),
                          drawn.end_doubts});
    }
}

template <Deferred...>
inline std::vector<FigureCheck> figure_checks(const SystemResult& system, const JointDraws& draws, double probability) {
    std::vector<FigureCheck> checks;
    using Number = std::optional<CoveredUncertain<double>>;
    const auto number = [](const auto& x) -> Number {
        if (!x) return std::nullopt;
        CoveredUncertain<double> stated(to_si(*x));
        if constexpr (requires { x->covering; }) {
            if (x->covering) {
                const auto& interval = x->covering->interval;
                stated.covering = {{in_si(interval.lower), in_si(interval.upper)}, x->covering->probability};
            }
        }
        return stated;
    };
    using Result = CandidateResult;
    const auto add = [&](const std::vector<double>& values, const char* name, const auto& figure) {
        add_checks(system, draws, values, name, probability, figure, checks);
    };
    add(draws.annual_cost, "yearly cost", [&](const Result& c) { return number(c.annual_cost); });
    add(draws.annual_energy, "energy", [&](const Result& c) { return number(c.annual_energy); });
    add(draws.change_interval, "change interval", [&](const Result& c) { return number(c.change_interval); });
    add(draws.airflow, "airflow", [&](const Result& c) -> Number {
        if (!c.clean) return std::nullopt;
        return to_si(c.clean->flow);
    });
    add(draws.clean_air, "clean air", [&](const Result& c) { return number(c.clean_air_pm25); });
    return checks;
}

/// Checks of the differences that ties and the recommendation rest on.
template <Deferred...>
inline std::vector<DifferenceCheck> difference_checks(const SystemResult& system, const JointDraws& draws,
                                                      double probability) {
    std::vector<DifferenceCheck> checks;
    const std::size_t compared = draws.candidates.size();
    const CandidateDraws cost = draws.of(draws.annual_cost);
    for (std::size_t k = 0; k < compared; ++k) {
        for (std::size_t l = k + 1; l < compared; ++l) {
            const bool turned = system.recommended == draws.candidates[l];
            const std::size_t one = turned ? l : k, two = turned ? k : l;
            const CandidateResult& a = system.candidates.at(draws.candidates[one]);
            const CandidateResult& b = system.candidates.at(draws.candidates[two]);
            if (!a.annual_cost || !b.annual_cost) continue;
            const bool weighed = system.recommended == draws.candidates[one] && b.failed_limits.empty();
            const Interval<Money> apart =
                cost_difference(system, draws.candidates[one], draws.candidates[two], probability);
            if (!weighed && !apart.contains(Money{})) continue;
            CoveredUncertain<double> difference(to_si(*a.annual_cost - *b.annual_cost));
            difference.covering = {{apart.lower.value(), apart.upper.value()}, probability};
            checks.push_back(check_difference(difference, cost.of(one), cost.of(two), probability));
            checks.back().candidate = draws.candidates[one];
            checks.back().other = draws.candidates[two];
        }
    }
    return checks;
}

/// Draws of some of the candidates compared.
template <Deferred...>
inline std::vector<double> draws_of(const JointDraws& draws, const std::vector<double>& figure,
                                    const std::vector<std::size_t>& places) {
    std::vector<double> some;
    for (const std::size_t k : places) {
        const std::span<const double> of = draws.of(figure).of(k);
        some.insert(some.end(), of.begin(), of.end());
    }
    return some;
}

}   // namespace detail

/// What joint draws say of the choice between the candidates of a system.
///
/// Equation: those of choice_statistics, pareto_front, information_value, check_first_order and
///           check_difference
/// Symbols:  none
/// Validity: ranks go by yearly cost among candidates that meet every limit in the draw. Information is weighed between
///           those that meet the limits at their estimates, by cost alone. With fewer than 1000 draws neither first
///           order is judged nor information weighed
/// @param  system  the system's first-order results, candidates in the study's order
/// @param  draws  joint draws of the same system
/// @param  probability  that the compared intervals cover [-], between 0 and 1
/// @return probabilities, regret, front, information, checks; of the candidates compared in their order
/// @throws DomainError if no draw is left, draws and system do not belong together or the probability is out of range
/// @source as those; test: study/joint_draws_test.cpp
template <Deferred...>
[[nodiscard]] inline JointChoice joint_choice(const SystemResult& system, const JointDraws& draws, double probability) {
    constexpr auto where = "joint_choice";
    if (draws.used < 1 || draws.candidates.empty()) {
        detail::throw_domain_error(where, "draws of candidates that are compared", 0.0, "", "at least 1");
    }
    const std::size_t known = system.candidates.size();
    for (const std::size_t c : draws.candidates) {
        if (c >= known) {
            detail::throw_domain_error(where, "index of a candidate", static_cast<double>(c), "",
                                       "below the number of the system's candidates, " + std::to_string(known));
        }
    }
    JointChoice choice;
    std::vector<LimitDraws> limits;
    for (const JointLimit& limit : draws.limits) limits.push_back({limit.name, draws.of(limit.margins)});
    for (std::size_t k = 0; k < draws.candidates.size(); ++k) {
        choice.limits.emplace_back();
        for (const LimitDraws& limit : limits) {
            const std::span<const double> margins = limit.margins.of(k);
            const auto holds = std::count_if(margins.begin(), margins.end(), [](double m) { return m >= 0.0; });
            choice.limits.back().push_back(static_cast<double>(holds) / static_cast<double>(draws.used));
        }
    }
    std::vector<Objective> objectives;
    if (!draws.annual_cost.empty()) {
        choice.statistics = choice_statistics(draws.of(draws.annual_cost), limits);
        objectives.push_back({"yearly cost", true, draws.of(draws.annual_cost)});
        choice.differences = detail::difference_checks(system, draws, probability);
    }
    objectives.push_back({"airflow", false, draws.of(draws.airflow)});
    if (!draws.clean_air.empty()) objectives.push_back({"clean air", false, draws.of(draws.clean_air)});
    for (const Objective& objective : objectives) choice.objectives.push_back(objective.name);
    if (objectives.size() > 1) choice.front = pareto_front(objectives);
    if (draws.used < least_draws_to_judge) return choice;
    choice.checks = detail::figure_checks(system, draws, probability);
    if (draws.annual_cost.empty()) return choice;
    std::vector<std::size_t> places;
    for (std::size_t k = 0; k < draws.candidates.size(); ++k) {
        if (!system.candidates[draws.candidates[k]].failed_limits.empty()) continue;
        places.push_back(k);
        choice.informed_choice.push_back(draws.candidates[k]);
    }
    if (places.size() < 2) return choice;
    const std::vector<double> cost = detail::draws_of(draws, draws.annual_cost, places);
    choice.information = information_value({places.size(), cost}, draws.measured);
    return choice;
}

}   // namespace filterflow
