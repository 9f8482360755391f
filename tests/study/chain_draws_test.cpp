// SPDX-License-Identifier: BSL-1.0
// A chain's draws against the library's single functions, draw by draw; statuses; statistics against first order and
// against efficiencies drawn by size; parts, order and permutations bit for bit; the integral over dust against a life.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <random>
#include <set>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/study/chain_draws.hpp>
#include <filterflow/study/choice_statistics.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented: a fan that falls throughout, or rises at first; its table begins above zero.
FanCurve chain_fan(bool rises) {
    FanTable table{.kind = FanPressureKind::static_pressure, .stated_air = fan_table_air()};
    for (int i = 0; i < 10; ++i) {
        const double x = 0.1 + 0.1 * i;
        const double pressure =
            rises ? 520.0 * (1.0 + 0.5 * x - 1.5 * x * x * x) : 620.0 * (1.0 - 0.25 * x - 0.75 * x * x * x);
        table.points.push_back({(1.2 * x) * m3_per_s, pressure * Pa, (300.0 + 250.0 * x) * W});
    }
    return fan_curve(table);
}

/// Invented candidates in every form of law, on a bench in other air than the system's.
ChainInput invented_chain(bool rising_fan = false) {
    ChainInput input{.system = {.fan = chain_fan(rising_fan)}, .seed = 77};
    input.system.air = duct_design_air();
    input.system.ducts.constant_pressure = 12.0 * Pa;
    input.system.ducts.elements.push_back({15.0 * Pa_s_per_m3, 250.0 * Pa_s2_per_m6, fan_table_air()});
    input.system.ducts.power_laws.push_back({30.0 * Pa, 0.9 * m3_per_s, 2.0, fan_table_air()});
    input.system.dust = {MassConcentration::from_value(45e-9), 0.8, {}};
    input.system.electricity = EnergyPrice::from_value(0.27 / 3.6e6);
    input.system.annual_volume = Volume::from_value(1.4e7);
    input.uncertainties = {.bench_flow = 0.02,
                           .bench_pressure = 0.01,
                           .fan_pressure = 0.03,
                           .fan_power = 0.05,
                           .duct_pressure = 0.08,
                           .electricity = 0.1,
                           .dust_concentration = 1.4,
                           .dust_equivalence = 1.2};
    std::mt19937_64 random(9);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    const std::array forms{LoadingForm::smooth, LoadingForm::kinked,    LoadingForm::exponential,
                           LoadingForm::linear, LoadingForm::quadratic, LoadingForm::two_population};
    for (std::size_t k = 0; k < forms.size(); ++k) {
        ChainCandidate c{.name = "filter " + std::to_string(k + 1), .stream = 11 * (k + 1)};
        const double r = 40.0 + 60.0 * share(random), s = 4.0 + 20.0 * share(random);
        for (std::size_t i = 0; i < 3 + k; ++i) {
            const double q = 0.3 + 0.25 * static_cast<double>(i);
            c.readings.push_back(
                {q * m3_per_s, (r * q + s * q * q + 0.5 * share(random)) * Pa, (1.0 + 3.0 * share(random)) * Pa});
        }
        c.bench_air = moist_air({.temperature = from_celsius(24.0), .pressure = 98.0 * kPa, .relative_humidity = 0.5});
        for (std::size_t i = 0; i < 12; ++i) {
            c.efficiencies[i] = 0.3 + 0.05 * static_cast<double>(i) + 0.05 * share(random);
            c.efficiency_uncertainties[i] = k == 0 ? 0.0 : 0.005 + 0.01 * share(random);
        }
        c.law.form = forms[k];
        c.law.growth_scale = 60.0 * g_per_m2;
        c.law.transition = 45.0 * g_per_m2;
        c.law.cake_slope = 30.0 * m2_per_kg;
        c.law.curvature = 100.0 * m4_per_kg2;
        c.law.surface_growth = 9.0 * m2_per_kg;
        c.law.length_growth = 15.0 * m2_per_kg;
        c.law_spread = 1.15;
        c.area = (6.0 + 5.0 * share(random)) * m2;
        c.dust_efficiency = {0.6 + 0.1 * share(random), k % 2 == 0 ? 0.15 : 0.0, 40.0 * g_per_m2};
        c.dust_efficiency_uncertainty = 0.02;
        c.dust_at_change = 70.0 * g_per_m2;
        c.change.filters = (30.0 + 60.0 * share(random)) * money;
        input.candidates.push_back(std::move(c));
    }
    return input;
}

