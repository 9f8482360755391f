// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <string>

#include "data_error.hpp"
#include "file_source.hpp"
#include "filter_life/runtime_table.hpp"

using Catch::Matchers::StartsWith;
using namespace choose_filter;
using namespace filterflow;
using namespace filterflow::units;

namespace {

std::string runtime_error(const std::string& text) {
    MemoryFiles files;
    files.add("hours.csv", text);
    try {
        (void)filter_life_example::runtime_schedule(files, "hours.csv");
    } catch (const DataError& error) {
        return error.what();
    }
    return "read without an error";
}

}   // namespace

TEST_CASE("a table of hours is a schedule", "[own]") {
    MemoryFiles files;
    files.add("hours.csv", "hour,running,dust [ug/m3]\n0,0.5,40\n1,0,90\n2,1,10\n");
    const DustSchedule schedule = filter_life_example::runtime_schedule(files, "hours.csv");
    REQUIRE(schedule.hours().size() == 3);
    CHECK(schedule.running_time() / h == Approx(1.5).epsilon(1e-14));
    CHECK(schedule.running_fraction() == Approx(0.5).epsilon(1e-14));
    CHECK(schedule.mean_concentration() / ug_per_m3 == Approx((0.5 * 40 + 10) / 1.5).epsilon(1e-12));
}

TEST_CASE("a table of hours that cannot be says where", "[own]") {
    const std::string head = "hour,running,dust [ug/m3]\n";
    CHECK_THAT(runtime_error(head + "0,0,40\n1,0,50\n"), StartsWith("hours.csv: no dust reaches the filter"));
    CHECK_THAT(runtime_error(head + "0,1,0\n1,0,50\n"), StartsWith("hours.csv: no dust reaches the filter"));
    CHECK_THAT(runtime_error(head + "0,1,40\n2,1,50\n"),
               StartsWith("hours.csv:3:1: ") && Contains("the hours do not follow each other: expected 1"));
    CHECK_THAT(runtime_error(head + "0,1.2,40\n"),
               StartsWith("hours.csv:2:3: ") && Contains("the running share 1.2 is no share; allowed: 0 to 1"));
    CHECK_THAT(runtime_error(head + "0,1,-40\n"), StartsWith("hours.csv:2:5: ") && Contains("is negative"));
    CHECK_THAT(runtime_error(head), StartsWith("hours.csv"));
    CHECK_THAT(runtime_error("hour,running,dust [ug/m3],speed\n0,1,40,2\n"), Contains("speed"));
    CHECK(runtime_error(head + "0,1,40\n") == "read without an error");
}
