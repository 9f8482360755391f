// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand.hpp>

#include <cmath>
#include <random>

#include <filterflow/numeric/coverage.hpp>

#include "sanitized.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

#if FILTERFLOW_SANITIZED
constexpr int repetitions = 100;
#else
constexpr int repetitions = 1000;
#endif

AirState test_air() {
    return moist_air({.temperature = from_celsius(27), .pressure = 98 * kPa, .relative_humidity = 0.4});
}
const ElementCurve filter_curve() { return {110 * Pa_s_per_m3, 70 * Pa_s2_per_m6, duct_design_air()}; }
const ElementCurve stand_curve() { return {10 * Pa_s_per_m3, 90 * Pa_s2_per_m6, duct_design_air()}; }

Pressure across(bool with_filter, VolumeFlow q, const AirState& air) {
    const Pressure own = pressure_drop(stand_curve(), q, air);
    return with_filter ? own + pressure_drop(filter_curve(), q, air) : own;
}

/// The filter's curve in the design air from a noiseless stand, by one flow method.
ElementFit noiseless(const TestStand& stand, const auto& complete) {
    const AirState air = test_air();
    std::vector<StandReading> empty, loaded;
    for (const double q : {0.2, 0.35, 0.5, 0.65}) {
        for (const bool with_filter : {false, true}) {
            StandReading r{.pressure = across(with_filter, q * m3_per_s, air), .air = air};
            complete(r, q);
            (with_filter ? loaded : empty).push_back(r);
        }
    }
    const ElementFit tare = fit_tare(reduce_filter_readings(empty, stand).element_readings, duct_design_air());
    const StandReduction reduced = reduce_filter_readings(loaded, stand, tare);
    REQUIRE(reduced.element_readings.size() == 4);
    return fit_element(reduced.element_readings, duct_design_air());
}

void check_filter(const ElementFit& fit, double tolerance = 1e-7) {
    CHECK(fit.curve.linear.value() == Approx(110).epsilon(tolerance));
    CHECK(fit.curve.quadratic.value() == Approx(70).epsilon(tolerance));
}

}   // namespace

