// SPDX-License-Identifier: BSL-1.0
#pragma once

// The spellings of units: for every named unit of core/units.hpp the one that is printed and those that are read
// as well. Included by core/text.hpp only.

#include <string>
#include <string_view>
#include <type_traits>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::detail {

/// What a unit measures; one row of the names below for each.
enum class Dimension {
    ratio, length, area, volume, time, mass, temperature, velocity, volume_flow, mass_flow, pressure, density,
    number_concentration, dynamic_viscosity, power, energy, inverse_length, mass_per_area, linear_resistance,
    quadratic_resistance, diffusion_coefficient, rate, specific_energy, money, energy_price, money_rate,
    money_per_volume,
};

inline constexpr std::string_view dimension_names[] = {
    "plain ratio", "length", "area", "volume", "time", "mass", "temperature", "velocity", "volume flow", "mass flow",
    "pressure", "density or mass concentration", "number concentration", "dynamic viscosity", "power", "energy",
    "inverse length", "mass per area", "linear resistance", "quadratic resistance", "diffusion coefficient", "rate",
    "specific energy", "money", "energy price", "money per time", "money per volume"};

constexpr std::string_view name_of(Dimension dimension) { return dimension_names[static_cast<std::size_t>(dimension)]; }

template <class Q>
constexpr Dimension dimension_of() {
    if constexpr (std::is_same_v<Q, double>) return Dimension::ratio;
    else if constexpr (std::is_same_v<Q, Length>) return Dimension::length;
    else if constexpr (std::is_same_v<Q, Area>) return Dimension::area;
    else if constexpr (std::is_same_v<Q, Volume>) return Dimension::volume;
    else if constexpr (std::is_same_v<Q, Time>) return Dimension::time;
    else if constexpr (std::is_same_v<Q, Mass>) return Dimension::mass;
    else if constexpr (std::is_same_v<Q, Temperature>) return Dimension::temperature;
    else if constexpr (std::is_same_v<Q, Velocity>) return Dimension::velocity;
    else if constexpr (std::is_same_v<Q, VolumeFlow>) return Dimension::volume_flow;
    else if constexpr (std::is_same_v<Q, MassFlow>) return Dimension::mass_flow;
    else if constexpr (std::is_same_v<Q, Pressure>) return Dimension::pressure;
    else if constexpr (std::is_same_v<Q, Density>) return Dimension::density;
    else if constexpr (std::is_same_v<Q, NumberConcentration>) return Dimension::number_concentration;
    else if constexpr (std::is_same_v<Q, DynamicViscosity>) return Dimension::dynamic_viscosity;
    else if constexpr (std::is_same_v<Q, Power>) return Dimension::power;
    else if constexpr (std::is_same_v<Q, Energy>) return Dimension::energy;
    else if constexpr (std::is_same_v<Q, InverseLength>) return Dimension::inverse_length;
    else if constexpr (std::is_same_v<Q, MassPerArea>) return Dimension::mass_per_area;
    else if constexpr (std::is_same_v<Q, LinearResistance>) return Dimension::linear_resistance;
    else if constexpr (std::is_same_v<Q, QuadraticResistance>) return Dimension::quadratic_resistance;
    else if constexpr (std::is_same_v<Q, DiffusionCoefficient>) return Dimension::diffusion_coefficient;
    else if constexpr (std::is_same_v<Q, Rate>) return Dimension::rate;
    else if constexpr (std::is_same_v<Q, SpecificEnergy>) return Dimension::specific_energy;
    else if constexpr (std::is_same_v<Q, Money>) return Dimension::money;
    else if constexpr (std::is_same_v<Q, EnergyPrice>) return Dimension::energy_price;
    else if constexpr (std::is_same_v<Q, MoneyRate>) return Dimension::money_rate;
    else {
        static_assert(std::is_same_v<Q, MoneyPerVolume>, "a quantity of the library in double, or double itself");
        return Dimension::money_per_volume;
    }
}

