// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <random>

#include <filterflow/loading/loading_law.hpp>
#include <filterflow/numeric/dual.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const LoadingLaw smooth{LoadingForm::smooth, ReferenceArea::media, 90 * g_per_m2, 120 * g_per_m2, {}};
const LoadingLaw kinked{LoadingForm::kinked, ReferenceArea::media, 90 * g_per_m2, 120 * g_per_m2, 0.06 * m2_per_g};
const LoadingLaw exponential{LoadingForm::exponential, ReferenceArea::face, 90 * g_per_m2, {}, {}};
const LoadingLaw linear{.form = LoadingForm::linear, .cake_slope = 0.03 * m2_per_g};
const LoadingLaw quadratic{.form = LoadingForm::quadratic, .cake_slope = 0.01 * m2_per_g, .curvature = 90 * m4_per_kg2};
const LoadingLaw two_population{
    .form = LoadingForm::two_population, .surface_growth = 0.008 * m2_per_g, .length_growth = 0.02 * m2_per_g};
const ElementCurve clean{60 * Pa_s_per_m3, 25 * Pa_s2_per_m6, duct_design_air()};

}   // namespace

TEST_CASE("the factor: exponential, then a line", "[own][loading]") {
    CHECK(resistance_factor(smooth, 0 * g_per_m2) == 1.0);
    CHECK(resistance_factor(smooth, 60 * g_per_m2) == Approx(std::exp(60.0 / 90.0)).epsilon(1e-14));
    const double at = std::exp(120.0 / 90.0);
    CHECK(resistance_factor(smooth, 200 * g_per_m2) == Approx(at * (1.0 + 80.0 / 90.0)).epsilon(1e-14));
    CHECK(resistance_factor(kinked, 200 * g_per_m2) == Approx(at + 0.06 * 80.0).epsilon(1e-14));
    CHECK(resistance_factor(exponential, 200 * g_per_m2) == Approx(std::exp(200.0 / 90.0)).epsilon(1e-14));
}

TEST_CASE("the factor of the other forms, by hand", "[own][loading]") {
    CHECK(resistance_factor(linear, 50 * g_per_m2) == Approx(2.5).epsilon(1e-14));
    CHECK(resistance_factor(quadratic, 100 * g_per_m2) == Approx(1.0 + 1.0 + 0.9).epsilon(1e-14));
    CHECK(resistance_factor(two_population, 100 * g_per_m2) == Approx(std::sqrt(3.0) * 1.8).epsilon(1e-14));
    for (const LoadingLaw& law : {linear, quadratic, two_population}) {
        CHECK(resistance_factor(law, 0 * g_per_m2) == 1.0);
        CHECK(mass_at_resistance_factor(law, 1.0).value() == 0.0);
    }
    const LoadingLaw square{.form = LoadingForm::quadratic, .curvature = 90 * m4_per_kg2};
    CHECK(resistance_factor(square, 100 * g_per_m2) == Approx(1.9).epsilon(1e-14));
    CHECK(mass_at_resistance_factor(square, 1.9) / g_per_m2 == Approx(100.0).epsilon(1e-13));
}

TEST_CASE("slopes and derivatives of the inverse, all forms", "[own][loading]") {
    using D = Dual<1>;
    for (const LoadingLaw& law : {smooth, kinked, exponential, linear, quadratic, two_population}) {
        for (const double w : {0.02, 0.09, 0.2}) {
            const double d = 1e-6 * w;
            const auto factor = [&](double at) { return resistance_factor(law, MassPerArea::from_value(at)); };
            const double slope = (factor(w + d) - factor(w - d)) / (2.0 * d);
            CHECK(resistance_factor_slope(law, MassPerArea::from_value(w)).value() == Approx(slope).epsilon(1e-8));
            // dW/dF by the implicit function theorem, where the inverse is by Newton's method too.
            BasicLoadingLaw<D> dual{law.form, law.reference};
            dual.growth_scale = BasicMassPerArea<D>::from_value(D(law.growth_scale.value()));
            dual.transition = BasicMassPerArea<D>::from_value(D(law.transition.value()));
            dual.cake_slope = BasicAreaPerMass<D>::from_value(D(law.cake_slope.value()));
            dual.curvature = BasicAreaPerMassSquared<D>::from_value(D(law.curvature.value()));
            dual.surface_growth = BasicAreaPerMass<D>::from_value(D(law.surface_growth.value()));
            dual.length_growth = BasicAreaPerMass<D>::from_value(D(law.length_growth.value()));
            const auto mass = mass_at_resistance_factor(dual, D::input(factor(w), 0));
            CHECK(mass.value().value == Approx(w).epsilon(1e-13));
            CHECK(mass.value().derivative[0] == Approx(1.0 / slope).epsilon(1e-8));
        }
    }
}

TEST_CASE("both forms are continuous and the smooth one has a continuous slope", "[own][loading]") {
    for (const LoadingLaw& law : {smooth, kinked}) {
        const double below = resistance_factor(law, 119.999999 * g_per_m2);
        const double above = resistance_factor(law, 120.000001 * g_per_m2);
        CHECK(above > below);
        CHECK(above - below < 3e-7);
    }
    using D = Dual<1>;
    const BasicLoadingLaw<D> law{LoadingForm::smooth,
                                 ReferenceArea::media,
                                 BasicMassPerArea<D>::from_value(D(0.09)),
                                 BasicMassPerArea<D>::from_value(D(0.12)),
                                 {}};
    const auto slope = [&](double w) {
        return resistance_factor(law, BasicMassPerArea<D>::from_value(D::input(w, 0))).derivative[0];
    };
    CHECK(slope(0.12 - 1e-12) == Approx(slope(0.12 + 1e-12)).epsilon(1e-10));
}

