// SPDX-License-Identifier: BSL-1.0
// One air handler of the Tern Lane Arts Centre with three controls of its fan, side by side: no filter, clean, dirty,
// forgotten. All data are invented.
// Starved airflow overheats furnaces (carbon monoxide) and motors and ices coils: stay above the airflow on the
// nameplate.
#include <cstdio>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Row {
    double flow, pressure, power;   // m3/s, Pa, W (electric)
};

FanTable table(const std::vector<Row>& rows) {
    FanTable t{.kind = FanPressureKind::external_static, .stated_air = fan_test_air()};
    for (const Row& r : rows) {
        t.points.push_back({r.flow * m3_per_s, r.pressure * Pa, r.power * W});
    }
    return t;
}

}   // namespace

int main() {
    const AirState air =
        moist_air({.temperature = from_celsius(20), .pressure = 100.9 * kPa, .relative_humidity = 0.45});
    const FanCurve belt = fan_curve(table({{0.0, 520, 420},
                                           {0.4, 545, 610},
                                           {0.8, 505, 800},
                                           {1.1, 425, 920},
                                           {1.4, 300, 1000},
                                           {1.7, 130, 1040},
                                           {1.85, 30, 1040}}));
    const FlowHoldingFan drive = flow_holding_fan(table(
        {{1.2, 60, 260}, {1.2, 200, 500}, {1.2, 350, 790}, {1.2, 480, 1060}, {1.05, 540, 1070}, {0.8, 600, 1000}}));
    // A blower on the shaft of an induction motor, which slips more the more it moves.
    const FanCurve blower = fan_curve(table(
        {{0.9, 455, 760}, {1.0, 415, 830}, {1.1, 365, 900}, {1.2, 305, 970}, {1.3, 235, 1040}, {1.4, 150, 1105}}));

    const SystemCurve ducts = system_from_design_point(
        {.flow = 1.2 * m3_per_s, .pressure = 185 * Pa, .exponent = 1.9, .air = duct_design_air()});
    // A filter 24 x 24 in; dust multiplies the viscous part of its resistance.
    const auto filter = [](double viscous) {
        return ElementCurve{viscous * 52 * Pa_s_per_m3, 16 * Pa_s2_per_m6, duct_design_air()};
    };
    const SystemCurve clean = in_series(ducts, filter(1.0)), dirty = in_series(ducts, filter(3.0));
    const std::vector<std::pair<const char*, SystemCurve>> states{
        {"none", ducts}, {"clean", clean}, {"dirty", dirty}, {"forgotten", in_series(ducts, filter(8.0))}};

    const std::vector<std::pair<const char*, Fan>> fans{
        {"belt, fixed speed", belt}, {"drive holds airflow", drive}, {"induction blower", blower}};
    std::printf("# invented data: Tern Lane Arts Centre, one air handler, three controls of its fan\n");
    std::printf("# %-20s %-9s %6s %6s %5s %6s %15s\n", "control", "filter", "m3/s", "Pa", "W", "J/m3",
                "W beside clean");
    for (const auto& [control, fan] : fans) {
        const OperatingPoint reference = operating_point(fan, clean, air);
        for (const auto& [state, system] : states) {
            const OperatingPoint point = operating_point(fan, system, air);
            std::printf("# %-20s %-9s ", control, state);
            if (point.found()) {
                const double power = *point.power() / W;
                std::printf("%6.3f %6.1f %5.0f %6.0f %+15.0f", point.flow() / m3_per_s, point.pressure() / Pa, power,
                            power / (point.flow() / m3_per_s), power - *reference.power() / W);
            } else {
                std::printf("%6s %6s %5s %6s %15s", "-", "-", "-", "-", "-");
            }
            const std::string_view words = status_text(point.status);
            std::printf("  %.*s\n", static_cast<int>(words.size()), words.data());
        }
    }
    std::printf(
        "# less power at fixed speed is no saving: the filter starves the building, and each cubic metre costs more\n");

    std::printf("\n\n# belt-driven fan: flow [m3/s], fan, ducts with the clean and with the dirty filter [Pa]\n");
    for (int i = 0; i <= 37; ++i) {
        const VolumeFlow flow = 0.05 * i * m3_per_s;
        std::printf("%5.2f %6.1f %6.1f %6.1f\n", flow / m3_per_s, fan_pressure(belt, flow, air) / Pa,
                    pressure_drop(clean, flow, air) / Pa, pressure_drop(dirty, flow, air) / Pa);
    }
    std::printf("\n\n# its operating points: flow [m3/s], pressure [Pa]\n");
    for (const SystemCurve* system : {&clean, &dirty}) {
        const OperatingPoint point = operating_point(belt, *system, air);
        std::printf("%6.4f %6.2f\n", point.flow() / m3_per_s, point.pressure() / Pa);
    }
    return 0;
}
