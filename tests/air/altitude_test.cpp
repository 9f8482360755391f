// SPDX-License-Identifier: BSL-1.0
// The air of an altitude, exact and as the handbooks have it.

#include <cmath>
#include <string>

#include <filterflow/air/altitude.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("air of the standard atmosphere agrees with its table", "[outside]") {
    // US Standard Atmosphere 1976, table, as held in the tests of the Python library fluids:
    // tests/reference/air_checks.csv.
    int checked = 0;
    for (const ReferenceRow& row : ReferenceTable("air_checks.csv")) {
        if (row["id"] != "standard atmosphere") continue;
        const AirState air = standard_atmosphere_at(std::stod(row["inputs"].substr(2)) * m);
        const std::string& quantity = row["quantity"];
        const double expected = row.number("expected");
        if (quantity.ends_with(" T K")) CHECK(air.temperature / K == Approx(expected).epsilon(1e-4));
        else if (quantity.ends_with(" p Pa")) CHECK(air.pressure / Pa == Approx(expected).epsilon(1e-4));
        else if (quantity.ends_with(" rho kg/m3")) CHECK(air.density / kg_per_m3 == Approx(expected).epsilon(5e-5));
        else CHECK(air.viscosity / Pa_s == Approx(expected).epsilon(5e-5));
        ++checked;
    }
    CHECK(checked == 8);
    CHECK(standard_atmosphere_at(0 * m).density / isa_sea_level_air().density == Approx(1.0).epsilon(1e-6));
}

TEST_CASE("the handbooks' pressure at altitude is met", "[outside]") {
    // ASHRAE Handbook Fundamentals 2017, chapter 1, table 1 (to 1 Pa): tests/reference/air_checks.csv.
    int checked = 0;
    for (const ReferenceRow& row : ReferenceTable("air_checks.csv")) {
        if (row["id"] != "standard pressure") continue;
        const Length z = std::stod(row["inputs"].substr(2)) * m;
        CHECK(handbook_pressure_at(z) / Pa == Approx(row.number("expected")).epsilon(0).margin(1.0));
        ++checked;
    }
    CHECK(checked == 2);
    // The general psychrometrics library psychrolib (npm 1.1.1): tests/reference/psychrolib_values.csv.
    const ReferenceTable values("psychrolib_values.csv");
    for (const int metres : {0, 500, 1000, 1609, 3000}) {
        const std::string name = "StdAtmPressure_" + std::to_string(metres) + "m_Pa";
        CHECK(handbook_pressure_at(metres * m) / Pa ==
              Approx(values.row("quantity", name).number("value_SI")).epsilon(1e-14));
    }
}

TEST_CASE("handbook and exact atmosphere differ as stated", "[own]") {
    CHECK((standard_pressure_at(1000 * m) - handbook_pressure_at(1000 * m)) / Pa == Approx(1.8).margin(0.3).epsilon(0));
    CHECK((standard_pressure_at(4000 * m) - handbook_pressure_at(4000 * m)) / Pa ==
          Approx(20.0).margin(1.0).epsilon(0));
    CHECK(to_celsius(handbook_temperature_at(2000 * m)) == Approx(2.0).epsilon(1e-13));
    // At the geopotential height the exact atmosphere is the handbooks' but for rounded constants.
    for (const double z : {-400.0, 0.0, 1500.0, 9000.0}) {
        CHECK(standard_pressure_at_geopotential(z * m) / Pa == Approx(handbook_pressure_at(z * m) / Pa).epsilon(2e-5));
    }
    const AirState air = handbook_atmosphere_at(1500 * m);
    CHECK(air.density / kg_per_m3 == Approx(air.pressure / Pa / (287.042 * (air.temperature / K))).epsilon(1e-14));
    CHECK(air.viscosity == air_viscosity(air.temperature));
}

TEST_CASE("density factors agree with a table whose title is not recorded", "[own]") {
    int checked = 0;
    for (const ReferenceRow& row : ReferenceTable("air_checks.csv")) {
        if (row["id"] != "density factor") continue;
        const std::string& text = row["inputs"];   // as "1000 ft;70 F;ref 70 F"
        const AltitudeConditions conditions{.altitude = std::stod(text) * ft,
                                            .temperature = from_fahrenheit(std::stod(text.substr(text.find(';') + 1)))};
        CAPTURE(text);
        CHECK(fan_density_factor(conditions) == Approx(row.number("expected")).epsilon(0).margin(0.002));
        ++checked;
    }
    CHECK(checked == 4);
    // It is the density of dry air there over that of the fan tables' air at sea level.
    const AirState there = moist_air(
        {.temperature = from_celsius(35), .pressure = handbook_pressure_at(1800 * m), .relative_humidity = 0.0});
    const AirState here =
        moist_air({.temperature = from_fahrenheit(70), .pressure = 101325 * Pa, .relative_humidity = 0.0});
    CHECK(fan_density_factor({1800 * m, from_celsius(35)}) ==
          Approx((there.density / here.density).value()).epsilon(1e-12));
}

TEST_CASE("altitudes outside the atmosphere's first layer are refused", "[own]") {
    CHECK_THROWS_WITH(handbook_pressure_at(12000 * m), Contains("altitude = 12000 m"));
    CHECK_THROWS_AS(handbook_temperature_at(-6000 * m), DomainError);
    CHECK_THROWS_AS(standard_atmosphere_at(NAN * m), DomainError);
    CHECK_THROWS_AS(handbook_atmosphere_at(11001 * m), DomainError);
    CHECK_THROWS_AS(fan_density_factor({0 * m, 20 * K}), DomainError);
}
