// SPDX-License-Identifier: BSL-1.0
// Moisture read from an air state, against a general psychrometrics library and against the state it was made of.

#include <filterflow/air/humidity.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

AirState room_air(double celsius, double humidity, double pascal = 101325.0) {
    return moist_air({.temperature = from_celsius(celsius), .pressure = pascal * Pa, .relative_humidity = humidity});
}

}   // namespace

TEST_CASE("moisture of air equals a general psychrometrics library", "[outside]") {
    // psychrolib (npm 1.1.1): tests/reference/psychrolib_grid.csv; its dew points are iterated to 0.001 K.
    for (const ReferenceRow& row : ReferenceTable("psychrolib_grid.csv")) {
        INFO(row["temperature_C"] << " degC, " << row["pressure_Pa"] << " Pa, " << row["relative_humidity"]);
        const double humidity = row.number("relative_humidity");
        const AirState air = room_air(row.number("temperature_C"), humidity, row.number("pressure_Pa"));
        CHECK(vapour_pressure(air) / Pa == Approx(row.number("vapour_pressure_Pa")).epsilon(1e-12));
        CHECK(air.humidity_ratio == Approx(row.number("humidity_ratio")).epsilon(1e-12));
        CHECK(relative_humidity(air) == Approx(humidity).epsilon(1e-12));
        CHECK(to_celsius(dew_point(air)) == Approx(row.number("dew_point_C")).epsilon(0).margin(0.0011));
        CHECK(1.0 / (dry_air_density(air) / kg_per_m3) == Approx(row.number("specific_volume_m3_kg")).epsilon(1e-12));
        CHECK(air.density / kg_per_m3 == Approx(row.number("density_kg_m3")).epsilon(1e-12));
    }
    const ReferenceTable values("psychrolib_values.csv");
    const AirState example =
        moist_air(HumidityRatioConditions{.temperature = from_celsius(40),
                                          .pressure = 101325 * Pa,
                                          .humidity_ratio = values.row("quantity", "Ex1_W").number("value_SI")});
    CHECK(relative_humidity(example) == Approx(values.row("quantity", "Ex1_RH").number("value_SI")).epsilon(1e-12));
    CHECK(to_celsius(dew_point(example)) ==
          Approx(values.row("quantity", "Ex1_Tdp").number("value_SI")).epsilon(0).margin(0.001));
}

TEST_CASE("dew point and humidity ratio read back as the air they came from", "[own]") {
    for (const double t : {-70.0, -20.0, -0.001, 0.0, 0.003, 18.0, 95.0, 180.0}) {
        for (const double humidity : {0.01, 0.3, 0.8, 1.0}) {
            const AirState air = room_air(t, humidity, 2e6);
            const Temperature dew = dew_point(air);
            CAPTURE(t, humidity, dew / K);
            CHECK(saturation_pressure(dew) / Pa ==
                  Approx(vapour_pressure(air) / Pa).epsilon(1.1e-4));   // the gap at 0 degC
            if (dew != from_celsius(0)) {
                CHECK(saturation_pressure(dew) / Pa == Approx(vapour_pressure(air) / Pa).epsilon(1e-12));
            }
            const AirState again = moist_air(
                DewPointConditions{.temperature = air.temperature, .dew_point = dew, .pressure = air.pressure});
            CHECK(again.humidity_ratio == Approx(air.humidity_ratio).epsilon(1.1e-4));
            const AirState same = moist_air(HumidityRatioConditions{
                .temperature = air.temperature, .pressure = air.pressure, .humidity_ratio = air.humidity_ratio});
            CHECK(same.density == air.density);
            CHECK(same.viscosity == air.viscosity);
        }
    }
    // A vapour pressure between the fits over ice and over water belongs to 0 degC.
    const AirState between =
        moist_air(HumidityRatioConditions{.temperature = from_celsius(20),
                                          .pressure = 101325 * Pa,
                                          .humidity_ratio = 0.621945 * 611.18 / (101325 - 611.18)});
    CHECK(dew_point(between) == from_celsius(0));
}

TEST_CASE("derivatives of the dew point agree with differences", "[own]") {
    using D = Dual<2>;
    const auto of = [](double kelvin, double humidity) {
        return dew_point(moist_air({.temperature = kelvin * K, .pressure = 98e3 * Pa, .relative_humidity = humidity})) /
               K;
    };
    for (const double kelvin : {262.0, 299.0}) {
        const D dew =
            dew_point(moist_air(BasicMoistAirConditions<D>{BasicTemperature<D>::from_value(D::input(kelvin, 0)),
                                                           BasicPressure<D>::from_value(D(98e3)), D::input(0.5, 1)}))
                .value();
        CHECK(dew.value == of(kelvin, 0.5));
        CHECK(dew.derivative[0] == Approx((of(kelvin + 1e-3, 0.5) - of(kelvin - 1e-3, 0.5)) / 2e-3).epsilon(1e-6));
        CHECK(dew.derivative[1] == Approx((of(kelvin, 0.501) - of(kelvin, 0.499)) / 2e-3).epsilon(1e-5));
    }
}

TEST_CASE("moisture refuses what cannot be", "[own]") {
    CHECK_THROWS_WITH(dew_point(room_air(20, 0)), Contains("vapour pressure = 0 Pa"));
    CHECK_THROWS_AS(dew_point(AirState{}), DomainError);
    CHECK_THROWS_AS(relative_humidity(AirState{}), DomainError);
    CHECK_THROWS_AS(vapour_pressure(AirState{}), DomainError);
    CHECK_THROWS_AS(dry_air_density(AirState{}), DomainError);
    CHECK_THROWS_WITH(moist_air(DewPointConditions{from_celsius(20), from_celsius(21), 101325 * Pa}),
                      Contains("dew_point = 294.15 K") && Contains("at most the dry bulb; given: 21 degC"));
    CHECK_THROWS_AS(moist_air(DewPointConditions{from_celsius(120), from_celsius(110), 101325 * Pa}), DomainError);
    CHECK_THROWS_WITH(moist_air(HumidityRatioConditions{from_celsius(20), 101325 * Pa, 0.02}),
                      Contains("humidity_ratio = 0.02") && Contains("at most 0.0146"));
    CHECK_THROWS_AS(moist_air(HumidityRatioConditions{from_celsius(20), 101325 * Pa, -1e-9}), DomainError);
}
