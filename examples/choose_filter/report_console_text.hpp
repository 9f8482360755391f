// SPDX-License-Identifier: BSL-1.0
#pragma once

// Tables and paragraphs for a terminal.

#include <cstddef>
#include <string>
#include <vector>

namespace choose_filter {

inline constexpr std::size_t console_width = 110;

/// A table whose columns are as wide as what stands in them; the first columns are text, broken into lines where they
/// are too long.
class ConsoleTable {
public:
    void row(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
    std::string text(std::size_t head_rows, std::size_t text_columns) const;

private:
    std::vector<std::vector<std::string>> rows_;
};

/// A paragraph; its first line begins with `first`, if that is not empty, as the others with `indent`.
std::string wrap_text(const std::string& text, const std::string& indent = "", const std::string& first = "");

}   // namespace choose_filter