/// Standard normal number of a candidate's input in a draw.
double number(const ChainInput& input, std::uint64_t candidate, std::uint64_t which, std::uint64_t draw) {
    double z = 0.0;
    fill_normals({.seed = input.seed, .candidate = candidate, .input = which}, draw, std::span(&z, 1));
    return z;
}

struct SingleDraw {
    ChainStatus status = ChainStatus::solved;
    double clean_flow = 0.0, end_flow = 0.0, interval = 0.0, energy = 0.0, cost = 0.0;
};

/// A draw of one candidate by the library's functions for one fit, one operating point, one cost.
SingleDraw single_draw(const ChainInput& input, const ChainCandidate& c, std::uint64_t draw) {
    const ChainUncertainties& u = input.uncertainties;
    const auto shared = [&](std::uint64_t which) { return number(input, 0, which, draw); };
    const double bench_flow = 1.0 + u.bench_flow * shared(0), bench_pressure = 1.0 + u.bench_pressure * shared(1);
    const double fan_pressure = 1.0 + u.fan_pressure * shared(2), fan_power = 1.0 + u.fan_power * shared(3);
    const double ducts = 1.0 + u.duct_pressure * shared(4), price = 1.0 + u.electricity * shared(5);
    const double dust = std::pow(u.dust_concentration, shared(6)),
                 equivalence = std::pow(u.dust_equivalence, shared(7));
    std::vector<std::array<double, 2>> design;
    std::vector<double> drops, weights;
    for (std::size_t i = 0; i < c.readings.size(); ++i) {
        const double q = bench_flow * c.readings[i].flow.value(),
                     deviation = c.readings[i].standard_uncertainty.value();
        design.push_back({q, q * q});
        drops.push_back(bench_pressure * (c.readings[i].drop.value() + deviation * number(input, c.stream, i, draw)));
        weights.push_back(1.0 / (deviation * deviation));
    }
    const auto fit = least_squares<2>(design, drops, weights, ParameterBounds::non_negative);
    const ElementCurve clean{fit.parameters[0] * Pa_s_per_m3, fit.parameters[1] * Pa_s2_per_m6, c.bench_air};
    SingleDraw result;
    if (!(fit.parameters[0] + fit.parameters[1] > 0.0)) return {ChainStatus::no_resistance};
    const double effect = std::pow(c.law_spread, number(input, c.stream, c.readings.size() + 4, draw));
    LoadedEfficiency efficiency = c.dust_efficiency;
    efficiency.clean += c.dust_efficiency_uncertainty * number(input, c.stream, c.readings.size() + 5, draw);
    for (const double e : {efficiency.clean, efficiency.clean + efficiency.gain}) {
        if (!(e > 0.0 && e <= 1.0)) return {ChainStatus::no_capture};
    }
    const double mass = c.dust_at_change.value() * c.area.value();
    const double concentration = dust * input.system.dust.concentration.value();
    double time = 0.0, volume = 0.0, energy = 0.0;
    for (std::size_t load = 0; load < 4; ++load) {
        const double place = std::array{0.0, 0.5 - 0.5 / std::sqrt(5.0), 0.5 + 0.5 / std::sqrt(5.0), 1.0}[load];
        const MassPerArea on_filter = place * equivalence * input.system.dust.equivalence * c.dust_at_change;
        SystemCurve system = input.system.ducts;
        for (auto& part : system.elements) part = {ducts * part.linear, ducts * part.quadratic, part.stated_air};
        for (auto& part : system.power_laws) part.reference_pressure *= ducts;
        system.elements.push_back(loaded_curve(clean, c.law, effect * on_filter));
        double q = 0.0, p = 0.0;
        try {
            const auto state =
                operating_state(input.system.fan, system, input.system.air, FanScale{fan_pressure, fan_power});
            q = state.flow.value();
            p = state.power->value();
        } catch (const NoSolution&) {
            return {ChainStatus::no_operating_point};
        }
        const double e = mass_efficiency_at(efficiency, on_filter);
        const double share = (load % 3 == 0 ? 1.0 : 5.0) / 12.0 * mass / (concentration * e * q);
        time += share;
        volume += share * q;
        energy += share * p;
        if (load == 0) result.clean_flow = q;
        result.end_flow = q;
    }
    ServicePrices prices;
    prices.change = c.change;
    prices.electricity = price * input.system.electricity;
    prices.annual_volume = input.system.annual_volume;
    const ServiceCost cost =
        service_cost(Cycle{Time::from_value(time), Volume::from_value(volume), Energy::from_value(energy), {}}, prices);
    result.interval = time;
    result.energy = cost.annual_energy.value();
    result.cost = cost.annual_cost.value();
    return result;
}

}   // namespace

