// SPDX-License-Identifier: BSL-1.0
#include "support/bench_air.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <random>

#include <filterflow/loading/loading_fit.hpp>

#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

ElementFit exact_clean(double r, double s) {
    ElementFit fit;
    fit.curve = {r * Pa_s_per_m3, s * Pa_s2_per_m6, air};
    fit.linear = fit.curve.linear;
    fit.quadratic = fit.curve.quadratic;
    return fit;
}

/// Readings of a filter that follows a law, each with its own flow; noise in Pa.
LoadingFitInput simulated(const LoadingLaw& law, const std::vector<double>& grams, double area, double noise,
                          unsigned seed, double stated_noise) {
    LoadingFitInput input;
    input.clean = exact_clean(70.0, 20.0);
    input.area = area * m2;
    input.reference = law.reference;
    input.form = law.form;
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    for (std::size_t i = 0; i < grams.size(); ++i) {
        const double flow = 0.93 - 0.03 * static_cast<double>(i);   // the stand's fan slows
        const double retained = 0.8 * grams[i] * 1e-3;
        const ElementCurve loaded = loaded_curve(input.clean.curve, law, MassPerArea::from_value(retained / area));
        const double drop = pressure_drop(loaded, flow * m3_per_s, air) / Pa + noise * normal(random);
        LoadingTestReading reading;
        reading.dust_fed = Mass(grams[i] * g);
        reading.dust_passed = Uncertain<Mass>(0.2 * grams[i] * g);
        reading.flow = VolumeFlow(flow * m3_per_s);
        reading.drop =
            stated_noise > 0.0 ? uncertain(drop * Pa, stated_noise * Pa, "pressure") : Uncertain<Pressure>(drop * Pa);
        reading.air = air;
        input.readings.push_back(reading);
    }
    return input;
}

const LoadingLaw fitted_law{LoadingForm::smooth, ReferenceArea::media, 40 * g_per_m2, 55 * g_per_m2, {}};
const LoadingLaw kinked_law{LoadingForm::kinked, ReferenceArea::media, 40 * g_per_m2, 55 * g_per_m2, 0.15 * m2_per_g};
const std::vector<double> steps{0, 30, 60, 90, 120, 160, 200, 240};   // g on 1.6 m2: up to 120 g/m2 retained

}   // namespace

TEST_CASE("a smooth law is recovered from exact readings", "[own][loading]") {
    const LoadingFit fit = fit_loading(simulated(fitted_law, steps, 1.6, 0.0, 1, 0.0));
    CHECK(fit.stages == LoadingStages::both);
    CHECK(fit.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(1e-7));
    CHECK(fit.law.transition / g_per_m2 == Approx(55.0).epsilon(1e-7));
    CHECK(fit.retained_mass == RetainedMass::weighed);
    CHECK(fit.average_arrestance->value == Approx(0.8).epsilon(1e-12));
    CHECK(fit.greatest_retained / g_per_m2 == Approx(120.0).epsilon(1e-12));
    CHECK(fit.degrees_of_freedom == 5);
    for (const Pressure& residual : fit.residuals) CHECK(std::abs(residual / Pa) < 1e-5);
}

TEST_CASE("a kinked law is recovered from exact readings", "[own][loading]") {
    const LoadingFit fit = fit_loading(simulated(kinked_law, steps, 1.6, 0.0, 1, 0.0));
    CHECK(fit.stages == LoadingStages::both);
    CHECK(fit.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(1e-6));
    CHECK(fit.law.transition / g_per_m2 == Approx(55.0).epsilon(1e-6));
    CHECK(fit.law.cake_slope / m2_per_g == Approx(0.15).epsilon(1e-6));
    CHECK_FALSE(fit.slope_falls);
}

