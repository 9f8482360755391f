// SPDX-License-Identifier: BSL-1.0
// What an airflow means: the trade's factors, energy balances, cautions that defer.

#include <string>
#include <tuple>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/airflow_meaning.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {
/// Dry air of 0.075 lb/ft3, as the trade's factors have it.
AirState handbook_air() {
    AirState air = fan_table_air();
    air.density = 0.075 * lb_per_ft3;
    air.humidity_ratio = 0.0;
    return air;
}
}   // namespace

TEST_CASE("the trade's factor of sensible heat, and its usual airflow for cooling", "[outside]") {
    // tests/reference/duct_checks.csv; 1.08 takes 0.24 Btu/(lb F) where dry air has 0.2403.
    const test::ReferenceTable checks("duct_checks.csv");
    const double factor = 1.0 / (temperature_rise(1 * Btu_per_h, 1 * cfm, handbook_air()).value() * 1.8);
    CHECK(factor == Approx(checks.row("quantity", "I-P sensible factor").number("expected")).epsilon(2e-3));
    CHECK(400 * cfm_per_ton / m3_per_s_per_kW ==
          Approx(checks.row("quantity", "usual in SI").number("expected")).epsilon(2e-4));
    const double usual = checks.row("quantity", "usual").number("expected");
    const AirflowMeaning meaning = airflow_meaning({.cooling_capacity = 3 * ton}, 3 * usual * cfm, handbook_air());
    CHECK(*meaning.per_cooling_capacity / cfm_per_ton == Approx(usual).epsilon(1e-12));
    CHECK(meaning.cautions.empty());
}

TEST_CASE("temperature rise is an energy balance", "[own]") {
    // tests/reference/duct_checks.csv, computed rows.
    const test::ReferenceTable checks("duct_checks.csv");
    CHECK(temperature_rise(80000 * Btu_per_h, 1200 * cfm, handbook_air()).value() * 1.8 ==
          Approx(checks.row("quantity", "temperature rise").number("expected")).epsilon(2e-3));
    AirState dry = duct_design_air();
    dry.humidity_ratio = 0.0;
    CHECK(1.0 / temperature_rise(1 * W, 1 * m3_per_s, dry).value() ==
          Approx(checks.row("quantity", "SI sensible factor").number("expected")).epsilon(1e-4));
    const AirState moist = moist_air({.temperature = from_celsius(24), .pressure = 84 * kPa, .relative_humidity = 0.6});
    const Temperature rise = temperature_rise(9 * kW, 0.5 * m3_per_s, moist);
    CHECK(flow_for_rise(9 * kW, rise, moist) / m3_per_s == Approx(0.5).epsilon(1e-13));
    // Dry air and vapour each take their own.
    const double dry_mass = moist.density.value() * 0.5 / (1.0 + moist.humidity_ratio);
    CHECK(dry_mass * (1006.0 + 1860.0 * moist.humidity_ratio) * rise.value() == Approx(9000.0).epsilon(1e-12));
    CHECK(temperature_rise(-9 * kW, 0.5 * m3_per_s, moist).value() == Approx(-rise.value()).epsilon(1e-15));
    CHECK(face_velocity(0.6 * m3_per_s, 0.3 * m2) / m_per_s == Approx(2.0).epsilon(1e-15));
}

TEST_CASE("a coil at less air leaves the air colder and does less", "[own]") {
    const CoilRating coil{.flow = 0.6 * m3_per_s, .bypass_factor = 0.2, .surface = from_celsius(9)};
    const AirState air = moist_air({.temperature = from_celsius(26), .pressure = 100 * kPa, .relative_humidity = 0.3});
    const CoilDuty rated = coil_duty(coil, 0.6 * m3_per_s, air);
    CHECK(rated.bypass_factor == Approx(0.2).epsilon(1e-14));
    CHECK(to_celsius(rated.leaving) == Approx(9 + 0.2 * 17).epsilon(1e-12));
    // Energy balance: what the air loses is the heat taken.
    CHECK((air.temperature - rated.leaving).value() ==
          Approx(temperature_rise(rated.sensible_heat, 0.6 * m3_per_s, air).value()).epsilon(1e-12));
    double leaving = rated.leaving.value(), heat = rated.sensible_heat.value();
    for (const double q : {0.5, 0.4, 0.3, 0.2}) {
        const CoilDuty less = coil_duty(coil, q * m3_per_s, air);
        CHECK(less.leaving.value() < leaving);
        CHECK(less.sensible_heat.value() < heat);
        CHECK(less.sensible_heat.value() > q / 0.6 * rated.sensible_heat.value());   // not in proportion
        leaving = less.leaving.value();
        heat = less.sensible_heat.value();
    }
}

