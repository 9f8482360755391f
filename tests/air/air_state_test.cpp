// SPDX-License-Identifier: BSL-1.0
// Air against published values ([outside]) and against the same equations worked out elsewhere ([own]).

#include <cmath>
#include <string>

#include <filterflow/air.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

/// The number after "name=" in a row's inputs, as in "t=5 C;p=95461 Pa".
double input(const ReferenceRow& row, const std::string& name) {
    const std::string text = ";" + row["inputs"];
    const std::size_t at = text.find(";" + name + "=");
    if (at == std::string::npos) throw std::runtime_error("no input " + name + " in " + text);
    return std::stod(text.substr(at + name.size() + 2));
}

/// Half width of the row's tolerance, given as "rel 0.0003" or "abs 1".
double tolerance(const ReferenceRow& row) {
    const std::string& text = row["tolerance"];
    const double number = std::stod(text.substr(4));
    return text.rfind("rel", 0) == 0 ? number * std::abs(row.number("expected")) : number;
}

void check(const ReferenceRow& row, double result) {
    INFO(row["quantity"] << " at " << row["inputs"] << "; " << row["source"]);
    CHECK(result == Approx(row.number("expected")).epsilon(0).margin(tolerance(row)));
}

}   // namespace

TEST_CASE("saturation pressure, humidity ratio and density agree with the handbook's tables", "[outside]") {
    const ReferenceTable table("air_checks.csv");
    int checked = 0;
    for (const ReferenceRow& row : table) {
        if (row["id"] == "saturation pressure") {
            check(row, saturation_pressure(from_celsius(input(row, "t"))) / Pa);
            ++checked;
        } else if (row["id"] == "humidity ratio") {
            check(row, humidity_ratio(
                           VapourState{.vapour_pressure = input(row, "pw") * Pa, .pressure = input(row, "p") * Pa}));
            ++checked;
        } else if (row["id"] == "saturation humidity ratio") {
            const AirState saturated = moist_air({.temperature = from_celsius(input(row, "t")),
                                                  .pressure = input(row, "p") * Pa,
                                                  .relative_humidity = 1.0});
            check(row, saturated.humidity_ratio);
            ++checked;
        } else if (row["id"] == "moist air density") {
            // The row states the humidity ratio: find the vapour pressure that gives it.
            const double w = input(row, "W");
            const double p = input(row, "p");
            const Temperature t = from_celsius(input(row, "t"));
            const Pressure vapour = p * w / (w + 0.621945) * Pa;
            const AirState air = moist_air(
                {.temperature = t, .pressure = p * Pa, .relative_humidity = vapour / saturation_pressure(t)});
            check(row, air.density / kg_per_m3);
            ++checked;
        }
    }
    CHECK(checked == 6);
}

TEST_CASE("the standard atmosphere agrees with its table", "[outside]") {
    const ReferenceTable table("air_checks.csv");
    int checked = 0;
    for (const ReferenceRow& row : table) {
        if (row["id"] == "standard atmosphere") {
            const Length z = input(row, "z") * m;
            const AirState air = moist_air({.temperature = standard_temperature_at(z),
                                            .pressure = standard_pressure_at(z),
                                            .relative_humidity = 0.0});
            const std::string& quantity = row["quantity"];
            if (quantity.ends_with(" T K")) check(row, air.temperature / K);
            else if (quantity.ends_with(" p Pa")) check(row, air.pressure / Pa);
            else if (quantity.ends_with(" rho kg/m3")) check(row, air.density / kg_per_m3);
            else if (quantity.ends_with(" mu Pa.s")) check(row, air.viscosity / Pa_s);
            else FAIL("unknown quantity " << quantity);
            ++checked;
        }
    }
    CHECK(checked == 8);
}

TEST_CASE("density at altitude agrees with a textbook", "[outside]") {
    const ReferenceTable table("air_checks.csv");
    // The textbook scales the density of 1.2 kg/m3 at 20 degC and 1013.25 mbar.
    const ReferenceRow& textbook = table.row("id", "density at altitude");
    const AirState cold =
        moist_air({.temperature = from_celsius(-10.0), .pressure = 575 * hPa, .relative_humidity = 0.0});
    const AirState room =
        moist_air({.temperature = from_celsius(20.0), .pressure = 1013.25 * hPa, .relative_humidity = 0.0});
    check(textbook, input(textbook, "rho20") * (cold.density / room.density).value());
}

TEST_CASE("standard air at sea level is that of the US Standard Atmosphere 1976", "[outside]") {
    CHECK(isa_sea_level_air().density / kg_per_m3 == 1.225);
    CHECK(isa_sea_level_air().viscosity / Pa_s == Approx(1.7894e-5).epsilon(1e-4));
}

TEST_CASE("the named standard airs are what their names say", "[own]") {
    // From memory: ASHRAE Handbook (duct design), fan trade practice, fan test standards.
    CHECK(duct_design_air().density / kg_per_m3 == 1.204);
    CHECK(fan_table_air().density / kg_per_m3 == Approx(1.2014).epsilon(2e-5));
    CHECK(fan_table_air().density / lb_per_ft3 == Approx(0.075).epsilon(1e-14));
    CHECK(fan_test_air().density / kg_per_m3 == 1.2);
    // Each lies within 0.3 % of the ideal gas at its own temperature, pressure and moisture.
    for (const AirState& air : {duct_design_air(), fan_table_air(), fan_test_air(), isa_sea_level_air()}) {
        const double ideal = detail::moist_air_density(air.temperature / K, air.pressure / Pa, air.humidity_ratio);
        CHECK(air.density / kg_per_m3 == Approx(ideal).epsilon(3e-3));
    }
}

