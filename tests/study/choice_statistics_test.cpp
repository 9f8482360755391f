// SPDX-License-Identifier: BSL-1.0
// Statistics of a choice against closed forms for normal costs, against plain loops over small sets of draws, and under
// permutation of the candidates.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <span>
#include <string>
#include <tuple>
#include <vector>

#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/study/choice_statistics.hpp>
#include <filterflow/study/information_value.hpp>
#include <filterflow/study/pareto_front.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

namespace {

double density(double z) { return std::exp(-0.5 * z * z) / 2.5066282746310002; }
double below(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }
/// E(max(0, d)) of a normal d.
double mean_above_zero(double mean, double deviation) {
    return deviation * density(mean / deviation) + mean * below(mean / deviation);
}

/// Normal numbers, input by input.
std::vector<double> normals(std::size_t inputs, std::size_t n, std::uint64_t seed) {
    std::vector<double> z(inputs * n);
    for (std::size_t k = 0; k < inputs; ++k)
        fill_normals({.seed = seed, .input = k}, 0, std::span(z).subspan(k * n, n));
    return z;
}

}   // namespace

TEST_CASE("two normal costs: ranks, regret and the worth of information in closed form", "[own]") {
    // c_a = 100 + 8 x, c_b = 103 + 2 x + 5 y + 4 w: the difference is normal with mean 3 and parts -6 x, 5 y, 4 w.
    const std::size_t n = std::max<std::size_t>(20000, test::sweep_length(400000));
    const std::vector<double> z = normals(3, n, 5);
    std::vector<double> values(2 * n);
    for (std::size_t i = 0; i < n; ++i) {
        values[i] = 100.0 + 8.0 * z[i];
        values[n + i] = 103.0 + 2.0 * z[i] + 5.0 * z[n + i] + 4.0 * z[2 * n + i];
    }
    const CandidateDraws cost{2, values};
    const double deviation = std::sqrt(36.0 + 25.0 + 16.0), root = std::sqrt(static_cast<double>(n));
    const ChoiceStatistics chances = choice_statistics(cost);
    const CandidateChances &a = chances.candidates[0], &b = chances.candidates[1];
    CHECK(chances.draws == n);
    CHECK(chances.without_choice == 0.0);
    CHECK(a.rank[0] == Approx(below(3.0 / deviation)).margin(4.0 * share_standard_error(a.rank[0], n)));
    CHECK(a.rank[0] + a.rank[1] == Approx(1.0));
    CHECK(a.rank[0] == Approx(b.rank[1]));
    CHECK(a.expected_cost == Approx(100.0).margin(4.0 * 8.0 / root));
    CHECK(a.expected_regret == Approx(mean_above_zero(-3.0, deviation)).margin(4.0 * a.regret_standard_error));
    CHECK(b.expected_regret == Approx(mean_above_zero(3.0, deviation)).margin(4.0 * b.regret_standard_error));
    CHECK(a.regret_standard_error == Approx(0.45 * deviation / root).epsilon(0.1));
    // Without doubt about the others, knowing part s of the difference is worth E(max(0, -3 + s z)).
    const InformationValue worth = information_value(cost, z);
    CHECK(worth.best == 0);
    CHECK(worth.second == 1);
    CHECK(worth.perfect == Approx(a.expected_regret).epsilon(1e-12));
    CHECK(worth.perfect_standard_error == Approx(a.regret_standard_error).epsilon(1e-9));
    REQUIRE(worth.inputs.size() == 3);
    const std::array<double, 3> parts{6.0, 5.0, 4.0};
    for (std::size_t place = 0; place < 3; ++place) {
        const InputWorth& w = worth.inputs[place];
        INFO("input " << w.input);
        CHECK(w.input == place);   // worth falls with the part
        const double part = parts[w.input];
        CHECK(w.value == Approx(mean_above_zero(-3.0, part)).margin(4.0 * w.standard_error + 0.03));
        CHECK(w.explained_share == Approx(part * part / (deviation * deviation)).margin(0.012 + 4.0 / root));
    }
    // What has nothing to do with the costs is worth nothing.
    const InformationValue nothing = information_value(cost, normals(1, n, 77));
    CHECK(std::abs(nothing.inputs[0].value) < 4.0 * nothing.inputs[0].standard_error + 1e-9);
    CHECK(std::abs(nothing.inputs[0].explained_share) < 5.0 / root);
}

