// SPDX-License-Identifier: BSL-1.0

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <utility>

#include "block_file.hpp"
#include "row_source.hpp"
#include "system_table.hpp"

namespace portfolio_study {

using choose_filter::CsvTable;
using choose_filter::DataError;

namespace {

std::ifstream opened(const std::string& path) {
    std::error_code error;
    if (std::filesystem::is_directory(path, error)) throw DataError({path}, "cannot read the table: it is a directory");
    errno = 0;
    std::ifstream in(path, std::ios::binary);
    if (!in) throw DataError({path}, std::string("cannot read the table: ") + std::strerror(errno));
    return in;
}

bool is_row(std::string_view line) {
    const std::string_view content = choose_filter::without_blanks(line);
    return !(content.empty() || content.front() == '#' || content == "\r");
}

}   // namespace

CsvTable FileRows::header_of(const std::string& path) {
    std::ifstream in = opened(path);
    std::string text, line;
    while (std::getline(in, line)) {
        text += line + "\n";
        if (text.size() > 1000000)
            throw DataError({path}, "the first million characters hold no header", "is this a table?");
        if (is_row(text.size() == line.size() + 1 && line.rfind("\xEF\xBB\xBF", 0) == 0 ? line.substr(3) : line)) break;
    }
    CsvTable table(path, text, system_header().substr(0, system_header().find(",fan speed")));
    if (table.row_count() > 0) {
        throw DataError({path}, "its lines end with carriage returns alone", "save it with line feeds");
    }
    return table;
}

FileRows::FileRows(std::string path, std::size_t block) : RowSource(header_of(path), block), path_(std::move(path)) {
    std::ifstream in = opened(path_);
    const std::size_t header_line = header().columns().front().header.line;
    std::string line;
    std::uint64_t offset = 0;
    for (std::size_t number = 1; std::getline(in, line); ++number) {
        if (number > header_line && is_row(line)) {
            if (count_ % block == 0) places_.push_back({offset, number, checksum({})});
            ++count_;
        }
        if (!in.eof()) line += '\n';
        offset += line.size();
        if (!places_.empty()) places_.back().text = checksum(line, places_.back().text);
    }
    if (in.bad()) throw DataError({path_}, "reading it failed");
    if (count_ == 0)
        throw DataError({path_}, "no row behind the header; a portfolio needs at least 1", "write one system a row");
    places_.push_back({offset, 0, 0});
}

RowBlock FileRows::rows(std::size_t block) const {
    std::ifstream in = opened(path_);
    const Place& place = places_[block];
    std::string text(places_[block + 1].offset - place.offset, '\0');
    in.seekg(static_cast<std::streamoff>(place.offset));
    if (!in.read(text.data(), static_cast<std::streamsize>(text.size())) || checksum(text) != place.text) {
        throw DataError({path_, place.first_line}, "the table changed, here or before, while this program read it",
                        "start again: blocks whose rows are still the same are kept");
    }
    return {std::move(text), place.first_line};
}

std::string FileRows::directory() const { return std::filesystem::path(path_).parent_path().string(); }

}   // namespace portfolio_study
