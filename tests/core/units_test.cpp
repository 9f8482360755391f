// SPDX-License-Identifier: BSL-1.0
// Unit constants against published values and against the `units` program where the build found it.

#include <array>
#include <cstdio>
#include <memory>
#include <string>
#include <type_traits>

#include <boost/units/systems/si.hpp>

#include <filterflow/core/money.hpp>
#include <filterflow/core/text.hpp>
#include <filterflow/core/units.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

#ifdef FILTERFLOW_UNITS_PROGRAM
/// The first line that a command prints, or an empty string.
std::string first_line_of(const std::string& command) {
    std::string line;
    if (FILE* pipe = popen(command.c_str(), "r")) {
        std::array<char, 200> buffer{};
        if (std::fgets(buffer.data(), static_cast<int>(buffer.size()), pipe)) line = buffer.data();
        pclose(pipe);
    }
    while (!line.empty() && (line.back() == '\n' || line.back() == ' ')) line.pop_back();
    return line;
}
#endif

}   // namespace

TEST_CASE("unit constants equal the published ones", "[outside]") {
    // The table's sources: NIST SP 811 and the international inch, both from memory.
    const ReferenceTable table("unit_constants.csv");
    const auto text = [&](const char* quantity) { return table.row("quantity", quantity)["value"]; };
    CHECK((1 * inch).value() == parse_quantity<Length>(text("1 inch")).value());
    CHECK((1 * fpm).value() == Approx(parse_quantity<Velocity>(text("1 ft/min")).value()).epsilon(1e-15));
    CHECK((1 * cfm).value() == Approx(parse_quantity<VolumeFlow>(text("1 ft3/min")).value()).epsilon(1e-15));
    CHECK((1 * inH2O).value() == parse_quantity<Pressure>(text("1 in. H2O conventional")).value());
    CHECK((1 * inH2O_60F).value() == parse_quantity<Pressure>(text("1 in. H2O at 60 F")).value());
    CHECK((1 * mmH2O).value() == parse_quantity<Pressure>(text("1 mm H2O conventional")).value());
    CHECK((1 * hp).value() == Approx(parse_quantity<Power>(text("1 hp (mechanical)")).value()).epsilon(1e-9));
    // The conventional inch is 25.4 conventional millimetres of water: two columns of the table meet.
    CHECK(25.4 * mmH2O / inH2O == Approx(1.0).epsilon(1e-8));
    // 6343.31 cfm in.wg make one horsepower with the conventional inch of water.
    CHECK((1 * hp).value() / ((1 * cfm).value() * (1 * inH2O).value()) == Approx(6343.31).epsilon(1e-6));
}

TEST_CASE("dimensions written out are those that Boost.Units works out", "[outside]") {
    namespace si = boost::units::si;
    const auto same = []<class Q, class U>(Q, U) { return std::is_same_v<typename Q::unit_type, U>; };
    CHECK(same(Length(), si::length()));
    CHECK(same(Area(), si::area()));
    CHECK(same(Volume(), si::volume()));
    CHECK(same(Time(), si::time()));
    CHECK(same(Mass(), si::mass()));
    CHECK(same(Temperature(), si::temperature()));
    CHECK(same(Velocity(), si::velocity()));
    CHECK(same(VolumeFlow(), si::volume() / si::time()));
    CHECK(same(MassFlow(), si::mass() / si::time()));
    CHECK(same(Pressure(), si::pressure()));
    CHECK(same(Density(), si::mass_density()));
    CHECK(same(DynamicViscosity(), si::dynamic_viscosity()));
    CHECK(same(Power(), si::power()));
    CHECK(same(Energy(), si::energy()));
    CHECK(same(InverseLength(), si::dimensionless() / si::length()));
    CHECK(same(MassPerArea(), si::mass() / si::area()));
    CHECK(same(LinearResistance(), si::pressure() / (si::volume() / si::time())));
    CHECK(same(QuadraticResistance(), si::pressure() * si::time() * si::time() / (si::volume() * si::volume())));
    CHECK(same(LinearLayerResistance(), si::pressure() / si::velocity()));
    CHECK(same(QuadraticLayerResistance(), si::pressure() / (si::velocity() * si::velocity())));
    CHECK(same(NumberConcentration(), si::dimensionless() / si::volume()));
    CHECK(same(DiffusionCoefficient(), si::area() / si::time()));
    CHECK(same(Rate(), si::dimensionless() / si::time()));
    CHECK(same(SpecificEnergy(), si::energy() / si::mass()));
    CHECK(same(SurfaceCharge(), si::electric_charge() / si::area()));
    CHECK(same(LineCharge(), si::electric_charge() / si::length()));
    CHECK_FALSE(same(Pressure(), si::energy()));
}

