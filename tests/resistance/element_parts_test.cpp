// SPDX-License-Identifier: BSL-1.0
// What stands around a pack: loss coefficients of other sources, narrower packs, momentum balances.

#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/element_assembly.hpp>

#include "resistance/bench_air.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

/// A screen of an open share with wires of 0.4 mm.
WireScreen screen_of(double share) {
    const Length wire = 0.4 * mm;
    return {.wire_diameter = wire, .pitch = wire / (1.0 - std::sqrt(share))};
}

PleatedFilter pleated() {
    return {.medium = {.thickness = 0.8 * mm, .permeability = 8e-11 * m2},
            .pack = {.count = 60, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm}};
}

ElementAssembly assembly() {
    return {.pack = {40 * Pa_s_per_m3, 50 * Pa_s2_per_m6, air},
            .face_area = 0.36 * units::m2,
            .pack_open_share = 0.95,
            .frame_open_share = 0.85,
            .upstream_grille = PerforatedPlate{.open_share = 0.6, .hole_diameter = 12 * mm},
            .downstream_grille = PerforatedPlate{.open_share = 0.8, .hole_diameter = 20 * mm},
            .screen = screen_of(0.45)};
}

}   // namespace

TEST_CASE("loss of a perforated plate agrees with a table of another source", "[outside]") {
    // Idelchik's formula against Blevins' table (both rest on measurements); they part above a share of 0.7. No source
    // says how far two such tables may differ: the bounds are what is found, rounded up, and what the docs say.
    const ReferenceTable table("grille_and_screen.csv");
    int rows = 0;
    for (const ReferenceRow& row : table) {
        if (row["part"] != "perforated plate") continue;
        const double share = row.number("open_share");
        INFO(share);
        CHECK(perforated_plate_loss_coefficient(share) ==
              Approx(row.number("loss_coefficient")).epsilon(share > 0.75 ? 0.25 : 0.15));
        ++rows;
    }
    CHECK(rows == 12);
}

TEST_CASE("loss of a wire screen agrees with a table of another source", "[outside]") {
    // Armour and Cannon against Blevins' table; the bound is what is found, rounded up, and what the docs say.
    const ReferenceTable table("grille_and_screen.csv");
    int rows = 0;
    for (const ReferenceRow& row : table) {
        if (row["part"] != "wire screen") continue;
        const WireScreen screen = screen_of(row.number("open_share"));
        CHECK(open_share(screen) == Approx(row.number("open_share")).epsilon(1e-12));
        const double v = row.number("wire_reynolds_number") * air.viscosity.value() /
                         (air.density.value() * screen.wire_diameter.value());
        const ElementCurve curve = wire_screen_curve(screen, 1.0 * units::m2, air);
        const double drop = pressure_drop(curve, v * m3_per_s, air) / Pa;
        INFO(row["open_share"] << " " << row["wire_reynolds_number"]);
        CHECK(drop / (0.5 * air.density.value() * v * v) == Approx(row.number("loss_coefficient")).epsilon(0.21));
        ++rows;
    }
    CHECK(rows == 30);
}

TEST_CASE("a frame narrows as a sharp contraction and widens as a jet", "[outside]") {
    // The contraction is on the velocity in the opening, by a general-purpose library: the same formula of Rennels and
    // Hudson, so that this tests how it is written and combined, not the formula. The widening is Borda's and Carnot's,
    // by momentum.
    const ReferenceTable table("grille_and_screen.csv");
    int rows = 0;
    for (const ReferenceRow& row : table) {
        if (row["part"] != "contraction") continue;
        const double f = row.number("open_share");
        const double contraction = row.number("loss_coefficient");
        // p1 - p2 of a jet that fills again: rho u2 (u1 - u2) is gained, rho (u1^2 - u2^2)/2 would be without loss.
        const double u1 = 1.0 / f;
        const double widening = 0.5 * (u1 * u1 - 1.0) - (u1 - 1.0);
        CHECK(frame_loss_coefficient(f) == Approx(contraction * u1 * u1 + 2.0 * widening).epsilon(1e-7));
        ++rows;
    }
    CHECK(rows == 5);
}

