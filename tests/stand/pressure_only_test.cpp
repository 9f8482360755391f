// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/pressure_only.hpp>

#include <cmath>
#include <random>

#include "sanitized.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

#if FILTERFLOW_SANITIZED
constexpr int stands = 40;
#else
constexpr int stands = 400;
#endif

// Plain numbers, SI, written without the library: a fan, the stand outside and between the taps, filters.
struct Bench {
    double p0, qf, bend;            // p0 (1 - (Q/qf)^bend)
    double outside, between, n;     // outside Q^n, between Q^n
    double available(double q) const { return p0 * (1 - std::pow(q / qf, bend)) - outside * std::pow(q, n); }
    double tare(double q) const { return between * std::pow(q, n); }
    double read(double r, double s, double& q) const {
        double low = 0, high = qf;
        for (int i = 0; i < 200; ++i) {
            q = 0.5 * (low + high);
            (r * q + s * q * q + tare(q) < available(q) ? low : high) = q;
        }
        return r * q + s * q * q + tare(q);
    }
};

Bench random_bench(std::mt19937_64& random) {
    const auto between = [&](double a, double b) { return std::uniform_real_distribution<double>(a, b)(random); };
    return {between(100, 600), between(0.3, 2), between(0.6, 4), between(0, 300), between(0, 150), between(1.2, 2)};
}

}   // namespace

TEST_CASE("order and bounds hold on simulated stands with falling fans", "[own]") {
    std::mt19937_64 random(20);
    const auto between = [&](double a, double b) { return std::uniform_real_distribution<double>(a, b)(random); };
    std::size_t pairs = 0;
    std::size_t slack = 0;
    for (int stand = 0; stand < stands; ++stand) {
        const Bench bench = random_bench(random);
        struct Filter { double r, s, q, m; };
        std::vector<Filter> filters(6);
        double q0 = 0;
        const double m0 = bench.read(0, 0, q0);
        PressureOnlyReadings input{.empty_stand = Pressure(m0 * Pa)};
        for (std::size_t i = 0; i < filters.size(); ++i) {
            Filter& f = filters[i];
            f.r = between(0, 400);
            f.s = between(0, 400);
            f.m = bench.read(f.r, f.s, f.q);
            input.filters.push_back({std::to_string(i), Pressure(f.m * Pa)});
        }
        const PressureOnlyOrder order = pressure_only_order(input);
        CHECK(order.flags.empty());
        for (std::size_t k = 0; k < filters.size(); ++k) {
            const Filter& f = filters[order.places[k].index];
            const double at_q0 = f.r * q0 + f.s * q0 * q0;
            CHECK(order.places[k].lower_bound->value.value() <= at_q0 * (1 + 1e-9));
            slack += order.places[k].lower_bound->value.value() < 0.8 * at_q0 ? 1 : 0;
            for (std::size_t j = 0; j < k; ++j) {   // j reads less than k: it resists less from k's flow to j's
                const Filter& other = filters[order.places[j].index];
                CHECK(f.q <= other.q * (1 + 1e-9));
                for (const double part : {0.0, 0.5, 1.0}) {
                    const double q = f.q + part * (other.q - f.q);
                    CHECK(f.r * q + f.s * q * q >= (other.r * q + other.s * q * q) * (1 - 1e-9));
                }
                ++pairs;
            }
        }
    }
    CHECK(pairs == 15 * static_cast<std::size_t>(stands));
    CHECK(slack > 0);   // a bound is not an estimate: it is often far below
}

TEST_CASE("with a fan whose curve rises the order can fail", "[own]") {
    // The condition is needed: with this in-line fan, whose pressure rises up to 0.146 m3/s, the filter that resists
    // eight times as much reads less.
    const auto fan = [](double q) { return 300 - 300 * q + 130 * std::sin(9 * q); };
    const auto settled = [&](double r) {   // the crossing that the fan reaches coming from free flow
        double q = 1.0;
        while (fan(q) < r * q) q -= 1e-5;
        return r * q;
    };
    const PressureOnlyOrder order = pressure_only_order(
        {.filters = {{"low", Pressure(settled(2500) * Pa)}, {"high", Pressure(settled(20000) * Pa)}}});
    CHECK(order.places[0].name == "high");
    CHECK_THAT(order.rests_on.at(1), Contains("falls over the whole range"));
}

