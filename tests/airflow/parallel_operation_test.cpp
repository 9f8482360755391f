// SPDX-License-Identifier: BSL-1.0
// Where fans in parallel meet a system: against Newton's method from many starts, stability against eigenvalues and
// against the motion itself, fans alike against one fan alone.

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/parallel_fan_curve.hpp>
#include <filterflow/airflow/parallel_operation.hpp>

#include "airflow/airflow_fans.hpp"
#include "airflow/random_fans.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

SystemCurve system_of(double constant, double linear, double quadratic) {
    SystemCurve system{.constant_pressure = constant * Pa};
    system.elements.push_back({linear * Pa_s_per_m3, quadratic * Pa_s2_per_m6, fan_table_air()});
    return system;
}

/// Two fans' curves in the air at hand and the system's polynomial there: enough to solve and to move them.
struct Plant {
    const std::vector<MonotoneCubic>& curves;
    double scale, constant, linear, quadratic;

    double system(double q) const { return scale * (constant + linear * q + quadratic * q * q); }
    double system_slope(double q) const { return scale * (linear + 2 * quadratic * q); }
    bool inside(double q1, double q2) const {
        return q1 >= 0 && q2 >= 0 && q1 <= curves[0].highest() && q2 <= curves[1].highest();
    }
};

std::vector<std::array<double, 2>> newton_from_everywhere(const Plant& plant) {
    std::vector<std::array<double, 2>> found;
    for (int i = 0; i <= 24; ++i) {
        for (int j = 0; j <= 24; ++j) {
            double q1 = plant.curves[0].highest() * i / 24, q2 = plant.curves[1].highest() * j / 24;
            for (int step = 0; step < 40 && plant.inside(q1, q2); ++step) {
                const double g = plant.system_slope(q1 + q2);
                const double a = plant.curves[0].slope(q1) - g, d = plant.curves[1].slope(q2) - g, b = -g;
                const double r1 = plant.curves[0].value(q1) - plant.system(q1 + q2);
                const double r2 = plant.curves[1].value(q2) - plant.system(q1 + q2);
                const double determinant = a * d - b * b;
                q1 -= (d * r1 - b * r2) / determinant;
                q2 -= (a * r2 - b * r1) / determinant;
            }
            if (!plant.inside(q1, q2)) continue;
            if (std::abs(plant.curves[0].value(q1) - plant.system(q1 + q2)) > 1e-9 ||
                std::abs(plant.curves[1].value(q2) - plant.system(q1 + q2)) > 1e-9) continue;
            const bool known = std::any_of(found.begin(), found.end(), [&](const auto& f) {
                return std::abs(f[0] - q1) + std::abs(f[1] - q2) < 1e-7;
            });
            if (!known) found.push_back({q1, q2});
        }
    }
    return found;
}

/// Whether small disturbances die away for two fans whose air has the inertias given: both eigenvalues of the
/// linearised motion have negative real parts.
bool dies_away(const Plant& plant, double q1, double q2, double inertia1, double inertia2) {
    const double g = plant.system_slope(q1 + q2);
    const double a = (plant.curves[0].slope(q1) - g) / inertia1, d = (plant.curves[1].slope(q2) - g) / inertia2;
    return a + d < 0 && a * d - g * g / (inertia1 * inertia2) > 0;
}

}   // namespace

