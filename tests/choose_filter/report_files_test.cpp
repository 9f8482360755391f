// SPDX-License-Identifier: BSL-1.0
// results.csv and results.json, driven by invented data.

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include <nlohmann/json.hpp>

#include "choose_filter/report_checks.hpp"
#include "choose_filter/report_synthetic_study.hpp"
#include "report_candidate.hpp"
#include "report_estimate.hpp"
#include "report_files.hpp"

using namespace choose_filter;
using nlohmann::json;

TEST_CASE("every row of the CSV has the columns of its header", "[own]") {
    const auto s = filterflow::test::synthetic_study({"comma, in a name", "quote \" in a name", "line\nend"});
    const auto rows = filterflow::test::csv_rows(results_csv(s.study, s.result));
    REQUIRE(rows.size() == 1 + 2 * 7);
    for (const auto& row : rows) CHECK(row.size() == rows[0].size());
    const auto column = [&](const std::string& name) {
        const auto at = std::find(rows[0].begin(), rows[0].end(), name);
        REQUIRE(at != rows[0].end());
        return static_cast<std::size_t>(at - rows[0].begin());
    };
    // Best first, with the numbers that the study holds.
    CHECK(rows[1][column("candidate")] == "4-inch pleat");
    CHECK(rows[1][column("rank")] == "1");
    CHECK(rows[1][column("recommended")] == "yes");
    CHECK(rows[2][column("candidate")] == "quote \" in a name");
    const auto& best = s.result.systems[0].candidates[4];
    CHECK(std::stod(rows[1][column("airflow_clean [m3/h]")]) ==
          Approx(3600.0 * best.clean->flow.value.value()).epsilon(1e-14));
    const double cost = best.annual_cost->value.value();
    const double lower = std::stod(rows[1][column("annual_cost lower [pounds]")]);
    const double upper = std::stod(rows[1][column("annual_cost upper [pounds]")]);
    CHECK(0.5 * (lower + upper) == Approx(cost).epsilon(1e-12));
    CHECK(0.5 * (upper - lower) == Approx(1.959964 * best.annual_cost->standard_uncertainty().value()).epsilon(1e-6));
    // Absent figures are empty cells; the failed limit is the reason of the last one.
    CHECK(rows[4][column("candidate")] == "comma, in a name");
    CHECK(rows[4][column("pm25_removal [%]")].empty());
    CHECK(rows[7][column("rank")].empty());
    CHECK_THAT(rows[7][column("failed_limits")], Contains("below the least allowed"));
    CHECK(rows[7][column("below_present_airflow")] == "yes");
}

TEST_CASE("without a system the CSV is its header", "[own]") {
    const auto s = filterflow::test::synthetic_pressures_only();
    CHECK(filterflow::test::csv_rows(results_csv(s.study, s.result)).size() == 1);
}

TEST_CASE("the JSON parses back to the numbers of the study", "[own]") {
    const auto s = filterflow::test::synthetic_study({"</script>\" \\ \xFF"});
    const json parsed = json::parse(results_json(s.study, s.result));
    CHECK(parsed["note"] == s.study.note);
    REQUIRE(parsed["systems"].size() == 2);
    REQUIRE(parsed["filters"].size() == 6);
    CHECK(parsed["systems"][0]["recommended"] == "4-inch pleat");
    CHECK(parsed["systems"][0]["condition"].is_null());
    CHECK(parsed["systems"][1]["conditional"] == true);
    CHECK(parsed["systems"][1]["condition"] == s.result.systems[1].condition);
    CHECK(parsed["systems"][0]["recommendation_notes"].size() == 2);
    const json& next = parsed["systems"][0]["runner_up"];
    CHECK(next["candidate"] == s.study.candidates[1].name);
    CHECK(next["costs_more"]["value"] == 30.0);
    CHECK(next["costs_more"]["lower"] == -10.0);
    CHECK(next["costs_more"]["upper"] == 70.0);
    CHECK(parsed["systems"][0]["best_without_doubt"].is_null());
    const auto figures = candidate_figures(s.study);
    for (std::size_t i = 0; i < 2; ++i) {
        for (std::size_t c = 0; c < s.result.systems[i].candidates.size(); ++c) {
            const json& values = parsed["systems"][i]["candidates"][c]["figures"];
            CHECK(values.size() == figures.size());
            for (const CandidateFigure& figure : figures) {
                CAPTURE(i, c, figure.key);
                const auto e = figure.of(s.result.systems[i].candidates[c]);
                CHECK(values[figure.key].is_null() == !e.has_value());
                if (!e) continue;
                CHECK(values[figure.key]["value"].get<double>() == e->value);
                CHECK(values[figure.key]["lower"].get<double>() == e->lower);
                CHECK(values[figure.key]["upper"].get<double>() == e->upper);
                CHECK(values[figure.key]["unit"] == figure.file_unit);
            }
        }
    }
    const auto& fit = *s.result.filters[3].curve;
    const json& curve = parsed["filters"][3]["curve"];
    CHECK(curve["r"]["value"].get<double>() == fit.linear.value.value());
    CHECK(curve["covariance"][0][0].get<double>() == Approx(fit.linear.gradient.variance()).epsilon(1e-12));
    CHECK(curve["covariance"][1][1].get<double>() == Approx(fit.quadratic.gradient.variance()).epsilon(1e-12));
    CHECK(curve["covariance"][0][1].get<double>() < 0.0);   // r and s of one fit trade against each other
    CHECK(curve["covariance"][0][1] == curve["covariance"][1][0]);
    CHECK(parsed["filters"][3]["efficiency"]["ranges"].size() == 12);
    CHECK(parsed["filters"][0]["efficiency"].is_null());
    CHECK(parsed["filters"][0]["missing"][0]["figure"] == "efficiency by size");
    CHECK(parsed["stand"]["tare"]["readings"] == 4);
    // The slope that a smooth law has: by finite differences of its factor.
    const auto& loading = *s.result.filters[2].loading;
    const double at = loading.law.transition.value();
    const double here = resistance_factor(loading.law, filterflow::MassPerArea::from_value(1.5 * at));
    const double there = resistance_factor(loading.law, filterflow::MassPerArea::from_value(2.0 * at));
    const json& slope = parsed["filters"][2]["loading"]["cake_slope"];
    CHECK(1000.0 * slope["value"].get<double>() == Approx((there - here) / (0.5 * at)).epsilon(1e-9));
    CHECK(slope["lower"].get<double>() < slope["value"].get<double>());
    CHECK(slope["upper"].get<double>() > slope["value"].get<double>());
}

