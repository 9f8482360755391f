// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/leakage.hpp>

#include <cmath>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("leakage law of a duct's leakage class", "[outside]") {
    // SMACNA leakage test manual, class table read in a secondary manual: F = C_L p^0.65, class 6 at 2 inH2O gives
    // 9.415 cfm per 100 ft2.
    const filterflow::test::ReferenceTable table("stand_leakage.csv");
    const auto& row = table.row("id", "duct leakage");
    const SealLeakage class_6{.flow = VolumeFlow(6 * cfm), .pressure = 1 * inH2O};
    CHECK(leakage_flow(class_6, Pressure(2 * inH2O)).value / cfm == Approx(row.number("expected")).epsilon(1e-3));
}

TEST_CASE("leakage is odd in pressure and shares its test", "[own]") {
    const SealLeakage leak{
        .flow = uncertain(10 * L_per_s, 1 * L_per_s, "leak test"), .pressure = 100 * Pa, .exponent = 0.5};
    const Uncertain<Pressure> p = uncertain(25 * Pa, 1 * Pa, "gauge");
    const Uncertain<VolumeFlow> q = leakage_flow(leak, p);
    CHECK(q.value / L_per_s == Approx(5.0));
    CHECK(q.standard_uncertainty() / L_per_s == Approx(std::hypot(0.5, 0.5 * 5.0 / 25.0)));
    CHECK(leakage_flow(leak, Pressure(-25 * Pa)).value / L_per_s == Approx(-5.0));
    CHECK(leakage_flow(leak, Pressure(0 * Pa)).value.value() == 0.0);
    CHECK((q - leakage_flow(leak, p)).standard_uncertainty().value() == 0.0);
}

TEST_CASE("what a leakage does to the measured flow", "[own]") {
    SealLeakage leak{.flow = VolumeFlow(10 * L_per_s), .pressure = 100 * Pa};
    const Uncertain<VolumeFlow> measured(VolumeFlow(200 * L_per_s));
    CHECK(flow_without_leakage(leak, measured, Pressure(100 * Pa)).value / L_per_s == Approx(190));
    leak.effect = LeakageEffect::filter_exceeds_measured;
    CHECK(flow_without_leakage(leak, measured, Pressure(100 * Pa)).value / L_per_s == Approx(210));
    leak.effect = LeakageEffect::measured_exceeds_filter;
    CHECK_THROWS_WITH(flow_without_leakage(leak, VolumeFlow(9 * L_per_s), Pressure(100 * Pa)),
                      Contains("more than the leakage"));
    CHECK_THROWS_AS(flow_without_leakage(leak, measured, Pressure(-1 * Pa)), DomainError);
    leak.exponent = 2.0;
    CHECK_THROWS_WITH(leakage_flow(leak, Pressure(1 * Pa)), Contains("exponent = 2"));
    leak.exponent = 0.65;
    leak.pressure = 0 * Pa;
    CHECK_THROWS_WITH(leakage_flow(leak, Pressure(1 * Pa)), Contains("leak test"));
}
