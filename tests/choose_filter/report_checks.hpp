// SPDX-License-Identifier: BSL-1.0
#pragma once

// Small checkers of what the report writes: markup, forbidden texts, CSV.

#include <algorithm>
#include <cctype>
#include <set>
#include <string>
#include <vector>

namespace filterflow::test {

inline bool contains(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

inline std::size_t times_in(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
    return n;
}

/// What is wrong with a page: tags that do not match, attributes without quotes, ids that repeat, links within the page
/// that lead nowhere, anything that needs a network or runs a script. Empty if nothing is.
inline std::vector<std::string> markup_faults(const std::string& page) {
    static const std::set<std::string> empty_elements{"meta", "br", "hr", "img", "input", "link", "!DOCTYPE"};
    std::vector<std::string> faults, open, links;
    std::set<std::string> ids;
    std::size_t at = 0;
    while ((at = page.find('<', at)) != std::string::npos) {
        if (page.compare(at, 4, "<!--") == 0) {
            at = page.find("-->", at);
            continue;
        }
        std::size_t end = at + 1;
        const bool closing = end < page.size() && page[end] == '/';
        if (closing) ++end;
        const std::size_t name_start = end;
        while (end < page.size() && (std::isalnum(static_cast<unsigned char>(page[end])) || page[end] == '!')) ++end;
        const std::string name = page.substr(name_start, end - name_start);
        if (name.empty()) {
            faults.push_back("a bare < at " + page.substr(at, 30));
            ++at;
            continue;
        }
        if (name == "script" || name == "iframe" || name == "object" || name == "foreignObject") {
            faults.push_back("element " + name);
        }
        bool self_closed = false;
        while (end < page.size() && page[end] != '>') {   // attributes
            if (std::isspace(static_cast<unsigned char>(page[end]))) { ++end; continue; }
            if (page[end] == '/') { self_closed = true; ++end; continue; }
            const std::size_t key_start = end;
            while (end < page.size() && page[end] != '=' && page[end] != '>' && page[end] != '/' &&
                   !std::isspace(static_cast<unsigned char>(page[end]))) {
                ++end;
            }
            const std::string key = page.substr(key_start, end - key_start);
            const auto skip_space = [&] {
                while (end < page.size() && std::isspace(static_cast<unsigned char>(page[end]))) ++end;
            };
            skip_space();
            if (end >= page.size() || page[end] != '=') continue;
            ++end;
            skip_space();
            const char quote = end < page.size() ? page[end] : ' ';
            if (quote != '"' && quote != '\'') {
                faults.push_back("attribute " + key + " of " + name + " without quotes");
                continue;
            }
            const std::size_t value_end = page.find(quote, end + 1);
            if (value_end == std::string::npos) return {"an attribute that never ends"};
            const std::string value = page.substr(end + 1, value_end - end - 1);
            end = value_end + 1;
            if (value.find('<') != std::string::npos) faults.push_back("a < inside attribute " + key);
            if (key.substr(0, 2) == "on") faults.push_back("handler " + key);
            if (key == "id" && !ids.insert(value).second) faults.push_back("id " + value + " twice");
            if (key == "href" || key == "xlink:href" || key == "src") {
                if (value.substr(0, 1) == "#") links.push_back(value.substr(1));
                else faults.push_back("reference to " + value);
            }
            if (key == "aria-labelledby") {
                links.push_back(value.substr(0, value.find(' ')));
                links.push_back(value.substr(value.rfind(' ') + 1));
            }
        }
        at = end;
        if (closing) {
            if (open.empty() || open.back() != name) {
                faults.push_back("</" + name + "> closes " + (open.empty() ? std::string("nothing") : open.back()));
            } else {
                open.pop_back();
            }
        } else if (!self_closed && !empty_elements.count(name)) {
            open.push_back(name);
            if (name == "style") at = page.find("</style", at);
        }
    }
    for (const std::string& name : open) faults.push_back("<" + name + "> never closed");
    for (const std::string& link : links) {
        if (!ids.count(link)) faults.push_back("link to #" + link + " leads nowhere");
    }
    if (page.find("@import") != std::string::npos) faults.push_back("style sheet from elsewhere");
    return faults;
}

/// Whether a word stands in a text on its own, in any case.
inline bool has_word(const std::string& text, const std::string& word) {
    const auto letter = [&](std::size_t i) {
        return i < text.size() && std::isalnum(static_cast<unsigned char>(text[i]));
    };
    const auto same = [](char a, char b) {
        return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
    };
    for (auto at = std::search(text.begin(), text.end(), word.begin(), word.end(), same); at != text.end();
         at = std::search(at + 1, text.end(), word.begin(), word.end(), same)) {
        const auto i = static_cast<std::size_t>(at - text.begin());
        if ((i == 0 || !letter(i - 1)) && !letter(i + word.size())) return true;
    }
    return false;
}

/// Rows and cells of a CSV text.
inline std::vector<std::vector<std::string>> csv_rows(const std::string& text) {
    std::vector<std::vector<std::string>> rows(1, {""});
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') { rows.back().back() += '"'; ++i; }
        else if (c == '"') quoted = !quoted;
        else if (!quoted && c == ',') rows.back().emplace_back();
        else if (!quoted && c == '\n') rows.push_back({""});
        else rows.back().back() += c;
    }
    if (rows.back().size() == 1 && rows.back()[0].empty()) rows.pop_back();
    return rows;
}

}   // namespace filterflow::test
