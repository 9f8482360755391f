// SPDX-License-Identifier: BSL-1.0

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include <fmt/format.h>

#include <filterflow/numeric/coverage_of_values.hpp>

#include "report_candidate.hpp"
#include "report_draws.hpp"
#include "report_html.hpp"
#include "report_html_table.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string table_html(const DrawsTable& table, const std::string& label, const std::string& caption) {
    if (table.rows.empty()) return "";
    std::vector<std::string> heads{"Candidate"};
    for (std::size_t i = 2; i < table.heads[0].size(); ++i) {
        std::string head = table.heads[0][i];
        for (std::size_t line = 1; line < 3; ++line) {
            if (!table.heads[line][i].empty()) head += " " + table.heads[line][i];
        }
        heads.push_back((head == "on the front by the means" ? "|" : "") + head);
    }
    std::string html = table_start(label, caption, heads);
    for (const auto& row : table.rows) {
        html += row_head(row[0] + " · " + row[1]);
        for (std::size_t i = 2; i < row.size(); ++i) {
            html += heads[i - 1].starts_with('|') ? text_cell(row[i]) : cell(row[i]);
        }
        html += "</tr>\n";
    }
    return html + table_end();
}

std::string list_with_head(const std::string& head, const std::vector<std::string>& texts) {
    if (texts.empty()) return "";
    std::vector<std::string> lines;
    for (const std::string& t : texts) lines.push_back(typeset(t));
    return "<h4>" + html_text(head) + "</h4>\n" + list_html(lines, "small");
}

/// Blue of a rank: dark for the first, pale for the last.
std::string rank_colour(std::size_t rank, std::size_t ranks) {
    const double t = ranks > 1 ? static_cast<double>(rank) / static_cast<double>(ranks - 1) : 0.0;
    const auto mix = [&](double dark, double pale) { return static_cast<int>(std::lround(dark + t * (pale - dark))); };
    return fmt::format("#{:02x}{:02x}{:02x}", mix(0x08, 0xd6), mix(0x40, 0xe6), mix(0x81, 0xf4));
}

}   // namespace

