// SPDX-License-Identifier: BSL-1.0
// What the report shows where little was measured: no flow, two channels of a counter, figures that no candidate has.

#include "support/catch.hpp"

#include <string>

#include <nlohmann/json.hpp>

#include "choose_filter/report_checks.hpp"
#include "choose_filter/report_synthetic_study.hpp"
#include "report_candidate.hpp"
#include "report_console.hpp"
#include "report_figures.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "report_text.hpp"

using namespace choose_filter;
using namespace filterflow;
using filterflow::test::contains;
using filterflow::test::markup_faults;
using filterflow::test::times_in;

namespace {

/// Pressures alone, with estimates from stated ends of the stand's fan.
test::SyntheticStudy with_stated_fan() {
    auto s = test::synthetic_pressures_only();
    s.study.stand->fan_ends = StatedFan{.shut_off_pressure = Pressure::from_value(300.0),
                                        .free_flow = VolumeFlow::from_value(0.5)};
    PressureOnlyOrder& order = *s.result.stand->pressure_only;
    order.empty_stand_flow = test::invented_flow(0.45, 0.02, "ends of the fan");
    double flow = 0.4;
    for (PressureOnlyPlace& place : order.places) {
        place.estimate = PressureOnlyEstimate{
            test::invented_flow(flow, 0.02, "ends of the fan"),
            uncertain(1.5 * place.reading.value, Pressure::from_value(4.0), "ends of the fan"),
            1.3 * place.reading.value};
        flow *= 0.9;
    }
    order.places.back().estimate.reset();
    return s;
}

/// Those pressures, and a system of which nothing follows from them.
test::SyntheticStudy with_a_system() {
    auto s = with_stated_fan();
    const auto whole = test::synthetic_study();
    s.study.systems = {whole.study.systems[0]};
    s.study.candidates = whole.study.candidates;
    SystemResult& system = s.result.systems.emplace_back();
    system.name = s.study.systems[0].name;
    for (const CandidateInput& input : s.study.candidates) {
        CandidateResult& candidate = system.candidates.emplace_back();
        candidate.name = input.name;
        candidate.missing = {{"airflow, hours, yearly cost and energy",
                              "the clean pressure curve of '" + input.stages.front().filter + "'"}};
    }
    return s;
}

/// Counts in the given ranges alone.
FractionalEfficiency counted_in(const std::vector<SizeRange>& ranges) {
    FractionalEfficiency efficiency;
    for (const SizeRange& range : ranges) {
        efficiency.ranges.push_back(stated_efficiency(range, uncertain(0.6, 0.02, "counts")));
    }
    return efficiency;
}

}   // namespace

TEST_CASE("the table on the terminal shows the pressures estimated from the ends of the stand's fan", "[own]") {
    auto s = with_stated_fan();
    const auto& place = s.result.stand->pressure_only->places.front();
    const std::string pressure = estimate_text(
        {place.estimate->pressure.value.value(), place.estimate->pressure.value.value() - 4.0 * 1.959963984540054,
         place.estimate->pressure.value.value() + 4.0 * 1.959963984540054});
    std::string table = console_table(s.study, s.result);
    CHECK(contains(table, "taken as a straight line between them:"));
    CHECK(contains(table, "by a parabola"));
    CHECK(contains(table, "1440 ± 140"));   // m3/h: 0.4 m3/s
    CHECK(contains(table, pressure));
    CHECK(contains(table, "67.6"));         // 1.3 times 52 Pa
    CHECK(contains(table, "The empty stand’s flow by these ends: 1620 ± 140 m³/h."));
    s.study.stand->fan_ends->shape = StatedFanShape::parabola;
    table = console_table(s.study, s.result);
    CHECK(contains(table, "taken as a parabola between them:"));
    CHECK(contains(table, "by a straight"));
    const auto bare = test::synthetic_pressures_only();   // no ends stated: no table of dashes
    CHECK_FALSE(contains(console_table(bare.study, bare.result), "ends of the stand’s fan"));
}

TEST_CASE("an order by pressure alone stands first and in the box of the recommendation", "[own]") {
    const auto s = with_a_system();
    const std::string page = report_page(s.study, s.result);
    const auto faults = markup_faults(page);
    CAPTURE(faults);
    CHECK(faults.empty());
    const std::size_t box = page.find("lowest resistance first: ‘flat pad’, ‘2-inch pleat, coarse’");
    REQUIRE(box != std::string::npos);
    CHECK(page.find("<section id=\"order\">") > box);
    CHECK(page.find("<section id=\"order\">") < page.find("<section id=\"system-1\">"));
    CHECK(times_in(page, "Order by pressure alone</h2>") == 1);
    const auto whole = test::synthetic_study();
    CHECK_FALSE(contains(report_page(whole.study, whole.result), "by pressure alone"));
}

