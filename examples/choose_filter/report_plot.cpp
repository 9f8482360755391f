// SPDX-License-Identifier: BSL-1.0

#include "report_plot.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include <filterflow/core/errors.hpp>

#include "report_text.hpp"

namespace choose_filter {

namespace {

void replace_all(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

/// Puts the prefix before each id and each reference to one, whichever quotes gnuplot used.
void make_ids_unique(std::string& svg, const std::string& prefix) {
    for (const std::string_view before : {" id='", " id=\"", "href='#", "href=\"#", "url(#"}) {
        replace_all(svg, before, std::string(before) + prefix);
    }
}

/// Cuts gnuplot's title elements (they repeat plot titles as tool tips) and its description.
void cut_elements(std::string& svg, const std::string& name) {
    const std::string open = "<" + name + ">";
    const std::string close = "</" + name + ">";
    for (std::size_t at = svg.find(open); at != std::string::npos; at = svg.find(open, at)) {
        const std::size_t end = svg.find(close, at);
        if (end == std::string::npos) return;
        svg.erase(at, end + close.size() - at);
    }
}

}   // namespace

PlotStyle plot_style(std::size_t index) {
    static const std::array<const char*, 7> colours{"#0072B2", "#D55E00", "#009E73", "#000000",
                                                    "#CC79A7", "#56B4E9", "#E69F00"};
    static const std::array<const char*, 7> dashes{"solid",          "(14,5)",         "(4,4)",          "(14,4,3,4)",
                                                   "(20,4,3,4,3,4)", "(8,3)",          "(20,6)"};
    static const std::array<int, 7> marks{7, 5, 9, 13, 11, 6, 4};
    const std::size_t round = index / colours.size();
    return {colours[index % 7], dashes[(index + 2 * round) % 7], marks[(index + 3 * round) % 7]};
}

Plot::Plot(int width, int height) {
    script_ = fmt::format(
        "set encoding utf8\n"
        "set terminal svg size {},{} dynamic noenhanced font 'Helvetica,13' linewidth 1.2 background '#ffffff'\n"
        "set datafile missing 'NaN'\n"
        "set samples 200\n"
        "set decimalsign '.'\n",
        width, height);
}

void Plot::command(std::string_view text) {
    script_ += text;
    script_ += '\n';
}

std::string Plot::token(std::string_view text, std::size_t greatest_width) {
    std::string shown = cut_to_width(one_line(text), greatest_width);
    std::string stand_in = fmt::format("QZ{:03}", names_.size());
    stand_in.append(std::max<std::size_t>(display_width(shown), 6) - stand_in.size() - 1, 'x');
    stand_in += 'Q';
    names_.emplace_back(stand_in, std::move(shown));
    return stand_in;
}

std::string Plot::name(std::string_view text, std::size_t greatest_width) {
    return "'" + token(text, greatest_width) + "'";
}

std::string Plot::data(const std::vector<std::vector<double>>& rows) {
    const std::string block = fmt::format("$d{}", ++blocks_);
    script_ += block + " << END_OF_DATA\n";
    for (const auto& row : rows) {
        for (std::size_t i = 0; i < row.size(); ++i) {
            if (i > 0) script_ += ' ';
            script_ += std::isfinite(row[i]) ? fmt::format("{:.9g}", row[i]) : std::string("NaN");
        }
        script_ += '\n';
    }
    script_ += "END_OF_DATA\n";
    return block;
}

void Plot::axes(std::string_view x_label, std::string_view y_label) {
    command("set border 3 linecolor rgb '#555555' linewidth 0.8");
    command("set grid xtics ytics linecolor rgb '#dddddd' linewidth 0.6 dashtype solid");
    command("set tics nomirror out scale 0.5 textcolor rgb '#222222'");
    command("set key outside right top vertical Left reverse spacing 1.25 samplen 3.2 width 1 font ',12.5'");
    command(fmt::format("set xlabel '{}'", x_label));
    command(fmt::format("set ylabel '{}'", y_label));
}

void Plot::x_range(double from, double to) {
    x_range_ = {from, to > from ? to : from + 1.0};
    command(fmt::format("set xrange [{:.9g}:{:.9g}]", x_range_.first, x_range_.second));
}

void Plot::y_range(double from, double to) {
    y_range_ = {from, to > from ? to : from + 1.0};
    command(fmt::format("set yrange [{:.9g}:{:.9g}]", y_range_.first, y_range_.second));
}

void Plot::second_x(double one, std::string_view label) {
    command("set border 7");
    command(fmt::format("set x2range [{:.9g}:{:.9g}]", x_range_.first / one, x_range_.second / one));
    command("set x2tics out scale 0.5");
    command(fmt::format("set x2label '{}'", label));
}

void Plot::second_y(double one, std::string_view label) {
    command("set border 11");
    command(fmt::format("set y2range [{:.9g}:{:.9g}]", y_range_.first / one, y_range_.second / one));
    command("set y2tics out scale 0.5");
    command(fmt::format("set y2label '{}'", label));
}

std::string Plot::svg(std::string_view id, std::string_view title, std::string_view description) const {
    std::string svg = gnuplot_output(script_);
    const std::size_t start = svg.find("<svg");
    const std::size_t end = svg.rfind("</svg>");
    if (start == std::string::npos || end == std::string::npos) {
        throw filterflow::Error("gnuplot gave no drawing for figure '" + std::string(id) + "'");
    }
    svg = svg.substr(start, end + 6 - start);
    cut_elements(svg, "title");
    cut_elements(svg, "desc");
    const std::string prefix = std::string(id) + "-";
    make_ids_unique(svg, prefix);
    replace_all(svg, "font-family=\"Helvetica\"", "font-family=\"Helvetica, Arial, sans-serif\"");
    svg.insert(4, fmt::format(" role=\"img\" aria-labelledby=\"{0}title {0}description\"", prefix));
    const std::size_t inside = svg.find('>') + 1;
    svg.insert(inside, fmt::format("\n<title id=\"{0}title\">{1}</title>\n<desc id=\"{0}description\">{2}</desc>",
                                   prefix, html_text(title), html_text(description)));
    for (const auto& [token, text] : names_) replace_all(svg, token, html_text(text));
    return svg;
}

}   // namespace choose_filter
