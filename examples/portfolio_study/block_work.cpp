// SPDX-License-Identifier: BSL-1.0

#include "block_work.hpp"

#include <atomic>
#include <exception>
#include <mutex>
#include <string_view>
#include <thread>

#include <fmt/format.h>

#include "result_rows.hpp"

namespace portfolio_study {

namespace {

// Raised with any change of what the results are: blocks of another layout are not taken up.
constexpr int layout = 1;

}   // namespace

BlockWork::BlockWork(const RowSource& source, const SystemReader& reader,
                     const std::vector<PortfolioCandidate>& candidates, std::string_view candidate_text,
                     const DrawOptions& options)
    : source_(source), reader_(reader), candidates_(candidates), options_(options) {
    const std::string numbers = fmt::format("layout {}, draws {}, seed {}, {}", layout, options.draws,
                                            options.draws > 0 ? options.seed : 0, result_header());
    std::string columns;
    for (const auto& column : source.header().columns()) columns += column.header.text + ",";
    settings_ = checksum(candidate_text, checksum(columns, checksum(numbers)));
}

BlockLabel BlockWork::label_of(std::size_t block, const RowBlock& rows, const choose_filter::CsvTable& table) const {
    std::uint64_t of_rows = checksum(rows.text);
    for (std::size_t row = 0; row < table.row_count(); ++row) of_rows = checksum(reader_.fan_text(table, row), of_rows);
    return {block, source_.block_count(), source_.count(), source_.block_length(), settings_, of_rows};
}

BlockLabel BlockWork::checked(std::size_t block, std::unordered_map<std::string, std::size_t>& names) const {
    const RowBlock rows = source_.rows(block);
    const auto table = source_.header().part(rows.text, rows.first_line);
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        const PortfolioSystem system = reader_.system(table, row);
        const auto [at, is_new] = names.try_emplace(system.name, source_.first_of(block) + row + 1);
        if (!is_new) {
            table.refuse(row, table.column("system"), fmt::format("system number {} has this name too", at->second),
                         "give each system a name of its own: a system that is listed twice would count twice");
        }
    }
    return label_of(block, rows, table);
}

std::string BlockWork::results(std::size_t block, const std::function<void()>& done) const {
    const RowBlock rows = source_.rows(block);
    const auto table = source_.header().part(rows.text, rows.first_line);
    std::string text;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        const PortfolioSystem system = reader_.system(table, row);
        const std::size_t number = source_.first_of(block) + row;
        try {
            const auto outcomes = evaluated(system, number, candidates_, options_);
            for (std::size_t k = 0; k < outcomes.size(); ++k) {
                text += result_text(result_row(number + 1, system.name, candidates_[k].name, outcomes[k]));
            }
        } catch (const filterflow::Error& error) {
            table.refuse(row, table.column("system"), choose_filter::without_function_names(error.what()),
                         "check the numbers of this row and its fan table");
        }
        done();
    }
    return text;
}

void for_each_block(const std::vector<std::size_t>& blocks, std::size_t threads,
                    const std::function<void(std::size_t)>& work) {
    std::atomic<std::size_t> next{0};
    std::mutex mutex;
    std::exception_ptr first;
    std::size_t first_block = 0;
    const auto run = [&] {
        for (std::size_t i = next++; i < blocks.size(); i = next++) {
            try {
                work(blocks[i]);
            } catch (...) {
                const std::scoped_lock lock(mutex);
                if (!first || blocks[i] < first_block) {
                    first = std::current_exception();
                    first_block = blocks[i];
                }
                next = blocks.size();
            }
        }
    };
    std::vector<std::thread> others;
    for (std::size_t k = 1; k < std::min(threads, blocks.size()); ++k) others.emplace_back(run);
    run();
    for (std::thread& thread : others) thread.join();
    if (first) std::rethrow_exception(first);
}

}   // namespace portfolio_study
