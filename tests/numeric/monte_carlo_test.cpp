// SPDX-License-Identifier: BSL-1.0
// Monte Carlo propagation against the worked examples of JCGM 101 and against closed forms; when it stops, what it says
// of first order, and how often its intervals cover.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/monte_carlo.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

#include "support/catch.hpp"
#include "support/gum_examples.hpp"
#include "support/kolmogorov_smirnov.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using filterflow::test::ReferenceTable;

namespace {

constexpr auto sum_of_four = [](const auto& x) { return std::array{x[0] + x[1] + x[2] + x[3]}; };

/// Options for a million draws, fewer in shortened runs.
MonteCarloOptions million(double probability = 0.95) {
    return {.seed = 12, .probability = probability, .significant_digits = 9,
            .greatest_draws = std::max<std::size_t>(100000, test::sweep_length(1000000) / 10000 * 10000)};
}
/// How much wider tolerances are in shortened runs.
double widened() { return std::sqrt(1e6 / static_cast<double>(million().greatest_draws)); }

Uncertain<double> rectangular(double value, double u, const char* name) {
    return plus_minus(value, u * std::sqrt(3.0), StatedMeaning::rectangular, name);
}

}   // namespace

TEST_CASE("JCGM 101 9.2.2 and 9.2.3: sums of four normals and of four rectangular inputs", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    std::array<Uncertain<double>, 4> normals, rectangulars;
    for (auto& x : normals) x = uncertain(0.0, 1.0, "normal");
    for (auto& x : rectangulars) x = rectangular(0.0, 1.0, "rectangular");
    const std::string margin = test::example_cell(table, "JCGM 101 9.2.2", "MCM tolerance");   // "about +/- 0.01"
    const double tolerance = std::stod(margin.substr(margin.find("+/- ") + 4)) * widened();
    for (const bool normal : {true, false}) {
        const std::string example = normal ? "JCGM 101 9.2.2" : "JCGM 101 9.2.3";
        const std::string cell = test::example_cell(table, example, "95 % interval");   // "+/- 3.91993"
        const double end = std::stod(cell.substr(4));
        const MonteCarloResult y = monte_carlo(sum_of_four, normal ? normals : rectangulars, million())[0];
        CHECK(y.values.size() == million().greatest_draws);
        CHECK(y.estimate == Approx(0.0).margin(tolerance));
        CHECK(y.standard_uncertainty ==
              Approx(std::stod(test::example_cell(table, example, "u"))).margin(0.5 * tolerance));
        CHECK(y.symmetric.lower == Approx(-end).margin(tolerance));
        CHECK(y.symmetric.upper == Approx(end).margin(tolerance));
        CHECK(y.shortest.upper - y.shortest.lower == Approx(2.0 * end).margin(2.0 * tolerance));
        CHECK(y.shortest.upper - y.shortest.lower <= y.symmetric.upper - y.symmetric.lower);
    }
}

TEST_CASE("JCGM 101 9.2.4: one rectangular input ten times as wide", "[outside]") {
    // Digits from memory: u = 10.1 (103^0.5), first order -+19.9, Monte Carlo -+17.0; first order is not validated.
    const std::array inputs{rectangular(0.0, 1.0, "a"), rectangular(0.0, 1.0, "b"), rectangular(0.0, 1.0, "c"),
                            rectangular(0.0, 10.0, "d")};
    const MonteCarloResult y = monte_carlo(sum_of_four, inputs, million())[0];
    CHECK(y.standard_uncertainty == Approx(std::sqrt(103.0)).margin(0.02 * widened()));
    CHECK(y.symmetric.upper == Approx(17.0).margin(0.05 * widened()));
    CHECK(y.symmetric.lower == Approx(-17.0).margin(0.05 * widened()));
    const FirstOrderCheck check = check_first_order(propagate<4>(sum_of_four, inputs)[0], y, 2);
    CHECK(check.first_order.upper == Approx(19.9).margin(0.05));
    CHECK(check.status == FirstOrderStatus::fails);
    CHECK(check.upper_difference == Approx(2.9).margin(0.1));
}

