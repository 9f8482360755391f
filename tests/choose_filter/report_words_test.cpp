// SPDX-License-Identifier: BSL-1.0
// What the report says in words: corrections, limits, classes, ties, warnings. Driven by invented data.

#include "support/catch.hpp"

#include <string>

#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/study/run_study.hpp>

#include "choose_filter/report_checks.hpp"
#include "choose_filter/report_synthetic_study.hpp"
#include "report_candidate.hpp"
#include "report_class_limits.hpp"
#include "report_class_probabilities.hpp"
#include "report_console.hpp"
#include "report_corrections.hpp"
#include "report_figures.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "report_text.hpp"
#include "report_warnings.hpp"

using namespace choose_filter;
using filterflow::test::contains;
using namespace filterflow;

namespace {

FractionalEfficiency in_all_sizes(double efficiency) {
    FractionalEfficiency result;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        result.ranges.push_back(stated_efficiency(range, uncertain(efficiency, 0.01, "counts")));
    }
    return result;
}

/// The text with its runs of white space made one space, so that lines may break anywhere.
std::string flowing(const std::string& text) {
    std::string flat;
    for (const char c : text) {
        const bool space = c == ' ' || c == '\n';
        if (!space)
            flat += c;
        else if (!flat.empty() && flat.back() != ' ')
            flat += ' ';
    }
    return flat;
}

}   // namespace

TEST_CASE("pressures are called corrected only where they are", "[own]") {
    auto s = test::synthetic_study();
    CHECK(corrections(s.study, s.result).column() == "corrected");
    const ReportStyles styles(s.study);
    CHECK(contains(raw_and_corrected_pressure_figure(s.study, s.result, styles).caption,
                   "own resistance is taken off at each reading’s flow, the rest brought to duct design air"));
    s.result.stand->tare.reset();
    s.study.stand->air.reset();
    const Corrections none = corrections(s.study, s.result);
    CHECK(none.column() == "not corrected");
    CHECK_THAT(none.words("duct design air"),
               Catch::Matchers::StartsWith("Nothing is corrected: no empty stand was read"));
    const ReportFigure figure = raw_and_corrected_pressure_figure(s.study, s.result, styles);
    CHECK(contains(figure.caption, "Nothing is corrected"));
    CHECK_FALSE(contains(figure.svg, "corrected, with interval"));
    CHECK_FALSE(contains(figure.heading, "corrected"));
    CHECK(contains(pressure_and_flow_figure(s.study, s.result, styles).caption, "no empty stand was read"));
    const std::string table = pressures_table_html(s.study, s.result);
    CHECK(contains(table, "fpm): not corrected [Pa]"));
    CHECK(contains(table, "Nothing is corrected"));
    CHECK(contains(method_html(s.study, s.result),
                   "no tare is taken off, as no empty stand was read; density and viscosity are "
                   "not corrected"));
    // One of the two.
    s.study.stand->air = MoistAirConditions{from_celsius(22), 100.2 * units::kPa, 0.45};
    CHECK_THAT(corrections(s.study, s.result).words("duct design air"),
               Contains("still contain the stand’s own resistance. They are brought to duct design air"));
}

TEST_CASE("PM2.5 removed and ePM2.5 are told apart, each with its sizes", "[own]") {
    auto s = test::synthetic_study();
    s.result.filters[2].particulate_matter = particulate_matter_class(in_all_sizes(0.6), in_all_sizes(0.55));
    const std::string page = report_page(s.study, s.result);
    CHECK(contains(page, "0.3 to 2.5 µm, urban distribution"));
    CHECK(contains(page, "PM10: 0.3 to 10 µm, rural distribution"));
    CHECK(contains(page, "smaller than 0.3 µm is outside"));
    CHECK(contains(page, "ePM2.5,min, discharged [%]"));
    CHECK(contains(page, "up to 3.0 µm; they are not the PM2.5 mass removed"));
    CHECK_FALSE(contains(page, "outside the measured sizes widens"));
    CHECK(contains(flowing(console_table(s.study, s.result)), "0.3 to 2.5 µm by the urban distribution"));
}

