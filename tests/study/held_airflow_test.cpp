// SPDX-License-Identifier: BSL-1.0
// A drive that holds its airflow within a tolerance: what studies make of it, against studies of drives that hold more
// or less.

#include "support/catch.hpp"

#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/numeric/uncertain.hpp>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

StudyInput study_of_drive(const Uncertain<double>& factor) {
    StudyInput study = known_study(FanControl::holds_airflow);
    study.systems[0].present_candidate.clear();   // a service that does not follow the airflow: the stated least one
    study.systems[0].held_airflow_factor = factor;
    study.coverage_probability = 0.999;           // beyond this no draws are made
    return study;
}

using Figure = std::function<std::optional<Uncertain<double>>(const CandidateResult&)>;

template <class Member>
Figure figure_of(Member member) {
    return [member](const CandidateResult& c) -> std::optional<Uncertain<double>> {
        if (!(c.*member)) return std::nullopt;
        using Q = std::remove_cvref_t<decltype((c.*member)->value)>;
        return to_si(static_cast<const Uncertain<Q>&>(*(c.*member)));
    };
}

std::vector<std::pair<std::string, Figure>> figures() {
    return {{"clean airflow", [](const CandidateResult& c) { return to_si(c.clean->flow); }},
            {"clean power", [](const CandidateResult& c) { return to_si(*c.clean->power); }},
            {"filter drop", [](const CandidateResult& c) { return to_si(c.clean->filter_pressure); }},
            {"hours to a limit", figure_of(&CandidateResult::hours_to_limit)},
            {"change interval", figure_of(&CandidateResult::change_interval)},
            {"yearly energy", figure_of(&CandidateResult::annual_energy)},
            {"attributable energy", figure_of(&CandidateResult::attributable_energy)},
            {"counterfactual energy", figure_of(&CandidateResult::counterfactual_energy)},
            {"yearly cost", figure_of(&CandidateResult::annual_cost)},
            {"present value", figure_of(&CandidateResult::present_value)},
            {"clean air", figure_of(&CandidateResult::clean_air_pm25)}};
}

}   // namespace

TEST_CASE("what an airflow held within a tolerance does is what drives that hold more or less do", "[own][study]") {
    const double step = 0.002;
    const Uncertain<double> within = uncertain(1.0, 0.02, "airflow held");
    const InputHandle& input = within.gradient.terms().front().input;
    // Lives that end while the airflow is held, and after the drive has given up.
    const double final_resistance = GENERATE(180.0, 330.0);
    const auto of = [&](const Uncertain<double>& factor) {
        StudyInput study = study_of_drive(factor);
        for (CandidateInput& c : study.candidates) c.stages[0].final_resistance = final_resistance * Pa;
        return evaluated(study).systems.at(0).candidates;
    };
    const auto stated = of(within), above = of(Uncertain<double>(1.0 + step)),
               below = of(Uncertain<double>(1.0 - step));
    for (std::size_t k = 0; k < stated.size(); ++k) {
        for (const auto& [name, figure] : figures()) {
            const auto here = figure(stated[k]), up = figure(above[k]), down = figure(below[k]);
            INFO(name << " of " << stated[k].name << ", final resistance " << final_resistance << " Pa");
            REQUIRE((here && up && down));
            const double slope = (up->value - down->value) / (2.0 * step);
            CHECK(here->gradient.derivative(input) == Approx(slope).epsilon(0.01).margin(1e-3 * std::abs(here->value)));
        }
        CHECK(stated[k].clean->flow.standard_uncertainty() / stated[k].clean->flow.value == Approx(0.02));
    }
    // More air, more power, about with the cube of it in the ducts: not in proportion to anything else.
    const Uncertain<Power>& clean_power = *stated[0].clean->power;
    const double power = to_si(clean_power).gradient.derivative(input) / clean_power.value.value();
    CHECK(power > 2.0);
    CHECK(power < 3.2);
    // What both share cancels: their airflows differ by nothing.
    CHECK((stated[1].clean->flow - stated[0].clean->flow).gradient.derivative(input) ==
          Approx(0.0).margin(1e-9));
    const Uncertain<Money>&a = *stated[0].annual_cost, &b = *stated[1].annual_cost;
    CHECK((b - a).gradient.derivative(input) ==
          Approx(b.gradient.derivative(input) - a.gradient.derivative(input)).epsilon(1e-12));
    CHECK(a.gradient.derivative(input) * b.gradient.derivative(input) > 0.0);
}

TEST_CASE("a study says when it takes a held airflow as exact", "[own][study]") {
    const auto said = [](const SystemResult& system) {
        for (const std::string& w : system.warnings) {
            if (w.find("taken as exact") != std::string::npos) return true;
        }
        return false;
    };
    CHECK(said(evaluated(study_of_drive(Uncertain<double>(1.0))).systems.at(0)));
    CHECK_FALSE(said(evaluated(study_of_drive(uncertain(1.0, 0.02, "airflow held"))).systems.at(0)));
    CHECK_FALSE(said(evaluated(known_study()).systems.at(0)));
    // A least airflow inside the tolerance is no limit that surely holds.
    StudyInput study = study_of_drive(uncertain(1.0, 0.02, "airflow held"));
    study.systems[0].least_airflow = 1.29 * m3_per_s;
    const auto near = [](const CandidateResult& c) {
        for (const std::string& doubt : c.doubted_limits) {
            if (doubt.find("airflow with clean filters") == 0) return true;
        }
        return false;
    };
    CHECK(near(evaluated(study).systems.at(0).candidates.at(0)));
    study.systems[0].held_airflow_factor = Uncertain<double>(1.0);
    CHECK_FALSE(near(evaluated(study).systems.at(0).candidates.at(0)));
}

TEST_CASE("bad tolerances of a held airflow are refused", "[own][study]") {
    CHECK_THROWS_WITH(evaluated(study_of_drive(Uncertain<double>(0.4))),
                      Contains("held_airflow_factor of system 'air handler' = 0.4") && Contains("0.5 to 1.5"));
    CHECK_THROWS_AS(evaluated(study_of_drive(Uncertain<double>(std::nan("")))), DomainError);
    StudyInput fixed = known_study();
    fixed.systems[0].held_airflow_factor = uncertain(1.0, 0.02, "airflow held");
    CHECK_THROWS_WITH(evaluated(fixed), Contains("held_airflow_factor of system 'air handler' = 1 +- 0.02") &&
                                            Contains("fan at fixed speed"));
}