TEST_CASE("every crossing of two fans and a system is found, and told stable or not", "[own]") {
    std::mt19937_64 random(21);
    std::uniform_real_distribution<double> any(0.0, 1.0);
    std::size_t crossings = 0, not_stable = 0, several = 0;
    const std::size_t trials = test::sweep_length(300);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        const std::vector<FanCurve> fans{test::random_fan(random, false), trial % 4 == 0
                                                                              ? test::random_fan(random, true)
                                                                              : test::random_fan(random, false)};
        const FansInParallel parallel = fans_in_parallel(fans, BackdraftDampers::none);
        AirState air = fan_table_air();
        const double ratio = (air.density / parallel.stated_air().density).value();
        const double constant = (150 + 300 * any(random)) * ratio, linear = 40 * any(random),
                     quadratic = 60 * any(random) * any(random);
        const Plant plant{parallel.pressure_curves(), 1.0 / ratio, constant, linear, quadratic};
        const ParallelOperation ours = parallel_operation(parallel, system_of(constant, linear, quadratic), air);
        const auto theirs = newton_from_everywhere(plant);
        CAPTURE(trial, ours.crossings.size(), theirs.size());
        for (const auto& [q1, q2] : theirs) {
            const double first = q1, second = q2;
            CAPTURE(first, second);
            CHECK(std::any_of(ours.crossings.begin(), ours.crossings.end(), [&](const ParallelCrossing& c) {
                return std::abs(c.fan_flows[0] / m3_per_s - first) + std::abs(c.fan_flows[1] / m3_per_s - second) <
                       1e-7;
            }));
        }
        VolumeFlow before = 0 * m3_per_s;
        for (const ParallelCrossing& c : ours.crossings) {
            const double q1 = c.fan_flows[0] / m3_per_s, q2 = c.fan_flows[1] / m3_per_s;
            CHECK(c.flow >= before);
            before = c.flow;
            CHECK(c.flow / m3_per_s == Approx(q1 + q2).epsilon(1e-14));
            const double p = c.pressure / Pa;
            CHECK(p == Approx(constant + linear * (q1 + q2) + quadratic * (q1 + q2) * (q1 + q2)).epsilon(1e-12));
            for (std::size_t k = 0; k < 2; ++k) {
                CHECK(fan_pressure(fans[k], c.fan_flows[k], air) / Pa == Approx(p).epsilon(1e-11).margin(1e-9));
                CHECK(c.fan_rises[k] == (parallel.pressure_curves()[k].slope(c.fan_flows[k] / m3_per_s) > 0.0));
            }
            CHECK(*c.power / W ==
                  Approx(*fan_power(fans[0], c.fan_flows[0], air) / W + *fan_power(fans[1], c.fan_flows[1], air) / W)
                      .epsilon(1e-12));
            if (!c.touching) CHECK(c.stable == dies_away(plant, q1, q2, 0.1 + any(random), 0.1 + any(random)));
            if (c.rising_fans() == 2) CHECK_FALSE(c.stable);
            ++crossings;
            not_stable += c.stable ? 0 : 1;
        }
        several += ours.crossings.size() > 1 ? 1 : 0;
        if (ours.chosen) {
            for (std::size_t i = *ours.chosen + 1; i < ours.crossings.size(); ++i) {
                CHECK_FALSE(ours.crossings[i].stable);
            }
        }
    }
    CHECK(crossings > trials / 2);
    if (trials >= 300) {   // a shortened sweep may meet none
        CHECK(not_stable > 15);
        CHECK(several > 15);
    }
}

TEST_CASE("a state that is not stable is left, a stable one returned to", "[own]") {
    // Two fans that dip, started a little off each crossing; the air of each fan's duct moves by its own balance.
    FanTable table = test::reference_fan_table("dip_normalised");
    table.kind = FanPressureKind::total;
    const FanCurve fan = fan_curve(table);
    const FansInParallel parallel = fans_in_parallel(std::vector{fan, fan}, BackdraftDampers::none);
    const Plant plant{parallel.pressure_curves(), 1.0, 0.78, 0.0, 0.02};
    const ParallelOperation operation = parallel_operation(parallel, system_of(0.78, 0.0, 0.02), fan_table_air());
    CHECK(operation.crossings.size() >= 7);
    REQUIRE(operation.chosen);
    CHECK(operation.status == OperatingStatus::several_crossings);
    std::size_t stable = 0;
    for (const ParallelCrossing& c : operation.crossings) {
        const double q1 = c.fan_flows[0] / m3_per_s, q2 = c.fan_flows[1] / m3_per_s;
        double a = q1 + 1e-4, b = q2 - 7e-5;
        for (int step = 0; step < 40000 && plant.inside(a, b); ++step) {
            const double p = plant.system(a + b);
            const double da = 1e-2 * (plant.curves[0].value(a) - p), db = 1e-2 * (plant.curves[1].value(b) - p);
            a += da;
            b += db;
        }
        const bool returned = std::abs(a - q1) + std::abs(b - q2) < 1e-6;
        CAPTURE(q1, q2, a, b);
        CHECK(returned == c.stable);
        stable += c.stable ? 1 : 0;
    }
    CHECK(stable == 4);   // both stalled, the one, the other, none
}

