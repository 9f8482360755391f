// SPDX-License-Identifier: BSL-1.0
// The page, the drawings and the table on the terminal, driven by invented data.

#include "support/catch.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <numeric>
#include <sstream>
#include <string>

#include <filterflow/core/errors.hpp>

#include "choose_filter/report_checks.hpp"
#include "choose_filter/report_synthetic_study.hpp"
#include "report_candidate.hpp"
#include "report_console.hpp"
#include "report_figures.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "report_inputs.hpp"
#include "report_plot.hpp"
#include "report_text.hpp"
#include "report_writer.hpp"

using namespace choose_filter;
using filterflow::test::contains;
using filterflow::test::has_word;
using filterflow::test::markup_faults;
using filterflow::test::times_in;

namespace {

std::size_t widest_line(const std::string& text) {
    std::istringstream in(text);
    std::size_t widest = 0;
    for (std::string line; std::getline(in, line);) widest = std::max(widest, display_width(line));
    return widest;
}

void check_no_bad_numbers(const std::string& text) {
    for (const char* word : {"nan", "inf", "infinity", "-nan"}) {
        CAPTURE(word);
        CHECK_FALSE(has_word(text, word));
    }
}

}   // namespace

TEST_CASE("the checker of markup sees faults", "[own]") {
    CHECK(markup_faults("<p>fine <b>x</b> <br> <path d='M0'/></p>").empty());
    CHECK_FALSE(markup_faults("<p><b>x</p></b>").empty());
    CHECK_FALSE(markup_faults("<p>").empty());
    CHECK_FALSE(markup_faults("<p a=b></p>").empty());
    CHECK_FALSE(markup_faults("1 < 2").empty());
    CHECK_FALSE(markup_faults("<i id='a'></i><i id='a'></i>").empty());
    CHECK_FALSE(markup_faults("<a href=\"#b\">x</a>").empty());
    CHECK_FALSE(markup_faults("<img src=\"http://x\">").empty());
    CHECK_FALSE(markup_faults("<script></script>").empty());
    CHECK(has_word("x is NaN.", "nan"));
    CHECK_FALSE(has_word("information, nanometre", "inf"));
}

TEST_CASE("the page is well formed, stands alone and has its parts in order", "[own]") {
    const auto s = filterflow::test::synthetic_study();
    const std::string page = report_page(s.study, s.result);
    const auto faults = markup_faults(page);
    CAPTURE(faults);
    CHECK(faults.empty());
    check_no_bad_numbers(page);
    CHECK(times_in(page, "<svg") == 4 + 2 * 4);   // four of the bench, four for each system
    CHECK(times_in(page, "role=\"img\"") == 12);
    CHECK_FALSE(contains(page, "QZ0"));        // no stand-in for a name is left
    CHECK_FALSE(contains(page, "GNUPLOT"));
    std::size_t last = 0;
    for (const char* part :
         {"id=\"recommendation\"", "id=\"system-1\"", "id=\"cost-parts-1\"", "id=\"fan-system-1\"",
          "id=\"cost-interval-1\"", "id=\"airflow-power-1\"", "id=\"system-2\"", "id=\"inputs\"", "id=\"bench\"",
          "id=\"raw-corrected\"", "id=\"pressure-flow\"", "id=\"efficiency-size\"", "id=\"pressure-dust\"",
          "id=\"bench-details\"", "id=\"missing\"", "id=\"warnings\"", "id=\"method\"", "id=\"cautions\""}) {
        CAPTURE(part);
        const std::size_t at = page.find(part);
        REQUIRE(at != std::string::npos);
        CHECK(at > last);
        last = at;
    }
    CHECK(contains(page, html_text(s.study.note)));
    for (const auto& system : s.result.systems) {
        CHECK(contains(page, html_text(typeset(system.recommendation))));
        for (const std::string& note : system.recommendation_notes) {
            CHECK(contains(page, "<li>" + html_text(typeset(note)) + "</li>"));
        }
    }
    // A box with a condition says it and does not look unconditional.
    CHECK(contains(page, "<p class=\"condition\">" + html_text(s.result.systems[1].condition) + "</p>"));
    CHECK(times_in(page, "<div class=\"recommendation conditional\">") == 1);
    CHECK(times_in(page, "<p class=\"condition\">") == 1);
    // What is absent has a dash and a note of what it needs.
    CHECK(contains(page, "needs particle counts of filter ‘flat pad’"));
    // Each caution stands beside what it concerns and again at the end, except one that concerns nothing here.
    for (const Caution& c : all_cautions()) {
        CAPTURE(c.heading);
        CHECK(times_in(page, "<b>" + html_text(c.heading) + ".</b>") >=
              (c.topic == CautionTopic::conditioning ? 1u : 2u));
    }
    CHECK(contains(page, "not ranked on, and not a saving"));
}

