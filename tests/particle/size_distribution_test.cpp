// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <type_traits>
#include <vector>

#include <boost/math/distributions/lognormal.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/size_distribution.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

TEST_CASE("the urban and rural distributions of ISO 16890-1, from memory", "[own]") {
    // No copy of the standard was at hand: tests/reference/iso16890_distribution.csv is from memory as the code is, and
    // guards against slips of the pen alone.
    const ReferenceTable table("iso16890_distribution.csv");
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
        const Length size =
            geometric_mean({.lower = row.number("lower_um") * um, .upper = row.number("upper_um") * um});
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

TEST_CASE("Hatch and Choate's medians and means", "[own]") {
    // Second method: quadrature of d^q times the lognormal density, median by the cumulated integral.
    const double cmd = 0.4, gsd = 1.9, width = std::log(gsd);
    const auto moment = [&](double q, double upper) {
        return boost::math::quadrature::gauss_kronrod<double, 61>::integrate(
            [&](double x) {
                const double z = (x - std::log(cmd)) / width;
                return std::exp(q * x - 0.5 * z * z);
            },
            std::log(cmd) - 10 * width, upper, 15, 1e-13);
    };
    const double end = std::log(cmd) + 14 * width;
    for (const auto& [weighting, q] : {std::pair{SizeWeighting::length, 1.0}, {SizeWeighting::surface, 2.0},
                                       {SizeWeighting::volume, 3.0}}) {
        const Length median = hatch_choate_median({cmd * um, gsd}, SizeWeighting::number, weighting);
        CHECK(moment(q, std::log(median / um)) / moment(q, end) == Approx(0.5).epsilon(1e-9));
        CHECK(hatch_choate_median({median, gsd}, weighting, SizeWeighting::number) / um == Approx(cmd).epsilon(1e-13));
    }
    // d_vs = CMD exp(2.5 ln^2 s) = MMD exp(-0.5 ln^2 s)
    const SizeDistribution d{.name = "one mode", .modes = {{1.0, cmd * um, gsd}}, .weighting = SizeWeighting::number};
    const double sauter = moment(3, end) / moment(2, end);
    CHECK(mean_size(d, SizeWeighting::volume, SizeWeighting::surface) / um == Approx(sauter).epsilon(1e-9));
    CHECK(sauter == Approx(cmd * std::exp(2.5 * width * width)).epsilon(1e-9));
    CHECK(sauter == Approx(weighted_by(d, SizeWeighting::volume).modes[0].median / um * std::exp(-0.5 * width * width))
                        .epsilon(1e-9));
    CHECK(mean_size(d, SizeWeighting::length, SizeWeighting::number) / um ==
          Approx(moment(1, end) / moment(0, end)).epsilon(1e-9));
}

TEST_CASE("a mixture counted otherwise", "[own]") {
    // Second method: quadrature of the number density times d^3.
    const SizeDistribution d{.name = "two modes",
                             .modes = {{0.99, 0.05 * um, 1.8}, {0.01, 1.1 * um, 2.1}},
                             .weighting = SizeWeighting::number};
    const auto volume_in = [&](double lower, double upper) {
        return boost::math::quadrature::gauss_kronrod<double, 61>::integrate(
            [&](double x) {
                double sum = 0;
                for (const LognormalMode& mode : d.modes) {
                    const double w = std::log(mode.geometric_standard_deviation);
                    const double z = (x - std::log(mode.median / um)) / w;
                    sum += mode.weight / w * std::exp(3 * x - 0.5 * z * z);
                }
                return sum;
            },
            std::log(lower), std::log(upper), 15, 1e-12);
    };
    const double whole = volume_in(1e-4, 1e4);
    for (const auto& [lower, upper] : {std::pair{0.01, 0.3}, {0.3, 1.0}, {1.0, 10.0}}) {
        const SizeRange range{.lower = lower * um, .upper = upper * um};
        CHECK(volume_fraction(d, range) == Approx(volume_in(lower, upper) / whole).epsilon(1e-8));
        CHECK(size_fraction(d, range, SizeWeighting::volume) == volume_fraction(d, range));
        const double integral = boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
            [&](double x) { return volume_density(d, std::exp(x) * um); }, std::log(lower), std::log(upper));
        CHECK(volume_fraction(d, range) == Approx(integral).epsilon(1e-8));
    }
    const SizeDistribution back = weighted_by(weighted_by(d, SizeWeighting::volume), SizeWeighting::number);
    for (std::size_t i = 0; i < 2; ++i) {
        CHECK(back.modes[i].weight == Approx(d.modes[i].weight).epsilon(1e-12));
        CHECK(back.modes[i].median / um == Approx(d.modes[i].median / um).epsilon(1e-12));
    }
    // Number lies in small sizes, volume in large ones, surface between.
    const SizeRange fine{.lower = 0 * um, .upper = 0.3 * um};
    CHECK(size_fraction(d, fine, SizeWeighting::number) > size_fraction(d, fine, SizeWeighting::surface));
    CHECK(size_fraction(d, fine, SizeWeighting::surface) > size_fraction(d, fine, SizeWeighting::volume));
}

