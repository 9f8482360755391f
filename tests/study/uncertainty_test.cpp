// SPDX-License-Identifier: BSL-1.0
// First-order uncertainties of a whole study against Monte Carlo: the study is run again and again with other stated
// inputs and other instrument errors, in plain numbers.
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <string>
#include <type_traits>

#include <filterflow/study/other_limit.hpp>

#include "study/study_bench.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

/// Inputs that the sampler does not touch: what is not measured of the dust, the counts, which are held, and which
/// limit comes first, since that rests on all of them.
bool sampled(const std::string& input) {
    for (const char* held : {"not measured", "counts", "which limit"}) {
        if (input.find(held) != std::string::npos) return false;
    }
    return true;
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
    const auto shift = [&](auto& x) {
        using Q = std::remove_cvref_t<decltype(x.value)>;
        const double u = std::sqrt(x.gradient.variance());
        x.value = detail::from_si<Q>(detail::in_si(x.value) + u * normal());
    };
    SystemInput& system = study.systems[0];
    shift(system.fan_pressure_factor);
    shift(system.duct_pressure_factor);
    shift(system.fan_power_factor);
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
    const FanControl control = GENERATE(FanControl::fixed_speed, FanControl::holds_airflow);
    StudyInput stated = study_of(control);
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

TEST_CASE("an age is no exact interval where the final resistance may come first", "[own][study]") {
    StudyInput study = study_of(FanControl::fixed_speed);
    study.systems[0].least_airflow.reset();
    study.candidates.resize(1);
    study.candidates[0].stages[0].final_resistance = 110.0 * Pa;   // before the least cost
    const CandidateResult by_pressure = evaluated(study).systems[0].candidates[0];
    REQUIRE(by_pressure.change_interval);
    REQUIRE(by_pressure.change_interval_reason.find("final resistance") != std::string::npos);
    const double t = by_pressure.change_interval->value.value();
    const double spread = std::sqrt(by_pressure.change_interval->gradient.variance());
    const double running = *study.systems[0].hours_per_year / year;
    for (const double lead : {-0.5, 0.2, 1.5}) {   // of the final resistance behind the age, in standard deviations
        study.candidates[0].stages[0].greatest_age = (t - lead * spread) / running * s;
        const CandidateResult both = evaluated(study).systems[0].candidates[0];
        REQUIRE(both.change_interval);
        // The mean square of the earlier of two times about the stated one, by the midpoint rule.
        const double stated = both.change_interval->value.value();
        const double age = t - lead * spread;
        double square = 0.0, weight = 0.0;
        for (double z = -8.0005; z < 8.0; z += 0.001) {
            const double density = std::exp(-0.5 * z * z);
            const double off = std::min(age, t + z * spread) - stated;
            square += density * off * off;
            weight += density;
        }
        INFO("final resistance " << lead << " standard deviations behind the age");
        CHECK(stated == Approx(std::min(age, t)).epsilon(1e-6));
        CHECK(both.change_interval->standard_uncertainty().value() == Approx(std::sqrt(square / weight)).epsilon(1e-3));
        const bool said = std::any_of(both.warnings.begin(), both.warnings.end(), [](const std::string& w) {
            return w.find("the intervals allow for that") != std::string::npos;
        });
        CHECK(said == (lead > 0.0));   // behind the final resistance the age narrows the interval
    }
    study.candidates[0].stages[0].final_resistance.reset();
    study.candidates[0].stages[0].greatest_age = 0.1 * t / running * s;
    CHECK(evaluated(study).systems[0].candidates[0].change_interval->gradient.variance() < 1e-6);
}

TEST_CASE("a figure at the earlier of two limits has the spread of the mixture", "[own][study]") {
    // Times and figures linear in three normal inputs, drawn.
    const InputHandle x[] = {elementary_input("x", 1.0), elementary_input("y", 1.0), elementary_input("z", 1.0)};
    const auto linear = [&](double value, double a, double b, double c) {
        Uncertain<double> result(value);
        result.gradient.add(Gradient(x[0]), a);
        result.gradient.add(Gradient(x[1]), b);
        result.gradient.add(Gradient(x[2]), c);
        return result;
    };
    const Uncertain<double> first = linear(10.0, 1.0, 0.5, 0.0), second = linear(10.8, 0.2, 1.5, 0.3);
    const Uncertain<double> cost = linear(5.0, 0.8, -0.3, 0.4), other = linear(5.5, 0.1, 0.6, 0.4);
    const auto order = detail::open_order(first, second);
    REQUIRE(order);
    const Uncertain<double> mixed = detail::mixed_figure(cost, other, second - first, *order);
    std::mt19937 source(5);
    std::normal_distribution<double> normal;
    double square = 0.0, with_x = 0.0, share = 0.0;
    const std::size_t runs = 200000;
    for (std::size_t i = 0; i < runs; ++i) {
        const double d[] = {normal(source), normal(source), normal(source)};
        const auto at = [&](const Uncertain<double>& f) {
            double value = f.value;
            for (std::size_t k = 0; k < 3; ++k) value += f.gradient.derivative(x[k]) * d[k];
            return value;
        };
        const bool switched = at(second) < at(first);
        const double off = at(switched ? other : cost) - cost.value;
        share += switched;
        square += off * off;
        with_x += off * d[0];
    }
    const double n = static_cast<double>(runs);
    CHECK(order->second_first() == Approx(share / n).epsilon(0.02));
    CHECK(mixed.gradient.variance() == Approx(square / n).epsilon(0.02));
    // Stein's lemma: the covariance with an input is the mean derivative, but for the jump of a figure at the switch.
    CHECK(mixed.gradient.derivative(x[0]) == Approx(with_x / n).margin(0.15));
    // Where both are the same, nothing is added.
    const Uncertain<double> same = detail::mixed_figure(cost, cost, second - first, *order);
    CHECK(same.gradient.variance() == Approx(cost.gradient.variance()).epsilon(1e-9));
}
