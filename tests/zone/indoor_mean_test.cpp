// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/particle/size_range.hpp>
#include <filterflow/zone/indoor_mean.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

FractionalEfficiency mean_test_filter() {   // invented
    FractionalEfficiency filter;
    double efficiency = 0.1;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        filter.ranges.push_back(stated_efficiency(range, uncertain(efficiency, 0.02, "efficiency")));
        efficiency += 0.07;
    }
    return filter;
}

RoomForSizes mean_test_room() {   // invented
    RoomForSizes room;
    room.air = {
        .volume = 900 * m3, .infiltration = 0.25 * per_h, .outdoor_air = 700 * m3_per_h, .running_fraction = 1.0};
    return room;
}

const FilterInRoom in_room{mean_test_filter(), VolumeFlow::from_value(2000.0 / 3600.0)};

}   // namespace

TEST_CASE("a fan that never rests has the steady ratio", "[own][zone]") {
    for (const DustOfInterest& dust : {urban_pm25(), rural_pm10()}) {
        const IndoorParticles steady = indoor_particles(mean_test_room(), in_room, dust);
        const std::vector<FanPhase> phases{{5 * h, 1.0}, {3 * h, 1.0}};
        const IndoorParticles mean = mean_indoor_particles(mean_test_room(), in_room, dust, phases);
        CHECK(mean.ratio.value == Approx(steady.ratio.value).epsilon(1e-12));
        CHECK(mean.ratio.standard_uncertainty() == Approx(steady.ratio.standard_uncertainty()).epsilon(1e-9));
        CHECK(mean.bounds.upper == Approx(steady.bounds.upper).epsilon(1e-12));
        CHECK(mean.without_filter == Approx(steady.without_filter).epsilon(1e-12));
    }
}

TEST_CASE("the mean over phases agrees with a room's course", "[own][zone]") {
    const std::vector<FanPhase> phases{{7 * h, 0.0}, {11 * h, 1.0}, {2 * h, 0.4}, {4 * h, 1.0}};
    const RoomForSizes sizes = mean_test_room();
    for (const double size : {0.3, 1.0, 4.0}) {
        Room room = sizes.air;
        room.penetration = crack_penetration(sizes.penetration, size * um);
        room.deposition = deposition_rate(sizes.deposition, size * um);
        room.outdoor_air_efficiency = 0.45;
        room.recirculated = 2000 * m3_per_h;
        room.recirculating_efficiency = 0.45;
        std::vector<RoomPhase> course;
        for (const FanPhase& phase : phases) {
            Room part = room;
            part.outdoor_air = phase.running * room.outdoor_air;
            part.running_fraction = phase.running;
            course.push_back({part, 1 * ug_per_m3, phase.duration});
        }
        double sum = 0.0;
        const auto found = repeating_course(course);
        for (std::size_t i = 0; i < phases.size(); ++i) sum += found[i].mean / ug_per_m3 * (phases[i].duration / h);
        CHECK(detail::mean_ratio(room, std::span<const FanPhase>(phases), "test") == Approx(sum / 24.0).epsilon(1e-12));
    }
}

TEST_CASE("cycles that grow short come to the averaged fan, and rest lets particles in or settle", "[own][zone]") {
    const std::vector<FanPhase> even{{1 * h, 0.35}}, quick{{0.35 * s, 1.0}, {0.65 * s, 0.0}},
        slow{{35 * h, 1.0}, {65 * h, 0.0}};
    const auto ratio = [&](const std::vector<FanPhase>& phases) {
        return mean_indoor_particles(mean_test_room(), in_room, urban_pm25(), phases).ratio.value;
    };
    CHECK(ratio(quick) == Approx(ratio(even)).epsilon(1e-4));
    // Long on and off: nearly each one's steady state by its time.
    const std::vector<FanPhase> on{{1 * h, 1.0}}, off{{1 * h, 0.0}};
    CHECK(ratio(slow) == Approx(0.35 * ratio(on) + 0.65 * ratio(off)).epsilon(0.03));
}

TEST_CASE("hours of a schedule become phases", "[own][zone]") {
    std::vector<DutyHour> hours(24, {.concentration = 20 * ug_per_m3, .running = 0.0});
    for (std::size_t i = 7; i < 19; ++i) hours[i].running = i < 12 ? 1.0 : 0.5;
    const auto phases = fan_phases(hourly_schedule(hours));
    REQUIRE(phases.size() == 4);
    CHECK(phases[1].duration / h == Approx(5.0));
    CHECK(phases[2].running == 0.5);
    CHECK(phases[3].duration / h == Approx(5.0));
}

TEST_CASE("a mean over phases refuses what cannot be", "[own][zone]") {
    const auto mean = [](const RoomForSizes& room, const std::vector<FanPhase>& phases) {
        return mean_indoor_particles(room, in_room, urban_pm25(), phases);
    };
    CHECK_THROWS_WITH(mean(mean_test_room(), {}), Contains("number of phases = 0"));
    CHECK_THROWS_WITH(mean(mean_test_room(), {{0 * h, 1.0}}), Contains("duration of a phase = 0"));
    CHECK_THROWS_WITH(mean(mean_test_room(), {{1 * h, 1.1}}), Contains("running share of a phase = 1.1"));
    RoomForSizes source = mean_test_room();
    source.source = MassFlow::from_value(1e-9);
    CHECK_THROWS_WITH(mean(source, {{1 * h, 1.0}}), Contains("a source is given"));
}