TEST_CASE("an open face costs nothing, less of it costs more", "[own]") {
    CHECK(perforated_plate_loss_coefficient(1.0) == 0.0);
    CHECK(frame_loss_coefficient(1.0) == 0.0);
    double plate = 0.0, frame = 0.0, screen = 0.0;
    for (double share = 0.98; share > 0.02; share -= 0.02) {
        CHECK(perforated_plate_loss_coefficient(share) > plate);
        CHECK(frame_loss_coefficient(share) > frame);
        CHECK(frame_loss_coefficient(share) < perforated_plate_loss_coefficient(share) + 0.1);
        const double drop =
            pressure_drop(wire_screen_curve(screen_of(share), 1.0 * units::m2, air), 2.0 * m3_per_s, air) / Pa;
        CHECK(drop > screen);
        plate = perforated_plate_loss_coefficient(share);
        frame = frame_loss_coefficient(share);
        screen = drop;
    }
    const ElementCurve loss = loss_curve(2.0, 0.5 * units::m2, air);
    CHECK(pressure_drop(loss, 1.5 * m3_per_s, air) / Pa == Approx(air.density.value() * 9.0).epsilon(1e-14));
}

TEST_CASE("a covered pack is a narrower pack", "[own]") {
    // A pack whose folds are covered over a share of their length works as one with shorter folds.
    const Interval<VolumeFlow> flows{0.2 * m3_per_s, 1.0 * m3_per_s};
    const PackCurve whole = pack_curve(pleated(), flows, air);
    PleatedFilter shorter = pleated();
    shorter.pack.length *= 0.7;
    // At the same velocities: the model's own departure from r Q + s Q^2 is then the same, too.
    const PackCurve narrow = pack_curve(shorter, {0.7 * flows.lower, 0.7 * flows.upper}, air);
    const ElementCurve covered = covered_element(whole.curve, 0.7);
    CHECK(covered.linear.value() == Approx(narrow.curve.linear.value()).epsilon(1e-9));
    CHECK(covered.quadratic.value() == Approx(narrow.curve.quadratic.value()).epsilon(1e-9));
}

TEST_CASE("the curve of a pack meets its model at both flows and says how far it departs between", "[own]") {
    const Interval<VolumeFlow> flows{0.2 * m3_per_s, 1.0 * m3_per_s};
    const PackCurve pack = pack_curve(pleated(), flows, air);
    for (const VolumeFlow& flow : {flows.lower, flows.upper}) {
        CHECK(pressure_drop(pack.curve, flow, air) / Pa ==
              Approx(pressure_drop(pleated(), flow, air) / Pa).epsilon(1e-12));
    }
    for (const double q : {0.35, 0.6, 0.85}) {
        CHECK(pressure_drop(pack.curve, q * m3_per_s, air) / Pa ==
              Approx(pressure_drop(pleated(), q * m3_per_s, air) / Pa).epsilon(1.2 * pack.greatest_deviation + 1e-12));
    }
    // Momentum in the channels is not quite a quadratic; without it the model is one.
    CHECK(pack.greatest_deviation > 0.001);
    CHECK(pack.greatest_deviation < 0.06);
    PleatedFilter slow = pleated();
    slow.momentum_factor = 0.0;
    CHECK(pack_curve(slow, flows, air).greatest_deviation < 1e-12);
    CHECK_THROWS_WITH(pack_curve(pleated(), {0.5 * m3_per_s, 0.51 * m3_per_s}, air), Contains("1.05 times"));
    CHECK_THROWS_WITH(pack_curve(pleated(), {0.0 * m3_per_s, 0.5 * m3_per_s}, air), Contains("least flow = 0 m3/s"));
}

