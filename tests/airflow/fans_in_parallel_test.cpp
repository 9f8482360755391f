// SPDX-License-Identifier: BSL-1.0
// Fans in series and in parallel as curves: sums at equal flow and at equal pressure, every combination of parts.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fans_in_parallel.hpp>
#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/airflow/parallel_fan_curve.hpp>

#include "airflow/airflow_fans.hpp"
#include "airflow/random_fans.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("fans in series add pressures at equal flow, between the rows too", "[own]") {
    std::mt19937_64 random(11);
    for (std::size_t trial = 0; trial < test::sweep_length(100); ++trial) {
        const std::vector<FanCurve> fans{test::random_fan(random, trial % 2 == 0), test::random_fan(random, false),
                                         test::random_fan(random, trial % 3 == 0)};
        const FanCurve all = fans_in_series(fans);
        CHECK(all.stated_air().density == fans[0].stated_air().density);
        AirState air = fan_table_air();
        air.density *= std::uniform_real_distribution<double>(0.6, 1.2)(random);
        double least = 0.0, greatest = 1e9;
        for (const FanCurve& fan : fans) {
            least = std::max(least, fan.least_flow() / m3_per_s);
            greatest = std::min(greatest, fan.greatest_flow() / m3_per_s);
        }
        CHECK(all.least_flow() / m3_per_s == least);
        CHECK(all.greatest_flow() / m3_per_s == greatest);
        const auto rises_at = [&](double q) {
            return std::any_of(all.rising_parts().begin(), all.rising_parts().end(), [&](const FlowRange& part) {
                return q > part.lower / m3_per_s && q < part.upper / m3_per_s;
            });
        };
        for (int i = 0; i <= 60; ++i) {
            const double q = std::min(greatest, least + (greatest - least) * i / 60);
            double pressure = 0.0, power = 0.0, slope = 0.0;
            for (const FanCurve& fan : fans) {
                pressure += fan_pressure(fan, q * m3_per_s, air) / Pa;
                power += *fan_power(fan, q * m3_per_s, air) / W;
                slope += fan.pressure_curve().slope(q) / fan.stated_air().density.value();
            }
            CHECK(fan_pressure(all, q * m3_per_s, air) / Pa == Approx(pressure).epsilon(1e-12));
            CHECK(*fan_power(all, q * m3_per_s, air) / W == Approx(power).epsilon(1e-12));
            if (std::abs(slope) > 1e-3) CHECK(rises_at(q) == (slope > 0.0));   // marked between the rows too
        }
    }
}

TEST_CASE("fans in series share a kind of pressure that adds", "[own]") {
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    table.kind = FanPressureKind::total;
    table.stated_speed = 600 * rpm;
    const FanCurve fan = fan_curve(table);
    const FanCurve alone = fans_in_series(std::vector{fan});
    CHECK(fan_pressure(alone, 7.7 * m3_per_s, fan_table_air()) == fan_pressure(fan, 7.7 * m3_per_s, fan_table_air()));
    CHECK(alone.stated_speed() == fan.stated_speed());
    table.kind = FanPressureKind::static_pressure;
    const FanCurve other = fan_curve(table);
    CHECK_THROWS_WITH(fans_in_series(std::vector{fan, other}),
                      Contains("fan 2") && Contains("another kind of pressure"));
    CHECK_THROWS_WITH(fans_in_series(std::vector{other, other}), Contains("do not add"));
    table.kind = FanPressureKind::not_stated;
    CHECK_THROWS_WITH(fans_in_series(std::vector{fan_curve(table)}), Contains("do not say"));
    CHECK_THROWS_AS(fans_in_series({}), DomainError);
    FanTable late = test::reference_fan_table("centrifugal_36in_600rpm");
    late.kind = FanPressureKind::total;
    for (FanPoint& p : late.points) p.flow += 40 * m3_per_s;
    CHECK_THROWS_WITH(fans_in_series(std::vector{fan, fan_curve(late)}),
                      Contains("least flow of all tables = 40 m3/s"));
    late.power_kind = FanPowerKind::shaft;
    CHECK_THROWS_WITH(fans_in_series(std::vector{fan, fan_curve(late)}), Contains("another kind of power"));
}

