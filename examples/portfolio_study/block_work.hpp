// SPDX-License-Identifier: BSL-1.0
#pragma once

// The work of a portfolio, block by block, on as many threads as wanted. What a block's results are depends on its rows
// and the settings alone.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "block_file.hpp"
#include "portfolio_system.hpp"
#include "row_source.hpp"
#include "system_evaluation.hpp"
#include "system_table.hpp"

namespace portfolio_study {

/// Blocks of one portfolio; safe to share between threads.
class BlockWork {
public:
    /// All must outlive this. `candidate_text` is the text of the candidates' table.
    BlockWork(const RowSource& source, const SystemReader& reader, const std::vector<PortfolioCandidate>& candidates,
              std::string_view candidate_text, const DrawOptions& options);

    const RowSource& source() const { return source_; }
    /// Reads a block and its fan tables, and returns the label of its results. `names` are those of systems in other
    /// blocks, with their numbers, and grows by those of this one. Throws DataError.
    BlockLabel checked(std::size_t block, std::unordered_map<std::string, std::size_t>& names) const;
    /// Result rows of a block. `done` is called for every system. Throws DataError.
    std::string results(std::size_t block, const std::function<void()>& done) const;

private:
    BlockLabel label_of(std::size_t block, const RowBlock& rows, const choose_filter::CsvTable& table) const;

    const RowSource& source_;
    const SystemReader& reader_;
    const std::vector<PortfolioCandidate>& candidates_;
    DrawOptions options_;
    std::uint64_t settings_;
};

/// Calls `work` for each of the blocks on so many threads (in the caller's if one), next free block first. After an
/// exception no further block is begun; that of the earliest block is thrown again at the end.
void for_each_block(const std::vector<std::size_t>& blocks, std::size_t threads,
                    const std::function<void(std::size_t)>& work);

}   // namespace portfolio_study
