// SPDX-License-Identifier: BSL-1.0
// Monte Carlo through a whole comparison: fourteen candidates, each drawn through the fit of its five readings, four
// operating points from clean to loaded, four efficiency averages, change interval, yearly energy and cost.
//
// - chain: chain_model and fill_chain_draws of the library; a million draws an iteration.
// - two_threads_clock, one_thread_clock: the same draws, half of them on a second thread, by the clock. That says
//   something where two processors are free.
// - plain: std::mt19937_64, std::normal_distribution, normal equations anew for each draw, Boost's TOMS 748 over the
//   whole fan table for each operating point; raw numbers, nothing checked or allocated. Ten thousand draws an
//   iteration.
//
// All are an item a draw. Before measuring, means and standard deviations of both ways are compared.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include <benchmark/benchmark.h>
#include <boost/math/tools/toms748_solve.hpp>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/study/chain_draws.hpp>

#include "ten_point_fan.hpp"

namespace {

using namespace filterflow;
using namespace filterflow::units;

constexpr std::size_t candidate_count = 14, reading_count = 5;
constexpr std::size_t million = 1'000'000, at_once = 1024, plain_draws = 10'000;

// Invented: ducts, prices, and fourteen filters.
ChainInput comparison() {
    ChainInput input{.system = {.fan = ten_point_fan()}};
    input.system.ducts.elements.push_back({0 * Pa_s_per_m3, 320.0 * Pa_s2_per_m6, fan_table_air()});
    input.system.air = fan_table_air();
    input.system.dust = {MassConcentration::from_value(50e-9), 0.8, {}};
    input.system.electricity = EnergyPrice::from_value(0.25 / 3.6e6);
    input.system.annual_volume = Volume::from_value(1.2e7);
    input.uncertainties = {.bench_flow = 0.015,
                           .bench_pressure = 0.005,
                           .fan_pressure = 0.03,
                           .fan_power = 0.04,
                           .duct_pressure = 0.06,
                           .electricity = 0.1,
                           .dust_concentration = 1.3,
                           .dust_equivalence = 1.2};
    std::mt19937_64 random(31);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    for (std::size_t k = 0; k < candidate_count; ++k) {
        ChainCandidate c{.name = std::to_string(k + 1), .stream = k + 1};
        const double r = 40.0 + 60.0 * share(random), s = 10.0 + 20.0 * share(random);
        for (std::size_t i = 0; i < reading_count; ++i) {
            const double q = 0.3 + 0.2 * static_cast<double>(i);
            c.readings.push_back({q * m3_per_s, (r * q + s * q * q) * Pa, 1.0 * Pa});
        }
        c.bench_air = fan_table_air();
        for (std::size_t i = 0; i < 12; ++i) {
            c.efficiencies[i] = 0.3 + 0.055 * static_cast<double>(i) + 0.05 * share(random);
            c.efficiency_uncertainties[i] = 0.01;
        }
        c.law = {LoadingForm::smooth,
                 ReferenceArea::media,
                 (50.0 + 40.0 * share(random)) * g_per_m2,
                 (30.0 + 40.0 * share(random)) * g_per_m2,
                 {}};
        c.law_spread = 1.1;
        c.area = (6.0 + 5.0 * share(random)) * m2;
        c.dust_efficiency.clean = 0.6 + 0.3 * share(random);
        c.dust_efficiency_uncertainty = 0.02;
        c.dust_at_change = (40.0 + 50.0 * share(random)) * g_per_m2;
        c.change.filters = (30.0 + 60.0 * share(random)) * money;
        c.change.labour = 15.0 * money;
        input.candidates.push_back(std::move(c));
    }
    return input;
}

/// Sums of what is drawn of each candidate, and of squares: yearly cost, clean flow, E1, ePM2.5.
struct Sums {
    std::array<std::array<std::array<double, 2>, 4>, candidate_count> of{};
    double draws = 0.0;

