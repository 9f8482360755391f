// SPDX-License-Identifier: BSL-1.0
#pragma once

// Text of quantities, independent of the locale: "0.5 inH2O" to a Pressure and back. For the readers and writers
// of files; no other header of the library includes it.

#include <charconv>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <system_error>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/unit_names.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A text that is not the quantity it should be: what is wrong, what is accepted, and where in the text.
class TextError : public Error {
public:
    TextError(const std::string& message, std::size_t offset_in_text) : Error(message), offset(offset_in_text) {}
    std::size_t offset;   ///< of the first character that is wrong, counted in bytes from zero
};

/// How numbers in a unit become SI: value = factor * number + offset. Differences and uncertainties of
/// temperatures take the factor alone.
struct UnitScale {
    double factor = 1.0;   ///< SI value of one unit's step
    double offset = 0.0;   ///< SI value of zero; not zero for degC and degF only
};

namespace detail {

constexpr bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

/// The text for a message: quoted, short, no control characters.
template <Deferred...>
inline std::string quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text.substr(0, 40)) out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? '?' : c;
    if (text.size() > 40) out += "...";
    return out + "\"";
}

template <Deferred...>
inline std::string accepted_units(Dimension dimension) {
    std::string list;
    for (const UnitName& unit : unit_names) {
        if (unit.dimension != dimension) continue;
        if (!list.empty()) list += ", ";
        list += printed_spelling(unit);
    }
    return list;
}

/// The unit that fills text[first, end), of the dimension expected.
template <Deferred...>
inline UnitScale unit_scale(std::string_view text, std::size_t first, Dimension expected) {
    while (first < text.size() && is_blank(text[first])) ++first;
    std::size_t last = text.size();
    while (last > first && is_blank(text[last - 1])) --last;
    const std::string_view name = text.substr(first, last - first);
    const std::string wanted =
        "a unit of " + std::string(name_of(expected)) + " (" + accepted_units(expected) + ")";
    if (name.empty()) {
        if (expected == Dimension::ratio) return {};
        throw TextError("the unit is missing; expected " + wanted, first);
    }
    const UnitName* unit = find_unit_name(name);
    if (unit == nullptr) {
        if (name.front() == ',') {
            throw TextError("comma in a number; write the decimal point as \".\" and no thousands separators", first);
        }
        throw TextError("unknown unit " + quoted(name) + "; expected " + wanted, first);
    }
    if (unit->dimension != expected) {
        throw TextError("unit " + quoted(name) + " is one of " + std::string(name_of(unit->dimension)) +
                            "; expected " + wanted,
                        first);
    }
    return {unit->factor, unit->offset};
}

/// The number that text begins with after blanks; `position` is moved behind it.
template <Deferred...>
inline double leading_number(std::string_view text, std::size_t& position) {
    while (position < text.size() && is_blank(text[position])) ++position;
    const std::size_t start = position;
    std::size_t first = start;
    const bool plus = first < text.size() && text[first] == '+';
    if (plus) ++first;   // which from_chars does not take
    std::size_t digit = first;
    if (!plus && digit < text.size() && text[digit] == '-') ++digit;
    const auto is_digit = [&](std::size_t i) { return i < text.size() && text[i] >= '0' && text[i] <= '9'; };
    if (!is_digit(digit) && !(digit < text.size() && text[digit] == '.' && is_digit(digit + 1))) {
        throw TextError(start == text.size() ? std::string("a number is missing")
                                             : "not a number: " + quoted(text.substr(start)),
                        start);
    }
    double value = 0.0;
    const auto [end, error] =
        std::from_chars(text.data() + first, text.data() + text.size(), value, std::chars_format::general);
    if (error == std::errc::result_out_of_range) {
        throw TextError("number outside the range of double precision: " + quoted(text.substr(start)), start);
    }
    if (error != std::errc()) throw TextError("not a number: " + quoted(text.substr(start)), start);
    position = static_cast<std::size_t>(end - text.data());
    return value;
}

template <Deferred...>
inline std::string number_text(double value, int digits) {
    char buffer[64];
    const auto result = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::general, digits);
    return std::string(buffer, result.ptr);
}

}   // namespace detail

/// What a unit of a text measures.
///
/// Equation: none
/// Symbols:  none
/// Validity: units of core/unit_names.hpp
/// @param  unit  spelling, as "cfm" or "in. w.g."
/// @return name of the dimension, as "volume flow"
/// @throws TextError if the unit is not known
/// @source the table in core/unit_names.hpp; test: core/text_test.cpp
template <Deferred...>
inline std::string_view unit_dimension_name(std::string_view unit) {
    const detail::UnitName* found = detail::find_unit_name(unit);
    if (found == nullptr) throw TextError("unknown unit " + detail::quoted(unit), 0);
    return detail::name_of(found->dimension);
}

