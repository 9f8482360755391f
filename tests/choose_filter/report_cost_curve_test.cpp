// SPDX-License-Identifier: BSL-1.0
// The curve of cost against the change interval between few samples, against the closed form of a drive that holds its
// airflow while the power rises in a straight line.

#include "support/catch.hpp"

#include <cmath>
#include <vector>

#include <filterflow/cost/least_average.hpp>

#include "report_cost_curve.hpp"

using namespace choose_filter;
using namespace filterflow;

namespace {

constexpr double price_of_change = 30.0, price_of_kWh = 0.25;   // currency units
constexpr double power_clean = 500.0, power_rise = 0.06;        // W, W an hour
constexpr double hours_served = 4200.0;                         // a year, at the airflow that is held

/// Yearly cost by hand: changes and energy of the hours served.
double cost_by_hand(double hours) {
    const double energy = 1e-3 * (power_clean * hours + 0.5 * power_rise * hours * hours);   // kWh between changes
    return (price_of_change + price_of_kWh * energy) * hours_served / hours;
}

CandidateResult candidate_at_held_airflow(const std::vector<double>& samples, double chosen) {
    CandidateResult candidate;
    candidate.name = "invented";
    const auto moment = [&](double hours) {
        candidate.life.push_back({hours * units::h, Mass{}, VolumeFlow::from_value(0.75), Pressure{},
                                  Power::from_value(power_clean + power_rise * hours)});
    };
    moment(0.0);
    for (const double hours : samples) {
        moment(hours);
        candidate.cost_rate.push_back({hours * units::h, Money::from_value(cost_by_hand(hours))});
    }
    candidate.change_interval = Uncertain<Time>(chosen * units::h);
    candidate.annual_filter_cost = Uncertain<Money>(Money::from_value(price_of_change * hours_served / chosen));
    return candidate;
}

}   // namespace

TEST_CASE("between few samples the curve of cost follows the closed form", "[own]") {
    const double best = std::sqrt(2.0 * price_of_change / (1e-3 * price_of_kWh * power_rise));   // 2000 h
    for (const std::vector<double>& samples : {std::vector<double>{6000.0}, std::vector<double>{1500.0, 6000.0}}) {
        const auto curve = cost_curve(candidate_at_held_airflow(samples, best), 0.1 * best);
        REQUIRE(curve.size() > 100);
        CHECK(curve.front().hours == Approx(0.1 * best));
        CHECK(curve.back().hours == 6000.0);
        CostCurvePoint least = curve.front();
        for (const CostCurvePoint& point : curve) {
            CAPTURE(point.hours);
            CHECK(point.annual_cost == Approx(cost_by_hand(point.hours)).epsilon(1e-9));
            if (point.annual_cost < least.annual_cost) least = point;
        }
        CHECK(std::abs(std::log(least.hours / best)) < 0.03);   // a step of the curve
        for (std::size_t i = 1; i < curve.size(); ++i) CHECK(curve[i].hours > curve[i - 1].hours);
        CHECK(cost_on(curve, 2345.0) == Approx(cost_by_hand(2345.0)).epsilon(1e-4));
        CHECK(cost_on(curve, 9000.0) == Approx(cost_by_hand(6000.0)));
    }
}

TEST_CASE("a curve without the power of the fan is that of the samples, and none without samples", "[own]") {
    CandidateResult candidate = candidate_at_held_airflow({1000.0, 2000.0, 4000.0}, 2000.0);
    for (LifeSample& sample : candidate.life) sample.power.reset();
    const auto curve = cost_curve(candidate, 1500.0);
    REQUIRE(curve.size() == 2);
    CHECK(curve[0].hours == Approx(2000.0));
    CHECK(curve[1].annual_cost == Approx(cost_by_hand(4000.0)));
    candidate.cost_rate.clear();
    CHECK(cost_curve(candidate, 0.0).empty());
}
