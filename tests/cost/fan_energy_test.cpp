// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include <filterflow/cost/energy_parts.hpp>
#include <filterflow/cost/fan_energy.hpp>
#include <filterflow/loading/service_history.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

FanTable blower(const std::string& name) {
    FanTable table;
    table.stated_air = fan_table_air();
    for (const auto& row : test::ReferenceTable("fan_curves.csv")) {
        if (row["fan_id"] != name) continue;
        table.points.push_back(
            {row.number("flow_m3_s") * m3_per_s, row.number("pressure_Pa") * Pa, row.number("power_W") * W});
    }
    return table;
}

AirService reference_service(Pressure drop) {
    return {.flow = 0.944 * m3_per_s, .mean_drop = drop, .overall_efficiency = 0.5, .running_time = 6000 * h};
}

}   // namespace

// Reference conditions of the European recommendation (0.944 m3/s, 6000 h, 50 %; read) and a procurement limit of
// 1050 kWh (read); what is compared was computed from them beside the table.
TEST_CASE("attributable energy at the reference conditions", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    for (const auto& row : table) {
        if (row["id"] != "attributable energy") continue;
        if (row["unit"] == "kWh/Pa") {
            CHECK(attributable_energy(reference_service(1 * Pa)) / kWh == Approx(row.number("expected")).epsilon(1e-6));
        } else {
            const Pressure drop = row.number("expected") * Pa;
            CHECK(attributable_energy(reference_service(drop)) / kWh == Approx(1050.0).epsilon(1e-3));
        }
    }
}

TEST_CASE("mean pressure drop by the shape of the rise", "[own][cost]") {
    // 80 to 250 Pa: 165.0, 149.2, 136.7 Pa and 1869, 1690, 1548 kWh (own figures of a second program).
    const auto mean = [](PressureRise shape) { return mean_pressure_drop(80 * Pa, 250 * Pa, shape) / Pa; };
    CHECK(mean(PressureRise::linear) == Approx(165.0).margin(0.05));
    CHECK(mean(PressureRise::exponential) == Approx(149.2).margin(0.05));
    CHECK(mean(PressureRise::quadratic) == Approx(136.7).margin(0.05));
    CHECK(attributable_energy(reference_service(mean(PressureRise::exponential) * Pa)) / kWh ==
          Approx(1690).margin(0.6));
    CHECK(mean_pressure_drop(100 * Pa, 100 * Pa, PressureRise::exponential) / Pa == 100.0);
    CHECK(mean_pressure_drop(100 * Pa, 100.0011 * Pa, PressureRise::exponential) / Pa ==
          Approx(100.00055).epsilon(1e-9));
}

