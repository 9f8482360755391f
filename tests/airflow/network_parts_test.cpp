// SPDX-License-Identifier: BSL-1.0
// Parts that only networks have: fittings, butterfly dampers, leaks.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_parts.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/network_support.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("a fitting loses its coefficient times the velocity pressure", "[own]") {
    const AirState air = duct_design_air();
    const Fitting grille{0.05 * m2, 2.5};
    CHECK(pressure_drop(grille, 0.2 * m3_per_s, air) / Pa ==
          Approx(2.5 * 0.5 * air.density.value() * 16.0).epsilon(1e-14));
    CHECK(pressure_drop(grille, -0.2 * m3_per_s, air) / Pa == -(pressure_drop(grille, 0.2 * m3_per_s, air) / Pa));
    // As a duct without length.
    const double side = std::sqrt(0.05);
    CHECK(pressure_drop(DuctSegment{.width = side * m, .height = side * m, .loss_coefficient = 2.5}, 0.2 * m3_per_s,
                        air) /
              Pa ==
          Approx(pressure_drop(grille, 0.2 * m3_per_s, air) / Pa).epsilon(1e-12));
    using D = Dual<1>;
    const auto q = BasicVolumeFlow<D>::from_value(D::input(-0.2, 0));
    const BasicFitting<D> dual{BasicArea<D>::from_value(D(0.05)), D(2.5)};
    CHECK(pressure_drop(dual, q, air_as<D>(air)).value().derivative[0] ==
          Approx(2.5 * air.density.value() * 0.2 / 0.0025).epsilon(1e-12));
}

TEST_CASE("a butterfly damper closes steadily", "[own]") {
    CHECK(butterfly_damper_loss_coefficient(0.0).value == Approx(0.2).epsilon(1e-12));
    CHECK(butterfly_damper_loss_coefficient(30.0).value == Approx(4.5).epsilon(1e-12));
    CHECK(butterfly_damper_loss_coefficient(60.0).value == Approx(108.0).epsilon(1e-12));
    double before = 0.0;
    for (double angle = 0.0; angle <= 60.0; angle += 0.25) {
        const double k = butterfly_damper_loss_coefficient(angle).value;
        CHECK(k > before);
        before = k;
    }
    const double step = 1e-5;
    CHECK(butterfly_damper_loss_coefficient(Dual<1>::input(37.0, 0)).value.derivative[0] ==
          Approx((butterfly_damper_loss_coefficient(37.0 + step).value -
                  butterfly_damper_loss_coefficient(37.0 - step).value) /
                 (2 * step))
              .epsilon(1e-6));
}

TEST_CASE("a leak of the trade's class is a leakage path", "[own]") {
    const DuctLeakage of_class{.leakage_class = 24, .surface = 40 * m2};
    const LeakagePath path{duct_leakage_flow(of_class, 1 * inH2O), 1 * inH2O, 0.65};
    for (const double p : {25.0, 100.0, 600.0}) {
        CHECK(leakage_flow(path, p * Pa) / m3_per_s ==
              Approx(duct_leakage_flow(of_class, p * Pa) / m3_per_s).epsilon(1e-12));
        CHECK(leakage_flow(path, -p * Pa) / m3_per_s == -(leakage_flow(path, p * Pa) / m3_per_s));
    }
    CHECK(leakage_flow(path, 0 * Pa) / m3_per_s == 0.0);
}

TEST_CASE("a network's laws are those of the parts, with their slopes", "[own]") {
    // Second method: the public functions of the parts, and differences for the slopes.
    test::RandomNetworks random(71);
    const AirState air = moist_air({.temperature = from_celsius(31), .pressure = 95 * kPa, .relative_humidity = 0.3});
    for (std::size_t trial = 0; trial < test::sweep_length(3000); ++trial) {
        const BranchPart part = random.part();
        detail::LawStore laws;
        laws.add(part, air, "test");
        const double q = random.uniform(-1.0, 1.0);
        const auto at = [&](double flow) { return laws.at(0, flow, 0.0); };
        CAPTURE(part.index(), q);
        CHECK(at(q).drop == Approx(test::drop_of(part, q, air)).epsilon(1e-12));
        const double step = 1e-5 * std::abs(q);
        CHECK(at(q).slope == Approx((at(q + step).drop - at(q - step).drop) / (2 * step)).epsilon(2e-4));
        CHECK(laws.at(0, 0.0, 100.0).slope > 0.0);   // held up at no flow
        CHECK(laws.at(0, 0.0, 100.0).drop == 0.0);
    }
}