TEST_CASE("a chain's draws are those of the single functions", "[own]") {
    for (const bool rises : {false, true}) {
        ChainInput input = invented_chain(rises);
        // Some that often fail: readings within their noise, an efficiency near one, a filter that chokes the fan.
        for (const int kind : {0, 1, 2}) {
            ChainCandidate c = input.candidates[kind == 2 ? 2 : 0];
            c.stream = 200 + static_cast<std::uint64_t>(kind);
            for (ChainReading& reading : c.readings) {
                if (kind == 0) reading = {reading.flow, 0.02 * reading.drop, 4.0 * Pa};
                if (kind == 2) reading.standard_uncertainty = 9.0 * Pa;
            }
            if (kind == 1) c.dust_efficiency.clean = 0.84;
            if (kind == 2) c.dust_at_change = 0.3 * kg_per_m2;
            input.candidates.push_back(c);
        }
        const std::size_t n = test::sweep_length(400);
        const std::uint64_t first = 1000;
        const ChainDraws draws = chain_draws(chain_model(input), first, n);
        REQUIRE(draws.candidates == input.candidates.size());
        REQUIRE(draws.draws == n);
        std::set<ChainStatus> seen;
        double worst = 0.0;
        for (std::size_t k = 0; k < draws.candidates; ++k) {
            for (std::size_t i = 0; i < n; ++i) {
                const SingleDraw single = single_draw(input, input.candidates[k], first + i);
                const std::size_t at = k * n + i;
                CAPTURE(k, i);
                REQUIRE(draws.status[at] == single.status);
                seen.insert(single.status);
                const auto compare = [&](double batch, double one) {
                    worst = std::max(worst, std::abs(batch - one) / (one > 0.0 ? one : 1.0));
                };
                compare(draws.clean_flow[at].value(), single.status == ChainStatus::solved ? single.clean_flow : 0.0);
                compare(draws.end_flow[at].value(), single.status == ChainStatus::solved ? single.end_flow : 0.0);
                compare(draws.interval[at].value(), single.interval);
                compare(draws.annual_energy[at].value(), single.energy);
                compare(draws.annual_cost[at].value(), single.cost);
            }
        }
        INFO("worst relative difference " << worst);
        CHECK(worst < 1e-10);
        CHECK(seen.size() == 4);
    }
}