TEST_CASE("JCGM 101 9.3: calibration of a mass", "[outside]") {
    // Digits from memory. First order u = 0.0539 mg, as it does not see the densities; Monte Carlo 1.2341 mg, u =
    // 0.0754 mg, shortest interval 1.0834 to 1.3825 mg.
    const std::array inputs{uncertain(100000.000, 0.050, "m_Rc / mg"), uncertain(1.234, 0.020, "dm_Rc / mg"),
                            between_limits(1.10, 1.30, "air"), between_limits(7000.0, 9000.0, "rho_W"),
                            between_limits(7950.0, 8050.0, "rho_R")};
    const auto model = [](const auto& x) {
        return std::array{(x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - 100000.0};
    };
    const Uncertain<double> first = propagate<5>(model, inputs)[0];
    CHECK(first.standard_uncertainty() == Approx(0.0539).margin(0.00005));
    const MonteCarloResult y = monte_carlo(model, inputs, million())[0];
    CHECK(y.estimate == Approx(1.2341).margin(0.0003 * widened()));
    CHECK(y.standard_uncertainty == Approx(0.0754).margin(0.0003 * widened()));
    CHECK(y.shortest.lower == Approx(1.0834).margin(0.002 * widened()));
    CHECK(y.shortest.upper == Approx(1.3825).margin(0.002 * widened()));
    CHECK(check_first_order(first, y, 1, CoverageKind::shortest).status == FirstOrderStatus::fails);
}

TEST_CASE("JCGM 101 9.4: the loss of a comparison, where first order is blind", "[outside]") {
    // y = x1^2 + x2^2 with u = 0.005 for both. Digits of the second case from memory.
    const auto model = [](const auto& x) { return std::array{x[0] * x[0] + x[1] * x[1]}; };
    const std::array at_zero{uncertain(0.0, 0.005, "x1"), uncertain(0.0, 0.005, "x2")};
    const MonteCarloResult none = monte_carlo(model, at_zero, million())[0];
    CHECK(none.estimate * 1e6 == Approx(50.0).margin(0.5 * widened()));
    CHECK(none.standard_uncertainty * 1e6 == Approx(50.0).margin(0.5 * widened()));
    CHECK(none.shortest.lower * 1e6 == Approx(0.0).margin(0.1));
    CHECK(none.shortest.upper * 1e6 == Approx(149.8).margin(1.5 * widened()));   // -2 u^2 ln 0.05: y is exponential
    const FirstOrderCheck blind = check_first_order(propagate<2>(model, at_zero)[0], none, 2, CoverageKind::shortest);
    CHECK(blind.first_order.upper == 0.0);
    CHECK(blind.status == FirstOrderStatus::fails);
    const std::array at_ten{uncertain(0.010, 0.005, "x1"), uncertain(0.0, 0.005, "x2")};
    const MonteCarloResult some = monte_carlo(model, at_ten, million())[0];
    CHECK(some.estimate * 1e6 == Approx(150.0).margin(0.6 * widened()));
    CHECK(some.standard_uncertainty * 1e6 == Approx(112.0).margin(0.8 * widened()));
    CHECK(some.shortest.upper * 1e6 == Approx(367.0).margin(4.0 * widened()));
}

namespace {

/// The end gauge of GUM H.1 and JCGM 101 9.5: length of the standard, difference (read, random and systematic errors of
/// the comparator), difference of expansion, temperature, expansion, difference of temperature; nm and K.
std::array<Uncertain<double>, 6> end_gauge(double u_d, double u_d1, double u_d2) {
    return {uncertain(50000623.0, 25.0, "l_s", 18),
            uncertain(215.0, u_d, "d0", 24) + uncertain(0.0, u_d1, "d1", 5) + uncertain(0.0, u_d2, "d2", 8),
            plus_minus(0.0, 1e-6, StatedMeaning::rectangular, "da", 0.1),
            uncertain(-0.1, 0.2, "theta") + plus_minus(0.0, 0.5, StatedMeaning::arcsine, "cyclic"),
            plus_minus(11.5e-6, 2e-6, StatedMeaning::rectangular, "a_s"),
            plus_minus(0.0, 0.05, StatedMeaning::rectangular, "dtheta", 0.5)};
}
/// Its deviation from 50 mm.
constexpr auto gauge_deviation = [](const auto& x) {
    return std::array{x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5]) - 5e7};
};

}   // namespace

