// SPDX-License-Identifier: BSL-1.0
// One air handler of the Tern Lane Arts Centre with three controls of its fan, side by side: no filter, clean, dirty,
// forgotten; what ten per cent more of each resistance does; the way from clean to forgotten; what the airflow means to
// heater, coil and filter. All data are invented.
// Starved airflow overheats furnaces (carbon monoxide) and motors and ices coils: stay above the airflow on the
// nameplate.
#include <cstdio>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/airflow/airflow_meaning.hpp>
#include <filterflow/airflow/operating_path.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/operating_sensitivity.hpp>

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

using NamedFan = std::pair<const char*, Fan>;

/// What a tenth more of each resistance does to flow, pressure and power, from the one solution.
void print_sensitivities(const std::vector<NamedFan>& fans, const SystemCurve& system, const AirState& air) {
    std::printf("\n# with the clean filter, for a tenth more of one resistance\n");
    std::printf("# %-20s %-24s %6s %9s %7s %6s\n", "control", "resistance", "takes", "m3/s", "Pa", "W");
    for (const auto& [control, fan] : fans) {
        const OperatingSensitivities s = operating_sensitivities(fan, system, air);
        const std::pair<const char*, Pressure> parts[] = {{"filter, viscous part", s.drops.linear},
                                                          {"filter, inertial part", s.drops.quadratic},
                                                          {"ducts", s.drops.other}};
        for (const auto& [part, drop] : parts) {
            const OperatingChange change = change_for(s, 0.1 * drop);
            std::printf("# %-20s %-24s %6.1f %+9.4f %+7.2f %+6.1f\n", control, part, drop / Pa,
                        change.flow / m3_per_s + 0.0, change.pressure / Pa, change.power / W);
        }
    }
}

/// The way from the clean filter to the forgotten one: points, and what happens between them.
void print_paths(const std::vector<NamedFan>& fans, const SystemCurve& ducts, const FilterGrowth& growth,
                 const AirState& air, VolumeFlow least) {
    for (const auto& [control, fan] : fans) {
        const OperatingPath path =
            operating_path(fan, ducts, growth, air, {.least_flow = least});
        std::printf("\n\n# %s: growth from clean (0) to forgotten (1); m3/s, filter Pa, fan Pa, W\n", control);
        for (const PathEvent& event : path.events) {
            const std::string_view words = event_text(event.kind);
            std::printf("# at growth %.3f, %.3f m3/s: %.*s\n", event.point.growth, *event.point.flow / m3_per_s,
                        static_cast<int>(words.size()), words.data());
        }
        for (const PathPoint& p : path.points) {
            if (!p.flow) continue;   // outside the table: no number is made up
            std::printf("%5.3f %6.3f %6.1f %6.1f %5.0f\n", p.growth, *p.flow / m3_per_s, p.filter_drop / Pa,
                        p.pressure / Pa, *p.power / W);
        }
    }
}

/// What the airflow means to the equipment that it passes.
void print_meaning(const char* state, VolumeFlow flow, const AirflowEquipment& equipment, const AirState& air) {
    const AirflowMeaning meaning = airflow_meaning(equipment, flow, air);
    std::printf("# %-9s %6.3f %8.1f %10.1f %8.0f %10.2f %8.2f\n", state, flow / m3_per_s, *meaning.heating_rise / K,
                *meaning.per_cooling_capacity / m3_per_s_per_kW * 1000.0, *meaning.per_cooling_capacity / cfm_per_ton,
                *meaning.filter_face_velocity / m_per_s, *meaning.coil_face_velocity / m_per_s);
    for (const AirflowCaution caution : meaning.cautions) {
        const std::string_view words = caution_text(caution);
        std::printf("#   caution: %.*s\n", static_cast<int>(words.size()), words.data());
    }
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
    // Two filters 24 x 24 x 4 in side by side; dust multiplies the viscous part of their resistance.
    const auto filter = [](double viscous) {
        return ElementCurve{viscous * 52 * Pa_s_per_m3, 16 * Pa_s2_per_m6, duct_design_air()};
    };
    const SystemCurve clean = in_series(ducts, filter(1.0)), dirty = in_series(ducts, filter(3.0));
    const std::vector<std::pair<const char*, SystemCurve>> states{
        {"none", ducts}, {"clean", clean}, {"dirty", dirty}, {"forgotten", in_series(ducts, filter(8.0))}};

    const std::vector<NamedFan> fans{
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

    print_sensitivities(fans, clean, air);
    std::printf("# the drive that holds its flow pays in power; its flow answers only beyond its limit\n");

    const AirflowEquipment equipment{.heating_output = 30 * kW,
                                     .rated_rise = RatedRise{12 * K, 25 * K},
                                     .cooling_capacity = 25 * kW,
                                     .filter_face = 2.0 * (24 * inch) * (24 * inch),
                                     .deep_filter = true,
                                     .coil_face = 0.6 * m2};
    std::printf("\n# belt-driven fan, a heater of 30 kW rated for a rise of 12 to 25 K, a coil of 25 kW\n");
    std::printf("# %-9s %6s %8s %10s %8s %10s %8s\n", "filter", "m3/s", "rise, K", "L/s per kW", "cfm/ton",
                "filter m/s", "coil m/s");
    for (const auto& [state, system] : states) {
        print_meaning(state, operating_point(belt, system, air).flow(), equipment, air);
    }
    std::printf("# nameplate, manual and licensed practice decide, not these figures; no caution is no clearance\n");

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
    print_paths(fans, ducts, {.clean = filter(1.0), .dirty = filter(8.0)}, air, 1.0 * m3_per_s);
    return 0;
}