// Zaatari, Novoselac, Siegel 2014 (abstract, read): from a coarse to a fine filter the fan's energy fell by 8 to 13 %
// without speed control and rose by 11 to 18 % with it. The sign alone is checked: that study's pressures are not known
// and these blowers are made up (tests/reference/fan_curves.csv says so). 100 Pa of ducts, 25 then 60 Pa of filter, at
// 0.566 m3/s (1200 cfm).
TEST_CASE("a finer filter changes the fan's energy by the kind of control", "[outside][cost]") {
    const AirState air = fan_table_air();
    const SystemCurve ducts = system_from_design_point({.flow = 1200 * cfm, .pressure = 100 * Pa, .air = air});
    const auto filter = [&](double drop) {   // mostly viscous
        const double q = 1200 * cfm / m3_per_s;
        return ElementCurve{0.8 * drop / q * Pa_s_per_m3, 0.2 * drop / (q * q) * Pa_s2_per_m6, air};
    };
    const auto changes = [&](const Fan& fan) {
        // Both with filter against the same ducts without one: the difference of two counterfactuals.
        const auto coarse = counterfactual_power(fan, FilterInSystem{in_series(ducts, filter(25.0)), ducts}, air);
        const auto fine = counterfactual_power(fan, FilterInSystem{in_series(ducts, filter(60.0)), ducts}, air);
        const double base = coarse.with_filter.power->value();
        return std::array{
            100.0 * (fine.power_difference - coarse.power_difference).value() / base,
            100.0 * (fine.flow_difference - coarse.flow_difference).value() / coarse.with_filter.flow.value()};
    };
    const auto induction = changes(fan_curve(blower("FC_PSC_synthetic")));
    const auto torque = changes(fan_curve(blower("FC_CT_synthetic")));
    const auto holding = changes(flow_holding_fan(blower("FC_CA_synthetic")));
    for (const auto& row : test::ReferenceTable("filter_field_results.csv")) {
        const bool controlled = row["system"].find("no fan-speed control") == std::string::npos;
        const double ours = controlled ? holding[0] : induction[0];
        INFO(row["system"] << ": measured " << row["value"] << " %, these blowers " << ours << " %");
        REQUIRE(row["value"].front() == (controlled ? '+' : '-'));
        CHECK((ours > 0.0) == controlled);
        CHECK(ours != 0.0);
    }
    CHECK(induction[1] < 0.0);
    CHECK(torque[0] > 0.0);   // a torque-holding motor speeds up: between the two
    CHECK(torque[0] < holding[0]);
    CHECK(torque[1] < 0.0);
    CHECK(holding[1] == Approx(0.0).margin(1e-9));
}

namespace {

/// Invented: two stages, the second with a gap around it, loading before a fan at fixed speed.
FilterLifeInput two_stages() {
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = duct_design_air();
    FilterLifeInput input{.fan = fan_curve(table)};
    input.ducts = system_from_design_point({.flow = 1.0 * m3_per_s, .pressure = 150 * Pa, .air = duct_design_air()});
    const LoadingLaw law{LoadingForm::smooth, ReferenceArea::media, 80 * g_per_m2, 60 * g_per_m2, {}};
    input.stages = {{.clean = {30 * Pa_s_per_m3, 10 * Pa_s2_per_m6, duct_design_air()},
                     .law = law,
                     .area = 1.5 * m2,
                     .efficiency = {0.5, 0.0, 1 * kg_per_m2}},
                    {.clean = {70 * Pa_s_per_m3, 5 * Pa_s2_per_m6, duct_design_air()},
                     .law = law,
                     .area = 4.0 * m2,
                     .efficiency = {0.8, 0.0, 1 * kg_per_m2},
                     .gap_area = 5 * cm2}};
    input.dust = {.concentration = 60 * ug_per_m3, .equivalence = 0.8};
    input.running_fraction = 0.5;
    input.air = duct_design_air();
    input.horizon = 6000 * h;
    return input;
}

}   // namespace

