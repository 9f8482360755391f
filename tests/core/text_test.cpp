// SPDX-License-Identifier: BSL-1.0
// Text of quantities: every unit there and back, aliases, and what a stranger is told.

#include <clocale>
#include <locale>
#include <sstream>
#include <limits>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/text.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

template <class Q>
std::size_t offset_of_error(const std::string& text) {
    try {
        parse_quantity<Q>(text);
    } catch (const TextError& error) {
        return error.offset;
    }
    FAIL("no error for " << text);
    return 0;
}

template <class Q>
std::string message_of(const std::string& text) {
    try {
        parse_quantity<Q>(text);
    } catch (const TextError& error) {
        return error.what();
    }
    return "no error";
}

}   // namespace

TEST_CASE("every spelling is one unit, and every named unit is printed as it is read", "[own]") {
    int spellings = 0;
    for (const auto& unit : detail::unit_names) {
        std::string_view rest = unit.spellings;
        while (!rest.empty()) {
            const std::size_t bar = rest.find('|');
            const std::string spelling(rest.substr(0, bar));
            INFO(spelling);
            CHECK(detail::find_unit_name(spelling) == &unit);   // no spelling stands in two rows
            CHECK(detail::plain_unit_text(spelling) == spelling);
            ++spellings;
            rest = bar == std::string_view::npos ? std::string_view() : rest.substr(bar + 1);
        }
    }
    CHECK(spellings > 130);
    // One row for each of the 64 named units, two ratios, degC and degF, and three pressures that are only read.
    CHECK(std::size(detail::unit_names) == 72);
}

TEST_CASE("quantities are read", "[own]") {
    CHECK(parse_quantity<Pressure>("0.5 inH2O") == 0.5 * inH2O);
    CHECK(parse_quantity<Pressure>("0.5 in. w.g.") == 0.5 * inH2O);
    CHECK(parse_quantity<Pressure>("  +12.5Pa ") == 12.5 * Pa);
    CHECK(parse_quantity<Pressure>("1e3 Pa") == 1 * kPa);
    CHECK(parse_quantity<Pressure>("-.5 hPa") == -0.5 * hPa);
    CHECK(parse_quantity<VolumeFlow>("800 cfm") == 800 * cfm);
    CHECK(parse_quantity<VolumeFlow>("800 ft3/min") == 800 * cfm);
    CHECK(parse_quantity<VolumeFlow>("800 ft³/min") == 800 * cfm);
    CHECK(parse_quantity<VolumeFlow>("800 ft^3/min") == 800 * cfm);
    CHECK(parse_quantity<Length>("24 in") == 24 * inch);
    CHECK(parse_quantity<Length>("0.3 µm") == 0.3 * um);   // micro sign
    CHECK(parse_quantity<Length>("0.3 μm") == 0.3 * um);   // Greek letter
    CHECK(parse_quantity<MassConcentration>("35 ug/m3") == 35 * ug_per_m3);
    CHECK(parse_quantity<MassConcentration>("35 µg/m³") == 35 * ug_per_m3);
    CHECK(parse_quantity<Velocity>("2.5 m/s") == 2.5 * m_per_s);
    CHECK(parse_quantity<DynamicViscosity>("1.8e-5 Pa s") == 1.8e-5 * Pa_s);
    CHECK(parse_quantity<DynamicViscosity>("1.8e-5 Pa·s") == 1.8e-5 * Pa_s);
    CHECK(parse_quantity<Energy>("3 kWh") == 3 * kWh);
    CHECK(parse_quantity<EnergyPrice>("0.15 money/kWh") == 0.15 * money_per_kWh);
    CHECK(parse_quantity<MoneyPerVolume>("2 money/1000 m3") == 2 * money_per_1000_m3);
    CHECK(parse_quantity<MassPerArea>("40 g/m2") == 40 * g_per_m2);
    CHECK(parse_quantity<Time>("3000 h") == 3000 * h);
    CHECK(parse_quantity<Rate>("4 1/h") == 4 * per_h);
    CHECK(parse_quantity<NumberConcentration>("2000 1/cm3") == 2000 * per_cm3);
    CHECK(parse_quantity<double>("45 %") == 0.45);
    CHECK(parse_quantity<double>("45%") == 0.45);
    CHECK(parse_quantity<double>("0.45") == 0.45);
    CHECK(parse_quantity<Temperature>("21 degC") == from_celsius(21));
    CHECK(parse_quantity<Temperature>("21 °C") == from_celsius(21));
    CHECK(parse_quantity<Temperature>("70 degF") / K == Approx(from_fahrenheit(70) / K).epsilon(1e-15));
    CHECK(parse_quantity<Temperature>("294 K") == 294 * K);
    CHECK(parse_quantity<QuadraticResistance>("3 Pa s2/m6") == 3 * Pa_s2_per_m6);
}

