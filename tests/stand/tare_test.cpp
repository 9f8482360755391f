// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/tare.hpp>

#include <cmath>
#include <span>
#include <string>
#include <vector>

#include <filterflow/stand/instrument.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

AirState warm_air() {
    return moist_air({.temperature = from_celsius(35), .pressure = 95 * kPa, .relative_humidity = 0.5});
}

ElementReading reading_of(double r, double s, double q, const AirState& air, double u = 0.5) {
    const ElementCurve curve{r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()};
    return {uncertain(q * m3_per_s, 0.002 * q * m3_per_s, "flow"),
            uncertain(pressure_drop(curve, q * m3_per_s, air), u * Pa, "gauge"), air};
}

}   // namespace

TEST_CASE("the tare is taken off at each reading's flow and in its air", "[own]") {
    // Empty stand 20 Q + 90 Q^2, filter 100 Q + 60 Q^2 of the design air, read in other airs.
    std::vector<ElementReading> empty, loaded;
    for (const double q : {0.2, 0.4, 0.6, 0.8}) empty.push_back(reading_of(20, 90, q, duct_design_air()));
    for (const double q : {0.3, 0.5, 0.7}) loaded.push_back(reading_of(120, 150, q, warm_air()));
    const ElementFit tare = fit_tare(empty, duct_design_air());
    const std::vector<ElementReading> net = net_of_tare(loaded, tare);
    REQUIRE(net.size() == 3);
    const ElementCurve filter{100 * Pa_s_per_m3, 60 * Pa_s2_per_m6, duct_design_air()};
    for (const ElementReading& r : net) {
        CHECK(r.drop.value.value() == Approx(pressure_drop(filter, r.flow.value, r.air).value()).epsilon(1e-9));
        CHECK(tare_flags(r, tare).empty());
    }
    const ElementFit fit = fit_element(net, duct_design_air());
    CHECK(fit.curve.linear.value() == Approx(100).epsilon(1e-8));
    CHECK(fit.curve.quadratic.value() == Approx(60).epsilon(1e-8));
    // Raw readings would give the stand's parameters on top.
    CHECK(fit_element(loaded, duct_design_air()).curve.quadratic.value() == Approx(150).epsilon(1e-8));
}

TEST_CASE("what two filters share of the tare cancels in their difference", "[own]") {
    std::vector<ElementReading> empty;
    for (const double q : {0.2, 0.4, 0.6}) empty.push_back(reading_of(20, 90, q, duct_design_air(), 3.0));
    const ElementFit tare = fit_tare(empty, duct_design_air());
    const auto exact = [&](double r, double q) {
        return ElementReading{VolumeFlow(q * m3_per_s), Pressure((20 + r) * q * Pa + 90 * q * q * Pa),
                              duct_design_air()};
    };
    const std::vector<ElementReading> raw{exact(100, 0.5), exact(130, 0.5)};
    const std::vector<ElementReading> net = net_of_tare(raw, tare);
    CHECK(net[0].drop.standard_uncertainty().value() > 1.0);
    CHECK((net[1].drop - net[0].drop).standard_uncertainty().value() < 1e-12);
    // At different flows only a part cancels: the difference of the tare between the two flows.
    const std::vector<ElementReading> apart = net_of_tare(std::vector{exact(100, 0.5), exact(130, 0.45)}, tare);
    const double rest = (pressure_drop(tare, VolumeFlow(0.5 * m3_per_s), duct_design_air()) -
                         pressure_drop(tare, VolumeFlow(0.45 * m3_per_s), duct_design_air()))
                            .standard_uncertainty()
                            .value();
    CHECK((apart[1].drop - apart[0].drop).standard_uncertainty().value() == Approx(rest).epsilon(1e-9));
}

TEST_CASE("an uncertain flow moves reading and tare together", "[own]") {
    std::vector<ElementReading> empty;
    for (const double q : {0.2, 0.4, 0.6})
        empty.push_back({VolumeFlow(q * m3_per_s), Pressure(90 * q * q * Pa), duct_design_air()});
    const ElementFit tare = fit_tare(empty, duct_design_air());
    const Uncertain<VolumeFlow> q = uncertain(0.5 * m3_per_s, 0.01 * m3_per_s, "meter");
    const std::vector<ElementReading> raw{{q, Pressure(100 * Pa), duct_design_air()}};
    // d(net)/dQ = -2 * 90 * 0.5
    CHECK(net_of_tare(raw, tare)[0].drop.standard_uncertainty().value() == Approx(0.9).epsilon(1e-6));
}

TEST_CASE("a net pressure below zero beyond its noise is an error, within it a flag", "[own]") {
    std::vector<ElementReading> empty;
    for (const double q : {0.2, 0.4, 0.6}) empty.push_back(reading_of(20, 90, q, duct_design_air(), 0.5));
    const ElementFit tare = fit_tare(empty, duct_design_air());
    const std::vector<ElementReading> wrong{reading_of(120, 90, 0.4, duct_design_air()),
                                            reading_of(10, 50, 0.4, duct_design_air())};
    CHECK_THROWS_WITH(net_of_tare(wrong, tare), Contains("reading 2 = -") && Contains("Check taps"));
    ElementReading slight = reading_of(20, 90, 0.4, duct_design_air());
    slight.drop.value -= 0.3 * Pa;
    CHECK(net_of_tare(std::span(&slight, 1), tare)[0].drop.value.value() == Approx(-0.3).margin(1e-9));
    const auto flags = tare_flags(slight, tare);
    REQUIRE(flags.size() == 1);
    CHECK_THAT(flags[0], Contains("not told from zero"));
    const auto far = tare_flags(reading_of(120, 90, 0.9, duct_design_air()), tare);
    REQUIRE(far.size() == 1);
    CHECK_THAT(far[0], Contains("extrapolated: taken off at 3240 m3/h (1910 cfm), read from 720 m3/h (424 cfm) to "
                                "2160 m3/h (1270 cfm)"));
}

