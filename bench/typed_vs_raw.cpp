// SPDX-License-Identifier: BSL-1.0
// What quantities cost: the same polynomial and the same operating point, once through the typed public functions and
// once in raw doubles with the same checks. The ratio is to be one.

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/resistance/element_curve.hpp>

// The raw twins: plain numbers, else the same functions with the same linkage, so that the compiler may do with one
// what it may do with the other.
namespace raw_twin {

using namespace filterflow;

struct RawAir {
    double temperature, pressure, humidity_ratio, density, viscosity;
};
struct RawElement {
    double linear, quadratic;
    RawAir stated_air;
};

inline bool raw_positive(double x) { return x > 0.0 && x <= std::numeric_limits<double>::max(); }
inline bool raw_from_zero(double x) { return x >= 0.0 && x <= std::numeric_limits<double>::max(); }
inline bool raw_valid(const RawAir& air) { return raw_positive(air.density) && raw_positive(air.viscosity); }

[[gnu::cold]] inline void raw_refuse_air(const RawAir& air, const char* where) {
    detail::require_positive(where, "air density", air.density, "kg/m3");
    detail::require_positive(where, "air viscosity", air.viscosity, "Pa s");
}
inline void raw_check_air(const RawAir& air, const char* where) {
    if (!raw_valid(air)) raw_refuse_air(air, where);
}

inline double raw_pressure_drop(const RawElement& element, double flow, const RawAir& air) {
    constexpr auto where = "raw_pressure_drop";
    detail::require_non_negative(where, "linear", element.linear, "Pa s/m3");
    detail::require_non_negative(where, "quadratic", element.quadratic, "Pa s2/m6");
    raw_check_air(element.stated_air, where);
    raw_check_air(air, where);
    detail::require_finite(where, "flow", flow, "m3/s");
    const double linear = element.linear * air.viscosity / element.stated_air.viscosity;
    const double quadratic = element.quadratic * air.density / element.stated_air.density;
    return detail::require_finite(where, "result", (linear + quadratic * std::abs(flow)) * flow, "Pa");
}

struct RawPowerLaw {
    double reference_pressure, reference_flow, exponent;
    RawAir stated_air;
};
struct RawSystem {
    double constant;
    std::vector<RawPowerLaw> power_laws;
    std::vector<RawElement> elements, bypassed_elements, ducts;
};
struct RawFan {
    RawAir stated_air;
    MonotoneCubic pressure;
    bool falls;
};

inline detail::PolynomialSystem raw_polynomial(const RawSystem& system, const RawAir& air, double scale) {
    const double density = scale * air.density, viscosity = scale * air.viscosity;
    detail::PolynomialSystem p{scale * system.constant, 0.0, 0.0,
                               system.ducts.empty() && system.bypassed_elements.empty() && raw_valid(air)};
    for (const RawPowerLaw& part : system.power_laws) {
        const double q0 = part.reference_flow;
        if (part.exponent == 2.0) {
            p.quadratic += part.reference_pressure * density / (part.stated_air.density * q0 * q0);
        } else if (part.exponent == 1.0) {
            p.linear += part.reference_pressure * viscosity / (part.stated_air.viscosity * q0);
        } else {
            p.complete = false;
        }
        p.complete = p.complete && raw_from_zero(part.reference_pressure) && raw_positive(q0) && part.exponent >= 1.0 &&
                     part.exponent <= 3.0 && raw_valid(part.stated_air);
    }
    for (const RawElement& part : system.elements) {
        p.linear += part.linear * viscosity / part.stated_air.viscosity;
        p.quadratic += part.quadratic * density / part.stated_air.density;
        p.complete =
            p.complete && raw_from_zero(part.linear) && raw_from_zero(part.quadratic) && raw_valid(part.stated_air);
    }
    p.complete = p.complete && std::abs(p.constant + p.linear + p.quadratic) <= std::numeric_limits<double>::max();
    return p;
}

struct RawFlow {
    OperatingStatus status;
    std::optional<double> flow;
};

inline RawFlow raw_operating_flow(const RawFan& fan, const RawSystem& system, const RawAir& air) {
    const detail::PolynomialSystem polynomial = raw_polynomial(system, air, fan.stated_air.density / air.density);
    if (!(fan.falls && polynomial.complete)) throw DomainError("raw_operating_flow: not a case of the fast way");
    const detail::FallingFanRoot root =
        detail::falling_fan_root<false>(fan.pressure, polynomial.constant, polynomial.linear, polynomial.quadratic);
    if (root.status != OperatingStatus::single_crossing) return {root.status, std::nullopt};
    return {root.status, root.flow};
}

}   // namespace raw_twin

