// SPDX-License-Identifier: BSL-1.0
// Intervals of lives and costs, and ties of costs, read from tables of lives: against closed forms, and against joint
// draws, which compute every life anew.

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/joint_draws.hpp>

#include "study/study_bench.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

constexpr double two_sided = 1.959963984540054;   // normal quantile of 97.5 %

/// The known study in a fan that holds its airflow, nothing uncertain but how the dust loads the filters, and that by a
/// quarter; no price and no least airflow, so that the coarse filter's final resistance ends its life.
StudyInput life_by_dust_alone() {
    StudyInput study = known_study(FanControl::holds_airflow);
    SystemInput& system = study.systems[0];
    system.fan_pressure_factor = system.fan_power_factor = system.duct_pressure_factor = Uncertain<double>(1.0);
    system.dust_concentration = Uncertain<MassConcentration>(50.0 * ug_per_m3);
    system.dust_equivalence = uncertain(1.2, 0.3, "dust equivalence");
    system.least_airflow.reset();
    study.prices = {};
    study.stand->manometer = instrument(ManometerData{"manometer", 0.0, {}, {}});
    study.stand->flow_instrument = instrument(FlowMeterData{"flow meter", 0.0, {}, {}});
    for (FilterInput& f : study.filters) f.counts.clear();   // the dust passed was weighed, exactly
    study.candidates.resize(1);
    study.candidates[0].stages[0].final_resistance = 110.0 * Pa;
    return study;
}

const CandidateResult& first_of(const StudyResult& result) { return result.systems.at(0).candidates.at(0); }

/// The known study with dust as poorly known as it usually is.
StudyInput poorly_known_dust(FanControl control = FanControl::fixed_speed) {
    StudyInput study = known_study(control);
    study.systems[0].dust_concentration = uncertain(50.0 * ug_per_m3, 7.5 * ug_per_m3, "dust concentration");
    study.systems[0].dust_equivalence = uncertain(1.2, 0.3, "dust equivalence");
    return study;
}

/// Whether an interval is that of draws: each end between those of the ordered draws that chance allows (four standard
/// deviations of the number below it), give or take a part of the interval's width, for a table is read between places
/// and what is not dust is straight.
void agrees(const std::string& what, const Interval<double>& stated, std::vector<double> draws, double part) {
    std::sort(draws.begin(), draws.end());
    const double n = static_cast<double>(draws.size());
    const double chance = 4.0 * std::sqrt(n * 0.025 * 0.975),
                 slack = part * (stated.upper - stated.lower) + 1e-6 * stated.upper;
    const auto at = [&](double place) { return draws[static_cast<std::size_t>(std::clamp(place, 0.0, n - 1.0))]; };
    INFO(what << ": stated " << stated.lower << " to " << stated.upper << ", draws " << at(0.025 * n) << " to "
              << at(0.975 * n));
    CHECK(stated.lower >= at(0.025 * n - chance) - slack);
    CHECK(stated.lower <= at(0.025 * n + chance) + slack);
    CHECK(stated.upper >= at(0.975 * n - chance) - slack);
    CHECK(stated.upper <= at(0.975 * n + chance) + slack);
}

template <class Q>
Interval<double> interval_of(const CoveredUncertain<Q>& x) {
    const Interval<Q> interval = coverage_interval(x, 0.95);
    return {detail::in_si(interval.lower), detail::in_si(interval.upper)};
}

/// Every interval and difference of a study's candidates against joint draws.
void agrees_with_joint_draws(const StudyInput& study, std::size_t draws, double part) {
    const StudyResult result = evaluated(study);
    JointDrawOptions options;
    options.draws = draws;
    options.seed = 11;
    const JointDraws joint = joint_draws(study, study.systems.at(0), result.filters, options);
    REQUIRE(joint.candidates.size() == study.candidates.size());
    const std::size_t n = joint.used;
    const auto of = [&](const std::vector<double>& figure, std::size_t k) {
        const auto begin = figure.begin() + static_cast<std::ptrdiff_t>(k * n);
        return std::vector<double>(begin, begin + static_cast<std::ptrdiff_t>(n));
    };
    for (std::size_t k = 0; k < study.candidates.size(); ++k) {
        const CandidateResult& c = result.systems[0].candidates[k];
        INFO(c.name << ", changed by " << c.change_interval_reason);
        agrees("change interval", interval_of(*c.change_interval), of(joint.change_interval, k), part);
        agrees("cost", interval_of(*c.annual_cost), of(joint.annual_cost, k), part);
        agrees("energy", interval_of(*c.annual_energy), of(joint.annual_energy, k), part);
        if (!joint.clean_air.empty()) {
            agrees("clean air", interval_of(*c.clean_air_pm25), of(joint.clean_air, k), part);
        }
        for (std::size_t l = k + 1; l < study.candidates.size(); ++l) {
            std::vector<double> difference = of(joint.annual_cost, k);
            for (std::size_t i = 0; i < n; ++i) difference[i] -= joint.annual_cost[l * n + i];
            const Interval<Money> apart = detail::cost_difference(result.systems[0], k, l, 0.95);
            agrees("difference of cost", {apart.lower.value(), apart.upper.value()}, difference, part);
        }
    }
}

}   // namespace

