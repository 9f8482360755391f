// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/instrument.hpp>

#include <cmath>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("readings share gain and zero, each has its own rounding", "[own]") {
    const Instrument gauge = instrument(ManometerData{.name = "gauge", .gain_uncertainty = 0.01,
                                                      .zero_uncertainty = 0.5 * Pa, .resolution = 1 * Pa});
    const Uncertain<Pressure> a = reading(gauge, Pressure(100 * Pa));
    const Uncertain<Pressure> b = reading(gauge, Pressure(100 * Pa));
    const double rounding = 1.0 / 12.0;   // variance of a step of one
    CHECK(a.standard_uncertainty().value() == Approx(std::sqrt(1.0 + 0.25 + rounding)).epsilon(1e-12));
    CHECK((a - b).standard_uncertainty().value() == Approx(std::sqrt(2 * rounding)).epsilon(1e-12));
    // Gain cancels in a difference only as far as the readings are alike; zero cancels.
    const Uncertain<Pressure> c = reading(gauge, Pressure(40 * Pa));
    CHECK((a - c).standard_uncertainty().value() == Approx(std::sqrt(0.36 + 2 * rounding)).epsilon(1e-12));
    // A copy is the same instrument, another one of the same data is not.
    const Instrument copy = gauge;
    CHECK((a - reading(copy, Pressure(100 * Pa))).standard_uncertainty().value() < 0.5);
    const Instrument other = instrument(ManometerData{.name = "gauge", .gain_uncertainty = 0.01});
    CHECK((a - reading(other, Pressure(100 * Pa))).standard_uncertainty().value() > 1.4);
}

TEST_CASE("rounding of the resolution by simulation", "[own]") {
    // Displayed values of evenly spread true ones: the spread of the rounding error is resolution/sqrt(12).
    const Instrument gauge = instrument(ManometerData{.name = "gauge", .resolution = 2 * Pa});
    double squares = 0.0;
    const int n = 20000;
    for (int i = 0; i < n; ++i) {
        const double truth = 40.0 * (i + 0.5) / n;
        const double shown = 2.0 * std::round(truth / 2.0);
        squares += (shown - truth) * (shown - truth);
    }
    CHECK(reading(gauge, Pressure(20 * Pa)).standard_uncertainty().value() ==
          Approx(std::sqrt(squares / n)).epsilon(1e-3));
}

TEST_CASE("an instrument not stated is exact, the wrong one is refused", "[own]") {
    CHECK(reading(Instrument(), Velocity(3 * m_per_s)).standard_uncertainty().value() == 0.0);
    const Instrument meter = instrument(FlowMeterData{.name = "meter", .gain_uncertainty = 0.02});
    CHECK(reading(meter, VolumeFlow(2 * m3_per_s)).standard_uncertainty().value() == Approx(0.04));
    CHECK_THROWS_WITH(reading(meter, Pressure(2 * Pa)), Contains("'meter' does not read pressures"));
    CHECK_THROWS_WITH(reading(meter, VolumeFlow(NAN * m3_per_s)), Contains("finite"));
    CHECK_THROWS_WITH(instrument(ManometerData{.name = "x", .gain_uncertainty = -1}), Contains("gain_uncertainty"));
    CHECK_THROWS_WITH(instrument(AnemometerData{.name = "x", .resolution = -1 * m_per_s}), Contains("m/s"));
}

TEST_CASE("mean of repeated readings", "[outside]") {
    // JCGM 100:2008 (GUM) 4.2.3 (equations 3 and 5): u = s/sqrt(n). Readings 10, 12, 14: s = 2.
    const Instrument gauge = instrument(ManometerData{.name = "gauge", .zero_uncertainty = 0.5 * Pa});
    const std::vector<Uncertain<Pressure>> readings{
        reading(gauge, Pressure(10 * Pa)), reading(gauge, Pressure(12 * Pa)), reading(gauge, Pressure(14 * Pa))};
    const Uncertain<Pressure> mean = mean_of_readings(readings, "scatter");
    CHECK(mean.value.value() == Approx(12.0));
    CHECK(mean.standard_uncertainty().value() == Approx(std::sqrt(0.25 + 4.0 / 3.0)).epsilon(1e-12));
    CHECK(mean_of_readings(std::vector<Uncertain<Pressure>>{readings[0]}, "scatter").value == 10 * Pa);
    CHECK_THROWS_AS(mean_of_readings(std::vector<Uncertain<Pressure>>{}, "scatter"), DomainError);
}
