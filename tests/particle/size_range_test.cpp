// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/particle/size_range.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

TEST_CASE("the twelve ranges of the standards", "[outside]") {
    // tests/reference/size_ranges.csv: edges read in a secondary explanation of ANSI/ASHRAE 52.2, two-digit means
    // from memory.
    const ReferenceTable table("size_ranges.csv");
    const auto ranges = minimum_efficiency_size_ranges();
    REQUIRE(table.size() == ranges.size());
    std::size_t i = 0;
    for (const auto& row : table) {
        CHECK(ranges[i].lower / um == Approx(row.number("lower_um")));
        CHECK(ranges[i].upper / um == Approx(row.number("upper_um")));
        CHECK(std::round(100 * (geometric_mean(ranges[i]) / um)) / 100 ==
              Approx(row.number("geomean_um_2dp_as_published")));
        ++i;
    }
}

TEST_CASE("an open range has no mean and is the same only as an open one", "[own]") {
    const SizeRange open = sizes_above(2.5 * um);
    CHECK(range_text(open) == "above 2.5 um");
    CHECK_THROWS_WITH(geometric_mean(open), Contains("above 2.5 um is open"));
    CHECK_FALSE(same_range(open, {.lower = 2.5 * um, .upper = 10 * um}));
    CHECK(same_range(open, sizes_above(2.5 * um)));
    CHECK(same_range({.lower = 0.3 * um, .upper = 0.4 * um}, {.lower = 0.30001 * um, .upper = 0.4 * um}));
    CHECK_FALSE(same_range({.lower = 0.3 * um, .upper = 0.4 * um}, {.lower = 0.3 * um, .upper = 0.5 * um}));
    CHECK(range_text({.lower = 0.3 * um, .upper = 0.4 * um}) == "0.3-0.4 um");
}

TEST_CASE("ranges that are none are refused", "[own]") {
    CHECK_THROWS_WITH(geometric_mean({.lower = 1 * um, .upper = 0.5 * um}),
                      Contains("range.upper = 0.5 um; required: > range.lower = 1 um"));
    CHECK_THROWS_WITH(geometric_mean({.lower = 0 * um, .upper = 0.5 * um}), Contains("range.lower = 0 m"));
    CHECK_THROWS_AS(sizes_above(-1 * um), DomainError);
    CHECK_THROWS_AS(sizes_above(std::nan("") * um), DomainError);
}
