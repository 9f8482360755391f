// SPDX-License-Identifier: BSL-1.0
// Fittings, junctions, flexible duct, leakage and system effect: published values, a general fluids library's values,
// the limits of each formula.

#include <cmath>
#include <map>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/duct_fittings.hpp>
#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/airflow/elbow_tables.hpp>
#include <filterflow/airflow/fittings.hpp>
#include <filterflow/airflow/flexible_duct.hpp>
#include <filterflow/airflow/junctions.hpp>
#include <filterflow/airflow/network.hpp>
#include <filterflow/airflow/part_drops.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Compares the rows of elbows.csv of one provenance; how many there were.
int elbows_compared(const std::string& provenance) {
    const std::map<std::string, SheetMetalElbow> kinds{
        {"round elbow, smooth", SheetMetalElbow::round_smooth},
        {"round elbow, 5 pieces", SheetMetalElbow::round_five_pieces},
        {"round elbow, 4 pieces", SheetMetalElbow::round_four_pieces},
        {"round elbow, 3 pieces", SheetMetalElbow::round_three_pieces},
        {"rectangular elbow, radius", SheetMetalElbow::rectangular_radius}};
    int compared = 0;
    for (const auto& row : test::ReferenceTable("elbows.csv")) {
        if (row["provenance"] != provenance) continue;
        CAPTURE(row["elbow"], row["radius_ratio"]);
        const auto kind = kinds.find(row["elbow"]);
        const bool inlet = kind == kinds.end();
        const LossCoefficient k =
            inlet ? inlet_elbow_system_effect({row.number("radius_ratio"), row.number("straight_length_diameters"),
                                               row["elbow"] == "fan inlet elbow, vanes"})
                  : sheet_metal_elbow_loss_coefficient(kind->second, row.number("radius_ratio"));
        CHECK(k.value == Approx(row.number("loss_coefficient")).epsilon(1e-12));
        CHECK(k.basis == (inlet ? VelocityBasis::fan_inlet : VelocityBasis::duct));
        CHECK(k.relative_uncertainty == (inlet ? 0.0 : 0.3));
        ++compared;
    }
    return compared;
}

/// The same for duct_leakage.csv: each row has one class of its duct and seal class among ours.
int leakage_classes_compared(const std::string& provenance) {
    const std::map<std::string, std::string> ours_by_duct{
        {"unsealed rectangular metal", "rectangular metal, unsealed"},
        {"unsealed flexible (average)", "flexible, unsealed, average"},
        {"sealed non-metal flexible (average)", "flexible, not metal, sealed, average"},
        {"fibrous glass (<=2 in wg)", "fibrous glass board, up to 2 inH2O"}};
    int compared = 0;
    for (const auto& row : test::ReferenceTable("duct_leakage.csv")) {
        if (row["provenance"] != provenance) continue;
        const auto named = ours_by_duct.find(row["duct"]);
        std::string name = named == ours_by_duct.end() ? row["duct"] : named->second;
        if (row.has("seal_class")) name += ", seal class " + row["seal_class"] + " ";
        CAPTURE(name);
        int found = 0;
        for (const DuctLeakageClass& ours : duct_leakage_classes()) {
            if (!ours.duct.starts_with(name)) continue;
            ++found;
            CHECK(ours.leakage_class == Approx(row.number("leakage_class")).epsilon(3e-3));
            CHECK(ours.from_memory == (provenance != "read"));
            CHECK_FALSE(ours.source.empty());
        }
        CHECK(found == 1);
        // The factor in SI beside each class.
        CHECK(duct_leakage_flow({.leakage_class = row.number("leakage_class"), .surface = 1 * m2}, 1 * Pa) / L_per_s ==
              Approx(row.number("factor_L_per_s_m2_Pa065")).epsilon(3e-3));
        ++compared;
    }
    return compared;
}

}   // namespace