/// A unit: SI value = factor * number + offset. `spellings` are separated by '|', the first is printed.
struct UnitName {
    Dimension dimension;
    double factor;
    double offset;
    std::string_view spellings;
};

template <class Q>
constexpr UnitName spelled(const NamedUnit<Q>& unit, std::string_view spellings) {
    return {dimension_of<Q>(), unit.one.value(), 0.0, spellings};
}

// Written after plain_unit_text has made "m²" and "m^2" to "m2", "µm" to "um", "°C" to "degC", "Pa·s" to "Pa s".
inline constexpr UnitName unit_names[] = {
    {Dimension::ratio, 0.01, 0.0, "%|percent"},
    {Dimension::ratio, 1.0, 0.0, "1|-"},
    spelled(units::m, "m|metre|metres|meter|meters"),
    spelled(units::cm, "cm"),
    spelled(units::mm, "mm"),
    spelled(units::um, "um|micron|microns|micrometre|micrometer"),
    spelled(units::nm, "nm"),
    spelled(units::inch, "in|in.|inch|inches|\""),
    spelled(units::ft, "ft|ft.|foot|feet"),
    spelled(units::m2, "m2"),
    spelled(units::cm2, "cm2"),
    spelled(units::ft2, "ft2|sq ft|sq. ft."),
    spelled(units::m3, "m3"),
    spelled(units::litre, "L|l|litre|litres|liter|liters"),
    spelled(units::ft3, "ft3|cu ft|cu. ft."),
    spelled(units::s, "s|sec|second|seconds"),
    spelled(units::min, "min|minute|minutes"),
    spelled(units::h, "h|hr|hrs|hour|hours"),
    spelled(units::day, "day|d|days"),
    spelled(units::week, "week|wk|weeks"),
    spelled(units::month, "month|mo|months"),
    spelled(units::year, "year|a|yr|yrs|years"),
    spelled(units::kg, "kg"),
    spelled(units::g, "g"),
    spelled(units::mg, "mg"),
    spelled(units::K, "K|kelvin"),
    {Dimension::temperature, 1.0, 273.15, "degC|deg C|C|celsius"},
    {Dimension::temperature, 1.0 / 1.8, 459.67 / 1.8, "degF|deg F|F|fahrenheit"},
    spelled(units::m_per_s, "m/s"),
    spelled(units::fpm, "fpm|ft/min|FPM"),
    spelled(units::m3_per_s, "m3/s"),
    spelled(units::m3_per_h, "m3/h|m3/hr"),
    spelled(units::L_per_s, "L/s|l/s"),
    spelled(units::L_per_min, "L/min|l/min"),
    spelled(units::cfm, "cfm|ft3/min|CFM"),
    spelled(units::kg_per_s, "kg/s"),
    spelled(units::Pa, "Pa|pascal"),
    spelled(units::hPa, "hPa|mbar"),
    spelled(units::kPa, "kPa"),
    spelled(units::inH2O,
            "inH2O|in H2O|in. H2O|in w.g.|in. w.g.|in.w.g.|in wg|in. wg|inwg|in w.c.|in. w.c.|in.w.c.|"
            "in wc|in. wc|inwc|in. WG|in WG|in. WC|in WC|in. W.G.|in. W.C.|iwg|iwc|inWG|inWC"),
    spelled(units::inH2O_60F, "inH2O_60F|inH2O at 60 degF"),
    spelled(units::inH2O_68F, "inH2O_68F|inH2O at 68 degF"),
    spelled(units::mmH2O, "mmH2O|mm H2O|mm w.g.|mm w.c.|mm wg|mm wc"),
    // Conventional columns of mercury, 13595.1 kg/m3 under 9.80665 m/s2, and the pound-force to the square inch:
    // 133.3224, 3386.389 and 6894.757 Pa in NIST SP 811 (2008), appendix B.8, here with the digits that follow from
    // them.
    {Dimension::pressure, 13595.1 * 9.80665 * 1e-3, 0.0, "mmHg|mm Hg"},
    {Dimension::pressure, 13595.1 * 9.80665 * 25.4e-3, 0.0, "inHg|in Hg|in. Hg"},
    {Dimension::pressure, 0.45359237 * 9.80665 / (0.0254 * 0.0254), 0.0, "psi|lbf/in2|psia|psid"},
    spelled(units::kg_per_m3, "kg/m3"),
    spelled(units::lb_per_ft3, "lb/ft3"),
    spelled(units::mg_per_m3, "mg/m3"),
    spelled(units::ug_per_m3, "ug/m3"),
    spelled(units::per_cm3, "1/cm3|/cm3|cm-3|per cm3"),
    spelled(units::Pa_s, "Pa s|Pa*s"),
    spelled(units::W, "W|watt|watts"),
    spelled(units::kW, "kW"),
    spelled(units::hp, "hp|horsepower"),
    spelled(units::J, "J|joule|joules"),
    spelled(units::kWh, "kWh|kW h"),
    spelled(units::per_m, "1/m|/m|m-1"),
    spelled(units::g_per_m2, "g/m2"),
    spelled(units::kg_per_m2, "kg/m2"),
    spelled(units::Pa_s_per_m3, "Pa s/m3|Pa*s/m3"),
    spelled(units::Pa_s2_per_m6, "Pa s2/m6|Pa*s2/m6"),
    spelled(units::m2_per_s, "m2/s"),
    spelled(units::per_h, "1/h|/h|h-1|per hour"),
    spelled(units::per_s, "1/s|/s|s-1"),
    spelled(units::rpm, "rpm|r/min|1/min"),
    spelled(units::kJ_per_kg, "kJ/kg"),
    spelled(units::money, "money"),
    spelled(units::money_per_kWh, "money/kWh"),
    spelled(units::money_per_h, "money/h|money/hr"),
    spelled(units::money_per_year, "money/year|money/yr"),
    spelled(units::money_per_1000_m3, "money/1000 m3"),
};

