// SPDX-License-Identifier: BSL-1.0
#pragma once

// Results of one block of systems in a file of its own: the unit in which work is shared out, saved and taken up again.
// The file says to which settings and to which rows of input it belongs, and ends with a checksum, so that a block is
// counted if and only if it is whole and belongs there.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace portfolio_study {

/// A number that changes with a text (FNV-1a, 64 bits); against accidents, not against intent.
std::uint64_t checksum(std::string_view text, std::uint64_t start = 0xcbf29ce484222325u);

/// What a block of results is.
struct BlockLabel {
    std::size_t block = 0;          ///< from zero
    std::size_t blocks = 0;         ///< of the whole portfolio
    std::size_t systems = 0;        ///< of the whole portfolio
    std::size_t block_length = 0;   ///< systems in a block but the last
    std::uint64_t settings = 0;     ///< checksum of everything but the rows: options, candidates, fan tables
    std::uint64_t rows = 0;         ///< checksum of the block's rows and their fan tables

    bool operator==(const BlockLabel&) const = default;
};

/// A block that is whole.
struct ReadBlock {
    BlockLabel label;
    std::string rows;   ///< result rows, without header
};

/// Path of a block in a directory of results.
std::string block_path(const std::string& directory, std::size_t block);

/// Number of the block that a file name is of; nothing if it is none.
std::optional<std::size_t> block_of_name(std::string_view file_name);

/// The text of a block's file.
std::string block_text(const BlockLabel& label, const std::string& rows);

/// Writes a block, whole or not at all. Throws DataError.
void write_block(const std::string& directory, const BlockLabel& label, const std::string& rows);

/// The block of a file; nothing if there is none or it is damaged.
std::optional<ReadBlock> read_block(const std::string& path);

}   // namespace portfolio_study