TEST_CASE("published values of fittings are met", "[outside]") {
    // tests/reference/airflow_checks.csv and duct_checks.csv; sources there on each row.
    const test::ReferenceTable table("airflow_checks.csv"), duct("duct_checks.csv");
    // Hundy, Trott and Welch, Example 24.3: 20 % of the velocity pressure's change is lost.
    CHECK(static_regain({8 * m_per_s, 5.5 * m_per_s}, 0.8, fan_test_air()) / Pa ==
          Approx(table.row("id", "static regain").number("expected")).epsilon(0.005));
    // Crane TP-410, Problem 7-35; the printed branch value uses rounded flows.
    const JunctionCoefficients tee = converging_loss_coefficients({.branch_flow_share = 0.25});
    CHECK(tee.branch.value ==
          Approx(table.row("quantity", "converging 90 deg tee, branch K (combined-flow basis)").number("expected"))
              .margin(0.002)
              .epsilon(0));
    CHECK(tee.run.value ==
          Approx(table.row("quantity", "converging 90 deg tee, run K").number("expected")).epsilon(1e-9));
    // Crane TP-410, Problem 7-36.
    const JunctionCoefficients wye =
        diverging_loss_coefficients({.branch_flow_share = 950.0 / (1515 + 950), .angle = 45.0});
    CHECK(wye.branch.value == Approx(duct.row("quantity", "branch").number("expected")).epsilon(2e-3));
    CHECK(wye.run.value == Approx(duct.row("quantity", "run").number("expected")).epsilon(2e-3));
    // Leakage class 6 at 2 inH2O, per 100 ft2.
    CHECK(duct_leakage_flow({.leakage_class = 6, .surface = 100 * ft2}, 2 * inH2O) / cfm ==
          Approx(table.row("quantity", "leakage factor").number("expected")).epsilon(0.001));
}

TEST_CASE("a general fluids library's fittings are met", "[outside]") {
    // tests/reference/fittings.csv, made by fluids 1.0.22 (make_fittings_table.py makes it again).
    std::map<std::string, int> seen;
    for (const auto& row : test::ReferenceTable("fittings.csv")) {
        const std::string& name = row["fitting"];
        const auto number = [&](const char* column) { return row.has(column) ? row.number(column) : 0.0; };
        const double ratio = number("ratio"), angle = number("angle"), share = number("share_or_friction");
        CAPTURE(name, ratio, angle, share);
        ++seen[name];
        LossCoefficient k;
        VelocityBasis basis = VelocityBasis::duct;
        if (name == "rounded entry") {
            k = rounded_entry_loss_coefficient(ratio);
        } else if (name == "round bend") {
            k = round_bend_loss_coefficient({angle, ratio, DarcyFactor{share}});
        } else if (name == "mitred bend") {
            k = mitred_bend_loss_coefficient(angle);
        } else if (name == "conical diffuser") {
            k = conical_diffuser_loss_coefficient({ratio, angle, DarcyFactor{share}});
            basis = VelocityBasis::smaller_section;
        } else {
            const Junction junction{share, ratio, angle};
            const JunctionCoefficients both = name.substr(0, 10) == "converging"
                                                  ? converging_loss_coefficients(junction)
                                                  : diverging_loss_coefficients(junction);
            k = name.find("branch") != std::string::npos ? both.branch : both.run;
            basis = VelocityBasis::joined_flow;
        }
        CHECK(k.value == Approx(row.number("loss_coefficient")).epsilon(1e-9).margin(1e-11));
        CHECK(k.basis == basis);
    }
    CHECK(seen.size() == 8);
    for (const auto& row : test::ReferenceTable("grille_and_screen.csv")) {   // contractions stand in that table
        if (row["part"] != "contraction") continue;
        const LossCoefficient k = sudden_contraction_loss_coefficient(row.number("open_share"));
        CHECK(k.value == Approx(row.number("loss_coefficient")).epsilon(1e-9));
        CHECK(k.basis == VelocityBasis::smaller_section);
    }
}

TEST_CASE("an elbow before a fan and leakage classes are as published", "[outside]") {
    // tests/reference/elbows.csv and duct_leakage.csv, the rows that were read.
    CHECK(elbows_compared("read") == 21);
    CHECK(leakage_classes_compared("read") == 10);
}

