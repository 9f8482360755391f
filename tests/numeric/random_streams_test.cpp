// SPDX-License-Identifier: BSL-1.0
// Words against the known answers of Random123; uniform and normal streams against their distributions, and against
// themselves however they are cut.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <span>
#include <sstream>
#include <thread>
#include <vector>

#if __has_include(<Random123/threefry.h>)
#include <Random123/threefry.h>
#define FILTERFLOW_HAS_RANDOM123
#endif

#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/random_streams.hpp>

#include "support/catch.hpp"
#include "support/kolmogorov_smirnov.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

RandomWords words_of(const std::string& text) {
    std::istringstream in(text);
    RandomWords words{};
    for (std::uint64_t& word : words) in >> std::hex >> word;
    REQUIRE(in);
    return words;
}

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const auto ma = test::sample_moments(a), mb = test::sample_moments(b);
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += (a[i] - ma.mean) * (b[i] - mb.mean);
    return sum / std::sqrt(ma.variance * mb.variance) / static_cast<double>(a.size());
}

std::vector<double> normals(const RandomStream& stream, std::uint64_t first, std::size_t n) {
    std::vector<double> z(n);
    fill_normals(stream, first, z);
    return z;
}

}   // namespace

TEST_CASE("Threefry4x64-20 gives Random123's known answers", "[outside]") {
    const ReferenceTable table("threefry_words.csv");
    for (const ReferenceRow& row : table) {
        CHECK(threefry_words(words_of(row["counter"]), words_of(row["key"])) == words_of(row["words"]));
    }
    static_assert(threefry_words(RandomWords{}, RandomWords{})[0] ==
                  0x09218ebde6c85537);   // usable at compile time, too
}

#ifdef FILTERFLOW_HAS_RANDOM123
TEST_CASE("Threefry4x64-20 equals Random123's on random counters and keys", "[outside]") {
    std::mt19937_64 random(99);
    for (std::size_t i = 0; i < test::sweep_length(20000); ++i) {
        RandomWords counter, key;
        for (std::uint64_t& word : counter) word = random();
        for (std::uint64_t& word : key) word = random();
        const threefry4x64_ctr_t theirs = threefry4x64_R(20, {{counter[0], counter[1], counter[2], counter[3]}},
                                                         {{key[0], key[1], key[2], key[3]}});
        REQUIRE(threefry_words(counter, key) == RandomWords{theirs.v[0], theirs.v[1], theirs.v[2], theirs.v[3]});
    }
}
#endif

TEST_CASE("a stream's numbers are those of its counters", "[own]") {
    const RandomStream stream{.seed = 11, .candidate = 3, .input = 6};
    std::vector<double> u(200);
    const std::uint64_t first = (std::uint64_t{1} << 32) - 70;   // across the half of a word
    fill_uniforms(stream, first, u);
    for (std::size_t i = 0; i < u.size(); ++i) {
        const std::uint64_t word = threefry_words({first + i, 3, 1, 0}, {11, 0, 0, 0})[2];
        REQUIRE(u[i] == (static_cast<double>(word >> 12) + 0.5) * 0x1p-52);
    }
    const std::vector<double> z = normals({.seed = 11, .candidate = 3, .input = 7}, first, 200);
    for (std::size_t i = 0; i < z.size(); ++i) {   // the sine of the second pair
        const RandomWords w = threefry_words({first + i, 3, 1, 1}, {11, 0, 0, 0});
        const double radius = std::sqrt(-2.0 * std::log((static_cast<double>(w[2] >> 12) + 0.5) * 0x1p-52));
        // The first two bits of the other word are quarters of the turn, the others a place from -1/8 to 1/8 of it.
        const double turn = 0.25 * static_cast<double>(w[3] >> 62) +
                            0.25 * ((static_cast<double>((w[3] << 2) >> 12) + 0.5) * 0x1p-52 - 0.5);
        REQUIRE(z[i] == Approx(radius * std::sin(6.283185307179586 * turn)).margin(1e-14));
    }
    // The word's ends give numbers inside the interval, the same distance from either end.
    CHECK(detail::unit_number(0) == 0x1p-53);
    CHECK(detail::unit_number(~std::uint64_t{0}) == 1.0 - 0x1p-53);
}