TEST_CASE("cautions come where they belong, and defer", "[own]") {
    AirflowEquipment equipment{.heating_output = 18 * kW,
                               .rated_rise = RatedRise{20 * K, 40 * K},
                               .cooling_capacity = 10 * kW,
                               .filter_face = 0.31 * m2,
                               .coil_face = 0.25 * m2};
    const AirState air = duct_design_air();
    const auto has = [&](double flow, AirflowCaution caution) {
        for (const AirflowCaution c : airflow_meaning(equipment, flow * m3_per_s, air).cautions) {
            if (c == caution) return true;
        }
        return false;
    };
    for (const auto& [caution, low, high, below] :
         {std::tuple(AirflowCaution::heating_rise_above_rating, 0.30, 0.40, true),
          {AirflowCaution::heating_rise_below_rating, 0.70, 0.80, false},
          {AirflowCaution::little_air_for_cooling, 0.45, 0.50, true},
          {AirflowCaution::much_air_for_cooling, 0.58, 0.62, false},
          {AirflowCaution::fast_through_filter, 0.45, 0.49, false},
          {AirflowCaution::fast_through_coil, 0.60, 0.66, false}}) {
        CAPTURE(low, high);
        CHECK(has(low, caution) == below);
        CHECK(has(high, caution) != below);
    }
    equipment.deep_filter = true;
    CHECK_FALSE(has(0.7, AirflowCaution::fast_through_filter));
    CHECK(has(0.8, AirflowCaution::fast_through_filter));
    // Without a nameplate there is no verdict on heat; without equipment there is none at all.
    equipment.rated_rise.reset();
    CHECK_FALSE(has(0.1, AirflowCaution::heating_rise_above_rating));
    const AirflowMeaning nothing = airflow_meaning({}, 0.5 * m3_per_s, air);
    CHECK((!nothing.heating_rise && !nothing.per_cooling_capacity && !nothing.filter_face_velocity &&
           nothing.cautions.empty()));
    for (int i = 0; i <= static_cast<int>(AirflowCaution::fast_through_coil); ++i) {
        const std::string text(caution_text(static_cast<AirflowCaution>(i)));
        CHECK((text.find("decide") != std::string::npos));   // who decides
    }
}

TEST_CASE("the meaning of an airflow refuses what is none", "[own]") {
    const AirState air = duct_design_air();
    CHECK_THROWS_AS(temperature_rise(1 * kW, 0 * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(temperature_rise(1 * kW, 1 * m3_per_s, AirState{}), DomainError);
    CHECK_THROWS_AS(flow_for_rise(1 * kW, 0 * K, air), DomainError);
    CHECK_THROWS_AS(face_velocity(1 * m3_per_s, 0 * m2), DomainError);
    CHECK_THROWS_WITH(
        airflow_meaning({.heating_output = 1 * kW, .rated_rise = RatedRise{30 * K, 20 * K}}, 1 * m3_per_s, air),
        Contains("rated_rise.greatest - least = -10 K"));
    CHECK_THROWS_AS(airflow_meaning({.cooling_capacity = 0 * kW}, 1 * m3_per_s, air), DomainError);
    CHECK_THROWS_WITH(
        coil_duty({.flow = 1 * m3_per_s, .bypass_factor = 1.0, .surface = from_celsius(9)}, 1 * m3_per_s, air),
        Contains("coil.bypass_factor = 1"));
    CHECK_THROWS_AS(
        coil_duty({.flow = 1 * m3_per_s, .bypass_factor = 0.2, .surface = from_celsius(9), .transfer_exponent = 0.9},
                  1 * m3_per_s, air),
        DomainError);
}
