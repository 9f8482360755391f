// SPDX-License-Identifier: BSL-1.0
// Inputs as a practitioner states them, against the GUM's own examples.

#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <vector>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

#include "support/catch.hpp"

using namespace filterflow;

namespace {
const ElementaryInput& input_of(const auto& x) { return *x.gradient.terms().front().input; }
}   // namespace

TEST_CASE("statements of the GUM's examples give its standard uncertainties", "[outside]") {
    // JCGM 100:2008, all from memory. 4.3.3: a mass with 240 ug at three standard deviations: 80 ug.
    CHECK(certified(1000.000325, {.expanded_uncertainty = 240e-6, .coverage_factor = 3.0}, "mass")
              .standard_uncertainty() == Approx(80e-6));
    // 4.3.4: a resistor with 129 uohm at 99 %, taken as normal: 129/2.58 = 50 uohm.
    CHECK(certified(10.000742, {.expanded_uncertainty = 129e-6, .coverage_factor = 2.58}, "resistor")
              .standard_uncertainty() == Approx(50e-6));
    // 4.3.7, example 1: copper's expansion 16.52e-6/K within 0.40e-6/K, rectangular: 0.23e-6/K.
    CHECK(plus_minus(16.52e-6, 0.40e-6, StatedMeaning::rectangular, "expansion").standard_uncertainty() ==
          Approx(0.23e-6).epsilon(0.005));
    // 4.3.7, example 2: a voltmeter within 14e-6 of the reading and 2e-6 of the range, at 0.928571 V of 1 V: 8.7 uV.
    const Uncertain<double> volt =
        within_accuracy(0.928571, {.of_reading = 14e-6, .of_full_scale = 2e-6, .full_scale = 1.0},
                        StatedMeaning::rectangular, "voltmeter");
    CHECK(volt.standard_uncertainty() == Approx(8.7e-6).epsilon(0.005));
    // F.2.2.1: u = 0.29 of the step of a display.
    CHECK(displayed(5.0, 1.0, "display").standard_uncertainty() == Approx(0.29).epsilon(0.005));
    // G.4.2: a standard uncertainty known within a quarter has eight degrees of freedom.
    CHECK(degrees_of_freedom_of_judgement(0.25) == 8.0);
    // H.1: half widths known within 10 % and 50 %: 50 and 2 degrees of freedom.
    CHECK(degrees_of_freedom_of_judgement(0.10) == Approx(50.0));
    CHECK(degrees_of_freedom_of_judgement(0.50) == Approx(2.0));
    // 4.4.3: twenty temperatures with a mean of 100.14 and a standard deviation of 1.49 degrees: 0.33, 19 degrees of
    // freedom.
    const std::array temperatures{96.90, 98.18, 98.25, 98.61, 99.03, 99.49,  99.56,  99.74,  99.89,  100.07,
                                  100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72};
    const Uncertain<double> mean = repeated(std::span<const double>(temperatures), "temperature");
    CHECK(mean.value == Approx(100.14).margin(0.005));
    CHECK(mean.standard_uncertainty() * std::sqrt(20.0) == Approx(1.49).margin(0.005));
    CHECK(mean.standard_uncertainty() == Approx(0.33).margin(0.005));
    CHECK(mean.gradient.effective_degrees_of_freedom() == Approx(19.0));
}

TEST_CASE("each meaning has its divisor and its shape", "[own]") {
    using namespace filterflow::units;
    const auto check = [](StatedMeaning meaning, double squared_divisor, InputShape shape) {
        const Uncertain<Pressure> p = plus_minus(50 * Pa, 3 * Pa, meaning, "gauge");
        CHECK(p.value == 50 * Pa);
        CHECK(p.gradient.variance() == Approx(9.0 / squared_divisor).epsilon(1e-14));
        CHECK(input_of(p).shape == shape);
        CHECK(std::isinf(input_of(p).degrees_of_freedom));
    };
    check(StatedMeaning::rectangular, 3.0, InputShape::rectangular);
    check(StatedMeaning::triangular, 6.0, InputShape::triangular);
    check(StatedMeaning::arcsine, 2.0, InputShape::arcsine);
    check(StatedMeaning::standard_uncertainty, 1.0, InputShape::normal);
    check(StatedMeaning::twice_standard, 4.0, InputShape::normal);
    check(StatedMeaning::normal_95_percent, 3.8414588206941245,
          InputShape::normal);   // 95 % point of chi-squared with one
    CHECK(input_of(plus_minus(0.0, 1.0, StatedMeaning::rectangular, "x", 0.2)).degrees_of_freedom == Approx(12.5));
    const Uncertain<double> between = between_limits(2.0, 8.0, "x");
    CHECK(between.value == 5.0);
    CHECK(between.standard_uncertainty() == Approx(std::sqrt(3.0)));
    CHECK(input_of(between).shape == InputShape::rectangular);
}

