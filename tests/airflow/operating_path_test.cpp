// SPDX-License-Identifier: BSL-1.0
// A filter from clean to dirty: points as operating_point has them, events where they happen, flow that never rises.

#include <cmath>
#include <random>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_path.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

SystemCurve ducts_of(double pressure, double exponent = 2.0, double constant = 0.0) {
    SystemCurve system = system_from_design_point(
        {.flow = 0.5 * m3_per_s, .pressure = pressure * Pa, .exponent = exponent, .air = fan_table_air()});
    system.constant_pressure = constant * Pa;
    return system;
}

FilterGrowth filter_of(double clean, double dirty, double quadratic = 20.0) {
    return {{clean * Pa_s_per_m3, quadratic * Pa_s2_per_m6, duct_design_air()},
            {dirty * Pa_s_per_m3, 1.5 * quadratic * Pa_s2_per_m6, duct_design_air()}};
}

/// The filter between clean and dirty, in the air of the table.
ElementCurve grown(const FilterGrowth& filter, double growth, const AirState& air) {
    const auto a = detail::element_coefficients(filter.clean, air), b = detail::element_coefficients(filter.dirty, air);
    return {(a.linear + growth * (b.linear - a.linear)) * Pa_s_per_m3,
            (a.quadratic + growth * (b.quadratic - a.quadratic)) * Pa_s2_per_m6, air};
}

const PathEvent* find(const OperatingPath& path, PathEventKind kind) {
    for (const PathEvent& e : path.events) {
        if (e.kind == kind) return &e;
    }
    return nullptr;
}

/// Every point and event against operating_point, and the order of growth and flow.
template <class F>
void check_path(const F& fan, const SystemCurve& ducts, const FilterGrowth& filter, const AirState& air,
                const PathRules& rules) {
    const OperatingPath path = operating_path(fan, ducts, filter, air, rules);
    REQUIRE(path.points.size() == rules.steps + 1);
    const auto check_point = [&](const PathPoint& p, double tolerance) {
        const ElementCurve element = grown(filter, p.growth, air);
        const OperatingPoint single = operating_point(fan, in_series(ducts, element), air);
        CAPTURE(p.growth);
        if (!p.flow) {
            REQUIRE_FALSE(single.found());
            REQUIRE(single.status == p.status);
            return;
        }
        REQUIRE(single.found());
        REQUIRE(p.flow->value() == Approx(single.flow().value()).epsilon(tolerance));
        REQUIRE(p.pressure.value() == Approx(single.pressure().value()).epsilon(tolerance));
        REQUIRE(p.filter_drop.value() == Approx(pressure_drop(element, *p.flow, air).value()).epsilon(1e-12));
        REQUIRE(p.power.has_value() == single.power().has_value());
        if (p.power) REQUIRE(p.power->value() == Approx(single.power()->value()).epsilon(tolerance));
    };
    double last_flow = INFINITY;
    for (const PathPoint& p : path.points) {
        check_point(p, 1e-11);
        if (p.flow) {
            REQUIRE(p.flow->value() <= last_flow * (1.0 + 1e-12));   // more filter never raises the flow
            last_flow = p.flow->value();
        }
    }
    double growth = 0.0;
    for (const PathEvent& e : path.events) {
        REQUIRE(e.point.growth >= growth);
        REQUIRE(e.point.growth <= 1.0 + 1e-12);
        growth = e.point.growth;
        REQUIRE(e.point.flow);
        // At the end of a branch or of the table rounding may hide the point from a search.
        if (e.kind == PathEventKind::least_flow || e.kind == PathEventKind::fan_gives_up) check_point(e.point, 1e-8);
    }
}

}   // namespace

