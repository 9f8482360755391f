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

/// A unit of each quantity, for hints.
template <class Quantity> struct QuantityName;
template <> struct QuantityName<filterflow::Length> { static constexpr const char* example = "in"; };
template <> struct QuantityName<filterflow::Area> { static constexpr const char* example = "ft2"; };
template <> struct QuantityName<filterflow::Time> { static constexpr const char* example = "h"; };
template <> struct QuantityName<filterflow::Mass> { static constexpr const char* example = "g"; };
template <> struct QuantityName<filterflow::Temperature> { static constexpr const char* example = "degF"; };
template <> struct QuantityName<filterflow::Velocity> { static constexpr const char* example = "fpm"; };
template <> struct QuantityName<filterflow::VolumeFlow> { static constexpr const char* example = "cfm"; };
template <> struct QuantityName<filterflow::Pressure> { static constexpr const char* example = "inH2O"; };
template <> struct QuantityName<filterflow::Power> { static constexpr const char* example = "W"; };
template <> struct QuantityName<filterflow::MassConcentration> { static constexpr const char* example = "ug/m3"; };

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

/// "24 in" as a quantity.
template <class Quantity>
Quantity quantity_of_text(std::string_view text, const SourcePlace& place) {
    try {
        const auto quantity = filterflow::parse_quantity<Quantity>(text);
        if (!(std::abs(quantity.value()) <= greatest_value)) {
            throw filterflow::TextError("this value is too large to be meant", 0);
        }
        return quantity;
    } catch (const filterflow::TextError& error) {
        refuse_text(error, place);
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