TEST_CASE("laws of the other forms are recovered from exact readings", "[own][loading]") {
    const LoadingLaw linear{.form = LoadingForm::linear, .cake_slope = 0.02 * m2_per_g};
    const LoadingFit line = fit_loading(simulated(linear, steps, 1.6, 0.0, 1, 0.0));
    CHECK(line.law.form == LoadingForm::linear);
    CHECK(line.law.cake_slope / m2_per_g == Approx(0.02).epsilon(1e-9));
    CHECK(line.stages == LoadingStages::cake_only);
    CHECK(line.degrees_of_freedom == 6);
    const LoadingLaw quadratic{
        .form = LoadingForm::quadratic, .cake_slope = 0.01 * m2_per_g, .curvature = 150 * m4_per_kg2};
    const LoadingFit bent = fit_loading(simulated(quadratic, steps, 1.6, 0.0, 1, 0.0));
    CHECK(bent.law.form == LoadingForm::quadratic);
    CHECK(bent.law.cake_slope / m2_per_g == Approx(0.01).epsilon(1e-6));
    CHECK(bent.law.curvature / m4_per_kg2 == Approx(150.0).epsilon(1e-6));
    const LoadingLaw fibres{.form = LoadingForm::two_population,
                            .surface_growth = 0.01 * m2_per_g,
                            .length_growth = 0.03 * m2_per_g};
    const LoadingFit populations = fit_loading(simulated(fibres, steps, 1.6, 0.0, 1, 0.0));
    CHECK(populations.law.form == LoadingForm::two_population);
    CHECK(populations.law.surface_growth / m2_per_g == Approx(0.01).epsilon(1e-5));
    CHECK(populations.law.length_growth / m2_per_g == Approx(0.03).epsilon(1e-5));
    // A square without a slope: the slope is at its bound and has no uncertainty.
    const LoadingLaw square{.form = LoadingForm::quadratic, .curvature = 250 * m4_per_kg2};
    const LoadingFit bound = fit_loading(simulated(square, steps, 1.6, 0.0, 1, 0.5));
    CHECK(bound.law.curvature / m4_per_kg2 == Approx(250.0).epsilon(1e-6));
    CHECK(bound.law.cake_slope.value() == 0.0);
    CHECK(bound.parameters[2].standard_uncertainty() == 0.0);
    CHECK(bound.parameters[3].standard_uncertainty() > 0.0);
}

TEST_CASE("a second parameter that the readings do not show is not reported", "[own][loading]") {
    const LoadingLaw linear{.form = LoadingForm::linear, .cake_slope = 0.02 * m2_per_g};
    for (const LoadingForm asked : {LoadingForm::quadratic, LoadingForm::two_population}) {
        LoadingFitInput input = simulated(linear, steps, 1.6, 0.8, 21, 0.8);
        input.form = asked;
        const LoadingFit fit = fit_loading(input);
        CHECK(fit.asked_form == asked);
        CHECK(fit.law.form == LoadingForm::linear);
        CHECK_THAT(fit.verdict, Contains("reported is the linear form"));
        CHECK(fit.law.cake_slope / m2_per_g ==
              Approx(0.02).margin(4.0 * fit.parameters[2].standard_uncertainty() * 1e-3));
    }
    // What the readings show of the stages does not depend on the form that is fitted.
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.8, 22, 0.8);
    input.form = LoadingForm::linear;
    const LoadingFit wrong = fit_loading(input);
    CHECK(wrong.stages == LoadingStages::both);
    CHECK(wrong.lacks_fit);
}