TEST_CASE("JCGM 101 9.5 and GUM H.1: the end gauge", "[outside]") {
    // JCGM 101's inputs and digits from memory: 838 nm above nominal, u = 36 nm where first order has 32 nm. Its 99 %
    // interval is remembered in more than one way and so not compared; see the next case.
    MonteCarloOptions options = million(0.99);
    const MonteCarloResult l = monte_carlo(gauge_deviation, end_gauge(6.0, 4.0, 7.0), options)[0];
    CHECK(l.estimate == Approx(838.0).margin(0.5));
    CHECK(l.standard_uncertainty == Approx(36.0).margin(0.5));
    // H.1 with second-order terms: 34 nm; normal inputs without the spread of their own uncertainties.
    const ReferenceTable table("gum_examples.csv");
    std::array<Uncertain<double>, 6> inputs = end_gauge(5.8, 3.9, 6.7);
    for (Uncertain<double>& x : inputs) {
        Uncertain<double> known(x.value);
        for (const Gradient::Term& term : x.gradient.terms()) {
            known = known + uncertain(0.0, term.derivative * term.input->standard_uncertainty, "exactly known");
        }
        x = known;
    }
    CHECK(monte_carlo(gauge_deviation, inputs, options)[0].standard_uncertainty ==
          Approx(std::stod(test::example_cell(table, "GUM H.1", "u_c with second-order terms")))
              .margin(0.15 * widened()));
}

TEST_CASE("the end gauge's 99 % interval is that of a plain calculation", "[own]") {
    // The same distributions by the C++ standard library and nothing of ours: Student's t, rectangular, arcsine as a
    // sine of a random phase, limits that are rectangular themselves.
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> even(-1.0, 1.0);
    std::student_t_distribution<double> t18(18.0), t24(24.0), t5(5.0), t8(8.0);
    const auto rough = [&](double half, double uncertainty) {
        return (half + uncertainty * even(random)) * even(random);
    };
    std::vector<double> plain(std::max<std::size_t>(100000, test::sweep_length(400000)));
    for (double& l : plain) {
        const double standard = 50000623.0 + 25.0 * t18(random);
        const double difference = 215.0 + 6.0 * t24(random) + 4.0 * t5(random) + 7.0 * t8(random);
        const double temperature = -0.1 + 0.2 * normal(random) + 0.5 * std::sin(3.14159265358979 * even(random));
        const double expansion = 11.5e-6 + 2e-6 * even(random);
        l = standard + difference - standard * (rough(1e-6, 1e-7) * temperature + expansion * rough(0.05, 0.025)) - 5e7;
    }
    std::sort(plain.begin(), plain.end());
    const Interval<double> ends = symmetric_interval(plain, 0.99);
    const MonteCarloResult l = monte_carlo(gauge_deviation, end_gauge(6.0, 4.0, 7.0), million(0.99))[0];
    CHECK(l.symmetric.lower == Approx(ends.lower).margin(1.7 * widened()));   // five standard deviations
    CHECK(l.symmetric.upper == Approx(ends.upper).margin(1.7 * widened()));
    CHECK(l.shortest.upper - l.shortest.lower <= l.symmetric.upper - l.symmetric.lower);
    CHECK(l.shortest.lower == Approx(l.symmetric.lower).margin(4.0 * widened()));   // it is nearly symmetric
}

// Outside: the values and uncertainties. Own: that first order holds, and the factor (9/7)^0.5 of Student's t with nine
// degrees of freedom on H.3's uncertainty, which the GUM does not draw.
TEST_CASE("EURACHEM/CITAC A1 and GUM H.3 by Monte Carlo", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "EURACHEM", item); };
    const std::array inputs{uncertain(100.28, 0.05, "m"), plus_minus(0.9999, 0.0001, StatedMeaning::rectangular, "P"),
                            plus_minus(100.0, 0.1, StatedMeaning::triangular, "V") + uncertain(0.0, 0.02, "filling") +
                                plus_minus(0.0, 0.084, StatedMeaning::rectangular, "temperature")};
    const auto model = [](const auto& x) { return std::array{1000.0 * x[0] * x[1] / x[2]}; };
    const MonteCarloResult c = monte_carlo(model, inputs, million())[0];
    CHECK(c.estimate == Approx(std::stod(get("c"))).margin(0.004 * widened()));
    CHECK(c.standard_uncertainty == Approx(std::stod(get("u(c)"))).epsilon(0.003 * widened()));
    CHECK(check_first_order(propagate<3>(model, inputs)[0], c, 1).status == FirstOrderStatus::holds);

    // The prediction of a calibration line is Student's t with nine degrees of freedom, as first order has it.
    const double u0 = test::number_after(test::example_cell(table, "GUM H.3", "intercept y1"), "u", 0);
    const double u1 = test::number_after(test::example_cell(table, "GUM H.3", "slope y2"), "u", 0);
    const double r = std::stod(test::example_cell(table, "GUM H.3", "correlation(y1,y2)"));
    const std::string at_30 = test::example_cell(table, "GUM H.3", "b(30 C)");
    const std::array covariance{u0 * u0, r * u0 * u1, r * u0 * u1, u1 * u1};
    const auto line = correlated_block(std::array{-0.17120379, 0.00218270}, covariance, "line", 9);
    const auto predict = [](const auto& p) { return std::array{p[0] + 10.0 * p[1]}; };
    const MonteCarloResult b = monte_carlo(predict, std::array{line[0], line[1]}, million())[0];
    CHECK(b.estimate == Approx(std::stod(at_30)).margin(2e-5));
    CHECK(b.standard_uncertainty ==
          Approx(test::number_after(at_30, "u", 0) * std::sqrt(9.0 / 7.0)).epsilon(0.005 * widened()));
    CHECK(check_first_order(propagate<2>(predict, std::array{line[0], line[1]})[0], b, 1).status ==
          FirstOrderStatus::holds);
}

