// SPDX-License-Identifier: BSL-1.0
// Many flows through one filter, against one flow at a time.

#include <limits>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/pleated_curve.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

PleatedFilter two_inch_pleat(double inlet_gap_share, double inertial_factor) {
    return {.medium = {.thickness = 0.7 * mm, .permeability = 3e-11 * m2, .inertial_factor = inertial_factor * per_m},
            .pack = {.count = 60,
                     .depth = 45 * mm,
                     .width = 0.6 * m,
                     .length = 0.6 * m,
                     .inlet_gap_share = inlet_gap_share}};
}

}   // namespace

TEST_CASE("a curve equals single pressure drops", "[own]") {
    const std::vector<VolumeFlow> flows = {0 * m3_per_s, 0.05 * m3_per_s, 0.9 * m3_per_s, 0.4 * m3_per_s};
    for (const double share : {0.5, 0.42}) {
        for (const double inertia : {0.0, 4e4}) {
            const PleatedFilter filter = two_inch_pleat(share, inertia);
            const std::vector<Pressure> drops = pressure_drops(filter, flows, fan_test_air());
            REQUIRE(drops.size() == flows.size());
            for (std::size_t i = 0; i < flows.size(); ++i) {
                CHECK(drops[i] / Pa == Approx(pressure_drop(filter, flows[i], fan_test_air()) / Pa).epsilon(1e-13));
            }
        }
    }
    CHECK(pressure_drops(two_inch_pleat(0.5, 0.0), std::vector<VolumeFlow>{}, fan_test_air()).empty());
}

TEST_CASE("a curve carries derivatives", "[own]") {
    using D = Dual<1>;
    const PleatedFilter plain = two_inch_pleat(0.5, 0.0);
    BasicPleatedFilter<D> filter;
    filter.medium = {.thickness = BasicLength<D>::from_value(D(0.7e-3)),
                     .permeability = BasicArea<D>::from_value(D{3e-11, {1.0}}),
                     .inertial_factor = BasicInverseLength<D>::from_value(D(0.0))};
    filter.pack.count = D(60);
    filter.pack.depth = BasicLength<D>::from_value(D(0.045));
    filter.pack.width = BasicLength<D>::from_value(D(0.6));
    filter.pack.length = BasicLength<D>::from_value(D(0.6));
    const std::vector<BasicVolumeFlow<D>> flows = {BasicVolumeFlow<D>::from_value(D(0.4)),
                                                   BasicVolumeFlow<D>::from_value(D(0.9))};
    const AirState air = fan_test_air();
    const BasicAirState<D> dual_air{BasicTemperature<D>::from_value(D(air.temperature.value())),
                                    BasicPressure<D>::from_value(D(air.pressure.value())), D(air.humidity_ratio),
                                    BasicDensity<D>::from_value(D(air.density.value())),
                                    BasicDynamicViscosity<D>::from_value(D(air.viscosity.value()))};
    const auto drops = pressure_drops(filter, std::span<const BasicVolumeFlow<D>>(flows), dual_air);
    for (std::size_t i = 0; i < flows.size(); ++i) {
        const auto drop = [&](double permeability) {
            PleatedFilter other = plain;
            other.medium.permeability = permeability * m2;
            return pressure_drop(other, flows[i].value().value * m3_per_s, air).value();
        };
        CHECK(drops[i].value().derivative[0] == Approx((drop(3.003e-11) - drop(2.997e-11)) / 0.006e-11).epsilon(1e-5));
    }
}

TEST_CASE("a curve refuses what a single drop refuses, and spans of different length", "[own]") {
    const std::vector<VolumeFlow> flows = {0.1 * m3_per_s, -0.2 * m3_per_s};
    CHECK_THROWS_WITH(pressure_drops(two_inch_pleat(0.5, 0.0), flows, fan_test_air()),
                      "pressure_drops(PleatedFilter): flow = -0.2 m3/s; required: >= 0 and finite");
    const std::vector<VolumeFlow> unknown = {std::numeric_limits<double>::quiet_NaN() * m3_per_s};
    CHECK_THROWS_AS(pressure_drops(two_inch_pleat(0.5, 0.0), unknown, fan_test_air()), DomainError);
    PleatedFilter packed = two_inch_pleat(0.5, 0.0);
    packed.pack.count = 5000;
    CHECK_THROWS_AS(pressure_drops(packed, flows, fan_test_air()), DomainError);
    std::vector<Pressure> one_place(1);
    CHECK_THROWS_WITH(pressure_drops(two_inch_pleat(0.5, 0.0), flows, fan_test_air(), one_place),
                      "pressure_drops(PleatedFilter): 1 places for pressure drops; required: 2, as many as flows");
    const std::vector<VolumeFlow> huge = {1e200 * m3_per_s};
    CHECK_THROWS_AS(pressure_drops(two_inch_pleat(0.5, 0.0), huge, fan_test_air()), DomainError);
}
