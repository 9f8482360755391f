// SPDX-License-Identifier: BSL-1.0
#pragma once

// A TOML file as a tree of values that know their place. The parser behind it (toml11) is heavy to compile, so that
// one source file alone includes it.

#include <cstddef>
#include <string>
#include <vector>

#include "data_error.hpp"

namespace choose_filter {

/// What a TOML value is. Integers and floats are both numbers.
enum class TomlKind { table, array, text, number, boolean, date };

struct TomlMember;

/// A TOML value with its place.
struct TomlValue {
    TomlKind kind = TomlKind::table;
    std::string text;          ///< of a text
    double number = 0.0;       ///< of a number: finite, read independent of the locale
    bool is_integer = false;   ///< of a number
    bool boolean = false;      ///< of a boolean
    std::vector<TomlValue> items;                              ///< of an array
    std::vector<TomlMember> members;    ///< of a table, in the order of the file
    SourcePlace place;         ///< of the value
    SourcePlace key_place;     ///< of its key, where it has one
    bool plain_text = false;   ///< a text in plain quotes without escapes: an offset in it is an offset in the line
};

/// A key of a table with its value.
struct TomlMember {
    std::string key;
    TomlValue value;
};

/// Reads a TOML file. Throws DataError with the place of the first mistake.
TomlValue parse_toml(const std::string& path, const std::string& text);

}   // namespace choose_filter