TEST_CASE("an empty stand that reads zero is a tare of zero, as sure as its gauge", "[own]") {
    const Instrument gauge = instrument(ManometerData{.name = "gauge", .resolution = 1.0 * Pa});
    const auto zeros = [](const Instrument& of) {
        std::vector<ElementReading> empty;
        for (const double q : {0.2, 0.4, 0.6}) {
            empty.push_back({VolumeFlow(q * m3_per_s), reading(of, Pressure(0 * Pa)), duct_design_air()});
        }
        return empty;
    };
    const ElementFit tare = fit_tare(zeros(gauge), duct_design_air());
    CHECK(tare.curve.linear.value() == 0.0);
    CHECK(tare.curve.quadratic.value() == 0.0);
    CHECK(tare.form_assumed);
    CHECK(tare.reading_count == 3);
    CHECK(tare.residuals.size() == 3);
    // The gauge's rounding, evenly within a step, at the greatest flow; the square of the flow elsewhere.
    const auto off = [&](double q) {
        return pressure_drop(tare, VolumeFlow(q * m3_per_s), duct_design_air()).standard_uncertainty().value();
    };
    CHECK(off(0.6) == Approx(1.0 / std::sqrt(12.0)).epsilon(1e-12));
    CHECK(off(0.3) == Approx(0.25 / std::sqrt(12.0)).epsilon(1e-12));
    const ElementReading filter = reading_of(120, 90, 0.4, duct_design_air());
    CHECK(net_of_tare(std::span(&filter, 1), tare)[0].drop.value.value() == filter.drop.value.value());
    REQUIRE(tare_flags(filter, tare).size() == 1);
    CHECK_THAT(tare_flags(filter, tare)[0], Contains("nothing is taken off, within what its gauge resolves"));
    // One reading is enough, and without a gauge's resolution it is exact, which is said.
    const std::vector<ElementReading> once = zeros(Instrument());
    const ElementFit exact = fit_tare(std::span(once).first(1), duct_design_air());
    CHECK(pressure_drop(exact, VolumeFlow(0.6 * m3_per_s), duct_design_air()).standard_uncertainty().value() == 0.0);
    CHECK_THAT(tare_flags(filter, exact)[0], Contains("that is taken as exact"));
    // One row that shows something is a curve again.
    std::vector<ElementReading> some = zeros(gauge);
    some.back().drop.value = 1.0 * Pa;
    CHECK(fit_tare(some, duct_design_air()).curve.quadratic.value() > 0.0);
}

TEST_CASE("sentences that differ in their numbers are one, with the range of these", "[own]") {
    using filterflow::detail::merged_sentences;
    const std::vector<std::string> flags{
        "pipe Reynolds number 65400 is below 200000 (ISO 5167-4)", "no leak test: the stand is taken as tight",
        "pipe Reynolds number 160000 is below 200000 (ISO 5167-4)", "pipe Reynolds number 92000 is above 20000 (x)"};
    CHECK(merged_sentences(flags) ==
          std::vector<std::string>{"pipe Reynolds number 65400 to 160000 is below 200000 (ISO 5167-4)", flags[1],
                                   flags[3]});
    CHECK(merged_sentences({"net pressure -1.5 Pa", "net pressure 0.25 Pa"}) ==
          std::vector<std::string>{"net pressure -1.5 to 0.25 Pa"});
    CHECK(merged_sentences({}).empty());
    CHECK(filterflow::detail::digits_text(78584.3, 3) == "78600");
    CHECK(filterflow::detail::crossing_text(4999.0, 5000.0) == "4999");
    CHECK(filterflow::detail::crossing_text(78584.3, 150000.0) == "78600");
}

TEST_CASE("a tare read at one flow has a stated shape", "[own]") {
    const std::vector<ElementReading> once{reading_of(0, 90, 0.5, duct_design_air())};
    const ElementFit tare = fit_tare(once, duct_design_air());
    CHECK(tare.form_assumed);
    // Drop 22.5 Pa at 0.5 m3/s, nine tenths of it inertial.
    CHECK(tare.curve.linear.value() == Approx(0.1 * 22.5 / 0.5));
    CHECK(tare.curve.quadratic.value() == Approx(0.9 * 22.5 / 0.25));
    // The assumed share costs nothing at the flow of the reading and something away from it.
    const double at = pressure_drop(tare, VolumeFlow(0.5 * m3_per_s), duct_design_air()).standard_uncertainty().value();
    const double away =
        pressure_drop(tare, VolumeFlow(0.3 * m3_per_s), duct_design_air()).standard_uncertainty().value();
    CHECK(away > std::abs(0.6 - 0.36) * 22.5 * 0.057);
    CHECK(at < 0.6);
    CHECK_THROWS_AS(fit_tare({}, duct_design_air()), DomainError);
}