TEST_CASE("a fan's energy adds up from its parts", "[own][cost]") {
    const FilterLifeInput input = two_stages();
    const FilterLife life = filter_life(input);
    const EnergyParts parts = energy_parts(life.moments);
    CHECK(parts.fan.value() == life.moments.back().fan_energy->value());
    CHECK((parts.filters + parts.ducts).value() == Approx(parts.fan.value()).epsilon(1e-14));
    CHECK((parts.stages[0] + parts.stages[1]).value() == Approx(parts.filters.value()).epsilon(1e-14));
    CHECK((parts.air_in_filters + parts.air_in_ducts + parts.lost).value() == Approx(parts.fan.value()).epsilon(1e-14));
    for (const Energy& part :
         {parts.filters, parts.ducts, parts.stages[0], parts.stages[1], parts.air_in_ducts, parts.lost}) {
        CHECK(part.value() > 0.0);
    }
    // Second method: Simpson's rule on whole lives of equally spaced lengths.
    constexpr int n = 24;
    double filters = 0.0, first = 0.0, air = 0.0, of_filters = 0.0;
    for (int i = 0; i <= n; ++i) {
        LifeMoment at = life.moments.front();
        if (i > 0) {
            FilterLifeInput part = input;
            part.horizon = (6000.0 * i / n) * h;
            at = filter_life(part).moments.back();
        }
        const double w = (i == 0 || i == n ? 1.0 : i % 2 == 1 ? 4.0 : 2.0) * 6000.0 * 3600.0 / n / 3.0;
        const double share = at.power->value() / at.external_static_pressure.value();
        filters += w * share * at.filter_drop.value();
        first += w * share * at.stage_drops[0].value();
        air += w * (at.flow * at.external_static_pressure).value();
        of_filters += w * (at.flow * at.filter_drop).value();
    }
    CHECK(parts.filters.value() == Approx(filters).margin(1e-5 * parts.fan.value()).epsilon(0));
    CHECK(parts.stages[0].value() == Approx(first).margin(1e-5 * parts.fan.value()).epsilon(0));
    CHECK((parts.air_in_filters + parts.air_in_ducts).value() ==
          Approx(air).margin(1e-5 * parts.fan.value()).epsilon(0));
    CHECK(parts.air_in_filters.value() == Approx(of_filters).margin(1e-5 * parts.fan.value()).epsilon(0));

    // Where stages are changed the pressures jump; the parts still add up, and over two equal lives they double.
    FilterLifeInput changed = input;
    changed.stages.resize(1);
    changed.stages[0].final_resistance = 120 * Pa;
    const FilterLife one = filter_life(changed);
    REQUIRE(one.end == LifeEnd::final_resistance);
    changed.horizon = 2.0 * one.time;
    const EnergyParts twice = energy_parts(service_history(changed).moments), once = energy_parts(one.moments);
    CHECK(twice.filters.value() == Approx(2.0 * once.filters.value()).epsilon(1e-6));
    CHECK(twice.lost.value() == Approx(2.0 * once.lost.value()).epsilon(1e-6));
}

TEST_CASE("counterfactual energy over the same time and for the same air", "[own][cost]") {
    const FilterLifeInput input = two_stages();
    const FilterLife life = filter_life(input);
    const OperatingState without = operating_state(std::get<FanCurve>(input.fan), input.ducts, input.air, FanScale{});
    const CounterfactualEnergy found = counterfactual_energy(cycle_until(life.moments.back()), without);
    // The induction fan uses less with its filters on, and more for the same air.
    CHECK(found.same_time.value() < 0.0);
    CHECK(found.same_air.value() > 0.0);
    const Time saved = 6000 * h - life.moments.back().delivered / without.flow;
    CHECK((found.same_air - found.same_time).value() == Approx((*without.power * saved).value()).epsilon(1e-12));
    OperatingState unknown = without;
    unknown.power.reset();
    CHECK_THROWS_WITH(counterfactual_energy(cycle_until(life.moments.back()), unknown), Contains("has no power"));
    CHECK_THROWS_WITH(energy_parts(std::vector<LifeMoment>{}), Contains("required: at least 2"));
}

TEST_CASE("energy refuses what cannot be", "[own][cost]") {
    AirService service = reference_service(100 * Pa);
    service.overall_efficiency = 1.4;
    CHECK_THROWS_WITH(attributable_energy(service), Contains("overall_efficiency = 1.4"));
    service = reference_service(-1 * Pa);
    CHECK_THROWS_WITH(attributable_energy(service), Contains("mean_drop = -1 Pa"));
    CHECK_THROWS_AS(mean_pressure_drop(0 * Pa, 10 * Pa, PressureRise::exponential), DomainError);
    FanTable table;
    table.points = {{0.1 * m3_per_s, 300 * Pa, {}}, {1.0 * m3_per_s, 50 * Pa, {}}};
    table.stated_air = fan_test_air();
    const SystemCurve ducts =
        system_from_design_point({.flow = 0.6 * m3_per_s, .pressure = 150 * Pa, .air = fan_test_air()});
    CHECK_THROWS_WITH(counterfactual_power(fan_curve(table), FilterInSystem{ducts, ducts}, fan_test_air()),
                      Contains("has no power"));
}
