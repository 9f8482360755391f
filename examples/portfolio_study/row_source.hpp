// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where the rows of systems come from: a file that is read block by block, so that its size does not matter, or a
// scenario that is made up row by row. Either way a block of rows is a piece of text with the same header.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "choose_filter/csv_table.hpp"

namespace portfolio_study {

/// Rows that follow each other, as text.
struct RowBlock {
    std::string text;
    std::size_t first_line = 0;   ///< number of the text's first line in its file
};

/// Rows of systems in blocks of equal length, the last one shorter. Safe to share between threads.
class RowSource {
public:
    RowSource(choose_filter::CsvTable header, std::size_t block) : header_(std::move(header)), block_(block) {}
    virtual ~RowSource() = default;

    const choose_filter::CsvTable& header() const { return header_; }   ///< a table without rows
    std::size_t block_length() const { return block_; }                 ///< systems in a block, >= 1
    std::size_t block_count() const { return (count() + block_ - 1) / block_; }
    std::size_t first_of(std::size_t block) const {
        return block * block_;
    }   ///< number of its first system, from zero

    virtual std::size_t count() const = 0;                ///< systems
    virtual RowBlock rows(std::size_t block) const = 0;   ///< throws DataError if they cannot be read
    virtual std::string directory() const = 0;            ///< that paths in the rows are relative to

private:
    choose_filter::CsvTable header_;
    std::size_t block_;
};

/// Rows of a file, of which only places and checksums of its blocks are kept: a block that is read again and again is
/// the same each time, or refused.
class FileRows : public RowSource {
public:
    /// Throws DataError if the file cannot be read, has no row, or is no text.
    FileRows(std::string path, std::size_t block);

    std::size_t count() const override { return count_; }
    /// Throws DataError, too, if the block is not what it was when this was made.
    RowBlock rows(std::size_t block) const override;
    std::string directory() const override;

private:
    struct Place {
        std::uint64_t offset;   // bytes
        std::size_t first_line;
        std::uint64_t text;   // checksum of the block's text
    };
    static choose_filter::CsvTable header_of(const std::string& path);

    std::string path_;
    std::vector<Place> places_;   // of the blocks, and the file's end
    std::size_t count_ = 0;
};

/// An invented portfolio, the systems of a trust of many buildings after the Tern Lane Arts Centre: system k is the
/// same whoever asks for it, by random streams that carry its number.
class ScenarioRows : public RowSource {
public:
    /// `directory` is where the fan tables readings/fan_belt.csv and readings/fan_drive.csv stand; `candidates` are the
    /// names from which the present filters are taken.
    ScenarioRows(std::size_t count, std::uint64_t seed, std::size_t block, std::string directory,
                 std::vector<std::string> candidates);

    std::size_t count() const override { return count_; }
    RowBlock rows(std::size_t block) const override;
    std::string directory() const override { return directory_; }

private:
    std::size_t count_;
    std::uint64_t seed_;
    std::string directory_;
    std::vector<std::string> candidates_;
};

}   // namespace portfolio_study
