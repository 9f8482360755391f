// SPDX-License-Identifier: BSL-1.0
// Elements with a gap around them: the closed form against bisection, its ends, derivatives, refusals.

#include <cmath>
#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {
BypassedElement part_of(double r, double s, double area) {
    return {{r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()}, area * m2, 0.6};
}
}   // namespace

TEST_CASE("element and gap share one pressure drop", "[own]") {
    // Second method: bisection for the pressure at which the two flows, each from its own equation, add to the total.
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> decades(-3.0, 3.0);
    const AirState air = moist_air({.temperature = from_celsius(35), .pressure = 95000 * Pa, .relative_humidity = 0.3});
    for (std::size_t i = 0; i < test::sweep_length(2000); ++i) {
        const double area = 0.01 * std::pow(10.0, decades(random));
        const BypassedElement part =
            part_of(100 * std::pow(10.0, decades(random)), 50 * std::pow(10.0, decades(random)), area);
        const VolumeFlow flow = std::pow(10.0, decades(random)) * m3_per_s;
        const FlowSplit split = flow_split(part, flow, air);
        const auto total = [&](double dp) {
            return volume_flow(part.element, dp * Pa, air).value() +
                   0.6 * area * std::sqrt(2.0 * dp / air.density.value());
        };
        double low = 0.0, high = pressure_drop(part.element, flow, air).value();
        for (int step = 0; step < 200; ++step) {
            const double middle = 0.5 * (low + high);
            (total(middle) < flow.value() ? low : high) = middle;
        }
        CHECK(split.drop / Pa == Approx(low).epsilon(1e-11));
        CHECK((split.through_element + split.through_gap) / m3_per_s == Approx(flow / m3_per_s).epsilon(1e-14));
        CHECK(split.through_element / m3_per_s ==
              Approx(volume_flow(part.element, low * Pa, air) / m3_per_s).epsilon(1e-11));
        CHECK(pressure_drop(part, flow, air) == split.drop);
    }
}

TEST_CASE("no gap, no flow, no viscous part, a gap that takes all", "[own]") {
    const AirState air = duct_design_air();
    CHECK(flow_split(part_of(100, 50, 0.0), 0.8 * m3_per_s, air).through_gap / m3_per_s == 0.0);
    CHECK(pressure_drop(part_of(100, 50, 0.0), 0.8 * m3_per_s, air) / Pa == Approx(80.0 + 32.0).epsilon(1e-15));
    CHECK(pressure_drop(part_of(100, 50, 0.01), 0.0 * m3_per_s, air) / Pa == 0.0);
    // Two orifices in parallel share the flow as their areas, whatever the flow.
    const double inertial = 1.204 / (2.0 * 0.36 * 0.02 * 0.02);   // the element is itself a gap of 0.02 m2
    const FlowSplit split = flow_split(part_of(0, inertial, 0.01), 0.3 * m3_per_s, air);
    CHECK(split.through_element / m3_per_s == Approx(0.2).epsilon(1e-14));
    CHECK(flow_split(part_of(1e9, 0, 0.05), 0.3 * m3_per_s, air).through_gap / m3_per_s == Approx(0.3).epsilon(1e-6));
}

TEST_CASE("a flow split carries derivatives, to the gap even where there is none", "[own]") {
    using D = Dual<4>;
    for (const double gap : {0.0, 0.004}) {
        const double x[] = {120.0, 60.0, gap, 0.7};
        const auto at = [](const double* v) {
            return flow_split(part_of(v[0], v[1], v[2]), v[3] * m3_per_s, duct_design_air()).through_element.value();
        };
        BasicBypassedElement<D> part{{BasicLinearResistance<D>::from_value(D::input(x[0], 0)),
                                      BasicQuadraticResistance<D>::from_value(D::input(x[1], 1)), duct_design_air()},
                                     BasicArea<D>::from_value(D::input(x[2], 2))};
        const D q = flow_split(part, BasicVolumeFlow<D>::from_value(D::input(x[3], 3)), air_as<D>(duct_design_air()))
                        .through_element.value();
        CHECK(q.value == Approx(at(x)).epsilon(1e-15));
        for (std::size_t i = 0; i < 4; ++i) {
            double up[] = {x[0], x[1], x[2], x[3]}, down[] = {x[0], x[1], x[2], x[3]};
            const double step = i == 2 ? 1e-7 : 1e-5 * x[i];
            up[i] += step;
            if (!(i == 2 && gap == 0.0)) down[i] -= step;   // no negative gap: one-sided there
            CHECK(q.derivative[i] ==
                  Approx((at(up) - at(down)) / (up[i] - down[i])).epsilon(i == 2 ? 1e-4 : 1e-6).margin(1e-10));
        }
    }
}

TEST_CASE("bypass refuses what it cannot split", "[own]") {
    const AirState air = duct_design_air();
    CHECK_THROWS_WITH(flow_split(part_of(0, 0, 0.01), 0.1 * m3_per_s, air), Contains("element resistance"));
    CHECK_THROWS_WITH(flow_split(part_of(1, 0, -0.01), 0.1 * m3_per_s, air), Contains("gap_area = -0.01 m2"));
    CHECK_THROWS_AS(flow_split(part_of(-1, 0, 0.01), 0.1 * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(flow_split(part_of(1, 0, 0.01), -0.1 * m3_per_s, air), DomainError);
    BypassedElement wide = part_of(1, 0, 0.01);
    wide.discharge_coefficient = 1.2;
    CHECK_THROWS_AS(flow_split(wide, 0.1 * m3_per_s, air), DomainError);
    wide.discharge_coefficient = 0.0;
    CHECK_THROWS_AS(flow_split(wide, 0.1 * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(flow_split(part_of(1, 0, 0.01), 0.1 * m3_per_s, AirState{}), DomainError);
}
