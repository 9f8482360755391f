// SPDX-License-Identifier: BSL-1.0
// Fans that do not fall throughout: where the system stays below them for sure up to the peak, only the falling part is
// searched.

#include "support/catch.hpp"

#include <random>

#include <filterflow/airflow/operating_point.hpp>

#include "airflow/random_fans.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("the short way past a fan's peak finds what the search of the whole table does", "[own]") {
    std::mt19937_64 random(21);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const AirState air = moist_air({.temperature = from_celsius(25), .pressure = 93000 * Pa, .relative_humidity = 0.5});
    std::size_t short_ways = 0, several = 0;
    const std::size_t trials = test::sweep_length(20000);
    for (std::size_t i = 0; i < trials; ++i) {
        const FanCurve fan = test::random_fan(random, false);
        SystemCurve system;
        system.constant_pressure = (unit(random) < 0.3 ? 300.0 * unit(random) - 50.0 : 0.0) * Pa;
        system.power_laws.push_back(
            {800.0 * unit(random) * unit(random) * Pa, 0.8 * m3_per_s, 1.0 + 1.2 * unit(random), fan_table_air()});
        const OperatingPoint whole = operating_point(fan, system, air);
        const OperatingFlow found = operating_flow(fan, system, air);
        REQUIRE(found.status == whole.status);
        REQUIRE(found.flow.has_value() == whole.found());
        if (found.flow) CHECK(*found.flow / m3_per_s == Approx(whole.flow() / m3_per_s).epsilon(1e-11));
        several += whole.crossings.size() > 1;
        const double scale = detail::table_scale(fan.stated_air(), air, 1.0);
        short_ways += !fan.falls_throughout() && detail::first_row_of_crossing(fan, system, air, scale).has_value();
    }
    CHECK(short_ways > trials / 10);
    CHECK(several > trials / 2000);
}
