// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/capture/counter_losses.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

Rate per_second(double rate) { return Rate::from_value(rate); }

SizeRangeCounts band(double lower, double upper, std::vector<double> up, std::vector<double> down) {
    SizeRangeCounts c;
    c.range = {.lower = lower * um, .upper = upper * um};
    c.upstream = std::move(up);
    c.downstream = std::move(down);
    c.sample_time = 10 * s;
    return c;
}

}   // namespace

TEST_CASE("arrival rates behind coincidence agree with SciPy's Lambert W", "[outside]") {
    // tests/reference/counting_limits.csv, made by SciPy; the upper root is the one that is not returned.
    const ReferenceTable table("counting_limits.csv");
    int rows = 0;
    for (const ReferenceRow& row : table) {
        if (row["kind"] != "coincidence") continue;
        const CounterLoss loss{.dead_time = row.number("of") * 1e-6 * s};
        CHECK(arrival_rate(per_second(row.number("count")), loss) / per_second(1) ==
              Approx(row.number("lower")).epsilon(1e-10));
        CHECK(indicated_rate(per_second(row.number("upper")), loss) / per_second(1) ==
              Approx(row.number("count")).epsilon(1e-8));
        ++rows;
    }
    CHECK(rows == 6);
}

TEST_CASE("indicated concentrations of both models agree with computed ones", "[own]") {
    // tests/reference/coincidence.csv: computed from N exp(-N Q t) and N/(1 + N Q t) beside the table.
    for (const ReferenceRow& row : ReferenceTable("coincidence.csv")) {
        const double flow = row.number("flow_cm3_s");
        const CounterLoss overlap{.dead_time = row.number("time_s") * s};
        const CounterLoss blind{.dead_time = row.number("time_s") * s, .model = CounterLossModel::non_paralysable};
        const Rate arriving = per_second(row.number("true_conc_cm3") * flow);
        const Rate shown = indicated_rate(arriving, overlap);
        CHECK(shown / per_second(1) == Approx(row.number("indicated_paralyzable") * flow).epsilon(1e-8));
        CHECK(indicated_rate(arriving, blind) / per_second(1) ==
              Approx(row.number("indicated_nonparalyzable") * flow).epsilon(1e-8));
        CHECK(100 * (1 - shown / arriving) == Approx(row.number("loss_pct")).epsilon(1e-5));
        CHECK(arrival_rate(shown, overlap) / per_second(flow) ==
              Approx(row.number("lambertW_inverse_of_paralyzable")).epsilon(1e-8));
    }
}

TEST_CASE("the correction undoes what the counter does", "[own]") {
    std::mt19937_64 random(20);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(2000); ++i) {
        const double tau = std::pow(10.0, -7.0 + 4.0 * unit(random));
        const double x = std::pow(10.0, -8.0 * unit(random));   // n tau, up to 1
        // Near x = 1 the curve is flat: an error of rounding e in the rate becomes (2 e)^(1/2) in the inverse.
        const double tolerance = 1e-12 / (1.0 + 1e-8 - x) + 1e-13;
        const CounterLoss overlap{.dead_time = tau * s};
        CHECK(arrival_rate(indicated_rate(per_second(x / tau), overlap), overlap).value() * tau ==
              Approx(x).epsilon(tolerance));
        const CounterLoss blind{.dead_time = tau * s, .model = CounterLossModel::non_paralysable};
        CHECK(arrival_rate(indicated_rate(per_second(100 * x / tau), blind), blind).value() * tau ==
              Approx(100 * x).epsilon(1e-12));
    }
}