#ifdef FILTERFLOW_UNITS_PROGRAM
TEST_CASE("unit constants equal those of the units program", "[outside]") {
    const std::string units_program = FILTERFLOW_UNITS_PROGRAM;   // found when the build was configured
    const std::string version = first_line_of(units_program + " --version 2>&1");
    INFO(version);
    REQUIRE_THAT(version, Catch::Matchers::StartsWith("GNU Units"));
    struct Case {
        const char* expression;   // of the program, with the SI unit it is converted to
        const char* si;
        double ours;
    };
    const Case cases[] = {
        {"inch", "m", (1 * inch).value()},
        {"foot", "m", (1 * ft).value()},
        {"micron", "m", (1 * um).value()},
        {"ft^2", "m^2", (1 * ft2).value()},
        {"litre", "m^3", (1 * litre).value()},
        {"ft^3", "m^3", (1 * ft3).value()},
        {"hour", "s", (1 * h).value()},
        {"day", "s", (1 * day).value()},
        {"week", "s", (1 * week).value()},
        {"8760 hour", "s", (1 * year).value()},
        {"ft/min", "m/s", (1 * fpm).value()},
        {"ft^3/min", "m^3/s", (1 * cfm).value()},
        {"litre/min", "m^3/s", (1 * L_per_min).value()},
        {"m^3/hour", "m^3/s", (1 * m3_per_h).value()},
        {"lb/ft^3", "kg/m^3", (1 * lb_per_ft3).value()},
        {"hp", "W", (1 * hp).value()},
        {"kWh", "J", (1 * kWh).value()},
        {"inH2O", "Pa", (1 * inH2O).value()},
        {"mmH2O", "Pa", (1 * mmH2O).value()},
        {"mg/m^3", "kg/m^3", (1 * mg_per_m3).value()},
        {"1/minute", "1/s", (1 * rpm).value()},
    };
    for (const Case& c : cases) {
        INFO(c.expression);
        const std::string answer = first_line_of(units_program + " --terse --output-format %.14g '" + c.expression +
                                                 "' '" + c.si + "' 2>&1");
        INFO(answer);
        CHECK(std::stod(answer) == Approx(c.ours).epsilon(1e-8));   // its inch of water is g times 4 degC water
    }
    CHECK(std::stod(first_line_of(units_program + " --terse --output-format %.14g 'tempF(70)' 'K' 2>&1")) ==
          Approx(from_fahrenheit(70) / K).epsilon(1e-12));
    CHECK(std::stod(first_line_of(units_program + " --terse --output-format %.14g 'tempC(21)' 'K' 2>&1")) ==
          Approx(from_celsius(21) / K).epsilon(1e-12));
}
#endif

TEST_CASE("temperatures are made from their scales", "[outside]") {
    // Definitions of the scales (SI brochure, NIST SP 811; from memory).
    CHECK(from_celsius(0) / K == 273.15);
    CHECK(from_fahrenheit(32) / K == Approx(273.15).epsilon(1e-15));
    CHECK(from_fahrenheit(-40) / K == Approx(from_celsius(-40) / K).epsilon(1e-15));
    CHECK(to_celsius(from_celsius(21.5)) == Approx(21.5).epsilon(1e-14));
}

TEST_CASE("a named unit makes quantities of whole and broken numbers and reads them", "[own]") {
    CHECK((300 * cfm) / cfm == Approx(300.0).epsilon(1e-15));
    CHECK((1 * m) / 2.0 == 0.5 * m);
    CHECK((3 * inch + 2.5 * cm) / m == Approx(0.1012).epsilon(1e-15));
    CHECK((0.3F * m).value() == static_cast<double>(0.3F));
    // Money composes: a price per energy times an energy is money, money over time is a rate.
    const Money cost = 0.2 * money_per_kWh * (5 * kWh);
    CHECK(cost / money == Approx(1.0).epsilon(1e-15));
    const MoneyRate rate = 0.2 * money_per_kWh * (300 * W);
    CHECK(rate / money_per_h == Approx(0.06).epsilon(1e-14));
    const MoneyPerVolume price = rate / (1000 * m3_per_h);
    CHECK(price / money_per_1000_m3 == Approx(0.06).epsilon(1e-14));
}