TEST_CASE("a draw is the same in any part and at any place among the candidates", "[own]") {
    const ChainInput input = invented_chain();
    const ChainModel model = chain_model(input);
    const std::size_t n = 300, candidates = input.candidates.size();
    const ChainDraws whole = chain_draws(model, 0, n);
    // In parts of any length, the last ones first.
    ChainDraws part;
    for (const auto& [first, count] : std::vector<std::array<std::size_t, 2>>{{170, 130}, {63, 107}, {1, 62}, {0, 1}}) {
        fill_chain_draws(model, first, count, part);
        for (std::size_t k = 0; k < candidates; ++k) {
            for (std::size_t i = 0; i < count; ++i) {
                const std::size_t at = k * count + i, in_whole = k * n + first + i;
                REQUIRE(part.annual_cost[at].value() == whole.annual_cost[in_whole].value());
                REQUIRE(part.clean_flow[at].value() == whole.clean_flow[in_whole].value());
                REQUIRE(part.end_flow[at].value() == whole.end_flow[in_whole].value());
                REQUIRE(part.interval[at].value() == whole.interval[in_whole].value());
                REQUIRE(part.annual_energy[at].value() == whole.annual_energy[in_whole].value());
                REQUIRE(part.epm25[at] == whole.epm25[in_whole]);
                REQUIRE(part.averages[2][at] == whole.averages[2][in_whole]);
                REQUIRE(part.status[at] == whole.status[in_whole]);
            }
        }
    }
    // Permuted, and with one left out: each keeps its draws, so that ranks go with their candidates.
    const std::vector<std::size_t> order{4, 2, 0, 5, 1, 3};
    ChainInput permuted = input, fewer = input;
    for (std::size_t k = 0; k < candidates; ++k) permuted.candidates[k] = input.candidates[order[k]];
    fewer.candidates.erase(fewer.candidates.begin());
    const ChainDraws other = chain_draws(chain_model(permuted), 0, n), rest = chain_draws(chain_model(fewer), 0, n);
    std::vector<double> cost(candidates * n), other_cost(candidates * n);
    for (std::size_t at = 0; at < candidates * n; ++at) {
        cost[at] = whole.annual_cost[at].value();
        other_cost[at] = other.annual_cost[at].value();
        REQUIRE(other_cost[at] == whole.annual_cost[order[at / n] * n + at % n].value());
        if (at >= n) REQUIRE(rest.annual_cost[at - n].value() == whole.annual_cost[at].value());
    }
    const ChoiceStatistics chances = choice_statistics({candidates, cost}),
                           moved = choice_statistics({candidates, other_cost});
    for (std::size_t k = 0; k < candidates; ++k) {
        CHECK(moved.candidates[k].rank == chances.candidates[order[k]].rank);
        CHECK(moved.candidates[k].expected_regret == chances.candidates[order[k]].expected_regret);
    }
    // Another seed draws others.
    ChainInput reseeded = input;
    reseeded.seed = 78;
    CHECK(chain_draws(chain_model(reseeded), 0, 1).annual_cost[0].value() != whole.annual_cost[0].value());
}

TEST_CASE("a chain's efficiency averages vary as twelve independent efficiencies do", "[own]") {
    ChainInput input = invented_chain();
    input.candidates = {input.candidates[3]};
    const ChainCandidate& c = input.candidates[0];
    const std::size_t n = std::max<std::size_t>(20000, test::sweep_length(200000));
    const ChainDraws draws = chain_draws(chain_model(input), 0, n);
    const std::array<const std::vector<double>*, 4> figures{&draws.averages[0], &draws.averages[1], &draws.averages[2],
                                                            &draws.epm25};
    // Second method: the averages of drawn efficiencies, for mean, spread and correlation.
    std::mt19937_64 random(4);
    std::normal_distribution<double> normal;
    std::array<std::vector<double>, 4> drawn;
    for (std::size_t i = 0; i < n; ++i) {
        TwelveEfficiencies e = c.efficiencies;
        for (std::size_t k = 0; k < 12; ++k) e[k] += c.efficiency_uncertainties[k] * normal(random);
        const auto averages = minimum_efficiency_averages(e);
        for (std::size_t group = 0; group < 3; ++group) drawn[group].push_back(averages[group]);
        drawn[3].push_back(particulate_matter_efficiency(e, ParticulateMatter::pm25));
    }
    const auto mean = [n](const std::vector<double>& x) {
        double sum = 0.0;
        for (const double v : x) sum += v;
        return sum / static_cast<double>(n);
    };
    const auto covariance = [&](const std::vector<double>& x, const std::vector<double>& y) {
        const double mx = mean(x), my = mean(y);
        double sum = 0.0;
        for (std::size_t i = 0; i < n; ++i) sum += (x[i] - mx) * (y[i] - my);
        return sum / static_cast<double>(n);
    };
    const double root = std::sqrt(static_cast<double>(n));
    for (std::size_t a = 0; a < 4; ++a) {
        const double va = covariance(drawn[a], drawn[a]);
        CHECK(mean(*figures[a]) == Approx(mean(drawn[a])).margin(6.0 * std::sqrt(va) / root));
        for (std::size_t b = 0; b <= a; ++b) {
            const double vb = covariance(drawn[b], drawn[b]);
            CHECK(covariance(*figures[a], *figures[b]) ==
                  Approx(covariance(drawn[a], drawn[b])).margin(8.0 * std::sqrt(va * vb) / root));
        }
    }
}