TEST_CASE("an assembly is the series of its parts, in any air", "[own]") {
    const ElementAssembly a = assembly();
    const Area opening = 0.85 * a.face_area;
    ElementCurve series = covered_element(a.pack, 0.95);
    series = elements_in_series(series, loss_curve(frame_loss_coefficient(0.85), a.face_area, air));
    // In thin air stated: the series brings it back to the air of the first.
    AirState thin = air;
    thin.density *= 0.7;
    thin.viscosity *= 1.2;
    series = elements_in_series(series, loss_curve(perforated_plate_loss_coefficient(0.6), opening, thin));
    series = elements_in_series(series, loss_curve(perforated_plate_loss_coefficient(0.8), opening, air));
    series = elements_in_series(series, wire_screen_curve(*a.screen, opening, thin));
    const ElementCurve whole = element_curve(a);
    CHECK(whole.linear.value() == Approx(series.linear.value()).epsilon(1e-13));
    CHECK(whole.quadratic.value() == Approx(series.quadratic.value()).epsilon(1e-13));
    const AssemblyDrop parts = pressure_drop_parts(a, 0.8 * m3_per_s, thin);
    CHECK(parts.total / Pa == Approx(pressure_drop(whole, 0.8 * m3_per_s, thin) / Pa).epsilon(1e-13));
    CHECK((parts.pack + parts.frame + parts.grilles + parts.screen) / Pa == Approx(parts.total / Pa).epsilon(1e-14));
    CHECK(pressure_drop_parts(a, -0.8 * m3_per_s, thin).total / Pa == Approx(-parts.total / Pa).epsilon(1e-14));
    // A pack alone is its own curve.
    ElementAssembly bare;
    bare.pack = a.pack;
    bare.face_area = a.face_area;
    CHECK(element_curve(bare).quadratic == a.pack.quadratic);
    CHECK(element_curve(bare).linear == a.pack.linear);
}

TEST_CASE("an assembly says which part is out of its range", "[own]") {
    ElementAssembly a = assembly();
    const AssemblyDrop good = pressure_drop_parts(a, 0.8 * m3_per_s, air);
    CHECK(good.grilles_in_range);
    const double v = 0.8 / (0.85 * 0.36), nu = air.viscosity.value() / air.density.value();
    CHECK(good.hole_reynolds_number == Approx(v / 0.6 * 0.012 / nu).epsilon(1e-12));   // 20 mm at 0.8 are faster
    const WireScreen& screen = *a.screen;
    const double d = screen.wire_diameter.value(), p = screen.pitch.value();
    const double wires = 2.0 * std::hypot(p, d);   // length of wire in a cell p by p of two wires' thickness
    const double surface = wires * 3.14159265358979 * d / (p * p * 2.0 * d);
    CHECK(good.screen_reynolds_number == Approx(v / (nu * surface * surface * (p - d))).epsilon(1e-9));
    CHECK(good.screen_in_range);
    a.upstream_grille->hole_diameter = 2 * mm;
    CHECK_FALSE(pressure_drop_parts(a, 0.8 * m3_per_s, air).grilles_in_range);
    a.screen = screen_of(0.8);   // porosity 0.92
    CHECK_FALSE(pressure_drop_parts(a, 0.8 * m3_per_s, air).screen_in_range);
}

TEST_CASE("derivatives of an assembly's curve agree with finite differences", "[own]") {
    using D = Dual<7>;
    const auto with = [&](const std::array<double, 7>& x) {
        ElementAssembly a = assembly();
        a.pack.linear = x[0] * Pa_s_per_m3;
        a.face_area = x[1] * units::m2;
        a.pack_open_share = x[2];
        a.frame_open_share = x[3];
        a.upstream_grille->open_share = x[4];
        a.screen = WireScreen{.wire_diameter = x[5] * m, .pitch = x[6] * m};
        return element_curve(a);
    };
    const std::array<double, 7> x{40.0, 0.36, 0.95, 0.85, 0.6, 0.0004, 0.0014};
    std::array<D, 7> d;
    for (std::size_t i = 0; i < 7; ++i) d[i] = D::input(x[i], i);
    const BasicElementAssembly<D> a{
        .pack = {BasicLinearResistance<D>::from_value(d[0]), BasicQuadraticResistance<D>::from_value(D(50.0)), air},
        .face_area = BasicArea<D>::from_value(d[1]),
        .pack_open_share = d[2],
        .frame_open_share = d[3],
        .upstream_grille = BasicPerforatedPlate<D>{d[4], BasicLength<D>::from_value(D(0.012))},
        .downstream_grille = BasicPerforatedPlate<D>{D(0.8), BasicLength<D>::from_value(D(0.02))},
        .screen = BasicWireScreen<D>{BasicLength<D>::from_value(d[5]), BasicLength<D>::from_value(d[6])}};
    const auto curve = element_curve(a);
    for (std::size_t i = 0; i < 7; ++i) {
        auto up = x, down = x;
        up[i] *= 1.0 + 1e-5;
        down[i] *= 1.0 - 1e-5;
        const double step = up[i] - down[i];
        INFO(i);
        CHECK(curve.linear.value().derivative[i] ==
              Approx((with(up).linear - with(down).linear).value() / step).epsilon(1e-7).margin(1e-9));
        CHECK(curve.quadratic.value().derivative[i] ==
              Approx((with(up).quadratic - with(down).quadratic).value() / step).epsilon(1e-7).margin(1e-9));
    }
    // An open plate has a finite slope: K = 0.5 (1 - f) near f = 1.
    CHECK(perforated_plate_loss_coefficient(Dual<1>::input(1.0, 0)).derivative[0] == Approx(-0.499849).epsilon(1e-6));
}

