// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <tuple>

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/poisson.hpp>

#include <filterflow/capture/counting_intervals.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("Poisson limits agree with printed ones", "[outside]") {
    // Documentation of pois.exact in the R package epitools (read): 0 particles up to 3.689, 10 from 4.80 to 18.39.
    CHECK(poisson_interval(0).upper == Approx(3.689).margin(5e-4));
    CHECK(poisson_interval(10).lower == Approx(4.80).margin(5e-3));
    CHECK(poisson_interval(10).upper == Approx(18.39).margin(5e-3));
}

TEST_CASE("Poisson limits of one standard deviation, from memory", "[own]") {
    // tests/reference/poisson_limits.csv, last two columns: as in Gehrels 1986 (from memory), to four digits. SciPy's
    // of the same probability are in counting_limits.csv.
    const ReferenceTable table("poisson_limits.csv");
    for (const ReferenceRow& row : table) {
        const Interval<double> one_sigma = poisson_interval(row.number("n"), 2 * 0.8413 - 1);
        CHECK(one_sigma.upper == Approx(row.number("hi_one_sided_0.8413")).epsilon(1e-4));
        CHECK(one_sigma.lower == Approx(row.number("lo_one_sided_0.8413")).epsilon(1e-4).margin(1e-12));
    }
}

TEST_CASE("Poisson limits agree with computed ones", "[own]") {
    const ReferenceTable table("poisson_limits.csv");   // other columns computed beside the table
    for (const ReferenceRow& row : table) {
        for (const auto& [probability, lower, upper] :
             {std::tuple{0.90, "lo90", "hi90"}, {0.95, "lo95", "hi95"}, {0.99, "lo99", "hi99"}}) {
            const Interval<double> limits = poisson_interval(row.number("n"), probability);
            CHECK(limits.lower == Approx(row.number(lower)).epsilon(2e-6).margin(1e-12));
            CHECK(limits.upper == Approx(row.number(upper)).epsilon(2e-6));
        }
    }
}

TEST_CASE("binomial limits agree with SciPy and a documented case", "[outside]") {
    // 4 of 20 at 90 % is the case of the NIST/SEMATECH e-Handbook, 7.2.4, whose answer, 0.071354 to 0.401029, is from
    // memory; SciPy gives 0.0713539 to 0.4010281 (a row of counting_limits.csv, which the case below compares to more
    // digits). Upper limit for 2 of 20 at 95 %: documentation of Boost.Math, 0.31698.
    const Interval<double> handbook = binomial_interval({.successes = 4, .trials = 20}, 0.90);
    CHECK(handbook.lower == Approx(0.0713539).margin(1e-7));
    CHECK(handbook.upper == Approx(0.4010281).margin(1e-7));
    CHECK(binomial_interval({.successes = 2, .trials = 20}).upper == Approx(0.31698).margin(1e-5));
}

TEST_CASE("binomial limits agree with computed ones", "[own]") {
    const ReferenceTable table("binomial_limits.csv");   // computed beside the table
    for (const ReferenceRow& row : table) {
        const BinomialCount count{.successes = row.number("successes"), .trials = row.number("trials")};
        const Interval<double> exact = binomial_interval(count, row.number("confidence"));
        const Interval<double> score = wilson_interval(count, row.number("confidence"));
        CHECK(exact.lower == Approx(row.number("clopper_pearson_lo")).epsilon(1e-7).margin(1e-12));
        CHECK(exact.upper == Approx(row.number("clopper_pearson_hi")).epsilon(1e-7));
        CHECK(score.lower == Approx(row.number("wilson_lo")).epsilon(1e-7).margin(1e-12));
        CHECK(score.upper == Approx(row.number("wilson_hi")).epsilon(1e-7));
    }
}