TEST_CASE("a falling fan's path meets the least airflow where a solve finds it", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const AirState air = moist_air({.temperature = from_celsius(24), .pressure = 98 * kPa, .relative_humidity = 0.5});
    for (const double exponent : {2.0, 1.9}) {
        const PathRules rules{.steps = 25, .least_flow = 0.5 * m3_per_s};
        const SystemCurve ducts = ducts_of(60.0, exponent);
        check_path(fan, ducts, filter_of(40, 240), air, rules);
        check_path(Fan(fan), ducts, filter_of(40, 240), air, rules);
        const OperatingPath path = operating_path(fan, ducts, filter_of(40, 240), air, rules);
        const PathEvent* least = find(path, PathEventKind::least_flow);
        REQUIRE(least);
        CHECK(*least->point.flow / m3_per_s == Approx(0.5).epsilon(1e-12));
        CHECK(least->point.growth > 0.0);
        // The path's neighbours enclose it.
        std::size_t k = 0;
        while (path.points[k].growth < least->point.growth) ++k;
        CHECK(*path.points[k].flow <= 0.5 * m3_per_s);
        CHECK(*path.points[k - 1].flow >= 0.5 * m3_per_s);
        // From the start, where the clean filter is too much already.
        const OperatingPath starved = operating_path(fan, ducts, filter_of(400, 500), air, rules);
        REQUIRE(find(starved, PathEventKind::least_flow));
        CHECK(find(starved, PathEventKind::least_flow)->point.growth == 0.0);
    }
}

TEST_CASE("a path enters and leaves the fan's table", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));   // 0.373 to 0.661 m3/s
    const FilterGrowth filter = filter_of(1, 900, 5.0);
    check_path(fan, ducts_of(3.0), filter, fan_table_air(), {.steps = 40});
    const OperatingPath path = operating_path(fan, ducts_of(3.0), filter, fan_table_air(), {.steps = 40});
    CHECK(path.points.front().status == OperatingStatus::beyond_table);
    CHECK(path.points.back().status == OperatingStatus::below_table);
    const PathEvent* in = find(path, PathEventKind::table_entered);
    const PathEvent* out = find(path, PathEventKind::table_left);
    REQUIRE(in);
    REQUIRE(out);
    CHECK(*in->point.flow == fan.greatest_flow());
    CHECK(*out->point.flow == fan.least_flow());
    // Just inside and just outside of both.
    for (const auto& [event, inside] : {std::pair(in, +1.0), std::pair(out, -1.0)}) {
        for (const double side : {-1e-6, 1e-6}) {
            const ElementCurve element = grown(filter, event->point.growth + side, fan_table_air());
            CHECK(operating_point(fan, in_series(ducts_of(3.0), element), fan_table_air()).found() ==
                  (side * inside > 0.0));
        }
    }
}

TEST_CASE("a flow-holding fan gives up on the way", "[own]") {
    const FlowHoldingFan fan = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    const PathRules rules{.steps = 30, .least_flow = 0.97 * fan.held_flow()};
    const SystemCurve ducts = ducts_of(70.0);
    const FilterGrowth filter = filter_of(20, 275);
    check_path(fan, ducts, filter, fan_table_air(), rules);
    const OperatingPath path = operating_path(fan, ducts, filter, fan_table_air(), rules);
    const PathEvent* limit = find(path, PathEventKind::fan_gives_up);
    const PathEvent* least = find(path, PathEventKind::least_flow);
    REQUIRE(limit);
    REQUIRE(least);
    CHECK(limit->point.pressure / Pa == Approx(fan.give_up_pressure() / Pa).epsilon(1e-12));
    CHECK(least->point.growth > limit->point.growth);
    CHECK(*least->point.flow / m3_per_s == Approx(0.97 * fan.held_flow().value()).epsilon(1e-12));
    CHECK(path.points.front().status == OperatingStatus::flow_held);
    CHECK(path.points.back().status == OperatingStatus::fan_gave_up);
    CHECK(path.points.back().power->value() > path.points.front().power->value());
    // A weak system comes into the table from above; a very dirty filter leaves it.
    check_path(fan, ducts_of(5.0), filter_of(2, 900), fan_table_air(), {.steps = 30});
    const OperatingPath wide = operating_path(fan, ducts_of(5.0), filter_of(2, 900), fan_table_air(), {.steps = 30});
    REQUIRE(find(wide, PathEventKind::table_entered));
    CHECK(find(wide, PathEventKind::table_entered)->point.pressure / Pa ==
          Approx(fan.least_pressure() / Pa).epsilon(1e-12));
    REQUIRE(find(wide, PathEventKind::table_left));
    CHECK(find(wide, PathEventKind::table_left)->point.pressure / Pa ==
          Approx(fan.greatest_pressure() / Pa).epsilon(1e-10));
}

