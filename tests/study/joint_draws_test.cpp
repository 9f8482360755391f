// SPDX-License-Identifier: BSL-1.0
// Joint draws of a study's candidates, and what they say of the choice: against evaluations of the whole study, first
// order and closed forms.

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <filterflow/study/joint_choice.hpp>
#include <filterflow/study/joint_draws.hpp>

#include "study/study_bench.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

JointDraws joint(const StudyInput& study, std::size_t draws, std::uint64_t seed = 3, std::size_t threads = 1) {
    JointDrawOptions options;
    options.draws = draws;
    options.seed = seed;
    options.threads = threads;
    return joint_draws(study, study.systems.at(0), evaluated(study).filters, options);
}

/// Of the known study, with every uncertainty taken away but those that the caller puts in.
StudyInput exact_system() {
    StudyInput study = known_study();
    SystemInput& system = study.systems[0];
    system.fan_pressure_factor = system.fan_power_factor = system.duct_pressure_factor = Uncertain<double>(1.0);
    system.dust_concentration = Uncertain<MassConcentration>(50.0 * ug_per_m3);
    system.dust_equivalence = Uncertain<double>(1.2);
    study.prices.electricity = Uncertain<EnergyPrice>(0.25 * money_per_kWh);
    study.prices.labour_per_change = Uncertain<Money>(10.0 * money);
    study.stand->manometer = instrument(ManometerData{"manometer", 0.0, {}, {}});
    study.stand->flow_instrument = instrument(FlowMeterData{"flow meter", 0.0, {}, {}});
    for (FilterInput& f : study.filters) f.price->gradient = {};
    return study;
}

std::size_t place_of(const JointDraws& draws, const std::string& measurement) {
    const auto at = std::find(draws.measurements.begin(), draws.measurements.end(), measurement);
    REQUIRE(at != draws.measurements.end());
    return static_cast<std::size_t>(at - draws.measurements.begin());
}

double share_of_normal_above_zero(double mean, double spread) {
    return 0.5 * std::erfc(-mean / spread / std::sqrt(2.0));
}

}   // namespace

TEST_CASE("each joint draw is what the whole study gives with the numbers drawn", "[own][study]") {
    StudyInput study = exact_system();
    study.systems[0].dust_concentration = uncertain(50.0 * ug_per_m3, 8.0 * ug_per_m3, "dust concentration");
    study.systems[0].fan_pressure_factor = uncertain(1.0, 0.04, "fan pressure factor");
    study.prices.electricity = uncertain(0.25 * money_per_kWh, 0.03 * money_per_kWh, "price of electricity");
    for (FilterInput& f : study.filters) f.counts.clear();   // the dust passed is weighed instead, exactly
    const std::size_t n = 4;
    const JointDraws draws = joint(study, n);
    REQUIRE(draws.used == n);
    REQUIRE(draws.lost.empty());
    CHECK(draws.clean_air.empty());
    const auto measured = [&](const char* name, std::size_t i) {
        return draws.measured[place_of(draws, name) * n + i];
    };
    for (std::size_t i = 0; i < n; ++i) {
        StudyInput exact = study;
        exact.systems[0].dust_concentration->value += MassConcentration::from_value(measured("dust concentration", i));
        exact.systems[0].fan_pressure_factor.value += measured("fan pressure factor", i);
        exact.prices.electricity->value += EnergyPrice::from_value(measured("price of electricity", i));
        const StudyResult result = evaluated(exact);
        for (std::size_t k = 0; k < 2; ++k) {
            const CandidateResult& c = result.systems[0].candidates[k];
            CHECK(draws.airflow[k * n + i] == Approx(c.clean->flow.value.value()).epsilon(1e-10));
            CHECK(draws.change_interval[k * n + i] == Approx(c.change_interval->value.value()).epsilon(1e-5));
            CHECK(draws.limits.at(0).margins[k * n + i] == Approx(c.clean->flow.value.value() - 1.0).epsilon(1e-8));
            // The air of the equal service stays that of the estimates.
            const StudyResult estimates = evaluated(study);
            const double service = estimates.systems[0].candidates[0].clean->flow.value /
                                   result.systems[0].candidates[0].clean->flow.value;
            CHECK(draws.annual_cost[k * n + i] == Approx(service * c.annual_cost->value.value()).epsilon(1e-6));
        }
    }
}

TEST_CASE("fits that follow the readings to first order are close to fits of readings that are off", "[own][study]") {
    StudyInput study = exact_system();
    study.stand->manometer = instrument(ManometerData{"manometer", 0.02, {}, {}});
    const std::size_t n = 3;
    const JointDraws draws = joint(study, n);
    for (std::size_t i = 0; i < n; ++i) {
        const double off = 1.0 + draws.measured[place_of(draws, "manometer gain") * n + i];
        StudyInput corrected = study;
        for (BenchReading& r : corrected.stand->empty_stand) r.pressure *= off;
        for (FilterInput& f : corrected.filters) {
            for (BenchReading& r : f.pressure_readings) r.pressure *= off;
            for (LoadingReading& r : f.loading_readings) r.reading.pressure *= off;
        }
        const StudyResult result = evaluated(corrected);
        for (std::size_t k = 0; k < 2; ++k) {
            const CandidateResult& c = result.systems[0].candidates[k];
            CHECK(draws.airflow[k * n + i] == Approx(c.clean->flow.value.value()).epsilon(1e-4));
        }
    }
}