TEST_CASE("streams do not depend on parts, order or threads, bit for bit", "[own]") {
    constexpr std::size_t n = 5000;
    const RandomStream first{.seed = 5, .candidate = 2, .input = 8};
    std::array<std::vector<double>, 4> whole;
    for (auto& row : whole) row.resize(n);
    fill_normals(first, 1000, {std::span(whole[0]), std::span(whole[1]), std::span(whole[2]), std::span(whole[3])});
    for (std::size_t k = 0; k < 4; ++k) {   // one input alone, in uneven parts, the last part first
        std::vector<double> parts(n);
        std::mt19937_64 random(k);
        for (std::size_t end = n; end > 0;) {
            const std::size_t begin = end - std::min<std::size_t>(end, 1 + random() % 700);
            fill_normals({.seed = 5, .candidate = 2, .input = 8 + k}, 1000 + begin,
                         std::span(parts).subspan(begin, end - begin));
            end = begin;
        }
        REQUIRE(parts == whole[k]);
    }
    std::vector<double> threaded(n), uniform(n), uniform_threaded(n);
    fill_uniforms(first, 1000, uniform);
    std::vector<std::thread> threads;
    for (std::size_t t = 0; t < 3; ++t) {
        threads.emplace_back([&, t] {
            const std::size_t begin = t * n / 3, end = (t + 1) * n / 3;
            fill_normals(first, 1000 + begin, std::span(threaded).subspan(begin, end - begin));
            fill_uniforms(first, 1000 + begin, std::span(uniform_threaded).subspan(begin, end - begin));
        });
    }
    for (std::thread& thread : threads) thread.join();
    CHECK(threaded == whole[0]);
    CHECK(uniform_threaded == uniform);
    CHECK(normals({.seed = 6, .candidate = 2, .input = 8}, 1000, n) != whole[0]);   // another seed is another stream
}

TEST_CASE("uniform and normal streams follow their distributions", "[own]") {
    const std::size_t n = test::sweep_length(400000);
    const double root = std::sqrt(static_cast<double>(n));
    for (std::uint64_t input = 0; input < 4; ++input) {
        std::vector<double> u(n);
        fill_uniforms({.seed = 21, .input = input}, 0, u);
        CHECK(test::kolmogorov_statistic(u, [](double x) { return x; }) < test::kolmogorov_critical_1_percent);
        const std::vector<double> z = normals({.seed = 21, .input = input}, 0, n);
        CHECK(test::kolmogorov_statistic(z, [](double x) { return 0.5 * std::erfc(-x * 0.70710678118654752); }) <
              test::kolmogorov_critical_1_percent);
        // Four standard errors of each moment of a normal sample.
        const test::SampleMoments moments = test::sample_moments(z);
        CHECK(std::abs(moments.mean) < 4.0 / root);
        CHECK(std::abs(moments.variance - 1.0) < 4.0 * std::sqrt(2.0) / root);
        CHECK(std::abs(moments.skewness) < 4.0 * std::sqrt(6.0) / root);
        CHECK(std::abs(moments.kurtosis) < 4.0 * std::sqrt(24.0) / root);
        // The statistic tells a distribution that is not the one: a normal one, wider by two hundredths.
        CHECK((n < 200000 || test::kolmogorov_statistic(z, [](double x) {
                                 return 0.5 * std::erfc(-x * 0.70710678118654752 / 1.02);
                             }) > test::kolmogorov_critical_1_percent));
    }
}

TEST_CASE("streams of other inputs, candidates, seeds and draws are unrelated", "[own]") {
    const std::size_t n = test::sweep_length(100000);
    const double limit = 4.5 / std::sqrt(static_cast<double>(n));
    std::vector<std::vector<double>> rows;
    for (const RandomStream& stream : {RandomStream{1, 0, 0}, RandomStream{1, 0, 1}, RandomStream{1, 0, 2},
                                       RandomStream{1, 0, 3}, RandomStream{1, 0, 4}, RandomStream{1, 1, 0},
                                       RandomStream{2, 0, 0}}) {
        rows.push_back(normals(stream, 0, n));
    }
    rows.push_back(normals({1, 0, 0}, 1, n));   // the next draw
    std::vector<double> u(n);
    fill_uniforms({1, 0, 0}, 0, u);             // uniform numbers of the same place
    rows.push_back(u);
    for (std::size_t a = 0; a < rows.size(); ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            INFO(a << " and " << b);
            CHECK(std::abs(correlation(rows[a], rows[b])) < limit);
            std::vector<double> squared_a = rows[a], squared_b = rows[b];   // a shared radius would show here
            for (double& x : squared_a) x *= x;
            for (double& x : squared_b) x *= x;
            CHECK(std::abs(correlation(squared_a, squared_b)) < limit);
        }
    }
}

TEST_CASE("streams refuse what they cannot fill", "[own]") {
    std::vector<double> a(4), b(4), c(4), d(3);
    const std::array<std::span<double>, 4> uneven{a, b, c, d}, even{a, b, c, c};
    CHECK_THROWS_WITH(fill_uniforms({.input = 4}, 0, uneven), Contains("as many draws of each input"));
    CHECK_THROWS_WITH(fill_normals({.input = 2}, 0, even), Contains("a multiple of 4"));
    CHECK_THROWS_AS(fill_normals({}, std::numeric_limits<std::uint64_t>::max() - 2, a), DomainError);
    CHECK_THROWS_AS(fill_uniforms({}, std::numeric_limits<std::uint64_t>::max() - 2, a), DomainError);
    fill_uniforms({}, 0, std::span<double>());   // nothing to fill
}
