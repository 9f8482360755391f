// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/tools/minima.hpp>

#include <filterflow/cost/cost_course.hpp>
#include <filterflow/cost/discounted_interval.hpp>
#include <filterflow/cost/exponential_growth.hpp>
#include <filterflow/cost/least_average.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Panneerselvam, Engineering Economics, example 8.1 (read).
TEST_CASE("average costs of a replacement table", "[outside][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    PeriodCosts costs{.renewal = 4000 * money, .running = {}};
    for (int i = 0; i < 7; ++i) costs.running.push_back(200 * i * money);
    const auto averages = average_costs(costs);
    int checked = 0;
    for (const auto& row : table) {
        if (row["id"] != "average cost" || row["provenance"] != "read") continue;
        CHECK(averages[static_cast<std::size_t>(checked)] / money == Approx(row.number("expected")).epsilon(1e-5));
        ++checked;
    }
    CHECK(checked == 7);
    std::size_t best = 0;
    for (std::size_t i = 1; i < averages.size(); ++i) best = averages[i] < averages[best] ? i : best;
    CHECK(best + 1 == 6);   // the book's optimum
}

TEST_CASE("the continuous form of the same table", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const auto found = find_least_average(
        4000.0,
        [](double t) {
            return RunningCost{t, 200.0 * t - 100.0, 100.0 * t * t - 100.0 * t};
        },
        20.0);
    REQUIRE(found.found);
    CHECK(found.service == Approx(std::sqrt(2 * 4000.0 / 200.0)).epsilon(1e-12));
    CHECK(found.service ==
          Approx(table.row("quantity", "continuous optimum of the same problem").number("expected")).epsilon(2e-3));
}

TEST_CASE("closed forms of the change interval and their numbers", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const LinearGrowthCost linear{.change = 60 * money,
                                  .electricity = 0.15 * money_per_kWh,
                                  .flow = 0.944 * m3_per_s,
                                  .overall_efficiency = 0.5,
                                  .first_drop = 80 * Pa,
                                  .rise = 20 * Pa,
                                  .rise_time = 1000 * h};
    const auto straight = best_interval_for_linear_growth(linear);
    CHECK(straight.interval / h == Approx(table.row("id", "linear growth").number("expected")).epsilon(1e-6));
    CHECK(straight.drop / Pa == Approx(172.06).margin(0.005));
    CHECK(straight.cost_rate / money_per_h == Approx(0.048727).margin(5e-7));
    const ExponentialGrowthCost growth{.change = 60 * money,
                                       .electricity = 0.15 * money_per_kWh,
                                       .flow = 0.944 * m3_per_s,
                                       .overall_efficiency = 0.5,
                                       .first_drop = 80 * Pa,
                                       .doubling_time = 4000 * h};
    const auto doubling = best_interval_for_exponential_growth(growth);
    CHECK(doubling.interval / h == Approx(table.row("id", "exponential growth").number("expected")).epsilon(1e-6));
    CHECK(doubling.drop / Pa == Approx(168.09).margin(0.005));

    // Second method: a library's minimiser on the average cost, and our search for where running meets average.
    const double c = 0.15 / 1000.0 * 0.944 / 0.5;   // money an hour per pascal
    const auto total_linear = [&](double t) { return c * (80.0 * t + 0.01 * t * t); };
    const auto total_growth = [&](double t) {
        return c * 80.0 * (std::exp2(t / 4000.0) - 1.0) * 4000.0 / std::log(2.0);
    };
    const auto minimum = [](const auto& total) {
        return boost::math::tools::brent_find_minima([&](double t) { return (60.0 + total(t)) / t; }, 100.0, 20000.0,
                                                     40)
            .first;
    };
    CHECK(straight.interval / h == Approx(minimum(total_linear)).epsilon(1e-5));
    CHECK(doubling.interval / h == Approx(minimum(total_growth)).epsilon(1e-5));
    const auto search = find_least_average(
        60.0,
        [&](double t) {
            return RunningCost{t, c * (80.0 + 0.02 * t), total_linear(t)};
        },
        20000.0);
    CHECK(search.service == Approx(straight.interval / h).epsilon(1e-10));
    // Penalty of a wrong interval: 0.7 T costs 3.4 % more, 1.5 T 4.5 % (own figures of a second program).
    const auto penalty = [&](double x) {
        const double t = x * (straight.interval / h);
        return (60.0 + total_linear(t)) / t / (straight.cost_rate / money_per_h) - 1.0;
    };
    CHECK(penalty(0.7) == Approx(0.034).margin(5e-4));
    CHECK(penalty(1.5) == Approx(0.045).margin(5e-4));
    for (const double x : {0.3, 0.7, 1.0, 1.5, 4.0}) {
        CHECK(linear_growth_penalty(linear, x * straight.interval) == Approx(penalty(x)).margin(1e-12));
    }
    CHECK_THROWS_WITH(linear_growth_penalty(linear, 0 * h), Contains("interval = 0 s"));
}