TEST_CASE("moist air equals a general psychrometrics library", "[outside]") {
    // psychrolib (npm 1.1.1): tests/reference/psychrolib_values.csv.
    const ReferenceTable table("psychrolib_values.csv");
    const auto value = [&](const char* name) { return table.row("quantity", name).number("value_SI"); };
    for (const int celsius : {5, 25, 50}) {
        const std::string name = "SatVapPres_" + std::to_string(celsius) + "C_Pa";
        CHECK(saturation_pressure(from_celsius(celsius)) / Pa == Approx(value(name.c_str())).epsilon(1e-12));
    }
    struct Case {
        double celsius, humidity;
        const char* tag;
    };
    for (const Case& c : {Case{10, 0.5, "10C_0.5RH"}, Case{20, 0.5, "20C_0.5RH"}, Case{25, 0.5, "25C_0.5RH"},
                          Case{30, 0.8, "30C_0.8RH"}}) {
        const AirState air = moist_air({.temperature = from_celsius(c.celsius),
                                        .pressure = 101325 * Pa,
                                        .relative_humidity = c.humidity});
        CHECK(air.humidity_ratio == Approx(value((std::string("W_") + c.tag).c_str())).epsilon(1e-12));
        CHECK(air.density / kg_per_m3 ==
              Approx(value((std::string("MoistAirDensity_") + c.tag + "_101325").c_str())).epsilon(1e-7));
    }
}

TEST_CASE("moist air equals the tabulated ideal-gas column", "[own]") {
    const ReferenceTable table("air_properties.csv");
    for (const ReferenceRow& row : table) {
        INFO(row["t_C"] << " degC, RH " << row["RH"]);
        const AirState air = moist_air({.temperature = from_celsius(row.number("t_C")),
                                        .pressure = row.number("p_Pa") * Pa,
                                        .relative_humidity = row.number("RH")});
        CHECK(air.density / kg_per_m3 == Approx(row.number("rho_ideal_kg_m3")).epsilon(1e-6));
        CHECK(air.humidity_ratio == Approx(row.number("W_kg_kg")).epsilon(0).margin(6e-8));
        CHECK(air.viscosity / Pa_s == Approx(row.number("mu_dry_Pa_s")).epsilon(4e-6));
    }
}

TEST_CASE("saturation pressure is continuous at the freezing point", "[own]") {
    const double ice = saturation_pressure(Temperature::from_value(273.15 - 1e-9)) / Pa;
    const double water = saturation_pressure(Temperature::from_value(273.15)) / Pa;
    CHECK(ice == Approx(water).epsilon(1.1e-4));   // 0.06 Pa in 611 Pa: two fits meet
}

TEST_CASE("derivatives of the air state agree with differences", "[own]") {
    using D = Dual<3>;
    const double t = 294.0, p = 98000.0, humidity = 0.45;
    const auto density = [](double kelvin, double pascal, double rh) {
        return moist_air({.temperature = kelvin * K, .pressure = pascal * Pa, .relative_humidity = rh}).density /
               kg_per_m3;
    };
    const auto air = moist_air(BasicMoistAirConditions<D>{BasicTemperature<D>::from_value(D::input(t, 0)),
                                                          BasicPressure<D>::from_value(D::input(p, 1)),
                                                          D::input(humidity, 2)});
    const auto& d = air.density.value();
    CHECK(d.value == density(t, p, humidity));
    const double by_t = (density(t + 0.01, p, humidity) - density(t - 0.01, p, humidity)) / 0.02;
    const double by_p = (density(t, p + 10, humidity) - density(t, p - 10, humidity)) / 20;
    const double by_rh = (density(t, p, humidity + 1e-4) - density(t, p, humidity - 1e-4)) / 2e-4;
    CHECK(d.derivative[0] == Approx(by_t).epsilon(1e-6));
    CHECK(d.derivative[1] == Approx(by_p).epsilon(1e-6));
    CHECK(d.derivative[2] == Approx(by_rh).epsilon(1e-6));
    const auto lifted = air_as<D>(duct_design_air());
    CHECK(lifted.density.value().value == 1.204);
    CHECK(lifted.density.value().derivative == std::array<double, 3>{});
}

TEST_CASE("air refuses what it cannot be", "[own]") {
    const MoistAirConditions good{.temperature = 293.15 * K, .pressure = 101325 * Pa, .relative_humidity = 0.5};
    const auto with = [&](auto change) {
        MoistAirConditions c = good;
        change(c);
        return c;
    };
    CHECK_THROWS_WITH(moist_air(with([](auto& c) { c.temperature = 21 * K; })),
                      Contains("moist_air: temperature = 21 K") &&
                          Contains("173.15 to 473.15 K (-100 to 200 degC; given: -252.15 degC)"));
    CHECK_THROWS_AS(moist_air(with([](auto& c) { c.pressure = 0 * Pa; })), DomainError);
    CHECK_THROWS_AS(moist_air(with([](auto& c) { c.pressure = NAN * Pa; })), DomainError);
    CHECK_THROWS_WITH(moist_air(with([](auto& c) { c.relative_humidity = 50.0; })),
                      Contains("relative_humidity = 50") && Contains("0 to 1"));
    CHECK_THROWS_WITH(moist_air(with([](auto& c) {
                          c.temperature = from_celsius(120);
                          c.relative_humidity = 0.9;
                      })),
                      Contains("above the vapour pressure"));
    CHECK_THROWS_AS(standard_pressure_at(12000 * m), DomainError);
    CHECK_THROWS_AS(air_viscosity(100 * K), DomainError);
    CHECK_THROWS_AS(humidity_ratio(VapourState{.vapour_pressure = 3000 * Pa, .pressure = 2000 * Pa}), DomainError);
}