TEST_CASE("numerical tolerances of JCGM 101 7.9.2", "[outside]") {
    // Its examples (from memory): 0.00035 g with two digits, the same with one, 2 K with one.
    CHECK(numerical_tolerance(0.00035, 2) == Approx(0.000005));
    CHECK(numerical_tolerance(0.00035, 1) == Approx(0.00005));
    CHECK(numerical_tolerance(2.0, 1) == Approx(0.5));
}

TEST_CASE("tolerances round first and refuse what is none", "[own]") {
    CHECK(numerical_tolerance(0.0996, 2) == Approx(0.005));    // 0.10
    CHECK(numerical_tolerance(0.0994, 2) == Approx(0.0005));   // 0.099
    CHECK(numerical_tolerance(9.6, 1) == Approx(5.0));         // 10
    CHECK(numerical_tolerance(1000.0, 3) == Approx(5.0));
    CHECK(numerical_tolerance(0.0, 2) == 0.0);
    CHECK_THROWS_AS(numerical_tolerance(-1.0, 2), DomainError);
    CHECK_THROWS_AS(numerical_tolerance(1.0, 0), DomainError);
    CHECK_THROWS_AS(numerical_tolerance(std::nan(""), 2), DomainError);
}

TEST_CASE("intervals of ordered values", "[own]") {
    std::vector<double> values;
    for (int i = 1; i <= 100; ++i) values.push_back(i * i);   // crowded at the lower end
    const Interval<double> symmetric = symmetric_interval(values, 0.9), shortest = shortest_interval(values, 0.9);
    CHECK(symmetric.lower == 25.0);   // r = 5, q = 90
    CHECK(symmetric.upper == 95.0 * 95.0);
    CHECK(shortest.lower == 1.0);
    CHECK(shortest.upper == 91.0 * 91.0);
    CHECK_THROWS_WITH(symmetric_interval(values, 0.999), Contains("enough for the probability"));
    CHECK_THROWS_AS(shortest_interval(values, 0.0), DomainError);
    CHECK_THROWS_AS(symmetric_interval(std::span<const double>(), 0.5), DomainError);
}

TEST_CASE("of linear models Monte Carlo gives mean and spread of first order", "[own]") {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> unit(-1.0, 1.0);
    for (std::size_t round = 0; round < test::sweep_length(10); ++round) {
        std::array<double, 5> factors;
        for (double& f : factors) f = unit(random);
        const Uncertain<double> shared = uncertain(0.0, 0.5, "shared");
        const auto block = correlated_block(std::array{1.0, 2.0}, std::array{1.0, -0.6, -0.6, 2.0}, "fit", HUGE_VAL);
        const std::array inputs{uncertain(3.0, 1.0, "a") + shared,
                                plus_minus(2.0, 1.0, StatedMeaning::rectangular, "b") - shared, block[0], block[1],
                                plus_minus(0.0, 2.0, StatedMeaning::triangular, "c")};
        const auto model = [&](const auto& x) {
            auto y = factors[0] * x[0];
            for (std::size_t i = 1; i < 5; ++i) y += factors[i] * x[i];
            return std::array{y, -y};
        };
        const auto first = propagate<5>(model, inputs);
        const auto drawn =
            monte_carlo(model, inputs, {.seed = round, .significant_digits = 9, .greatest_draws = 100000});
        const double u = first[0].standard_uncertainty(), n = 100000.0;
        CHECK(std::abs(drawn[0].estimate - first[0].value) < 4.0 * u / std::sqrt(n));
        CHECK(std::abs(drawn[0].standard_uncertainty / u - 1.0) < 4.0 / std::sqrt(2.0 * n));
        CHECK(drawn[1].estimate == Approx(-drawn[0].estimate).epsilon(1e-12));
        CHECK(drawn[1].values.front() == -drawn[0].values.back());
    }
}