TEST_CASE("the slope's interval is that of the two parameters behind it", "[own]") {
    using filterflow::uncertain;
    filterflow::LoadingFit fit;
    fit.law.form = filterflow::LoadingForm::smooth;
    const double scale = 0.1, transition = 0.06, step = 1e-6;
    const auto slope = [](double w, double c) { return std::exp(c / w) / w; };
    fit.parameters = {uncertain(scale, 0.004, "scale"), uncertain(transition, 0.005, "transition"), 0.0};
    const double by_scale = (slope(scale + step, transition) - slope(scale - step, transition)) / (2 * step);
    const double by_transition = (slope(scale, transition + step) - slope(scale, transition - step)) / (2 * step);
    CHECK(cake_slope_of(fit).value == Approx(slope(scale, transition)));
    CHECK(cake_slope_of(fit).standard_uncertainty() ==
          Approx(std::hypot(0.004 * by_scale, 0.005 * by_transition)).epsilon(1e-6));
}

TEST_CASE("what was weighed without an uncertainty has no bounds, and an exponential no cake", "[own]") {
    auto s = filterflow::test::synthetic_study();
    auto& exact = *s.result.filters[1].loading;
    exact.average_arrestance = filterflow::Uncertain<double>(0.7);
    exact.retained[1] = filterflow::Uncertain<filterflow::Mass>(filterflow::Mass::from_value(0.01));
    s.result.filters[2].loading->law.form = filterflow::LoadingForm::exponential;
    const json parsed = json::parse(results_json(s.study, s.result));
    for (const json& value : {parsed["filters"][1]["loading"]["average_arrestance"],
                              parsed["filters"][1]["loading"]["retained"][1]}) {
        CHECK(value["value"].get<double>() > 0.0);
        CHECK(value["lower"].is_null());
        CHECK(value["upper"].is_null());
        CHECK(value["bounds_missing"] == "no uncertainty of the weighing was stated");
    }
    CHECK_FALSE(parsed["filters"][1]["loading"]["retained"][2]["lower"].is_null());
    CHECK(parsed["filters"][2]["loading"]["cake_slope"].is_null());
    CHECK(parsed["filters"][2]["loading"]["transition"].is_null());
}

TEST_CASE("where only pressures were read the JSON holds the order", "[own]") {
    const auto s = filterflow::test::synthetic_pressures_only();
    const json parsed = json::parse(results_json(s.study, s.result));
    const json& order = parsed["stand"]["pressure_only"];
    REQUIRE(order["places"].size() == 6);
    CHECK(order["places"][1]["tied_with"][0] == "2-inch pleat, fine");
    CHECK(order["places"][0]["lower_bound"]["value"].get<double>() == Approx(40.0));
    CHECK(order["rests_on"].size() == 2);
    CHECK(parsed["stand"]["tare"].is_null());
    CHECK(parsed["systems"].empty());
}