namespace {

using namespace filterflow;
using namespace filterflow::units;
using namespace raw_twin;

constexpr std::size_t count = 1024;

std::vector<double> random_numbers(double least, double greatest) {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> number(least, greatest);
    std::vector<double> list;
    for (std::size_t i = 0; i < count; ++i) list.push_back(number(random));
    return list;
}

void count_items(benchmark::State& state) {
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(count));
}

/// Element and air may change between two evaluations for all that the compiler knows, so no check is hoisted out of a
/// loop on one side and not on the other.
template <class X>
void keep_in_memory(X& x) {
    X* address = &x;
    benchmark::DoNotOptimize(address);
}

// ---- The polynomial r Q + s Q |Q| in the air at hand ------------------------------------------------------------

RawAir raw(const AirState& air) {
    return {air.temperature.value(), air.pressure.value(), air.humidity_ratio, air.density.value(),
            air.viscosity.value()};
}

void polynomial_typed(benchmark::State& state) {
    ElementCurve element{90 * Pa_s_per_m3, 45 * Pa_s2_per_m6, duct_design_air()};
    AirState air = fan_table_air();
    keep_in_memory(element);
    keep_in_memory(air);
    std::vector<VolumeFlow> flows;
    for (const double q : random_numbers(0.1, 2.0)) flows.push_back(q * m3_per_s);
    std::vector<Pressure> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) drops[i] = pressure_drop(element, flows[i], air);
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(polynomial_typed)->Name("typed_vs_raw/polynomial_typed");

void polynomial_raw(benchmark::State& state) {
    RawElement element{90, 45, raw(duct_design_air())};
    RawAir air = raw(fan_table_air());
    keep_in_memory(element);
    keep_in_memory(air);
    const std::vector<double> flows = random_numbers(0.1, 2.0);
    std::vector<double> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) drops[i] = raw_pressure_drop(element, flows[i], air);
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(polynomial_raw)->Name("typed_vs_raw/polynomial_raw");

// ---- The operating point of a ten-point fan (invented) and one element -------------------------------------------

FanCurve ten_point_fan() {
    FanTable table{.stated_air = fan_table_air()};
    for (int i = 0; i < 10; ++i) {
        const double x = i / 9.0;
        table.points.push_back({1.2 * x * m3_per_s, 620.0 * (1.0 - 0.25 * x - 0.75 * x * x * x) * Pa, std::nullopt});
    }
    return fan_curve(table);
}

void operating_point_typed(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const AirState air = duct_design_air();
    std::vector<SystemCurve> systems;
    for (const double r : random_numbers(50.0, 2000.0)) {
        SystemCurve system{.constant_pressure = 10 * Pa};
        system.elements.push_back({r * Pa_s_per_m3, 2.0 * r * Pa_s2_per_m6, fan_table_air()});
        systems.push_back(system);
    }
    for (auto _ : state) {
        double sum = 0.0;
        for (const SystemCurve& system : systems) sum += operating_flow(fan, system, air).flow.value().value();
        benchmark::DoNotOptimize(sum);
    }
    count_items(state);
}
BENCHMARK(operating_point_typed)->Name("typed_vs_raw/operating_point_typed");

void operating_point_raw(benchmark::State& state) {
    const FanCurve typed = ten_point_fan();
    const RawFan fan{raw(typed.stated_air()), typed.pressure_curve(), typed.falls_throughout()};
    const RawAir air = raw(duct_design_air());
    std::vector<RawSystem> systems;
    for (const double r : random_numbers(50.0, 2000.0)) {
        systems.push_back({10.0, {}, {{r, 2.0 * r, raw(fan_table_air())}}, {}, {}});
    }
    for (auto _ : state) {
        double sum = 0.0;
        for (const RawSystem& system : systems) sum += raw_operating_flow(fan, system, air).flow.value();
        benchmark::DoNotOptimize(sum);
    }
    count_items(state);
}
BENCHMARK(operating_point_raw)->Name("typed_vs_raw/operating_point_raw");

}   // namespace

BENCHMARK_MAIN();