TEST_CASE("intervals of the other forms cover the truth as often as they say", "[own][loading]") {
    const LoadingLaw quadratic{
        .form = LoadingForm::quadratic, .cake_slope = 0.01 * m2_per_g, .curvature = 150 * m4_per_kg2};
    const LoadingLaw fibres{.form = LoadingForm::two_population,
                            .surface_growth = 0.01 * m2_per_g,
                            .length_growth = 0.03 * m2_per_g};
    int fits = 0, ambiguous = 0, covered[2] = {0, 0};
    const auto trials = static_cast<unsigned>(filterflow::test::sweep_length(120));
    for (unsigned seed = 1; seed <= trials; ++seed) {
        const LoadingFit bent = fit_loading(simulated(quadratic, steps, 1.6, 1.0, seed, 1.0));
        const LoadingFit populations = fit_loading(simulated(fibres, steps, 1.6, 1.0, seed + 1000, 1.0));
        if (bent.law.form != quadratic.form || populations.law.form != fibres.form) continue;
        ++fits;
        const auto inside = [](const Uncertain<double>& x, double truth) {
            return std::abs(x.value - truth) < 2.0 * x.standard_uncertainty() ? 1 : 0;
        };
        covered[0] += inside(bent.parameters[3], 150.0);
        // Of two populations the growth of resistance is known, the parameters often not: another pair fits as well.
        using D = Dual<2>;
        const auto factor = propagate<2>(
            [](const std::array<D, 2>& x) -> std::array<D, 1> {
                const auto law = loading_law<D>(LoadingForm::two_population, ReferenceArea::media,
                                                {D(0.0), D(0.0), D(0.0), D(0.0), x[0], x[1]});
                return {resistance_factor(law, BasicMassPerArea<D>::from_value(D(0.1)))};
            },
            {populations.parameters[4], populations.parameters[5]})[0];
        covered[1] += inside(factor, resistance_factor(fibres, 100 * g_per_m2));
        ambiguous += populations.notes.empty() ? 0 : 1;
    }
    CHECK(ambiguous > 0.5 * fits);
    REQUIRE(fits > 0.9 * trials);
    // 95.4 % are expected; four standard deviations of the count of a sample of that size.
    for (const int count : covered) {
        CHECK(static_cast<double>(count) / fits == Approx(0.954).margin(4.0 * std::sqrt(0.954 * 0.046 / fits)));
    }
}

TEST_CASE("as many readings as parameters fit exactly", "[own][loading]") {
    const LoadingFit fit = fit_loading(simulated(fitted_law, {60, 240}, 1.6, 0.0, 1, 0.5));
    CHECK(fit.degrees_of_freedom == 0);
    CHECK(fit.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(1e-6));
    CHECK(fit.law.transition / g_per_m2 == Approx(55.0).epsilon(1e-6));
}

TEST_CASE("readings that stay in the exponential stage do not name a transition", "[own][loading]") {
    const LoadingFit fit = fit_loading(simulated(fitted_law, {0, 20, 40, 60, 80, 100}, 1.6, 0.8, 3, 0.8));
    CHECK(fit.stages == LoadingStages::exponential_only);
    CHECK(fit.law.form == LoadingForm::exponential);
    CHECK(fit.asked_form == LoadingForm::smooth);
    CHECK_THAT(fit.verdict, Contains("not identified"));
    CHECK(fit.parameters[1].standard_uncertainty() == 0.0);
    CHECK(fit.law.growth_scale / g_per_m2 ==
          Approx(40.0).margin(4.0 * fit.parameters[0].standard_uncertainty() / 1e-3));
}

TEST_CASE("linear growth is told from exponential, and short tests from neither", "[own][loading]") {
    const LoadingLaw cake{LoadingForm::smooth, ReferenceArea::media, 40 * g_per_m2, 0 * g_per_m2, {}};
    const LoadingFit linear = fit_loading(simulated(cake, steps, 1.6, 0.8, 4, 0.8));
    CHECK(linear.stages == LoadingStages::cake_only);
    CHECK(linear.law.transition.value() == 0.0);
    CHECK(linear.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(0.05));
    const LoadingFit brief = fit_loading(simulated(fitted_law, {0, 5, 10, 15}, 1.6, 1.0, 5, 1.0));
    CHECK(brief.stages == LoadingStages::undecided);
    CHECK(brief.law.form == LoadingForm::exponential);
}