TEST_CASE("every flow method gives the filter back from a noiseless stand", "[own]") {
    SECTION("flow read directly") {
        check_filter(noiseless({.flow = DirectFlow{}}, [](StandReading& r, double q) { r.flow = q * m3_per_s; }));
    }
    SECTION("flow element, in air of its own") {
        const FlowElement nozzle{.kind = FlowElementKind::stated_nozzle, .throat_diameter = Length(200 * mm),
                                 .stated_coefficient = Uncertain<double>(0.97)};
        AirState at_nozzle = test_air();
        at_nozzle.density = 0.95 * at_nozzle.density;   // warmed by the fan
        check_filter(noiseless({.flow = nozzle}, [&](StandReading& r, double q) {
            // The same mass at the nozzle; its pressure by bisection of the forward formula.
            r.flow_air = at_nozzle;
            double low = 1e-3, high = 2e4;
            for (int i = 0; i < 200; ++i) {
                const double dp = 0.5 * (low + high);
                const double eps = expansibility({nozzle.kind, 0.0, 1 - dp / at_nozzle.pressure.value(), 1.4});
                const double flow = 0.97 * eps * M_PI / 4 * 0.04 * std::sqrt(2 * dp / at_nozzle.density.value());
                (flow * 0.95 < q ? low : high) = dp;
            }
            r.element_pressure = low * Pa;
        }));
    }
    SECTION("traverse of velocities or of velocity pressures") {
        const TraverseSection section{.rule = TraverseRule::log_tchebycheff, .shape = SectionShape::circle,
                                      .diameter = Length(400 * mm), .points_per_diameter = 6, .diameters = 1};
        const double area = M_PI / 4 * 0.16;
        check_filter(noiseless({.flow = section}, [&](StandReading& r, double q) {
            for (const double part : {0.8, 1.0, 1.2, 1.2, 1.0, 0.8}) r.velocities.push_back(part * q / area * m_per_s);
        }));
        check_filter(noiseless({.flow = section}, [&](StandReading& r, double q) {
            for (const double part : {0.8, 1.0, 1.2, 1.2, 1.0, 0.8}) {
                const double v = part * q / area;
                r.velocity_pressures.push_back(0.5 * r.air.density.value() * v * v * Pa);
            }
        }));
    }
    SECTION("the stand's fan table") {
        FanTable table;
    table.stated_air = fan_test_air();
    for (const auto& [q, p] : {std::pair(0.1, 400.0), {0.3, 350.0}, {0.5, 240.0}, {0.7, 60.0}})
        table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    const StandFan fan{.curve = fan_curve(table)};
    check_filter(noiseless({.flow = fan}, [&](StandReading& r, double q) {
        r.fan_pressure = fan_pressure(fan.curve, q * m3_per_s, r.air);
    }));
    }
    SECTION("leakage between filter and meter") {
        const SealLeakage leak{.flow = VolumeFlow(20 * L_per_s), .pressure = 50 * Pa};
        check_filter(noiseless({.flow = DirectFlow{}, .leakage = leak}, [&](StandReading& r, double q) {
            r.flow = q * m3_per_s + leakage_flow(leak, r.pressure).value;
        }));
        // An inlet nozzle before the filter: the duct between them is under the nozzle's suction, air leaks in.
        const SealLeakage in{
            .flow = VolumeFlow(20 * L_per_s), .pressure = 50 * Pa, .effect = LeakageEffect::filter_exceeds_measured};
        const FlowElement nozzle{.kind = FlowElementKind::stated_nozzle,
                                 .throat_diameter = Length(200 * mm),
                                 .stated_coefficient = Uncertain<double>(0.97)};
        check_filter(noiseless({.flow = nozzle, .leakage = in}, [&](StandReading& r, double q) {
            double low = 1e-3, high = 2e4;
            for (int i = 0; i < 200; ++i) {
                const Pressure dp = 0.5 * (low + high) * Pa;
                const double through =
                    (element_flow(nozzle, dp, r.air).flow.value + leakage_flow(in, dp).value).value();
                (through < q ? low : high) = dp.value();
            }
            r.element_pressure = low * Pa;
        }));
        // Left out, it makes the filter look better than it is.
        const ElementFit tight = noiseless({.flow = DirectFlow{}}, [&](StandReading& r, double q) {
            r.flow = q * m3_per_s + leakage_flow(leak, r.pressure).value;
        });
        const VolumeFlow q = 0.4 * m3_per_s;
        CHECK(pressure_drop(tight.curve, q, duct_design_air()) <
              0.97 * pressure_drop(filter_curve(), q, duct_design_air()));
    }
}

TEST_CASE("a fan that slows: raw pressures rank wrongly, reduced ones rightly", "[own]") {
    // Two filters, read once each on a stand with a falling fan: the readings are nearly alike
    // although A resists twice as much at a common flow.
    FanTable table;
    table.stated_air = duct_design_air();
    for (const auto& [q, p] : {std::pair(0.0, 160.0), {0.2, 150.0}, {0.4, 120.0}, {0.6, 60.0}, {0.7, 10.0}})
        table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    const StandFan fan{.curve = fan_curve(table)};
    const auto settle = [&](double r) {
        double low = 0, high = 0.7;
        for (int i = 0; i < 100; ++i) {
            const double q = 0.5 * (low + high);
            (r * q < fan_pressure(fan.curve, q * m3_per_s, duct_design_air()).value() ? low : high) = q;
        }
        return std::pair(low, r * low);
    };
    const auto [qa, pa] = settle(700);
    const auto [qb, pb] = settle(350);
    CHECK(pa / pb < 1.25);   // raw
    std::vector<StandReading> readings{{.pressure = pa * Pa, .fan_pressure = pa * Pa, .air = duct_design_air()},
                                       {.pressure = pb * Pa, .fan_pressure = pb * Pa, .air = duct_design_air()}};
    const StandReduction reduced = reduce_filter_readings(readings, {.flow = fan});
    const ElementFit a = fit_element(std::span(&reduced.element_readings[0], 1), duct_design_air());
    const ElementFit b = fit_element(std::span(&reduced.element_readings[1], 1), duct_design_air());
    const VolumeFlow q = 0.3 * m3_per_s;
    CHECK(pressure_drop(a.curve, q, duct_design_air()).value() / pressure_drop(b.curve, q, duct_design_air()).value() ==
          Approx(2.0).epsilon(1e-6));
    CHECK(qa < qb);
}

