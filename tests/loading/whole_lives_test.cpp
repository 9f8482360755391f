// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <random>
#include <vector>

#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>

#include "loading/invented_installation.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// An invented pack of parallel pleats, and how dust settles on it.
PleatedLoading narrow_pack() {
    PleatedLoading loading;
    loading.clean = {.medium = {.thickness = 0.7 * mm, .permeability = 9e-11 * m2},
                     .pack = {.count = 75,
                              .depth = 44 * mm,
                              .width = 0.6 * m,
                              .length = 0.6 * m,
                              .shape = PleatShape::rectangular}};
    loading.cake = {2650 * kg_per_m3, 4 * um, 0.9};
    loading.law = {.form = LoadingForm::linear, .cake_slope = 0.004 * m2_per_g};
    return loading;
}

FilterLifeInput pleated_installation() {
    FilterLifeInput input{.fan = fan_curve(test::falling_table())};
    input.ducts.power_laws.push_back({120 * Pa, 1 * m3_per_s, 2.0, duct_design_air()});
    input.stages = {pleated_stage(narrow_pack(), 1.1 * m3_per_s, duct_design_air())};
    input.stages[0].efficiency = {0.7, 0.2, 60 * g_per_m2};
    input.dust = {80 * ug_per_m3, 0.8};
    input.air = duct_design_air();
    input.horizon = 40 * year;
    return input;
}

}   // namespace

TEST_CASE("a whole life of pleats ends where they bridge, along their own pressure drop", "[own][loading]") {
    const FilterLifeInput input = pleated_installation();
    const PleatedLoading pack = narrow_pack();
    const MassPerArea bridged = *bridging_mass(pack).bridged;
    const double area = input.stages[0].area.value(), equivalence = input.dust.equivalence;

    // The fan pushes air through until the channels are as good as closed: its table goes on.
    const FilterLife life = filter_life(input);
    REQUIRE(life.moments.size() > 10);
    if (life.end == LifeEnd::bridging) {
        CHECK(equivalence * life.dust_caught.value() / area == Approx(bridged.value()).epsilon(1e-5));
        CHECK_THAT(life.reason, Contains("pleats of the filter bridge"));
    } else {
        CHECK(life.end == LifeEnd::fan_table_end);
        CHECK(equivalence * life.dust_caught.value() / area < bridged.value());
    }
    // The drop along the life is that of the loaded pack; its curve is r Q + s Q^2 but nearly, less so far below
    // the two flows at which it is exact.
    double last = 0.0;
    for (const LifeMoment& at : life.moments) {
        const MassPerArea load = MassPerArea::from_value(equivalence * at.retained[0].value() / area);
        const LoadedPleats loaded = loaded_pleats(pack, load, at.flow, input.air);
        if (!loaded.drop) continue;
        INFO("at " << load / g_per_m2 << " g/m2 and " << at.flow / m3_per_s << " m3/s");
        CHECK(at.filter_drop / Pa == Approx(loaded.drop->total / Pa).epsilon(at.flow > 0.5 * m3_per_s ? 0.015 : 0.04));
        CHECK(at.filter_drop.value() >= last * (1.0 - 1e-12));
        last = at.filter_drop.value();
    }
}