TEST_CASE("ranks, limits and regrets of few draws by hand", "[own]") {
    // Three candidates, four draws. The second fails its limit in draws 2 and 4, all fail in draw 4.
    const std::vector<double> costs{10, 10, 30, 10,   20, 5, 20, 5,   20, 40, 20, 40};
    const std::vector<double> margins{1, 0, 1, -1,   1, -1, 1, -1,   1, 1, 1, -0.5};
    const std::vector<double> always(12, 3.0);
    const std::array limits{LimitDraws{"airflow", {3, margins}}, LimitDraws{"removal", {3, always}}};
    const ChoiceStatistics chances = choice_statistics({3, costs}, limits);
    const auto& [a, b, c] = std::tie(chances.candidates[0], chances.candidates[1], chances.candidates[2]);
    CHECK(chances.without_choice == 0.25);
    CHECK(a.rank == std::vector<double>{0.5, 0.0, 0.25});            // draws 1 and 2 first, 3 third
    CHECK(b.rank == std::vector<double>{0.125, 0.25, 0.125});        // 1: shares 2 and 3; 3: shares 1 and 2
    CHECK(c.rank == std::vector<double>{0.125, 0.5, 0.125});         // 2: second
    CHECK(a.without_rank == 0.25);
    CHECK(b.without_rank == 0.5);
    CHECK(c.without_rank == 0.25);
    CHECK(a.limits == std::vector<double>{0.75, 1.0});
    CHECK(b.limits == std::vector<double>{0.5, 1.0});
    CHECK(a.expected_regret == Approx((0.0 + 0.0 + 10.0) / 3.0));
    CHECK(b.expected_regret == Approx((10.0 + 0.0) / 2.0));   // cheaper in draw 2, but fails there: that is no merit
    CHECK(b.regret_standard_error == Approx(5.0));            // two regrets, 10 and 0
    CHECK(c.expected_regret == Approx((10.0 + 30.0 + 0.0) / 3.0));
    CHECK(c.expected_cost == 30.0);
}

TEST_CASE("permuting candidates permutes what is said of them", "[own]") {
    constexpr std::size_t candidates = 7, n = 1500;
    const std::vector<double> z = normals(candidates + 2, n, 9);
    std::vector<double> costs(candidates * n), margins(candidates * n), airflow(candidates * n);
    for (std::size_t k = 0; k < candidates; ++k) {
        for (std::size_t i = 0; i < n; ++i) {
            costs[k * n + i] = std::round(4.0 * (z[k * n + i] + 0.3 * static_cast<double>(k)));   // with equal ones
            margins[k * n + i] = z[candidates * n + i] + 0.2 * static_cast<double>(k);
            airflow[k * n + i] = z[(candidates + 1) * n + i] * 0.1 + static_cast<double>(k);
        }
    }
    const std::array<std::size_t, candidates> order{3, 0, 6, 1, 5, 2, 4};
    const auto permuted = [&](const std::vector<double>& values) {
        std::vector<double> moved;
        for (const std::size_t k : order) {
            moved.insert(moved.end(), values.begin() + static_cast<std::ptrdiff_t>(k * n),
                         values.begin() + static_cast<std::ptrdiff_t>((k + 1) * n));
        }
        return moved;
    };
    const auto moved_costs = permuted(costs), moved_margins = permuted(margins), moved_airflow = permuted(airflow);
    const ChoiceStatistics one =
        choice_statistics({candidates, costs}, std::array{LimitDraws{"m", {candidates, margins}}});
    const ChoiceStatistics other =
        choice_statistics({candidates, moved_costs}, std::array{LimitDraws{"m", {candidates, moved_margins}}});
    const std::array front_objectives{Objective{"cost", true, {candidates, costs}},
                                      Objective{"airflow", false, {candidates, airflow}}};
    const std::array moved_objectives{Objective{"cost", true, {candidates, moved_costs}},
                                      Objective{"airflow", false, {candidates, moved_airflow}}};
    const auto front = pareto_front(front_objectives), moved_front = pareto_front(moved_objectives);
    double first = 0.0;
    for (std::size_t k = 0; k < candidates; ++k) {
        const CandidateChances &a = one.candidates[order[k]], &b = other.candidates[k];
        for (std::size_t r = 0; r < candidates; ++r) CHECK(a.rank[r] == Approx(b.rank[r]).margin(1e-13));
        CHECK(a.without_rank == b.without_rank);
        CHECK(a.expected_regret == b.expected_regret);
        CHECK(a.limits == b.limits);
        CHECK(front[order[k]].is_on_front == moved_front[k].is_on_front);
        CHECK(front[order[k]].probability == moved_front[k].probability);
        double sum = a.without_rank;
        for (const double p : a.rank) sum += p;
        CHECK(sum == Approx(1.0));
        first += a.rank[0];
    }
    CHECK(first == Approx(1.0 - one.without_choice));
    const InformationValue here = information_value({candidates, costs}, z);
    const InformationValue there = information_value({candidates, moved_costs}, z);
    CHECK(order[there.best] == here.best);
    CHECK(here.perfect == Approx(there.perfect));
    CHECK(here.inputs.front().input == there.inputs.front().input);
    CHECK(here.inputs.front().value == Approx(there.inputs.front().value));
}