TEST_CASE("a class stands beside the limit that it misses next", "[own]") {
    // E1 to E3 of 60 % throughout: value 11 asks for 20, 65 and 85 %, value 7 for E3 of 50 %, value 8 for E3 of 70 %
    // and E2 of 20 %.
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(in_all_sizes(0.6));
    REQUIRE(rating.estimate);
    const ClassLimits limits = class_limits(rating);
    CHECK(limits.governing == "E3 60.0 ≥ 50.0, by 10.0");
    CHECK(limits.next == "E3 60.0 < 70.0, by 10.0");
    // ePM1 is the mean of new and discharged, 57.5 %: class 55 %; its group asks for 50 % discharged.
    const ClassLimits fine = class_limits(particulate_matter_class(in_all_sizes(0.6), in_all_sizes(0.55)));
    CHECK(fine.governing == "ePM1 57.5 ≥ 55.0, by 2.5");
    CHECK(fine.next == "ePM1 57.5 < 60.0, by 2.5");
    CHECK(fine.finer_group.empty());
    const ClassLimits coarse = class_limits(particulate_matter_class(in_all_sizes(0.3), in_all_sizes(0.2), 0.83));
    CHECK(coarse.governing == "initial arrestance 83.0 ≥ 80.0, by 3.0");
    CHECK(coarse.finer_group == "ePM10 25.0 < 50.0, by 25.0");
    // Of several requirements each is named; above 95 % the class has no upper end.
    CHECK(class_limits(minimum_efficiency_rating(in_all_sizes(0.82))).next == "E3 82.0 < 85.0, by 3.0");
    CHECK(class_limits(particulate_matter_class(in_all_sizes(0.97), in_all_sizes(0.97))).governing ==
          "ePM1 97.0 > 95.0, by 2.0");
    FractionalEfficiency of_large = in_all_sizes(0.95);
    for (std::size_t i = 0; i < 8; ++i) {
        of_large.ranges[i] = stated_efficiency(of_large.ranges[i].range, uncertain(i < 4 ? 0.1 : 0.6, 0.01, "counts"));
    }
    CHECK(class_limits(minimum_efficiency_rating(of_large)).next ==
          "E1 10.0 < 20.0; E2 60.0 < 65.0, the worst by 10.0");
    // No class without discharging, and no limit of one.
    CHECK(class_limits(particulate_matter_class(in_all_sizes(0.6))).governing.empty());
    auto s = test::synthetic_study();
    s.result.filters[2].minimum_efficiency = rating;
    CHECK(contains(classes_html(s.study, s.result), "8: E3 60.0 &lt; 70.0, by 10.0"));
}

TEST_CASE("what the counts allow of a class is said in one way, and what holds of all classes once", "[own]") {
    // Every size counted: probabilities alone. One size not counted: the range alone.
    CHECK(allowed_text(minimum_efficiency_rating(in_all_sizes(0.6))) == "7: >99 %");
    FractionalEfficiency without = in_all_sizes(0.6);
    without.ranges.pop_back();
    CHECK(allowed_text(minimum_efficiency_rating(without)) == "6 to 8");
    CHECK(allowed_text(particulate_matter_class(in_all_sizes(0.6))) == "at most ISO ePM1 60 %");
    CHECK_THAT(allowed_text(particulate_matter_class(in_all_sizes(0.6), in_all_sizes(0.58))),
               Catch::Matchers::StartsWith("ISO ePM1 55 %: "));
    CHECK(allowed_text(minimum_efficiency_rating(FractionalEfficiency{})).empty());
    auto s = test::synthetic_study();
    for (FilterResult& filter : s.result.filters) {
        filter.efficiency = in_all_sizes(0.6);
        filter.minimum_efficiency = minimum_efficiency_rating(in_all_sizes(0.6));
        filter.minimum_efficiency_text = minimum_efficiency_text(*filter.minimum_efficiency, 1.5 * units::m_per_s);
        filter.particulate_matter = particulate_matter_class(in_all_sizes(0.6));
        filter.particulate_matter_text = particulate_matter_text(*filter.particulate_matter, 1.5 * units::m_per_s);
    }
    const std::string html = classes_html(s.study, s.result);
    const auto count_of = [&](const std::string& part) {
        std::size_t n = 0;
        for (std::size_t at = html.find(part); at != std::string::npos; at = html.find(part, at + 1)) ++n;
        return n;
    };
    CHECK(count_of("<td class=\"text\">7: &gt;99 %</td>") == 6);
    CHECK(count_of("by ANSI/ASHRAE 52.2-2017 at 1.50 m/s (295 fpm)") == 1);   // below the table, of every filter
    CHECK(count_of("by ISO 16890-1:2016 at 1.50 m/s (295 fpm)") == 1);
    CHECK_FALSE(contains(html, "the data allow"));
    // No cell holds a sentence.
    for (std::size_t at = html.find("<td"); at != std::string::npos; at = html.find("<td", at + 1)) {
        const std::string cell = html.substr(at, html.find("</td>", at) - at);
        CAPTURE(cell);
        CHECK(cell.size() < 90);
    }
}