TEST_CASE("tables from memory: elbows, duct ends, European leakage classes", "[own]") {
    // The same tables and entries_and_vanes.csv, the rows from memory.
    CHECK(elbows_compared("from memory") == 23);
    CHECK(leakage_classes_compared("from memory") == 4);
    CHECK(duct_leakage_classes().size() == test::ReferenceTable("duct_leakage.csv").size());
    const std::map<std::string, LossCoefficient> fittings{
        {"re-entrant entry", reentrant_entry_loss_coefficient()},
        {"plain duct end", open_duct_end_loss_coefficient(DuctEnd::plain)},
        {"flanged duct end", open_duct_end_loss_coefficient(DuctEnd::flanged)},
        {"rectangular mitre with vanes", vaned_mitre_loss_coefficient()}};
    const test::ReferenceTable table("entries_and_vanes.csv");
    CHECK(table.size() == fittings.size());
    for (const auto& row : table) {
        CAPTURE(row["fitting"]);
        const LossCoefficient k = fittings.at(row["fitting"]);
        const double least = row.number("least"), greatest = row.number("greatest");
        CHECK(k.value == Approx(0.5 * (least + greatest)).epsilon(1e-14));
        CHECK(k.basis == VelocityBasis::duct);
        CHECK((loss_coefficient_range(k).least < least && loss_coefficient_range(k).greatest > greatest));
    }
    // A duct's plain end is an entry that projects without a wall, a flanged one nearly a flush entry.
    CHECK(loss_coefficient_range(fittings.at("plain duct end")).greatest > reentrant_entry_loss_coefficient().value);
    CHECK(loss_coefficient_range(fittings.at("flanged duct end")).greatest > flush_entry_loss_coefficient().value);
    // Vanes take most of a mitre's loss away.
    CHECK(vaned_mitre_loss_coefficient().value < 0.2 * mitred_bend_loss_coefficient(90.0).value);
    // Flexible duct: the formula's coefficients; the report that it follows speaks of factors near 4 and near 10.
    const test::ReferenceTable checks("airflow_checks.csv");
    CHECK(flexible_duct_factor({.diameter = 6 * inch, .length_over_stretched = 0.7}) ==
          Approx(checks.row("id", "flexible duct").number("expected")).epsilon(0.001));
}

TEST_CASE("fittings behave at the ends of their ranges", "[own]") {
    CHECK(sudden_expansion_loss_coefficient(0.0).value == 1.0);   // into a room: the whole velocity pressure
    CHECK(sudden_expansion_loss_coefficient(1.0).value == 0.0);
    CHECK(sudden_expansion_loss_coefficient(0.5).value == 0.25);
    CHECK(exit_loss_coefficient().value == 1.0);
    CHECK(sudden_contraction_loss_coefficient(1.0).value == Approx(0.0).margin(1e-15));
    CHECK(sudden_contraction_loss_coefficient(0.0).value ==
          Approx(rounded_entry_loss_coefficient(0.0).value).epsilon(1e-12));
    // The flush entry's uncertainty covers what other authors give.
    CHECK(loss_coefficient_range(flush_entry_loss_coefficient()).greatest > rounded_entry_loss_coefficient(0.0).value);
    CHECK(mitred_bend_loss_coefficient(0.0).value == 0.0);
    CHECK(conical_diffuser_loss_coefficient({1.0, 10.0, DarcyFactor{0.02}}).value == 0.0);
    CHECK(conical_diffuser_loss_coefficient({0.3, 180.0, DarcyFactor{0.02}}).value ==
          Approx(sudden_expansion_loss_coefficient(0.3).value).epsilon(0.01));
    CHECK(flexible_duct_factor({.diameter = 200 * mm, .length_over_stretched = 1.0}) == 1.0);
    CHECK(converging_loss_coefficients({.branch_flow_share = 1.0}).branch.value == Approx(0.55 * 2.0));
    CHECK(converging_loss_coefficients({.branch_flow_share = 0.0}).branch.value == Approx(-0.9));
    CHECK(converging_loss_coefficients({.branch_flow_share = 0.0}).run.value == 0.0);
    CHECK(diverging_loss_coefficients({.branch_flow_share = 0.25}).run.value < 0.0);
    CHECK(duct_leakage_flow({.leakage_class = 6, .surface = 10 * m2}, 0 * Pa) / L_per_s == 0.0);
    // One class is 0.0014068 L/(s m2 Pa^0.65).
    CHECK(
        duct_leakage_flow({.leakage_class = 1, .surface = 1 * m2}, 1 * Pa) / L_per_s ==
        Approx(test::ReferenceTable("duct_checks.csv").row("id", "leakage constant").number("expected")).epsilon(1e-4));
    CHECK(static_regain({8 * m_per_s, 8 * m_per_s}, 1.0, fan_test_air()) / Pa == 0.0);
    // Between its rows a table is a line, in both directions.
    CHECK(sheet_metal_elbow_loss_coefficient(SheetMetalElbow::round_smooth, 1.25).value == Approx(0.185));
    CHECK(inlet_elbow_system_effect({0.625, 1.0, false}).value == Approx(0.25 * (2.5 + 1.6 + 2.0 + 1.2)));
    // Derivatives to how the flow divides.
    using D = Dual<1>;
    const auto at = [](double q) {
        return converging_loss_coefficients({.branch_flow_share = q, .angle = 45.0}).branch.value;
    };
    const BasicJunction<D> junction{D::input(0.3, 0), D(1.0), 45.0};
    CHECK(converging_loss_coefficients(junction).branch.value.derivative[0] ==
          Approx((at(0.3001) - at(0.2999)) / 2e-4).epsilon(1e-6));
}

