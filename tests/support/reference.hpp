// SPDX-License-Identifier: BSL-1.0
#pragma once

// Reads the published values in tests/reference: comma-separated, quotes around cells that hold commas, one
// header row, a source on every row.

#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

#ifndef FILTERFLOW_TEST_DIR
#define FILTERFLOW_TEST_DIR "tests"
#endif

namespace filterflow::test {

/// One row of a reference table.
struct ReferenceRow {
    const std::vector<std::string>* header;
    std::vector<std::string> cells;

    const std::string& operator[](const std::string& column) const {
        for (std::size_t i = 0; i < header->size(); ++i) {
            if ((*header)[i] == column && i < cells.size()) return cells[i];
        }
        throw std::runtime_error("reference table has no column " + column);
    }
    bool has(const std::string& column) const { return !(*this)[column].empty(); }
    double number(const std::string& column) const {
        const std::string& text = (*this)[column];
        std::size_t used = 0;
        const double value = std::stod(text, &used);
        if (used != text.size()) throw std::runtime_error("not a number in column " + column + ": " + text);
        return value;
    }
};

/// A reference table; rows point into it, so it is neither copied nor moved.
class ReferenceTable {
public:
    explicit ReferenceTable(const std::string& file) {
        const char* from_environment = std::getenv("FILTERFLOW_TEST_DIR");
        const std::string directory = from_environment ? from_environment : FILTERFLOW_TEST_DIR;
        const std::string path = directory + "/reference/" + file;
        std::ifstream in(path);
        if (!in) throw std::runtime_error("cannot read " + path);
        std::string line;
        while (std::getline(in, line)) {
            if (line.empty()) continue;
            if (header_.empty()) {
                header_ = split(line);
            } else {
                rows_.push_back({&header_, split(line)});
            }
        }
        if (rows_.empty()) throw std::runtime_error("no rows in " + path);
    }
    ReferenceTable(const ReferenceTable&) = delete;
    ReferenceTable& operator=(const ReferenceTable&) = delete;

    auto begin() const { return rows_.begin(); }
    auto end() const { return rows_.end(); }
    std::size_t size() const { return rows_.size(); }

    /// The first row whose cell in a column equals a text.
    const ReferenceRow& row(const std::string& column, const std::string& text) const {
        for (const ReferenceRow& r : rows_) {
            if (r[column] == text) return r;
        }
        throw std::runtime_error("reference table has no row with " + column + " = " + text);
    }

private:
    static std::vector<std::string> split(const std::string& line) {
        std::vector<std::string> cells(1);
        bool quoted = false;
        for (std::size_t i = 0; i < line.size(); ++i) {
            const char c = line[i];
            if (quoted && c == '"' && i + 1 < line.size() && line[i + 1] == '"') {
                cells.back() += '"';
                ++i;
            } else if (c == '"') {
                quoted = !quoted;
            } else if (c == ',' && !quoted) {
                cells.emplace_back();
            } else if (c != '\r') {
                cells.back() += c;
            }
        }
        return cells;
    }

    std::vector<std::string> header_;
    std::vector<ReferenceRow> rows_;
};

}   // namespace filterflow::test