TEST_CASE("where no class can be told of any filter there is a sentence and no table of dashes", "[own]") {
    auto s = test::synthetic_study();
    for (FilterResult& filter : s.result.filters) {
        filter.minimum_efficiency = minimum_efficiency_rating(FractionalEfficiency{});
        filter.particulate_matter = particulate_matter_class(FractionalEfficiency{});
    }
    const std::string html = classes_html(s.study, s.result);
    CHECK(contains(html, "ANSI/ASHRAE 52.2: not determinable from the sizes counted"));
    CHECK(contains(html, "ISO 16890: not determinable from the sizes counted"));
    CHECK_FALSE(contains(html, "<table"));
    CHECK_FALSE(contains(html, "is bounded by"));
    s.result.filters[0].minimum_efficiency = minimum_efficiency_rating(in_all_sizes(0.6));
    CHECK(contains(classes_html(s.study, s.result), "<table"));
    CHECK(test::markup_faults(report_page(s.study, s.result)).empty());
}

TEST_CASE("what a room rests on is said once, and only where there are figures of it", "[own]") {
    auto s = test::synthetic_study();
    const std::string note = "PM2.5 and PM10 indoors: steady, as invented";
    for (SystemResult& system : s.result.systems) system.warnings.push_back(note);
    for (SystemResult& system : s.result.systems) {
        for (CandidateResult& c : system.candidates) c.indoor_pm25_share.reset();
    }
    CHECK(room_notes(s.result).empty());
    CHECK_FALSE(contains(console_table(s.study, s.result), "as invented"));
    CHECK_FALSE(contains(report_page(s.study, s.result), "as invented"));
    CHECK_FALSE(contains(results_json(s.study, s.result), "as invented"));
    for (SystemResult& system : s.result.systems) {
        system.candidates[1].indoor_pm25_share = uncertain(0.3, 0.01, "share");
    }
    REQUIRE(room_notes(s.result).size() == 1);
    CHECK(room_notes(s.result)[0].of.empty());   // of all
    for (const std::string& text : {console_table(s.study, s.result), report_page(s.study, s.result)}) {
        const std::size_t at = text.find("as invented");
        REQUIRE(at != std::string::npos);
        CHECK(text.find("as invented", at + 1) == std::string::npos);
    }
    s.result.systems[1].warnings.back() += " too";
    REQUIRE(room_notes(s.result).size() == 2);
    CHECK(room_notes(s.result)[1].of == std::vector<std::string>{s.result.systems[1].name});
}

TEST_CASE("figures that a study does not ask for are named with the keys that ask for them", "[own]") {
    auto s = test::synthetic_study();
    for (SystemInput& system : s.study.systems) system.room.reset();
    const auto keys_for = [&](const std::string& figure) {
        for (const MissingFigure& m : further_figures(s.study, false)) {
            if (contains(m.figure, figure)) return m.needs;
        }
        return std::string();
    };
    CHECK(keys_for("found indoors") == "[system.room]");
    CHECK(keys_for("yearly mean of PM2.5") == "[system.room] with its fan_cycle, or with [system.schedule]");
    for (SystemInput& system : s.study.systems) {
        system.room = RoomInput{};
        system.room->fan_cycle.reset();
    }
    CHECK(keys_for("found indoors").empty());
    CHECK(keys_for("yearly mean of PM2.5") == "fan_cycle in [system.room], or [system.schedule]");
    CHECK(keys_for("concentrations") == "outdoor_pm25, outdoor_pm10 in [system.room]");
    s.study.systems[0].room->fan_cycle = 20 * units::min;
    CHECK(contains(further_words(s.study, false), "yearly mean of PM2.5 and PM10 indoors of '" +
                                                      s.study.systems[1].name + "' (fan_cycle in [system.room]"));
    s.study.systems[1].room->fan_cycle = 20 * units::min;
    CHECK(keys_for("yearly mean").empty());
    CHECK(keys_for("carbon") == "carbon_per_kWh in [prices]");
    s.study.prices.carbon = uncertain(0.35 * units::kg_per_kWh, 0.01 * units::kg_per_kWh, "grid");
    CHECK(keys_for("carbon").empty());
    CHECK(keys_for("cheapest") == "--draws N on the command line");
    CHECK_FALSE(contains(further_words(s.study, true), "--draws"));
    CHECK(contains(missing_html(s.study, s.result, false), "change_penalty in [prices]"));
    CHECK(contains(flowing(console_table(s.study, s.result)), "(change_penalty in [prices])"));
    CHECK(contains(results_json(s.study, s.result), "change_penalty in [prices]"));
    CHECK(further_figures(StudyInput{}, false).empty());   // without a system there is more to ask for first
}