    void add(std::size_t candidate, std::size_t figure, double x) {
        of[candidate][figure][0] += x;
        of[candidate][figure][1] += x * x;
    }
    double mean(std::size_t k, std::size_t figure) const { return of[k][figure][0] / draws; }
    double deviation(std::size_t k, std::size_t figure) const {
        const double m = mean(k, figure);
        return std::sqrt(of[k][figure][1] / draws - m * m);
    }
};

void add(const ChainDraws& draws, Sums& sums) {
    for (std::size_t k = 0; k < candidate_count; ++k) {
        for (std::size_t i = 0; i < draws.draws; ++i) {
            const std::size_t at = k * draws.draws + i;
            sums.add(k, 0, draws.annual_cost[at].value());
            sums.add(k, 1, draws.clean_flow[at].value());
            sums.add(k, 2, draws.averages[0][at]);
            sums.add(k, 3, draws.epm25[at]);
        }
    }
    sums.draws += static_cast<double>(draws.draws);
}

Sums run_chain(const ChainModel& model, std::size_t first, std::size_t end) {
    Sums sums;
    ChainDraws draws;
    for (std::size_t at = first; at < end; at += at_once) {
        fill_chain_draws(model, at, std::min(at_once, end - at), draws);
        add(draws, sums);
    }
    return sums;
}

/// The plain way.
class PlainChain {
public:
    explicit PlainChain(const ChainInput& input)
        : input_(input),
          fan_(input.system.fan),
          knots_(fan_.pressure_curve().knots().begin(), fan_.pressure_curve().knots().end()),
          pressure_(fan_.pressure_curve().segments().begin(), fan_.pressure_curve().segments().end()),
          power_(fan_.power_curve()->segments().begin(), fan_.power_curve()->segments().end()) {
        const auto weights = particulate_matter_weights(ParticulateMatter::pm25);
        for (const ChainCandidate& c : input.candidates) {
            Averages a{};
            for (std::size_t i = 0; i < 12; ++i) {
                a.mean[i / 4] += 0.25 * c.efficiencies[i];
                a.mean[3] += weights[i] * c.efficiencies[i];
            }
            // All uncertainties of the bench are equal: E_g varies by u/2, ePM2.5 by what it shares and its own part.
            const double u = c.efficiency_uncertainties[0];
            double own = 0.0;
            for (std::size_t i = 0; i < 12; ++i) {
                own += weights[i] * weights[i] * u * u;
                if (i < 8) a.shared[i / 4] += 0.5 * weights[i] * u;
            }
            a.each = 0.5 * u;
            a.own = std::sqrt(own - a.shared[0] * a.shared[0] - a.shared[1] * a.shared[1]);
            averages_.push_back(a);
        }
    }

    Sums run(std::size_t draws) {
        Sums sums;
        for (std::size_t i = 0; i < draws; ++i) draw(sums);
        sums.draws = static_cast<double>(draws);
        return sums;
    }

private:
    struct Averages {
        std::array<double, 4> mean;
        std::array<double, 2> shared;
        double each, own;
    };

    std::size_t segment(double q) const {
        std::size_t i = 0;
        while (i + 2 < knots_.size() && q >= knots_[i + 1]) ++i;
        return i;
    }
    static double cubic(const CubicSegment& c, double t) { return c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3)); }
    double flow(double linear, double quadratic, double fan_factor) const {
        const auto difference = [&](double q) {
            const std::size_t i = segment(q);
            return fan_factor * cubic(pressure_[i], q - knots_[i]) - q * (linear + q * quadratic);
        };
        std::uintmax_t limit = 100;
        const auto bracket = boost::math::tools::toms748_solve(difference, knots_.front(), knots_.back(),
                                                               boost::math::tools::eps_tolerance<double>(52), limit);
        return 0.5 * (bracket.first + bracket.second);
    }
    double z() { return normal_(random_); }

    void draw(Sums& sums) {
        const ChainUncertainties& u = input_.uncertainties;
        const double bench_flow = 1.0 + u.bench_flow * z(), bench_pressure = 1.0 + u.bench_pressure * z();
        const double fan_pressure = 1.0 + u.fan_pressure * z(), fan_power = 1.0 + u.fan_power * z();
        const double duct = (1.0 + u.duct_pressure * z()) * input_.system.ducts.elements[0].quadratic.value();
        const double price = (1.0 + u.electricity * z()) * input_.system.electricity.value();
        const double dust = std::exp(std::log(u.dust_concentration) * z()) * input_.system.dust.concentration.value();
        const double equivalence = std::exp(std::log(u.dust_equivalence) * z()) * input_.system.dust.equivalence;
        for (std::size_t k = 0; k < candidate_count; ++k) {
            const ChainCandidate& c = input_.candidates[k];
            double xx = 0.0, xy = 0.0, yy = 0.0, xd = 0.0, yd = 0.0;
            for (const ChainReading& reading : c.readings) {
                const double ur = reading.standard_uncertainty.value(), w = 1.0 / (ur * ur);
                const double x = bench_flow * reading.flow.value(), y = x * x;
                const double drop = bench_pressure * (reading.drop.value() + ur * z());
                xx += w * x * x;
                xy += w * x * y;
                yy += w * y * y;
                xd += w * x * drop;
                yd += w * y * drop;
            }
            const double determinant = xx * yy - xy * xy;
            double r = (yy * xd - xy * yd) / determinant, s = (xx * yd - xy * xd) / determinant;
            if (r < 0.0) {
                r = 0.0;
                s = yd / yy;
            } else if (s < 0.0) {
                s = 0.0;
                r = xd / xx;
            }
            const Averages& a = averages_[k];
            const double z1 = z(), z2 = z(), z3 = z();
            const double e1 = a.mean[0] + a.each * z1, e2 = a.mean[1] + a.each * z2, e3 = a.mean[2] + a.each * z3;
            const double epm25 = a.mean[3] + a.shared[0] * z1 + a.shared[1] * z2 + a.own * z();
            benchmark::DoNotOptimize(e2);
            benchmark::DoNotOptimize(e3);
            const double effect = equivalence * std::exp(std::log(c.law_spread) * z());
            const double efficiency = c.dust_efficiency.clean + c.dust_efficiency_uncertainty * z();
            const double scale = c.law.growth_scale.value(), transition = c.law.transition.value();
            double clean_flow = 0.0, volume = 0.0, time = 0.0, energy = 0.0;
            for (std::size_t load = 0; load < 4; ++load) {
                const double w = detail::load_places[load] * c.dust_at_change.value() * effect;
                const double growth = w < transition ? std::exp(w / scale)
                                                     : std::exp(transition / scale) * (1.0 + (w - transition) / scale);
                const double q = flow(growth * r, s + duct, fan_pressure);
                if (load == 0) clean_flow = q;
                const std::size_t i = segment(q);
                const double power = fan_power * cubic(power_[i], q - knots_[i]);
                const double weight = detail::load_weights[load] / efficiency;
                volume += weight;
                time += weight / q;
                energy += weight * power / q;
            }
            benchmark::DoNotOptimize(time);
            const double change = c.change.filters.value() + c.change.labour.value();
            const double per_dust = c.dust_at_change.value() * c.area.value() / dust;
            const double cost =
                input_.system.annual_volume.value() / (per_dust * volume) * (change + price * per_dust * energy);
            sums.add(k, 0, cost);
            sums.add(k, 1, clean_flow);
            sums.add(k, 2, e1);
            sums.add(k, 3, epm25);
        }
    }

    const ChainInput& input_;
    const FanCurve& fan_;
    std::vector<double> knots_;
    std::vector<CubicSegment> pressure_, power_;
    std::vector<Averages> averages_;
    std::mt19937_64 random_{7};
    std::normal_distribution<double> normal_;
};

