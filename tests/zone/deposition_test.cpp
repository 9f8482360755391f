// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <cmath>
#include <string>

#include <boost/math/quadrature/gauss_kronrod.hpp>

#include <filterflow/zone/deposition.hpp>
#include <filterflow/zone/penetration.hpp>
#include <filterflow/zone/smooth_wall_deposition.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Abstracts of Thatcher and others 2003 and of Howard-Reed and others 2003: the ends of their ranges, which are what
// the tables are made of. So this guards the tables' figures; it is no check from outside.
TEST_CASE("measured deposition at the ends of the published ranges", "[own][zone]") {
    const auto houses = deposition_in_two_houses();
    CHECK(deposition_rate(houses, 0.1 * um) / per_h == Approx(0.1).epsilon(1e-12));
    CHECK(deposition_rate(houses, 10 * um) / per_h == Approx(5.0).epsilon(1e-12));
    const auto off = deposition_in_a_townhouse(CentralFan::off);
    CHECK(deposition_rate(off, 0.4 * um) / per_h == Approx(0.3).epsilon(0.05));
    CHECK(deposition_rate(off, 10 * um) / per_h == Approx(5.2).epsilon(1e-12));
    const auto on = deposition_in_a_townhouse(CentralFan::on);
    CHECK(deposition_rate(on, 0.4 * um) / deposition_rate(off, 0.4 * um) == Approx(2.0).epsilon(0.02));
}

TEST_CASE("between the ends rates follow a power of the diameter", "[own][zone]") {
    const auto houses = deposition_in_two_houses();
    CHECK(deposition_rate(houses, 1 * um) / per_h == Approx(std::sqrt(0.1 * 5.0)).epsilon(1e-12));
    DepositionTable bent = houses;
    bent.points.insert(bent.points.begin() + 1, DepositionPoint{1 * um, 0.2 * per_h});
    CHECK(deposition_rate(bent, std::sqrt(0.1) * um) / per_h == Approx(std::sqrt(0.1 * 0.2)).epsilon(1e-12));
    CHECK(deposition_rate(bent, std::sqrt(10.0) * um) / per_h == Approx(std::sqrt(0.2 * 5.0)).epsilon(1e-12));
}

TEST_CASE("deposition tables do not extrapolate", "[own][zone]") {
    CHECK_THROWS_WITH(deposition_rate(deposition_in_two_houses(), 20 * um),
                      Contains("diameter = 2e-05 m; required: from 1e-07"));
    CHECK_THROWS_AS(deposition_rate({"empty", {}}, 1 * um), DomainError);
    CHECK_THROWS_AS(deposition_rate({"backwards", {{2 * um, 1 * per_h}, {1 * um, 1 * per_h}}}, 1 * um), DomainError);
}

namespace {

SmoothWalledRoom smooth_room(double friction_velocity_cm_per_s) {   // 4 by 4 by 2.5 m
    return {.volume = 40 * m3,
            .walls = 40 * m2,
            .floor = 16 * m2,
            .ceiling = 16 * m2,
            .friction_velocity = 0.01 * friction_velocity_cm_per_s * m_per_s};
}

}   // namespace

// Abstract of Thatcher and others 2003: about one for small, 0.3 for large particles. The table is made of them.
TEST_CASE("penetration at the ends of the published range", "[own][zone]") {
    const auto houses = penetration_in_two_houses();
    CHECK(crack_penetration(houses, 0.1 * um) == Approx(1.0).epsilon(1e-12));
    CHECK(crack_penetration(houses, 10 * um) == Approx(0.3).epsilon(1e-12));
}

TEST_CASE("penetration between points and outside them", "[own][zone]") {
    CHECK(crack_penetration(penetration_in_two_houses(), 1 * um) == Approx(0.65).epsilon(1e-12));
    CHECK(crack_penetration(penetration_of_all_sizes(0.78), 3 * um) == 0.78);
    CHECK_THROWS_WITH(penetration_of_all_sizes(1.1), Contains("share = 1.1; required: from 0 to 1"));
    CHECK_THROWS_WITH(crack_penetration(penetration_in_two_houses(), 11 * um), Contains("diameter = 1.1e-05 m"));
    CHECK_THROWS_AS(crack_penetration({"one point", {{1 * um, 0.5}}}, 1 * um), DomainError);
    CHECK_THROWS_AS(crack_penetration({"backwards", {{2 * um, 0.5}, {1 * um, 0.6}}}, 1 * um), DomainError);
}