TEST_CASE("derivatives of Hatch and Choate's median", "[own]") {
    using D = Dual<2>;
    const D x = hatch_choate_median<D>({BasicLength<D>::from_value(D::input(0.4e-6, 0)), D::input(1.9, 1)},
                                       SizeWeighting::number, SizeWeighting::volume).value();
    const auto plain = [](double deviation) {
        return hatch_choate_median({0.4 * um, deviation}, SizeWeighting::number, SizeWeighting::volume).value();
    };
    CHECK(x.derivative[0] == Approx(plain(1.9) / 0.4e-6).epsilon(1e-12));
    CHECK(x.derivative[1] == Approx((plain(1.9001) - plain(1.8999)) / 2e-4).epsilon(1e-6));
}

TEST_CASE("derivatives of fractions, densities and means", "[own]") {
    // Second method: central differences of the double functions. Inputs: first weight (the second is the rest), median
    // and deviation of the first mode, median of the second.
    using D = Dual<4>;
    constexpr std::array<double, 4> at{0.7, 0.08e-6, 1.8, 1.1e-6};
    const auto modes = [](auto share, auto first, auto deviation, auto second, SizeWeighting weighting) {
        using T = decltype(share);
        BasicSizeDistribution<T> d;
        d.name = "two modes";
        d.modes = {{share, BasicLength<T>::from_value(first), deviation},
                   {T(1) - share, BasicLength<T>::from_value(second), T(2.1)}};
        d.weighting = weighting;
        return d;
    };
    const SizeRange middle{.lower = 0.2 * um, .upper = 0.9 * um}, top = sizes_above(0.5 * um);
    const SizeRange bottom{.lower = 0 * um, .upper = 0.3 * um};
    const auto results = [&](const auto& d) {
        using T = std::decay_t<decltype(d.modes[0].weight)>;
        return std::vector<T>{size_fraction(d, middle, SizeWeighting::number),
                              size_fraction(d, middle, SizeWeighting::surface),
                              volume_fraction(d, top),
                              volume_fraction(d, bottom),
                              volume_density<T>(d, BasicLength<T>::from_value(T(0.6e-6))),
                              T(mean_size(d, SizeWeighting::volume, SizeWeighting::surface).value()) * T(1e6),
                              weighted_by(d, SizeWeighting::volume).modes[0].weight};
    };
    for (const SizeWeighting weighting : {SizeWeighting::number, SizeWeighting::volume}) {
        const auto dual = results(modes(D::input(at[0], 0), D::input(at[1], 1), D::input(at[2], 2), D::input(at[3], 3),
                                        weighting));
        const auto plain = results(modes(at[0], at[1], at[2], at[3], weighting));
        for (std::size_t i = 0; i < 4; ++i) {
            const double change = 1e-5 * at[i];
            const auto shifted = [&](double step) {
                std::array<double, 4> x = at;
                x[i] += step;
                return results(modes(x[0], x[1], x[2], x[3], weighting));
            };
            const auto above = shifted(change), below = shifted(-change);
            for (std::size_t k = 0; k < plain.size(); ++k) {
                INFO("input " << i << ", result " << k);
                CHECK(dual[k].value == Approx(plain[k]).epsilon(1e-13));
                CHECK(dual[k].derivative[i] * at[i] ==
                      Approx((above[k] - below[k]) / 2e-5).epsilon(2e-6).margin(1e-9));
            }
        }
    }
}

TEST_CASE("conversions of what is no distribution are refused", "[own]") {
    CHECK_THROWS_WITH(hatch_choate_median({1 * um, 1.0}, SizeWeighting::number, SizeWeighting::volume),
                      Contains("geometric_standard_deviation = 1; required: > 1"));
    CHECK_THROWS_WITH(hatch_choate_median({-1 * um, 2.0}, SizeWeighting::number, SizeWeighting::volume),
                      Contains("median"));
    CHECK_THROWS_WITH(mean_size(urban_distribution(), SizeWeighting::volume, SizeWeighting::volume),
                      Contains("another than above"));
    CHECK_THROWS_AS(weighted_by({.name = "none", .modes = {}}, SizeWeighting::number), DomainError);
}
