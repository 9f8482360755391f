// SPDX-License-Identifier: BSL-1.0

#include "toml_table.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "csv_table.hpp"

namespace choose_filter {

namespace {

std::string_view kind_name(TomlKind kind) {
    switch (kind) {
        case TomlKind::table: return "a table";
        case TomlKind::array: return "a list";
        case TomlKind::text: return "a text";
        case TomlKind::number: return "a number";
        case TomlKind::boolean: return "true or false";
        case TomlKind::date: return "a date";
    }
    return "something else";
}

// As a person writes it, without an exponent as long as it can be read.
std::string plain_number(double value) {
    if (std::abs(value) >= 1e9 || (value != 0.0 && std::abs(value) < 1e-4)) return fmt::format("{:g}", value);
    std::string text = fmt::format("{:.6f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    return text;
}

}   // namespace

TomlTable::TomlTable(const TomlValue& value, std::string title, const std::vector<std::string>& known_keys)
    : value_(&value), title_(std::move(title)) {
    if (value.kind != TomlKind::table) {
        const bool header = value.kind == TomlKind::array && title_.front() == '[';
        throw DataError(value.place, fmt::format("{} must be one table, not {}", title_, kind_name(value.kind)),
                        header ? "write its header once, with single brackets: " + title_ : std::string());
    }
    for (const auto& [key, member] : value.members) {
        if (std::find(known_keys.begin(), known_keys.end(), key) != known_keys.end()) continue;
        throw DataError(member.key_place, fmt::format("unknown key '{}' in {}", shown_text(key), title_),
                        name_hint(key, known_keys, "keys"));
    }
}

const TomlValue* TomlTable::find(std::string_view key) const {
    for (const auto& [name, member] : value_->members) {
        if (name == key) return &member;
    }
    return nullptr;
}

SourcePlace TomlTable::place(std::string_view key) const {
    const TomlValue* value = find(key);
    return value != nullptr ? value->key_place : value_->place;
}

SourcePlace TomlTable::value_place(std::string_view key) const {
    const TomlValue* value = find(key);
    return value != nullptr ? value->place : value_->place;
}

void TomlTable::refuse(std::string_view key, const std::string& problem, const std::string& hint) const {
    throw DataError(value_place(key), problem, hint);
}

void TomlTable::refuse_missing(std::string_view key, const std::string& example) const {
    throw DataError(value_->place, fmt::format("'{}' is missing in {}", key, title_),
                    fmt::format("add a line: {} = {}", key, example));
}

std::string TomlTable::shown_value(std::string_view key) const {
    const TomlValue& value = *find(key);
    if (value.kind == TomlKind::text) return shown_text(value.text);
    if (value.kind == TomlKind::number) return plain_number(value.number);
    return std::string(kind_name(value.kind));
}

void TomlTable::refuse_value(std::string_view key, std::string_view problem, std::string_view allowed,
                             const std::string& hint) const {
    refuse(key, fmt::format("'{}' = {} {}; allowed: {}", key, shown_value(key), problem, allowed), hint);
}

void TomlTable::refuse_wide(std::string_view key, double value, double half_width) const {
    if (!(value > 0.0) || half_width < value * (1.0 - 1e-9)) return;
    refuse_value(
        key, "has an interval that reaches 0 or below, which it cannot be",
        "a half width behind +- below 100 % of the value",
        "if it may be several times larger or smaller, write a value in the middle and try the ends one by one");
}

void TomlTable::refuse_half_width(std::string_view key, double half_width, const SourcePlace& place,
                                  const char* unit) const {
    const char* problem = !(half_width >= 0.0)               ? "negative"
                          : !(half_width <= greatest_value) ? "too large to be meant"
                                                             : nullptr;
    if (problem == nullptr) return;
    throw DataError(place, fmt::format("'{}' = {}: the half width behind +- is {}; allowed: 0 or more{}{}", key,
                                       shown_value(key), problem, *unit != '\0' ? " " : "", unit));
}

const TomlValue& TomlTable::array(std::string_view key) const {
    const TomlValue& value = *find(key);
    if (value.kind != TomlKind::array) {
        refuse(key, fmt::format("'{}' must be a list in [brackets], not {}", key, kind_name(value.kind)),
               value.kind == TomlKind::text ? fmt::format("write {} = [\"{}\"]", key, shown_text(value.text))
                                            : std::string());
    }
    return value;
}

const std::string& TomlTable::text_of(const TomlValue& value, std::string_view key, std::string_view unit,
                                      const std::string& units) const {
    if (value.kind == TomlKind::text) return value.text;
    if (value.kind == TomlKind::number) {
        // Ages and lives of filters are months and years, not hours.
        if (key == "greatest_age" || key == "claimed_life") unit = "months";
        if (key == "horizon") unit = "years";
        throw DataError(value.place, fmt::format("'{}' needs a unit", key),
                        fmt::format("write it as a text with its unit, as in {} = \"{} {}\" (units: {})", key,
                                    plain_number(value.number), unit, units));
    }
    throw DataError(value.place, fmt::format("'{}' must be a text with a unit, not {}", key, kind_name(value.kind)));
}

SourcePlace TomlTable::text_place(const TomlValue& value) {
    return value.plain_text ? moved_right(value.place, 1) : value.place;   // behind the opening quote
}

TomlTable::Halves TomlTable::split_at_half_width(const std::string& text) {
    std::size_t at = std::string::npos, length = 0;
    for (const std::string_view mark : {"+-", "+/-", "\xC2\xB1"}) {
        const std::size_t found = text.find(mark);
        if (found < at) {
            at = found;
            length = mark.size();
        }
    }
    if (at == std::string::npos) return {text, {}, false, 0};
    std::size_t begin = at + length;
    while (begin < text.size() && text[begin] == ' ') ++begin;
    return {std::string(trimmed(std::string_view(text).substr(0, at))),
            std::string(trimmed(std::string_view(text).substr(begin))), true, begin};
}

std::optional<double> TomlTable::per_cent(std::string_view text) {
    text = trimmed(text);
    if (text.empty() || text.back() != '%') return std::nullopt;
    text.remove_suffix(1);
    const auto number = number_of(text);
    if (!number) return std::nullopt;
    return *number / 100.0;
}

std::optional<std::string> TomlTable::text(std::string_view key) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind != TomlKind::text) {
        refuse(key, fmt::format("'{}' must be a text in quotes, not {}", key, kind_name(value->kind)));
    }
    return value->text;
}

