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

namespace {

/// Compares a dust with its rows of tests/reference/test_dust.csv; returns the number of rows.
std::size_t check_rows(const std::string& name, const TestDust& dust) {
    std::size_t i = 0;
    for (const auto& row : ReferenceTable("test_dust.csv")) {
        if (row["dust"] != name) continue;
        const DustPoint& point = dust.points.at(i++);
        CHECK(point.size / um == Approx(row.number("d_um")));
        CHECK(100 * point.least == Approx(row.number("volume_percent_below_least")));
        CHECK(100 * point.greatest == Approx(row.number("volume_percent_below_greatest")));
        const Interval<double> limits = volume_below_limits(dust, point.size);
        CHECK(limits.lower == Approx(point.least));
        CHECK(limits.upper == Approx(point.greatest));
        CHECK(volume_below(dust, point.size) == Approx(0.5 * (point.least + point.greatest)));
    }
    return i;
}

}   // namespace

TEST_CASE("limits of ultrafine test dust", "[outside]") {
    // ISO 12103-1 A1, quoted on a page of test dust data (second-hand).
    CHECK(check_rows("A1", ultrafine_test_dust()) == ultrafine_test_dust().points.size());
}

TEST_CASE("limits of fine test dust, from memory", "[own]") {
    // ISO 12103-1 A2: table and code are both from memory and not verified.
    CHECK(check_rows("A2", fine_test_dust()) == fine_test_dust().points.size());
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
                      Contains("size = 0.5 um; required: from 0.97 to "));
    CHECK_THROWS_AS(volume_below(ultrafine_test_dust(), 23 * um), DomainError);
    CHECK_THROWS_AS(volume_fraction(ultrafine_test_dust(), {.lower = 0 * um, .upper = 1 * um}), DomainError);
    CHECK_THROWS_WITH(volume_below({"none", {}}, 1 * um), Contains("number of the dust's points"));
    CHECK_THROWS_WITH(volume_below({"falling", {{1 * um, 0.5, 0.6}, {2 * um, 0.4, 0.7}}}, 1 * um),
                      Contains("least share"));
}
