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

TEST_CASE("wet bulb and enthalpy equal a general psychrometrics library", "[own]") {
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
    CHECK_THROWS_WITH(from_wet_bulb(20, 21), Contains("wet_bulb = 294.15 K"));
    CHECK_THROWS_WITH(from_wet_bulb(40, 5), Contains("humidity ratio of that wet bulb = -"));
    CHECK_THROWS_AS(moist_air_enthalpy(AirState{}), DomainError);
}