TEST_CASE("fans in parallel add flows at equal pressure on every combination", "[own]") {
    std::mt19937_64 random(12);
    for (std::size_t trial = 0; trial < test::sweep_length(100); ++trial) {
        const std::vector<FanCurve> fans{test::random_fan(random, trial % 2 == 0), test::random_fan(random, false),
                                         test::random_fan(random, trial % 3 == 0)};
        const FansInParallel all =
            fans_in_parallel(fans, trial % 2 == 0 ? BackdraftDampers::none : BackdraftDampers::fitted);
        AirState air = fan_table_air();
        air.density *= std::uniform_real_distribution<double>(0.6, 1.2)(random);
        const double ratio = (air.density / all.stated_air().density).value();
        for (std::size_t b = 0; b < all.branches().size(); ++b) {
            const ParallelBranch& branch = all.branches()[b];
            const double share = std::uniform_real_distribution<double>(0.0, 1.0)(random);
            const Pressure p = ratio * (branch.least + share * (branch.greatest - branch.least));
            const ParallelFlows flows = parallel_flows(all, b, p, air);
            double total = 0.0;
            for (std::size_t k = 0; k < fans.size(); ++k) {
                total += flows.fans[k] / m3_per_s;
                CAPTURE(trial, b, k, p / Pa);
                if (branch.shut[k]) {
                    CHECK(flows.fans[k] / m3_per_s == 0.0);
                    CHECK(fan_pressure(fans[k], 0 * m3_per_s, air) / Pa <= p / Pa * (1 + 1e-12));
                } else {
                    CHECK(fan_pressure(fans[k], std::min(flows.fans[k], fans[k].greatest_flow()), air) / Pa ==
                          Approx(p / Pa).epsilon(1e-11));
                    CHECK(flows.fans[k] / m3_per_s >= branch.fan_flows[k].lower / m3_per_s);
                    CHECK(flows.fans[k] / m3_per_s <= branch.fan_flows[k].upper / m3_per_s * (1 + 1e-15));
                }
            }
            CHECK(flows.total / m3_per_s == Approx(total).epsilon(1e-15));
        }
        // No combination is missing: flows of equal pressure, found by scanning each fan alone, lie on some branch.
        const double p = std::uniform_real_distribution<double>(20.0, 500.0)(random);
        std::size_t combinations = 1, on_branches = 0;
        for (std::size_t k = 0; k < fans.size(); ++k) {
            const MonotoneCubic& curve = all.pressure_curves()[k];
            std::size_t count =
                all.dampers() == BackdraftDampers::fitted && curve.lowest() == 0.0 && curve.value(0.0) < p ? 1 : 0;
            for (int i = 0; i < 4000; ++i) {
                const auto at = [&](int j) {
                    return curve.value(std::min(curve.highest(),
                                                curve.lowest() + (curve.highest() - curve.lowest()) * j / 4000)) -
                           p;
                };
                count += at(i) * at(i + 1) < 0.0 ? 1 : 0;
            }
            combinations *= count;
        }
        bool shut_out = all.dampers() == BackdraftDampers::fitted;
        for (const MonotoneCubic& curve : all.pressure_curves()) {
            shut_out = shut_out && curve.lowest() == 0.0 && curve.value(0.0) < p;
        }
        for (const ParallelBranch& branch : all.branches()) {
            on_branches += branch.least < p * Pa && p * Pa < branch.greatest ? 1 : 0;
        }
        CHECK(on_branches == combinations - (shut_out ? 1 : 0));   // every fan shut out is no way to run
    }
}