TEST_CASE("a coefficient carries its velocity and its uncertainty", "[own]") {
    const LossCoefficient elbow = sheet_metal_elbow_loss_coefficient(SheetMetalElbow::round_smooth, 1.0);
    CHECK(loss_coefficient_range(elbow).least == Approx(0.7 * 0.22));
    CHECK(loss_coefficient_range(elbow).greatest == Approx(1.3 * 0.22));
    CHECK(standard_uncertainty(elbow) == Approx(0.3 * 0.22 / std::sqrt(3.0)));
    const LossCoefficientRange negative = loss_coefficient_range({-0.2, VelocityBasis::joined_flow, 0.5});
    CHECK(negative.least == Approx(-0.3));
    CHECK(negative.greatest == Approx(-0.1));
    // A widening before a duct: the same loss on either velocity.
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.4 * m3_per_s;
    const LossCoefficient widening = sudden_expansion_loss_coefficient(0.4);
    const Area small = 0.08 * m2, large = 0.2 * m2;
    const Pressure loss = pressure_drop(fitting_in(widening, small), flow, air);
    const LossCoefficient there = on_velocity_in_duct(widening, SectionAreas{.basis = small, .duct = large});
    CHECK(there.basis == VelocityBasis::duct);
    CHECK(pressure_drop(fitting_in(there, large), flow, air) / Pa == Approx(loss / Pa).epsilon(1e-13));
    const double side = std::sqrt(0.2);
    const DuctSegment duct{.width = side * m, .height = side * m, .loss_coefficient = there.value};
    CHECK(pressure_drop(duct, flow, air) / Pa == Approx(loss / Pa).epsilon(1e-12));
    // In a system, also where it is negative, and in another air.
    const AirState thin = moist_air({.temperature = from_celsius(35), .pressure = 80 * kPa, .relative_humidity = 0.2});
    const SystemCurve system = in_series(SystemCurve{}, fitting_in(widening, small), Fitting{large, -0.1});
    CHECK(pressure_drop(system, flow, thin) / Pa == Approx(pressure_drop(fitting_in(widening, small), flow, thin) / Pa +
                                                           pressure_drop(Fitting{large, -0.1}, flow, thin) / Pa)
                                                        .epsilon(1e-13));
    // The leg of a junction that carries a share of the flow: the coefficient is on the whole.
    const LossCoefficient branch = converging_loss_coefficients({.branch_flow_share = 0.3}).branch;
    CHECK(pressure_drop(junction_leg(branch, small, 0.3), 0.3 * flow, air) / Pa ==
          Approx(pressure_drop(fitting_in(branch, small), flow, air) / Pa).epsilon(1e-13));
    CHECK_THROWS_WITH(junction_leg(elbow, small, 0.3), Contains("required: VelocityBasis::joined_flow"));
}