TEST_CASE("the front is what nothing beats", "[own]") {
    // Cost, airflow and clean air of five candidates, one draw and another.
    const std::vector<double> cost{10, 30,   20, 20,   30, 30,   20, 20,   25, 25};
    const std::vector<double> airflow{5, 5,   6, 6,   7, 7,   6, 6,   5, 5};
    const std::vector<double> clean{1, 1,   3, 3,   2, 2,   3, 3,   2, 2};
    const std::array objectives{Objective{"cost", true, {5, cost}}, Objective{"airflow", false, {5, airflow}},
                                Objective{"clean air", false, {5, clean}}};
    const auto places = pareto_front(objectives);
    CHECK_FALSE(places[0].is_on_front);   // by the means the second costs as much and delivers more
    CHECK(places[0].beaten_by == std::vector<std::size_t>{1, 3});
    CHECK(places[0].probability == 0.5);
    CHECK(places[1].is_on_front);         // equal candidates do not beat each other
    CHECK(places[3].is_on_front);
    CHECK(places[2].is_on_front);
    CHECK(places[2].probability == 1.0);
    CHECK(places[4].beaten_by == std::vector<std::size_t>{1, 3});
    CHECK(places[4].probability == 0.0);
}

TEST_CASE("statistics of a choice refuse what is no set of draws", "[own]") {
    const std::vector<double> six{1, 2, 3, 4, 5, 6}, five{1, 2, 3, 4, 5}, bad{1, 2, std::nan(""), 4};
    CHECK_THROWS_WITH(choice_statistics({0, six}), Contains("at least 1"));
    CHECK_THROWS_WITH(choice_statistics({2, five}), Contains("as many draws"));
    CHECK_THROWS_WITH(choice_statistics({2, bad}), Contains("cost = nan"));
    CHECK_THROWS_AS(choice_statistics({2, std::span<const double>()}), DomainError);
    CHECK_THROWS_WITH(choice_statistics({2, six}, std::array{LimitDraws{"noise", {3, six}}}),
                      Contains("candidates of limit noise"));
    CHECK_THROWS_WITH(choice_statistics({2, six}, std::array{LimitDraws{"noise", {2, std::span(six).first(4)}}}),
                      Contains("draws of limit noise = 2; required: 3"));
    CHECK_THROWS_AS(pareto_front({}), DomainError);
    CHECK_THROWS_AS(pareto_front(std::array{Objective{"cost", true, {2, six}}, Objective{"airflow", false, {3, six}}}),
                    DomainError);
    const std::vector<double> many(2000, 1.0);
    CHECK_THROWS_WITH(information_value({1, many}, many), Contains("at least 2"));
    CHECK_THROWS_WITH(information_value({2, six}, six), Contains("at least 1000"));
    CHECK_THROWS_AS(information_value({2, many}, six), DomainError);
    CHECK_THROWS_AS(share_standard_error(1.5, 10), DomainError);
    CHECK_THROWS_AS(share_standard_error(0.5, 0), DomainError);
    // All the same, and no limits: every rank as likely, nothing to gain.
    const ChoiceStatistics same = choice_statistics({2, many});
    CHECK(same.candidates[0].rank == std::vector<double>{0.5, 0.5});
    CHECK(same.candidates[0].expected_regret == 0.0);
    const InformationValue nothing = information_value({2, many}, many);
    CHECK(nothing.perfect == 0.0);
    CHECK(nothing.inputs.at(0).explained_share == 0.0);
}
