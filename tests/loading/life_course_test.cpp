// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/loading/growth_laws.hpp>
#include <filterflow/loading/life_course.hpp>

#include "loading/invented_installation.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::as_dual;
using filterflow::test::random_installation;

TEST_CASE("inverse quadrature and steps in dose agree, random installations", "[own][loading]") {
    std::mt19937_64 random(17);
    const std::size_t trials = filterflow::test::sweep_length(300);
    std::size_t of_end[16] = {};
    for (std::size_t trial = 0; trial < trials; ++trial) {
        const FilterLifeInput input = random_installation(random);
        INFO("trial " << trial);
        REQUIRE(detail::InverseLife::applies(input));
        const FilterLife quadrature = filter_life(input);
        const auto steps = filter_life(as_dual(input));
        REQUIRE(quadrature.end == steps.end);
        ++of_end[static_cast<std::size_t>(quadrature.end)];
        const double apart = quadrature.end == LifeEnd::fan_table_end ? 1e-7 : 1e-8;
        CHECK(quadrature.time.value() == Approx(steps.time.value().value).epsilon(apart));
        CHECK(quadrature.dust_caught.value() == Approx(steps.dust_caught.value().value).epsilon(apart));
        CHECK(quadrature.mean_flow.value() == Approx(steps.mean_flow.value().value).epsilon(1e-8));
        CHECK(quadrature.mean_power->value() == Approx(steps.mean_power->value().value).epsilon(1e-8));
        CHECK(quadrature.mean_filter_drop.value() == Approx(steps.mean_filter_drop.value().value).epsilon(1e-8));
        CHECK(quadrature.clean_air.value() == Approx(steps.clean_air.value().value).epsilon(apart));
        for (std::size_t i = 0; i < quadrature.clean_air_by_size.size(); ++i) {
            CHECK(quadrature.clean_air_by_size[i].value() ==
                  Approx(steps.clean_air_by_size[i].value().value).epsilon(apart));
        }
        // Clean air is that of the mass caught.
        CHECK(quadrature.clean_air.value() * input.dust.concentration.value() ==
              Approx(quadrature.dust_caught.value()).epsilon(1e-9));
        const LifeOutcome outcome = life_outcome(input);
        REQUIRE(outcome.begun);
        CHECK(outcome.end == quadrature.end);
        CHECK(outcome.time.value() == Approx(quadrature.time.value()).epsilon(1e-9));
        CHECK(outcome.dust_caught.value() == Approx(quadrature.dust_caught.value()).epsilon(1e-9));
        CHECK(outcome.fan_energy->value() == Approx(quadrature.moments.back().fan_energy->value()).epsilon(1e-9));
        CHECK(outcome.flow.value() == Approx(quadrature.moments.back().flow.value()).epsilon(1e-9));
    }
    // The sweep meets every end that it can.
    for (const LifeEnd end : {LifeEnd::horizon, LifeEnd::final_resistance, LifeEnd::age, LifeEnd::least_airflow,
                              LifeEnd::external_static_pressure, LifeEnd::greatest_power, LifeEnd::fan_table_end}) {
        INFO("end " << static_cast<int>(end));
        if (trials >= 300) CHECK(of_end[static_cast<std::size_t>(end)] > 0);
    }
}

TEST_CASE("any moment of a course is that of a life cut there", "[own][loading]") {
    std::mt19937_64 random(23);
    for (int trial = 0; trial < 12; ++trial) {
        FilterLifeInput input = random_installation(random);
        if (trial % 3 == 2) {   // two stages: by steps in dose
            input.stages.push_back(input.stages[0]);
            input.stages[1].final_resistance.reset();
        }
        const LifeCourse course = life_course(input);
        CHECK(course.life().time.value() == Approx(filter_life(input).time.value()).epsilon(1e-9));
        for (const double share : {1e-4, 0.11, 0.5, 0.73, 0.999, 1.0}) {
            const Time time = share * course.life().time;
            FilterLifeInput part = input;
            part.horizon = time;
            const LifeMoment expected = filter_life(part).moments.back();
            const LifeMoment found = life_moment_at(course, time);
            const double whole = course.life().dust_caught.value();
            CHECK(found.retained[0].value() == Approx(expected.retained[0].value()).margin(1e-8 * whole));
            CHECK(found.flow.value() == Approx(expected.flow.value()).epsilon(1e-8));
            CHECK(found.filter_drop.value() == Approx(expected.filter_drop.value()).epsilon(1e-7));
            CHECK(found.delivered.value() ==
                  Approx(expected.delivered.value()).margin(1e-8 * course.life().moments.back().delivered.value()));
        }
        const auto series = life_series(course, Time::from_value(course.life().time.value() / 7.5));
        REQUIRE(series.size() == 9);
        CHECK(series.back().time.value() == Approx(course.life().time.value()).epsilon(1e-13));
        for (std::size_t i = 1; i < series.size(); ++i) CHECK(series[i].filter_drop > series[i - 1].filter_drop);
    }
}

TEST_CASE("a course carries derivatives at a moment", "[own][loading]") {
    std::mt19937_64 random(29);
    const FilterLifeInput input = random_installation(random);
    const auto at = [&](double factor) {
        FilterLifeInput moved = input;
        moved.dust.concentration *= factor;
        const LifeCourse course = life_course(moved);
        return life_moment_at(course, 0.4 * life_course(input).life().time);
    };
    using D = Dual<1>;
    auto dual = as_dual(input);
    dual.dust.concentration =
        BasicMassConcentration<D>::from_value(D::input(1.0, 0) * D(input.dust.concentration.value()));
    const auto course = life_course(dual);
    const auto moment =
        life_moment_at(course, BasicTime<D>::from_value(D(0.4 * life_course(input).life().time.value())));
    const double d = 1e-4;
    CHECK(moment.flow.value().derivative[0] ==
          Approx((at(1 + d).flow - at(1 - d).flow).value() / (2 * d)).epsilon(1e-4));
    CHECK(moment.delivered.value().derivative[0] ==
          Approx((at(1 + d).delivered - at(1 - d).delivered).value() / (2 * d)).epsilon(1e-4));
}

TEST_CASE("courses refuse what cannot be", "[own][loading]") {
    std::mt19937_64 random(31);
    FilterLifeInput input = random_installation(random);
    const LifeCourse course = life_course(input);
    CHECK_THROWS_WITH(life_moment_at(course, 1.01 * course.life().time), Contains("life_moment_at: time"));
    CHECK_THROWS_AS(life_moment_at(course, -1 * s), DomainError);
    CHECK_THROWS_AS(life_series(course, 0 * s), DomainError);
    input.ducts.constant_pressure = 2000 * Pa;
    const LifeCourse none = life_course(input);
    CHECK(none.life().end == LifeEnd::no_operating_point);
    CHECK_THROWS_WITH(life_moment_at(none, 0 * s), Contains("the life has no moment: fan and system have no stable"));
    CHECK_FALSE(life_outcome(input).begun);
}