constexpr std::string_view printed_spelling(const UnitName& unit) {
    return unit.spellings.substr(0, unit.spellings.find('|'));
}

/// One way to write the characters that have several: superscripts, the micro sign, the degree sign, dots.
template <Deferred...>
inline std::string plain_unit_text(std::string_view text) {
    struct Replacement {
        std::string_view from, to;
    };
    static constexpr Replacement replacements[] = {
        {"\xC2\xB2", "2"},     {"\xC2\xB3", "3"},   {"\xE2\x81\xB6", "6"}, {"\xC2\xB5", "u"}, {"\xCE\xBC", "u"},
        {"\xC2\xB0", "deg"},   {"\xC2\xB7", " "},   {"\xE2\x8B\x85", " "}, {"^", ""},         {"\xE2\x82\x82", "2"},
        {"\xE2\x88\x92", "-"}, {"\xC2\xA0", " "},   {"\t", " "},           {"\xE2\x81\xBB", "-"},
        {"\xC2\xB9", "1"},     {"\xE2\x80\xB3", "\""}};
    std::string plain;
    for (std::size_t i = 0; i < text.size();) {
        std::string_view piece = text.substr(i, 1);
        std::size_t length = 1;
        for (const Replacement& r : replacements) {
            if (text.substr(i, r.from.size()) == r.from) {
                piece = r.to;
                length = r.from.size();
                break;
            }
        }
        if (!(piece == " " && (plain.empty() || plain.back() == ' '))) plain.append(piece);
        i += length;
    }
    while (!plain.empty() && plain.back() == ' ') plain.pop_back();
    return plain;
}

/// The unit of a spelling, or null.
template <Deferred...>
inline const UnitName* find_unit_name(std::string_view text) {
    const std::string plain = plain_unit_text(text);
    if (plain.empty()) return nullptr;
    for (const UnitName& unit : unit_names) {
        std::string_view rest = unit.spellings;
        while (!rest.empty()) {
            const std::size_t bar = rest.find('|');
            if (rest.substr(0, bar) == plain) return &unit;
            rest = bar == std::string_view::npos ? std::string_view() : rest.substr(bar + 1);
        }
    }
    return nullptr;
}

}   // namespace filterflow::detail
