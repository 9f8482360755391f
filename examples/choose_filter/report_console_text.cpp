// SPDX-License-Identifier: BSL-1.0

#include "report_console_text.hpp"

#include <algorithm>

#include "report_text.hpp"

namespace choose_filter {

std::string ConsoleTable::text(std::size_t head_rows, std::size_t text_columns) const {
    std::vector<std::size_t> widths;
    for (const auto& cells : rows_) {
        widths.resize(std::max(widths.size(), cells.size()));
        for (std::size_t i = 0; i < cells.size(); ++i) widths[i] = std::max(widths[i], display_width(cells[i]));
    }
    std::size_t all = 0;
    for (const std::size_t w : widths) all += w + 2;
    // What is too much is taken from the widest text column.
    while (all > console_width + 2) {
        const auto widest =
            std::max_element(widths.begin(), widths.begin() + static_cast<std::ptrdiff_t>(text_columns));
        if (*widest <= 8) break;
        --*widest;
        --all;
    }
    std::string text;
    for (std::size_t r = 0; r < rows_.size(); ++r) {
        std::vector<std::vector<std::string>> cells;
        std::size_t lines = 1;
        for (std::size_t i = 0; i < rows_[r].size(); ++i) {
            cells.push_back(i < text_columns ? wrapped(rows_[r][i], widths[i])
                                             : std::vector<std::string>{cut_to_width(rows_[r][i], widths[i])});
            lines = std::max(lines, cells.back().size());
        }
        for (std::size_t l = 0; l < lines; ++l) {
            std::string line;
            for (std::size_t i = 0; i < cells.size(); ++i) {
                if (i > 0) line += "  ";
                std::string cell = l < cells[i].size() ? cells[i][l] : std::string();
                const bool goes_on = l > 0 && i < text_columns && !cell.empty();
                if (goes_on && display_width(cell) < widths[i]) cell = " " + cell;
                line += i < text_columns ? padded_right(std::move(cell), widths[i])
                                         : padded_left(std::move(cell), widths[i]);
            }
            line = cut_to_width(line, console_width);
            line.erase(line.find_last_not_of(' ') + 1);
            text += line + "\n";
        }
        if (r + 1 == head_rows) text += std::string(std::min(all - 2, console_width), '-') + "\n";
    }
    return text;
}

std::string wrap_text(const std::string& text, const std::string& indent, const std::string& first) {
    std::string all;
    const std::string& begin = first.empty() ? indent : first;
    for (const std::string& line : wrapped(with_set_units(one_line(text)), console_width - display_width(indent))) {
        all += (all.empty() ? begin : indent) + line + "\n";
    }
    return all;
}

}   // namespace choose_filter