TEST_CASE("what classes lack is missing, in one line", "[own]") {
    auto s = test::synthetic_study();
    for (std::size_t f = 1; f < s.result.filters.size(); ++f) {
        FilterResult& filter = s.result.filters[f];
        filter.efficiency->ranges.resize(4);   // a counter that ends at 1 um
        filter.minimum_efficiency = minimum_efficiency_rating(*filter.efficiency);
        filter.particulate_matter = particulate_matter_class(*filter.efficiency);
    }
    CHECK(sizes_not_counted(*s.result.filters[1].efficiency) == "1-10 um");
    CHECK(sizes_not_counted(in_all_sizes(0.5)).empty());
    FractionalEfficiency holes = in_all_sizes(0.5);
    holes.ranges.erase(holes.ranges.begin() + 8, holes.ranges.end());
    holes.ranges.erase(holes.ranges.begin());
    CHECK(sizes_not_counted(holes) == "0.3-0.4 um and 3-10 um");
    std::size_t said = 0;
    for (const MissingThing& thing : all_missing(s.study, s.result)) {
        if (contains(thing.missing.needs, "channels of 1-10 um")) {
            ++said;
            CHECK(thing.of.size() == 5);
        }
    }
    CHECK(said == 1);
    const std::string page = report_page(s.study, s.result);
    CHECK_FALSE(contains(page, "efficiency in 1-1.3"));
    CHECK_FALSE(contains(page, "Nothing: every"));
}

TEST_CASE("limits of which nothing is known are not counted as failed", "[own]") {
    auto s = test::synthetic_study();
    SystemResult& system = s.result.systems[0];
    for (CandidateResult& c : system.candidates) {
        c.failed_limits.clear();
        c.end.reset();
        c.missing = {
            {"hours to a limit, change interval, yearly cost and energy", "running hours a year of the system"}};
    }
    CHECK(limits_met_words(s.study, s.result, 0) ==
          "Whether they are met is not known, for want of running hours a year of the system.");
    CHECK(contains(flowing(console_table(s.study, s.result)), "Whether they are met is not known"));
    for (CandidateResult& c : system.candidates) {
        c.clean.reset();
        c.missing = {{"airflow, pressures and everything after them", "pressure against flow of '" + c.name + "'"}};
    }
    CHECK_THAT(limits_met_words(s.study, s.result, 0),
               Contains("for want of pressure against flow of 'flat pad', '2-inch"));
    // A removal that nobody counted is not known either.
    auto t = test::synthetic_study();
    t.study.systems[0].least_pm25_removal = 0.3;
    CandidateResult& pad = t.result.systems[0].candidates[0];
    pad.failed_limits = {"removal of PM2.5 is not known, limit at least 30 %"};
    const LimitsVerdict verdict = limits_verdict(&t.study.systems[0], pad);
    CHECK(verdict.failed.empty());
    CHECK(verdict.words() == "meets those known; not known: removal of PM2.5");
    CandidateResult faceless = pad;
    faceless.failed_limits.push_back("face velocity is not known, limit at most 2.5 m/s (492 fpm)");
    faceless.end.reset();
    CHECK(limits_verdict(&t.study.systems[0], faceless).words() ==
          "meets those known; not known: airflow with loaded filters, removal of PM2.5, face velocity");
    faceless.failed_limits.push_back("airflow with clean filters 900 m3/h, limit at least 2592 m3/h");
    CHECK(limits_verdict(&t.study.systems[0], faceless).words() ==
          "fails: airflow with clean filters 900 m3/h, limit at least 2592 m3/h");
    CHECK(limits_met_words(t.study, t.result, 0) ==
          "Met by 5 of 7 candidates, failed by 1, not known of 1, for want of particle counts of filter 'flat pad'.");
}

