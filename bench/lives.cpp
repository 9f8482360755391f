// SPDX-License-Identifier: BSL-1.0
// A filter's year. In dust dose against 8760 hourly operating points by Boost's TOMS 748; and hour by hour in lockstep,
// many filters at once, against the same for a fan whose speed is controlled by the hour. The plain way is on raw
// numbers and checks nothing. Before measuring, the year in dose is compared with adaptive steps at 1e-11 and must
// agree to 1e-9, the lockstep with the plain way by the midpoint rule and must agree to 1e-6.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <utility>
#include <vector>

#include <benchmark/benchmark.h>
#include <boost/math/tools/toms748_solve.hpp>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/loading/hourly_lives.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/loading/scheduled_life.hpp>

#include "ten_point_fan.hpp"

namespace {

using namespace filterflow;
using namespace filterflow::units;

constexpr std::size_t filter_count = 256;
constexpr std::size_t hour_count = 8760;

constexpr double duct_resistance = 320.0;   // Pa s2/m6
constexpr double equivalence = 0.8, concentration = 50e-9;

/// Filters that the year loads to some two to five times their clean resistance.
std::vector<FilterStage> filters() {
    std::mt19937_64 random(12);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    std::vector<FilterStage> list(filter_count);
    for (FilterStage& filter : list) {
        filter.clean = {(40.0 + 50.0 * share(random)) * Pa_s_per_m3, 20.0 * share(random) * Pa_s2_per_m6,
                        fan_table_air()};
        filter.law = {LoadingForm::smooth,
                      ReferenceArea::media,
                      (50.0 + 40.0 * share(random)) * g_per_m2,
                      (30.0 + 40.0 * share(random)) * g_per_m2,
                      {}};
        filter.area = (6.0 + 5.0 * share(random)) * m2;
        filter.efficiency = {0.5 + 0.3 * share(random), 0.15, 40 * g_per_m2};
    }
    return list;
}

SystemCurve ducts() {
    SystemCurve system;
    system.elements.push_back({0 * Pa_s_per_m3, duct_resistance * Pa_s2_per_m6, fan_table_air()});
    return system;
}

std::vector<FilterLifeInput> years() {
    std::vector<FilterLifeInput> list;
    for (const FilterStage& filter : filters()) {
        FilterLifeInput input{.fan = ten_point_fan()};
        input.ducts = ducts();
        input.stages = {filter};
        input.dust = {MassConcentration::from_value(concentration), equivalence};
        input.air = fan_table_air();
        input.horizon = static_cast<double>(hour_count) * h;
        list.push_back(std::move(input));
    }
    return list;
}

/// Speeds of a fan controlled by the hour: three in a day, or another each hour.
std::vector<FanHour> controlled(bool arbitrary) {
    std::vector<FanHour> list(hour_count);
    std::mt19937_64 random(13);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    for (std::size_t i = 0; i < hour_count; ++i) {
        const std::size_t of_day = i % 24;
        list[i].speed = arbitrary ? 0.7 + 0.3 * share(random) : of_day < 6 ? 0.7 : of_day < 18 ? 1.0 : 0.85;
        list[i].concentration = MassConcentration::from_value(concentration * (0.5 + share(random)));
    }
    return list;
}

/// The plain way: dust on a filter after the hours, one operating point by TOMS 748 over the whole table for each (and
/// another in its middle, where midpoint is asked for).
class PlainYear {
public:
    PlainYear()
        : fan_(ten_point_fan()),
          knots_(fan_.pressure_curve().knots().begin(), fan_.pressure_curve().knots().end()),
          segments_(fan_.pressure_curve().segments().begin(), fan_.pressure_curve().segments().end()) {}

    double flow(double opposed, double inertial, double speed) const {
        const double square = duct_resistance + inertial, linear = opposed / speed;
        const auto difference = [&](double x) {
            std::size_t i = 0;
            while (i + 2 < knots_.size() && x >= knots_[i + 1]) ++i;
            const double t = x - knots_[i];
            const CubicSegment& c = segments_[i];
            return c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3)) - x * (linear + x * square);
        };
        std::uintmax_t limit = 100;
        const auto bracket = boost::math::tools::toms748_solve(difference, knots_.front(), knots_.back(),
                                                               boost::math::tools::eps_tolerance<double>(52), limit);
        return 0.5 * speed * (bracket.first + bracket.second);
    }

    template <class Hours>
    double dust(const FilterStage& filter, const Hours& hours, bool midpoint = false) const {
        const double r = filter.clean.linear.value(), s = filter.clean.quadratic.value();
        const double scale = filter.law.growth_scale.value(), transition = filter.law.transition.value();
        const double per_area = equivalence / filter.area.value();
        const auto rate = [&](double mass, double speed) {
            const double w = per_area * mass;
            const double factor =
                w < transition ? std::exp(w / scale) : std::exp(transition / scale) * (1.0 + (w - transition) / scale);
            const double efficiency =
                filter.efficiency.clean +
                filter.efficiency.gain * (1.0 - std::exp(-w / filter.efficiency.gain_scale.value()));
            return flow(r * factor, s, speed) * efficiency;
        };
        double mass = 0.0;
        for (std::size_t i = 0; i < hour_count; ++i) {
            const auto [speed, c] = hours(i);
            double g = rate(mass, speed);
            if (midpoint) g = rate(mass + 0.5 * 3600.0 * c * g, speed);
            mass += 3600.0 * c * g;
        }
        return mass;
    }