std::string TomlTable::required_text(std::string_view key) const {
    const auto value = text(key);
    if (!value) refuse_missing(key, "\"...\"");
    if (trimmed(*value).empty()) refuse(key, fmt::format("'{}' is empty", key));
    return *value;
}

std::optional<double> TomlTable::number(std::string_view key) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind != TomlKind::number) {
        refuse(key, fmt::format("'{}' must be a plain number, not {}", key, kind_name(value->kind)),
               value->kind == TomlKind::text && number_of(value->text)
                   ? fmt::format("leave out the quotes: {} = {}", key, trimmed(value->text))
                   : std::string());
    }
    return value->number;
}

std::optional<bool> TomlTable::boolean(std::string_view key) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind != TomlKind::boolean) {
        refuse(key, fmt::format("'{}' must be true or false, not {}", key, kind_name(value->kind)));
    }
    return value->boolean;
}

std::optional<double> TomlTable::fraction(std::string_view key) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind == TomlKind::text) {
        if (const auto percent = per_cent(value->text)) return percent;
    }
    if (value->kind == TomlKind::number) return value->number;
    refuse(key, fmt::format("'{}' must be a share", key),
           fmt::format("write it as a plain number or in per cent: {0} = 0.05 or {0} = \"5 %\"", key));
}

std::optional<StatedNumber> TomlTable::stated_number(std::string_view key) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind == TomlKind::number) {
        if (!(std::abs(value->number) <= greatest_value))
            refuse_value(key, "is too large to be meant", "up to " + four_digits_text(greatest_value));
        return StatedNumber{value->number, 0.0};
    }
    const std::string hint = fmt::format("write it as {0} = 12.5 or {0} = \"12.5 +- 10 %\"", key);
    if (value->kind != TomlKind::text) {
        refuse(key, fmt::format("'{}' must be a number, not {}", key, kind_name(value->kind)), hint);
    }
    const Halves halves = split_at_half_width(value->text);
    const auto estimate = number_of(halves.estimate);
    if (!estimate) {
        throw DataError(text_place(*value), fmt::format("'{}' is not a number", shown_text(halves.estimate)), hint);
    }
    if (!(std::abs(*estimate) <= greatest_value))
        refuse_value(key, "is too large to be meant", "up to " + four_digits_text(greatest_value));
    if (!halves.has_half_width) return StatedNumber{*estimate, 0.0};
    double half = 0.0;
    if (const auto percent = per_cent(halves.half_width)) {
        half = *percent * std::abs(*estimate);
    } else if (const auto number = number_of(halves.half_width)) {
        half = *number;
    } else {
        refuse(key, fmt::format("'{}' behind +- is not a number", shown_text(halves.half_width)), hint);
    }
    refuse_half_width(key, half, value->place, "");
    return StatedNumber{*estimate, half};
}

std::optional<filterflow::Uncertain<double>> TomlTable::uncertain_number(std::string_view key,
                                                                         const std::string& input_name) const {
    const auto stated = stated_number(key);
    if (!stated) return std::nullopt;
    if (stated->half_width == 0.0) return filterflow::Uncertain<double>(stated->value);
    return filterflow::uncertain(stated->value, stated->half_width / normal_95, input_name);
}

std::optional<std::size_t> TomlTable::choice(std::string_view key, const std::vector<std::string>& words) const {
    const auto word = text(key);
    if (!word) return std::nullopt;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == *word) return i;
    }
    refuse(key, fmt::format("'{}' is no choice for '{}'", shown_text(*word), key),
           fmt::format("the choices are {}", quoted_list(words)));
}

std::optional<TomlTable> TomlTable::table(std::string_view key, const std::string& title,
                                          const std::vector<std::string>& known_keys) const {
    const TomlValue* value = find(key);
    if (value == nullptr) return std::nullopt;
    return TomlTable(*value, title, known_keys);
}

std::vector<TomlTable> TomlTable::tables(std::string_view key, const std::string& title,
                                         const std::vector<std::string>& known_keys) const {
    std::vector<TomlTable> list;
    const TomlValue* value = find(key);
    if (value == nullptr) return list;
    if (value->kind != TomlKind::array) {
        if (value->kind == TomlKind::table && title.rfind("[[", 0) == 0) {
            refuse(key, title.substr(1, title.size() - 2) + " stands in single brackets, but a study may hold several",
                   "begin each of them with double brackets: " + title);
        }
        refuse(key, fmt::format("'{}' must be a list of tables, not {}", key, kind_name(value->kind)));
    }
    for (const TomlValue& item : value->items) list.emplace_back(item, title, known_keys);
    return list;
}

}   // namespace choose_filter