TEST_CASE("the estimate recovers what the stand was made of", "[own]") {
    // A straight fan, square tare between the taps, filters as powers 1.2 of flow: nothing left to assume wrongly.
    for (const StatedFanShape shape : {StatedFanShape::straight, StatedFanShape::parabola}) {
        const bool straight = shape == StatedFanShape::straight;
        Bench bench{250, 0.8, straight ? 1.0 : 2.0, 120, 60, 2};
        double q0 = 0;
        const double m0 = bench.read(0, 0, q0);
        PressureOnlyReadings input{.empty_stand = Pressure(m0 * Pa)};
        input.fan = StatedFan{.shut_off_pressure = Pressure(250 * Pa),
                              .free_flow = VolumeFlow(0.8 * m3_per_s),
                              .shape = shape,
                              .rest_of_stand = ElementCurve{0 * Pa_s_per_m3, 120 * Pa_s2_per_m6, fan_test_air()}};
        std::vector<double> truth, flows;
        for (const double k : {50.0, 150.0, 400.0}) {
            double low = 0, high = 0.8, q = 0;
            for (int i = 0; i < 200; ++i) {
                q = 0.5 * (low + high);
                (k * std::pow(q, 1.2) + bench.tare(q) < bench.available(q) ? low : high) = q;
            }
            input.filters.push_back({std::to_string(k), Pressure((k * std::pow(q, 1.2) + bench.tare(q)) * Pa)});
            truth.push_back(k * std::pow(q0, 1.2));
            flows.push_back(q);
        }
        const PressureOnlyOrder order = pressure_only_order(input);
        REQUIRE(order.empty_stand_flow);
        CHECK(order.empty_stand_flow->value.value() == Approx(q0).epsilon(1e-9));
        for (std::size_t i = 0; i < 3; ++i) {
            REQUIRE(order.places[i].estimate);
            CHECK(order.places[i].estimate->flow.value.value() == Approx(flows[i]).epsilon(1e-9));
            CHECK(order.places[i].estimate->pressure.value.value() == Approx(truth[i]).epsilon(1e-9));
            CHECK(order.places[i].lower_bound->value.value() <= truth[i]);
            // The other shape gives another figure, which is shown beside it.
            CHECK(std::abs(order.places[i].estimate->pressure_with_other_shape.value() / truth[i] - 1) > 0.01);
        }
    }
}

TEST_CASE("a stated fan's flow and its uncertainty", "[own]") {
    const StatedFan fan{.shut_off_pressure = uncertain(200 * Pa, 10 * Pa, "shut-off"),
                        .free_flow = uncertain(1 * m3_per_s, 0.05 * m3_per_s, "free flow")};
    const Uncertain<VolumeFlow> q = stated_fan_flow(fan, Pressure(50 * Pa));   // Qf (1 - p/p0)
    CHECK(q.value.value() == Approx(0.75));
    CHECK(q.standard_uncertainty().value() == Approx(std::hypot(0.05 * 0.75, 10 * 50.0 / 40000.0)).epsilon(1e-9));
    CHECK(stated_fan_flow(fan, Pressure(0 * Pa)).value.value() == Approx(1.0));
    CHECK_THROWS_WITH(stated_fan_flow(fan, Pressure(200 * Pa)), Contains("< shut-off pressure 200 Pa"));
    CHECK_THROWS_AS(stated_fan_flow({.shut_off_pressure = Pressure(0 * Pa), .free_flow = VolumeFlow(1 * m3_per_s)},
                                    Pressure(0 * Pa)),
                    DomainError);
}

TEST_CASE("ties are decided by the difference", "[own]") {
    // A gain of 5 % is shared: 100 and 103 Pa differ by 3 Pa with 0.15 Pa of gain and 0.4 Pa of rounding.
    const InputHandle gain = elementary_input("gain", 0.05);
    const auto read = [&](const char* name, double p) {
        Uncertain<Pressure> x = uncertain(p * Pa, 0.289 * Pa, "rounding");
        x.gradient.add(Gradient(gain), p);
        return PressureOnlyReading{name, x};
    };
    const PressureOnlyOrder order =
        pressure_only_order({.filters = {read("c", 110), read("a", 100), read("b", 103), read("b2", 103.4)},
                             .empty_stand = read("", 20).pressure});
    REQUIRE(order.places.size() == 4);
    CHECK(order.places[0].name == "a");
    CHECK(order.places[0].tied_with.empty());
    CHECK(order.places[0].index == 1);
    CHECK(order.places[1].tied_with == std::vector<std::string>{"b2"});
    CHECK(order.places[2].tied_with == std::vector<std::string>{"b"});
    CHECK(order.places[3].name == "c");
    CHECK(order.places[3].lower_bound->value.value() == Approx(90));
    CHECK(order.rests_on.size() == 4);
}

TEST_CASE("what contradicts the order or is missing is said", "[own]") {
    const StatedFan fan{.shut_off_pressure = Pressure(200 * Pa), .free_flow = VolumeFlow(1 * m3_per_s)};
    const PressureOnlyReading a{"a", uncertain(30 * Pa, 1 * Pa, "x")};
    const PressureOnlyOrder below = pressure_only_order({.filters = {a}, .empty_stand = Pressure(40 * Pa), .fan = fan});
    REQUIRE(below.flags.size() == 2);
    CHECK_THAT(below.rests_on.back(), Contains("estimates take the fan's curve"));
    CHECK_THAT(below.flags[0], Contains("'a' reads 10 Pa less than the empty stand"));
    CHECK(!below.places[0].estimate);
    const PressureOnlyOrder above =
        pressure_only_order({.filters = {{"b", Pressure(210 * Pa)}}, .empty_stand = Pressure(40 * Pa), .fan = fan});
    REQUIRE(above.flags.size() == 1);
    CHECK_THAT(above.flags[0], Contains("shut-off pressure 200 Pa: no estimate"));
    const PressureOnlyOrder blind = pressure_only_order({.filters = {a}, .fan = fan});
    CHECK(!blind.places[0].lower_bound);
    CHECK_THAT(blind.flags.at(0), Contains("no lower bounds"));
    CHECK_THAT(blind.rests_on.back(), !Contains("estimates take"));   // as there are none
    CHECK_THROWS_AS(pressure_only_order({}), DomainError);
    CHECK_THROWS_WITH(pressure_only_order({.filters = {a, a}}), Contains("two filters are named 'a'"));
    CHECK_THROWS_AS(pressure_only_order({.filters = {{"n", Pressure(NAN * Pa)}}}), DomainError);
}
