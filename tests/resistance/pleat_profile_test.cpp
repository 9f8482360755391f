// SPDX-License-Identifier: BSL-1.0
// What goes on along the depth of a pleat.

#include <cmath>
#include <vector>

#include <filterflow/resistance/pleat_profile.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

PleatedFilter pleats(double share, double inertia, bool triangular) {
    PleatedFilter f{
        .medium = {.thickness = 0.6 * mm, .permeability = 2e-11 * m2, .inertial_factor = inertia * per_m},
        .pack = {.count = 190, .depth = 45 * mm, .width = 1 * m, .length = 1 * m, .inlet_gap_share = share}};
    if (triangular) {
        f.pack.shape = PleatShape::triangular;
        f.pack.fold_radius = 0.2 * mm;
    }
    return f;
}

}   // namespace

TEST_CASE("pressure along a channel with even suction follows Berman", "[outside]") {
    // Berman 1953, laminar flow in channels with porous walls, to first order in the wall Reynolds number
    // Re = V (h/2)/nu of even suction V: -(dp/dx) (h/2)^2/(mu u) = 3 - (81/35) Re + ... (coefficient from memory).
    // The momentum factor of his profile, 81/70, is put in; what is tested is that the channel's momentum counts twice
    // the factor, with the right sign and scale, not the factor itself. Along the depth u falls evenly to zero, so that
    // the whole fall is half of what the mouth's slope would give.
    const AirState air = fan_test_air();
    const double mu = air.viscosity.value(), rho = air.density.value(), gap = 2e-3, depth = 0.04;
    PleatedFilter filter{.medium = {.thickness = 0.5 * mm, .permeability = 1e-17 * m2},   // so tight that V is even
                         .pack = {.count = 200, .depth = depth * m, .width = 1 * m, .length = 1 * m},
                         .momentum_factor = 81.0 / 70.0};
    for (const double wall_velocity : {0.002, 0.01}) {
        const double q = 2 * wall_velocity * depth;
        const std::vector<PleatPlace> places = pleat_profile(filter, 200 * q * m3_per_s, air, 3);
        CHECK(places[0].media_velocity / places[2].media_velocity == Approx(1.0).epsilon(1e-4));
        const double fall = (places[0].inlet_pressure - places[2].inlet_pressure) / Pa;
        const double scaled = fall / (depth / 2) * (gap / 2) * (gap / 2) / (mu * q / gap);
        const double wall_reynolds = wall_velocity * (gap / 2) * rho / mu;
        CHECK((3 - scaled) / wall_reynolds == Approx(81.0 / 35.0).epsilon(1e-3));
    }
}

TEST_CASE("the profile adds up to the pressure drop", "[own]") {
    const AirState air = fan_test_air();
    for (const bool triangular : {false, true}) {
        for (const double inertia : {0.0, 2000.0}) {
            for (const double share : {0.5, 0.6}) {
                if (triangular && share != 0.5) continue;
                const PleatedFilter f = pleats(share, inertia, triangular);
                const VolumeFlow flow = 1.4 * m3_per_s;
                const PleatedDrop drop = pressure_drop_parts(f, flow, air);
                const std::size_t n = 2001;
                const std::vector<PleatPlace> places = pleat_profile(f, flow, air, n);
                INFO(triangular << " " << inertia << " " << share);
                REQUIRE(places.size() == n);
                CHECK(places.front().depth / m == 0.0);
                CHECK(places.back().depth / m == Approx(0.045));
                CHECK(places.front().inlet_flow_share == Approx(1.0).epsilon(1e-10));
                CHECK(places.back().inlet_flow_share == Approx(0.0).margin(1e-10));
                CHECK(places.front().inlet_pressure / Pa == Approx((drop.medium + drop.channels) / Pa).epsilon(1e-9));
                CHECK(places.back().outlet_pressure / Pa == Approx(0.0).margin(1e-6 * (drop.total / Pa)));

                double through = 0, greatest = 0;   // trapezoidal rule
                const double wall = pleat_geometry(f.pack, f.medium.thickness).wall_length / m;
                const double viscous = air.viscosity.value() * 0.6e-3 / 2e-11;
                const double inertial = air.density.value() * inertia * 0.6e-3;
                for (std::size_t i = 0; i < n; ++i) {
                    const double v = places[i].media_velocity / m_per_s;
                    through += (i == 0 || i + 1 == n ? 0.5 : 1.0) * v * wall / static_cast<double>(n - 1);
                    greatest = std::max(greatest, v);
                    CHECK((places[i].inlet_pressure - places[i].outlet_pressure) / Pa ==
                          Approx(viscous * v + inertial * v * v).epsilon(1e-8));
                }
                CHECK(2 * through * 190 == Approx(flow.value()).epsilon(1e-5));
                const double mean = flow.value() / (2 * 190 * wall);
                CHECK(greatest / mean == Approx(drop.greatest_velocity_ratio).epsilon(1e-3));
            }
        }
    }
}

TEST_CASE("pressure falls along the outlet and may rise along the inlet", "[own]") {
    // Fast and deep: the air that stops at the inlet's end regains its dynamic pressure there.
    PleatedFilter fast{.medium = {.thickness = 0.9 * mm, .permeability = 6e-11 * m2},
                       .pack = {.count = 128, .depth = 90 * mm, .width = 1 * m, .length = 1 * m}};
    const std::vector<PleatPlace> p = pleat_profile(fast, 1.5 * m3_per_s, fan_test_air(), 11);
    CHECK(p[10].inlet_pressure > p[0].inlet_pressure);
    for (std::size_t i = 1; i < p.size(); ++i) {
        CHECK(p[i].outlet_pressure < p[i - 1].outlet_pressure);
        CHECK(p[i].inlet_flow_share < p[i - 1].inlet_flow_share);
    }
    fast.momentum_factor = 0;
    const std::vector<PleatPlace> slow = pleat_profile(fast, 1.5 * m3_per_s, fan_test_air(), 11);
    for (std::size_t i = 1; i < slow.size(); ++i) CHECK(slow[i].inlet_pressure < slow[i - 1].inlet_pressure);
    CHECK(slow[0].media_velocity / slow[10].media_velocity == Approx(1.0).epsilon(1e-9));   // alike at both ends
}

TEST_CASE("a profile refuses what it cannot be", "[own]") {
    CHECK_THROWS_AS(pleat_profile(pleats(0.5, 0, false), 1 * m3_per_s, fan_test_air(), 1), DomainError);
    CHECK_THROWS_AS(pleat_profile(pleats(0.5, 0, false), -1 * m3_per_s, fan_test_air(), 5), DomainError);
    for (const PleatPlace& place : pleat_profile(pleats(0.5, 100, true), 0 * m3_per_s, fan_test_air(), 5)) {
        CHECK(place.inlet_pressure / Pa == 0.0);
        CHECK(std::isfinite(place.inlet_flow_share));
    }
}
