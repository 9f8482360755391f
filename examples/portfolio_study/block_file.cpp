// SPDX-License-Identifier: BSL-1.0

#include "block_file.hpp"

#include <charconv>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "atomic_file.hpp"
#include "result_rows.hpp"

namespace portfolio_study {

namespace {

constexpr std::string_view name_begin = "block_", name_end = ".csv", last_line = "# checksum ";

std::string first_line(const BlockLabel& l) {
    return fmt::format(
        "# portfolio_study: block {} of {}, {} systems in blocks of {}, settings {:016x}, rows {:016x}\n", l.block + 1,
        l.blocks, l.systems, l.block_length, l.settings, l.rows);
}

/// The numbers between the words of the first line; nothing if it is another line.
std::optional<BlockLabel> label_of(std::string_view line) {
    BlockLabel label;
    const auto take = [&](std::string_view words, auto& number, int base) {
        if (line.substr(0, words.size()) != words) return false;
        line.remove_prefix(words.size());
        const auto [end, error] = std::from_chars(line.data(), line.data() + line.size(), number, base);
        if (error != std::errc{}) return false;
        line.remove_prefix(static_cast<std::size_t>(end - line.data()));
        return true;
    };
    const bool good = take("# portfolio_study: block ", label.block, 10) && take(" of ", label.blocks, 10) &&
                      take(", ", label.systems, 10) && take(" systems in blocks of ", label.block_length, 10) &&
                      take(", settings ", label.settings, 16) && take(", rows ", label.rows, 16);
    if (!good || !line.empty() || label.block == 0 || label.block > label.blocks) return std::nullopt;
    --label.block;
    return label;
}

}   // namespace

std::uint64_t checksum(std::string_view text, std::uint64_t start) {
    for (const char c : text) start = (start ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return start;
}

std::string block_path(const std::string& directory, std::size_t block) {
    return (std::filesystem::path(directory) / fmt::format("{}{:08}{}", name_begin, block + 1, name_end)).string();
}

std::optional<std::size_t> block_of_name(std::string_view file_name) {
    if (file_name.size() <= name_begin.size() + name_end.size() ||
        file_name.substr(0, name_begin.size()) != name_begin) {
        return std::nullopt;
    }
    file_name.remove_prefix(name_begin.size());
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(file_name.data(), file_name.data() + file_name.size(), number);
    const bool good = error == std::errc{} && number > 0 &&
                      file_name.substr(static_cast<std::size_t>(end - file_name.data())) == name_end;
    return good ? std::optional(number - 1) : std::nullopt;
}

std::string block_text(const BlockLabel& label, const std::string& rows) {
    std::string text = first_line(label) + result_header() + rows;
    return text + fmt::format("{}{:016x}\n", last_line, checksum(text));
}

void write_block(const std::string& directory, const BlockLabel& label, const std::string& rows) {
    AtomicFile file(block_path(directory, label.block));
    file.append(block_text(label, rows));
    file.keep();
}

std::optional<ReadBlock> read_block(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in) return std::nullopt;
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    const auto label = label_of(std::string_view(text).substr(0, text.find('\n')));
    if (!label) return std::nullopt;
    // Whole and unchanged if and only if it is what would be written for its label and rows.
    const std::size_t begin = first_line(*label).size() + result_header().size();
    const std::size_t end = text.rfind(last_line);
    if (end == std::string::npos || end < begin) return std::nullopt;
    ReadBlock block{*label, text.substr(begin, end - begin)};
    if (block_text(*label, block.rows) != text) return std::nullopt;
    return block;
}

}   // namespace portfolio_study