TEST_CASE("hostile names are shown as they are and do nothing else", "[own]") {
    const std::string marker = (std::filesystem::temp_directory_path() / "filterflow_injection_marker").string();
    std::filesystem::remove(marker);
    const std::vector<std::string> names{
        "</title><script>alert(1)</script>", "it's \"quoted\" 100 % %s %d {}",
        "`touch " + marker + "`",            "a'; system('touch " + marker + "'); print '",
        "line\nEND_OF_DATA\nset output 'x'\n", "=cmd|'/C calc'!A0, @x \\n ${HOME} $d1 Âµ \xFF QZ000xQ"};
    auto s = filterflow::test::synthetic_study(names);
    s.study.title = "<b>bold</b> & co";
    s.study.prices.currency = "'; system('touch " + marker + "') #";
    s.study.systems[0].name = s.result.systems[0].name = "\"><img src=x onerror=alert(1)>";
    const std::string page = report_page(s.study, s.result);
    const auto faults = markup_faults(page);
    CAPTURE(faults);
    CHECK(faults.empty());
    CHECK_FALSE(std::filesystem::exists(marker));
    for (const std::string& name : names) {
        CAPTURE(name);
        CHECK(times_in(page, html_text(name)) > 5);
    }
    // In a drawing too, cut to its width.
    CHECK(times_in(page, "it&#39;s &quot;quoted&quot; 100 % %s %d {}</text>") > 4);
    const std::string table = console_table(s.study, s.result);
    CHECK(widest_line(table) <= 110);
    CHECK_FALSE(contains(table, "\xFF"));
    check_no_bad_numbers(page);
}

TEST_CASE("pressures alone give an order, and the rest says what it needs", "[own]") {
    const auto s = filterflow::test::synthetic_pressures_only();
    const std::string page = report_page(s.study, s.result);
    const auto faults = markup_faults(page);
    CAPTURE(faults);
    CHECK(faults.empty());
    CHECK(times_in(page, "<svg") == 1);
    CHECK(contains(page, "Not drawn: needs clean pressure readings with a flow"));
    CHECK(contains(page, "Not drawn: needs particle counts"));
    CHECK(contains(page, "Not drawn: needs loading readings"));
    CHECK(contains(page, "one setting of the fan"));
    const std::string table = console_table(s.study, s.result);
    CHECK(contains(table, ">= 40.0 ± 2.4"));
    CHECK(contains(table, "one setting of the fan"));
    CHECK(contains(table, "needs a system with its fan table"));
    CHECK(contains(table, "No system was described: nothing is recommended."));
    CHECK_FALSE(contains(page, "Flow, estimated"));       // no ends of a fan were stated: no columns of dashes
    CHECK_FALSE(contains(page, "filters compared in"));   // they are not, without flows
}

TEST_CASE("limits that are known with clean filters only are said to be", "[own]") {
    auto s = filterflow::test::synthetic_study();
    auto& system = s.result.systems[0];   // with a least airflow
    s.study.systems[0].greatest_external_static_pressure = filterflow::Pressure::from_value(900.0);
    system.candidates[1].end.reset();
    system.candidates[3].clean.reset();
    system.candidates[3].end.reset();
    const auto* input = &s.study.systems[0];
    CHECK(limits_verdict(input, system.candidates[0]).words() == "meets all given");
    CHECK(limits_verdict(input, system.candidates[1]).words() ==
          "meets those known; not known: airflow and external static pressure with loaded filters");
    CHECK(limits_verdict(input, system.candidates[3]).words() == "not known, as its airflow is not");
    CHECK_THAT(limits_verdict(input, system.candidates[2]).words(), Contains("fails: airflow 2520"));
    CHECK(limits_verdict(&s.study.systems[1], system.candidates[1]).words() == "none given");
    const std::string page = report_page(s.study, s.result);
    CHECK(contains(page, "meets those known; not known: airflow and external static pressure with loaded filters"));
    CHECK(times_in(page, "limits not all known") == 2);
    const std::string table = console_table(s.study, s.result);
    CHECK(limits_met_words(s.study, s.result, 0) == "Met by 4 of 7 candidates, failed by 1, not known of 2.");
    std::istringstream words(table);   // lines are broken where they end up
    const std::string flat(std::accumulate(std::istream_iterator<std::string>(words), {}, std::string(),
                                           [](const std::string& a, const std::string& b) { return a + " " + b; }));
    CHECK(contains(flat, "Met by 4 of 7 candidates, failed by 1, not known of 2."));
    CHECK(contains(table, "U  whether it meets every limit is not known:\n   - " + system.candidates[1].name +
                              ": meets those known"));
    // A limit of clean filters alone is met for good.
    s.study.systems[0].least_airflow.reset();
    s.study.systems[0].greatest_external_static_pressure.reset();
    s.study.systems[0].greatest_face_velocity = filterflow::Velocity::from_value(4.0);
    CHECK(limits_verdict(input, system.candidates[1]).words() == "meets all given");
}

