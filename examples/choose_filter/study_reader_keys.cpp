// SPDX-License-Identifier: BSL-1.0

#include <map>

#include "study_reader.hpp"

namespace choose_filter {

namespace {

// Every table of a study file with its keys. The manual page (docs/choose_filter.md) lists the same; a test compares.
const std::map<std::string, std::vector<std::string>, std::less<>>& all_keys() {
    static const std::map<std::string, std::vector<std::string>, std::less<>> keys = {
        {"", {"study", "stand", "filter", "candidate", "system", "prices"}},
        {"study", {"title", "note", "standard_air", "comparison_velocities", "comparison_flows", "coverage"}},
        {"air", {"temperature", "pressure", "relative_humidity"}},
        {"stand", {"air", "flow", "empty_stand", "correlation_counts", "flow_element", "traverse", "fan", "fan_ends",
                   "leak_test", "manometer", "flow_instrument"}},
        {"stand.flow_element", {"kind", "throat_diameter", "pipe_diameter", "coefficient", "straight_upstream",
                                "straight_downstream"}},
        {"stand.traverse", {"rule", "diameter", "points_per_diameter", "diameters", "width", "height",
                            "points_along_width", "points_along_height", "rule_known_within"}},
        {"stand.fan", {"table", "pressure", "stated_air", "speed_tap", "motor"}},
        {"stand.fan_ends", {"shut_off_pressure", "free_flow", "shape"}},
        {"stand.leak_test", {"flow", "pressure", "exponent", "measured_flow"}},
        {"stand.manometer", {"gain", "zero", "resolution"}},
        {"stand.flow_instrument", {"gain", "zero", "resolution"}},
        {"filter", {"name", "width", "height", "depth", "free_area", "price", "claimed_life", "pleat_count",
                    "media_area", "pressure", "counts", "counts_face_velocity", "discharged_counts", "loading"}},
        {"candidate", {"name", "stages", "bypass_gap"}},
        {"candidate.stages", {"filter", "final_resistance", "greatest_age"}},
        {"system", {"name", "control", "air", "hours_per_year", "dust_concentration", "dust_equivalence",
                    "dust_equivalence_measured", "present", "fan", "ducts", "segment", "part", "limits", "room",
                    "schedule"}},
        {"system.fan", {"table", "pressure", "stated_air", "speed_tap", "motor", "pressure_known_within",
                        "power_known_within", "airflow_known_within"}},
        {"system.ducts", {"design_flow", "design_pressure", "exponent", "constant_pressure", "stated_air",
                          "known_within"}},
        {"system.segment", {"name", "length", "diameter", "width", "height", "roughness", "loss_coefficient"}},
        {"system.part", {"name", "flow", "pressure", "exponent", "stated_air"}},
        {"system.limits", {"least_airflow", "greatest_external_static_pressure", "greatest_face_velocity",
                           "least_pm25_removal"}},
        {"system.room", {"volume", "outdoor_air", "infiltration", "penetration", "outdoor_pm25", "outdoor_pm10",
                         "fan_cycle"}},
        {"system.schedule", {"table", "hours", "new_years_day", "running_by_month", "dust_by_month",
                             "dust_known_within"}},
        {"system.schedule.hours", {"days", "from_hour", "to_hour", "from_month", "to_month", "running"}},
        {"prices", {"currency", "electricity_per_kWh", "labour_per_change", "disposal_per_filter", "discount_rate",
                    "electricity_escalation", "horizon", "time_of_use", "demand_per_kW_month", "carbon_per_kWh",
                    "other_escalation", "years_of_service", "change_penalty"}},
        {"prices.time_of_use", {"days", "from_hour", "to_hour", "from_month", "to_month", "electricity_per_kWh"}},
    };
    return keys;
}

}   // namespace

const std::vector<std::string>& study_keys(std::string_view table) { return all_keys().at(std::string(table)); }

std::vector<std::string> study_tables() {
    std::vector<std::string> names;
    for (const auto& [name, keys] : all_keys()) names.push_back(name);
    return names;
}

}   // namespace choose_filter
