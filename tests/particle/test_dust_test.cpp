// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/particle/test_dust.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

TEST_CASE("limits of the test dusts", "[outside]") {
    // tests/reference/test_dust.csv: ISO 12103-1; A1 second-hand, A2 from memory.
    const ReferenceTable table("test_dust.csv");
    REQUIRE(table.size() == 16);
    std::size_t fine = 0, ultrafine = 0;
    for (const auto& row : table) {
        const bool is_fine = row["dust"] == "A2";
        const TestDust dust = is_fine ? fine_test_dust() : ultrafine_test_dust();
        const DustPoint& point = dust.points.at(is_fine ? fine++ : ultrafine++);
        CHECK(point.size / um == Approx(row.number("d_um")));
        CHECK(100 * point.least == Approx(row.number("volume_percent_below_least")));
        CHECK(100 * point.greatest == Approx(row.number("volume_percent_below_greatest")));
        const Interval<double> limits = volume_below_limits(dust, point.size);
        CHECK(limits.lower == Approx(point.least));
        CHECK(limits.upper == Approx(point.greatest));
        CHECK(volume_below(dust, point.size) == Approx(0.5 * (point.least + point.greatest)));
    }
    CHECK(fine == fine_test_dust().points.size());
    CHECK(ultrafine == ultrafine_test_dust().points.size());
}

TEST_CASE("the volume below a size rises with it, inside its limits", "[own]") {
    const TestDust dust = fine_test_dust();
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> log_size(std::log(0.97), std::log(176.0));
    for (std::size_t i = 0; i < test::sweep_length(1000); ++i) {
        double a = std::exp(log_size(random)), b = std::exp(log_size(random));
        if (a > b) std::swap(a, b);
        if (!(b > a)) continue;
        const double share = volume_fraction(dust, {.lower = a * um, .upper = b * um});
        CHECK((share >= 0.0 && share <= 1.0));
        CHECK(share == Approx(volume_below(dust, b * um) - volume_below(dust, a * um)).margin(1e-15));
        const Interval<double> limits = volume_below_limits(dust, a * um);
        CHECK(limits.lower <= limits.upper);
    }
    CHECK(volume_fraction(dust, sizes_above(0.97 * um)) == Approx(0.95));
    double sum = 0;
    for (const LoadingDustPart& part : loading_dust_parts()) sum += part.share;
    CHECK(sum == Approx(1.0));
}

TEST_CASE("sizes that a dust does not state are refused", "[own]") {
    CHECK_THROWS_WITH(volume_below(ultrafine_test_dust(), 0.5 * um),
                      Contains("size = 5e-07 m; required: from 9.7e-07"));
    CHECK_THROWS_AS(volume_below(ultrafine_test_dust(), 23 * um), DomainError);
    CHECK_THROWS_AS(volume_fraction(ultrafine_test_dust(), {.lower = 0 * um, .upper = 1 * um}), DomainError);
    CHECK_THROWS_WITH(volume_below({"none", {}}, 1 * um), Contains("number of the dust's points"));
    CHECK_THROWS_WITH(volume_below({"falling", {{1 * um, 0.5, 0.6}, {2 * um, 0.4, 0.7}}}, 1 * um),
                      Contains("least share"));
}
