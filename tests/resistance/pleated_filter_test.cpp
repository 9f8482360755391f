// SPDX-License-Identifier: BSL-1.0
// Pleated filters. No published digits exist for this model: its numbers were worked out apart from this code, by
// the same closed form and by collocation of the boundary-value problem; the test adds a third way, shooting.

#include <cmath>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/pleat_count.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

/// The air of the tables: viscosity 1.81e-5 Pa s, density 1.20 kg/m3.
AirState table_air() {
    AirState air = fan_test_air();
    air.viscosity = 1.81e-5 * Pa_s;
    return air;
}

/// A pack of one square metre with a pitch, and the flow of a face velocity through it.
PleatedFilter square_metre(double pitch, double depth, double thickness, double permeability) {
    return {.medium = {.thickness = thickness * m, .permeability = permeability * m2},
            .pack = {.count = 1.0 / pitch, .depth = depth * m, .width = 1 * m, .length = 1 * m}};
}

/// The drop of the two-channel problem by shooting: Runge-Kutta from the mouth, linear in the unknown start.
double drop_by_shooting(double q, double depth, double h1, double h2, double resistance, double mu) {
    const double a1 = 12 * mu / (h1 * h1 * h1), a2 = 12 * mu / (h2 * h2 * h2);
    struct State {
        double q1, w, p1;   // inlet flow, wall pressure difference, inlet pressure relative to the mouth
    };
    const auto run = [&](double start) {
        const int steps = 4000;
        const double dx = depth / steps;
        const auto slope = [&](const State& s) {
            return State{-2 * s.w / resistance, -a1 * s.q1 + a2 * (q - s.q1), -a1 * s.q1};
        };
        State s{q, start, 0};
        const auto add = [](const State& a, const State& b, double f) {
            return State{a.q1 + f * b.q1, a.w + f * b.w, a.p1 + f * b.p1};
        };
        for (int i = 0; i < steps; ++i) {
            const State k1 = slope(s), k2 = slope(add(s, k1, dx / 2)), k3 = slope(add(s, k2, dx / 2)),
                        k4 = slope(add(s, k3, dx));
            s = add(add(add(add(s, k1, dx / 6), k2, dx / 3), k3, dx / 3), k4, dx / 6);
        }
        return s;
    };
    // Linear: two runs give the start with which no flow is left at the end.
    const double w0 = resistance * q / (2 * depth);
    const double left0 = run(w0).q1, left1 = run(2 * w0).q1;
    const State end = run(w0 - left0 * w0 / (left1 - left0));
    return end.w - end.p1;   // p1(0) - p2(L) = w(L) + (p1(0) - p1(L))
}

}   // namespace

TEST_CASE("the closed form equals the tabulated pleats with equal gaps", "[own]") {
    const ReferenceTable table("pleat_two_channel_reference.csv");
    for (const ReferenceRow& row : table) {
        const PleatedFilter filter =
            square_metre(row.number("pitch_m"), row.number("L_m"), row.number("t_media_m"), row.number("k_m2"));
        const VolumeFlow flow = row.number("U_face_m_s") * m3_per_s;
        const PleatedDrop drop = pressure_drop_parts(filter, flow, table_air());
        CHECK(drop.medium / Pa == Approx(row.number("dp_media_uniform_Pa")).epsilon(1e-6));
        CHECK((drop.medium + drop.channels) / Pa == Approx(row.number("dp_total_linear_Pa")).epsilon(1e-6));
        CHECK(drop.greatest_velocity_ratio == Approx(row.number("vmax_over_vmean")).epsilon(1e-5));
        CHECK(drop.channel_reynolds_number == Approx(row.number("Re_2h_inlet")).epsilon(1e-3));
        CHECK(drop.laminar);
    }
}

TEST_CASE("the closed form equals the tabulated pleat with unequal gaps", "[own]") {
    const double expected = ReferenceTable("resistance_checks.csv").row("id", "A14").number("expected_value");
    // q .009 m2/s, L .045 m, h1 2.4 mm, h2 1.6 mm, R 543 Pa s/m
    const double mu = 1.81e-5, a1 = 12 * mu / std::pow(2.4e-3, 3), a2 = 12 * mu / std::pow(1.6e-3, 3);
    const auto two = detail::two_channel(2 * (a1 + a2) * 0.045 * 0.045 / 543, a2 / (a1 + a2));
    CHECK(543 * 0.009 / 0.09 * (1 + two.excess) == Approx(expected).epsilon(1e-6));
    CHECK(drop_by_shooting(0.009, 0.045, 2.4e-3, 1.6e-3, 543, mu) == Approx(expected).epsilon(1e-6));

    const PleatedFilter filter{.medium = {.thickness = 0.6 * mm, .permeability = mu * 0.6e-3 / 543 * m2},
                               .pack = {.count = 1.0 / 5.2e-3,
                                        .depth = 45 * mm,
                                        .width = 1 * m,
                                        .length = 1 * m,
                                        .inlet_gap_share = 0.6}};
    const PleatedDrop drop = pressure_drop_parts(filter, 0.009 / 5.2e-3 * m3_per_s, table_air());
    CHECK((drop.medium + drop.channels) / Pa == Approx(expected).epsilon(1e-6));
}

