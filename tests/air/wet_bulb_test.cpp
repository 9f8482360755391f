// SPDX-License-Identifier: BSL-1.0
// Wet bulb readings and enthalpy against a handbook example and a general psychrometrics library.

#include <string>

#include <filterflow/air/wet_bulb.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

AirState from_wet_bulb(double dry, double wet) {
    return moist_air(WetBulbConditions{
        .temperature = from_celsius(dry), .wet_bulb = from_celsius(wet), .pressure = 101325 * Pa});
}

}   // namespace

TEST_CASE("a wet bulb gives the handbook's example", "[outside]") {
    // ASHRAE Handbook Fundamentals 2017, chapter 1, example 1: 40 degC dry, 20 degC wet, read off the chart.
    const ReferenceTable table("air_checks.csv");
    const AirState air = from_wet_bulb(40, 20);
    int checked = 0;
    for (const ReferenceRow& row : table) {
        if (row["id"] != "wet bulb example") continue;
        const std::string& quantity = row["quantity"];
        const double expected = row.number("expected");
        if (quantity.ends_with("humidity ratio")) {
            CHECK(air.humidity_ratio == Approx(expected).epsilon(0).margin(0.00011));
        } else if (quantity.ends_with("enthalpy")) {
            CHECK(moist_air_enthalpy(air) / kJ_per_kg == Approx(expected).epsilon(0).margin(0.1));
        } else {   // specific volume per mass of dry air
            CHECK((1 + air.humidity_ratio) / (air.density / kg_per_m3) == Approx(expected).epsilon(1e-3));
        }
        ++checked;
    }
    CHECK(checked == 3);
}

TEST_CASE("wet bulb and enthalpy equal a general psychrometrics library", "[outside]") {
    // psychrolib (npm 1.1.1): tests/reference/psychrolib_values.csv and psychrolib_grid.csv, whose wet bulbs are
    // iterated to 0.001 K.
    const ReferenceTable table("psychrolib_values.csv");
    const auto value = [&](const std::string& name) { return table.row("quantity", name).number("value_SI"); };
    const AirState example = from_wet_bulb(40, 20);
    CHECK(example.humidity_ratio == Approx(value("Ex1_W")).epsilon(1e-12));
    CHECK(moist_air_enthalpy(example).value() == Approx(value("Ex1_h")).epsilon(1e-12));
    CHECK(from_wet_bulb(26.7, 19.4).humidity_ratio == Approx(value("CalcTwb_26.7_19.4_W")).epsilon(1e-12));
    CHECK(from_wet_bulb(12.8, 11.7).humidity_ratio == Approx(value("CalcTwb_12.8_11.7_W")).epsilon(1e-12));
    const AirState warm =
        moist_air({.temperature = from_celsius(30), .pressure = 101325 * Pa, .relative_humidity = 0.8});
    CHECK(moist_air_enthalpy(warm).value() == Approx(value("MoistAirEnthalpy_30C_0.8RH")).epsilon(1e-12));
    for (const ReferenceRow& row : ReferenceTable("psychrolib_grid.csv")) {
        INFO(row["temperature_C"] << " degC, " << row["pressure_Pa"] << " Pa, " << row["relative_humidity"]);
        const AirState air = moist_air({.temperature = from_celsius(row.number("temperature_C")),
                                        .pressure = row.number("pressure_Pa") * Pa,
                                        .relative_humidity = row.number("relative_humidity")});
        CHECK(to_celsius(wet_bulb(air)) == Approx(row.number("wet_bulb_C")).epsilon(0).margin(0.0011));
        CHECK(moist_air_enthalpy(air).value() == Approx(row.number("enthalpy_J_kg")).epsilon(1e-11));
    }
}