/// Whether both ways draw from the same distributions: means and standard deviations within five standard errors (of
/// the shared draws, by which the candidates' figures err alike).
bool agree(const Sums& a, const Sums& b) {
    const double n = std::min(a.draws, b.draws);
    for (std::size_t k = 0; k < candidate_count; ++k) {
        for (std::size_t figure = 0; figure < 4; ++figure) {
            const double deviation = a.deviation(k, figure);
            if (!(std::abs(a.mean(k, figure) - b.mean(k, figure)) <= 5.0 * deviation * std::sqrt(2.0 / n)))
                return false;
            if (!(std::abs(b.deviation(k, figure) / deviation - 1.0) <= 10.0 / std::sqrt(n))) return false;
        }
    }
    return true;
}

void chain(benchmark::State& state) {
    const ChainInput input = comparison();
    const ChainModel model = chain_model(input);
    PlainChain plain(input);
    if (!agree(run_chain(model, 0, 2 * plain_draws), plain.run(2 * plain_draws))) {
        state.SkipWithError("the two ways do not agree");
        return;
    }
    for (auto _ : state) benchmark::DoNotOptimize(run_chain(model, 0, million));
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(million));
}
BENCHMARK(chain)->Name("monte_carlo_chain/chain")->Unit(benchmark::kMillisecond);

void plain(benchmark::State& state) {
    const ChainInput input = comparison();
    PlainChain plain_chain(input);
    for (auto _ : state) benchmark::DoNotOptimize(plain_chain.run(plain_draws));
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(plain_draws));
}
BENCHMARK(plain)->Name("monte_carlo_chain/plain")->Unit(benchmark::kMillisecond);

void on_two_threads(const ChainModel& model) {
    std::thread other([&model] { benchmark::DoNotOptimize(run_chain(model, million / 2, million)); });
    benchmark::DoNotOptimize(run_chain(model, 0, million / 2));
    other.join();
}
void one_thread_clock(benchmark::State& state) {
    const ChainModel model = chain_model(comparison());
    for (auto _ : state) benchmark::DoNotOptimize(run_chain(model, 0, million));
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(million));
}
BENCHMARK(one_thread_clock)
    ->Name("monte_carlo_chain/one_thread_clock")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
void two_threads_clock(benchmark::State& state) {
    const ChainModel model = chain_model(comparison());
    for (auto _ : state) on_two_threads(model);
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(million));
}
BENCHMARK(two_threads_clock)
    ->Name("monte_carlo_chain/two_threads_clock")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}   // namespace

BENCHMARK_MAIN();