TEST_CASE("a fan that dips loses its point and falls back", "[own]") {
    // The dip fan against a pressurised space: between two flows the branch ends in a fold.
    const FanCurve fan = fan_curve(test::reference_fan_table("dip_normalised"));
    const AirState air = fan_table_air();
    const SystemCurve ducts{.constant_pressure = 0.75 * Pa};
    const FilterGrowth filter{{0.0 * Pa_s_per_m3, 0.05 * Pa_s2_per_m6, air},
                              {0.9 * Pa_s_per_m3, 0.05 * Pa_s2_per_m6, air}};
    const OperatingPath path = operating_path(fan, ducts, filter, air, {.steps = 50, .least_flow = 0.3 * m3_per_s});
    const PathEvent* jump = find(path, PathEventKind::jump);
    REQUIRE(jump);
    REQUIRE(jump->after.flow);
    CHECK(*jump->after.flow < *jump->point.flow);
    const PathEvent* peak = find(path, PathEventKind::highest_pressure);
    REQUIRE(peak);
    CHECK(*peak->point.flow == fan.rising_parts().back().upper);
    CHECK(peak->point.growth < jump->point.growth);
    // Second method: the chosen crossing on either side of the fold, at fine steps of growth.
    const auto at = [&](double growth) {
        return operating_point(fan, in_series(ducts, grown(filter, growth, air)), air).flow().value();
    };
    CHECK(at(jump->point.growth - 1e-7) == Approx(jump->point.flow->value()).epsilon(1e-2));
    CHECK(at(jump->point.growth + 1e-7) == Approx(jump->after.flow->value()).epsilon(1e-5));
    CHECK(at(jump->point.growth - 1e-7) - at(jump->point.growth + 1e-7) >
          0.5 * (jump->point.flow->value() - jump->after.flow->value()));
    // The least airflow lies within the jump: it is met there.
    const PathEvent* least = find(path, PathEventKind::least_flow);
    REQUIRE(least);
    CHECK(least->point.growth == jump->point.growth);
    for (int i = 0; i <= static_cast<int>(PathEventKind::table_left); ++i) {
        CHECK(event_text(static_cast<PathEventKind>(i)) != "unknown event");
    }
}

TEST_CASE("a filter added never raises the flow on a stable branch", "[own]") {
    std::mt19937_64 random(43);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const std::vector<FanCurve> fans{fan_curve(test::reference_fan_table("FC_PSC_synthetic")),
                                     fan_curve(test::reference_fan_table("centrifugal_36in_600rpm")),
                                     fan_curve(test::reference_fan_table("dip_normalised"))};
    const AirState air = fan_table_air();
    for (std::size_t i = 0; i < test::sweep_length(150); ++i) {
        const FanCurve& fan = fans[i % fans.size()];
        const double p = fan.pressure_curve().values().front(), q = fan.greatest_flow().value();
        const SystemCurve ducts =
            ducts_of(p * 0.25 / (q * q) * unit(random), 1.0 + unit(random), i % 2 == 0 ? 0.0 : 0.7 * p * unit(random));
        const double clean = 0.3 * p / q * unit(random);
        check_path(fan, ducts, filter_of(clean, clean + 3.0 * p / q * unit(random), 0.2 * p / (q * q)), air,
                   {.steps = 1 + static_cast<std::size_t>(20 * unit(random)),
                    .least_flow = q * unit(random) * m3_per_s + 0.01 * m3_per_s});
    }
}

TEST_CASE("paths refuse what is none", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const AirState air = fan_table_air();
    CHECK_THROWS_WITH(operating_path(fan, ducts_of(60), filter_of(40, 40, 0.0), air),
                      Contains("resists no more than the clean one"));
    CHECK_THROWS_AS(operating_path(fan, ducts_of(60), filter_of(40, 20), air), DomainError);
    CHECK_THROWS_AS(operating_path(fan, ducts_of(60), filter_of(40, 80), air, {.steps = 0}), DomainError);
    CHECK_THROWS_AS(operating_path(fan, ducts_of(60), filter_of(40, 80), air, {.steps = 5, .least_flow = 0 * m3_per_s}),
                    DomainError);
    CHECK_THROWS_AS(operating_path(fan, ducts_of(60), filter_of(40, 80), AirState{}), DomainError);
    CHECK_THROWS_AS(operating_path(fan, ducts_of(-60), filter_of(40, 80), air), DomainError);
}