TEST_CASE("pressures of barometers and gauges are read", "[outside]") {
    // NIST SP 811 (2008), appendix B.8, to the seven digits printed there (from memory): millimetre and inch of
    // mercury, conventional; pound-force per square inch; bar.
    CHECK(parse_quantity<Pressure>("1 mmHg").value() == Approx(133.3224).epsilon(5e-7));
    CHECK(parse_quantity<Pressure>("1 inHg").value() == Approx(3386.389).epsilon(5e-7));
    CHECK(parse_quantity<Pressure>("1 psi").value() == Approx(6894.757).epsilon(5e-7));
    CHECK(parse_quantity<Pressure>("1 mbar").value() == Approx(100.0).epsilon(1e-15));
    // A standard atmosphere is 760 mmHg, 29.92 inHg and 14.696 psi, to the digits by which each is known.
    CHECK(parse_quantity<Pressure>("760 mm Hg").value() == Approx(101325.0).epsilon(2e-7));
    CHECK(parse_quantity<Pressure>("29.9213 in. Hg").value() == Approx(101325.0).epsilon(2e-6));
    CHECK(parse_quantity<Pressure>("14.6959 psia").value() == Approx(101325.0).epsilon(4e-6));
}

TEST_CASE("times are read as people write them", "[own]") {
    CHECK(parse_quantity<Time>("1 a") == 1 * year);
    CHECK(parse_quantity<Time>("12 mo") == 12 * month);
    CHECK(parse_quantity<Time>("2 yrs") == 2 * year);
    CHECK(parse_quantity<Time>("900 hrs") == 900 * h);
    CHECK(parse_quantity<Time>("6 wk") == 6 * week);
}

TEST_CASE("units are read by themselves, as in a column's head", "[own]") {
    CHECK(parse_unit<VolumeFlow>("cfm").factor == 1 * cfm / m3_per_s);
    CHECK(parse_unit<VolumeFlow>("cfm").offset == 0.0);
    CHECK(parse_unit<Temperature>("degF").factor == Approx(1 / 1.8).epsilon(1e-15));
    CHECK(parse_unit<Temperature>("degC").offset == 273.15);
    CHECK(parse_unit<double>("").factor == 1.0);
    CHECK(parse_unit<double>("%").factor == 0.01);
    CHECK_THROWS_AS(parse_unit<Pressure>(""), TextError);
    CHECK(unit_dimension_name("in. w.g.") == "pressure");
    CHECK(unit_dimension_name("cfm") == unit_dimension_name<VolumeFlow>());
    CHECK(unit_dimension_name<double>() == "plain ratio");
    CHECK(accepted_units<Velocity>() == "m/s, fpm");
    CHECK_THROWS_AS(unit_dimension_name("furlong"), TextError);
}

TEST_CASE("messages say what is wrong, what is accepted, and where", "[own]") {
    CHECK(message_of<Pressure>("0.5 inHO") ==
          "unknown unit \"inHO\"; expected a unit of pressure (Pa, hPa, kPa, inH2O, inH2O_60F, inH2O_68F, mmH2O, "
          "mmHg, inHg, psi)");
    CHECK(offset_of_error<Pressure>("0.5 inHO") == 4);
    CHECK(message_of<Pressure>("800 cfm") ==
          "unit \"cfm\" is one of volume flow; expected a unit of pressure (Pa, hPa, kPa, inH2O, inH2O_60F, "
          "inH2O_68F, mmH2O, mmHg, inHg, psi)");
    CHECK(offset_of_error<Pressure>("800 cfm") == 4);
    CHECK_THAT(message_of<Pressure>("12"), Contains("the unit is missing; expected a unit of pressure"));
    CHECK(offset_of_error<Pressure>("12") == 2);
    CHECK_THAT(message_of<Pressure>("0,5 Pa"), Contains("comma in a number"));
    CHECK(offset_of_error<Pressure>("0,5 Pa") == 1);
    CHECK_THAT(message_of<Pressure>(""), Contains("a number is missing"));
    CHECK_THAT(message_of<Pressure>("  Pa"), Contains("not a number: \"Pa\""));
    CHECK(offset_of_error<Pressure>("  Pa") == 2);
    CHECK_THAT(message_of<Pressure>("1e999 Pa"), Contains("range of double"));
    CHECK_THAT(message_of<Pressure>("1e308 kPa"), Contains("too large"));
    CHECK(message_of<Pressure>(std::string("5 a\nb\x01 c")).find('\n') == std::string::npos);
    CHECK(message_of<Pressure>("5 " + std::string(5000, 'x')).size() < 300);
}