TEST_CASE("a chain's change interval is that of a filter's life", "[own]") {
    // Nothing uncertain: one draw. The life integrates adaptively; here four points stand for it.
    ChainInput input = invented_chain();
    input.uncertainties = {};
    for (ChainCandidate& c : input.candidates) {
        c.law_spread = 1.0;
        c.dust_efficiency_uncertainty = 0.0;
        for (ChainReading& reading : c.readings) reading.standard_uncertainty = 1e-9 * Pa;
    }
    // Resistance grown some two- to threefold, and up to tenfold.
    for (const bool laden : {false, true}) {
        const double tolerance = laden ? 1e-2 : 1e-3;
        for (ChainCandidate& c : input.candidates) c.dust_at_change = (laden ? 170.0 : 70.0) * g_per_m2;
        const ChainDraws draws = chain_draws(chain_model(input), 0, 1);
        for (std::size_t k = 0; k < input.candidates.size(); ++k) {
            const ChainCandidate& c = input.candidates[k];
            std::vector<std::array<double, 2>> design;
            std::vector<double> drops;
            for (const ChainReading& reading : c.readings) {
                const double q = reading.flow.value();
                design.push_back({q, q * q});
                drops.push_back(reading.drop.value());
            }
            const auto fit =
                least_squares<2>(design, drops, std::vector<double>(drops.size(), 1.0), ParameterBounds::non_negative);
            FilterLifeInput life{.fan = input.system.fan};
            life.ducts = input.system.ducts;
            FilterStage stage;
            stage.clean = {fit.parameters[0] * Pa_s_per_m3, fit.parameters[1] * Pa_s2_per_m6, c.bench_air};
            stage.law = c.law;
            stage.area = c.area;
            stage.efficiency = c.dust_efficiency;
            life.stages = {stage};
            life.dust = input.system.dust;
            life.air = input.system.air;
            life.horizon = draws.interval[k];
            const FilterLife whole = filter_life(life);
            CAPTURE(k);
            REQUIRE(draws.status[k] == ChainStatus::solved);
            // After the interval it holds the dust of the change, and its energy per air is that of the year.
            CHECK(whole.dust_caught.value() == Approx(c.dust_at_change.value() * c.area.value()).epsilon(tolerance));
            const LifeMoment& end = whole.moments.back();
            CHECK(end.flow.value() == Approx(draws.end_flow[k].value()).epsilon(tolerance));
            CHECK(input.system.annual_volume.value() * end.fan_energy->value() / end.delivered.value() ==
                  Approx(draws.annual_energy[k].value()).epsilon(tolerance));
        }
    }
}

TEST_CASE("where a chain is linear its mean and spread are those of first order", "[own]") {
    // Of the price of electricity alone the cost is a linear function: K + p H.
    ChainInput input = invented_chain();
    input.uncertainties = {.electricity = 0.08};
    for (ChainCandidate& c : input.candidates) {
        c.law_spread = 1.0;
        c.dust_efficiency_uncertainty = 0.0;
        for (ChainReading& reading : c.readings) reading.standard_uncertainty = 1e-9 * Pa;
    }
    const std::size_t n = std::max<std::size_t>(5000, test::sweep_length(50000));
    const ChainModel model = chain_model(input);
    ChainDraws first_half, second_half;
    std::thread other([&] { fill_chain_draws(model, n / 2, n - n / 2, second_half); });   // draws know no threads
    fill_chain_draws(model, 0, n / 2, first_half);
    other.join();
    const ChainDraws whole = chain_draws(model, 0, n);
    for (std::size_t k = 0; k < input.candidates.size(); ++k) {
        const double energy_cost = input.system.electricity.value() * whole.annual_energy[k * n].value();
        const ChainCandidate& c = input.candidates[k];
        double sum = 0.0, squares = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            const double cost = whole.annual_cost[k * n + i].value();
            const double apart = i < n / 2 ? first_half.annual_cost[k * (n / 2) + i].value()
                                           : second_half.annual_cost[k * (n - n / 2) + i - n / 2].value();
            REQUIRE(apart == cost);
            sum += cost;
            squares += cost * cost;
        }
        const double count = static_cast<double>(n), mean = sum / count;
        const double deviation = std::sqrt(squares / count - mean * mean), expected = 0.08 * energy_cost;
        // What the changes cost, from one draw by the single functions.
        const double changes = single_draw(input, c, 0).cost - energy_cost * (1.0 + 0.08 * number(input, 0, 5, 0));
        CHECK(mean == Approx(changes + energy_cost).margin(4.0 * expected / std::sqrt(count)));
        CHECK(deviation == Approx(expected).epsilon(4.0 / std::sqrt(2.0 * count)));
    }
}