TEST_CASE("Monte Carlo stops when the digits are stable, and not before", "[own]") {
    const std::array inputs{uncertain(1.0, 0.2, "x"), uncertain(2.0, 0.1, "y")};
    const auto model = [](const auto& x) { return std::array{exp(x[0]) * x[1], x[0] + x[1]}; };
    const auto one = monte_carlo(model, inputs, {.significant_digits = 1}), two = monte_carlo(model, inputs, {});
    REQUIRE((one[0].is_stable && one[1].is_stable && two[0].is_stable && two[1].is_stable));
    CHECK(one[0].values.size() >= 100000);
    CHECK(two[0].values.size() >= one[0].values.size());
    CHECK(two[0].tolerance == numerical_tolerance(two[0].standard_uncertainty, 2));
    for (const double doubt : {two[0].estimate_doubt, two[0].uncertainty_doubt, two[0].end_doubts.lower,
                               two[0].end_doubts.upper}) {
        CHECK(doubt > 0.0);
        CHECK(doubt <= two[0].tolerance);
    }
    // Another seed agrees within what both doubt; the same seed gives the same.
    const auto other = monte_carlo(model, inputs, {.seed = 2});
    CHECK(std::abs(other[0].symmetric.upper - two[0].symmetric.upper) <
          2.0 * (other[0].end_doubts.upper + two[0].end_doubts.upper));
    CHECK(other[0].estimate != two[0].estimate);
    CHECK(monte_carlo(model, inputs, {})[0].values == two[0].values);
    // Where draws run out it says so.
    const auto cut = monte_carlo(model, inputs, {.significant_digits = 4, .greatest_draws = 100000});
    CHECK_FALSE(cut[0].is_stable);
    CHECK(cut[0].values.size() == 100000);
    // Of an exact input everything is exact.
    const auto exact =
        monte_carlo([](const auto& x) { return std::array{2.0 * x[0]}; }, std::array{Uncertain<double>(3.0)}, {});
    CHECK(exact[0].is_stable);
    CHECK(exact[0].standard_uncertainty == 0.0);
    CHECK(exact[0].shortest.lower == 6.0);
    // A number of inputs known at run time.
    const std::vector<Uncertain<double>> list(inputs.begin(), inputs.end());
    const auto many = monte_carlo_of_many(
        [](std::span<const double> x) { return std::vector{std::exp(x[0]) * x[1], x[0] + x[1]}; }, list, {});
    REQUIRE(many.size() == 2);
    CHECK(many[0].values == two[0].values);
}

TEST_CASE("a mean of three readings has an interval, but no standard deviation", "[own]") {
    const std::array readings{4.0, 5.0, 6.0};
    const Uncertain<double> mean = repeated(std::span<const double>(readings), "mean");
    const auto model = [](const auto& x) { return std::array{x[0]}; };
    const MonteCarloResult y = monte_carlo(model, std::array{mean}, {.significant_digits = 1})[0];
    CHECK_FALSE(y.has_spread);
    CHECK(y.is_stable);
    CHECK(y.symmetric.upper == Approx(5.0 + 4.302652730 / std::sqrt(3.0)).margin(0.1));   // t of 0.975, any table
    const std::array four{4.0, 5.0, 6.0, 5.0};
    CHECK(monte_carlo(model, std::array{repeated(std::span<const double>(four), "mean")}, {.significant_digits = 1})[0]
              .has_spread);
}

TEST_CASE("the check of first order holds, fails or does not tell", "[own]") {
    const std::array inputs{uncertain(1.0, 0.01, "x"), uncertain(2.0, 0.01, "y")};
    const auto straight = [](const auto& x) { return std::array{x[0] * x[1]}; };
    const auto bent = [](const auto& x) { return std::array{x[1] / (x[0] - 0.95)}; };
    const MonteCarloOptions options{.significant_digits = 1, .part_of_tolerance = 0.2};
    const auto check = [&](const auto& model, int digits, const MonteCarloOptions& o) {
        return check_first_order(propagate<2>(model, inputs)[0], monte_carlo(model, inputs, o)[0], digits);
    };
    CHECK(check(straight, 1, options).status == FirstOrderStatus::holds);
    CHECK(check(bent, 1, options).status == FirstOrderStatus::fails);
    CHECK(check(straight, 3, {.greatest_draws = 100000}).status == FirstOrderStatus::not_told);
    CHECK(description(FirstOrderStatus::holds).find("holds") != std::string_view::npos);
    CHECK(description(FirstOrderStatus::fails).find("Monte Carlo") != std::string_view::npos);
    CHECK(description(FirstOrderStatus::not_told).find("more draws") != std::string_view::npos);
    CHECK_THROWS_AS(check_first_order(inputs[0], MonteCarloResult{}, 1), DomainError);
}