TEST_CASE("parts of an element refuse what is none", "[own]") {
    CHECK_THROWS_WITH(perforated_plate_loss_coefficient(0.0), Contains("open_share = 0; required: > 0 and at most 1"));
    CHECK_THROWS_AS(perforated_plate_loss_coefficient(std::nan("")), DomainError);
    CHECK_THROWS_AS(frame_loss_coefficient(1.1), DomainError);
    CHECK_THROWS_WITH(loss_curve(-1.0, 1.0 * units::m2, air), Contains("loss_coefficient = -1"));
    CHECK_THROWS_WITH(wire_screen_curve({.wire_diameter = 1 * mm, .pitch = 1 * mm}, 1.0 * units::m2, air),
                      Contains("pitch of the wires = 0.001 m") && Contains("> the wire's diameter 0.001 m"));
    ElementAssembly a = assembly();
    a.frame_open_share = 0.0;
    CHECK_THROWS_WITH(element_curve(a), Contains("frame_open_share = 0"));
    a = assembly();
    a.downstream_grille->hole_diameter = -1 * mm;
    CHECK_THROWS_WITH(pressure_drop_parts(a, 1.0 * m3_per_s, air), Contains("hole_diameter of a grille = -0.001 m"));
    a = assembly();
    a.face_area = 0.0 * units::m2;
    CHECK_THROWS_WITH(element_curve(a), Contains("face_area = 0 m2"));
    CHECK_THROWS_AS(covered_element(a.pack, 2.0), DomainError);
}

TEST_CASE("no finite assembly gives a drop that is not finite", "[own]") {
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const auto decades = [&](double range) { return std::pow(10.0, range * (2.0 * unit(random) - 1.0)); };
    std::size_t found = 0;
    const std::size_t trials = test::sweep_length(20000);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        const double range = trial % 3 == 0 ? 150.0 : 4.0;
        const auto share = [&] { return trial % 5 == 0 ? std::min(1.0, decades(range)) : unit(random); };
        ElementAssembly a = assembly();
        a.pack.linear = decades(range) * Pa_s_per_m3;
        a.pack.quadratic = decades(range) * Pa_s2_per_m6;
        a.face_area = decades(range) * units::m2;
        a.pack_open_share = share();
        a.frame_open_share = share();
        a.upstream_grille->open_share = share();
        a.screen = WireScreen{.wire_diameter = decades(range) * m, .pitch = decades(range) * m};
        try {
            const AssemblyDrop drop = pressure_drop_parts(a, decades(range) * m3_per_s, air);
            ++found;
            REQUIRE(std::isfinite(drop.total.value()));
            REQUIRE(std::isfinite(drop.screen.value()));
            REQUIRE(std::isfinite(drop.screen_reynolds_number));
            REQUIRE(std::isfinite(drop.hole_reynolds_number));
        } catch (const DomainError&) {
        }
    }
    CHECK(found > trials / 10);
}