TEST_CASE("a life goes as the inverse of the dust, and so does its interval", "[own][study]") {
    const StudyInput study = life_by_dust_alone();
    const StudyResult result = evaluated(study);
    const CandidateResult& c = first_of(result);
    REQUIRE(c.change_interval);
    REQUIRE(c.change_interval_reason.find("final resistance") != std::string::npos);
    const double t = c.change_interval->value.value();
    const Interval<double> stated = interval_of(*c.change_interval);
    // t e_0/e, e normal: the quantiles of e. First order would say t (1 -+ 0.49).
    CHECK(stated.lower == Approx(t * 1.2 / (1.2 + two_sided * 0.3)).epsilon(0.02));
    CHECK(stated.upper == Approx(t * 1.2 / (1.2 - two_sided * 0.3)).epsilon(0.04));
    CHECK(interval_of(*c.hours_to_limit).upper == Approx(stated.upper).epsilon(1e-9));
    // Another coverage than that of the study is first order's.
    CHECK(coverage_interval(*c.change_interval, 0.5).upper.value() ==
          Approx(t * (1.0 + 0.674490 * 0.25)).epsilon(1e-3));
    // The three factors of the dust are one: twice as much of any is half the life.
    for (const int which : {0, 1}) {
        StudyInput more = study;
        if (which == 0) more.systems[0].dust_concentration->value *= 2.0;
        if (which == 1) more.systems[0].dust_equivalence->value *= 2.0;
        CHECK(first_of(evaluated(more)).change_interval->value.value() == Approx(0.5 * t).epsilon(1e-6));
    }
}

TEST_CASE("no interval exceeds an age, and an age that always comes first has no width", "[own][study]") {
    StudyInput study = life_by_dust_alone();
    const double t = first_of(evaluated(study)).change_interval->value.value();
    const double running = *study.systems[0].hours_per_year / year;
    const auto with_age = [&](double part) {   // of the life at the estimates
        study.candidates[0].stages[0].greatest_age = part * t / running * s;
        return evaluated(study);
    };
    const double least = t * 1.2 / (1.2 + two_sided * 0.3), most = t * 1.2 / (1.2 - two_sided * 0.3);
    for (const double part : {0.8, 1.2, 1.7}) {   // within the interval: the lower end is the dust's, the upper the age
        const StudyResult result = with_age(part);
        const CandidateResult& c = first_of(result);
        INFO("age " << part << " of the life");
        CHECK(c.change_interval->value.value() == Approx(std::min(part, 1.0) * t).epsilon(1e-6));
        CHECK(interval_of(*c.change_interval).lower == Approx(least).epsilon(0.02));
        CHECK(interval_of(*c.change_interval).upper == Approx(part * t).epsilon(1e-9));
        const bool said = std::any_of(c.warnings.begin(), c.warnings.end(), [](const std::string& w) {
            return w.find("the intervals allow for that") != std::string::npos;
        });
        CHECK(said);
    }
    CHECK(interval_of(*first_of(with_age(1.2 * most / t)).change_interval).upper == Approx(most).epsilon(0.04));
    const StudyResult early = with_age(0.9 * least / t);   // the dust ends it first in less than 2.5 % of cases
    const Interval<double> exact = interval_of(*first_of(early).change_interval);
    CHECK(exact.lower == exact.upper);
    CHECK(exact.lower == first_of(early).change_interval->value.value());
}