TEST_CASE("entry, exit and the channels equal the tabulated curves over the pleat count", "[own]") {
    const ReferenceTable table("pleat_count_curve.csv");
    for (const ReferenceRow& row : table) {
        INFO(row["case"] << ", " << row["pleats_per_100mm"] << " pleats");
        const PleatedFilter filter = square_metre(0.1 / row.number("pleats_per_100mm"), row.number("L_m"),
                                                  row.number("t_m"), row.number("k_m2"));
        const PleatedDrop drop = pressure_drop_parts(filter, row.number("U_face_m_s") * m3_per_s, table_air());
        CHECK((drop.medium + drop.channels) / Pa == Approx(row.number("dp_linear_two_channel_Pa")).epsilon(2e-5));
        CHECK((drop.entry + drop.exit) / Pa ==
              Approx(row.number("dp_entry_plus_exit_Kc0.4_Ke(1-s)^2_Pa")).epsilon(0).margin(6e-4));
        CHECK(drop.total / Pa == Approx((drop.medium + drop.channels + drop.entry + drop.exit) / Pa).epsilon(1e-14));
        CHECK(drop.exit <= 0 * Pa);
        // The tables' full model adds the channels' inertia: what is left out here is known, and has one sign.
        CHECK(drop.total / Pa <= row.number("dp_total_Pa") * (1 + 2e-5));
    }
}

TEST_CASE("the closed form agrees with shooting over a wide range", "[own]") {
    const double mu = 1.81e-5;
    for (const double gap : {0.4e-3, 1e-3, 3e-3, 10e-3}) {
        for (const double share : {0.3, 0.5, 0.65}) {
            for (const double resistance : {50.0, 500.0, 5000.0}) {
                INFO(gap << " " << share << " " << resistance);
                const double h1 = 2 * gap * share, h2 = 2 * gap * (1 - share), depth = 0.04, q = 0.01;
                const double a1 = 12 * mu / (h1 * h1 * h1), a2 = 12 * mu / (h2 * h2 * h2);
                const double x2 = 2 * (a1 + a2) * depth * depth / resistance;
                if (x2 > 400) continue;   // shooting amplifies rounding by exp(X)
                const auto two = detail::two_channel(x2, a2 / (a1 + a2));
                CHECK(resistance * q / (2 * depth) * (1 + two.excess) ==
                      Approx(drop_by_shooting(q, depth, h1, h2, resistance, mu)).epsilon(1e-8));
            }
        }
    }
}

TEST_CASE("series and closed form meet, and both limits are right", "[own]") {
    for (const double share : {0.1, 0.5, 0.9}) {
        const auto below = detail::two_channel(4e-4 * (1 - 1e-10), share);
        const auto above = detail::two_channel(4e-4 * (1 + 1e-10), share);
        CHECK(below.excess == Approx(above.excess).epsilon(1e-9));
        CHECK(below.peak == Approx(above.peak).epsilon(1e-12));
    }
    // Equal gaps, m = X small: g - 1 = m^2/3.
    CHECK(detail::two_channel(1e-10, 0.5).excess == Approx(1e-10 / 3).epsilon(1e-8));
    // Impermeable in the limit: all flow crosses where it costs least; per R v_m the drop is X^2 s (1 - s).
    CHECK(detail::two_channel(1e8, 0.3).excess / (1e8 * 0.21) == Approx(1.0).epsilon(1e-3));
    CHECK(std::isfinite(detail::two_channel(1e12, 0.3).excess));
    CHECK(detail::two_channel(1.0, 0.5).peak == Approx(0.5 / std::tanh(0.5)).epsilon(1e-14));
}