TEST_CASE("nothing but decimal numbers is a number", "[own]") {
    for (const char* text : {"nan", "NaN Pa", "inf Pa", "-inf Pa", "infinity Pa", "0x10 Pa", "0x1p3 Pa", "1_000 Pa",
                             "1 000 Pa", "--5 Pa", "+-5 Pa", "+ 5 Pa", ". Pa", "e5 Pa", "5 Pa Pa", "5 Pa;", "5 Pa 3",
                             "1,000 Pa", "5d0 Pa", "five Pa"}) {
        INFO(text);
        CHECK_THROWS_AS(parse_quantity<Pressure>(text), TextError);
    }
    for (const char* text : {"nan", "inf", "0x10", "1e", "5 5", "1,5", ""}) {
        INFO(text);
        CHECK_THROWS_AS(parse_quantity<double>(text), TextError);
    }
}

TEST_CASE("quantities are written in a unit and read back", "[own]") {
    CHECK(to_string(0.5 * inH2O, "inH2O") == "0.5 inH2O");
    CHECK(to_string(0.5 * inH2O, inH2O) == "0.5 inH2O");
    CHECK(to_string(0.5 * inH2O, "Pa") == "124.544 Pa");
    CHECK(to_string(0.5 * inH2O, "Pa", 3) == "125 Pa");
    CHECK(to_string(800 * cfm, "cfm") == "800 cfm");
    CHECK(to_string(from_celsius(21), "degC") == "21 degC");
    CHECK(to_string(0.45, "%") == "45 %");
    CHECK(to_string(0.45, "") == "0.45");
    CHECK_THROWS_AS(to_string(800 * cfm, "Pa"), TextError);
    CHECK_THROWS_AS(to_string(Pressure::from_value(std::nan("")), "Pa"), Error);
    CHECK_THROWS_AS(to_string(std::numeric_limits<double>::max(), "%"), Error);
    CHECK_THROWS_AS(to_string(1 * Pa, "Pa", 0), Error);
    for (const double x : {1.0 / 3.0, 1e-17, 6.02e23, -249.08891}) {
        CHECK(parse_quantity<Pressure>(to_string(x * Pa, "Pa", 17)) == x * Pa);
    }
}

TEST_CASE("the locale does not matter", "[own]") {
    // A global locale with a decimal comma and grouped thousands, as streams see it; and, where the system has one,
    // as the C library sees it.
    struct Comma : std::numpunct<char> {
        char do_decimal_point() const override { return ','; }
        char do_thousands_sep() const override { return '.'; }
        std::string do_grouping() const override { return "\3"; }
    };
    const std::locale before = std::locale::global(std::locale(std::locale::classic(), new Comma));
    const std::string c_before = std::setlocale(LC_NUMERIC, nullptr);
    std::setlocale(LC_NUMERIC, "de_DE.UTF-8");
    std::ostringstream stream;
    stream << 1234.5;
    const bool comma_in_force = stream.str() == "1.234,5";
    const double half = parse_quantity<Pressure>("0.5 Pa") / Pa;
    const std::string text = to_string(1234.5 * Pa, "Pa");
    std::string message;
    try {
        detail::require_between("f", "x", 1234.5, 0.0, 0.5, "-");
    } catch (const DomainError& error) {
        message = error.what();
    }
    std::setlocale(LC_NUMERIC, c_before.c_str());
    std::locale::global(before);
    CHECK(comma_in_force);
    CHECK(half == 0.5);
    CHECK(text == "1234.5 Pa");
    CHECK(message == "f: x = 1234.5; required: from 0 to 0.5");
}