TEST_CASE("a kink whose angle the readings do not show is not reported", "[own][loading]") {
    // At the best of all kinked laws the slopes may happen to be one: the transition would then be known to nothing.
    int smooth = 0, kinked = 0;
    const int trials = static_cast<int>(filterflow::test::sweep_length(60));
    for (unsigned seed = 1; seed <= static_cast<unsigned>(trials); ++seed) {
        LoadingFitInput input = simulated(fitted_law, steps, 1.6, 1.0, seed, 1.0);
        const LoadingFit by_tangent = fit_loading(input);
        input.form = LoadingForm::kinked;
        const LoadingFit fit = fit_loading(input);
        INFO("seed " << seed << ": " << fit.verdict);
        CHECK(fit.stages == LoadingStages::both);
        CHECK(fit.parameters[1].standard_uncertainty() < 0.2 * fit.parameters[1].value);
        if (fit.law.form != LoadingForm::smooth) continue;
        ++smooth;
        CHECK_THAT(fit.verdict, Contains("reported is the smooth form"));
        CHECK(fit.law.transition / g_per_m2 == Approx(by_tangent.law.transition / g_per_m2).epsilon(1e-6));
        CHECK(fit.parameters[1].standard_uncertainty() ==
              Approx(by_tangent.parameters[1].standard_uncertainty()).epsilon(1e-6));
        CHECK(fit.degrees_of_freedom == by_tangent.degrees_of_freedom);
    }
    // By chance a slope of its own is told in 5 % of such tests; a kinked law's is told in all.
    CHECK(smooth >= trials - trials / 20 - 3 * static_cast<int>(std::ceil(std::sqrt(0.05 * trials))));
    for (unsigned seed = 1; seed <= 10; ++seed) {
        kinked += fit_loading(simulated(kinked_law, steps, 1.6, 1.0, seed, 1.0)).law.form == LoadingForm::kinked;
    }
    CHECK(kinked == 10);
}

TEST_CASE("the fit's intervals cover the truth as often as they say", "[own][loading]") {
    int growth_covered = 0, transition_covered = 0, fits = 0;
    for (unsigned seed = 100; seed < 300; ++seed) {
        const LoadingFit fit = fit_loading(simulated(fitted_law, steps, 1.6, 2.0, seed, 2.0));
        if (fit.stages != LoadingStages::both) continue;
        ++fits;
        if (std::abs(fit.law.growth_scale / g_per_m2 - 40.0) < 2.0 * fit.parameters[0].standard_uncertainty() * 1e3) {
            ++growth_covered;
        }
        if (std::abs(fit.law.transition / g_per_m2 - 55.0) < 2.0 * fit.parameters[1].standard_uncertainty() * 1e3) {
            ++transition_covered;
        }
    }
    CHECK(fits == 200);
    CHECK(growth_covered >= 182);   // 95.4 % of 200 is 191; 182 is three standard deviations below
    CHECK(transition_covered >= 182);
}

TEST_CASE("scatter widens the fit where readings state no uncertainty", "[own][loading]") {
    const LoadingFit fit = fit_loading(simulated(fitted_law, steps, 1.6, 2.0, 7, 0.0));
    CHECK(fit.parameters[0].standard_uncertainty() > 0.0);
    CHECK(fit.parameters[1].standard_uncertainty() > 0.0);
    CHECK(fit.parameters[0].gradient.effective_degrees_of_freedom() == Approx(5.0));
}

TEST_CASE("gradients of the fit agree with refits of moved readings", "[own][loading]") {
    // Each reading moved by a little on its own and the fit repeated: a second way to the linearised step.
    for (const LoadingLaw& law : {fitted_law, kinked_law}) {
        const LoadingFitInput input = simulated(law, steps, 1.6, 0.0, 1, 1.0);
        const LoadingFit fit = fit_loading(input);
        for (const std::size_t i : {2u, 5u, 7u}) {
            const double shift = 1e-4;
            LoadingFitInput up = input, down = input;
            up.readings[i].drop.value += shift * Pa;
            down.readings[i].drop.value -= shift * Pa;
            const auto above = fit_loading(up), below = fit_loading(down);
            const InputHandle handle = input.readings[i].drop.gradient.terms().front().input;
            for (std::size_t k = 0; k < (law.form == LoadingForm::kinked ? 3u : 2u); ++k) {
                const double numeric = (above.parameters[k].value - below.parameters[k].value) / (2.0 * shift);
                CHECK(fit.parameters[k].gradient.derivative(handle) ==
                      Approx(numeric).epsilon(2e-3).margin(1e-4 * std::abs(fit.parameters[k].value)));
            }
        }
    }
}