TEST_CASE("flexible duct comes as a range", "[own]") {
    const FlexibleDuctRange laid{.diameter = 200 * mm,
                                 .least_length_over_stretched = 0.85,
                                 .greatest_length_over_stretched = 0.96,
                                 .installed_length = 3 * m};
    const auto [least, greatest] = flexible_duct_factors(laid);
    CHECK(least == flexible_duct_factor({200 * mm, 0.96}));
    CHECK(greatest == flexible_duct_factor({200 * mm, 0.85}));
    CHECK(least < greatest);
    const FlexibleDuctSegments ends = flexible_duct_segments(laid);
    const AirState air = duct_design_air();
    const DuctSegment stretched{.length = 3 * m, .diameter = 200 * mm, .roughness = 0.9 * mm};
    for (const double q : {0.01, 0.09}) {
        const VolumeFlow flow = q * m3_per_s;
        CHECK(pressure_drop(ends.least, flow, air) / Pa ==
              Approx(least * (pressure_drop(stretched, flow, air) / Pa)).epsilon(1e-12));
        CHECK(pressure_drop(ends.greatest, flow, air) / Pa ==
              Approx(greatest * (pressure_drop(stretched, flow, air) / Pa)).epsilon(1e-12));
    }
    CHECK_THROWS_WITH(
        flexible_duct_factors(
            {.diameter = 200 * mm, .least_length_over_stretched = 0.9, .greatest_length_over_stretched = 0.8}),
        Contains("least_length_over_stretched = 0.9"));
}

TEST_CASE("a leakage class is a path to the room", "[own]") {
    // A supply duct at a fan leaks into the ceiling space; the leak obeys its class at the pressure that is found
    // there.
    const DuctLeakage seams{.leakage_class = 24, .surface = 60 * m2};
    DuctNetwork network(duct_design_air());
    network.add_branch({.name = "supply", .from = "plenum", .to = "duct", .part = Fitting{0.1 * m2, 1.0}});
    network.add_branch({.name = "outlet", .from = "duct", .to = "room", .part = Fitting{0.05 * m2, 2.0}});
    network.add_branch({.name = "leak", .from = "duct", .to = "room", .part = leakage_path(seams)});
    network.fix_pressure("plenum", 200 * Pa);
    network.fix_pressure("room", 0 * Pa);
    NetworkSolver solver(std::move(network));
    const NetworkSolution found = solver.solve();
    CHECK(found.flow("leak") / L_per_s ==
          Approx(duct_leakage_flow(seams, found.pressure("duct")) / L_per_s).epsilon(1e-8));
    CHECK(found.flow("supply") / L_per_s ==
          Approx((found.flow("leak") + found.flow("outlet")) / L_per_s).epsilon(1e-8));
    CHECK(found.flow("leak") / found.flow("supply") > 0.02);
    CHECK_THROWS_AS(leakage_path({.leakage_class = 0, .surface = 60 * m2}), DomainError);
}

TEST_CASE("usual parts are power laws through their usual drop", "[own]") {
    const AirState air = duct_design_air();
    for (const UsualPartDrop& row : usual_part_drops()) {
        CHECK(&row == &usual_part_drops()[static_cast<std::size_t>(row.part)]);
        const SystemCurve system = in_series(SystemCurve{}, usual_part(row.part, 0.4 * m3_per_s, air));
        const double at = pressure_drop(system, 0.4 * m3_per_s, air) / Pa;
        CHECK((at >= row.least / Pa && at <= row.greatest / Pa));
        CHECK(pressure_drop(system, 0.2 * m3_per_s, air) / Pa ==
              Approx(at / std::pow(2.0, row.exponent)).epsilon(1e-12));
    }
    CHECK_THROWS_AS(usual_part(UsualPart::return_grille, 0 * m3_per_s, air), DomainError);
}

