// SPDX-License-Identifier: BSL-1.0
#pragma once

// Pieces of the page's tables.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report_estimate.hpp"
#include "report_html.hpp"
#include "report_text.hpp"

namespace choose_filter {

/// A box of its own for a table that may be wider than the page; what explains it stands above, and wraps.
inline std::string scroll_start(const std::string& label) {
    return "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"" + html_text(label) + "\">\n";
}

/// Heads that begin with a bar are of columns of text.
inline std::string table_start(const std::string& label, const std::string& caption,
                               const std::vector<std::string>& heads) {
    std::string html = "<p class=\"caption\">" + html_text(caption) + "</p>\n" + scroll_start(label) +
                       "<table>\n<thead>\n<tr>";
    for (std::size_t i = 0; i < heads.size(); ++i) {
        const bool text = i == 0 || heads[i].substr(0, 1) == "|";
        html += fmt::format("<th scope=\"col\"{}>{}</th>", text ? " class=\"text\"" : "",
                            html_text(i > 0 && text ? heads[i].substr(1) : heads[i]));
    }
    return html + "</tr>\n</thead>\n<tbody>\n";
}

inline const char* table_end() { return "</tbody>\n</table>\n</div>\n"; }

inline std::string cell(const std::string& text) {
    return "<td><span class=\"value\">" + html_text(text) + "</span></td>";
}
inline std::string text_cell(const std::string& text) { return "<td class=\"text\">" + html_text(text) + "</td>"; }
inline std::string row_head(const std::string& text) { return "<tr><th scope=\"row\">" + html_text(text) + "</th>"; }

inline std::string or_dash(const std::optional<Estimate>& e) { return e ? estimate_text(*e) : "-"; }

/// The same text said of several things, once: "text (of this, of that)", in the order in which they came up.
class SaidOf {
public:
    void add(const std::string& what, const std::string& text) {
        auto at = std::find_if(all_.begin(), all_.end(), [&](const auto& entry) { return entry.first == text; });
        if (at == all_.end()) at = all_.insert(all_.end(), {text, {}});
        if (std::find(at->second.begin(), at->second.end(), what) == at->second.end()) at->second.push_back(what);
    }
    bool empty() const { return all_.empty(); }
    /// With more than one thing to speak of, `everything` stands for all of them.
    std::string list(std::size_t count_of_all, const std::string& everything) const {
        std::vector<std::string> lines;
        for (const auto& [text, of] : all_) {
            lines.push_back(
                (of.size() > 1 && of.size() == count_of_all ? everything : with_set_units(joined(of, "; "))) + ": " +
                typeset(text));
        }
        return list_html(lines, "small");
    }

private:
    std::vector<std::pair<std::string, std::vector<std::string>>> all_;
};

}   // namespace choose_filter