TEST_CASE("pleats that bridge before the fan gives in end the life at that dust", "[own][loading]") {
    FilterLifeInput input = pleated_installation();
    PleatedLoading pack = narrow_pack();
    pack.cake.porosity = 0.97;   // a loose cake fills the channels early
    pack.law.cake_slope = 0.001 * m2_per_g;
    pack.least_gap = 0.8 * mm;   // fluff
    input.stages = {pleated_stage(pack, 1.1 * m3_per_s, duct_design_air())};
    input.stages[0].efficiency = {0.7, 0.2, 60 * g_per_m2};
    // A strong fan, so that its table does not end first.
    FanTable strong;
    for (const auto& [flow, drop] : {std::pair{0.2, 1600.0}, {0.6, 1300.0}, {0.9, 900.0}, {1.2, 300.0}, {1.4, 10.0}}) {
        strong.points.push_back({flow * m3_per_s, drop * Pa, 900 * W});
    }
    strong.stated_air = duct_design_air();
    input.fan = fan_curve(strong);
    const FilterLife life = filter_life(input);
    INFO(life.reason);
    REQUIRE(life.end == LifeEnd::bridging);
    const double load = input.dust.equivalence * life.dust_caught.value() / input.stages[0].area.value();
    const double bridged = bridging_mass(pack).bridged->value();
    CHECK(load == Approx(bridged).epsilon(1e-9));
    CHECK(life.limit_met);
    // A final resistance that comes first ends it there.
    input.stages[0].final_resistance = 250 * Pa;
    const FilterLife sooner = filter_life(input);
    CHECK(sooner.end == LifeEnd::final_resistance);
    CHECK(sooner.time < life.time);
    CHECK(sooner.moments.back().filter_drop / Pa == Approx(250.0).epsilon(1e-7));
}

TEST_CASE("sizes over two stages: each class of dust by itself, by small steps", "[own][loading]") {
    FilterLifeInput input{.fan = fan_curve(test::falling_table())};
    input.ducts.power_laws.push_back({110 * Pa, 1 * m3_per_s, 1.9, duct_design_air()});
    input.air = duct_design_air();
    input.dust = {90 * ug_per_m3,
                  0.7,
                  {{{0.3 * um, 1 * um, false}, 0.25}, {{1 * um, 3 * um, false}, 0.35}, {sizes_above(3 * um), 0.4}}};
    const auto stage = [](double r, std::vector<SizeLoading> sizes, double area) {
        FilterStage made;
        made.clean = {r * Pa_s_per_m3, 12 * Pa_s2_per_m6, duct_design_air()};
        made.law = {LoadingForm::smooth, ReferenceArea::media, 55 * g_per_m2, 60 * g_per_m2, {}};
        made.area = area * m2;
        made.by_size = std::move(sizes);
        return made;
    };
    input.stages = {stage(25, {{0.05, 0.0, 1 * m2_per_kg}, {0.4, 0.0, 3 * m2_per_kg}, {1.6, 0.0, 2 * m2_per_kg}}, 1.4),
                    stage(50, {{0.3, 0.9, 4 * m2_per_kg, 15 * g_per_m2}, {0.9, 0.8, 5 * m2_per_kg, 15 * g_per_m2},
                               {2.5, 0.2, 5 * m2_per_kg, 15 * g_per_m2}}, 5.0)};
    input.horizon = 1500 * h;
    const FilterLife life = filter_life(input);
    REQUIRE(life.end == LifeEnd::horizon);

    // The same by the midpoint rule with 3000 steps in time, each class followed on its way through both stages.
    const double c = input.dust.concentration.value(), e = input.dust.equivalence;
    struct State {
        double mass[2] = {0.0, 0.0}, clean_air[3] = {0.0, 0.0, 0.0}, passed = 0.0, arrived = 0.0;
    };
    const auto rate = [&](const State& at) {
        SystemCurve system = input.ducts;
        double load[2];
        for (std::size_t k = 0; k < 2; ++k) {
            load[k] = e * at.mass[k] / input.stages[k].area.value();
            system = in_series(system, loaded_curve(input.stages[k].clean, input.stages[k].law,
                                                    MassPerArea::from_value(load[k])));
        }
        const double q = operating_flow(std::get<FanCurve>(input.fan), system, input.air).flow->value();
        State r;
        for (std::size_t i = 0; i < 3; ++i) {
            const double arrives = q * c * input.dust.classes[i].share;
            double left = arrives;
            for (std::size_t k = 0; k < 2; ++k) {
                const SizeLoading& law = input.stages[k].by_size[i];
                const double x = law.mechanical + law.gain.value() * load[k] +
                                 law.charge * std::exp(-load[k] / law.charge_scale.value());
                const double stopped = left * (1.0 - std::exp(-x));
                r.mass[k] += stopped;
                left -= stopped;
            }
            r.arrived += arrives;
            r.passed += left;
            r.clean_air[i] = q * (1.0 - left / arrives);
        }
        return r;
    };
    const auto moved = [](State to, const State& r, double time) {
        for (int k = 0; k < 2; ++k) to.mass[k] += time * r.mass[k];
        for (int i = 0; i < 3; ++i) to.clean_air[i] += time * r.clean_air[i];
        to.passed += time * r.passed;
        to.arrived += time * r.arrived;
        return to;
    };
    State end;
    const int steps = 3000;
    const double step = input.horizon.value() / steps;
    for (int i = 0; i < steps; ++i) end = moved(end, rate(moved(end, rate(end), 0.5 * step)), step);
    const LifeMoment& last = life.moments.back();
    for (std::size_t k = 0; k < 2; ++k) CHECK(last.retained[k].value() == Approx(end.mass[k]).epsilon(1e-6));
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(last.clean_air_by_size[i].value() == Approx(end.clean_air[i]).epsilon(1e-6));
    }
    CHECK(life.dust_delivered.value() == Approx(end.passed).epsilon(1e-6));
    CHECK(life.dust_arrived.value() == Approx(end.arrived).epsilon(1e-6));
    // The charge fades: the second stage stops less of the finest dust than at first.
    CHECK(last.removed_by_size[0] < life.moments.front().removed_by_size[0]);
}