TEST_CASE("a manometer shared with the clean curve and the flow's uncertainty reach the parameters", "[own][loading]") {
    // A gain error of the manometer multiplies the clean curve and all readings alike: the law, a factor, does not
    // move. So the shared input must cancel.
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.0, 1, 0.0);
    const InputHandle gain = elementary_input("manometer gain", 0.02);
    input.clean.linear.gradient.add(Gradient(gain), input.clean.curve.linear.value());
    input.clean.quadratic.gradient.add(Gradient(gain), input.clean.curve.quadratic.value());
    for (auto& reading : input.readings) reading.drop.gradient.add(Gradient(gain), reading.drop.value.value());
    const LoadingFit fit = fit_loading(input);
    CHECK(std::abs(fit.parameters[0].gradient.derivative(gain)) < 1e-6 * fit.parameters[0].value);
    CHECK(std::abs(fit.parameters[1].gradient.derivative(gain)) < 1e-6 * fit.parameters[1].value);
}

TEST_CASE("how retained dust is known is said", "[own][loading]") {
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.0, 1, 0.0);
    for (auto& reading : input.readings) reading.dust_passed.reset();
    const LoadingFit bound = fit_loading(input);
    CHECK(bound.retained_mass == RetainedMass::upper_bound);
    CHECK_FALSE(bound.average_arrestance.has_value());
    CHECK_THAT(bound.notes.front(), Contains("upper bound"));
    CHECK(bound.law.growth_scale / g_per_m2 == Approx(50.0).epsilon(1e-6));   // all masses 1/0.8 too large
    input.stated_arrestance = Uncertain<double>(0.8);
    const LoadingFit stated = fit_loading(input);
    CHECK(stated.retained_mass == RetainedMass::stated_arrestance);
    CHECK(stated.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(1e-6));
    input.readings.back().dust_passed = Uncertain<Mass>(48 * g);
    const LoadingFit partly = fit_loading(input);
    CHECK(partly.retained_mass == RetainedMass::partly_weighed);
    CHECK_THAT(partly.notes.front(), Contains("times the average arrestance, 80 %"));
    input.readings.back().dust_passed = Uncertain<Mass>(14.2 * g);
    CHECK_THAT(fit_loading(input).notes.front(), Contains("times the average arrestance, 94.1 %"));
    CHECK(partly.law.growth_scale / g_per_m2 == Approx(40.0).epsilon(1e-6));
}

TEST_CASE("capacity at a final resistance", "[own][loading]") {
    const LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.5, 1, 0.5);
    const LoadingFit fit = fit_loading(input);
    const FinalResistance end{.pressure = 250 * Pa, .flow = 0.9 * m3_per_s};
    const DustHoldingCapacity capacity = dust_holding_capacity(fit, input.clean, end, air);
    // By hand: F = (250 - 20 0.81)/(70 0.9), W on the law's line.
    const double f = (250.0 - 20.0 * 0.81) / 63.0;
    const double at = std::exp(fit.law.transition / fit.law.growth_scale);
    const double w = f <= at ? fit.law.growth_scale.value() * std::log(f)
                             : fit.law.transition.value() + (f / at - 1.0) * fit.law.growth_scale.value();
    CHECK(capacity.per_area.value.value() == Approx(w).epsilon(1e-10));
    CHECK(capacity.retained.value.value() == Approx(1.6 * w).epsilon(1e-10));
    CHECK(capacity.fed->value.value() == Approx(1.6 * w / 0.8).epsilon(1e-10));
    CHECK(capacity.retained.standard_uncertainty().value() > 0.0);
    CHECK_FALSE(capacity.beyond_readings);
    CHECK(dust_holding_capacity(fit, input.clean, {.pressure = 900 * Pa, .flow = 0.9 * m3_per_s}, air).beyond_readings);
    CHECK_THROWS_WITH(dust_holding_capacity(fit, input.clean, {.pressure = 50 * Pa, .flow = 0.9 * m3_per_s}, air),
                      Contains("final resistance = 50 Pa") && Contains("79.2 Pa"));
}

