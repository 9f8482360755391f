// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the readers of files throw: the place (path:line:column), what is wrong there, the line itself with a caret
// below the offending character, and a hint what to do about it.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/errors.hpp>

namespace choose_filter {

/// A place in a text file. Lines and columns count from 1, columns in characters (not bytes); 0 is "unknown".
struct SourcePlace {
    std::string path;
    std::size_t line = 0;
    std::size_t column = 0;
    std::string line_text{};   ///< the whole line, for showing
};

/// A file that cannot be used as it is.
class DataError : public filterflow::Error {
public:
    DataError(SourcePlace place, std::string problem, std::string hint = {});

    const SourcePlace& place() const { return place_; }
    const std::string& problem() const { return problem_; }
    const std::string& hint() const { return hint_; }

private:
    SourcePlace place_;
    std::string problem_;
    std::string hint_;
};

/// "path:line:column", with the parts that are known.
std::string place_text(const SourcePlace& place);

/// The place moved right by a number of bytes of its line (columns count characters).
SourcePlace moved_right(SourcePlace place, std::size_t bytes);

/// Column (in characters, from 1) of a byte offset in a line of UTF-8.
std::size_t column_of_offset(std::string_view line, std::size_t offset);

/// Letters by which two names differ (insertions, deletions, replacements, swaps of neighbours), capitals and
/// underscores apart.
std::size_t folded_distance(std::string_view a, std::string_view b);

/// The known name nearest to a mistyped one, or an empty text if none is near.
std::string nearest_name(std::string_view name, const std::vector<std::string>& known);

/// "did you mean 'width'?", or the list of what is known if nothing is near.
std::string name_hint(std::string_view name, const std::vector<std::string>& known, std::string_view what_they_are);

/// Names in quotes with commas between.
std::string quoted_list(const std::vector<std::string>& names);

/// A message of the library without the names of its functions ("fit_loading: ..."), which say nothing to a stranger.
std::string without_function_names(std::string_view message);

/// Text fit for a message: control characters replaced, and cut where it is long.
std::string shown_text(std::string_view text, std::size_t greatest_length = 60);

}   // namespace choose_filter
