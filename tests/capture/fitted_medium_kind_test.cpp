// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <vector>

#include <filterflow/capture/band_estimate.hpp>
#include <filterflow/capture/fitted_medium_kind.hpp>
#include <filterflow/capture/single_fibre_fit.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// A fit as fit_fibres returns it, of a medium like a pleated one.
FibreFit fitted_pleat(double charge_uC) {
    FibreFit fit;
    fit.layer.medium = {.thickness = 1 * mm, .geometric_fibre_diameter = 12 * um, .solidity = 0.06};
    fit.layer.theory.electric = ElectricTerm::electret;
    fit.fibre_diameter = uncertain(12 * um, 0.6 * um, "diameter");
    fit.solidity = uncertain(0.06, 0.003, "solidity");
    if (charge_uC > 0.0) {
        fit.surface_charge = uncertain(charge_uC * uC_per_m2, 0.1 * charge_uC * uC_per_m2, "charge");
        fit.charge_verdict = ChargeVerdict::identified;
    } else {
        fit.charge_verdict = ChargeVerdict::within_noise;
    }
    fit.converged = true;
    return fit;
}

const Interval<Velocity> counted_at{0.2 * m_per_s, 0.2 * m_per_s};

}   // namespace

TEST_CASE("a fit becomes a kind of medium with its uncertainties", "[own]") {
    const MediumKind kind = fitted_medium_kind("this pleat", fitted_pleat(30), counted_at);
    CHECK(kind.name == "this pleat");
    CHECK(kind.thickness.lower == 1 * mm);
    CHECK(kind.charged_share == 1.0);
    // Second method: variance of the logarithm over the range, by quadrature.
    const auto deviation = [](double lower, double upper) {
        double squares = 0.0;
        for (int i = 0; i < 1000; ++i) {
            const double x = (i + 0.5) / 1000 - 0.5;
            squares += x * x / 1000;
        }
        return std::sqrt(squares) * std::log(upper / lower);
    };
    CHECK(deviation(kind.solidity.lower, kind.solidity.upper) == Approx(0.05).epsilon(1e-4));
    CHECK(deviation(kind.geometric_fibre_diameter.lower.value(), kind.geometric_fibre_diameter.upper.value()) ==
          Approx(0.05).epsilon(1e-4));
    CHECK(deviation(kind.surface_charge.lower.value(), kind.surface_charge.upper.value()) ==
          Approx(0.1).epsilon(1e-4));
    CHECK(std::sqrt(kind.solidity.lower * kind.solidity.upper) == Approx(0.06));
    CHECK(fitted_medium_kind("bare", fitted_pleat(0), counted_at).charged_share == 0.0);
}

TEST_CASE("a fit to the filter at hand narrows the estimate from two bands and keeps the truth", "[own]") {
    const std::vector<SizeRange> bands{{.lower = 0.5 * um, .upper = 2.5 * um}, sizes_above(2.5 * um)};
    const AirState air = duct_design_air();
    CapturePrior open = typical_capture_prior();
    open.media = 4096;
    open.draws_per_medium = 8;
    CapturePrior fitted = open;
    fitted.kinds = {fitted_medium_kind("this pleat", fitted_pleat(30), counted_at)};
    // What the bands would read behind that very medium: one draw without any error.
    CapturePrior truth = fitted;
    truth.theory_factor = truth.threshold_factor = {1.0, 1.0};
    truth.theory_slope = truth.leak_share = {0.0, 0.0};
    truth.number_slope = {3.0, 3.0};
    truth.kinds[0].solidity = {0.06, 0.06};
    truth.kinds[0].geometric_fibre_diameter = {12 * um, 12 * um};
    truth.kinds[0].surface_charge = {30 * uC_per_m2, 30 * uC_per_m2};
    truth.media = 100;
    truth.draws_per_medium = 1;
    const BandDraws one = band_draws(bands, truth, air);
    FractionalEfficiency read;
    for (std::size_t b = 0; b < 2; ++b) {
        read.ranges.push_back(stated_efficiency(bands[b], uncertain(1 - one.penetration[b], 0.03, "band")));
    }
    const BandEstimate wide = estimate_from_bands(read, band_draws(bands, open, air));
    const BandEstimate narrow = estimate_from_bands(read, band_draws(bands, fitted, air));
    REQUIRE(wide.averages);
    REQUIRE(narrow.averages);
    for (std::size_t g = 0; g < 3; ++g) {
        const Interval<double>& within = (*narrow.averages)[g].interval;
        CHECK(within.lower <= one.averages[0][g]);
        CHECK(within.upper >= one.averages[0][g]);
    }
    const auto width = [](const BandEstimate& e) {
        const Interval<double>& E1 = (*e.averages)[0].interval;
        return E1.upper - E1.lower;
    };
    CHECK(width(narrow) < 0.8 * width(wide));
}

TEST_CASE("a fit that does not tell its fibres is refused as a kind of medium", "[own]") {
    FibreFit fit = fitted_pleat(30);
    fit.converged = false;
    CHECK_THROWS_WITH(fitted_medium_kind("x", fit, counted_at), Contains("did not converge"));
    fit = fitted_pleat(30);
    fit.at_limit = true;
    CHECK_THROWS_WITH(fitted_medium_kind("x", fit, counted_at), Contains("limit of its search"));
    fit = fitted_pleat(30);
    fit.charge_verdict = ChargeVerdict::not_separable;
    CHECK_THROWS_WITH(fitted_medium_kind("x", fit, counted_at), Contains("second velocity"));
    fit = fitted_pleat(30);
    fit.layer.theory.impaction = ImpactionTerm::trajectories;
    CHECK_THROWS_WITH(fitted_medium_kind("x", fit, counted_at), Contains("another theory"));
    fit = fitted_pleat(30);
    fit.solidity = uncertain(0.06, 0.04, "solidity");
    CHECK_THROWS_WITH(fitted_medium_kind("x", fit, counted_at),
                      Contains("relative standard uncertainty of solidity = 0.666667; required: from 0 to 0.5"));
    CHECK_THROWS_WITH(fitted_medium_kind("x", fitted_pleat(30), {0 * m_per_s, 1 * m_per_s}),
                      Contains("velocity.lower = 0"));
}
