// SPDX-License-Identifier: BSL-1.0
// Fits of element curves: exact recovery, shared inputs, bounds, and a Monte Carlo second method.

#include <cmath>
#include <random>
#include <vector>

#include <filterflow/numeric/coverage.hpp>
#include <filterflow/resistance/element_fit.hpp>

#include "resistance/bench_air.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

ElementCurve curve_of(double r, double s) {
    return {r * Pa_s_per_m3, s * Pa_s2_per_m6, air};
}

/// Readings on a curve, in any air, with independent uncertainties of 1 Pa and 1 % of the flow.
std::vector<ElementReading> readings_on(const ElementCurve& curve, const std::vector<double>& flows,
                                        const AirState& in_air = air) {
    std::vector<ElementReading> readings;
    for (const double q : flows) {
        const VolumeFlow flow = q * m3_per_s;
        readings.push_back({uncertain(flow, 0.01 * flow, "flow"),
                            uncertain(pressure_drop(curve, flow, in_air), 1.0 * Pa, "manometer"), in_air});
    }
    return readings;
}

}   // namespace

TEST_CASE("a fit recovers the curve that its readings lie on, whatever the air", "[own]") {
    const ElementCurve truth = curve_of(90.0, 45.0);
    const AirState hot =
        moist_air({.temperature = from_celsius(45), .pressure = 84000 * Pa, .relative_humidity = 0.2});
    for (const AirState& in_air : {air, hot}) {
        const ElementFit fit = fit_element(readings_on(truth, {0.2, 0.4, 0.7, 1.0}, in_air), air);
        CHECK(fit.curve.linear / Pa_s_per_m3 == Approx(90.0).epsilon(1e-10));
        CHECK(fit.curve.quadratic / Pa_s2_per_m6 == Approx(45.0).epsilon(1e-10));
        CHECK(fit.form == ElementFitForm::viscous_and_inertial);
        CHECK_FALSE(fit.form_assumed);
        CHECK(fit.degrees_of_freedom == 2);
        CHECK(fit.chi_squared < 1e-15);
        CHECK_FALSE(fit.lacks_fit);
        CHECK(fit.least_flow / m3_per_s == 0.2);
        CHECK(fit.greatest_flow / m3_per_s == 1.0);
        CHECK(extrapolates(fit, 1.1 * m3_per_s));
        CHECK_FALSE(extrapolates(fit, 0.5 * m3_per_s));
    }
}

TEST_CASE("uncertainty of a fitted drop agrees with Monte Carlo", "[own]") {
    const ElementCurve truth = curve_of(90.0, 45.0);
    const std::vector<double> flows{0.2, 0.4, 0.7, 1.0};
    const Uncertain<Pressure> drop = pressure_drop(fit_element(readings_on(truth, flows), air), 0.6 * m3_per_s, air);
    std::mt19937_64 random(20240517);
    std::normal_distribution<double> normal;
    double sum = 0, squares = 0;
    const int trials = 4000;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<ElementReading> readings = readings_on(truth, flows);
        for (ElementReading& r : readings) {
            r.flow.value += 0.01 * normal(random) * r.flow.value;
            r.drop.value += normal(random) * 1.0 * Pa;
        }
        const double dp = pressure_drop(fit_element(readings, air).curve, 0.6 * m3_per_s, air) / Pa;
        sum += dp;
        squares += dp * dp;
    }
    const double mean = sum / trials;
    const double deviation = std::sqrt(squares / trials - mean * mean);
    CHECK(mean == Approx(drop.value / Pa).epsilon(0).margin(0.1));
    CHECK(deviation == Approx(drop.standard_uncertainty() / Pa).epsilon(0.05));   // 1/sqrt(2 * 4000) = 1.1 %
}

TEST_CASE("a manometer shared by two elements cancels in their difference", "[own]") {
    const InputHandle offset = elementary_input("manometer offset", 3.0);
    const auto readings = [&](double r) {
        auto list = readings_on(curve_of(r, 45.0), {0.2, 0.4, 0.7, 1.0});
        for (ElementReading& reading : list) reading.drop.gradient.add(Gradient(offset), 1.0);
        return list;
    };
    const Uncertain<Pressure> a = pressure_drop(fit_element(readings(90.0), air), 0.6 * m3_per_s, air);
    const Uncertain<Pressure> b = pressure_drop(fit_element(readings(91.0), air), 0.6 * m3_per_s, air);
    const double ua = a.standard_uncertainty() / Pa;
    const double difference = (a - b).standard_uncertainty() / Pa;
    CHECK(a.gradient.derivative(offset) == Approx(1.0).margin(0.3));   // an offset moves the drop by about itself
    CHECK(ua > 2.5);
    CHECK(difference < 0.5 * ua);
    CHECK(difference > 0.0);
    CHECK(std::abs((a - b).gradient.derivative(offset)) < 0.02);
}