TEST_CASE("a fan with a dip beside another like it has nine combinations", "[own]") {
    FanTable table = test::reference_fan_table("dip_normalised");
    table.kind = FanPressureKind::static_pressure;
    const FanCurve fan = fan_curve(table);
    const FansInParallel two = fans_in_parallel(std::vector{fan, fan}, BackdraftDampers::none);
    CHECK(two.branches().size() == 9);
    std::size_t rising[3] = {};
    for (const ParallelBranch& branch : two.branches()) ++rising[branch.rising_fans];
    CHECK(rising[0] == 4);
    CHECK(rising[1] == 4);
    CHECK(rising[2] == 1);
    CHECK_FALSE(two.has_power());
    CHECK_THROWS_AS(parallel_flows(two, 9, 0.8 * Pa, fan_table_air()), DomainError);
    CHECK_THROWS_AS(parallel_flows(two, 0, 2 * Pa, fan_table_air()), DomainError);
    CHECK_THROWS_AS(parallel_flows(two, 0, 0.8 * Pa, AirState{}), DomainError);
    const std::vector<FanCurve> many(10, fan);
    CHECK_THROWS_WITH(fans_in_parallel(many, BackdraftDampers::none), Contains("number of combinations = 59049"));
    table.kind = FanPressureKind::not_stated;
    CHECK_THROWS_WITH(fans_in_parallel(std::vector{fan_curve(table)}, BackdraftDampers::none), Contains("do not say"));
    table.kind = FanPressureKind::total;
    CHECK_THROWS_WITH(fans_in_parallel(std::vector{fan, fan_curve(table)}, BackdraftDampers::none),
                      Contains("another kind of pressure"));
    table.points[3].pressure = table.points[2].pressure;
    CHECK_THROWS_WITH(fans_in_parallel(std::vector{fan_curve(table)}, BackdraftDampers::none), Contains("level part"));
    CHECK_THROWS_AS(fans_in_parallel({}, BackdraftDampers::none), DomainError);
}

TEST_CASE("the ordinary part of fans in parallel is a fan curve", "[own]") {
    std::mt19937_64 random(13);
    for (std::size_t trial = 0; trial < test::sweep_length(40); ++trial) {
        const std::vector<FanCurve> fans{test::random_fan(random, trial % 2 == 0), test::random_fan(random, false)};
        const FansInParallel all = fans_in_parallel(fans, BackdraftDampers::none);
        std::size_t b = 0;
        while (b < all.branches().size() && !(all.branches()[b].rising_fans == 0 && all.stretches(b)[0].ends_table &&
                                              all.stretches(b)[1].ends_table))
            ++b;
        if (b == all.branches().size()) {
            CHECK_THROWS_AS(parallel_fan_curve(all), NoSolution);
            continue;
        }
        const FanCurve curve = parallel_fan_curve(all);
        CHECK(curve.falls_throughout());
        const ParallelBranch& branch = all.branches()[b];
        for (int i = 0; i <= 40; ++i) {
            const Pressure p = branch.least + (i / 40.0) * (branch.greatest - branch.least);
            const ParallelFlows flows = parallel_flows(all, b, p, all.stated_air());
            CAPTURE(trial, i, p / Pa);
            const VolumeFlow q = std::min(std::max(flows.total, curve.least_flow()), curve.greatest_flow());
            CHECK(q / m3_per_s == Approx(flows.total / m3_per_s).epsilon(1e-13));
            CHECK(fan_pressure(curve, q, all.stated_air()) / Pa ==
                  Approx(p / Pa).epsilon(0).margin(1e-9 * (branch.greatest / Pa)));
            double power = 0.0;
            for (std::size_t k = 0; k < 2; ++k) {
                power += *fan_power(fans[k], std::min(flows.fans[k], fans[k].greatest_flow()), all.stated_air()) / W;
            }
            CHECK(*fan_power(curve, q, all.stated_air()) / W == Approx(power).epsilon(1e-6));
        }
    }
    // Two alike: half the flow through each.
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    table.kind = FanPressureKind::total;
    const FanCurve fan = fan_curve(table);
    const FanCurve two = parallel_fan_curve(fans_in_parallel(std::vector{fan, fan}, BackdraftDampers::none));
    CHECK(two.least_flow() / m3_per_s == Approx(2 * 4.7195).epsilon(1e-14));   // from the peak on
    for (const double q : {4.7195, 5.0, 9.0, 20.0, 28.3168}) {
        CHECK(fan_pressure(two, 2 * q * m3_per_s, fan_table_air()) / Pa ==
              Approx(fan_pressure(fan, q * m3_per_s, fan_table_air()) / Pa).epsilon(1e-9).margin(1e-6));
        CHECK(*fan_power(two, 2 * q * m3_per_s, fan_table_air()) / W ==
              Approx(2 * (*fan_power(fan, q * m3_per_s, fan_table_air()) / W)).epsilon(1e-7));
    }
}