TEST_CASE("growth is monotone and the inverse exact, random laws", "[own][loading]") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    for (int i = 0; i < 2000; ++i) {
        const auto form = static_cast<LoadingForm>(i % 6);
        const LoadingLaw law{form,
                             ReferenceArea::media,
                             (10 + 300 * uniform(random)) * g_per_m2,
                             400 * uniform(random) * g_per_m2,
                             (1e-4 + uniform(random)) * m2_per_g,
                             1e4 * uniform(random) * m4_per_kg2,
                             std::pow(10.0, -4.0 + 4.0 * uniform(random)) * m2_per_g,
                             std::pow(10.0, -4.0 + 4.0 * uniform(random)) * m2_per_g};
        const double w = 600.0 * uniform(random);
        const double step = 1e-3 + uniform(random);
        const double factor = resistance_factor(law, w * g_per_m2);
        if (factor > 1e12) continue;
        CHECK(resistance_factor(law, (w + step) * g_per_m2) > factor);
        // A flat line after a large factor loses digits of the mass, never of the factor.
        const MassPerArea back = mass_at_resistance_factor(law, factor);
        CHECK(resistance_factor(law, back) == Approx(factor).epsilon(1e-13));
        if (factor < 1e3) CHECK(back / g_per_m2 == Approx(w).epsilon(1e-8).margin(1e-8));
    }
}

TEST_CASE("dust multiplies the viscous part only", "[own][loading]") {
    const AirState air = duct_design_air();
    const ElementCurve loaded = loaded_curve(clean, smooth, 80 * g_per_m2);
    const double f = std::exp(80.0 / 90.0);
    CHECK(pressure_drop(loaded, 0.8 * m3_per_s, air) / Pa == Approx(60.0 * f * 0.8 + 25.0 * 0.64).epsilon(1e-13));
    // Scaling the whole curve to the same pressure at full flow is several percent low at part flow (physics: the
    // inertial part falls faster).
    const double whole = pressure_drop(loaded, 1.0 * m3_per_s, air) / pressure_drop(clean, 1.0 * m3_per_s, air);
    const double scaled = whole * (pressure_drop(clean, 0.6 * m3_per_s, air) / Pa);
    CHECK(scaled < 0.97 * (pressure_drop(loaded, 0.6 * m3_per_s, air) / Pa));
}

TEST_CASE("dust at a final resistance is the inverse at that flow and air", "[own][loading]") {
    const AirState air = moist_air({.temperature = from_celsius(31), .pressure = 92 * kPa, .relative_humidity = 0.6});
    for (const LoadingLaw& law : {smooth, kinked, exponential, linear, quadratic, two_population}) {
        for (const double dp : {120.0, 250.0, 600.0}) {
            const MassPerArea w =
                mass_at_final_resistance(clean, law, {.pressure = dp * Pa, .flow = 0.9 * m3_per_s}, air);
            CHECK(pressure_drop(loaded_curve(clean, law, w), 0.9 * m3_per_s, air) / Pa == Approx(dp).epsilon(1e-12));
        }
    }
    CHECK_THROWS_WITH(
        mass_at_final_resistance(clean, smooth, {.pressure = 60 * Pa, .flow = 1.0 * m3_per_s}, duct_design_air()),
        Contains("final resistance = 60 Pa") && Contains("clean pressure drop 85 Pa at 1 m3/s"));
}

TEST_CASE("a kinked law may tell that its slope falls", "[own][loading]") {
    CHECK_FALSE(slope_falls_at_transition(kinked));
    LoadingLaw flat = kinked;
    flat.cake_slope = 0.02 * m2_per_g;   // the exponential ends with a slope of 0.042 m2/g
    CHECK(slope_falls_at_transition(flat));
    CHECK_FALSE(slope_falls_at_transition(smooth));
}

TEST_CASE("a loading law refuses parameters outside their range", "[own][loading]") {
    LoadingLaw law = smooth;
    law.growth_scale = 0 * g_per_m2;
    CHECK_THROWS_WITH(resistance_factor(law, 1 * g_per_m2), Contains("growth_scale = 0 kg/m2; required: > 0"));
    CHECK_THROWS_WITH(resistance_factor(smooth, -1 * g_per_m2), Contains("retained = -0.001 kg/m2; required: >= 0"));
    CHECK_THROWS_WITH(resistance_factor(exponential, 1e6 * g_per_m2), Contains("result"));
    CHECK_THROWS_WITH(mass_at_resistance_factor(smooth, 0.9), Contains("factor = 0.9; required: >= 1"));
    CHECK_THROWS_AS(mass_at_resistance_factor(smooth, std::nan("")), DomainError);
    law = kinked;
    law.cake_slope = 0 * m2_per_g;
    CHECK_THROWS_AS(resistance_factor(law, 1 * g_per_m2), DomainError);
    law = {.form = LoadingForm::quadratic};
    CHECK_THROWS_WITH(resistance_factor(law, 1 * g_per_m2), Contains("curvature = 0 m4/kg2; required: > 0 where"));
    law = {.form = LoadingForm::linear, .cake_slope = -1 * m2_per_kg};
    CHECK_THROWS_WITH(resistance_factor(law, 1 * g_per_m2), Contains("cake_slope = -1 m2/kg"));
    law = {.form = LoadingForm::two_population, .length_growth = 1 * m2_per_kg};
    CHECK_THROWS_WITH(resistance_factor(law, 1 * g_per_m2), Contains("surface_growth = 0 m2/kg; required: > 0"));
}