TEST_CASE("dust fed until a final resistance, by increments of arrestance", "[own][loading]") {
    // 50 % passes in the first steps, none in the last: the average arrestance would misjudge what was fed.
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.0, 1, 0.5);
    double fed = 0.0, passed = 0.0;
    const std::vector<double> shares{0, 0.5, 0.5, 0.4, 0.3, 0.2, 0.1, 0.0};
    for (std::size_t i = 0; i < steps.size(); ++i) {
        const double step = steps[i] - fed;
        fed = steps[i];
        passed += shares[i] * step;
        const double retained = (fed - passed) * 1e-3 / 1.6;
        LoadingTestReading& reading = input.readings[i];
        reading.dust_passed = uncertain(passed * g, 0.2 * g, "weighing");
        const ElementCurve loaded = loaded_curve(input.clean.curve, fitted_law, MassPerArea::from_value(retained));
        reading.drop.value = pressure_drop(loaded, reading.flow.value, air);
    }
    const LoadingFit fit = fit_loading(input);
    const auto at = [&](double grams) {   // capacity at the pressure drop of so much dust retained
        const MassPerArea w = MassPerArea::from_value(grams * 1e-3 / 1.6);
        const Pressure drop = pressure_drop(loaded_curve(input.clean.curve, fit.law, w), 0.9 * m3_per_s, air);
        return dust_holding_capacity(fit, input.clean, {.pressure = drop, .flow = 0.9 * m3_per_s}, air);
    };
    // Retained 15, 30, 48, 69, 101, 137, 177 g of 30, 60, 90, 120, 160, 200, 240 g fed.
    CHECK(at(22.5).fed->value / g == Approx(45.0).epsilon(1e-7));
    CHECK(at(85.0).fed->value / g == Approx(140.0).epsilon(1e-7));
    CHECK(at(187.0).fed->value / g == Approx(250.0).epsilon(1e-7));   // beyond the last weighing: its arrestance
    CHECK(at(187.0).beyond_readings);
    CHECK(at(85.0).fed->standard_uncertainty() / g > 0.1);
}

TEST_CASE("fits that cannot be are refused with the reason", "[own][loading]") {
    CHECK_THROWS_WITH(fit_loading(simulated(fitted_law, {0, 60}, 1.6, 0.0, 1, 0.0)),
                      Contains("number of readings with dust = 1; required: at least the 2 parameters"));
    CHECK_THROWS_WITH(fit_loading(simulated(kinked_law, {0, 60, 90}, 1.6, 0.0, 1, 0.0)),
                      Contains("at least the 3 parameters"));
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.0, 1, 1.0);
    input.readings[3].drop = Pressure(130 * Pa);
    CHECK_THROWS_WITH(fit_loading(input), Contains("number of readings with an uncertainty = 6"));
    input = simulated(fitted_law, steps, 1.6, 0.0, 1, 1.0);
    std::swap(input.readings[3], input.readings[4]);
    CHECK_THROWS_WITH(fit_loading(input), Contains("running total"));
    input = simulated(fitted_law, steps, 1.6, 0.0, 1, 1.0);
    input.readings[3].dust_passed = Uncertain<Mass>(95 * g);
    CHECK_THROWS_WITH(fit_loading(input), Contains("reading 4: dust passed"));
    input = simulated(fitted_law, steps, 1.6, 0.0, 1, 1.0);
    for (auto& reading : input.readings) {
        reading.drop.value = pressure_drop(input.clean.curve, reading.flow.value, air);
    }
    CHECK_THROWS_AS(fit_loading(input), NoSolution);
    CHECK_THROWS_WITH(fit_loading(input), Contains("does not grow with the dust"));
}

