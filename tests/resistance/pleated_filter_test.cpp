// SPDX-License-Identifier: BSL-1.0
// Pleated filters. No published digits exist for this model: its numbers were worked out apart from this code, by
// the same closed form and by collocation of the boundary-value problem; the test adds a third way, shooting.

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <utility>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

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
PleatedFilter square_metre(double pitch, double depth, double thickness, double permeability, double momentum_factor) {
    return {.medium = {.thickness = thickness * m, .permeability = permeability * m2},
            .pack = {.count = 1.0 / pitch, .depth = depth * m, .width = 1 * m, .length = 1 * m},
            .momentum_factor = momentum_factor};
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
        PleatedFilter filter =
            square_metre(row.number("pitch_m"), row.number("L_m"), row.number("t_media_m"), row.number("k_m2"), 0.0);
        const VolumeFlow flow = row.number("U_face_m_s") * m3_per_s;
        const PleatedDrop drop = pressure_drop_parts(filter, flow, table_air());
        CHECK(drop.medium / Pa == Approx(row.number("dp_media_uniform_Pa")).epsilon(1e-6));
        CHECK((drop.medium + drop.channels) / Pa == Approx(row.number("dp_total_linear_Pa")).epsilon(1e-6));
        CHECK(drop.greatest_velocity_ratio == Approx(row.number("vmax_over_vmean")).epsilon(1e-5));
        CHECK(drop.channel_reynolds_number == Approx(row.number("Re_2h_inlet")).epsilon(1e-3));
        CHECK(drop.laminar);
        CHECK(drop.points == 0);
        filter.momentum_factor = 1.2;
        const PleatedDrop full = pressure_drop_parts(filter, flow, table_air());
        CHECK((full.medium + full.channels) / Pa == Approx(row.number("dp_total_beta1.2_noKcKe_Pa")).epsilon(1e-6));
        CHECK(full.points == 0);
        // By collocation, without the closed form: gaps that are equal to eleven digits.
        filter.pack.inlet_gap_share = 0.5 + 1e-12;
        const PleatedDrop general = pressure_drop_parts(filter, flow, table_air());
        CHECK(general.points > 0);
        CHECK(general.channels / Pa == Approx(full.channels / Pa).epsilon(1e-9));
        CHECK(general.greatest_velocity_ratio == Approx(full.greatest_velocity_ratio).epsilon(1e-9));
    }
}

TEST_CASE("the closed form equals the tabulated pleat with unequal gaps", "[own]") {
    const double expected = ReferenceTable("resistance_checks.csv").row("id", "A14").number("expected_value");
    // q .009 m2/s, L .045 m, h1 2.4 mm, h2 1.6 mm, R 543 Pa s/m
    const double mu = 1.81e-5, a1 = 12 * mu / std::pow(2.4e-3, 3), a2 = 12 * mu / std::pow(1.6e-3, 3);
    const auto two = detail::two_channel(2 * (a1 + a2) * 0.045 * 0.045 / 543, a2 / (a1 + a2));
    CHECK(543 * 0.009 / 0.09 * (1 + two.excess) == Approx(expected).epsilon(1e-6));
    CHECK(drop_by_shooting(0.009, 0.045, 2.4e-3, 1.6e-3, 543, mu) == Approx(expected).epsilon(1e-6));

    const PleatedFilter filter{
        .medium = {.thickness = 0.6 * mm, .permeability = mu * 0.6e-3 / 543 * m2},
        .pack = {.count = 1.0 / 5.2e-3, .depth = 45 * mm, .width = 1 * m, .length = 1 * m, .inlet_gap_share = 0.6},
        .momentum_factor = 0.0};
    const PleatedDrop drop = pressure_drop_parts(filter, 0.009 / 5.2e-3 * m3_per_s, table_air());
    CHECK((drop.medium + drop.channels) / Pa == Approx(expected).epsilon(1e-6));
}

