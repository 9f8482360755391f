// SPDX-License-Identifier: BSL-1.0
#pragma once

// Quantities from texts whose place in a file is known: what core/text.hpp refuses becomes a DataError that
// points at the offending character.

#include <cmath>
#include <string>
#include <string_view>
#include <type_traits>

#include <filterflow/core/text.hpp>
#include <filterflow/core/units.hpp>

#include "data_error.hpp"

namespace choose_filter {

/// A unit of each quantity, for hints, its SI unit, and the greatest value in SI that can be meant.
template <class Quantity> struct QuantityName;
template <> struct QuantityName<filterflow::Length> {
    static constexpr const char *example = "in", *si = "m";
    static constexpr double greatest = 1e4;
};
template <> struct QuantityName<filterflow::Area> {
    static constexpr const char *example = "ft2", *si = "m2";
    static constexpr double greatest = 1e5;
};
template <> struct QuantityName<filterflow::Volume> {
    static constexpr const char *example = "m3", *si = "m3";
    static constexpr double greatest = 1e9;
};
template <> struct QuantityName<filterflow::Rate> {
    static constexpr const char *example = "1/h", *si = "1/s";
    static constexpr double greatest = 1e3;
};
template <> struct QuantityName<filterflow::Time> {
    static constexpr const char *example = "h", *si = "s";
    static constexpr double greatest = 1e11;
};
template <> struct QuantityName<filterflow::Mass> {
    static constexpr const char *example = "g", *si = "kg";
    static constexpr double greatest = 1e6;
};
template <> struct QuantityName<filterflow::Temperature> {
    static constexpr const char *example = "degF", *si = "K";
    static constexpr double greatest = 1e4;
};
template <> struct QuantityName<filterflow::Velocity> {
    static constexpr const char *example = "fpm", *si = "m/s";
    static constexpr double greatest = 1e3;
};
template <> struct QuantityName<filterflow::VolumeFlow> {
    static constexpr const char *example = "cfm", *si = "m3/s";
    static constexpr double greatest = 1e4;
};
template <> struct QuantityName<filterflow::Pressure> {
    static constexpr const char *example = "inH2O", *si = "Pa";
    static constexpr double greatest = 1e6;
};
template <> struct QuantityName<filterflow::Power> {
    static constexpr const char *example = "W", *si = "W";
    static constexpr double greatest = 1e9;
};
template <> struct QuantityName<filterflow::MassConcentration> {
    static constexpr const char *example = "ug/m3", *si = "kg/m3";
    static constexpr double greatest = 1e3;
};
template <> struct QuantityName<filterflow::MassPerArea> {
    static constexpr const char *example = "g/m2", *si = "kg/m2";
    static constexpr double greatest = 1e3;
};
template <> struct QuantityName<filterflow::LinearResistance> {
    static constexpr const char *example = "Pa s/m3", *si = "Pa s/m3";
    static constexpr double greatest = 1e12;
};
template <> struct QuantityName<filterflow::QuadraticResistance> {
    static constexpr const char *example = "Pa s2/m6", *si = "Pa s2/m6";
    static constexpr double greatest = 1e12;
};
template <> struct QuantityName<filterflow::Money> {
    static constexpr const char *example = "money", *si = "money";
    static constexpr double greatest = 1e12;
};
template <> struct QuantityName<filterflow::EnergyPrice> {
    static constexpr const char *example = "money/kWh", *si = "money/J";
    static constexpr double greatest = 1e12;
};

/// No number without a unit and no price comes near this; beyond it a digit too many or an exponent slipped in.
inline constexpr double greatest_value = 1e12;

/// A number to four digits, without an exponent as long as it can be read.
std::string four_digits_text(double value);

/// The unit in which a text states its quantity; the SI unit where it cannot be read.
template <class Quantity>
std::string unit_written(std::string_view text) {
    try {
        std::size_t split = 0;
        (void)filterflow::detail::leading_number(text, split);
        std::string_view unit = text.substr(split);
        (void)filterflow::parse_unit<Quantity>(unit);
        while (!unit.empty() && unit.front() == ' ') unit.remove_prefix(1);
        while (!unit.empty() && unit.back() == ' ') unit.remove_suffix(1);
        if (!unit.empty()) return std::string(unit);
    } catch (const filterflow::TextError&) {
    }
    return QuantityName<Quantity>::si;
}

/// A value in the unit in which a text states its quantity: "1640 ft3/min". Not for temperatures, whose units begin at
/// different zeros.
template <class Quantity>
std::string in_written_unit(const Quantity& value, std::string_view text) {
    if constexpr (std::is_same_v<Quantity, filterflow::Temperature>) {
        return four_digits_text(value.value()) + " K";
    } else {
        const std::string unit = unit_written<Quantity>(text);
        return four_digits_text(value.value() / filterflow::parse_unit<Quantity>(unit).factor) + " " + unit;
    }
}

/// A TextError at a place: the place is that of the text's first character.
[[noreturn]] void refuse_text(const filterflow::TextError& error, const SourcePlace& place);

/// Factor from a unit to SI. Throws DataError at the unit if it is unknown or of another dimension.
template <class Quantity>
double unit_in_si(std::string_view unit, const SourcePlace& place) {
    try {
        return filterflow::parse_unit<Quantity>(unit).factor;
    } catch (const filterflow::TextError& error) {
        refuse_text(error, place);
    }
}

/// A number that is none, or too large, in words with what is allowed; other TextErrors as they are.
[[noreturn]] void refuse_number(const filterflow::TextError& error, std::string_view name, std::string_view text,
                                const std::string& greatest, const SourcePlace& place);

/// "24 in" as a quantity; `name` is that of its key, for messages.
template <class Quantity>
Quantity quantity_of_text(std::string_view text, std::string_view name, const SourcePlace& place) {
    try {
        const auto quantity = filterflow::parse_quantity<Quantity>(text);
        const bool is_sane = std::abs(quantity.value()) <= QuantityName<Quantity>::greatest;
        if (!is_sane) throw filterflow::TextError("too large", 0);
        return quantity;
    } catch (const filterflow::TextError& error) {
        refuse_number(error, name, text,
                      in_written_unit(Quantity::from_value(QuantityName<Quantity>::greatest), text), place);
    }
}

/// "2 degF" as a difference, in SI: the offset of temperature scales does not count.
template <class Quantity>
double difference_of_text(std::string_view text, const SourcePlace& place) {
    try {
        std::size_t split = 0;
        const double number = filterflow::detail::leading_number(text, split);
        return number * filterflow::parse_unit<Quantity>(text.substr(split)).factor;
    } catch (const filterflow::TextError& error) {
        refuse_text(error, place);
    }
}

}   // namespace choose_filter