TEST_CASE("the gradient to each reading agrees with refitting", "[own]") {
    // Off the curve on purpose, and exact flows: then the weights do not depend on the parameters.
    auto readings = readings_on(curve_of(90.0, 45.0), {0.2, 0.4, 0.7, 1.0});
    for (std::size_t i = 0; i < readings.size(); ++i) {
        readings[i].flow.gradient = Gradient();
        readings[i].drop.value += (i % 2 == 0 ? 0.3 : -0.4) * Pa;
    }
    const ElementFit fit = fit_element(readings, air);
    for (std::size_t i = 0; i < readings.size(); ++i) {
        auto moved = readings;
        moved[i].drop.value += 0.01 * Pa;
        const ElementFit other = fit_element(moved, air);
        const InputHandle input = readings[i].drop.gradient.terms().front().input;
        CHECK(fit.linear.gradient.derivative(input) ==
              Approx((other.curve.linear - fit.curve.linear).value() / 0.01).epsilon(1e-7));
        CHECK(fit.quadratic.gradient.derivative(input) ==
              Approx((other.curve.quadratic - fit.curve.quadratic).value() / 0.01).epsilon(1e-7));
    }
}

TEST_CASE("an active bound gives the reduced form and says so", "[own]") {
    // Readings that fall below a straight line through zero at high flow: s would be negative.
    const AirState& a = air;
    const auto reading = [&](double q, double dp) {
        return ElementReading{uncertain(q * m3_per_s, 0.001 * m3_per_s, "flow"), uncertain(dp * Pa, 2.0 * Pa, "dp"), a};
    };
    const ElementFit viscous = fit_element(std::vector{reading(0.5, 52), reading(1.0, 100), reading(1.5, 146)}, air);
    CHECK(viscous.form == ElementFitForm::viscous_only);
    CHECK(viscous.curve.quadratic.value() == 0.0);
    CHECK(viscous.quadratic.standard_uncertainty().value() == 0.0);
    CHECK(viscous.degrees_of_freedom == 2);
    CHECK(viscous.linear.standard_uncertainty().value() > 0.0);
    CHECK_FALSE(viscous.form_assumed);

    const ElementFit inertial = fit_element(std::vector{reading(0.5, 20), reading(1.0, 100), reading(1.5, 240)}, air);
    CHECK(inertial.form == ElementFitForm::inertial_only);
    CHECK(inertial.curve.linear.value() == 0.0);
}

TEST_CASE("scatter beyond the readings' uncertainty widens the result and is flagged", "[own]") {
    auto readings = readings_on(curve_of(90.0, 45.0), {0.2, 0.4, 0.6, 0.8, 1.0});
    const double before = pressure_drop(fit_element(readings, air), 0.6 * m3_per_s, air).standard_uncertainty() / Pa;
    const double shifts[] = {8, -8, 8, -8, 8};
    for (std::size_t i = 0; i < readings.size(); ++i) readings[i].drop.value += shifts[i] * Pa;
    const ElementFit fit = fit_element(readings, air);
    CHECK(fit.lacks_fit);
    const Uncertain<Pressure> drop = pressure_drop(fit, 0.6 * m3_per_s, air);
    CHECK(drop.standard_uncertainty() / Pa > 2.0 * before);
    CHECK(drop.gradient.effective_degrees_of_freedom() < 4.0);   // nearly all of it from three degrees
    // Readings without uncertainty: equal weights, uncertainty from the scatter alone, on three degrees of freedom.
    for (ElementReading& r : readings) {
        r.flow.gradient = Gradient();
        r.drop.gradient = Gradient();
    }
    const ElementFit plain = fit_element(readings, air);
    CHECK_FALSE(plain.lacks_fit);
    CHECK(pressure_drop(plain, 0.6 * m3_per_s, air).gradient.effective_degrees_of_freedom() == Approx(3.0));
}

TEST_CASE("what all readings share hides no scatter", "[own]") {
    // An offset of 5 Pa shared by all, a flutter of 0.5 Pa stated, and readings that scatter by 3 Pa.
    const InputHandle offset = elementary_input("manometer offset", 5.0);
    const auto readings = [&](double flutter) {
        std::vector<ElementReading> list;
        int i = 0;
        for (const double q : {0.2, 0.4, 0.6, 0.8, 1.0}) {
            const double dp = pressure_drop(curve_of(90.0, 45.0), q * m3_per_s, air) / Pa + (i++ % 2 == 0 ? 3 : -3);
            ElementReading r{q * m3_per_s, flutter > 0 ? uncertain(dp * Pa, flutter * Pa, "flutter") : dp * Pa, air};
            r.drop.gradient.add(Gradient(offset), 1.0);
            list.push_back(r);
        }
        return list;
    };
    const ElementFit stated = fit_element(readings(0.5), air);
    CHECK(stated.lacks_fit);
    const ElementFit silent = fit_element(readings(0.0), air);   // no flutter stated: found from the residuals
    CHECK_FALSE(silent.lacks_fit);
    const auto without_offset = [&](const ElementFit& fit) {
        const Uncertain<Pressure> drop = pressure_drop(fit, 0.6 * m3_per_s, air);
        const double shared = drop.gradient.derivative(offset) * 5.0;
        return std::sqrt(drop.gradient.variance() - shared * shared);
    };
    CHECK(without_offset(stated) > 1.0);
    // Without a stated flutter, what the offset may have bent counts as scatter, too.
    CHECK(without_offset(silent) > without_offset(stated));
    CHECK(without_offset(silent) < 1.3 * without_offset(stated));
}

