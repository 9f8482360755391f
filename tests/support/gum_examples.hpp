// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cells of the table of worked examples of uncertainty (tests/reference/gum_examples.csv).

#include <stdexcept>
#include <string>

#include "support/reference.hpp"

namespace filterflow::test {

/// The value cell of an item of one of the examples.
inline std::string example_cell(const ReferenceTable& table, const std::string& example, const std::string& item) {
    for (const bool exact : {true, false}) {   // the whole item, else the beginning of one
        for (const ReferenceRow& row : table) {
            if (row["example"].rfind(example, 0) != 0) continue;
            if (exact ? row["item"] == item : row["item"].rfind(item, 0) == 0) return row["value"];
        }
    }
    throw std::runtime_error("no item " + item + " of " + example);
}

/// The number that follows a word in a cell, as 18 after "dof" in "50000623 ; u 25 ; dof 18".
inline double number_after(const std::string& text, const std::string& word, double otherwise) {
    const std::size_t at = text.find(word + " ");
    return at == std::string::npos ? otherwise : std::stod(text.substr(at + word.size() + 1));
}

}   // namespace filterflow::test
