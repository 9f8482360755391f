// SPDX-License-Identifier: BSL-1.0
#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <filterflow/capture/single_fibre_trajectories.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using filterflow::test::ReferenceTable;

namespace {

/// Whether a particle that enters Kuwabara's cell at this height (all lengths over the fibre's radius) with the
/// uniform velocity touches the fibre. Runge and Kutta's fourth order.
bool touches(const FibreGroups& g, double entry) {
    const double a = g.solidity, r0 = g.interception_parameter, ku = kuwabara_factor(a), rim = 1 / std::sqrt(a);
    const double rate = 0.5 / g.stokes;
    using State = std::array<double, 4>;   // place, velocity
    const auto slope = [&](const State& s) {
        const double r2 = s[0] * s[0] + s[1] * s[1], r = std::sqrt(r2), c = s[0] / r, n = s[1] / r;
        const double f = (2 * std::log(r) - 1 + a + (1 - a / 2) / r2 - a / 2 * r2) / (2 * ku);
        const double df = (2 - 2 * (1 - a / 2) / r2 - a * r2) / (2 * ku);
        const double ur = f * c, ut = -(f + df) * n;
        return State{s[2], s[3], (ur * c - ut * n - s[2]) * rate, (ur * n + ut * c - s[3]) * rate};
    };
    const auto moved = [](const State& s, const State& k, double h) {
        return State{s[0] + h * k[0], s[1] + h * k[1], s[2] + h * k[2], s[3] + h * k[3]};
    };
    State s{-std::sqrt(rim * rim - entry * entry), entry, 1, 0};
    for (;;) {
        const double before = std::hypot(s[0], s[1]);
        const double h = std::min(0.03 * std::max(before - 1, r0) / std::hypot(s[2], s[3]), 0.25 / rate);
        const State k1 = slope(s), k2 = slope(moved(s, k1, h / 2)), k3 = slope(moved(s, k2, h / 2)),
                    k4 = slope(moved(s, k3, h));
        for (std::size_t i = 0; i < 4; ++i) s[i] += h / 6 * (k1[i] + 2 * k2[i] + 2 * k3[i] + k4[i]);
        const double r = std::hypot(s[0], s[1]);
        if (r <= 1 + r0) return true;
        if ((s[0] > 0 && s[0] * s[2] + s[1] * s[3] > 0) || r > 1.01 * rim) return false;
    }
}

double by_trajectories(const FibreGroups& g) {
    double low = 0, high = std::min(0.999 / std::sqrt(g.solidity), 3.0);
    while (high - low > 1e-5 * high) {
        const double middle = 0.5 * (low + high);
        (touches(g, middle) ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

}   // namespace

TEST_CASE("the table of trajectories at its points", "[own]") {
    // tests/reference/impaction_table.csv, computed by make_impaction_table.py beside it.
    const ReferenceTable table("impaction_table.csv");
    REQUIRE(table.size() == 392);
    for (const auto& row : table) {
        const TrajectoryCapture capture =
            trajectory_capture({row.number("solidity"), 100, row.number("R"), row.number("Stk_df")});
        CHECK(capture.efficiency == Approx(row.number("E_R_plus_I")).epsilon(2e-4));
        CHECK(capture.inside());
    }
}

TEST_CASE("an earlier table of trajectories, by another program", "[own]") {
    // tests/reference/impaction_trajectories.csv: 178 points of the same cell, entry and drag.
    const ReferenceTable table("impaction_trajectories.csv");
    REQUIRE(table.size() == 178);
    for (const auto& row : table) {
        const FibreGroups g{row.number("solidity"), 100, row.number("R"), row.number("Stk_df")};
        CHECK(trajectory_capture(g).efficiency == Approx(row.number("E_R_plus_I_trajectory")).epsilon(2e-3));
        CHECK(streamline_interception(g) == Approx(row.number("E_R_exact")).epsilon(1e-4));
    }
}

TEST_CASE("between the table's points trajectories integrated anew agree", "[own]") {
    std::mt19937_64 random(29);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    double worst = 0.0, sum = 0.0;
    const std::size_t n = test::sweep_length(60);
    for (std::size_t i = 0; i < n; ++i) {
        const FibreGroups g{0.01 * std::pow(10, unit(random)), 100, 0.02 * std::pow(40, unit(random)),
                            0.05 * std::pow(200, unit(random))};
        const double off =
            std::abs(trajectory_capture(g).efficiency - by_trajectories(g)) / (1 + g.interception_parameter);
        INFO(g.solidity << " " << g.interception_parameter << " " << g.stokes);
        CHECK(off < 0.02);
        worst = std::max(worst, off);
        sum += off;
    }
    INFO("worst " << worst << ", mean " << sum / static_cast<double>(n));
    CHECK(sum / static_cast<double>(n) < 0.004);
}

TEST_CASE("limits and range of the table", "[own]") {
    const double interception = streamline_interception({0.05, 100, 0.2, 0});
    CHECK(trajectory_capture({0.05, 100, 0.2, 0}).efficiency == Approx(interception).epsilon(1e-12));
    const TrajectoryCapture beyond = trajectory_capture({0.2, 100, 0.005, 20});
    CHECK(beyond.solidity.crossed == RangeLimit::greatest);
    CHECK(beyond.interception_parameter.crossed == RangeLimit::least);
    CHECK(beyond.stokes.crossed == RangeLimit::greatest);
    CHECK_FALSE(beyond.inside());
    std::mt19937_64 random(31);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(5000); ++i) {
        const FibreGroups g{0.25 * (1 - unit(random)), 100, std::pow(10, -4 + 6 * unit(random)),
                            std::pow(10, -6 + 9 * unit(random))};
        const double e = trajectory_capture(g).efficiency;
        CHECK((e >= 0.0 && e <= 1 + g.interception_parameter));
        FibreGroups beside = g;   // no jump anywhere, the table's ends included
        beside.stokes *= 1 + 1e-7;
        beside.interception_parameter *= 1 + 1e-7;
        CHECK(trajectory_capture(beside).efficiency == Approx(e).epsilon(1e-4).margin(1e-5));
    }
}

TEST_CASE("derivatives of the table", "[own]") {
    using D = Dual<3>;
    for (const double stokes : {0.15, 0.8, 4.0}) {
        const BasicFibreGroups<D> g{D::input(0.03, 0), D(100), D::input(0.15, 1), D::input(stokes, 2)};
        const D e = trajectory_capture(g).efficiency;
        const auto plain = [&](double a, double r, double s) { return trajectory_capture({a, 100, r, s}).efficiency; };
        const double h = 1e-5;
        CHECK(e.derivative[0] * 0.03 ==
              Approx((plain(0.03 * (1 + h), 0.15, stokes) - plain(0.03 * (1 - h), 0.15, stokes)) / (2 * h))
                  .epsilon(1e-5));
        CHECK(e.derivative[1] * 0.15 ==
              Approx((plain(0.03, 0.15 * (1 + h), stokes) - plain(0.03, 0.15 * (1 - h), stokes)) / (2 * h))
                  .epsilon(1e-5));
        CHECK(e.derivative[2] * stokes ==
              Approx((plain(0.03, 0.15, stokes * (1 + h)) - plain(0.03, 0.15, stokes * (1 - h))) / (2 * h))
                  .epsilon(1e-5));
    }
}