TEST_CASE("a lone reading gives the viscous form, flagged; a share gives both parts", "[own]") {
    const auto one = readings_on(curve_of(90.0, 45.0), {0.5});
    const ElementFit lone = fit_element(one, air);
    CHECK(lone.form == ElementFitForm::viscous_only);
    CHECK(lone.form_assumed);
    CHECK(pressure_drop(lone.curve, 0.5 * m3_per_s, air) / Pa == Approx(56.25).epsilon(1e-12));

    const Uncertain<double> share = uncertain(0.2, 0.1, "inertial share");
    const ElementFit fit = fit_element(one, air, share);
    CHECK(fit.form == ElementFitForm::viscous_and_inertial);
    CHECK(fit.form_assumed);
    CHECK(fit.curve.linear / Pa_s_per_m3 == Approx(90.0).epsilon(1e-12));
    CHECK(fit.curve.quadratic / Pa_s2_per_m6 == Approx(45.0).epsilon(1e-12));
    // At the reading's own flow and air the share does not matter; away from it, it does.
    const InputHandle input = share.gradient.terms().front().input;
    CHECK(std::abs(pressure_drop(fit, 0.5 * m3_per_s, air).gradient.derivative(input)) < 1e-10);
    CHECK(pressure_drop(fit, 1.0 * m3_per_s, air).gradient.derivative(input) ==
          Approx(56.25 * (4.0 - 2.0)).epsilon(1e-10));
}

TEST_CASE("fits refuse what they cannot tell", "[own]") {
    const ElementCurve truth = curve_of(90.0, 45.0);
    CHECK_THROWS_AS(fit_element(std::vector<ElementReading>{}, air), DomainError);
    CHECK_THROWS_WITH(fit_element(readings_on(truth, {0.5, 0.5}), air),
                      Contains("1.05 times the least flow") && Contains("m3/s") && Contains("inertial share"));
    CHECK_NOTHROW(fit_element(readings_on(truth, {0.5, 0.5}), air, 0.2));
    auto backwards = readings_on(truth, {0.2, 0.5});
    backwards[0].flow.value = -backwards[0].flow.value;
    CHECK_THROWS_WITH(fit_element(backwards, air), Contains("flow of reading") && Contains("= -0.2 m3/s"));
    auto mixed = readings_on(truth, {0.2, 0.5});
    mixed[0].flow.gradient = Gradient();
    mixed[0].drop.gradient = Gradient();
    CHECK_THROWS_WITH(fit_element(mixed, air), Contains("for every reading"));
    auto sucking = readings_on(truth, {0.2, 0.5});
    for (ElementReading& r : sucking) r.drop.value = -r.drop.value;
    CHECK_THROWS_WITH(fit_element(sucking, air), Contains("no pressure drop"));
    CHECK_THROWS_AS(fit_element(readings_on(truth, {0.2, 0.5}), air, 1.5), DomainError);
    // Numbers whose squares leave the range are refused at the reading, not somewhere in the fit.
    const auto with = [&](double q, double dp, double u) {
        std::vector<ElementReading> readings;
        for (const double flow : {0.2, 0.4, 0.8}) {
            readings.push_back({flow * m3_per_s, uncertain(100.0 * flow * Pa, 1.0 * Pa, "drop"), air});
        }
        readings[1] = {q * m3_per_s, uncertain(dp * Pa, u * Pa, "drop"), air};
        return readings;
    };
    CHECK_THROWS_WITH(fit_element(with(1e200, 40.0, 1.0), air), Contains("flow of reading 2 = 1e+200 m3/s"));
    CHECK_THROWS_WITH(fit_element(with(1e-200, 40.0, 1.0), air), Contains("flow of reading 2 = 1e-200 m3/s"));
    CHECK_THROWS_WITH(fit_element(with(0.4, 1e200, 1.0), air), Contains("drop of reading 2 = 1e+200 Pa"));
    CHECK_THROWS_WITH(fit_element(with(0.4, 40.0, 1e-100), air), Contains("uncertainty of the drop of reading 2"));
    CHECK_THROWS_WITH(fit_element(with(0.4, 40.0, 1e200), air), Contains("uncertainty of the drop of reading 2"));
    for (const double q : {1e-30, 1.0, 1e30}) {
        for (const double dp : {-1e60, 1e-30, 1e60}) {
            for (const double u : {1e-60, 1.0, 1e60}) {
                INFO(q << " " << dp << " " << u);
                try {
                    const ElementFit fit = fit_element(with(q, dp, u), air);
                    CHECK(std::isfinite(fit.chi_squared));
                } catch (const DomainError& error) {
                    CHECK_THAT(error.what(), Contains("resistance of the element") || Contains("outweigh all others"));
                }
            }
        }
    }
}
