// SPDX-License-Identifier: BSL-1.0
// The reference formula for the density of moist air, and how far the library's ideal gas is from it.

#include <cmath>

#include <filterflow/air/reference_density.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("compressibility of dry air equals a published constant", "[outside]") {
    // Ciddor 1996, constant Z_a for 15 degC, 101325 Pa, dry, 450 ppm of carbon dioxide (from memory).
    const ReferenceTable table("air_checks.csv");
    CHECK(detail::cipm_compressibility(288.15, 101325.0, 0.0) ==
          Approx(table.row("id", "CIPM compressibility").number("expected")).epsilon(1e-10));
}

TEST_CASE("reference density agrees with the short formula of OIML R 111", "[outside]") {
    // rho = (0.34848 p - 0.009 h exp(0.061 t))/(273.15 + t), p hPa, h %, t degC (formula from memory); 2e-4.
    for (const double t : {15.0, 20.0, 25.0}) {
        for (const double humidity : {0.0, 30.0, 60.0}) {
            for (const double p : {950.0, 1013.25, 1040.0}) {
                const double brief = (0.34848 * p - 0.009 * humidity * std::exp(0.061 * t)) / (273.15 + t);
                const MoistAirConditions conditions{.temperature = from_celsius(t),
                                                    .pressure = p * hPa,
                                                    .relative_humidity = humidity / 100};
                CHECK(reference_density(conditions) / kg_per_m3 == Approx(brief).epsilon(2e-4));
            }
        }
    }
}

TEST_CASE("reference density equals the tabulated column, the ideal gas is 0.06 % off at most", "[own]") {
    const ReferenceTable table("air_properties.csv");
    for (const ReferenceRow& row : table) {
        INFO(row["t_C"] << " degC, RH " << row["RH"]);
        const MoistAirConditions conditions{.temperature = from_celsius(row.number("t_C")),
                                            .pressure = row.number("p_Pa") * Pa,
                                            .relative_humidity = row.number("RH")};
        const double reference = reference_density(conditions) / kg_per_m3;
        CHECK(reference == Approx(row.number("rho_CIPM2007_kg_m3")).epsilon(1e-6));
        CHECK(moist_air(conditions).density / kg_per_m3 == Approx(reference).epsilon(6e-4));
    }
}

TEST_CASE("air of the reference formula is what its parts are", "[own]") {
    const MoistAirConditions room{.temperature = from_celsius(23), .pressure = 99e3 * Pa, .relative_humidity = 0.55};
    const AirState air = reference_air(room);
    CHECK(air.density == reference_density(room));
    CHECK(air.viscosity == air_viscosity(room.temperature));
    // More vapour than ideal gases have, by the enhancement factor of about 1.004.
    CHECK(air.humidity_ratio / moist_air(room).humidity_ratio == Approx(1.004).margin(0.001).epsilon(0));
    using D = Dual<3>;
    const D density =
        reference_air(BasicMoistAirConditions<D>{BasicTemperature<D>::from_value(D::input(296.15, 0)),
                                                 BasicPressure<D>::from_value(D::input(99e3, 1)), D::input(0.55, 2)})
            .density.value();
    const auto of = [](double t, double p, double humidity) {
        return reference_density({.temperature = t * K, .pressure = p * Pa, .relative_humidity = humidity}) / kg_per_m3;
    };
    CHECK(density.derivative[0] == Approx((of(296.16, 99e3, 0.55) - of(296.14, 99e3, 0.55)) / 0.02).epsilon(1e-6));
    CHECK(density.derivative[1] == Approx((of(296.15, 99010, 0.55) - of(296.15, 98990, 0.55)) / 20).epsilon(1e-6));
    CHECK(density.derivative[2] == Approx((of(296.15, 99e3, 0.56) - of(296.15, 99e3, 0.54)) / 0.02).epsilon(1e-6));
    CHECK_THROWS_AS(reference_air({.temperature = from_celsius(60), .pressure = 101325 * Pa, .relative_humidity = 0.5}),
                    DomainError);
}

TEST_CASE("reference density refuses what lies outside its range", "[own]") {
    const MoistAirConditions hot{.temperature = from_celsius(60), .pressure = 101325 * Pa, .relative_humidity = 0.5};
    CHECK_THROWS_WITH(reference_density(hot), Contains("273.15 to 313.15 K"));
    const MoistAirConditions room{.temperature = from_celsius(20), .pressure = 101325 * Pa, .relative_humidity = 0.5};
    CHECK_THROWS_AS(reference_density(room, 0.5), DomainError);
}