TEST_CASE("no minimum is said to be none", "[own][cost]") {
    const auto flat = find_least_average(
        10.0,
        [](double t) {
            return RunningCost{t, 2.0, 2.0 * t};
        },
        50.0);
    CHECK_FALSE(flat.found);
    CHECK(flat.service == 50.0);
    CHECK(flat.average == Approx(2.2));
}

namespace {

/// A running cost of random shape: a constant part, a rising part (line, power, exponential or with a bend) and, in
/// some, a part that falls at first, as where a fan needs less power at first.
struct RandomCost {
    double level, scale, time, power, fall;
    int shape;
    double rate(double t) const {
        const double x = t / time;
        double rise = std::pow(x, power);
        if (shape == 1) rise = std::expm1(x);
        if (shape == 2) rise = x < 1.0 ? 0.2 * x : 0.2 + 1.5 * (x - 1.0);
        return level + scale * rise + fall * std::exp(-2.0 * x);
    }
    double total(double t) const {
        const double x = t / time;
        double rise = std::pow(x, power + 1.0) / (power + 1.0);
        if (shape == 1) rise = std::expm1(x) - x;
        if (shape == 2) rise = x < 1.0 ? 0.1 * x * x : 0.1 + 0.2 * (x - 1.0) + 0.75 * (x - 1.0) * (x - 1.0);
        return level * t + time * (scale * rise + 0.5 * fall * -std::expm1(-2.0 * x));
    }
};

RandomCost random_cost(std::mt19937_64& random) {
    std::uniform_real_distribution<double> share(0.0, 1.0);
    const auto log_uniform = [&](double a, double b) { return a * std::pow(b / a, share(random)); };
    return {.level = share(random) < 0.2 ? 0.0 : log_uniform(0.01, 3.0),
            .scale = log_uniform(0.02, 5.0),
            .time = log_uniform(300.0, 6000.0),
            .power = 0.4 + 2.6 * share(random),
            .fall = share(random) < 0.3 ? log_uniform(0.05, 2.0) : 0.0,
            .shape = static_cast<int>(3.0 * share(random))};
}

}   // namespace