TEST_CASE("filters that lack the same thing are told together", "[own]") {
    filterflow::StudyInput study;
    filterflow::StudyResult result;
    for (const char* name : {"a", "b", "c"}) {
        study.filters.emplace_back().name = name;
        auto& filter = result.filters.emplace_back();
        filter.name = name;
        filter.missing = {{"classes", std::string("particle counts of '") + name + "'"}};
    }
    result.filters[2].missing.push_back({"order", "what tells 'a' from 'b'"});
    const auto missing = all_missing(study, result);
    REQUIRE(missing.size() == 2);
    CHECK(missing[0].missing.needs == "particle counts of 'a', 'b', 'c'");
    CHECK(missing[0].of == std::vector<std::string>{"a", "b", "c"});
    CHECK(missing[1].missing.needs == "what tells 'a' from 'b'");
}

TEST_CASE("the key of fan and system fits beside one, two and three candidates", "[own]") {
    for (std::size_t candidates = 1; candidates <= 3; ++candidates) {
        auto s = filterflow::test::synthetic_study();
        auto& system = s.result.systems[0];
        s.study.systems[0].greatest_external_static_pressure = filterflow::Pressure::from_value(600.0);
        system.candidates.resize(candidates);
        system.ranking.clear();
        system.recommended.reset();
        const std::string svg = fan_and_system_figure(s.study, s.result, 0, ReportStyles(s.study)).svg;
        REQUIRE(contains(svg, "filters at the end of the interval"));
        // Text that begins at a place ends within the drawing; a letter is no wider than half of its height on average.
        const double width = 1080.0;
        std::size_t seen = 0;
        for (std::size_t at = svg.find("translate("); at != std::string::npos; at = svg.find("translate(", at + 1)) {
            const std::size_t text = svg.find("<text>", at);
            const std::size_t close = svg.find("</text>", at);
            if (text == std::string::npos || text - at > 250) continue;
            const std::string head = svg.substr(at, text - at);
            if (!contains(head, "text-anchor=\"start\"") || contains(head, "rotate")) continue;
            const double x = std::stod(head.substr(10));
            const double size = std::stod(head.substr(head.find("font-size=\"") + 11));
            const std::string words = svg.substr(text + 6, close - text - 6);
            CAPTURE(words, candidates, x, size);
            CHECK(x + 0.5 * size * static_cast<double>(display_width(words)) <= width);
            ++seen;
        }
        CHECK(seen >= 6);
    }
}

TEST_CASE("an empty study still makes a page", "[own]") {
    filterflow::StudyInput study;
    filterflow::StudyResult result;
    study.standard_air = filterflow::duct_design_air();
    CHECK(markup_faults(report_page(study, result)).empty());
    CHECK(contains(console_table(study, result), "estimate"));
    // A system of which nothing could be computed.
    study.systems.emplace_back().name = "bare";
    study.candidates.push_back({"nothing", {}, std::nullopt});
    result.systems.emplace_back().name = "bare";
    result.systems[0].candidates.emplace_back().name = "nothing";
    const std::string page = report_page(study, result);
    CHECK(markup_faults(page).empty());
    CHECK(times_in(page, "<svg") == 0);
    CHECK(contains(page, "No recommendation can be made."));
    CHECK(contains(page, "more than the study states; see the limits and the warnings"));
}