ReportFigure rank_figure(const StudyResult& result, const StudyDraws& draws, std::size_t index) {
    const SystemResult& system = result.systems.at(index);
    const SystemDraws& drawn = draws.systems.at(index);
    ReportFigure figure{fmt::format("ranks-{}", index + 1), "How often each candidate takes each rank", {}, {}, {}};
    if (!drawn.choice || !drawn.choice->statistics) {
        figure.missing = "needs yearly costs of the candidates";
        return figure;
    }
    const auto& chances = drawn.choice->statistics->candidates;
    const auto order = drawn_in_order(system, drawn);
    const std::size_t ranks = ranks_taken(*drawn.choice->statistics);
    Plot plot(1080, static_cast<int>(110 + 44 * order.size()));
    plot.axes("share of the draws [%]", "");
    plot.command("set border 1");
    plot.command("unset grid");
    plot.command("set lmargin at screen 0.27");
    plot.command("set rmargin at screen 0.82");
    plot.command("set key at screen 0.995, screen 0.95 right top vertical Left reverse samplen 1.4 spacing 1.3");
    plot.command("set style fill solid 1.0 border linecolor rgb '#ffffff'");
    plot.x_range(0.0, 100.0);
    plot.y_range(-0.5 - static_cast<double>(order.size() - 1), 0.5);
    const auto names = place_names(system);
    std::string tics;
    std::vector<std::vector<std::vector<double>>> bars(ranks + 1);   // left, right, middle height
    for (std::size_t line = 0; line < order.size(); ++line) {
        const std::size_t c = drawn.draws.candidates[order[line]];
        tics += (tics.empty() ? "" : ", ") + plot.name(names[c] + " · " + system.candidates[c].name, 38) +
                fmt::format(" {}", -static_cast<int>(line));
        double left = 0.0;
        for (std::size_t r = 0; r <= ranks; ++r) {
            const double p = 100.0 * (r < ranks ? chances[order[line]].rank[r] : chances[order[line]].without_rank);
            if (!(p > 0.0)) continue;
            const double y = -static_cast<double>(line);
            bars[r].push_back({left + 0.5 * p, y, left, left + p, y - 0.36, y + 0.36});
            if (p >= 6.0) {
                const bool dark = r < ranks && 2 * r < ranks;
                plot.command(fmt::format("set label '{}' at {:.6g},{:.6g} center front textcolor rgb '{}'",
                                         chance_text(0.01 * p), left + 0.5 * p, y, dark ? "#ffffff" : "#1c2024"));
            }
            left += p;
        }
    }
    plot.command("set ytics (" + tics + ") scale 0");
    std::vector<std::string> parts;
    for (std::size_t r = 0; r <= ranks; ++r) {
        if (bars[r].empty()) continue;
        const std::string colour = r < ranks ? rank_colour(r, ranks) : "#E69F00";
        const std::string title = r < ranks ? fmt::format("rank {}", r + 1) : std::string("fails a limit");
        parts.push_back(plot.data(bars[r]) + " using 1:2:3:4:5:6 with boxxyerror linecolor rgb '" + colour +
                        "' title '" + title + "'");
    }
    plot.command("plot " + joined(parts));
    figure.caption = fmt::format(
        "{} joint draws of readings, system, dust and prices. Rank by yearly cost at equal service among the "
        "candidates that "
        "meet every limit in the draw; the darker a bar, the nearer to the first place.",
        drawn.draws.used);
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

ReportFigure front_figure(const StudyInput& study, const StudyResult& result, const StudyDraws& draws,
                          std::size_t index, const ReportStyles& styles) {
    const SystemResult& system = result.systems.at(index);
    const SystemDraws& drawn = draws.systems.at(index);
    ReportFigure figure{fmt::format("front-{}", index + 1), "Yearly cost against clean air delivered", {}, {}, {}};
    const bool clean = !drawn.draws.clean_air.empty();
    if (!clean) figure.heading = "Yearly cost against airflow";
    constexpr std::size_t enough = 40;   // draws, for intervals of 95 % with some outside
    if (!drawn.choice || drawn.draws.annual_cost.empty() || drawn.draws.used < enough) {
        figure.missing = fmt::format("needs yearly costs of the candidates and {} draws", enough);
        return figure;
    }
    const double p = study.coverage_probability;
    const auto interval = [&](const std::vector<double>& values, std::size_t k, double one) {
        std::vector<double> sorted;
        for (const double x : drawn.draws.of(values).of(k)) sorted.push_back(x / one);
        double sum = 0.0;
        for (const double x : sorted) sum += x;
        std::sort(sorted.begin(), sorted.end());
        const double steps = std::floor(p * static_cast<double>(sorted.size()) + 0.5);   // too few for the tails: all
        const Interval<double> ends = steps < static_cast<double>(sorted.size())
                                          ? symmetric_interval(sorted, p)
                                          : Interval<double>{sorted.front(), sorted.back()};
        return std::array{sum / static_cast<double>(sorted.size()), ends.lower, ends.upper};
    };
    Plot plot(1080, 480);
    plot.axes(clean ? "clean air, PM2.5 [m³/h]" : "airflow with clean filters [m³/h]", "");
    plot.command("set ylabel 'yearly cost at equal service ['.\"" + plot.token(currency_name(study), 12) + "\".']'");
    plot.command("set lmargin at screen 0.085");
    plot.command("set rmargin at screen 0.60");
    plot.command("set key at screen 0.99, screen 0.95 right top vertical Left reverse samplen 2 spacing 1.3");
    double x_low = HUGE_VAL, x_high = -HUGE_VAL, y_low = HUGE_VAL, y_high = -HUGE_VAL;
    std::vector<std::string> parts;
    const auto names = place_names(system);
    for (const std::size_t k : drawn_in_order(system, drawn)) {
        const std::size_t c = drawn.draws.candidates[k];
        const auto x = interval(clean ? drawn.draws.clean_air : drawn.draws.airflow, k, units::m3_per_h.one.value());
        const auto y = interval(drawn.draws.annual_cost, k, 1.0);
        x_low = std::min(x_low, x[1]);
        x_high = std::max(x_high, x[2]);
        y_low = std::min(y_low, y[1]);
        y_high = std::max(y_high, y[2]);
        const PlotStyle style = styles.candidate(c);
        const bool front = drawn.choice->front[k].is_on_front;
        const std::string block = plot.data({{x[0], y[0], x[1], x[2], y[1], y[2]}});
        parts.push_back(block +
                        fmt::format(" using 1:2:3:4:5:6 with xyerrorbars pointtype {} pointsize {} linewidth 1.4 "
                                    "linecolor rgb '{}' title ",
                                    front ? 7 : 6, front ? 1.3 : 1.1, style.colour) +
                        plot.name(names[c] + " · " + system.candidates[c].name, 40));
        plot.command(fmt::format("set label {} at {:.9g},{:.9g} offset character 0.9,0.7 front textcolor rgb '{}'",
                                 plot.name(names[c], 6), x[0], y[0], style.colour));
    }
    const double x_room = std::max(0.06 * (x_high - x_low), 0.02 * x_high), y_room = 0.08 * (y_high - y_low);
    plot.x_range(std::max(0.0, x_low - x_room), x_high + x_room);
    plot.y_range(std::max(0.0, y_low - y_room), y_high + y_room);
    plot.command("plot " + joined(parts));
    figure.caption = fmt::format(
        "Best is low and to the right. Means of {} joint draws, bars cover {:.4g} % of them each way. Filled: on the "
        "front, no other is as good in "
        "{} and "
        "better in one; open: beaten in all by another. Whether limits are met is not asked here. The scales do not "
        "begin at "
        "zero.",
        drawn.draws.used, 100.0 * p, joined(drawn.choice->objectives, ", "));
    figure.svg = plot.svg(figure.id, figure.heading + ": " + system.name, figure.caption);
    return figure;
}

std::string draws_html(const StudyInput& study, const StudyResult& result, const StudyDraws& draws, std::size_t index,
                       const ReportStyles& styles) {
    const SystemResult& system = result.systems.at(index);
    const SystemDraws& drawn = draws.systems.at(index);
    std::string html = fmt::format("<h3 id=\"draws-{}\">Joint draws: how sure the choice is</h3>\n", index + 1);
    html += fmt::format(
        "<p>Drawn {} times (seed {}): readings, fan and ducts, dust and prices together, the same for every candidate, "
        "so that "
        "what they share decides nothing. Each draw solves operating points, lives and costs anew; the "
        "curves of the bench are not fitted anew but shift in proportion to the readings.</p>\n",
        draws.draws, draws.seed);
    html += table_html(
        rank_table(study, system, drawn), "Ranks and regret by joint draws",
        "Share of the draws in which a candidate takes each rank by yearly cost among those that meet every limit "
        "in the draw; none: it fails one. Regret: what choosing it costs more than the cheapest of those, on average "
        "over the draws in which it meets every limit, with the interval of that mean; - where it fails one in most.");
    if (drawn.choice && drawn.choice->statistics && drawn.choice->statistics->without_choice > 0.0) {
        html += fmt::format("<p>In {} % of the draws no candidate meets every limit.</p>\n",
                            html_text(chance_text(drawn.choice->statistics->without_choice)));
    }
    html += figure_html(rank_figure(result, draws, index));
    html += table_html(
        limits_table(system, drawn), "Limits and front by joint draws",
        "How probable it is that each limit holds with clean filters, and whether another candidate beats it in "
        "yearly cost, airflow and clean air at once. " + typeset(doubted_words(system)));
    html += figure_html(front_figure(study, result, draws, index, styles));
    html += list_with_head("Lost or not drawn", how_drawn(study, draws, index));
    html += list_with_head("What would sharpen the choice", sharpening_words(study, system, drawn));
    html += list_with_head("Whether the draws bear out the intervals above, to one digit of their half width",
                           interval_check_words(study, system, drawn));
    return html;
}

}   // namespace choose_filter