TEST_CASE("joint draws do not depend on the order of candidates and filters, on threads, or on draws before",
          "[own][study]") {
    const std::size_t n = 24;
    const JointDraws draws = joint(known_study(), n);
    REQUIRE(draws.used == n);
    StudyInput turned = known_study();
    std::reverse(turned.filters.begin(), turned.filters.end());   // and made in the other order
    std::reverse(turned.candidates.begin(), turned.candidates.end());
    const KnownFilter coarse = known_filters()[0];
    turned.filters[1] = filter_readings(coarse);
    const JointDraws other = joint(turned, n);
    const auto swapped = [&](const std::vector<double>& x) {
        std::vector<double> y(x.begin() + static_cast<std::ptrdiff_t>(n), x.end());
        y.insert(y.end(), x.begin(), x.begin() + static_cast<std::ptrdiff_t>(n));
        return y;
    };
    CHECK(other.annual_cost == swapped(draws.annual_cost));
    CHECK(other.airflow == swapped(draws.airflow));
    CHECK(other.clean_air == swapped(draws.clean_air));
    CHECK(other.limits.at(0).margins == swapped(draws.limits.at(0).margins));
    CHECK(other.measurements == draws.measurements);
    CHECK(other.measured == draws.measured);
    const JointDraws threaded = joint(known_study(), n, 3, 2);
    CHECK(threaded.annual_cost == draws.annual_cost);
    CHECK(threaded.measured == draws.measured);
    const JointDraws fewer = joint(known_study(), 5);
    for (std::size_t k = 0; k < 2; ++k) {
        for (std::size_t i = 0; i < 5; ++i) CHECK(fewer.annual_cost[k * 5 + i] == draws.annual_cost[k * n + i]);
    }
    CHECK(joint(known_study(), n, 4).annual_cost != draws.annual_cost);
}

TEST_CASE("joint draws spread as first order says where uncertainties are small", "[own][study]") {
    StudyInput study = known_study();
    for (FilterInput& f : study.filters) f.counts.clear();   // sizes not counted are uncertain by more than a little
    const std::size_t n = std::max<std::size_t>(60, sweep_length(600));
    const JointDraws draws = joint(study, n);
    const StudyResult result = evaluated(study);
    const auto& a = *result.systems[0].candidates[0].annual_cost;
    const auto& b = *result.systems[0].candidates[1].annual_cost;
    const auto moments = [&](const auto& value) {
        double sum = 0.0, squares = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            sum += value(i);
            squares += value(i) * value(i);
        }
        const double mean = sum / static_cast<double>(n);
        return std::pair(mean, std::sqrt(squares / static_cast<double>(n) - mean * mean));
    };
    const double few = 4.0 / std::sqrt(static_cast<double>(n));
    const auto [mean, spread] = moments([&](std::size_t i) { return draws.annual_cost[i]; });
    CHECK(mean == Approx(a.value.value()).margin(few * spread));
    CHECK(spread == Approx(a.standard_uncertainty().value()).epsilon(few));
    // What the two share cancels in the difference, in the draws as in the gradients.
    const auto [difference, doubt] =
        moments([&](std::size_t i) { return draws.annual_cost[n + i] - draws.annual_cost[i]; });
    const Uncertain<Money> expected = b - a;
    CHECK(difference == Approx(expected.value.value()).margin(few * doubt));
    CHECK(doubt == Approx(expected.standard_uncertainty().value()).epsilon(1.5 * few));
}