private:
    FanCurve fan_;
    std::vector<double> knots_;
    std::vector<CubicSegment> segments_;
};

bool close(double a, double b, double tolerance) { return std::abs(a - b) <= tolerance * std::abs(b); }

void year_in_dose(benchmark::State& state) {
    const auto list = years();
    for (const FilterLifeInput& input : list) {
        const detail::LifeModel<double> model(input);
        const auto steps = detail::run_life_segment<double>(model, {0.0}, {0.0},
                                                            input.horizon.value() * input.dust.concentration.value());
        if (!close(life_outcome(input).dust_caught.value(), steps.states.back()[0], 1e-9)) {
            state.SkipWithError("the two ways do not agree");
            return;
        }
    }
    for (auto _ : state) {
        double sum = 0.0;
        for (const FilterLifeInput& input : list) sum += life_outcome(input).dust_caught.value();
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(list.size()));
}
BENCHMARK(year_in_dose)->Name("lives/year_in_dose");

void whole_life(benchmark::State& state) {
    const auto list = years();
    for (auto _ : state) {
        double sum = 0.0;
        for (const FilterLifeInput& input : list) sum += filter_life(input).dust_caught.value();
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(list.size()));
}
BENCHMARK(whole_life)->Name("lives/whole_life");

void hourly_series(benchmark::State& state) {
    const auto list = years();
    std::size_t at = 0;
    for (auto _ : state) {
        const auto series = life_series(life_course(list[at++ % list.size()]), 1 * h);
        benchmark::DoNotOptimize(series.data());
    }
    state.SetItemsProcessed(state.iterations());
}
BENCHMARK(hourly_series)->Name("lives/hourly_series");

void toms748_hours(benchmark::State& state) {
    const PlainYear plain;
    const auto list = filters();
    std::size_t at = 0;
    for (auto _ : state) {
        const double mass =
            plain.dust(list[at++ % list.size()], [](std::size_t) { return std::pair(1.0, concentration); });
        benchmark::DoNotOptimize(mass);
    }
    state.SetItemsProcessed(state.iterations());
}
BENCHMARK(toms748_hours)->Name("lives/toms748_8760_hours");

void toms748_controlled(benchmark::State& state) {
    const PlainYear plain;
    const auto list = filters();
    const auto hours = controlled(state.range(0) != 0);
    std::size_t at = 0;
    for (auto _ : state) {
        const double mass = plain.dust(list[at++ % list.size()], [&](std::size_t i) {
            return std::pair(hours[i].speed, hours[i].concentration.value());
        });
        benchmark::DoNotOptimize(mass);
    }
    state.SetItemsProcessed(state.iterations());
}
BENCHMARK(toms748_controlled)->Name("lives/toms748_three_speeds")->Arg(0);
BENCHMARK(toms748_controlled)->Name("lives/toms748_any_speed")->Arg(1);

void lockstep(benchmark::State& state) {
    HourlyLivesInput input{.fan = ten_point_fan()};
    input.ducts = ducts();
    input.air = fan_table_air();
    input.filters = filters();
    input.equivalence = equivalence;
    const auto hours = controlled(state.range(0) != 0);
    const auto lives = hourly_lives(input, hours);
    const PlainYear plain;
    for (std::size_t k = 0; k < filter_count; k += 37) {
        const double mass = plain.dust(
            input.filters[k], [&](std::size_t i) { return std::pair(hours[i].speed, hours[i].concentration.value()); },
            true);
        if (lives[k].end != HourlyEnd::hours_over || !close(lives[k].dust_caught.value(), mass, 1e-6)) {
            state.SkipWithError("the two ways do not agree");
            return;
        }
    }
    for (auto _ : state) {
        const auto result = hourly_lives(input, hours);
        benchmark::DoNotOptimize(result.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(filter_count));
}
BENCHMARK(lockstep)->Name("lives/lockstep_three_speeds")->Arg(0)->Unit(benchmark::kMillisecond);
BENCHMARK(lockstep)->Name("lives/lockstep_any_speed")->Arg(1)->Unit(benchmark::kMillisecond);

}   // namespace

BENCHMARK_MAIN();