TEST_CASE("fans alike meet a system as one of them meets its share", "[own]") {
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    table.kind = FanPressureKind::total;
    const FanCurve fan = fan_curve(table);
    const AirState air = fan_table_air();
    const SystemCurve system = system_from_design_point({.flow = 30000 * cfm, .pressure = 2.96 * inH2O, .air = air});
    const SystemCurve share = system_from_design_point({.flow = 15000 * cfm, .pressure = 2.96 * inH2O, .air = air});
    const FansInParallel two = fans_in_parallel(std::vector{fan, fan}, BackdraftDampers::none);
    const ParallelOperation both = parallel_operation(two, system, air);
    const OperatingPoint half = operating_point(fan, share, air);
    REQUIRE(both.chosen);
    CHECK(both.status == OperatingStatus::single_crossing);
    const ParallelCrossing& c = both.crossings[*both.chosen];
    CHECK(c.flow / cfm == Approx(2 * (half.flow() / cfm)).epsilon(1e-13));
    CHECK(c.pressure / Pa == Approx(half.pressure() / Pa).epsilon(1e-13));
    CHECK(*c.power / W == Approx(2 * (*half.power() / W)).epsilon(1e-13));
    CHECK(operating_point(parallel_fan_curve(two), system, air).flow() / cfm == Approx(c.flow / cfm).epsilon(1e-9));
    // One, two in series, two in parallel on the system through 30000 cfm at 2.96 inH2O: computed apart with another
    // monotone cubic (SciPy's).
    CHECK(operating_point(fan, system, air).flow() / cfm == Approx(30000).epsilon(2e-3));
    CHECK(operating_point(fans_in_series(std::vector{fan, fan}), system, air).flow() / cfm ==
          Approx(37694).epsilon(2e-3));
    CHECK(c.flow / cfm == Approx(33168).epsilon(2e-3));
    // Three falling fans, and a fan alone.
    const FanCurve falling = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    FanTable rows = test::reference_fan_table("FC_PSC_synthetic");
    rows.kind = FanPressureKind::external_static;
    const FanCurve blower = fan_curve(rows);
    const auto meet = [&](std::size_t n, double quadratic) {
        return parallel_operation(fans_in_parallel(std::vector(n, blower), BackdraftDampers::none),
                                  system_of(0, 0, quadratic), air);
    };
    CHECK(meet(3, 40).crossings.at(0).flow / m3_per_s ==
          Approx(3 * (operating_point(falling, system_of(0, 0, 360), air).flow() / m3_per_s)).epsilon(1e-13));
    CHECK(meet(1, 360).crossings.at(0).flow / m3_per_s ==
          Approx(operating_point(falling, system_of(0, 0, 360), air).flow() / m3_per_s).epsilon(1e-13));
    CHECK(meet(2, 1).status == OperatingStatus::beyond_table);
    CHECK_FALSE(meet(2, 1).chosen);
    CHECK(meet(2, 4000).status == OperatingStatus::below_table);   // that table does not begin at no flow
}

TEST_CASE("a weak fan beside a strong one is shut out by its damper, or not known", "[own]") {
    const auto fan = [](double pressure) {
        return fan_curve({.points = {{0 * m3_per_s, pressure * Pa, 100 * W},
                                     {1 * m3_per_s, 0.7 * pressure * Pa, 200 * W},
                                     {2 * m3_per_s, 0 * Pa, 300 * W}},
                          .kind = FanPressureKind::total,
                          .stated_air = fan_table_air()});
    };
    const std::vector<FanCurve> fans{fan(200), fan(500)};
    const AirState air = fan_table_air();
    const SystemCurve narrow = system_of(0, 0, 300);
    const ParallelOperation open = parallel_operation(fans_in_parallel(fans, BackdraftDampers::none), narrow, air);
    CHECK(open.crossings.empty());
    CHECK(open.status == OperatingStatus::below_table);   // the weak fan is pushed back: its table does not say
    const ParallelOperation dampers = parallel_operation(fans_in_parallel(fans, BackdraftDampers::fitted), narrow, air);
    REQUIRE(dampers.chosen);
    const ParallelCrossing& c = dampers.crossings[*dampers.chosen];
    CHECK(c.fan_flows[0] / m3_per_s == 0.0);
    CHECK(c.flow / m3_per_s == Approx(operating_point(fans[1], narrow, air).flow() / m3_per_s).epsilon(1e-13));
    CHECK(*c.power / W == Approx(100 + *operating_point(fans[1], narrow, air).power() / W).epsilon(1e-12));
    CHECK(c.stable);
    // A wide system takes both, dampers or none; one that asks too much takes neither.
    const SystemCurve wide = system_of(0, 0, 10);
    const ParallelOperation with = parallel_operation(fans_in_parallel(fans, BackdraftDampers::fitted), wide, air);
    const ParallelOperation without = parallel_operation(fans_in_parallel(fans, BackdraftDampers::none), wide, air);
    REQUIRE(with.crossings.size() == 1);
    CHECK(with.crossings[0].flow == without.crossings.at(0).flow);
    CHECK(with.crossings[0].fan_flows[0] > 0 * m3_per_s);
    CHECK(parallel_operation(fans_in_parallel(fans, BackdraftDampers::fitted), system_of(501, 0, 10), air).status ==
          OperatingStatus::above_shut_off);
    // Exactly at the weak fan's pressure without flow, shut and open agree: one state.
    const double q = operating_point(fans[1], system_of(200, 0, 0), air).flow() / m3_per_s;
    const ParallelOperation edge =
        parallel_operation(fans_in_parallel(fans, BackdraftDampers::fitted), system_of(0, 0, 200 / (q * q)), air);
    CHECK(edge.crossings.size() == 1);
    CHECK(edge.crossings.at(0).flow / m3_per_s == Approx(q).epsilon(1e-9));
    CHECK_THROWS_AS(parallel_operation(fans_in_parallel(fans, BackdraftDampers::none), wide, AirState{}), DomainError);
}