TEST_CASE("the interval found is a minimum on a fine grid", "[own][cost]") {
    std::mt19937_64 random(61);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    constexpr double end = 8760.0;
    std::size_t inside = 0, at_end = 0;
    for (std::size_t i = 0; i < test::sweep_length(10000); ++i) {
        const RandomCost cost = random_cost(random);
        const double renewal = 30.0 * std::pow(1000.0, share(random));
        const auto average = [&](double t) { return (renewal + cost.total(t)) / t; };
        const auto found = find_least_average(
            renewal,
            [&](double t) {
                return RunningCost{t, cost.rate(t), cost.total(t)};
            },
            end);
        INFO("case " << i << " shape " << cost.shape << " renewal " << renewal << " interval " << found.service);
        double least = average(end);
        for (int k = 1; k < 500; ++k) least = std::min(least, average(end * k / 500.0));
        REQUIRE(found.average <= least * (1.0 + 1e-12));
        REQUIRE(found.average == Approx(average(found.service)).epsilon(1e-13));
        (found.found ? inside : at_end) += 1;
        if (found.found) {   // and where the running cost meets the average
            REQUIRE(cost.rate(found.service) == Approx(found.average).epsilon(1e-9));
        }

        // The same through the steps of a life: nodes at uneven times, cubics between them.
        detail::CostCourse course(renewal, 1.0);
        for (double t = 0.0;; t = std::min(end, t + cost.time * (0.02 + 0.08 * share(random)))) {
            course.append({t, t, cost.total(t), 1.0, cost.rate(t), cost.rate(t)});
            if (t == end) break;
        }
        const detail::CostBracket bracket = detail::least_bracket(course);
        if (cost.shape == 2 || (cost.shape == 0 && cost.power < 1.5)) continue;   // a bend, or a steep start: no cubic
        if (found.found && found.service < 0.999 * end) {
            REQUIRE(bracket.upper > 0.0);
            REQUIRE(average(bracket.best) <= least * (1.0 + 1e-5));
        }
    }
    CHECK(inside > 20 * at_end / 10);
    CHECK(at_end > 0);
}

TEST_CASE("money later is worth less: the interval of an endless chain", "[own][cost]") {
    // K 60, 0.15 per kWh, 0.944 m3/s, half efficiency, 80 Pa and 20 Pa in 1000 h: 4603 h undiscounted; at 3 % a year
    // and 6000 running hours a year 4620 h (own figures of a second program).
    const double c = 0.15 / 1000.0 * 0.944 / 0.5;
    const auto running = [&](double t) { return RunningCost{t, c * (80.0 + 0.02 * t), c * (80.0 * t + 0.01 * t * t)}; };
    const auto plain = find_least_average(60.0, running, 20000.0);
    const auto found = find_least_present_value(60.0, running, std::log1p(0.03) / 6000.0, 20000.0);
    REQUIRE(found.found);
    CHECK(plain.service == Approx(4602.87).margin(0.01));
    CHECK(found.service == Approx(4620.0).margin(1.0));
    // Nothing earlier or later is worth less, summed over a hundred renewals by quadrature.
    const auto worth = [&](double interval, double r) {
        const double one =
            60.0 + boost::math::quadrature::gauss_kronrod<double, 15>::integrate(
                       [&](double t) { return running(t).rate * std::exp(-r * t); }, 0.0, interval, 5, 1e-12);
        double sum = 0.0;
        for (int k = 0; k < 4000; ++k) sum += one * std::exp(-r * k * interval);
        return r * sum;
    };
    const double r = std::log1p(0.03) / 6000.0;
    CHECK(found.average == Approx(worth(found.service, r)).epsilon(1e-9));
    CHECK(worth(0.98 * found.service, r) > found.average);
    CHECK(worth(1.02 * found.service, r) > found.average);
    // A rate that goes to zero.
    const auto slow = find_least_present_value(60.0, running, 1e-12, 20000.0);
    CHECK(slow.service == Approx(plain.service).epsilon(1e-6));
    CHECK(slow.average == Approx(plain.average).epsilon(1e-7));
    // Constant running cost: never.
    const auto never = find_least_present_value(
        10.0,
        [](double t) {
            return RunningCost{t, 2.0, 2.0 * t};
        },
        0.01, 50.0);
    CHECK_FALSE(never.found);
    CHECK(never.average == Approx(2.0 + 0.01 * 10.0 / -std::expm1(-0.5)).epsilon(1e-12));
    CHECK_THROWS_WITH(find_least_present_value(10.0, running, 0.0, 50.0), Contains("discount_rate = 0"));
}
