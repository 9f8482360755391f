// SPDX-License-Identifier: BSL-1.0
#pragma once

// Texts of the report: numbers rounded by their uncertainty, strings made safe for HTML and CSV, columns aligned
// by what is seen and not by bytes.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace choose_filter {

/// A number in the unit that it is printed in, with the interval that covers it.
struct Estimate {
    double value = 0.0;
    double lower = 0.0;   ///< equal to the value where it is exact
    double upper = 0.0;
    bool is_share = false;   ///< in per cent of a whole

    double half_width() const { return 0.5 * (upper - lower); }
};

/// The estimate in another unit.
Estimate scaled(const Estimate& estimate, double factor);

/// An estimate in per cent of a whole, its interval cut to what a share can be: 0 to 100.
Estimate share(const Estimate& estimate);

/// An estimate of what cannot be negative, its interval cut at zero.
Estimate not_negative(const Estimate& estimate);

/// Decimals after the point that an uncertainty deserves: two digits of it where it begins with 1 or 2, else one.
int decimals_for(double half_width);

/// A number with the given decimals; negative decimals round to tens, hundreds. Never "-0".
std::string fixed_text(double value, int decimals);

/// A number with so many significant digits.
std::string significant_text(double value, int digits = 3);

/// The value of an estimate alone, rounded as beside its interval, and to a whole number where that leaves decimals;
/// one significant digit at least.
std::string whole_text(const Estimate& estimate);

/// "123 ± 4", rounded by the half width as in the library's sentences; a share to one decimal at most. Where the
/// interval is cut: "98 to 100" for a share, else "100 (0 to 210)"; "100 (outside 102 to 110)" where the value is not
/// in an interval of draws by more than rounding. Where it is exact the value alone, to at most four digits.
std::string estimate_text(const Estimate& estimate);

/// The same beside a number outside the interval, with as many decimals as show that it is outside.
std::string estimate_text_apart(const Estimate& estimate, double other);

/// "119 to 127", rounded by the half width.
std::string interval_text(const Estimate& estimate);

/// All digits that a double holds, for files.
std::string exact_text(double value);

/// Text safe inside HTML elements and quoted attributes; control characters and bad UTF-8 are replaced.
std::string html_text(std::string_view text);

/// Text with control characters (line ends too) turned into spaces and bad UTF-8 replaced.
std::string one_line(std::string_view text);

/// A cell of a CSV file; quoted where needed, and never read as a formula by a spreadsheet.
std::string csv_text(std::string_view text);

/// Columns that a text takes on a terminal.
std::size_t display_width(std::string_view text);

/// The text cut to so many columns, with an ellipsis where it was cut.
std::string cut_to_width(std::string_view text, std::size_t width);

/// The text padded with spaces on its right, or on its left.
std::string padded_right(std::string text, std::size_t width);
std::string padded_left(std::string text, std::size_t width);

/// The text broken at spaces into lines of at most so many columns.
std::vector<std::string> wrapped(std::string_view text, std::size_t width);

/// A sentence of the library with its units as they are set elsewhere: ± for +-, m³/h for m3/h, µm for um.
std::string with_set_units(std::string_view text);

/// A sentence of the library as it is set on a page: ± for +-, m³/h for m3/h, µm for um, curved quotation marks.
std::string typeset(std::string_view text);

/// Names with commas between.
std::string joined(const std::vector<std::string>& texts, std::string_view separator = ", ");

}   // namespace choose_filter