TEST_CASE("what readings share does not loosen the fit's weights", "[own][loading]") {
    // Own flutter 1 Pa each, and a gain error of 5 % that all share with the clean curve.
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 1.0, 11, 1.0);
    const LoadingFit own = fit_loading(input);
    const InputHandle gain = elementary_input("manometer gain", 0.05);
    input.clean.linear.gradient.add(Gradient(gain), input.clean.curve.linear.value());
    input.clean.quadratic.gradient.add(Gradient(gain), input.clean.curve.quadratic.value());
    for (auto& reading : input.readings) reading.drop.gradient.add(Gradient(gain), reading.drop.value.value());
    const LoadingFit shared = fit_loading(input);
    CHECK(shared.chi_squared <= own.chi_squared);
    CHECK(shared.chi_squared == Approx(own.chi_squared).epsilon(0.03));
    CHECK(shared.parameters[0].value == Approx(own.parameters[0].value).epsilon(1e-12));
    CHECK(shared.parameters[0].standard_uncertainty() ==
          Approx(own.parameters[0].standard_uncertainty()).epsilon(0.02));
    // Nothing but the shared error: the scatter comes from the residuals.
    LoadingFitInput only = simulated(fitted_law, steps, 1.6, 1.0, 11, 0.0);
    for (auto& reading : only.readings) reading.drop.gradient.add(Gradient(gain), reading.drop.value.value());
    const LoadingFit scattered = fit_loading(only);
    CHECK_FALSE(scattered.lacks_fit);
    CHECK(scattered.parameters[0].standard_uncertainty() > 0.0);
}

TEST_CASE("an error of the clean curve is not taken for a lack of fit", "[own][loading]") {
    // A clean curve 3 % off, as its uncertainty says, and readings of 0.2 Pa: each reading departs from the law by far
    // more than its own uncertainty, all in the same way.
    LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.2, 12, 0.2);
    input.clean.curve.linear *= 1.03;
    input.clean.linear.value *= 1.03;
    const LoadingFit unaware = fit_loading(input);
    CHECK(unaware.lacks_fit);
    input.clean.linear.gradient.add(Gradient(elementary_input("clean curve", 0.03)), input.clean.curve.linear.value());
    const LoadingFit aware = fit_loading(input);
    CHECK_FALSE(aware.lacks_fit);
    CHECK(aware.chi_squared < 0.2 * unaware.chi_squared);
}

TEST_CASE("chi-squared of sound loading tests is spread as chance says", "[own][loading]") {
    // Own scatter of 0.5 Pa, a clean curve with 2 % of its own, the manometer's gain of 1 % shared by all.
    double sum = 0.0;
    std::size_t lacking = 0, freedom = 0;
    const std::size_t trials = filterflow::test::sweep_length(400);
    std::mt19937_64 random(77);
    std::normal_distribution<double> normal;
    for (std::size_t trial = 0; trial < trials; ++trial) {
        LoadingFitInput input = simulated(fitted_law, steps, 1.6, 0.5, static_cast<unsigned>(trial + 1), 0.5);
        const double clean = 1.0 + 0.02 * normal(random), gain = 1.0 + 0.01 * normal(random);
        const InputHandle clean_input = elementary_input("clean curve", 0.02);
        const InputHandle gain_input = elementary_input("gain", 0.01);
        input.clean.curve.linear *= clean;
        input.clean.linear.value *= clean;
        input.clean.linear.gradient.add(Gradient(clean_input), input.clean.curve.linear.value());
        for (auto& reading : input.readings) {
            reading.drop.value *= gain;
            reading.drop.gradient.add(Gradient(gain_input), reading.drop.value.value());
        }
        const LoadingFit fit = fit_loading(input);
        sum += fit.chi_squared;
        freedom = fit.degrees_of_freedom;
        lacking += fit.lacks_fit ? 1 : 0;
    }
    // Mean of chi-squared over its degrees of freedom: 1, known to sqrt(2 / (dof trials)); four of these.
    const double trials_number = static_cast<double>(trials), dof = static_cast<double>(freedom);
    CHECK(sum / (trials_number * dof) == Approx(1.0).margin(4.0 * std::sqrt(2.0 / (dof * trials_number)) + 0.03));
    CHECK(static_cast<double>(lacking) < 0.01 * trials_number + 4.0 * std::sqrt(0.01 * trials_number) + 1.0);
}