TEST_CASE("intervals cover: simulated instruments with gain, zero and resolution", "[own]") {
    // Errors drawn as the instruments state them; the 95 % interval of the filter's pressure at a flow should hold the
    // truth in 95 % of the stands. Binomial 99.9 % margin of the number of stands.
    std::mt19937_64 random(5);
    std::normal_distribution<double> normal;
    const AirState air = test_air();
    const VolumeFlow at = 0.45 * m3_per_s;
    const double truth = pressure_drop(filter_curve(), at, air).value();
    int covered = 0;
    for (int i = 0; i < repetitions; ++i) {
        const TestStand stand{.flow = DirectFlow{},
                              .manometer = instrument(ManometerData{"gauge", 0.01, 0.5 * Pa, 1 * Pa}),
                              .flow_instrument = instrument(FlowMeterData{"meter", 0.02, 2 * L_per_s, 5 * L_per_s})};
        const double gain = 0.01 * normal(random), zero = 0.5 * normal(random);
        const double flow_gain = 0.02 * normal(random), flow_zero = 0.002 * normal(random);
        const auto shown = [](double true_value, double gain_error, double offset, double step) {
            return step * std::round((true_value - offset) / (1 + gain_error) / step);
        };
        std::vector<StandReading> empty, loaded;
        for (int k = 0; k < 8; ++k) {
            for (const bool with_filter : {false, true}) {
                const double q = std::uniform_real_distribution<double>(0.2, 0.7)(random);
                const double p = across(with_filter, q * m3_per_s, air).value();
                (with_filter ? loaded : empty)
                    .push_back({.pressure = shown(p, gain, zero, 1.0) * Pa,
                                .flow = shown(q, flow_gain, flow_zero, 0.005) * m3_per_s,
                                .air = air});
            }
        }
        const ElementFit tare = fit_tare(reduce_filter_readings(empty, stand).element_readings, air);
        const ElementFit fit = fit_element(reduce_filter_readings(loaded, stand, tare).element_readings, air);
        if (coverage_interval(pressure_drop(fit, at, air)).contains(truth * Pa)) ++covered;
    }
    const double rate = static_cast<double>(covered) / repetitions;
    CAPTURE(rate);
    CHECK(std::abs(rate - 0.95) < 3.3 * std::sqrt(0.05 * 0.95 / repetitions));
}

TEST_CASE("two filters on one stand: shared errors cancel in their difference", "[own]") {
    const AirState air = test_air();
    const TestStand stand{.flow = DirectFlow{},
                          .manometer = instrument(ManometerData{"gauge", 0.03, 1 * Pa, Pressure()}),
                          .flow_instrument = instrument(FlowMeterData{"meter", 0.03, VolumeFlow(), VolumeFlow()})};
    const auto fit = [&](double r) {
        std::vector<StandReading> readings;
        for (const double q : {0.3, 0.45, 0.6}) {
            readings.push_back(
                {.pressure = across(false, q * m3_per_s, air) + r * q * Pa, .flow = q * m3_per_s, .air = air});
        }
        return readings;
    };
    std::vector<StandReading> empty;
    for (const double q : {0.3, 0.45, 0.6})
        empty.push_back({.pressure = across(false, q * m3_per_s, air), .flow = q * m3_per_s, .air = air});
    const ElementFit tare = fit_tare(reduce_filter_readings(empty, stand).element_readings, air);
    const auto pressure = [&](double r) {
        return pressure_drop(fit_element(reduce_filter_readings(fit(r), stand, tare).element_readings, air),
                             VolumeFlow(0.45 * m3_per_s), air);
    };
    const Uncertain<Pressure> a = pressure(200);
    const Uncertain<Pressure> b = pressure(206);
    CHECK(a.standard_uncertainty().value() > 2.0);
    CHECK((b - a).standard_uncertainty().value() < 0.2);
    CHECK(coverage_interval(a).upper > b.value);   // intervals overlap ...
    CHECK(!tied(a, b));                            // ... and yet the two are told apart
}