TEST_CASE("a fitting joins a duct on the velocity in that duct only", "[own]") {
    const DuctSegment duct{.length = 2 * m, .diameter = 300 * mm, .loss_coefficient = 0.2};
    const LossCoefficient elbow = sheet_metal_elbow_loss_coefficient(SheetMetalElbow::round_five_pieces, 1.5);
    CHECK(with_fitting(duct, elbow).loss_coefficient == 0.2 + elbow.value);
    const LossCoefficient widening = sudden_expansion_loss_coefficient(0.5);
    CHECK_THROWS_WITH(with_fitting(duct, widening), Contains("not on the velocity in a duct"));
    const LossCoefficient carried = on_velocity_in_duct(widening, SectionAreas{.basis = 0.1 * m2, .duct = 0.2 * m2});
    CHECK(with_fitting(duct, carried).loss_coefficient == Approx(0.2 + 4.0 * widening.value).epsilon(1e-14));
    CHECK_THROWS_AS(with_fitting(DuctSegment{.length = 2 * m}, elbow), DomainError);
    const LossCoefficient branch = converging_loss_coefficients({.branch_flow_share = 0.3}).branch;
    CHECK_THROWS_WITH(on_velocity_in_duct(branch, SectionAreas{.basis = 0.1 * m2, .duct = 0.1 * m2}),
                      Contains("on the velocity of the whole flow") && Contains("junction_leg"));
}

TEST_CASE("fittings refuse what lies outside", "[own]") {
    CHECK_THROWS_AS(sudden_expansion_loss_coefficient(1.1), DomainError);
    CHECK_THROWS_AS(sudden_contraction_loss_coefficient(-0.1), DomainError);
    CHECK_THROWS_AS(rounded_entry_loss_coefficient(1.1), DomainError);
    CHECK_THROWS_WITH(round_bend_loss_coefficient({90.0, 0.4, DarcyFactor{0.02}}),
                      Contains("radius_over_diameter = 0.4"));
    CHECK_THROWS_AS(round_bend_loss_coefficient({0.0, 1.0, DarcyFactor{0.02}}), DomainError);
    CHECK_THROWS_AS(mitred_bend_loss_coefficient(160.0), DomainError);
    CHECK_THROWS_AS(conical_diffuser_loss_coefficient({0.5, 0.0, DarcyFactor{0.02}}), DomainError);
    CHECK_THROWS_AS(conical_diffuser_loss_coefficient({0.0, 10.0, DarcyFactor{0.02}}), DomainError);
    CHECK_THROWS_WITH(sheet_metal_elbow_loss_coefficient(SheetMetalElbow::round_three_pieces, 0.5),
                      Contains("from 0.75 to 2"));
    CHECK_THROWS_AS(inlet_elbow_system_effect({0.4, 0.0, false}), DomainError);
    CHECK_THROWS_AS(inlet_elbow_system_effect({1.0, 5.1, true}), DomainError);
    CHECK_THROWS_AS(static_regain({5 * m_per_s, 8 * m_per_s}, 0.8, fan_test_air()), DomainError);
    CHECK_THROWS_AS(static_regain({8 * m_per_s, 5 * m_per_s}, 1.2, fan_test_air()), DomainError);
    CHECK_THROWS_AS(converging_loss_coefficients({.branch_flow_share = -0.1}), DomainError);
    CHECK_THROWS_WITH(diverging_loss_coefficients({.branch_flow_share = 0.1, .angle = 20.0}),
                      Contains("angle = 20 degrees"));
    CHECK_THROWS_AS(diverging_loss_coefficients({.branch_flow_share = 0.1, .branch_area_ratio = 0.0}), DomainError);
    CHECK_THROWS_AS(fitting_in(exit_loss_coefficient(), 0 * m2), DomainError);
    CHECK_THROWS_AS(in_series(SystemCurve{}, Fitting{}), DomainError);
    CHECK_THROWS_AS(loss_coefficient_range({1.0, VelocityBasis::duct, 1.5}), DomainError);
    CHECK_THROWS_WITH(flexible_duct_factor({.diameter = 100 * mm, .length_over_stretched = 0.9}),
                      Contains("diameter = 0.1 m"));
    CHECK_THROWS_AS(flexible_duct_factor({.diameter = 200 * mm, .length_over_stretched = 0.5}), DomainError);
    CHECK_THROWS_AS(duct_leakage_flow({.leakage_class = -1, .surface = 1 * m2}, 1 * Pa), DomainError);
}