TEST_CASE("a chain refuses what is none, with its candidate's name", "[own]") {
    const ChainInput good = invented_chain();
    const auto refuses = [&](const auto& spoil, const std::string& text) {
        ChainInput bad = good;
        spoil(bad);
        CHECK_THROWS_WITH(chain_model(bad), Contains(text));
    };
    refuses([](ChainInput& c) { c.candidates.clear(); }, "number of candidates = 0");
    refuses([](ChainInput& c) { c.candidates[1].stream = 0; }, "candidate \"filter 2\": stream = 0");
    refuses([](ChainInput& c) { c.candidates[1].stream = c.candidates[0].stream; }, "another for each candidate");
    refuses([](ChainInput& c) { c.candidates[2].readings.resize(1); }, "number of readings = 1");
    refuses(
        [](ChainInput& c) {
            for (auto& r : c.candidates[0].readings) r.flow = 0.5 * m3_per_s;
        },
        "at one flow");
    refuses([](ChainInput& c) { c.candidates[0].readings[1].standard_uncertainty = 0.0 * Pa; }, "of reading 2 = 0 Pa");
    refuses([](ChainInput& c) { c.candidates[0].readings[1].drop = std::nan("") * Pa; }, "drop of reading 2 = nan Pa");
    refuses([](ChainInput& c) { c.candidates[0].efficiencies[4] = 1.2; }, "efficiency in range 5 = 1.2");
    refuses([](ChainInput& c) { c.candidates[0].law_spread = 0.5; }, "law_spread = 0.5");
    refuses([](ChainInput& c) { c.candidates[0].dust_efficiency.clean = 0.0; }, "clean mass efficiency = 0");
    refuses([](ChainInput& c) { c.candidates[0].dust_at_change = 0.0 * kg_per_m2; }, "dust_at_change = 0 kg/m2");
    refuses([](ChainInput& c) { c.uncertainties.fan_power = 0.2; }, "uncertainty of fan_power = 0.2");
    refuses([](ChainInput& c) { c.uncertainties.dust_equivalence = 0.0; }, "spread of dust_equivalence = 0");
    refuses([](ChainInput& c) { c.system.ducts.power_laws[0].exponent = 1.9; },
            "neither constant, linear nor quadratic");
    refuses([](ChainInput& c) { c.system.dust.classes.resize(2); }, "number of dust classes = 2");
    refuses([](ChainInput& c) { c.system.annual_volume = Volume{}; }, "annual_volume = 0 m3");
    const ChainModel model = chain_model(good);
    CHECK_THROWS_WITH(chain_draws(model, 0, 0), Contains("count = 0"));
    CHECK_THROWS_WITH(chain_draws(model, ~std::uint64_t{0}, 1), Contains("first_draw"));
    // A filter that nothing flows through any more is none that runs for ever.
    ChainInput choked = good;
    choked.candidates = {good.candidates[2]};
    choked.candidates[0].dust_at_change = 100.0 * kg_per_m2;
    const ChainDraws draws = chain_draws(chain_model(choked), 0, 64);
    for (std::size_t i = 0; i < 64; ++i) {
        CHECK(draws.status[i] == ChainStatus::no_operating_point);
        CHECK(draws.annual_cost[i].value() == 0.0);
        CHECK(draws.interval[i].value() == 0.0);
    }
}