TEST_CASE("a fan goes on beyond its table in a falling line", "[own]") {
    detail::LawStore laws;
    const AirState thin = moist_air({.temperature = from_celsius(20), .pressure = 80 * kPa, .relative_humidity = 0.0});
    const FanCurve fan = test::falling_fan(400.0, 2.0);
    laws.add(fan, thin, "test");
    const double ratio = thin.density.value() / fan.stated_air().density.value();
    CHECK(laws.at(0, 1.0, 0.0).drop == Approx(-(fan_pressure(fan, 1 * m3_per_s, thin) / Pa)).epsilon(1e-14));
    CHECK(laws.at(0, 0.0, 0.0).drop == Approx(-400.0 * ratio).epsilon(1e-14));
    for (const double q : {-1.0, -0.01, 2.01, 3.0}) {
        CHECK(laws.at(0, q + 0.005, 0.0).drop > laws.at(0, q - 0.005, 0.0).drop);
        CHECK(laws.at(0, q, 0.0).slope > 0.0);
        CHECK_FALSE(laws.fan(0).contains(q));
    }
    CHECK(laws.at(0, 2.0 + 1e-9, 0.0).drop == Approx(laws.at(0, 2.0, 0.0).drop).margin(1e-5));
    CHECK(laws.at(0, -1e-9, 0.0).drop == Approx(laws.at(0, 0.0, 0.0).drop).margin(1e-5));
}

TEST_CASE("parts refuse what they cannot be", "[own]") {
    const AirState air = duct_design_air();
    CHECK_THROWS_WITH(pressure_drop(Fitting{0 * m2, 1.0}, 1 * m3_per_s, air), Contains("fitting area = 0 m2"));
    CHECK_THROWS_AS(pressure_drop(Fitting{1 * m2, NAN}, 1 * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(Fitting{1 * m2, 1.0}, INFINITY * m3_per_s, air), DomainError);
    CHECK_THROWS_WITH(butterfly_damper_loss_coefficient(61.0), Contains("from 0 to 60 degrees"));
    CHECK_THROWS_AS(butterfly_damper_loss_coefficient(NAN), DomainError);
    CHECK_THROWS_WITH(leakage_flow(LeakagePath{1 * m3_per_s, 1 * Pa, 0.4}, 1 * Pa), Contains("leakage exponent = 0.4"));
    CHECK_THROWS_AS(leakage_flow(LeakagePath{0 * m3_per_s, 1 * Pa}, 1 * Pa), DomainError);
    CHECK_THROWS_AS(leakage_flow(LeakagePath{1 * m3_per_s, 0 * Pa}, 1 * Pa), DomainError);
    detail::LawStore laws;
    const auto refused = [&](const BranchPart& part, const char* text) {
        CHECK_THROWS_WITH(laws.add(part, air, "test"), Contains(text));
        CHECK(laws.size() == 0);
    };
    refused(DuctSegment{.diameter = 0.2 * m}, "resistance = 0");
    refused(Fitting{1 * m2, 0.0}, "resistance = 0");
    refused(ElementCurve{0 * Pa_s_per_m3, 0 * Pa_s2_per_m6, air}, "resistance = 0");
    refused(PowerLawPart{0 * Pa, 1 * m3_per_s, 2.0, air}, "resistance = 0");
    refused(ButterflyDamper{0 * m, 10.0}, "damper diameter");
    refused(ButterflyDamper{0.2 * m, 70.0}, "blade_angle = 70");
    refused(LeakagePath{}, "leakage reference_flow");
    refused(BypassedElement{}, "air density = 0");
    refused(FlowLaw{}, "a law without function");
    refused(SystemCurve{}, "resistance");
}