TEST_CASE("derivatives of a pleated filter agree with differences, in both branches", "[own]") {
    using D = Dual<3>;
    for (const double depth : {0.0005, 0.045}) {   // X of 0.008 and 0.7
        const auto drop = [&](double k, double count, double q) {
            PleatedFilter f = square_metre(1 / count, depth, 0.6e-3, k);
            f.medium.inertial_factor = 1000 * per_m;
            return pressure_drop(f, q * m3_per_s, table_air()) / Pa;
        };
        const double k = 2e-11, count = 190, q = 1.5;
        BasicPleatedFilter<D> f{.medium = {BasicLength<D>::from_value(D(0.6e-3)),
                                           BasicPermeability<D>::from_value(D::input(k, 0)),
                                           BasicInverseLength<D>::from_value(D(1000.0))},
                                .pack = {.count = D::input(count, 1),
                                         .depth = BasicLength<D>::from_value(D(depth)),
                                         .width = BasicLength<D>::from_value(D(1.0)),
                                         .length = BasicLength<D>::from_value(D(1.0))}};
        const D d = pressure_drop(f, BasicVolumeFlow<D>::from_value(D::input(q, 2)), air_as<D>(table_air())).value();
        CHECK(d.value == drop(k, count, q));
        CHECK(d.derivative[0] ==
              Approx((drop(k * 1.0001, count, q) - drop(k * 0.9999, count, q)) / (2e-4 * k)).epsilon(1e-6));
        CHECK(d.derivative[1] == Approx((drop(k, count + 0.01, q) - drop(k, count - 0.01, q)) / 0.02).epsilon(1e-6));
        CHECK(d.derivative[2] == Approx((drop(k, count, q + 1e-4) - drop(k, count, q - 1e-4)) / 2e-4).epsilon(1e-6));
    }
}

TEST_CASE("the optimum pleat count is the least of all counts", "[own]") {
    PleatedFilter filter{.medium = {.thickness = 0.6 * mm, .permeability = 2e-11 * m2},
                         .pack = {.count = 1, .depth = 44 * mm, .width = 100 * mm, .length = 1 * m}};
    const VolumeFlow flow = 0.15 * m3_per_s;
    const OptimumPleatCount best = find_optimum_pleat_count(filter, flow, table_air());
    CHECK(best.greatest_count == 83);
    for (const int count : {best.count - 1, best.count + 1, 3, 80}) {
        filter.pack.count = count;
        CHECK(pressure_drop(filter, flow, table_air()) > best.drop.total);
    }
    // The table's full model has its least near 22 to 23 pleats; without inertia in the channels a little later.
    CHECK(best.count >= 22);
    CHECK(best.count <= 25);
    filter.medium.thickness = 60 * mm;
    CHECK_THROWS_AS(find_optimum_pleat_count(filter, flow, table_air()), NoSolution);
}

TEST_CASE("lower permeability asks for more pleats", "[outside]") {
    // Chen, Pui and Liu 1995, abstract: media of lower permeability have their optimum at a higher pleat count.
    PleatedFilter filter{.medium = {.thickness = 0.6 * mm, .permeability = 8e-11 * m2},
                         .pack = {.count = 1, .depth = 44 * mm, .width = 500 * mm, .length = 500 * mm}};
    int before = 0;
    for (const double k : {8e-11, 2e-11, 5e-12, 1e-12}) {
        filter.medium.permeability = k * m2;
        const int count = find_optimum_pleat_count(filter, 0.4 * m3_per_s, duct_design_air()).count;
        CHECK(count > before);
        before = count;
    }
}

TEST_CASE("pleated filters refuse or flag what they cannot describe", "[own]") {
    const PleatedFilter filter = square_metre(5.2e-3, 0.045, 0.6e-3, 2e-11);
    CHECK(pressure_drop(filter, 0 * m3_per_s, table_air()) / Pa == 0.0);
    CHECK_FALSE(pressure_drop_parts(filter, 4 * m3_per_s, table_air()).laminar);
    CHECK_THROWS_AS(pressure_drop(filter, -1 * m3_per_s, table_air()), DomainError);
    CHECK_THROWS_WITH(pressure_drop(square_metre(1e-3, 0.045, 0.6e-3, 2e-11), 1 * m3_per_s, table_air()),
                      Contains("pleats touch"));
    CHECK_THROWS_AS(pressure_drop(filter, 1e200 * m3_per_s, table_air()), DomainError);
    PleatedFilter odd = filter;
    odd.contraction_coefficient = -0.1;
    CHECK_THROWS_AS(pressure_drop(odd, 1 * m3_per_s, table_air()), DomainError);
}