TEST_CASE("the ratio of two Poisson rates agrees with computed cases", "[own]") {
    const ReferenceTable table("poisson_ratio.csv");   // conditional limits computed beside the table's making
    for (const ReferenceRow& row : table) {
        const Interval<double> limits =
            poisson_ratio_interval({.downstream_count = row.number("downstream_count"),
                                    .downstream_exposure = row.number("downstream_exposure"),
                                    .upstream_count = row.number("upstream_count"),
                                    .upstream_exposure = row.number("upstream_exposure")},
                                   row.number("confidence"));
        CHECK(limits.lower == Approx(row.number("exact_conditional_lo")).epsilon(1e-7).margin(1e-15));
        CHECK(limits.upper == Approx(row.number("exact_conditional_hi")).epsilon(1e-7));
    }
}

TEST_CASE("limits of counts agree with those of SciPy", "[outside]") {
    // tests/reference/counting_limits.csv, made by SciPy's functions of Cephes, which share no code with the library.
    const ReferenceTable table("counting_limits.csv");
    std::size_t rows = 0;
    for (const ReferenceRow& row : table) {
        if (row["kind"] == "coincidence") continue;
        const double count = row.number("count"), probability = row.number("probability");
        Interval<double> limits;
        if (row["kind"] == "poisson") limits = poisson_interval(count, probability);
        if (row["kind"] == "binomial") {
            limits = binomial_interval({.successes = count, .trials = row.number("of")}, probability);
        }
        if (row["kind"] == "ratio") {
            limits =
                poisson_ratio_interval({.downstream_count = count, .upstream_count = row.number("of")}, probability);
        }
        CHECK(limits.lower == Approx(row.number("lower")).epsilon(1e-9).margin(1e-15));
        CHECK(limits.upper == Approx(row.number("upper")).epsilon(1e-9));
        ++rows;
    }
    CHECK(rows == 76);
}

TEST_CASE("limits are where the distributions leave one tail", "[own]") {
    // Second method: the cumulative distributions at the limits.
    for (const double n : {0.0, 1.0, 7.0, 250.0, 40000.0}) {
        const Interval<double> limits = poisson_interval(n);
        CHECK(boost::math::cdf(boost::math::poisson(limits.upper), n) == Approx(0.025).epsilon(1e-6));
        if (n > 0) {
            CHECK(boost::math::cdf(boost::math::complement(boost::math::poisson(limits.lower), n - 1)) ==
                  Approx(0.025).epsilon(1e-6));
        }
        const Interval<double> share = binomial_interval({.successes = n, .trials = n + 900});
        CHECK(boost::math::cdf(boost::math::binomial(n + 900, share.upper), n) == Approx(0.025).epsilon(1e-6));
    }
}

TEST_CASE("exact intervals cover at least their probability", "[own]") {
    // Exact sum over the outcomes, no random numbers: sum of P(n) over the n whose interval holds the mean.
    for (const double mean : {0.3, 2.0, 11.5, 60.0}) {
        const boost::math::poisson distribution(mean);
        double covered = 0.0;
        for (int n = 0; n < 200; ++n) {
            if (poisson_interval(n).contains(mean)) covered += boost::math::pdf(distribution, n);
        }
        CHECK(covered >= 0.95);
        CHECK(covered < 0.999);
    }
}

TEST_CASE("nothing downstream gives an upper limit only", "[own]") {
    const Interval<double> limits = poisson_ratio_interval({.downstream_count = 0, .upstream_count = 2000});
    CHECK(limits.lower == 0.0);
    CHECK(limits.upper == Approx(1.0 / std::pow(0.025, 1.0 / 2000) - 1.0).epsilon(1e-10));   // closed form
}

TEST_CASE("counting intervals refuse what is no count", "[own]") {
    CHECK_THROWS_WITH(poisson_interval(-1), Contains("poisson_interval: count = -1 particles; required: >= 0"));
    CHECK_THROWS_AS(poisson_interval(std::nan("")), DomainError);
    CHECK_THROWS_WITH(poisson_interval(3, 1.0), Contains("probability = 1"));
    CHECK_THROWS_WITH(binomial_interval({.successes = 3, .trials = 2}), Contains("successes = 3"));
    CHECK_THROWS_AS(wilson_interval({.successes = 0, .trials = 0}), DomainError);
    CHECK_THROWS_WITH(poisson_ratio_interval({.downstream_count = 3, .upstream_count = 0}), Contains("upstream_count"));
}