TEST_CASE("readings, certificates and accuracies in units", "[own]") {
    using namespace filterflow::units;
    // One calibration for two readings: made once, about zero.
    const Uncertain<Pressure> correction = certified(
        0 * Pa, {.correction = 0.4 * Pa, .expanded_uncertainty = 0.6 * Pa, .degrees_of_freedom = 20}, "calibration");
    const Uncertain<Pressure> first = displayed(80 * Pa, 1 * Pa, "display") + correction;
    const Uncertain<Pressure> second = displayed(50 * Pa, 1 * Pa, "display") + correction;
    CHECK(first.value == 80.4 * Pa);
    CHECK(first.gradient.variance() == Approx(1.0 / 12.0 + 0.09));
    CHECK((first - second).gradient.variance() == Approx(1.0 / 6.0));
    CHECK(input_of(correction).degrees_of_freedom == 20.0);
    const std::vector<Pressure> readings{61 * Pa, 63 * Pa, 62 * Pa};
    const Uncertain<Pressure> mean = repeated(std::span<const Pressure>(readings), "scatter");
    CHECK(mean.value == 62 * Pa);
    CHECK(mean.standard_uncertainty() / Pa == Approx(1.0 / std::sqrt(3.0)));
    CHECK(input_of(mean).shape == InputShape::normal);
    const Uncertain<Pressure> now = repeatable(62 * Pa, 1.2 * Pa, 9, 4, "repeatability");
    CHECK(now.standard_uncertainty() / Pa == Approx(0.6));
    CHECK(input_of(now).degrees_of_freedom == 9.0);
    // A negative reading has a positive limit of error.
    const StatedAccuracy<Pressure> accuracy{.of_reading = 0.01, .of_full_scale = 0.005, .full_scale = 250 * Pa,
                                            .fixed = 0.25 * Pa};
    CHECK(within_accuracy(-100 * Pa, accuracy, StatedMeaning::rectangular, "gauge").standard_uncertainty() / Pa ==
          Approx(2.5 / std::sqrt(3.0)));
}

TEST_CASE("statements refuse what they cannot mean", "[own]") {
    CHECK_THROWS_WITH(plus_minus(1.0, 0.0, StatedMeaning::rectangular, "gauge"), Contains("half_width of gauge = 0"));
    CHECK_THROWS_AS(plus_minus(std::nan(""), 1.0, StatedMeaning::rectangular, "gauge"), DomainError);
    CHECK_THROWS_AS(plus_minus(1.0, 1.0, StatedMeaning::rectangular, "gauge", 1.5), DomainError);
    CHECK_THROWS_AS(plus_minus(1.0, 1.0, static_cast<StatedMeaning>(99), "gauge"), DomainError);
    CHECK_THROWS_WITH(between_limits(1.0, 1.0, "x"), Contains("above the lower limit"));
    CHECK_THROWS_WITH(displayed(5.0, 0.0, "display"), Contains("resolution of display"));
    CHECK_THROWS_AS(certified(5.0, {.expanded_uncertainty = 0.0}, "x"), DomainError);
    CHECK_THROWS_AS(certified(5.0, {.expanded_uncertainty = 1.0, .coverage_factor = 0.0}, "x"), DomainError);
    CHECK_THROWS_AS(certified(5.0, {.expanded_uncertainty = 1.0, .degrees_of_freedom = -1.0}, "x"), DomainError);
    const std::array one{1.0};
    CHECK_THROWS_WITH(repeated(std::span<const double>(one), "x"), Contains("at least 2"));
    CHECK_THROWS_AS(repeatable(1.0, 0.0, 9, 1, "x"), DomainError);
    CHECK_THROWS_AS(repeatable(1.0, 0.1, 0, 1, "x"), DomainError);
    CHECK_THROWS_AS(repeatable(1.0, 0.1, 9, 0, "x"), DomainError);
    CHECK_THROWS_WITH(within_accuracy(3.0, {.of_reading = 0.1, .full_scale = 2.0}, StatedMeaning::rectangular, "x"),
                      Contains("within the full scale"));
    CHECK_THROWS_AS(within_accuracy(3.0, {}, StatedMeaning::rectangular, "x"), DomainError);
    CHECK_THROWS_AS(within_accuracy(3.0, {.of_full_scale = 0.1}, StatedMeaning::rectangular, "x"), DomainError);
    CHECK_THROWS_AS(within_accuracy(3.0, {.of_reading = -0.1}, StatedMeaning::rectangular, "x"), DomainError);
}
