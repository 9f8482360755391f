// SPDX-License-Identifier: BSL-1.0
#pragma once

// Typed reading of a TOML table: texts, numbers, quantities with units, stated uncertainties, sub-tables. Each
// mistake is a DataError at its place. Keys that the table does not know are refused when it is opened.

#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/numeric/uncertain.hpp>

#include "csv_table.hpp"
#include "quantity_cell.hpp"
#include "toml_document.hpp"

namespace choose_filter {

/// A stated value and the half width of its 95 % interval, raw.
struct StatedNumber {
    double value = 0.0;
    double half_width = 0.0;
};

/// Half width of a 95 % interval of a normal distribution over its standard uncertainty.
inline constexpr double normal_95 = 1.959963984540054;

class TomlTable {
public:
    /// Opens a table. `title` is how messages name it ("[study]"). Throws if a key is not among those known.
    TomlTable(const TomlValue& value, std::string title, const std::vector<std::string>& known_keys);

    const std::string& title() const { return title_; }
    bool has(std::string_view key) const { return find(key) != nullptr; }
    const TomlValue* find(std::string_view key) const;
    /// Place of a key, or of the table's header if it has no such key.
    SourcePlace place(std::string_view key) const;
    SourcePlace value_place(std::string_view key) const;
    const SourcePlace& place() const { return value_->place; }

    std::optional<std::string> text(std::string_view key) const;
    std::string required_text(std::string_view key) const;
    std::optional<double> number(std::string_view key) const;
    std::optional<bool> boolean(std::string_view key) const;
    /// A number, or a text in per cent ("3 %").
    std::optional<double> fraction(std::string_view key) const;
    /// A number with an optional half width: 12.5, "12.5 +- 10 %", "12.5 +- 2".
    std::optional<StatedNumber> stated_number(std::string_view key) const;
    std::optional<filterflow::Uncertain<double>> uncertain_number(std::string_view key,
                                                                  const std::string& input_name) const;
    /// One of a list of words, as its index.
    std::optional<std::size_t> choice(std::string_view key, const std::vector<std::string>& words) const;