TEST_CASE("entry, exit and the channels equal the tabulated curves over the pleat count", "[own]") {
    const ReferenceTable table("pleat_count_curve.csv");
    for (const ReferenceRow& row : table) {
        INFO(row["case"] << ", " << row["pleats_per_100mm"] << " pleats");
        PleatedFilter filter = square_metre(0.1 / row.number("pleats_per_100mm"), row.number("L_m"), row.number("t_m"),
                                            row.number("k_m2"), 0.0);
        filter.development_coefficient = 0.0;   // the table has none
        const VolumeFlow flow = row.number("U_face_m_s") * m3_per_s;
        const PleatedDrop drop = pressure_drop_parts(filter, flow, table_air());
        CHECK((drop.medium + drop.channels) / Pa == Approx(row.number("dp_linear_two_channel_Pa")).epsilon(2e-5));
        CHECK((drop.entry + drop.exit) / Pa ==
              Approx(row.number("dp_entry_plus_exit_Kc0.4_Ke(1-s)^2_Pa")).epsilon(0).margin(6e-4));
        CHECK(drop.total / Pa == Approx((drop.medium + drop.channels + drop.entry + drop.exit) / Pa).epsilon(1e-14));
        CHECK(drop.exit <= 0 * Pa);
        filter.momentum_factor = 1.2;
        const PleatedDrop full = pressure_drop_parts(filter, flow, table_air());
        CHECK((full.medium + full.channels) / Pa == Approx(row.number("dp_two_channel_beta1.2_Pa")).epsilon(3e-5));
        CHECK(full.total / Pa == Approx(row.number("dp_total_Pa")).epsilon(3e-5));
        filter.development_coefficient = 0.674;   // on rho u^2/2 at the inlet mouth, and in the entry alone
        const double gap = 0.5 / filter.pack.count - row.number("t_m");
        const double u = row.number("U_face_m_s") * 0.5 / (filter.pack.count * gap);
        const PleatedDrop developing = pressure_drop_parts(filter, flow, table_air());
        CHECK((developing.entry - full.entry) / Pa == Approx(0.674 * 0.5 * 1.2 * 4 * u * u).epsilon(1e-9));
        CHECK(developing.channels == full.channels);
        CHECK(developing.exit == full.exit);
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

TEST_CASE("series and closed form of equal channels with momentum meet", "[own]") {
    for (const double ratio : {0.0, 0.3, 1.0, 30.0}) {   // b over x
        const double x2 = 4e-4 / (1 + ratio * ratio);
        const auto below = detail::two_equal_channels(x2 * (1 - 1e-10), ratio * std::sqrt(x2));
        const auto above = detail::two_equal_channels(x2 * (1 + 1e-10), ratio * std::sqrt(x2 * (1 + 4e-10)));
        CHECK(below.excess == Approx(above.excess).epsilon(2e-9));
        CHECK(below.peak == Approx(above.peak).epsilon(1e-9));
        CHECK(below.excess == Approx((x2 + ratio * ratio * x2) / 3).epsilon(1e-3));   // X^2/3 + B^2/3
    }
    for (const double x2 : {1e-6, 0.3, 20.0, 1e4}) {   // without momentum: the other closed form
        CHECK(detail::two_equal_channels(x2, 0.0).excess == Approx(detail::two_channel(x2, 0.5).excess).epsilon(1e-11));
        CHECK(detail::two_equal_channels(x2, 0.0).peak == Approx(detail::two_channel(x2, 0.5).peak).epsilon(1e-13));
    }
    for (const double b : {1e3, 1e8}) {   // far into either limit
        for (const double x2 : {1e-6, 1.0, 1e12}) CHECK(std::isfinite(detail::two_equal_channels(x2, b).excess));
    }
}

namespace {

/// Excess of the general problem by shooting, apart from the code under test: Runge-Kutta from the mouth in (Q1, g,
/// p1), g = v/v_m at the mouth by bisection. In units of q, L and R v_m; gaps are linear in x.
struct Shooting {
    double friction, momentum, sigma, inlet_mouth, inlet_tip, outlet_mouth, outlet_tip;

    struct State {
        double q1, wall, p1;   // wall = g + sigma g |g|
    };
    double velocity(double wall) const { return 2 * wall / (1 + std::sqrt(1 + 4 * sigma * std::abs(wall))); }
    State slope(double x, const State& s) const {
        const double h1 = inlet_mouth + (inlet_tip - inlet_mouth) * x, d1 = inlet_tip - inlet_mouth;
        const double h2 = outlet_tip + (outlet_mouth - outlet_tip) * x, d2 = outlet_mouth - outlet_tip;
        const double g = velocity(s.wall), q2 = 1 - s.q1;
        // -(beta rho/h) d(Q^2/h)/dx, the product rule written out
        const double p1 =
            -friction * s.q1 / (h1 * h1 * h1) - momentum / h1 * (2 * s.q1 * -g / h1 - s.q1 * s.q1 * d1 / (h1 * h1));
        const double p2 =
            -friction * q2 / (h2 * h2 * h2) - momentum / h2 * (2 * q2 * g / h2 - q2 * q2 * d2 / (h2 * h2));
        return {-g, p1 - p2, p1};
    }
    State run(double start) const {
        const int steps = 20000;
        const double dx = 1.0 / steps;
        State s{1, start + sigma * start * std::abs(start), 0};
        const auto add = [](const State& a, const State& b, double f) {
            return State{a.q1 + f * b.q1, a.wall + f * b.wall, a.p1 + f * b.p1};
        };
        for (int i = 0; i < steps; ++i) {
            const double x = i * dx;
            const State k1 = slope(x, s), k2 = slope(x + dx / 2, add(s, k1, dx / 2)),
                        k3 = slope(x + dx / 2, add(s, k2, dx / 2)), k4 = slope(x + dx, add(s, k3, dx));
            s = add(add(add(add(s, k1, dx / 6), k2, dx / 3), k3, dx / 3), k4, dx / 6);
            if (std::abs(s.q1) > 10) break;   // on its way to infinity: the sign is known
        }
        return s;
    }
    /// The pair drop and velocity at the mouth.
    std::pair<double, double> solve() const {
        double low = -0.5, high = 2.5;   // more velocity at the mouth leaves less at the end
        for (int i = 0; i < 60; ++i) {
            const double middle = (low + high) / 2;
            (run(middle).q1 > 0 ? low : high) = middle;
        }
        const State end = run(low);
        return {end.wall - end.p1, low};
    }
};

detail::PleatProblem<double> problem_of(const Shooting& s) {
    return {s.friction, s.momentum, s.sigma, s.inlet_mouth, s.inlet_tip, s.outlet_mouth, s.outlet_tip};
}

}   // namespace

TEST_CASE("the general model agrees with shooting", "[own]") {
    const Shooting cases[] = {
        {0.2e-9, 0.4e-6, 0.0, 1.2e-3, 1.2e-3, 0.8e-3, 0.8e-3},   // unequal gaps
        {0.5e-9, 2.0e-6, 0.3, 0.7e-3, 0.7e-3, 1.3e-3, 1.3e-3},   // inertia in channels and medium
        {0.1e-9, 0.0, 2.0, 1e-3, 1e-3, 1e-3, 1e-3},              // in the medium alone
        {0.3e-9, 0.0, 0.0, 2e-3, 0.3e-3, 2e-3, 0.3e-3},          // triangular, friction alone
        {0.3e-9, 1.0e-6, 0.0, 2e-3, 0.3e-3, 2e-3, 0.3e-3},       // with momentum
        {0.3e-9, 3.0e-6, 0.5, 2e-3, 0.6e-3, 2e-3, 0.6e-3},
        {0.02e-9, 4.0e-6, 0.1, 2e-3, 0.2e-3, 2e-3, 0.2e-3},
    };
    for (const Shooting& c : cases) {
        const auto [drop, at_mouth] = c.solve();
        const detail::PleatFlow<double> flow = detail::pleat_flow(problem_of(c), "test");
        INFO(c.friction << " " << c.momentum << " " << c.sigma << " " << c.inlet_tip << ": " << flow.points
                        << " points");
        CHECK(1 + c.sigma + flow.excess == Approx(drop).epsilon(1e-8));
        CHECK(flow.peak >= at_mouth * (1 - 1e-6));
    }
}

TEST_CASE("a channel with tight walls obeys Bernoulli once", "[own]") {
    // Nothing leaves, no friction: p + rho beta u^2/2 is the same everywhere. Midpoint rule along the channel.
    const double mouth = 6e-3, tip = 1e-3, momentum = 2e-6;
    const detail::PleatProblem<double> p{0.0, momentum, 0.0, mouth, tip, mouth, tip};
    double inlet = 0, outlet = 0;
    const int n = 20000;
    for (int i = 0; i < n; ++i) {
        const double x = (i + 0.5) / n;
        inlet += detail::channel_pressure_slope(detail::inlet_place(p, x), 0.7, 0.0) / n;
        outlet += detail::channel_pressure_slope(detail::outlet_place(p, x), 0.7, 0.0) / n;
    }
    const double expected = momentum * 0.49 / 2 * (1 / (tip * tip) - 1 / (mouth * mouth));
    CHECK(inlet == Approx(-expected).epsilon(1e-6));   // it narrows: pressure falls
    CHECK(outlet == Approx(expected).epsilon(1e-6));
}

TEST_CASE("a triangular pleat with tips as wide as its mouths is a rectangular one", "[own]") {
    const double pitch = 8e-3, thickness = 0.6e-3, gap = pitch / 2 - thickness;
    PleatedFilter filter = square_metre(pitch, 0.045, thickness, 3e-11, 1.2);
    for (const double inertia : {0.0, 3000.0}) {
        filter.medium.inertial_factor = inertia * per_m;
        filter.pack.shape = PleatShape::rectangular;
        const PleatedDrop rectangular = pressure_drop_parts(filter, 1.5 * m3_per_s, table_air());
        filter.pack.shape = PleatShape::triangular;
        filter.pack.fold_radius = gap / 2 * m;
        const PleatedDrop triangular = pressure_drop_parts(filter, 1.5 * m3_per_s, table_air());
        CHECK(triangular.total / Pa == Approx(rectangular.total / Pa).epsilon(1e-9));
        CHECK(triangular.channels / Pa == Approx(rectangular.channels / Pa).epsilon(1e-8));
        CHECK(triangular.greatest_velocity_ratio == Approx(rectangular.greatest_velocity_ratio).epsilon(1e-7));
    }
}

TEST_CASE("derivatives of a pleated filter agree with differences", "[own]") {
    using D = Dual<6>;
    struct Case {
        double depth, share, momentum_factor, inertia, radius;
    };
    const Case cases[] = {
        {0.0007, 0.5, 0.0, 0.0, 0.0},   {0.045, 0.5, 0.0, 0.0, 0.0},    {0.0007, 0.5, 1.2, 0.0, 0.0},
        {0.045, 0.5, 1.2, 0.0, 0.0},    {0.045, 0.6, 0.0, 0.0, 0.0},    {0.045, 0.6, 1.2, 1000.0, 0.0},
        {0.045, 0.5, 1.2, 1000.0, 0.0}, {0.045, 0.5, 1.2, 0.0, 0.3e-3}, {0.045, 0.5, 1.2, 2000.0, 0.2e-3}};
    for (const Case& c : cases) {
        INFO(c.depth << " " << c.share << " " << c.momentum_factor << " " << c.inertia << " " << c.radius);
        const bool triangular = c.radius > 0;
        const std::array<double, 6> at{2e-11, 120.0, 1.5, 0.6e-3, c.depth, triangular ? c.radius : c.share};
        const auto drop = [&](const std::array<double, 6>& x) {
            PleatedFilter f = square_metre(1 / x[1], x[4], x[3], x[0], c.momentum_factor);
            f.medium.inertial_factor = c.inertia * per_m;
            if (triangular) {
                f.pack.shape = PleatShape::triangular;
                f.pack.fold_radius = x[5] * m;
            } else {
                f.pack.inlet_gap_share = x[5];
            }
            return pressure_drop_parts(f, x[2] * m3_per_s, table_air());
        };
        const auto length = [](const D& x) { return BasicLength<D>::from_value(x); };
        BasicPleatedFilter<D> f{
            .medium = {length(D::input(at[3], 3)), BasicPermeability<D>::from_value(D::input(at[0], 0)),
                       BasicInverseLength<D>::from_value(D(c.inertia))},
            .pack = {.count = D::input(at[1], 1),
                     .depth = length(D::input(at[4], 4)),
                     .width = length(D(1.0)),
                     .length = length(D(1.0))},
            .momentum_factor = D(c.momentum_factor)};
        if (triangular) {
            f.pack.shape = PleatShape::triangular;
            f.pack.fold_radius = length(D::input(at[5], 5));
        } else {
            f.pack.inlet_gap_share = D::input(at[5], 5);
        }
        const BasicPleatedDrop<D> d =
            pressure_drop_parts(f, BasicVolumeFlow<D>::from_value(D::input(at[2], 2)), air_as<D>(table_air()));
        CHECK(d.total.value().value == Approx(drop(at).total / Pa).epsilon(1e-10));
        for (std::size_t i = 0; i < 6; ++i) {
            INFO("input " << i);
            std::array<double, 6> up = at, down = at;
            const double change = 1e-4 * at[i];
            up[i] += change;
            down[i] -= change;
            const PleatedDrop above = drop(up), below = drop(down);
            const double scale = (d.total.value().value + std::abs(d.total.value().derivative[i]) * at[i]) / at[i];
            CHECK(d.total.value().derivative[i] ==
                  Approx((above.total - below.total) / Pa / (2 * change)).epsilon(2e-6).margin(1e-7 * scale));
            CHECK(d.channels.value().derivative[i] ==
                  Approx((above.channels - below.channels) / Pa / (2 * change)).epsilon(2e-6).margin(1e-7 * scale));
            CHECK(d.medium_share.derivative[i] ==
                  Approx((above.medium_share - below.medium_share) / (2 * change)).epsilon(1e-5).margin(1e-6 / at[i]));
        }
    }
}

TEST_CASE("derivatives to what is zero are not lost in a closed form", "[own]") {
    using D = Dual<2>;
    const auto drop = [&](double inertia, double momentum_factor) {
        PleatedFilter f = square_metre(5e-3, 0.045, 0.6e-3, 2e-11, momentum_factor);
        f.medium.inertial_factor = inertia * per_m;
        return pressure_drop(f, 1.5 * m3_per_s, table_air()) / Pa;
    };
    const BasicPleatedFilter<D> f{
        .medium = {BasicLength<D>::from_value(D(0.6e-3)), BasicPermeability<D>::from_value(D(2e-11)),
                   BasicInverseLength<D>::from_value(D::input(0.0, 0))},
        .pack = {.count = D(1 / 5e-3),
                 .depth = BasicLength<D>::from_value(D(0.045)),
                 .width = BasicLength<D>::from_value(D(1.0)),
                 .length = BasicLength<D>::from_value(D(1.0))},
        .momentum_factor = D::input(0.0, 1)};
    const D d = pressure_drop(f, BasicVolumeFlow<D>::from_value(D(1.5)), air_as<D>(table_air())).value();
    CHECK(d.derivative[0] == Approx((drop(1.0, 0.0) - drop(0.0, 0.0)) / 1.0).epsilon(1e-3));
    // Even in the momentum factor where the gaps are equal: B^2/3 and the like.
    CHECK(d.derivative[1] == Approx(0.0).margin(1e-9 * d.value));
    CHECK(drop(0.0, 1e-4) == Approx(d.value).epsilon(1e-7));
}

namespace {

/// A filter and a flow at random, over what is built and well beyond.
struct RandomFilter {
    PleatedFilter filter;
    VolumeFlow flow;
};

RandomFilter random_filter(std::mt19937_64& random) {
    const auto log_between = [&](double a, double b) {
        return std::exp(std::uniform_real_distribution<double>(std::log(a), std::log(b))(random));
    };
    const double thickness = log_between(0.2e-3, 3e-3), pitch = 2 * thickness + 2 * log_between(0.4e-3, 10e-3);
    PleatedFilter f = square_metre(pitch, log_between(10e-3, 300e-3), thickness, log_between(1e-12, 1e-10), 1.2);
    f.medium.permeability = thickness / log_between(50, 3000) * 1.8e-5 * m2;   // R of 50 to 3000 Pa s/m
    switch (random() % 4) {
        case 0:
            f.pack.inlet_gap_share = 0.3 + 0.4 * std::uniform_real_distribution<double>(0, 1)(random);
            break;
        case 1:
            f.pack.shape = PleatShape::triangular;
            f.pack.fold_radius = (pitch - 2 * thickness) / 4 * log_between(0.1, 1.0) * m;
            break;
        case 2:
            f.medium.inertial_factor = log_between(100, 1e5) * per_m;
            break;
        default:
            break;
    }
    return {f, log_between(0.02, 2.5) * m3_per_s};
}

}   // namespace

TEST_CASE("random pleated filters keep the laws", "[own]") {
    std::mt19937_64 random(20);
    std::size_t solved = 0, refused = 0;
    const std::size_t length = test::sweep_length(1500);
    for (std::size_t i = 0; i < length; ++i) {
        const RandomFilter r = random_filter(random);
        PleatedDrop drop;
        try {
            drop = pressure_drop_parts(r.filter, r.flow, table_air());
        } catch (const NoSolution&) {
            ++refused;
            continue;
        }
        ++solved;
        INFO(i << ": pitch " << 1 / r.filter.pack.count << " depth " << r.filter.pack.depth.value() << " t "
               << r.filter.medium.thickness.value() << " k " << r.filter.medium.permeability.value() << " flow "
               << r.flow.value() << " points " << drop.points);
        CHECK(drop.total / Pa == Approx((drop.medium + drop.channels + drop.entry + drop.exit) / Pa).epsilon(1e-13));
        CHECK(drop.medium_share + drop.channels_share + drop.entry_share + drop.exit_share ==
              Approx(1.0).epsilon(1e-12));
        CHECK(drop.greatest_velocity_ratio >= 1.0 - 1e-9);
        CHECK(drop.medium > 0 * Pa);
        CHECK(drop.entry >= 0 * Pa);
        CHECK(pressure_drop(r.filter, 1.01 * r.flow.value() * m3_per_s, table_air()) > drop.total);
        RandomFilter opener = r;
        opener.filter.medium.permeability = 1.01 * r.filter.medium.permeability.value() * m2;
        CHECK(pressure_drop(opener.filter, r.flow, table_air()) < drop.total);

        // The linear model is the limit of the general one: at a thousandth of the flow, with what it is of momentum.
        RandomFilter slow = r, still = r;
        slow.flow = still.flow = 1e-6 * r.flow.value() * m3_per_s;
        still.filter.momentum_factor = 0.0;
        still.filter.medium.inertial_factor = 0 * per_m;
        const PleatedDrop a = pressure_drop_parts(slow.filter, slow.flow, table_air());
        const PleatedDrop b = pressure_drop_parts(still.filter, still.flow, table_air());
        CHECK((a.medium + a.channels) / Pa == Approx((b.medium + b.channels) / Pa).epsilon(2e-4));

        // Scaling: the viscous and the inertial terms alone set the drop. Twice viscosity and velocity, and a density
        // that keeps the Reynolds number, is four times the pressure.
        AirState other = table_air();
        other.viscosity = 2 * 1.81e-5 * Pa_s;
        CHECK(pressure_drop(r.filter, 2 * r.flow.value() * m3_per_s, other) / drop.total == Approx(4.0).epsilon(1e-8));
    }
    INFO(solved << " solved, " << refused << " refused");
    CHECK(refused < 1 + length / 50);
}

TEST_CASE("the number of points along the depth is enough", "[own]") {
    std::mt19937_64 random(21);
    for (std::size_t i = 0; i < test::sweep_length(400); ++i) {
        const RandomFilter r = random_filter(random);
        const auto flow_case = detail::pleat_flow_case(r.filter, r.flow, table_air(), "test");
        const auto problem = detail::pleat_problem(detail::layer_coefficients(r.filter.medium, table_air()), flow_case);
        detail::PleatSolution solution;
        try {
            solution = detail::solve_pleat(problem, "test");
        } catch (const NoSolution&) {
            continue;
        }
        const auto& coarse = detail::gauss_collocation(solution.size_index);
        const auto& fine = detail::gauss_collocation(std::min<std::size_t>(solution.size_index + 2, 10));
        const detail::DepthStretching stretching(problem);
        detail::PleatEquations<double> few(problem, stretching, coarse), many(problem, stretching, fine);
        few.integrate(solution.z);
        std::vector<double> z = detail::carried_over(coarse, solution.z, fine), step(fine.points);
        detail::SmallSystem system(fine.points);
        REQUIRE(detail::newton(many, fine, 1.0, z, system, step));
        many.integrate(z);
        const auto a = few.result(solution.z), b = many.result(z);
        INFO(i << ": " << coarse.points << " points");
        CHECK(a.excess + 1 + problem.wall_inertia == Approx(b.excess + 1 + problem.wall_inertia).epsilon(1e-8));
        CHECK(a.peak == Approx(b.peak).epsilon(3e-3));
    }
}

TEST_CASE("pleated filters give numbers or say why not, whatever finite values come in", "[own]") {
    std::mt19937_64 random(22);
    const auto any = [&] {
        switch (random() % 50) {
            case 0:
                return 0.0;
            case 1:
                return -1.0;
            case 2:
                return 1e300;
            case 3:
                return 1e-300;
            default:
                return std::pow(10.0, std::uniform_real_distribution<double>(-9, 4)(random));
        }
    };
    std::size_t answers = 0;
    const std::size_t tries = test::sweep_length(400);
    for (std::size_t i = 0; i < tries; ++i) {
        PleatedFilter f{
            .medium = {.thickness = 1e-4 * any() * m, .permeability = any() * m2, .inertial_factor = any() * per_m},
            .pack = {.count = any(), .depth = any() * m, .width = 1e4 * any() * m, .length = any() * m}};
        if (random() % 2) f.medium.inertial_factor = 0 * per_m;
        if (random() % 2) f.pack.shape = PleatShape::triangular;
        if (random() % 2) f.pack.fold_radius = any() * m;
        try {
            const PleatedDrop drop = pressure_drop_parts(f, any() * m3_per_s, table_air());
            ++answers;
            for (const double x :
                 {drop.total / Pa, drop.medium / Pa, drop.channels / Pa, drop.entry / Pa, drop.exit / Pa,
                  drop.greatest_velocity_ratio, drop.channel_reynolds_number, drop.medium_share, drop.channels_share,
                  drop.entry_share, drop.exit_share, drop.entry_length_share}) {
                REQUIRE(std::isfinite(x));
            }
        } catch (const Error&) {
        }
    }
    INFO(answers << " of " << tries);
    CHECK(answers > tries / 10);
}

TEST_CASE("pleated filters refuse or flag what they cannot describe", "[own]") {
    const PleatedFilter filter = square_metre(5.2e-3, 0.045, 0.6e-3, 2e-11, 1.2);
    const PleatedDrop still = pressure_drop_parts(filter, 0 * m3_per_s, table_air());
    CHECK(still.total / Pa == 0.0);
    CHECK(still.medium_share + still.channels_share == Approx(1.0).epsilon(1e-14));
    CHECK_FALSE(pressure_drop_parts(filter, 4 * m3_per_s, table_air()).laminar);
    CHECK(pressure_drop_parts(filter, 4 * m3_per_s, table_air()).channel_flow == ChannelFlow::not_laminar);
    CHECK(pressure_drop_parts(filter, 1.5 * m3_per_s, table_air()).channel_flow == ChannelFlow::undeveloped);
    // The entry length goes with the flow.
    const double developed_flow =
        0.25 * 0.05 / pressure_drop_parts(filter, 0.05 * m3_per_s, table_air()).entry_length_share;
    for (const auto& [flow, kind] :
         {std::pair(0.99 * developed_flow, ChannelFlow::developed), {1.01 * developed_flow, ChannelFlow::developing},
          {0.99 * 16 * developed_flow, ChannelFlow::developing},
          {1.01 * 16 * developed_flow, ChannelFlow::undeveloped}}) {
        CHECK(pressure_drop_parts(filter, flow * m3_per_s, table_air()).channel_flow == kind);
    }
    for (const double share : {0.3, 0.7}) {   // of the wider gap, 2.8 mm of 4
        PleatedFilter uneven = filter;
        uneven.pack.inlet_gap_share = share;
        const PleatedDrop wide = pressure_drop_parts(uneven, 1.5 * m3_per_s, table_air());
        CHECK(wide.entry_length_share == Approx(0.05 * wide.channel_reynolds_number * 0.0056 / 0.045).epsilon(1e-12));
    }
    CHECK(pressure_drop_parts(filter, 0.05 * m3_per_s, table_air()).channel_flow == ChannelFlow::developed);
    // 0.05 Re_2h (2 h) over the depth.
    const PleatedDrop drop = pressure_drop_parts(filter, 1.5 * m3_per_s, table_air());
    CHECK(drop.entry_length_share == Approx(0.05 * drop.channel_reynolds_number * 0.004 / 0.045).epsilon(1e-12));
    CHECK_THROWS_AS(pressure_drop(filter, -1 * m3_per_s, table_air()), DomainError);
    CHECK_THROWS_WITH(pressure_drop(square_metre(1e-3, 0.045, 0.6e-3, 2e-11, 1.2), 1 * m3_per_s, table_air()),
                      Contains("pleats touch") && Contains("at most 833"));
    CHECK_THROWS_AS(pressure_drop(filter, 1e200 * m3_per_s, table_air()), DomainError);
    for (double PleatedFilter::*const factor :
         {&PleatedFilter::contraction_coefficient, &PleatedFilter::momentum_factor, &PleatedFilter::expansion_factor,
          &PleatedFilter::development_coefficient}) {
        PleatedFilter odd = filter;
        odd.*factor = -0.1;
        CHECK_THROWS_AS(pressure_drop(odd, 1 * m3_per_s, table_air()), DomainError);
    }
    PleatedFilter sharp = filter;
    sharp.pack.shape = PleatShape::triangular;
    CHECK_THROWS_WITH(pressure_drop(sharp, 1 * m3_per_s, table_air()), Contains("fold_radius"));
    PleatedFilter flat = filter;
    flat.pack.depth = 0.5 * mm;
    CHECK_THROWS_WITH(pressure_drop(flat, 1 * m3_per_s, table_air()), Contains("below the depth 0.0005 m"));
    PleatedFilter odd_shape = filter;
    odd_shape.pack.shape = static_cast<PleatShape>(7);
    CHECK_THROWS_WITH(pressure_drop(odd_shape, 1 * m3_per_s, table_air()), Contains("shape = 7"));
    // Gaps of 4 um and a medium that hardly resists: the flow crosses at the ends alone.
    PleatedFilter tight = square_metre(1.208e-3, 0.3, 0.6e-3, 1e-8, 1.2);
    tight.pack.inlet_gap_share = 0.4;
    CHECK_THROWS_WITH(pressure_drop(tight, 1 * m3_per_s, table_air()), Contains("tried: up to 160 points"));
    // All that is recovered at the exit is lost in the end: a sudden expansion twice as lossy costs (1 - f)^2 more.
    PleatedFilter lossy = filter;
    lossy.expansion_factor = 2.0;
    const double f = 0.002 / 0.0052, u = 1.5 * 0.0052 / 0.002;
    CHECK((pressure_drop_parts(lossy, 1.5 * m3_per_s, table_air()).exit - drop.exit) / Pa ==
          Approx(0.5 * 1.2 * u * u * (1 - f) * (1 - f)).epsilon(1e-12));
}