TEST_CASE("a counter cannot show more than its limit", "[own]") {
    const CounterLoss overlap{.dead_time = 5e-6 * s};
    const double limit = 1 / (2.718281828459045 * 5e-6);
    CHECK(arrival_rate(per_second(limit), overlap).value() == Approx(2e5).epsilon(1e-6));
    CHECK(arrival_rate(per_second(limit * (1 - 1e-12)), overlap).value() == Approx(2e5).epsilon(1e-5));
    CHECK_THROWS_AS(arrival_rate(per_second(limit * 1.0001), overlap), NoSolution);
    CHECK_THROWS_WITH(arrival_rate(per_second(80000), overlap),
                      Contains("rate_shown = 80000 1/s") && Contains("at most 1/(e tau) = 73575.9 1/s"));
    const CounterLoss blind{.dead_time = 1e-3 * s, .model = CounterLossModel::non_paralysable};
    CHECK_THROWS_WITH(arrival_rate(per_second(1000), blind), Contains("less than 1/tau = 1000 1/s"));
    CHECK_THROWS_WITH(arrival_rate(per_second(-1), blind), Contains("rate_shown = -1 1/s; required: >= 0"));
    CHECK_THROWS_WITH(indicated_rate(per_second(1), CounterLoss{.dead_time = 0 * s}), Contains("dead_time = 0 s"));
    CHECK_THROWS_AS(indicated_rate(per_second(std::nan("")), overlap), DomainError);
    CHECK(arrival_rate(per_second(0), overlap).value() == 0.0);
}

TEST_CASE("derivatives of the arrival rate are those of differences", "[own]") {
    using D = Dual<2>;
    for (const CounterLossModel model : {CounterLossModel::paralysable, CounterLossModel::non_paralysable}) {
        const double shown = 40000, tau = 5e-6;
        const BasicCounterLoss<D> loss{.dead_time = BasicTime<D>::from_value(D::input(tau, 1)), .model = model};
        const D n = arrival_rate(BasicRate<D>::from_value(D::input(shown, 0)), loss).value();
        const auto plain = [&](double rate, double time) {
            return arrival_rate(per_second(rate), CounterLoss{.dead_time = time * s, .model = model}).value();
        };
        CHECK(n.value == Approx(plain(shown, tau)).epsilon(1e-12));
        CHECK(n.derivative[0] == Approx((plain(shown + 1, tau) - plain(shown - 1, tau)) / 2).epsilon(1e-6));
        CHECK(n.derivative[1] == Approx((plain(shown, tau + 1e-10) - plain(shown, tau - 1e-10)) / 2e-10).epsilon(1e-6));
    }
}

TEST_CASE("corrected counts give the ratio of what arrived", "[own]") {
    // Second method: shown counts made by the forward model from concentrations of our choice.
    const CounterLoss loss{.dead_time = 50e-6 * s};
    const double time = 10, fine_up = 1500, coarse_up = 500, fine_down = 900, coarse_down = 50;   // rates, 1/s
    const auto shown = [&](double rate, double total) {
        return rate / total * indicated_rate(per_second(total), loss).value() * time;
    };
    const double up = fine_up + coarse_up, down = fine_down + coarse_down;
    const std::vector counts{
        band(0.3, 0.5, std::vector<double>(3, shown(fine_up, up)), std::vector<double>(2, shown(fine_down, down))),
        band(0.5, 1.0, std::vector<double>(3, shown(coarse_up, up)), std::vector<double>(2, shown(coarse_down, down)))};
    const auto corrected = fractional_efficiency(with_loss_factors(counts, loss));
    CHECK(corrected.ranges[0].penetration.value == Approx(0.6).epsilon(1e-10));
    CHECK(corrected.ranges[1].penetration.value == Approx(0.1).epsilon(1e-10));
    CHECK(fractional_efficiency(counts).ranges[0].penetration.value > 0.62);   // upstream loses more
    CHECK_FALSE(corrected.ranges[0].quality.empty());   // counts made by a formula are not whole numbers

    // The same as cumulative channels, differenced afterwards: the total is that above the lowest threshold.
    std::vector<SizeRangeCounts> channels = counts;
    channels[0].range = sizes_above(0.3 * um);
    channels[1].range = sizes_above(0.5 * um);
    for (std::size_t i = 0; i < 3; ++i) channels[0].upstream[i] += channels[1].upstream[i];
    for (std::size_t i = 0; i < 2; ++i) channels[0].downstream[i] += channels[1].downstream[i];
    const auto bands = fractional_efficiency(differential_counts(with_loss_factors(channels, loss)));
    CHECK(bands.ranges[0].penetration.value == Approx(0.6).epsilon(1e-10));
    CHECK(bands.ranges[1].penetration.value == Approx(0.1).epsilon(1e-10));
}

