// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <filterflow/loading/service_history.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState design_air = duct_design_air();

FanCurve fan() {
    FanTable table;   // invented
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = design_air;
    return fan_curve(table);
}

template <class T>
BasicFilterStage<T> stage(T linear, double efficiency, double final_drop) {
    BasicFilterStage<T> s;
    s.clean = {BasicLinearResistance<T>::from_value(linear), BasicQuadraticResistance<T>::from_value(T(12.0)),
               design_air};
    s.law = {LoadingForm::smooth,
             ReferenceArea::media,
             BasicMassPerArea<T>::from_value(T(0.05)),
             BasicMassPerArea<T>::from_value(T(0.06)),
             {}};
    s.area = BasicArea<T>::from_value(T(2.0));
    s.efficiency.clean = T(efficiency);
    if (final_drop > 0.0) s.final_resistance = BasicPressure<T>::from_value(T(final_drop));
    return s;
}

template <class T>
BasicFilterLifeInput<T> installation(std::vector<BasicFilterStage<T>> stages, const T& concentration, double years) {
    BasicFilterLifeInput<T> input{.fan = fan()};
    input.ducts.power_laws.push_back(
        {BasicPressure<T>::from_value(T(140.0)), BasicVolumeFlow<T>::from_value(T(1.0)), T(2.0), design_air});
    input.stages = std::move(stages);
    input.dust = {BasicMassConcentration<T>::from_value(concentration), T(1.0)};
    input.running_fraction = T(0.5);
    input.air = air_as<T>(design_air);
    input.horizon = BasicTime<T>::from_value(T(years * 8760 * 3600));
    return input;
}

}   // namespace

TEST_CASE("one stage: the history repeats its life", "[own][loading]") {
    const FilterLifeInput input = installation<double>({stage(50.0, 0.7, 180)}, 1.2e-7, 6.0);
    const FilterLife life = filter_life(input);
    const ServiceHistory history = service_history(input);
    REQUIRE(history.reached_horizon);
    const double cycles = history.time / life.time;
    REQUIRE(history.changes.size() == static_cast<std::size_t>(cycles));
    REQUIRE(cycles > 2.0);
    for (std::size_t i = 0; i < history.changes.size(); ++i) {
        CHECK(history.changes[i].time.value() == Approx(static_cast<double>(i + 1) * life.time.value()).epsilon(1e-8));
        CHECK(history.changes[i].cause == LifeEnd::final_resistance);
    }
    CHECK(history.time.value() == Approx(input.horizon.value()).epsilon(1e-12));
    CHECK(history.dust_arrived.value() == Approx(history.delivered.value() * 1.2e-7).epsilon(1e-12));
    CHECK(history.dust_caught.value() == Approx(0.7 * history.dust_arrived.value()).epsilon(1e-10));
}

TEST_CASE("two stages are changed at their own rules, the other goes on", "[own][loading]") {
    const FilterLifeInput input = installation<double>({stage(35.0, 0.5, 140), stage(60.0, 0.8, 220)}, 1.5e-7, 10.0);
    const ServiceHistory history = service_history(input);
    REQUIRE(history.reached_horizon);
    CHECK(history.change_counts[0] >= 1);
    CHECK(history.change_counts[1] >= 1);
    CHECK(history.change_counts[0] + history.change_counts[1] == history.changes.size());
    // By hand from the first change on: clean first stage, second stage as loaded as it was.
    const StageChange& first = history.changes.front();
    std::size_t i = 0;
    while (history.moments[i].time < first.time) ++i;
    const LifeMoment& before = history.moments[i];
    const LifeMoment& after = history.moments[i + 1];
    CHECK(before.time == after.time);
    CHECK(after.retained[first.stage].value() == 0.0);
    CHECK(after.retained[1 - first.stage] == before.retained[1 - first.stage]);
    CHECK(after.delivered == before.delivered);
    CHECK(history.dust_caught.value() == Approx((1 - 0.5 * 0.2) * history.dust_arrived.value()).epsilon(1e-9));
}

TEST_CASE("a limit of the system changes the stage that has grown most", "[own][loading]") {
    FilterLifeInput input = installation<double>({stage(20.0, 0.2, 0), stage(60.0, 0.8, 0)}, 1.5e-7, 12.0);
    input.limits.least_airflow = 1.0 * m3_per_s;
    const ServiceHistory history = service_history(input);
    REQUIRE(history.reached_horizon);
    REQUIRE(!history.changes.empty());
    CHECK(history.changes.front().stage == 1);
    CHECK(history.changes.front().cause == LifeEnd::least_airflow);
    for (const auto& moment : history.moments) CHECK(moment.flow.value() >= 1.0 - 1e-9);
    input.limits.least_airflow = 1.6 * m3_per_s;   // more than the clean installation lets through
    const ServiceHistory broken = service_history(input);
    CHECK_FALSE(broken.reached_horizon);
    CHECK(broken.end == LifeEnd::least_airflow);
    CHECK(broken.time.value() == 0.0);
}

TEST_CASE("age changes a stage by the calendar", "[own][loading]") {
    FilterLifeInput input = installation<double>({stage(50.0, 0.7, 180)}, 1e-9, 3.0);   // 6 calendar years
    input.stages[0].greatest_age = 1.0 * year;
    const ServiceHistory history = service_history(input);
    REQUIRE(history.change_counts[0] >= 5);
    CHECK(history.changes[0].time / year == Approx(0.5).epsilon(1e-12));
    CHECK(history.changes[4].time / year == Approx(2.5).epsilon(1e-12));
    CHECK(history.changes[4].cause == LifeEnd::age);
}

TEST_CASE("derivatives of a history agree with differences", "[own][loading]") {
    using D = Dual<2>;
    const auto run = [](auto linear, auto concentration) {
        using T = decltype(linear);
        return service_history(installation<T>({stage<T>(T(35.0), 0.5, 140), stage<T>(linear, 0.8, 220)}, concentration,
                                               0.27));   // before two changes nearly coincide
    };
    const auto dual = run(D::input(60.0, 0), D::input(1.5e-7, 1));
    const auto value = [&](double linear, double c) { return run(linear, c); };
    for (int i = 0; i < 2; ++i) {
        const double shift = i == 0 ? 60.0 * 2e-4 : 1.5e-7 * 2e-4;
        const auto up = i == 0 ? value(60.0 + shift, 1.5e-7) : value(60.0, 1.5e-7 + shift);
        const auto down = i == 0 ? value(60.0 - shift, 1.5e-7) : value(60.0, 1.5e-7 - shift);
        REQUIRE(up.changes.size() == down.changes.size());
        const auto k = static_cast<std::size_t>(i);
        CHECK(dual.changes.back().time.value().derivative[k] ==
              Approx((up.changes.back().time.value() - down.changes.back().time.value()) / (2 * shift)).epsilon(1e-4));
        CHECK(dual.delivered.value().derivative[k] ==
              Approx((up.delivered.value() - down.delivered.value()) / (2 * shift)).epsilon(1e-4));
        CHECK(dual.fan_energy->value().derivative[k] ==
              Approx((up.fan_energy->value() - down.fan_energy->value()) / (2 * shift)).epsilon(1e-4));
    }
}
