// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cells and rows of the page's tables.

#include <string>
#include <vector>

#include <fmt/format.h>

#include "report_text.hpp"

namespace choose_filter {

/// Heads that begin with a bar are of columns of text.
inline std::string table_start(const std::string& label, const std::string& caption, const std::vector<std::string>& heads) {
    std::string html = "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"" + html_text(label) +
                       "\">\n<table>\n<caption>" + html_text(caption) + "</caption>\n<thead>\n<tr>";
    for (std::size_t i = 0; i < heads.size(); ++i) {
        const bool text = i == 0 || heads[i].substr(0, 1) == "|";
        html += fmt::format("<th scope=\"col\"{}>{}</th>", text ? " class=\"text\"" : "",
                            html_text(i > 0 && text ? heads[i].substr(1) : heads[i]));
    }
    return html + "</tr>\n</thead>\n<tbody>\n";
}

inline const char* table_end() { return "</tbody>\n</table>\n</div>\n"; }

inline std::string cell(const std::string& text) { return "<td><span class=\"value\">" + html_text(text) + "</span></td>"; }
inline std::string text_cell(const std::string& text) { return "<td class=\"text\">" + html_text(text) + "</td>"; }
inline std::string row_head(const std::string& text) { return "<tr><th scope=\"row\">" + html_text(text) + "</th>"; }

}   // namespace choose_filter