TEST_CASE("candidates without a place have a letter, and ties name both", "[own]") {
    auto s = test::synthetic_study();
    SystemResult& system = s.result.systems[0];
    const std::string last = system.candidates[2].name;   // fails a limit
    system.candidates[4].tied_with = {system.candidates[1].name, last};
    system.candidates[2].tied_with = {system.candidates[4].name};
    CHECK(place_names(system)[4] == "1");
    CHECK(place_names(system)[2] == "a");
    CHECK(contains(flowing(console_table(s.study, s.result)), "contains zero): 1 from 2, a"));
    CHECK(tied_text(system, system.candidates[4]) == "2, a");
    CHECK(contains(report_page(s.study, s.result), ">2, a</td>"));
    for (CandidateResult& c : system.candidates) {
        c.tied_with.clear();
        for (const CandidateResult& other : system.candidates) {
            if (other.name != c.name) c.tied_with.push_back(other.name);
        }
    }
    CHECK(contains(flowing(console_table(s.study, s.result)), "contains zero): none from another"));
}

TEST_CASE("a removal below nothing is not known, one within its interval is from nothing on", "[own]") {
    auto s = test::synthetic_study();
    SystemResult& system = s.result.systems[0];
    system.candidates[4].lasting_pm25_removal = uncertain(-1.03, 0.1, "counts");
    system.candidates[1].lasting_pm25_removal = uncertain(0.224, 0.18, "counts");
    system.candidates[3].lasting_pm25_removal = uncertain(-0.02, 0.05, "counts");
    const std::string table = flowing(console_table(s.study, s.result));
    CHECK_FALSE(contains(table, "-103"));
    CHECK_FALSE(contains(table, "−103"));
    CHECK(contains(table, " not known "));
    CHECK(
        contains(table, "PM2.5 removed is not known of '4-inch pleat': more particles were counted behind the filter"));
    CHECK(contains(table, " 0 to 58 "));
    CHECK(contains(table, " 0 to 8 "));
    const std::string page = report_page(s.study, s.result);
    CHECK_FALSE(contains(page, "−103"));
    CHECK(contains(page, "not known<sup>"));
    CHECK(test::markup_faults(page).empty());
}

TEST_CASE("warnings that matter stand on the terminal, what all figures assume does not", "[own]") {
    auto s = test::synthetic_study();
    SystemResult& system = s.result.systems[0];
    system.candidates[1].warnings = {
        "removal of PM2.5 lies within the uncertainty of the limit: measure before relying on it",
        "no gap around the filters is stated: taken as sealed"};
    for (CandidateResult& c : system.candidates) {
        c.warnings.push_back("face velocity 9 m/s is unusual");
        c.warnings.push_back("'" + c.name + "' was counted at 1.50 m/s (295 fpm) and runs at 2.1" +
                             c.name.substr(0, 1) + " m/s (400 fpm): its removal is not corrected for that");
    }
    for (SizeEfficiency& e : s.result.filters[3].efficiency->ranges) {
        if (e.range.upper > 0.6 * units::um) continue;
        e.penetration = Uncertain<double>(2.0);
        e.penetration_interval = {1.8, 2.2};
    }
    const std::string table = flowing(console_table(s.study, s.result));
    CHECK(contains(
        table, "'2-inch pleat, coarse': removal of PM2.5 lies within the uncertainty of the limit: measure before"));
    CHECK(contains(table, "every candidate: face velocity 9 m/s"));
    CHECK_FALSE(contains(table, "taken as sealed"));
    CHECK(
        contains(table,
                 "every candidate: counted at 1.50 m/s (295 fpm), runs at a face velocity that differs by more than a "
                 "quarter: the removal is not corrected for that"));
    CHECK(contains(table,
                   "'2-inch pleat, charged': more particles behind the filter than before it at 0.3-0.4 µm (twice as "
                   "many), 0.4-0.55 µm (twice as many): likely a leak behind the filter, samples exchanged, or a dirty "
                   "sampling line"));
    CHECK(table.find("Mind:") > table.find("candidate airflow"));
    CHECK(more_behind_than_before(in_all_sizes(0.5)).empty());
}

TEST_CASE("without a currency costs are in currency units", "[own]") {
    auto s = test::synthetic_study();
    s.study.prices.currency = PricesInput{}.currency;
    const std::string table = console_table(s.study, s.result);
    CHECK(contains(table, "[currency units]"));
    CHECK_FALSE(contains(table, "[money"));
    CHECK(contains(report_page(s.study, s.result), "[currency units]"));
}