TEST_CASE("numbers that are not finite reach no output", "[own]") {
    auto s = filterflow::test::synthetic_study();
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    constexpr double infinity = std::numeric_limits<double>::infinity();
    auto& candidate = s.result.systems[0].candidates[1];
    candidate.annual_cost = filterflow::Uncertain<filterflow::Money>(filterflow::Money::from_value(nan));
    candidate.hours_to_limit = filterflow::Uncertain<filterflow::Time>(filterflow::Time::from_value(infinity));
    candidate.clean->flow = filterflow::VolumeFlow::from_value(nan);
    candidate.life[3].flow = filterflow::VolumeFlow::from_value(nan);
    candidate.cost_rate[3].annual_cost = filterflow::Money::from_value(infinity);
    s.result.filters[2].efficiency->ranges[0].penetration_interval.upper = infinity;
    s.result.filters[2].readings[0].raw_pressure = filterflow::Pressure::from_value(nan);
    s.result.filters[2].readings[1].flow = filterflow::VolumeFlow::from_value(nan);
    s.result.filters[2].loading->retained[2] = filterflow::Mass::from_value(nan);
    const std::string page = report_page(s.study, s.result);
    check_no_bad_numbers(page);
    CHECK(markup_faults(page).empty());
    check_no_bad_numbers(results_csv(s.study, s.result));
    check_no_bad_numbers(results_json(s.study, s.result));
    check_no_bad_numbers(console_table(s.study, s.result));
}

TEST_CASE("the table on the terminal keeps its width and its order", "[own]") {
    const auto s = filterflow::test::synthetic_study(
        {"a filter with a name so long that no table of 110 columns has room for it", "漢字漢字漢字漢字漢字漢字漢字漢字漢字"});
    const std::string table = console_table(s.study, s.result);
    CHECK(widest_line(table) <= 110);
    // The recommendation comes before the table.
    CHECK(table.find("-> Install") < table.find("candidate"));
    // Sentence, condition and notes stand apart, the notes as a list.
    const std::size_t condition = table.find("\n   In doubt: its removal of PM2.5 (invented).\n");
    REQUIRE(condition != std::string::npos);
    CHECK(condition < table.find("\n   - This rests on nothing measured.\n", condition));
    CHECK(contains(table, "Caution"));
    CHECK(contains(table, "carbon monoxide"));
    check_no_bad_numbers(table);
}

TEST_CASE("gnuplot that is missing or fails is reported in its own words", "[own]") {
    CHECK_THROWS_WITH(gnuplot_output("", "no_such_program_for_drawing"), Contains("gnuplot-nox"));
    CHECK_THROWS_WITH(gnuplot_output("set nonsense\n"), Contains("gnuplot failed") && Contains("nrecognized option"));
    CHECK_THROWS_AS(gnuplot_output("plot\n"), filterflow::Error);
    Plot plot(200, 100);
    plot.command("print 'no drawing'");
    CHECK_THROWS_WITH(plot.svg("x", "x", "x"), Contains("no drawing"));
}

TEST_CASE("styles differ in more than colour", "[own]") {
    for (std::size_t i = 0; i < 21; ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            CAPTURE(i, j);
            const PlotStyle a = plot_style(i), b = plot_style(j);
            CHECK((a.colour != b.colour || (a.dash != b.dash && a.mark != b.mark)));
            if (i < 7) CHECK((a.colour != b.colour && a.dash != b.dash && a.mark != b.mark));
        }
    }
}

TEST_CASE("the report is written where it is asked to be", "[own]") {
    const auto directory = std::filesystem::temp_directory_path() / "filterflow_report_test";
    std::filesystem::remove_all(directory);
    std::filesystem::create_directory(directory);
    const auto s = filterflow::test::synthetic_study();
    write_report(s.study, s.result, directory);
    const auto text_of = [&](const char* file) {
        std::ifstream in(directory / file, std::ios::binary);
        return std::string{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    };
    CHECK(text_of("report.html") == report_page(s.study, s.result));   // and the same twice
    CHECK(text_of("results.csv") == results_csv(s.study, s.result));
    CHECK(text_of("filters.csv") == filters_csv(s.study, s.result));
    CHECK(text_of("results.json") == results_json(s.study, s.result));
    CHECK(std::distance(std::filesystem::directory_iterator(directory), {}) == 4);   // nothing else
    std::filesystem::remove_all(directory);
    CHECK_THROWS_WITH(write_report(s.study, s.result, directory), Contains("cannot write") && Contains("report.html"));
}
