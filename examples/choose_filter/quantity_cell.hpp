// SPDX-License-Identifier: BSL-1.0
#pragma once

// Quantities from texts whose place in a file is known: what core/text.hpp refuses becomes a DataError that
// points at the offending character.

#include <cmath>
#include <string>
#include <string_view>

#include <filterflow/core/text.hpp>
#include <filterflow/core/units.hpp>

#include "data_error.hpp"

namespace choose_filter {

/// A unit of each quantity, for hints, and its SI unit.
template <class Quantity> struct QuantityName;
template <> struct QuantityName<filterflow::Length> {
    static constexpr const char *example = "in", *si = "m";
};
template <> struct QuantityName<filterflow::Area> {
    static constexpr const char *example = "ft2", *si = "m2";
};
template <> struct QuantityName<filterflow::Volume> {
    static constexpr const char *example = "m3", *si = "m3";
};
template <> struct QuantityName<filterflow::Rate> {
    static constexpr const char *example = "1/h", *si = "1/s";
};
template <> struct QuantityName<filterflow::Time> {
    static constexpr const char *example = "h", *si = "s";
};
template <> struct QuantityName<filterflow::Mass> {
    static constexpr const char *example = "g", *si = "kg";
};
template <> struct QuantityName<filterflow::Temperature> {
    static constexpr const char *example = "degF", *si = "K";
};
template <> struct QuantityName<filterflow::Velocity> {
    static constexpr const char *example = "fpm", *si = "m/s";
};
template <> struct QuantityName<filterflow::VolumeFlow> {
    static constexpr const char *example = "cfm", *si = "m3/s";
};
template <> struct QuantityName<filterflow::Pressure> {
    static constexpr const char *example = "inH2O", *si = "Pa";
};
template <> struct QuantityName<filterflow::Power> {
    static constexpr const char *example = "W", *si = "W";
};
template <> struct QuantityName<filterflow::MassConcentration> {
    static constexpr const char *example = "ug/m3", *si = "kg/m3";
};
template <> struct QuantityName<filterflow::MassPerArea> {
    static constexpr const char *example = "g/m2", *si = "kg/m2";
};
template <> struct QuantityName<filterflow::LinearResistance> {
    static constexpr const char *example = "Pa s/m3", *si = "Pa s/m3";
};
template <> struct QuantityName<filterflow::QuadraticResistance> {
    static constexpr const char *example = "Pa s2/m6", *si = "Pa s2/m6";
};
template <> struct QuantityName<filterflow::Money> {
    static constexpr const char *example = "money", *si = "money";
};
template <> struct QuantityName<filterflow::EnergyPrice> {
    static constexpr const char *example = "money/kWh", *si = "money/J";
};

/// No quantity of a study, in SI, and no price comes near this; beyond it a digit too many or an exponent slipped in.
inline constexpr double greatest_value = 1e12;

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
                                std::string_view si_unit, const SourcePlace& place);

/// "24 in" as a quantity; `name` is that of its key, for messages.
template <class Quantity>
Quantity quantity_of_text(std::string_view text, std::string_view name, const SourcePlace& place) {
    try {
        const auto quantity = filterflow::parse_quantity<Quantity>(text);
        if (!(std::abs(quantity.value()) <= greatest_value)) throw filterflow::TextError("too large", 0);
        return quantity;
    } catch (const filterflow::TextError& error) {
        refuse_number(error, name, text, QuantityName<Quantity>::si, place);
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