TEST_CASE("figures that no candidate has are left out of the table and told once", "[own]") {
    const auto s = with_a_system();
    const std::string table = comparison_html(s.study, s.result, 0);
    CHECK_FALSE(contains(table, "Fan power"));
    CHECK_FALSE(contains(table, "rowgroup\">Energy and cost"));
    CHECK(contains(table, ">Limits</th>"));
    const auto left_out = rows_left_out(s.study, s.result, 0);
    REQUIRE_FALSE(left_out.empty());
    CHECK(contains(left_out.front().figure, "Airflow, filters clean; Airflow, end of interval"));
    CHECK(contains(left_out.front().needs, "the clean pressure curve of 'flat pad', '2-inch pleat, coarse'"));
    const std::string missing = missing_html(s.study, s.result, false);
    CHECK(times_in(missing, "Fan power, end of interval") == 1);
    // One candidate that has a figure keeps its row.
    auto one = s;
    one.result.systems[0].candidates[2].annual_energy = uncertain(500.0 * units::kWh, 9.0 * units::kWh, "energy");
    CHECK(contains(comparison_html(one.study, one.result, 0), "Yearly energy at equal service"));
    CHECK_FALSE(contains(missing_html(one.study, one.result, false), "; Yearly energy at equal service"));
    // Where every figure is there, nothing is said.
    auto whole = test::synthetic_study();
    CHECK(contains(comparison_html(whole.study, whole.result, 0), "left out of the table"));
    whole.result.systems[0].candidates[1].annual_running_time = uncertain(4100.0 * units::h, 9.0 * units::h, "air");
    CHECK_FALSE(contains(comparison_html(whole.study, whole.result, 0), "left out of the table"));
}

TEST_CASE("a count over a wide or open range is drawn as a bar, narrow ones as a line", "[own]") {
    auto s = test::synthetic_study();
    const ReportStyles styles(s.study);
    const auto um = [](double from, double to) { return SizeRange{from * units::um, to * units::um}; };
    const ReportFigure narrow = efficiency_figure(s.study, s.result, styles);
    CHECK_FALSE(contains(narrow.caption, "level bar"));
    SizeRange open = um(2.5, 2.5);
    open.open_above = true;
    for (auto& filter : s.result.filters) filter.efficiency.reset();
    s.result.filters[1].efficiency = counted_in({um(0.5, 2.5), open});
    const ReportFigure two = efficiency_figure(s.study, s.result, styles);
    CHECK(contains(two.caption, "level bar"));
    CHECK(contains(two.caption, "its bar is drawn to 10 µm"));
    CHECK(contains(two.svg, "0.5–2.5 µm"));
    CHECK(contains(two.svg, "above 2.5 µm (drawn to 10 µm)"));
    // The open bar ends where more sizes are shown.
    open.lower = 8 * units::um;
    s.result.filters[1].efficiency = counted_in({um(0.5, 5.0), open});
    CHECK(contains(efficiency_figure(s.study, s.result, styles).caption, "its bar is drawn to 16 µm"));
    // Two narrow ranges alone tell of nothing between; three that touch are a line.
    s.result.filters[1].efficiency = counted_in({um(0.3, 0.5), um(0.5, 0.8)});
    CHECK(contains(efficiency_figure(s.study, s.result, styles).caption, "level bar"));
    s.result.filters[1].efficiency = counted_in({um(0.3, 0.5), um(0.5, 0.8), um(0.8, 1.2)});
    CHECK_FALSE(contains(efficiency_figure(s.study, s.result, styles).caption, "level bar"));
    s.result.filters[1].efficiency = counted_in({um(0.3, 0.5), um(0.5, 0.8), um(1.0, 1.2)});
    CHECK(contains(efficiency_figure(s.study, s.result, styles).caption, "level bar"));
}

TEST_CASE("a verdict on counts is said once with its channels", "[own]") {
    auto s = test::synthetic_study();
    auto& ranges = s.result.filters[2].efficiency->ranges;
    for (SizeEfficiency& entry : ranges) entry.quality = {"no background measured upstream (invented)"};
    ranges[0].quality.push_back("counter saturated (invented)");
    ranges[3].quality.push_back("counter saturated (invented)");
    const std::string page = bench_details_html(s.study, s.result);
    CHECK(times_in(page, "no background measured upstream") == 1);
    CHECK(contains(page, "2-inch pleat, fine, in every channel: no background measured"));
    CHECK(contains(page, "2-inch pleat, fine, 0.3-0.4 µm, 0.7-1 µm: counter saturated"));
    const auto parsed = nlohmann::json::parse(results_json(s.study, s.result));
    const auto& quality = parsed["filters"][2]["efficiency"]["quality"];
    REQUIRE(quality.size() == 2);
    CHECK(quality[0]["ranges"].size() == ranges.size());
    CHECK(quality[1]["verdict"] == "counter saturated (invented)");
    CHECK(quality[1]["ranges"][1]["lower_um"].get<double>() == Approx(0.7));
}

TEST_CASE("what explains a table stands outside the box in which it scrolls", "[own]") {
    const auto s = test::synthetic_study();
    const std::string page = report_page(s.study, s.result);
    CHECK_FALSE(contains(page, "<caption>"));
    CHECK(times_in(page, "<div class=\"scroll\"") == times_in(page, "<p class=\"caption\""));
    CHECK(times_in(page, "<div class=\"scroll\"") == times_in(page, "<table"));
    CHECK(times_in(page, "</p>\n<div class=\"scroll\"") == times_in(page, "<table"));
}
