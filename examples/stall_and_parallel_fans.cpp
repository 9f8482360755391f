// SPDX-License-Identifier: BSL-1.0
// A fan whose curve dips, as some forward-curved and axial ones do, blows into a space held above its surroundings:
// they meet three times. Then a second one like it is set beside it: one of them may stall while the other does not,
// and together they move less than they could. Fans and space are synthetic, made to show it.
// A fan in such a dip may surge, and its motor overheat: keep it out of there. Start fans in parallel together, or with
// dampers, as their maker says.
#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/parallel_operation.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

std::string words(OperatingStatus status) { return std::string(status_text(status)); }

void print_alone(const FanCurve& fan, SystemCurve system, const AirState& air) {
    std::printf("# synthetic: flow [m3/s], fan [Pa], system [Pa]\n");
    for (int i = 0; i <= 40; ++i) {
        const VolumeFlow flow = 0.05 * i * m3_per_s;
        std::printf("%5.2f %6.1f %6.1f\n", flow / m3_per_s, fan_pressure(fan, flow, air) / Pa,
                    pressure_drop(system, flow, air) / Pa);
    }
    for (const bool stable : {true, false}) {
        std::printf("\n\n# crossings that are %s: flow [m3/s], pressure [Pa]\n", stable ? "stable" : "not stable");
        for (const Crossing& c : operating_point(fan, system, air).crossings) {
            if (c.stable == stable) std::printf("%6.4f %6.2f\n", c.flow / m3_per_s, c.pressure / Pa);
        }
    }

    // What a step of the system's constant part does: crossings appear and vanish in pairs.
    std::printf("\n\n# constant part [Pa], crossings, chosen flow [m3/s] or status\n");
    for (const double constant : {290.0, 300.0, 310.0, 330.0, 358.0, 380.0, 400.0}) {
        system.constant_pressure = constant * Pa;
        const OperatingPoint point = operating_point(fan, system, air);
        std::printf("# %3.0f %zu ", constant, point.crossings.size());
        if (point.found()) {
            std::printf("%.4f\n", point.flow() / m3_per_s);
        } else {
            std::printf("%s\n", words(point.status).c_str());
        }
    }
}

void print_pair(const FanCurve& fan, const SystemCurve& system, const AirState& air) {
    const FansInParallel pair = fans_in_parallel(std::vector{fan, fan}, BackdraftDampers::none);
    for (std::size_t rising = 0; rising <= 2; ++rising) {
        std::printf(
            "\n\n# two in parallel, %zu on a rising part: total flow [m3/s], pressure [Pa], a block a combination\n",
            rising);
        for (std::size_t b = 0; b < pair.branches().size(); ++b) {
            const ParallelBranch& branch = pair.branches()[b];
            if (branch.rising_fans != rising) continue;
            for (int i = 0; i <= 24; ++i) {
                // Denser towards the ends, where the curves turn.
                const double share = i / 24.0, even = share * share * (3.0 - 2.0 * share);
                const Pressure p = branch.least + even * (branch.greatest - branch.least);
                std::printf("%.4f %.2f\n", parallel_flows(pair, b, p, air).total / m3_per_s, p / Pa);
            }
            std::printf("\n");
        }
    }
    const ParallelOperation operation = parallel_operation(pair, system, air);
    std::printf(
        "\n# the pair against the same space through ducts twice as large: flow [m3/s], pressure [Pa], each fan's "
        "flow\n");
    std::printf("# [m3/s], how many on a rising part; first the stable ones\n");
    for (const bool stable : {true, false}) {
        if (!stable) std::printf("\n\n# not stable\n");
        for (const ParallelCrossing& c : operation.crossings) {
            if (c.stable != stable) continue;
            std::printf("%.4f %.2f  %.4f %.4f  %zu\n", c.flow / m3_per_s, c.pressure / Pa, c.fan_flows[0] / m3_per_s,
                        c.fan_flows[1] / m3_per_s, c.rising_fans());
        }
    }
    std::printf("\n\n# %s\n", words(operation.status).c_str());
    std::size_t stalled = *operation.chosen;   // the next stable one below
    do --stalled;
    while (!operation.crossings[stalled].stable);
    std::printf("# both as they should: %.3f m3/s; with one of them stalled: %.3f m3/s, and which one is chance\n",
                operation.crossings[*operation.chosen].flow / m3_per_s, operation.crossings[stalled].flow / m3_per_s);
}

}   // namespace

int main() {
    const AirState air = fan_test_air();
    FanTable table{.kind = FanPressureKind::static_pressure, .stated_air = air};
    const double pressures[] = {360, 320, 304, 320, 360, 392, 400, 376, 312, 200, 8};   // Pa, each 0.2 m3/s
    for (int i = 0; i <= 10; ++i) table.points.push_back({0.2 * i * m3_per_s, pressures[i] * Pa, std::nullopt});
    const FanCurve fan = fan_curve(table);
    for (const FlowRange& part : fan.rising_parts()) {
        std::printf("# the fan's pressure rises with flow from %.1f to %.1f m3/s: risk of stall and surge\n",
                    part.lower / m3_per_s, part.upper / m3_per_s);
    }
    SystemCurve space{.constant_pressure = 310 * Pa};
    space.elements.push_back({0 * Pa_s_per_m3, 5 * Pa_s2_per_m6, duct_design_air()});
    print_alone(fan, space, air);
    space.elements[0].quadratic = 1.25 * Pa_s2_per_m6;
    print_pair(fan, space, air);
    return 0;
}