TEST_CASE("the wet bulb of an air state reads back as that air", "[own]") {
    // moist_air(WetBulbConditions) has the equation in its other form. Wet bulbs just below 0 degC are left out: there
    // the equations over ice and over water both have a solution.
    for (const double t : {-60.0, -20.0, -1.0, 0.0, 3.0, 25.0, 80.0, 130.0, 190.0}) {
        for (const double humidity : {1e-3, 0.05, 0.3, 0.7, 0.99, 1.0}) {
            for (const double pascal : {60e3, 101325.0, 2e6}) {
                if (saturation_pressure(from_celsius(t)) * humidity >= 0.999 * pascal * Pa) continue;
                const AirState air = moist_air(
                    {.temperature = from_celsius(t), .pressure = pascal * Pa, .relative_humidity = humidity});
                const Temperature wet = wet_bulb(air);
                CAPTURE(t, humidity, pascal, wet / K);
                CHECK(wet <= air.temperature);
                const AirState back = moist_air(
                    WetBulbConditions{.temperature = air.temperature, .wet_bulb = wet, .pressure = air.pressure});
                CHECK(back.humidity_ratio == Approx(air.humidity_ratio).epsilon(1e-9).margin(1e-13));
            }
        }
    }
    using D = Dual<3>;
    const auto of = [](double t, double pascal, double humidity) {
        return wet_bulb(moist_air({.temperature = t * K, .pressure = pascal * Pa, .relative_humidity = humidity})) / K;
    };
    for (const double t : {265.0, 303.0}) {
        const D wet = wet_bulb(moist_air(BasicMoistAirConditions<D>{BasicTemperature<D>::from_value(D::input(t, 0)),
                                                                    BasicPressure<D>::from_value(D::input(95e3, 1)),
                                                                    D::input(0.4, 2)})).value();
        CHECK(wet.value == of(t, 95e3, 0.4));
        CHECK(wet.derivative[0] == Approx((of(t + 1e-3, 95e3, 0.4) - of(t - 1e-3, 95e3, 0.4)) / 2e-3).epsilon(1e-6));
        CHECK(wet.derivative[1] == Approx((of(t, 95010, 0.4) - of(t, 94990, 0.4)) / 20).epsilon(1e-6));
        CHECK(wet.derivative[2] == Approx((of(t, 95e3, 0.401) - of(t, 95e3, 0.399)) / 2e-3).epsilon(1e-4));
    }
}

TEST_CASE("wet bulb equal to dry bulb is saturation, above and below freezing", "[own]") {
    for (const double t : {-15.0, -1.0, 5.0, 25.0}) {
        const AirState saturated =
            moist_air({.temperature = from_celsius(t), .pressure = 101325 * Pa, .relative_humidity = 1.0});
        CHECK(from_wet_bulb(t, t).humidity_ratio == Approx(saturated.humidity_ratio).epsilon(1e-3));
    }
    using D = Dual<1>;
    const auto ratio = moist_air(BasicWetBulbConditions<D>{BasicTemperature<D>::from_value(D(303.15)),
                                                           BasicTemperature<D>::from_value(D::input(293.15, 0)),
                                                           BasicPressure<D>::from_value(D(101325.0))}).humidity_ratio;
    const double slope = (from_wet_bulb(30, 20.01).humidity_ratio - from_wet_bulb(30, 19.99).humidity_ratio) / 0.02;
    CHECK(ratio.derivative[0] == Approx(slope).epsilon(1e-6));
}

TEST_CASE("wet bulbs that cannot be are refused", "[own]") {
    CHECK_THROWS_WITH(from_wet_bulb(20, 21), Contains("wet_bulb = 294.15 K") &&
                                                Contains("(-100 to 20 degC, at most the dry bulb; given: 21 degC)"));
    CHECK_THROWS_WITH(from_wet_bulb(40, 5), Contains("humidity ratio of that wet bulb = -"));
    CHECK_THROWS_AS(moist_air_enthalpy(AirState{}), DomainError);
    CHECK_THROWS_AS(wet_bulb(AirState{}), DomainError);
    AirState foggy = from_wet_bulb(20, 20);
    foggy.humidity_ratio *= 1.2;
    CHECK_THROWS_WITH(wet_bulb(foggy), Contains("relative humidity = 1.19") && Contains("at most 1"));
}
