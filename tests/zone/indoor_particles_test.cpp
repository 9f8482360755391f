// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <filterflow/particle/size_range.hpp>
#include <filterflow/zone/indoor_particles.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented: efficiencies in the twelve standard ranges, 0.3 to 10 um.
constexpr std::array<double, 12> efficiencies{0.08, 0.12, 0.18, 0.26, 0.36, 0.46, 0.57, 0.68, 0.77, 0.84, 0.89, 0.92};

FractionalEfficiency filter_of(double factor = 1.0, std::size_t first = 0, std::size_t last = 12) {
    FractionalEfficiency filter;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = first; i < last; ++i) {
        filter.ranges.push_back(stated_efficiency(ranges[i], uncertain(factor * efficiencies[i], 0.02, "efficiency")));
    }
    return filter;
}

RoomForSizes hall() {   // invented
    RoomForSizes room;
    room.air = {.volume = 900 * m3,
                .infiltration = 0.2 * per_h,
                .outdoor_air = 700 * m3_per_h,
                .running_fraction = 1.0,
                .clean_air_delivery = 100 * m3_per_h};
    return room;
}

constexpr double flow = 2000.0 / 3600.0;

}   // namespace

TEST_CASE("particulate matter indoors agrees with a fine sum over size", "[own][zone]") {
    for (const bool filtered : {true, false}) {
        RoomForSizes room = hall();
        room.outdoor_air_filtered = filtered;
        room.air.outdoor_air_efficiency = 0.3;
        room.source = MassFlow::from_value(3e-9);
        for (const DustOfInterest& dust : {urban_pm25(), rural_pm10()}) {
            const auto found = indoor_particles(room, {filter_of(), VolumeFlow::from_value(flow)}, dust);
            const auto ranges = minimum_efficiency_size_ranges();
            double mass = 0.0, inside = 0.0, bare = 0.0, added = 0.0;
            constexpr int n = 20000;
            const double a = std::log(dust.sizes.lower.value()), b = std::log(dust.sizes.upper.value());
            for (int i = 0; i < n; ++i) {
                const Length d = Length::from_value(std::exp(a + (b - a) * (i + 0.5) / n));
                std::size_t k = 0;
                while (k + 1 < 12 && d >= ranges[k].upper) ++k;
                const double q = volume_density(dust.distribution, d) * (b - a) / n;
                const double v = 900.0, p = crack_penetration(room.penetration, d);
                const double dep = deposition_rate(room.deposition, d).value();
                const auto ratio = [&](double e, double& loss) {   // the balance written out
                    const double eo = filtered ? e : 0.3;
                    loss = 0.2 / 3600 + 700.0 / 3600 / v + dep + e * flow / v + 100.0 / 3600 / v;
                    return (0.2 / 3600 * p + 700.0 / 3600 / v * (1 - eo)) / loss;
                };
                double loss = 0.0;
                bare += q * ratio(0.0, loss);
                inside += q * ratio(efficiencies[k], loss);
                added += q * 3e-9 / v / loss;
                mass += q;
            }
            INFO(dust.distribution.name << (filtered ? ", outdoor air filtered" : ""));
            CHECK(found.ratio.value == Approx(inside / mass).epsilon(1e-3));
            CHECK(found.without_filter == Approx(bare / mass).epsilon(1e-3));
            CHECK(found.from_source.value.value() == Approx(added / mass).epsilon(1e-3));
            CHECK(found.measured_share == Approx(1.0).epsilon(1e-12));
            CHECK(found.bounds.lower == Approx(found.ratio.value));
            CHECK(found.assumptions.empty());
            double shares = 0.0, sum = 0.0;
            for (const IndoorSize& size : found.sizes) {
                shares += size.outdoor_share;
                sum += size.outdoor_share * size.ratio;
                CHECK(size.ratio < size.without_filter);
            }
            CHECK(shares == Approx(1.0).epsilon(1e-9));
            CHECK(sum == Approx(found.ratio.value).epsilon(1e-9));
        }
    }
}

TEST_CASE("a better filter and more air through it leave less indoors", "[own][zone]") {
    const auto at = [&](double factor, double q) {
        return indoor_particles(hall(), {filter_of(factor), VolumeFlow::from_value(q)}, urban_pm25()).ratio.value;
    };
    const auto none = indoor_particles(hall(), {filter_of(0.0), VolumeFlow::from_value(flow)}, urban_pm25());
    CHECK(none.ratio.value == Approx(none.without_filter).epsilon(1e-12));
    double before = none.ratio.value;
    for (const double factor : {0.3, 0.6, 1.0}) {
        CHECK(at(factor, flow) < before);
        before = at(factor, flow);
    }
    CHECK(at(1.0, 1.2 * flow) < at(1.0, flow));
    // A filter that stops everything in a room without cracks.
    RoomForSizes tight = hall();
    tight.air.infiltration = 0 * per_h;
    FractionalEfficiency perfect;
    for (const SizeRange& range : minimum_efficiency_size_ranges())
        perfect.ranges.push_back(stated_efficiency(range, 1.0));
    CHECK(indoor_particles(tight, {perfect, VolumeFlow::from_value(flow)}, urban_pm25()).ratio.value == 0.0);
}

