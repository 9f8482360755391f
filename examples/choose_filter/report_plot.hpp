// SPDX-License-Identifier: BSL-1.0
#pragma once

// Drawings by gnuplot: a script of our own numbers goes in, an SVG that can stand inline in a page comes out.
// Names that users chose never reach gnuplot. A token of the same width stands in for each, and is replaced in the
// finished drawing by the escaped name; so no name can end a string, start a command or break the drawing.

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace choose_filter {

/// How a line and its marks look: colours that colour-blind readers tell apart (Okabe and Ito), each with a dash
/// and a mark of its own, so that print in black does as well.
struct PlotStyle {
    std::string colour;   ///< "#0072B2"
    std::string dash;     ///< gnuplot dash list, "solid" or "(8,4)"
    int mark = 7;         ///< gnuplot point type
};

/// The style of the n-th thing drawn; repeats colours with other dashes and marks after seven.
PlotStyle plot_style(std::size_t index);

/// A script under way. Commands are our own text; names go through name().
class Plot {
public:
    /// A drawing of so many pixels.
    Plot(int width, int height);

    /// A gnuplot command, without line end.
    void command(std::string_view text);

    /// A token for a text that a user chose, to stand inside single quotes.
    std::string token(std::string_view text, std::size_t greatest_width = 34);
    /// The same in its quotes.
    std::string name(std::string_view text, std::size_t greatest_width = 34);

    /// A block of numbers, a row each; returns its name ("$d3"). An empty cell is one that is not finite.
    std::string data(const std::vector<std::vector<double>>& rows);

    /// Grid, tics and borders that every plot begins with; labels are our own text.
    void axes(std::string_view x_label, std::string_view y_label);

    /// Ends of the axes.
    void x_range(double from, double to);
    void y_range(double from, double to);

    /// A second scale along the upper or right edge, with round numbers of its own: those of the first over `one`.
    /// After the range of the first.
    void second_x(double one, std::string_view label);
    void second_y(double one, std::string_view label);

    /// Draws, and returns the SVG element with ids that begin with `id`, a title and a description.
    /// Throws filterflow::Error if gnuplot is missing or fails, with gnuplot's own words.
    std::string svg(std::string_view id, std::string_view title, std::string_view description) const;

private:
    std::string script_;
    std::vector<std::pair<std::string, std::string>> names_;   // token, text
    std::size_t blocks_ = 0;
    std::pair<double, double> x_range_{0.0, 1.0};
    std::pair<double, double> y_range_{0.0, 1.0};
};

/// What gnuplot prints for a script; runs it without a shell. The program's name is a parameter for the tests.
/// Throws filterflow::Error if it is missing or fails.
std::string gnuplot_output(const std::string& script, const std::string& program = "gnuplot");

}   // namespace choose_filter