/// What a quantity type measures.
///
/// Equation: none
/// Symbols:  none
/// Validity: the quantities of core/units.hpp in double, and double for plain ratios
/// @return name of the dimension, as "volume flow"
/// @throws nothing
/// @source the table in core/unit_names.hpp; test: core/text_test.cpp
template <class Q>
constexpr std::string_view unit_dimension_name() {
    return detail::name_of(detail::dimension_of<Q>());
}

/// Units that are read for a quantity type, in the spelling that is printed.
///
/// Equation: none
/// Symbols:  none
/// Validity: as unit_dimension_name
/// @return the spellings, separated by ", "
/// @throws nothing
/// @source the table in core/unit_names.hpp; test: core/text_test.cpp
template <class Q>
std::string accepted_units() {
    return detail::accepted_units(detail::dimension_of<Q>());
}

/// How numbers in a unit become SI.
///
/// Equation: SI value = factor * number + offset
/// Symbols:  none
/// Validity: units of the quantity's dimension; for a plain ratio (Q = double) also no unit at all
/// @param  unit  spelling; blanks around it are ignored, "m²", "m^2" and "m2" are the same
/// @return factor and offset
/// @throws TextError if the unit is unknown, missing, or of another dimension
/// @source the table in core/unit_names.hpp; test: core/text_test.cpp
template <class Q>
UnitScale parse_unit(std::string_view unit) {
    return detail::unit_scale(unit, 0, detail::dimension_of<Q>());
}

/// Quantity of a text: a decimal number and a unit.
///
/// Equation: value = factor * number + offset of the unit
/// Symbols:  none
/// Validity: decimal numbers with a point, with or without an exponent; the whole text is used
/// @param  text  as "0.5 inH2O", "70 degF", "45 %", "12" for a plain ratio
/// @return the quantity
/// @throws TextError if the number or the unit cannot be read (nan, infinity, hexadecimal numbers and decimal
///         commas cannot), the unit is missing or of another dimension, or the value is too large
/// @source own grammar; test: core/text_test.cpp
template <class Q>
Q parse_quantity(std::string_view text) {
    std::size_t position = 0;
    const double number = detail::leading_number(text, position);
    const UnitScale scale = detail::unit_scale(text, position, detail::dimension_of<Q>());
    const double value = scale.factor * number + scale.offset;
    if (!std::isfinite(value)) throw TextError("number too large for its unit: " + detail::quoted(text), 0);
    if constexpr (std::is_same_v<Q, double>) {
        return value;
    } else {
        return Q::from_value(value);
    }
}

/// Text of a quantity in a unit.
///
/// Equation: number = (value - offset) / factor of the unit
/// Symbols:  none
/// Validity: units of the quantity's dimension
/// @param  quantity  finite
/// @param  unit  spelling; it is printed as given
/// @param  significant_digits  1 to 17
/// @return as "0.5 inH2O"
/// @throws TextError if the unit is unknown or of another dimension, Error if the value is not finite or too large for
///         the unit
/// @source own grammar; test: core/text_test.cpp
template <class Q>
std::string to_string(const Q& quantity, std::string_view unit, int significant_digits = 6) {
    const UnitScale scale = parse_unit<Q>(unit);
    double value;
    if constexpr (std::is_same_v<Q, double>) {
        value = quantity;
    } else {
        value = quantity.value();
    }
    if (!std::isfinite(value)) throw Error("to_string: value is not finite");
    if (significant_digits < 1 || significant_digits > 17) {
        throw Error("to_string: significant_digits = " + std::to_string(significant_digits) +
                    "; required: from 1 to 17");
    }
    const double number = (value - scale.offset) / scale.factor;
    if (!std::isfinite(number)) {
        throw Error("to_string: the value is too large to be printed in the unit " + detail::quoted(unit));
    }
    std::string text = detail::number_text(number, significant_digits);
    if (!unit.empty()) text.append(" ").append(unit);
    return text;
}

/// Text of a quantity in a named unit.
///
/// Equation: as above
/// Symbols:  none
/// Validity: the named units of core/units.hpp
/// @param  quantity  finite
/// @param  unit  as units::inH2O
/// @param  significant_digits  1 to 17
/// @return as "0.5 inH2O"
/// @throws Error if the unit has no spelling (a unit of one's own), or the value is not finite or too large for it
/// @source own grammar; test: core/text_test.cpp
template <class Q>
std::string to_string(const Q& quantity, const NamedUnit<Q>& unit, int significant_digits = 6) {
    for (const detail::UnitName& name : detail::unit_names) {
        if (name.dimension == detail::dimension_of<Q>() && name.offset == 0.0 && name.factor == unit.one.value()) {
            return to_string(quantity, detail::printed_spelling(name), significant_digits);
        }
    }
    throw Error("to_string: a unit of " + std::string(unit_dimension_name<Q>()) + " without a spelling");
}

}   // namespace filterflow