TEST_CASE("intervals and ties are those of draws that compute every life", "[own][study]") {
    const std::size_t draws = std::max<std::size_t>(100, sweep_length(1500));
    SECTION("least cost and least airflow") { agrees_with_joint_draws(poorly_known_dust(), draws, 0.03); }
    SECTION("held airflow") { agrees_with_joint_draws(poorly_known_dust(FanControl::holds_airflow), draws, 0.03); }
    SECTION("held airflow that is known within some per cent") {
        StudyInput study = poorly_known_dust(FanControl::holds_airflow);
        study.systems[0].held_airflow_factor = uncertain(1.0, 0.025, "airflow held");
        agrees_with_joint_draws(study, draws, 0.03);
    }
    SECTION("an age that may come first") {
        StudyInput study = poorly_known_dust();
        for (CandidateInput& c : study.candidates) c.stages[0].greatest_age = 0.35 * year;
        agrees_with_joint_draws(study, draws, 0.03);
    }
    SECTION("dust well known, limits near each other for other reasons") {
        StudyInput study = known_study();
        study.systems[0].least_airflow.reset();
        const StudyResult free = evaluated(study);
        const double running = *study.systems[0].hours_per_year / year;
        for (std::size_t k = 0; k < 2; ++k) {
            const double t = free.systems[0].candidates[k].change_interval->value.value();
            study.candidates[k].stages[0].greatest_age = (k == 0 ? 1.02 : 0.97) * t / running * s;
        }
        agrees_with_joint_draws(study, draws, 0.04);
    }
    SECTION("two stages, each with an age and a final resistance") {
        StudyInput study = poorly_known_dust();
        study.systems[0].least_airflow = 0.8 * m3_per_s;
        study.candidates[1] = {"both", {{"coarse", 130.0 * Pa, 0.3 * year}, {"fine", 200.0 * Pa, 1.0 * year}}, {}};
        agrees_with_joint_draws(study, 400, 0.05);   // fewer say too little of the ends; the study's have chance, too
    }
}

TEST_CASE("a tie goes by the interval of the difference, whatever the costs' own", "[own][study]") {
    StudyInput study = poorly_known_dust();
    {   // The coarse filter is cheaper without doubt; then it is made about as dear.
        const SystemResult system = evaluated(study).systems[0];
        REQUIRE(system.cost_differences.size() == 1);
        CHECK(system.cost_differences[0].interval.upper < Money{});
        CHECK(system.cost_differences[0].cheaper_share > 0.99);
        CHECK(system.candidates[0].tied_with.empty());
        const CandidateResult& coarse = system.candidates[0];
        const double changes = coarse.annual_running_time->value / coarse.change_interval->value;
        const Money more = system.candidates[1].annual_cost->value - coarse.annual_cost->value;
        study.filters[0].price->value += more / changes;
    }
    const StudyResult result = evaluated(study);
    const SystemResult& system = result.systems[0];
    const CostDifference& d = system.cost_differences.at(0);
    CHECK(d.interval.contains(Money{}));
    CHECK(system.candidates[0].tied_with == std::vector<std::string>{"fine"});
    CHECK(d.cheaper_share > 0.05);
    CHECK(d.cheaper_share < 0.95);
    // What both share cancels: the difference is known better than two costs that share nothing would be.
    const auto width = [](const Interval<double>& i) { return i.upper - i.lower; };
    const double apart = d.interval.upper.value() - d.interval.lower.value();
    CHECK(apart < 0.7 * std::hypot(width(interval_of(*system.candidates[0].annual_cost)),
                                   width(interval_of(*system.candidates[1].annual_cost))));
    // Turned about it is the same; so is the study with its candidates and filters in the other order.
    CHECK(detail::cost_difference(system, 1, 0, 0.95).lower == -d.interval.upper);
    std::reverse(study.candidates.begin(), study.candidates.end());
    std::reverse(study.filters.begin(), study.filters.end());
    const SystemResult turned = evaluated(study).systems[0];
    // The draws are the same; an end is one of them, mirrored one or two places off.
    CHECK(turned.cost_differences.at(0).interval.upper.value() == Approx(-d.interval.lower.value()).epsilon(0.02));
    CHECK(interval_of(*turned.candidates[1].change_interval).lower ==
          interval_of(*system.candidates[0].change_interval).lower);
    // Where draws cannot tell so rare ends, first order is all there is.
    study.coverage_probability = 0.999;
    const SystemResult rare = evaluated(study).systems[0];
    CHECK(rare.cost_differences.empty());
    CHECK_FALSE(rare.candidates[0].change_interval->covering);
}
