// SPDX-License-Identifier: BSL-1.0
// First-order uncertainties of a whole study against Monte Carlo: the study is run again and again with other stated
// inputs and other instrument errors, in plain numbers.
#include "support/catch.hpp"

#include <cmath>
#include <map>
#include <random>
#include <string>
#include <type_traits>
#include <utility>

#include "study/study_bench.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

/// Inputs that the sampler does not touch: what is not measured of the dust, and the counts, which are held.
bool sampled(const std::string& input) {
    return input.find("not measured") == std::string::npos && input.find("counts") == std::string::npos;
}

/// Standard uncertainty from the sampled inputs alone.
template <class Q>
double standard_uncertainty(const Uncertain<Q>& x) {
    double variance = 0.0;
    for (const Gradient::Term& t : x.gradient.terms()) {
        const double part = t.derivative * t.input->standard_uncertainty;
        if (sampled(t.input->name)) variance += part * part;
    }
    return std::sqrt(variance);
}

/// The study with every sampled input at another value: readings as they would be with another gain, zero and rounding.
StudyInput another(const StudyInput& stated, std::mt19937& source, bool all) {
    // Normal deviates from the generator's own numbers, so that every library gives the same.
    const auto even = [&] { return (static_cast<double>(source()) + 0.5) / 4294967296.0; };
    const auto normal = [&] { return std::sqrt(-2.0 * std::log(even())) * std::cos(2.0 * 3.141592653589793 * even()); };
    StudyInput study = stated;
    study.coverage_probability = 0.999;   // its own intervals are not looked at, and beyond this none is drawn
    const auto shift = [&](auto& x) {
        using Q = std::remove_cvref_t<decltype(x.value)>;
        const double u = std::sqrt(x.gradient.variance());
        x.value = detail::from_si<Q>(detail::in_si(x.value) + u * normal());
    };
    SystemInput& system = study.systems[0];
    shift(system.fan_pressure_factor);
    shift(system.duct_pressure_factor);
    shift(system.fan_power_factor);
    shift(system.held_airflow_factor);
    if (!all) return study;
    shift(*system.dust_concentration);
    shift(*system.dust_equivalence);
    shift(*study.prices.electricity);
    shift(*study.prices.labour_per_change);
    const double gain = 1.0 + 0.006 * normal(), zero = 0.4 * normal(), flow_gain = 1.0 + 0.008 * normal();
    const auto read = [&](BenchReading& r) {
        const double rounding = std::sqrt(12.0) * (even() - 0.5);   // of unit standard deviation
        const double flow_rounding = std::sqrt(12.0) * (even() - 0.5);
        r.pressure = (r.pressure.value() * gain + zero + 0.3 / std::sqrt(12.0) * rounding) * Pa;
        r.flow = (r.flow->value() * flow_gain + 0.002 / std::sqrt(12.0) * flow_rounding) * m3_per_s;
    };
    for (BenchReading& r : study.stand->empty_stand) read(r);
    for (FilterInput& f : study.filters) {
        shift(*f.price);
        for (BenchReading& r : f.pressure_readings) read(r);
        for (LoadingReading& r : f.loading_readings) read(r.reading);
    }
    return study;
}

struct Spread {   // Welford's sums
    double mean = 0.0, squares = 0.0;
    std::size_t count = 0;
    void add(double x) {
        ++count;
        const double before = x - mean;
        mean += before / static_cast<double>(count);
        squares += before * (x - mean);
    }
    double deviation() const { return std::sqrt(squares / (static_cast<double>(count) - 1.0)); }
};

/// Service that stays the same while the inputs vary: the air of the stated limit.
StudyInput study_of(FanControl control) {
    StudyInput study = known_study(control);
    study.systems[0].present_candidate.clear();
    return study;
}

}   // namespace

