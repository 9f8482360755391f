// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <boost/math/distributions/lognormal.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>

#include <filterflow/particle/size_distribution.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

TEST_CASE("the urban and rural distributions of ISO 16890-1", "[outside]") {
    const ReferenceTable table("iso16890_distribution.csv");   // from memory
    std::size_t i = 0;
    for (const auto& row : table) {
        const SizeDistribution d = row["distribution"] == "urban" ? urban_distribution() : rural_distribution();
        const LognormalMode& mode = d.modes.at(i++ % 2);
        CHECK(mode.weight == row.number("weight"));
        CHECK(mode.median / um == Approx(row.number("median_um")));
        CHECK(mode.geometric_standard_deviation == row.number("geometric_sd"));
    }
    CHECK(i == 4);
}

TEST_CASE("volume density at the channels", "[own]") {
    const ReferenceTable table("iso16890_weights.csv");   // densities computed beside the table
    for (const auto& row : table) {
        const Length size = geometric_mean({.lower = row.number("lower_um") * um, .upper = row.number("upper_um") * um});
        CHECK(volume_density(urban_distribution(), size) == Approx(row.number("q3_urban")).margin(1e-6));
        CHECK(volume_density(rural_distribution(), size) == Approx(row.number("q3_rural")).margin(1e-6));
    }
}

TEST_CASE("volume fractions agree with Boost's lognormal and with quadrature", "[own]") {
    const SizeDistribution d = urban_distribution();
    for (const auto& [lower, upper] : {std::pair{0.001, 0.3}, {0.3, 0.4}, {2.2, 3.0}, {10.0, 200.0}}) {
        double sum = 0.0;
        for (const LognormalMode& mode : d.modes) {
            const boost::math::lognormal boost_mode(std::log(mode.median / um),
                                                    std::log(mode.geometric_standard_deviation));
            sum += mode.weight * (boost::math::cdf(boost_mode, upper) - boost::math::cdf(boost_mode, lower));
        }
        const double fraction = volume_fraction(d, {.lower = lower * um, .upper = upper * um});
        CHECK(fraction == Approx(sum).epsilon(1e-9));
        const double integral = boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
            [&](double x) { return volume_density(d, std::exp(x) * um); }, std::log(lower), std::log(upper));
        CHECK(fraction == Approx(integral).epsilon(1e-8));
    }
}

TEST_CASE("fractions add up to the whole, far tails included", "[own]") {
    const SizeDistribution d = rural_distribution();
    CHECK(volume_fraction(d, sizes_above(0 * um)) == Approx(1.0).epsilon(1e-14));
    CHECK(volume_fraction(d, sizes_above(3 * um)) + volume_fraction(d, {.lower = 0 * um, .upper = 3 * um}) ==
          Approx(1.0).epsilon(1e-14));
    const SizeDistribution narrow{.name = "narrow", .modes = {{1.0, 1 * um, 1.2}}};
    const double tail = volume_fraction(narrow, {.lower = 4 * um, .upper = 5 * um});   // 7.6 standard deviations out
    CHECK(tail > 0.0);
    CHECK(tail == Approx(0.5 * (std::erfc(std::log(4.0) / std::log(1.2) / std::sqrt(2.0)) -
                                std::erfc(std::log(5.0) / std::log(1.2) / std::sqrt(2.0)))).epsilon(1e-12));
}

TEST_CASE("distributions that are none are refused", "[own]") {
    SizeDistribution d = urban_distribution();
    d.modes[0].weight = 0.5;
    CHECK_THROWS_WITH(volume_fraction(d, sizes_above(1 * um)), Contains("sum of the modes' weights = 1.05"));
    d = urban_distribution();
    d.modes[1].geometric_standard_deviation = 1.0;
    CHECK_THROWS_WITH(volume_density(d, 1 * um), Contains("required: > 1"));
    CHECK_THROWS_AS(volume_density(urban_distribution(), 0 * um), DomainError);
    CHECK_THROWS_AS(volume_fraction(SizeDistribution{}, sizes_above(1 * um)), DomainError);
}