TEST_CASE("deposition on smooth walls as a second program has it", "[own][zone]") {
    const AirState air = fan_test_air();
    int checked = 0;   // that program took a slip law which is 2.5 % higher at 0.1 um, so its diffusion is faster
    for (const auto& row : test::ReferenceTable("smooth_wall_deposition.csv")) {
        for (const char* speed : {"0.5", "1", "3"}) {
            const double expected = row.number(std::string("rate_at_") + speed + "_cm_s_per_h");
            INFO(row["d_um"] << " um, " << speed << " cm/s");
            CHECK(smooth_wall_deposition(smooth_room(std::stod(speed)), row.number("d_um") * um, air) / per_h ==
                  Approx(expected).epsilon(row.number("d_um") < 0.5 ? 0.022 : 0.0055));
            ++checked;
        }
    }
    CHECK(checked == 42);
}

TEST_CASE("the boundary layer's closed form agrees with its profile by quadrature", "[own][zone]") {
    for (const double schmidt : {300.0, 3e4, 2e6, 5e7}) {
        for (const double radius : {1e-4, 0.01, 0.3}) {
            const auto resistance = [&](double y) {
                const double turbulent = y < 4.3    ? 7.669e-4 * y * y * y
                                         : y < 12.5 ? 1.00e-3 * std::pow(y, 2.8214)
                                                    : 1.07e-2 * std::pow(y, 1.8895);
                return 1.0 / (turbulent + 1.0 / schmidt);
            };
            double sum = 0.0;
            const auto add = [&](double a, double b) {
                sum += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(resistance, a, b, 12, 1e-10);
            };
            for (double a = radius; a < 4.3; a *= 2.0) add(a, std::min(2.0 * a, 4.3));
            add(4.3, 12.5);
            add(12.5, 30.0);
            INFO("Sc " << schmidt << ", radius " << radius);
            CHECK(detail::boundary_layer_integral(schmidt, radius) == Approx(sum).epsilon(0.0015));
        }
    }
}

TEST_CASE("smooth-wall theory has its limits and its table", "[own][zone]") {
    const AirState air = fan_test_air();
    const SmoothWalledRoom room = smooth_room(1.0);
    // Large particles only settle: k = v_s A_floor / V.
    const double settling = settling_velocity({10 * um, 1000 * kg_per_m3, 1.0}, air).value();
    CHECK(smooth_wall_deposition(room, 10 * um, air).value() == Approx(settling * 16.0 / 40.0).epsilon(1e-3));
    // Far below what is measured in houses at sizes under a micrometre.
    CHECK(smooth_wall_deposition(room, 0.4 * um, air) < 0.1 * deposition_rate(deposition_in_two_houses(), 0.4 * um));
    const DepositionTable table = smooth_wall_table(room, air);
    CHECK_THAT(table.name, Contains("smooth walls, friction velocity 1 cm/s"));
    for (const double d : {0.1, 0.17, 0.3, 1.3, 9.1, 10.0}) {
        CHECK(deposition_rate(table, d * um).value() ==
              Approx(smooth_wall_deposition(room, d * um, air).value()).epsilon(0.003));
    }
    SmoothWalledRoom wrong = room;
    wrong.friction_velocity = 0 * m_per_s;
    CHECK_THROWS_WITH(smooth_wall_deposition(wrong, 1 * um, air), Contains("friction_velocity = 0 m/s"));
    wrong = smooth_room(3000.0);
    CHECK_THROWS_WITH(smooth_wall_deposition(wrong, 10 * um, air), Contains("particle radius in units"));
    CHECK_THROWS_WITH(smooth_wall_deposition(room, 0 * um, air), Contains("diameter = 0 m"));
}