TEST_CASE("mass in is mass caught and mass passed, random lives", "[own][loading]") {
    std::mt19937_64 random(41);
    for (std::size_t n = test::sweep_length(300); n > 0; --n) {
        FilterLifeInput input = test::random_installation(random);
        if (n % 3 == 0) {   // a second stage behind the first
            const FilterLifeInput other = test::random_installation(random);
            if (other.stages[0].by_size.size() == input.stages[0].by_size.size()) {
                input.stages.push_back(other.stages[0]);
                input.stages[0].final_resistance.reset();
                input.stages[1].final_resistance.reset();
            }
        }
        const FilterLife life = filter_life(input);
        if (life.moments.empty()) continue;
        INFO("case " << n << ": " << life.reason);
        const double c = input.dust.concentration.value();
        for (const LifeMoment& at : life.moments) {
            // Caught by the stages. Passed: the dust of the air that was not cleaned. In: that of all of the air.
            double caught = 0.0;
            for (const Mass& mass : at.retained) caught += mass.value();
            const double in = c * at.delivered.value(), passed = in - c * at.clean_air.value();
            CHECK(caught + passed == Approx(in).epsilon(1e-9).margin(1e-12));
        }
        // Passed, by the share that is not caught, integrated over the life by Simpson's rule: many pieces, as
        // growth and fan have kinks.
        if (!(life.time.value() > 0.0)) continue;
        const std::vector<LifeMoment> series = life_series(life_course(input), life.time / 1600.0);
        REQUIRE(series.size() == 1601);
        double passed = 0.0;
        for (std::size_t i = 0; i < series.size(); ++i) {
            double share = 1.0;
            for (const double caught : series[i].caught_share) share -= caught;
            const double weight = i == 0 || i == 1600 ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
            passed += weight / 4800.0 * life.time.value() * c * series[i].flow.value() * share;
        }
        CHECK(life.dust_delivered.value() == Approx(passed).epsilon(1e-6));
    }
}

TEST_CASE("pressure never falls with dust while the flow is held, random lives", "[own][loading]") {
    std::mt19937_64 random(42);
    std::size_t seen = 0;
    for (std::size_t n = test::sweep_length(300); n > 0; --n) {
        FilterLifeInput input = test::random_installation(random);
        input.fan = flow_holding_fan(test::holding_table());
        const FilterLife life = filter_life(input);
        const double held = life.moments.empty() ? 0.0 : life.moments.front().flow.value();
        double last = 0.0;
        for (const LifeMoment& at : life.moments) {
            if (!(std::abs(at.flow.value() - held) < 1e-12 * held)) break;   // the fan can hold it no longer
            CHECK(at.filter_drop.value() >= last * (1.0 - 1e-12));
            last = at.filter_drop.value();
            ++seen;
        }
    }
    CHECK(seen > test::sweep_length(300));
}