    template <class Quantity>
    std::optional<Quantity> quantity(std::string_view key) const {
        const TomlValue* value = find(key);
        if (value == nullptr) return std::nullopt;
        return quantity_of<Quantity>(*value, key);
    }
    template <class Quantity>
    Quantity required_quantity(std::string_view key) const {
        if (!has(key)) refuse_missing(key, "\"... " + std::string(QuantityName<Quantity>::example) + "\"");
        return *quantity<Quantity>(key);
    }
    /// As quantity, but > 0.
    template <class Quantity>
    std::optional<Quantity> positive(std::string_view key) const {
        auto value = quantity<Quantity>(key);
        if (value && !(value->value() > 0.0)) {
            refuse_value(key, "is not above 0", "above " + in_its_unit(key, Quantity{}));
        }
        return value;
    }
    /// As quantity, but 0 or more.
    template <class Quantity>
    std::optional<Quantity> not_negative(std::string_view key) const {
        auto value = quantity<Quantity>(key);
        if (value && value->value() < 0.0) refuse_value(key, "is negative", in_its_unit(key, Quantity{}) + " or more");
        return value;
    }
    /// A value of the kind of a key, in the unit in which the key states its own: for the range that is allowed.
    template <class Quantity>
    std::string in_its_unit(std::string_view key, const Quantity& value) const {
        const TomlValue* given = find(key);
        const bool is_text = given != nullptr && given->kind == TomlKind::text;
        return in_written_unit(value, is_text ? split_at_half_width(given->text).estimate : std::string());
    }
    /// As quantity, but within a range, its ends included; they are written as in "1 cm", "10 m".
    template <class Quantity>
    std::optional<Quantity> between(std::string_view key, const char* least, const char* greatest,
                                    const std::string& hint = {}) const {
        auto value = quantity<Quantity>(key);
        if (value && (*value < filterflow::parse_quantity<Quantity>(least) ||
                      *value > filterflow::parse_quantity<Quantity>(greatest))) {
            refuse_value(key, "is out of range", std::string("from ") + least + " to " + greatest, hint);
        }
        return value;
    }
    template <class Quantity>
    Quantity required_positive(std::string_view key) const {
        required_quantity<Quantity>(key);
        return *positive<Quantity>(key);
    }
    /// "40 ug/m3 +- 30 %": the half width becomes an elementary input of its own.
    template <class Quantity>
    std::optional<filterflow::Uncertain<Quantity>> uncertain_quantity(std::string_view key,
                                                                      const std::string& input_name) const {
        const TomlValue* value = find(key);
        if (value == nullptr) return std::nullopt;
        const std::string& whole =
            text_of(*value, key, QuantityName<Quantity>::example, filterflow::accepted_units<Quantity>());
        const Halves halves = split_at_half_width(whole);
        const SourcePlace at = text_place(*value);
        const Quantity estimate = quantity_of_text<Quantity>(halves.estimate, key, at);
        if (!halves.has_half_width) return filterflow::Uncertain<Quantity>(estimate);
        const SourcePlace half_at = value->plain_text ? moved_right(at, halves.half_width_offset) : value->place;
        double half = 0.0;
        if (const auto percent = per_cent(halves.half_width)) {
            half = *percent * (estimate.value() < 0.0 ? -estimate.value() : estimate.value());
        } else if (number_of(halves.half_width)) {
            throw DataError(
                half_at, "the half width behind +- has no unit",
                "write it in a unit or in per cent: \"" + halves.estimate + " +- " + halves.half_width + " %\"");
        } else {
            half = difference_of_text<Quantity>(halves.half_width, half_at);
        }
        refuse_half_width(key, half, half_at, QuantityName<Quantity>::si);
        return filterflow::uncertain(estimate, Quantity::from_value(half / normal_95), input_name);
    }
    /// As uncertain_quantity, of something above 0: its interval must be so too.
    template <class Quantity>
    std::optional<filterflow::Uncertain<Quantity>> uncertain_positive(std::string_view key,
                                                                      const std::string& input_name) const {
        const auto value = uncertain_quantity<Quantity>(key, input_name);
        if (value && !(value->value.value() > 0.0)) {
            refuse_value(key, "is not above 0", "above " + in_its_unit(key, Quantity{}),
                         "leave the key out if it is not known");
        }
        if (value) refuse_wide(key, value->value.value(), normal_95 * value->standard_uncertainty().value());
        return value;
    }
    /// A list of quantities above 0, up to the greatest, which is written as in "50 m/s".
    template <class Quantity>
    std::vector<Quantity> quantities(std::string_view key, const char* greatest) const {
        std::vector<Quantity> list;
        if (!has(key)) return list;
        const auto most = filterflow::parse_quantity<Quantity>(greatest);
        for (const TomlValue& item : array(key).items) {
            const Quantity value = list.emplace_back(quantity_of<Quantity>(item, key));
            if (value.value() > 0.0 && value <= most) continue;
            throw DataError(item.place, "'" + std::string(key) + "': " + shown_text(item.text) +
                                            " is out of range; allowed: above 0, up to " +
                                            in_written_unit(most, item.text));
        }
        return list;
    }

    /// A sub-table written [a.b] or in braces.
    std::optional<TomlTable> table(std::string_view key, const std::string& title,
                                   const std::vector<std::string>& known_keys) const;
    /// The tables of a list written [[key]] or [{...}, {...}].
    std::vector<TomlTable> tables(std::string_view key, const std::string& title,
                                  const std::vector<std::string>& known_keys) const;

    [[noreturn]] void refuse(std::string_view key, const std::string& problem, const std::string& hint = {}) const;
    [[noreturn]] void refuse_missing(std::string_view key, const std::string& example) const;
    /// Throws DataError at a value: "'width' = -20 in is not above 0; allowed: above 0 m".
    [[noreturn]] void refuse_value(std::string_view key, std::string_view problem, std::string_view allowed,
                                   const std::string& hint = {}) const;
    /// Throws where the interval of something that cannot be negative reaches 0.
    void refuse_wide(std::string_view key, double value, double half_width) const;

private:
    struct Halves {
        std::string estimate;
        std::string half_width;
        bool has_half_width = false;
        std::size_t half_width_offset = 0;
    };

    const TomlValue& array(std::string_view key) const;
    const std::string& text_of(const TomlValue& value, std::string_view key, std::string_view unit,
                               const std::string& units) const;
    void refuse_half_width(std::string_view key, double half_width, const SourcePlace& place, const char* unit) const;
    std::string shown_value(std::string_view key) const;
    static SourcePlace text_place(const TomlValue& value);
    static Halves split_at_half_width(const std::string& text);
    static std::optional<double> per_cent(std::string_view text);

    template <class Quantity>
    Quantity quantity_of(const TomlValue& value, std::string_view key) const {
        const std::string& text =
            text_of(value, key, QuantityName<Quantity>::example, filterflow::accepted_units<Quantity>());
        return quantity_of_text<Quantity>(text, key, text_place(value));
    }

    const TomlValue* value_;
    std::string title_;
};

}   // namespace choose_filter