TEST_CASE("ranks, regret and limits of joint draws against closed forms", "[own][study]") {
    StudyInput study = exact_system();
    for (FilterInput& f : study.filters) f.counts.clear();
    const auto lead_of = [](const StudyResult& of) {
        return *of.systems[0].candidates[1].annual_cost - *of.systems[0].candidates[0].annual_cost;
    };
    double price = 12.0;
    for (int i = 0; i < 4; ++i) {   // a price at which the two cost about the same
        study.filters[0].price = uncertain(price * money, 1.0 * money, "price of coarse");
        const Uncertain<Money> lead = lead_of(evaluated(study));
        price -= lead.value.value() / lead.gradient.derivative(study.filters[0].price->gradient.terms().at(0).input);
    }
    study.filters[0].price = uncertain(0.97 * price * money, 0.06 * price * money, "price of coarse");
    const StudyResult result = evaluated(study);
    const std::size_t n = std::max<std::size_t>(200, sweep_length(3000));
    JointDraws draws = joint(study, n);
    const double few = 4.0 / std::sqrt(static_cast<double>(n));
    CHECK(draws.used == n);
    const JointChoice choice = joint_choice(result.systems[0], draws, 0.95);
    REQUIRE(choice.statistics);
    const Uncertain<Money> lead = lead_of(result);
    CHECK(std::abs(lead.value.value()) < lead.standard_uncertainty().value());
    const double first = share_of_normal_above_zero(lead.value.value(), lead.standard_uncertainty().value());
    CHECK(choice.statistics->candidates[0].rank[0] == Approx(first).margin(few));
    CHECK(choice.statistics->candidates[1].rank[1] == choice.statistics->candidates[0].rank[0]);
    CHECK(choice.statistics->candidates[0].limits == std::vector<double>{1.0});
    CHECK(choice.objectives == std::vector<std::string>{"yearly cost", "airflow"});
    CHECK(choice.front.size() == 2);
    // The two cost about the same: first order ties them, and so do the draws.
    REQUIRE(choice.differences.size() == 1);
    const DifferenceCheck& d = choice.differences[0];
    CHECK(result.systems[0].recommended == d.candidate);
    CHECK(d.tied_by_first_order);
    CHECK(d.by_draws == DrawnTie::tied);
    CHECK_FALSE(d.contradicts());
    CHECK(d.cheaper_share == choice.statistics->candidates[d.candidate].rank[0]);
    if (n < least_draws_to_judge) {
        CHECK(choice.checks.empty());
        CHECK_FALSE(choice.information);
        return;
    }
    // The price explains all of the doubt, and knowing it is worth as much as knowing everything.
    REQUIRE(choice.information);
    const InputWorth& most = choice.information->inputs.at(0);
    CHECK(draws.measurements.at(most.input) == "price of coarse");
    CHECK(most.explained_share > 0.97);   // slices keep a little of its spread inside
    CHECK(most.explained_share < 1.02);
    CHECK(most.value == Approx(choice.information->perfect).margin(4.0 * most.standard_error));
    CHECK(choice.checks.size() == 8);   // four figures of two candidates
}

TEST_CASE("draws that cannot be evaluated are counted, and a candidate that loses many takes no part", "[own][study]") {
    StudyInput study = exact_system();
    study.filters[1].price = uncertain(26.0 * money, 13.0 * money, "price of fine");
    const std::size_t n = 200;
    const JointDraws some = joint(study, n);   // two standard deviations from zero: one draw in forty
    REQUIRE(some.lost.size() == 1);
    CHECK(some.lost[0].candidate == 1);
    CHECK_FALSE(some.lost[0].left_out);
    CHECK(some.used + some.lost[0].draws == n);
    CHECK(some.lost[0].reason.find("filters = -") != std::string::npos);
    CHECK(some.annual_cost.size() == 2 * some.used);
    study.filters[1].price = uncertain(26.0 * money, 26.0 * money, "price of fine");
    const JointDraws many = joint(study, n);
    REQUIRE(many.lost.size() == 1);
    CHECK(many.lost[0].left_out);
    CHECK(many.candidates == std::vector<std::size_t>{0});
    CHECK(many.used == n);
}

TEST_CASE("joint draws without prices tell how probable it is that limits hold", "[own][study]") {
    StudyInput study = known_study();
    study.prices.electricity.reset();
    SystemInput& system = study.systems[0];
    StudyResult result = evaluated(study);
    const Uncertain<VolumeFlow> flow = result.systems[0].candidates[1].clean->flow;
    system.least_airflow = flow.value - 0.5 * flow.standard_uncertainty();
    system.greatest_face_velocity = 1.0 * m_per_s;
    system.least_pm25_removal = 0.2;
    result = evaluated(study);
    const std::size_t n = 300;
    const JointDraws draws = joint(study, n);
    CHECK(draws.annual_cost.empty());
    CHECK(draws.measurements.empty());
    REQUIRE(draws.limits.size() == 3);
    const JointChoice choice = joint_choice(result.systems[0], draws, 0.95);
    CHECK_FALSE(choice.statistics);
    CHECK(choice.limits[1][0] == Approx(share_of_normal_above_zero(0.5, 1.0)).margin(0.12));
    CHECK(choice.limits[1][1] == 0.0);
    CHECK(choice.limits[1][2] == 1.0);
    CHECK(choice.objectives == std::vector<std::string>{"airflow", "clean air"});
}

TEST_CASE("bad options of joint draws are refused", "[own][study]") {
    const StudyInput study = known_study();
    CHECK_THROWS_AS(joint(study, 0), DomainError);
    CHECK_THROWS_AS(joint(study, 5, 1, 0), DomainError);
    CHECK_THROWS_AS(joint_choice(SystemResult{}, JointDraws{}, 0.95), DomainError);
    StudyInput no_fan = study;
    no_fan.systems[0].fan.points.clear();
    const JointDraws none = joint(no_fan, 5);
    CHECK(none.candidates.empty());
    CHECK(none.not_compared == std::vector<std::size_t>{0, 1});
}