TEST_CASE("first-order uncertainties agree with Monte Carlo", "[own][study]") {
    const auto [control, held_within] =
        GENERATE(std::pair(FanControl::fixed_speed, 0.0), std::pair(FanControl::holds_airflow, 0.0),
                 std::pair(FanControl::holds_airflow, 0.02));
    StudyInput stated = study_of(control);
    if (held_within > 0.0) stated.systems[0].held_airflow_factor = uncertain(1.0, held_within, "airflow held");
    const StudyResult result = evaluated(stated);
    const auto& candidates = result.systems[0].candidates;
    std::mt19937 source(20240607);
    std::map<std::string, Spread> spreads;
    const std::size_t runs = sweep_length(250);
    for (std::size_t i = 0; i < runs; ++i) {
        const auto sample = evaluated(another(stated, source, true)).systems[0].candidates;
        for (std::size_t k = 0; k < 2; ++k) {
            const std::string of = " " + std::to_string(k);
            spreads["flow" + of].add(sample[k].clean->flow.value.value());
            spreads["power" + of].add(sample[k].clean->power->value.value());
            spreads["interval" + of].add(sample[k].change_interval->value.value());
            spreads["cost" + of].add(sample[k].annual_cost->value.value());
            spreads["present value" + of].add(sample[k].present_value->value.value());
            spreads["counterfactual" + of].add(sample[k].counterfactual_energy->value.value());
        }
        spreads["difference of flow"].add(sample[1].clean->flow.value.value() - sample[0].clean->flow.value.value());
        spreads["difference of cost"].add(sample[1].annual_cost->value.value() - sample[0].annual_cost->value.value());
    }
    // A standard deviation from n samples is known within 1/sqrt(2 (n - 1)); four times that, and a little for what is
    // not straight in the model.
    const double tolerance = 4.0 / std::sqrt(2.0 * (static_cast<double>(runs) - 1.0)) + 0.03;
    const auto agrees = [&](const std::string& name, double first_order) {
        INFO(name << " first order " << first_order << ", Monte Carlo " << spreads.at(name).deviation());
        if (first_order < 1e-9) {   // a drive that holds its airflow
            CHECK(spreads.at(name).deviation() < 1e-6);
        } else {
            CHECK(spreads.at(name).deviation() == Approx(first_order).epsilon(tolerance));
        }
    };
    for (std::size_t k = 0; k < 2; ++k) {
        const std::string of = " " + std::to_string(k);
        agrees("flow" + of, standard_uncertainty(candidates[k].clean->flow));
        agrees("power" + of, standard_uncertainty(*candidates[k].clean->power));
        agrees("interval" + of, standard_uncertainty(*candidates[k].change_interval));
        agrees("cost" + of, standard_uncertainty(*candidates[k].annual_cost));
        agrees("present value" + of, standard_uncertainty(*candidates[k].present_value));
        agrees("counterfactual" + of, standard_uncertainty(*candidates[k].counterfactual_energy));
    }
    const double difference = standard_uncertainty(*candidates[1].annual_cost - *candidates[0].annual_cost);
    agrees("difference of cost", difference);
    agrees("difference of flow", standard_uncertainty(candidates[1].clean->flow - candidates[0].clean->flow));
    // What both share cancels: the difference is known far better than two costs that share nothing would be.
    CHECK(difference < 0.6 * std::hypot(standard_uncertainty(*candidates[0].annual_cost),
                                        standard_uncertainty(*candidates[1].annual_cost)));
}

TEST_CASE("the fan's power factor cancels mostly in the difference of two candidates", "[own][study]") {
    const StudyInput stated = study_of(FanControl::fixed_speed);
    const InputHandle& factor = stated.systems[0].fan_power_factor.gradient.terms().front().input;
    const StudyResult result = evaluated(stated);
    const auto& c = result.systems[0].candidates;
    const double alone = c[0].annual_cost->gradient.derivative(factor);
    const double shared = (*c[1].annual_cost - *c[0].annual_cost).gradient.derivative(factor);
    // dC/df is the cost of energy: the difference keeps only the difference of energies.
    CHECK(alone == Approx((c[0].annual_cost->value - c[0].annual_filter_cost->value) / money).epsilon(1e-6));
    CHECK(std::abs(shared) < 0.15 * alone);
}

TEST_CASE("two candidates of one filter share what of it is not known", "[own][study]") {
    StudyInput study = study_of(FanControl::fixed_speed);
    study.candidates[1] = {"coarse, changed later", {{"coarse", 200.0 * Pa, {}}}, {}};
    const StudyResult result = evaluated(study);
    const auto& c = result.systems[0].candidates;
    const Uncertain<Money> difference = *c[1].annual_cost - *c[0].annual_cost;
    CHECK(difference.standard_uncertainty() < 0.2 * c[0].annual_cost->standard_uncertainty());
    for (const Gradient::Term& t : difference.gradient.terms()) {
        if (t.input->name.find("not measured") == std::string::npos) continue;
        CHECK(c[0].annual_cost->gradient.derivative(t.input) != 0.0);   // none of its own
    }
}

TEST_CASE("stages changed one by one: derivatives over ten years stay sane", "[own][study]") {
    StudyInput study = study_of(FanControl::fixed_speed);
    study.systems[0].least_airflow = 0.8 * m3_per_s;
    study.candidates[1] = {"both", {{"coarse", 130.0 * Pa, {}}, {"fine", 200.0 * Pa, {}}}, {}};
    const StudyResult result = evaluated(study);
    const CandidateResult& both = result.systems[0].candidates[1];
    REQUIRE(both.annual_cost);
    Spread cost, interval, difference;
    std::mt19937 source(7);
    const std::size_t runs = sweep_length(150);
    for (std::size_t i = 0; i < runs; ++i) {
        const auto sample = evaluated(another(study, source, true)).systems[0].candidates;
        cost.add(sample[1].annual_cost->value.value());
        interval.add(sample[1].change_interval->value / h);
        difference.add(sample[1].annual_cost->value.value() - sample[0].annual_cost->value.value());
    }
    // Where two changes coincide the true curve has small steps that a derivative does not see.
    const double tolerance = 4.0 / std::sqrt(2.0 * (static_cast<double>(runs) - 1.0)) + 0.1;
    INFO("cost " << standard_uncertainty(*both.annual_cost) << " " << cost.deviation() << ", interval "
                 << standard_uncertainty(*both.change_interval) / 3600 << " " << interval.deviation());
    CHECK(cost.deviation() == Approx(standard_uncertainty(*both.annual_cost)).epsilon(tolerance));
    CHECK(interval.deviation() == Approx(standard_uncertainty(*both.change_interval) / 3600).epsilon(tolerance));
    CHECK(difference.deviation() ==
          Approx(standard_uncertainty(*both.annual_cost - *result.systems[0].candidates[0].annual_cost))
              .epsilon(tolerance));
}