TEST_CASE("intervals cover what they say, in simulation", "[own]") {
    // A pressure read three times on a display, with a calibration; its exponential. The true value is known here. So
    // few readings that Student's t decides: with two, Welch and Satterthwaite's approximation itself covers 0.89 only.
    std::mt19937_64 random(55);
    std::normal_distribution<double> normal;
    const std::size_t trials = test::sweep_length(40000);
    const double truth = 50.0;
    std::size_t first_order_covers = 0, drawn_covers = 0, narrow_covers = 0;
    const std::size_t with_draws = trials / 16 + 1;
    for (std::size_t trial = 0; trial < trials; ++trial) {
        std::array<double, 3> readings;
        const double calibration = 0.8 * normal(random);   // the error left, of 0.8 standard uncertainty
        for (double& reading : readings) reading = std::round(truth + calibration + 2.0 * normal(random));
        const Uncertain<double> p =
            repeated(std::span<const double>(readings), "scatter") + uncertain(0.0, 0.8, "calibration");
        const Interval<double> interval = coverage_interval(p);
        first_order_covers += interval.contains(truth);
        // Without the degrees of freedom it would cover too rarely.
        narrow_covers += std::abs(p.value - truth) < 1.96 * p.standard_uncertainty();
        if (trial >= with_draws) continue;
        std::vector<double> x(2000);
        InputDraws(std::vector{p}, trial).fill(0, x);
        for (double& y : x) y = std::exp(0.1 * y);
        std::sort(x.begin(), x.end());
        drawn_covers += symmetric_interval(x, 0.95).contains(std::exp(0.1 * truth));
    }
    const auto deviation = [](std::size_t n) { return std::sqrt(0.95 * 0.05 / static_cast<double>(n)); };
    const auto share = [](std::size_t k, std::size_t n) { return static_cast<double>(k) / static_cast<double>(n); };
    // Welch-Satterthwaite is an approximation: a hundredth beside four standard deviations of the count.
    CHECK(share(first_order_covers, trials) == Approx(0.95).epsilon(0.0).margin(0.01 + 4.0 * deviation(trials)));
    CHECK(share(drawn_covers, with_draws) == Approx(0.96).epsilon(0.0).margin(0.015 + 4.0 * deviation(with_draws)));
    // The check has teeth: without degrees of freedom the same trials fall outside both margins.
    const double narrow = share(narrow_covers, trials);
    if (trials >= 4000) {
        CHECK(narrow < 0.95 - 0.01 - 4.0 * deviation(trials));
        CHECK(narrow < 0.96 - 0.015 - 4.0 * deviation(with_draws));
    }
    CHECK(narrow_covers < first_order_covers);
}

TEST_CASE("Monte Carlo refuses options and models that are none", "[own]") {
    const std::array inputs{uncertain(1.0, 1.0, "x")};
    const auto model = [](const auto& x) { return std::array{x[0]}; };
    CHECK_THROWS_AS(monte_carlo(model, inputs, {.probability = 1.0}), DomainError);
    CHECK_THROWS_AS(monte_carlo(model, inputs, {.significant_digits = 0}), DomainError);
    CHECK_THROWS_AS(monte_carlo(model, inputs, {.part_of_tolerance = 0.0}), DomainError);
    CHECK_THROWS_AS(monte_carlo(model, inputs, {.part_of_tolerance = 2.0}), DomainError);
    CHECK_THROWS_AS(monte_carlo(model, inputs, {.least_sequences = 1}), DomainError);
    CHECK_THROWS_WITH(monte_carlo(model, inputs, {.greatest_draws = 5000}), Contains("at least 100000"));
    const auto root = [](const auto& x) { return std::array{std::sqrt(x[0])}; };
    CHECK_THROWS_WITH(monte_carlo(root, inputs, {}), Contains("output 1 of draw"));
}