TEST_CASE("readings without a flow, and what is missing, is said with the reading's name", "[own]") {
    const AirState air = duct_design_air();
    FanTable table;
    table.stated_air = air;
    for (const auto& [q, p] : {std::pair(0.1, 300.0), {0.3, 200.0}, {0.5, 250.0}, {0.7, 60.0}})
        table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    const TestStand by_fan{.flow = StandFan{.curve = fan_curve(table)}};
    const StandReading unclear{.pressure = 220 * Pa, .fan_pressure = 220 * Pa, .air = air};
    const StandReading clear{.pressure = 100 * Pa, .fan_pressure = 100 * Pa, .air = air};
    const StandReduction reduced = reduce_filter_readings(std::vector{unclear, clear}, by_fan);
    REQUIRE(reduced.readings.size() == 2);
    CHECK(!reduced.readings[0].flow);
    CHECK(!reduced.readings[0].net_pressure);
    CHECK(reduced.readings[0].raw_pressure.value == 220 * Pa);
    CHECK(reduced.element_readings.size() == 1);
    REQUIRE(reduced.flags.size() == 2);
    CHECK_THAT(reduced.flags[0], Contains("taken as tight"));
    CHECK_THAT(reduced.flags[1], Contains("several flows"));

    const TestStand direct{.flow = DirectFlow{}};
    CHECK_THROWS_WITH(reduce_filter_readings(
                          std::vector{StandReading{.pressure = 20 * Pa, .air = air, .origin = "pad.csv:7"}}, direct),
                      Contains("reading 1 (pad.csv:7)") && Contains("flow not given"));
    CHECK_THROWS_WITH(
        reduce_filter_readings(std::vector{clear}, {.flow = FlowElement{.kind = FlowElementKind::stated_nozzle}}),
        Contains("differential pressure not given"));
    CHECK_THROWS_WITH(reduce_filter_readings(std::vector{clear}, {.flow = TraverseSection{}}),
                      Contains("either velocities"));
    CHECK_THROWS_WITH(reduce_filter_readings(std::vector{StandReading{.pressure = 20 * Pa, .air = air}}, by_fan),
                      Contains("fan pressure not given"));
    CHECK_THROWS_WITH(reduce_filter_readings(
                          std::vector{StandReading{.pressure = 20 * Pa, .flow = 0 * m3_per_s, .air = air}}, direct),
                      Contains("flow = 0 m3/s"));
    CHECK_THROWS_AS(reduce_filter_readings(std::vector<StandReading>{}, direct), DomainError);
    CHECK_THROWS_WITH(
        reduce_filter_readings(std::vector{StandReading{.pressure = 20 * Pa, .flow = 1 * m3_per_s}}, direct),
        Contains("air density"));
    // The empty stand's pressure above the reading: net below zero.
    std::vector<StandReading> empty;
    for (const double q : {0.3, 0.6})
        empty.push_back({.pressure = across(false, q * m3_per_s, air), .flow = q * m3_per_s, .air = air});
    const ElementFit tare = fit_tare(reduce_filter_readings(empty, direct).element_readings, air);
    CHECK_THROWS_WITH(
        reduce_filter_readings(std::vector{StandReading{.pressure = 5 * Pa, .flow = 0.5 * m3_per_s, .air = air}},
                               direct, tare),
        Contains("reading 1: ") && Contains("net pressure = -") && Contains("Check taps"));
}