TEST_CASE("uncertainty of particles indoors agrees with differences", "[own][zone]") {
    const Uncertain<VolumeFlow> air =
        uncertain(VolumeFlow::from_value(flow), VolumeFlow::from_value(0.05 * flow), "airflow");
    RoomForSizes room = hall();
    room.source = MassFlow::from_value(3e-9);
    const FractionalEfficiency filter = filter_of();
    const auto found = indoor_particles(room, {filter, air}, rural_pm10());
    double variance = 0.0, of_source = 0.0;
    const auto moved = [&](std::size_t range, double step, double air_step) {
        FractionalEfficiency other = filter;
        if (range < 12) other.ranges[range].penetration.value += step;
        return indoor_particles(room, {other, VolumeFlow::from_value(flow + air_step)}, rural_pm10());
    };
    for (std::size_t i = 0; i < 12; ++i) {
        const auto up = moved(i, 1e-4, 0.0), down = moved(i, -1e-4, 0.0);
        variance += std::pow((up.ratio.value - down.ratio.value) / 2e-4 * 0.02, 2);
        of_source += std::pow((up.from_source.value - down.from_source.value).value() / 2e-4 * 0.02, 2);
    }
    const auto up = moved(12, 0.0, 1e-4), down = moved(12, 0.0, -1e-4);
    variance += std::pow((up.ratio.value - down.ratio.value) / 2e-4 * 0.05 * flow, 2);
    of_source += std::pow((up.from_source.value - down.from_source.value).value() / 2e-4 * 0.05 * flow, 2);
    CHECK(found.ratio.standard_uncertainty() == Approx(std::sqrt(variance)).epsilon(1e-5));
    CHECK(found.from_source.standard_uncertainty().value() == Approx(std::sqrt(of_source)).epsilon(1e-5));
}

TEST_CASE("sizes that were not measured widen what is known indoors", "[own][zone]") {
    const auto whole = indoor_particles(hall(), {filter_of(), VolumeFlow::from_value(flow)}, rural_pm10());
    const auto part = indoor_particles(hall(), {filter_of(1.0, 2, 9), VolumeFlow::from_value(flow)}, rural_pm10());
    CHECK(part.measured_share < 0.8);
    CHECK(part.assumptions.size() == 2);
    CHECK(part.bounds.lower < whole.ratio.value);
    CHECK(part.bounds.upper > whole.ratio.value);
    CHECK(part.bounds.contains(part.ratio.value));
    CHECK(part.ratio.standard_uncertainty() > 3.0 * whole.ratio.standard_uncertainty());
    CHECK_FALSE(part.sizes.front().measured);
    CHECK_FALSE(part.sizes.back().measured);
    // Where efficiency is stated to rise with size, the upper sizes leave less open.
    DustOfInterest rising = rural_pm10();
    rising.efficiency_rises_above_measured = true;
    CHECK(indoor_particles(hall(), {filter_of(1.0, 2, 9), VolumeFlow::from_value(flow)}, rising).bounds.upper <
          part.bounds.upper);
}

TEST_CASE("particles indoors refuse what cannot be", "[own][zone]") {
    const FilterInRoom filter{filter_of(), VolumeFlow::from_value(flow)};
    CHECK_THROWS_WITH(indoor_particles(hall(), {{}, filter.recirculated}, urban_pm25()),
                      Contains("no measured size range"));
    CHECK_THROWS_WITH(indoor_particles(hall(), filter, whole_dust(urban_distribution())), Contains("open above"));
    DustOfInterest wide = rural_pm10();
    wide.sizes.upper = 20 * um;
    CHECK_THROWS_WITH(indoor_particles(hall(), filter, wide), Contains("diameter"));
    RoomForSizes room = hall();
    room.source = MassFlow::from_value(-1.0);
    CHECK_THROWS_WITH(indoor_particles(room, filter, urban_pm25()), Contains("source"));
    room = hall();
    room.air.volume = 0 * m3;
    CHECK_THROWS_WITH(indoor_particles(room, filter, urban_pm25()), Contains("volume = 0 m3"));
}