TEST_CASE("correcting widens the interval with the value, not with the counts", "[own]") {
    SizeRangeCounts counts = band(0.3, 0.5, {8000, 8000, 8000}, {2000, 2000});
    const SizeEfficiency plain = fractional_efficiency(std::vector{counts}).ranges[0];
    counts.loss_factors = {.upstream = {1.1, 1.1, 1.1}, .downstream = {1.02, 1.02}, .correlation_upstream = {},
                           .correlation_downstream = {}};
    const SizeEfficiency corrected = fractional_efficiency(std::vector{counts}).ranges[0];
    const double scale = 1.02 / 1.1;
    CHECK(corrected.penetration.value == Approx(scale * plain.penetration.value).epsilon(1e-12));
    CHECK(corrected.penetration_interval.lower == Approx(scale * plain.penetration_interval.lower).epsilon(1e-12));
    CHECK(corrected.penetration_interval.upper == Approx(scale * plain.penetration_interval.upper).epsilon(1e-12));
    CHECK(corrected.upstream_count == 24000);

    counts.downstream = {0, 0};
    const SizeEfficiency none = fractional_efficiency(std::vector{counts}).ranges[0];
    counts.loss_factors = {};
    const SizeEfficiency plain_none = fractional_efficiency(std::vector{counts}).ranges[0];
    CHECK(none.penetration.value == 0.0);
    CHECK(none.penetration_interval.upper == Approx(scale * plain_none.penetration_interval.upper).epsilon(1e-12));
}

TEST_CASE("a loss above ten percent is a verdict", "[own]") {
    const CounterLoss loss{.dead_time = 100e-6 * s};
    const auto verdicts = [&](double count) {
        const std::vector counts{band(0.3, 0.5, std::vector<double>(4, count), std::vector<double>(3, 3000.0))};
        std::string all;
        const FractionalEfficiency efficiency = fractional_efficiency(with_loss_factors(counts, loss));
        for (const std::string& text : efficiency.ranges[0].quality) all += text;
        return all;
    };
    CHECK_THAT(verdicts(15000), Contains("loses 16 % of the particles upstream to coincidence, limit 10 %; dilute"));
    CHECK_THAT(verdicts(9000), !Contains("coincidence"));
}

TEST_CASE("loss factors refuse what is no reading of one counter", "[own]") {
    const CounterLoss loss{.dead_time = 5e-6 * s};
    const SizeRangeCounts good = band(0.3, 0.5, {100, 100}, {50});
    SizeRangeCounts other = band(0.5, 1.0, {100, 100, 100}, {50});
    CHECK_THROWS_WITH(with_loss_factors(std::vector{good, other}, loss),
                      Contains("number of upstream samples in 0.5-1 um = 3"));
    other = band(0.5, 1.0, {100, 100}, {50});
    other.sample_time = 20 * s;
    CHECK_THROWS_WITH(with_loss_factors(std::vector{good, other}, loss), Contains("the same in every range"));
    other.sample_time = 0 * s;
    CHECK_THROWS_WITH(with_loss_factors(std::vector{other}, loss), Contains("sample_time = 0 s; required: > 0"));
    CHECK_THROWS_AS(with_loss_factors({}, loss), DomainError);
    CHECK_THROWS_AS(with_loss_factors(std::vector{band(0.3, 0.5, {1e6, 1e6}, {50})}, loss), NoSolution);
    SizeRangeCounts wrong = good;
    wrong.loss_factors.upstream = {1.1};
    CHECK_THROWS_WITH(fractional_efficiency(std::vector{wrong}), Contains("number of upstream loss factors = 1"));
    wrong.loss_factors.upstream = {1.1, 0.9};
    CHECK_THROWS_WITH(fractional_efficiency(std::vector{wrong}),
                      Contains("upstream loss factor = 0.9; required: >= 1"));
    const std::vector<double> up{100, 100}, down{10}, factors{1.0};
    CHECK_THROWS_WITH(count_ratio({up, down, {}, {}, 1.0, factors, {}}), Contains("number of loss factors = 1"));
}
