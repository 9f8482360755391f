// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

namespace {

Uncertain<double> factor_known_within(const TomlTable& table, std::string_view key, const std::string& name) {
    const auto within = table.fraction(key);
    if (!within) return Uncertain<double>(1.0);
    if (!(*within >= 0.0 && *within < 1.0))
        table.refuse_value(key, "is out of range", "0 to below 100 %", percent_hint);
    if (*within == 0.0) return Uncertain<double>(1.0);
    return uncertain(1.0, *within / normal_95, name);
}

Uncertain<double> held_airflow_factor(const TomlTable& fan, const SystemInput& system) {
    constexpr auto key = "airflow_known_within";
    if (fan.has(key) && system.control == FanControl::fixed_speed) {
        fan.refuse(key, "a fan at fixed speed holds no airflow: what it delivers follows from its table and the system",
                   "leave it out, or set [[system]] control = \"holds airflow\"");
    }
    if (const auto within = fan.fraction(key); within && !(*within >= 0.0 && *within <= 0.3)) {
        fan.refuse_value(key, "is out of range", "0 to 30 %", "drives hold their airflow within some per cent");
    }
    return factor_known_within(fan, key, "airflow held by " + system.name);
}

double exponent(const TomlTable& table, double otherwise) {
    const double value = table.number("exponent").value_or(otherwise);
    if (!(value >= 1.0 && value <= 3.0)) {
        table.refuse_value("exponent", "is out of range", "1 to 3", "ducts lie between 1.8 and 2, coils near 1.6");
    }
    return value;
}

SystemCurve read_ducts(const StudyReading& reading, const TomlTable& table, SystemInput& system,
                       std::vector<std::string>& notes) {
    SystemCurve curve;
    std::vector<std::string> smooth;   // ducts whose roughness is not stated
    bool design_point = false;
    if (const auto ducts = table.table("ducts", "[system.ducts]", study_keys("system.ducts"))) {
        if (ducts->has("design_flow") || ducts->has("design_pressure")) {
            design_point = true;
            curve = system_from_design_point({.flow = ducts->required_positive<VolumeFlow>("design_flow"),
                                              .pressure = ducts->required_positive<Pressure>("design_pressure"),
                                              .exponent = exponent(*ducts, 2.0),
                                              .air = reading.stated_air_or_standard(*ducts, "stated_air")});
        } else if (ducts->has("exponent") || ducts->has("stated_air")) {
            ducts->refuse_missing("design_flow", "\"1600 cfm\"");
        }
        curve.constant_pressure = ducts->quantity<Pressure>("constant_pressure").value_or(Pressure{});
        system.duct_pressure_factor = factor_known_within(*ducts, "known_within", "duct resistance of " + system.name);
    }
    for (const TomlTable& part : table.tables("segment", "[[system.segment]]", study_keys("system.segment"))) {
        DuctSegment segment;
        part.required_quantity<Length>("length");
        segment.length = *part.not_negative<Length>("length");
        if (part.has("diameter")) {
            if (part.has("width") || part.has("height")) {
                part.refuse("diameter", "a duct has a diameter, or a width and a height, not both");
            }
            segment.diameter = part.required_positive<Length>("diameter");
        } else {
            segment.width = part.required_positive<Length>("width");
            segment.height = part.required_positive<Length>("height");
        }
        if (const auto roughness = part.not_negative<Length>("roughness")) {
            segment.roughness = *roughness;
        } else {
            smooth.push_back(part.text("name").value_or(fmt::format("segment {}", curve.ducts.size() + 1)));
        }
        segment.loss_coefficient = part.number("loss_coefficient").value_or(0.0);
        try {
            pressure_drop(segment, VolumeFlow::from_value(0.1), reading.standard_air);
        } catch (const Error& error) {
            throw DataError(part.place(), without_function_names(error.what()));
        }
        curve.ducts.push_back(segment);
    }
    for (const TomlTable& part : table.tables("part", "[[system.part]]", study_keys("system.part"))) {
        PowerLawPart law;
        law.reference_flow = part.required_positive<VolumeFlow>("flow");
        part.required_quantity<Pressure>("pressure");
        law.reference_pressure = *part.not_negative<Pressure>("pressure");
        law.exponent = exponent(part, 2.0);
        law.stated_air = reading.stated_air_or_standard(part, "stated_air");
        curve.power_laws.push_back(law);
    }
    if (design_point && !curve.ducts.empty()) {
        notes.push_back(fmt::format("system '{}': the pressure of [system.ducts] and that of the {} listed as "
                                    "[[system.segment]] are added: take care that the design point does not hold them "
                                    "already",
                                    system.name, curve.ducts.size() == 1 ? "duct" : "ducts"));
    }
    if (!smooth.empty()) {
        std::string names;
        for (const std::string& name : smooth) names += (names.empty() ? "" : ", ") + name;
        notes.push_back(fmt::format("system '{}': no roughness is stated for {}: taken as {} mm, galvanised sheet "
                                    "steel of average joints (ASHRAE Handbook, Fundamentals, table of duct roughness)",
                                    system.name, shown_text(names, 200),
                                    four_digits_text(DuctSegment{}.roughness / units::mm)));
    }
    return curve;
}

std::optional<RoomInput> read_room(const TomlTable& system, const std::string& name) {
    const auto table = system.table("room", "[system.room]", study_keys("system.room"));
    if (!table) return std::nullopt;
    RoomInput room;
    room.volume = table->required_positive<Volume>("volume");
    table->between<Volume>("volume", "1 m3", "1000000 m3");
    room.outdoor_air = table->positive<VolumeFlow>("outdoor_air");
    room.infiltration = table->positive<Rate>("infiltration");
    table->between<Rate>("infiltration", "0.001 1/h", "100 1/h",
                         "houses have 0.1 to 1 1/h, through their cracks alone");
    if (!room.outdoor_air && !room.infiltration) {
        table->refuse_missing("outdoor_air", "\"500 m3/h\", or infiltration = \"0.3 1/h\"");
    }
    room.penetration = table->fraction("penetration");
    if (room.penetration && !(*room.penetration >= 0.0 && *room.penetration <= 1.0)) {
        table->refuse_value("penetration", "is out of range", "0 to 100 %", percent_hint);
    }
    if (room.penetration && !room.infiltration) {
        table->refuse("penetration", "particles pass the cracks with infiltration, and none is given",
                      "add infiltration = \"0.3 1/h\"");
    }
    const auto outdoors = [&](const char* key, const char* what) {
        auto value = table->uncertain_positive<MassConcentration>(key, what + (" outdoors of " + name));
        if (value && value->value > MassConcentration::from_value(0.1)) {
            table->refuse_value(key, "is too large to be meant", "above 0, up to 0.1 kg/m3 (100 g/m3)",
                                "towns have 5 to 50 ug/m3");
        }
        return value;
    };
    room.outdoor_pm25 = outdoors("outdoor_pm25", "PM2.5");
    room.outdoor_pm10 = outdoors("outdoor_pm10", "PM10");
    room.fan_cycle = table->between<Time>("fan_cycle", "1 min", "1 week", "on and off together");
    return room;
}

void read_running(const TomlTable& table, SystemInput& system) {
    if (const TomlValue* given = table.find("hours_per_year")) {
        const Time hours = given->kind == TomlKind::number ? Time::from_value(given->number * 3600.0)
                                                           : table.required_quantity<Time>("hours_per_year");
        if (!(hours.value() > 0.0 && hours.value() <= 8760.0 * 3600.0)) {
            table.refuse_value("hours_per_year", "is out of range", "above 0, up to 8760 hours");
        }
        system.hours_per_year = hours;
    }
    system.dust_concentration =
        table.uncertain_positive<MassConcentration>("dust_concentration", "dust concentration of " + system.name);
    if (system.dust_concentration && system.dust_concentration->value > MassConcentration::from_value(0.1)) {
        table.refuse_value("dust_concentration", "is too large to be meant", "above 0, up to 0.1 kg/m3 (100 g/m3)",
                           "rooms have 10 to 200 ug/m3");
    }
    system.dust_equivalence = table.uncertain_number("dust_equivalence", "dust equivalence of " + system.name);
    if (system.dust_equivalence) {
        const double value = system.dust_equivalence->value;
        if (!(value >= 1e-3 && value <= 1e3))
            table.refuse_value("dust_equivalence", "is out of range", "0.001 to 1000");
        table.refuse_wide("dust_equivalence", value, normal_95 * system.dust_equivalence->standard_uncertainty());
    }
    const auto measured = table.boolean("dust_equivalence_measured");
    if (measured.value_or(false) && !system.dust_equivalence) {
        table.refuse("dust_equivalence_measured", "a measured dust equivalence is claimed, but none is given",
                     "add dust_equivalence = \"1.5 +- 20 %\"");
    }
    system.dust_equivalence_is_assumed = !measured.value_or(false);
    // An assumption without a range would pass for knowledge: every life would look surer than it is.
    if (system.dust_equivalence && system.dust_equivalence_is_assumed &&
        !(system.dust_equivalence->standard_uncertainty() > 0.0)) {
        table.refuse_value("dust_equivalence", "is assumed, but has no range", "a value with a half width behind +-",
                           "write \"1.5 +- 50 %\"; if it was tested in the building, add "
                           "dust_equivalence_measured = true");
    }
}

}   // namespace

void read_systems(StudyReading& reading, const TomlTable& root, StudyInput& study) {
    std::vector<std::string> candidates;
    for (const CandidateInput& candidate : study.candidates) candidates.push_back(candidate.name);
    for (const TomlTable& table : root.tables("system", "[[system]]", study_keys("system"))) {
        SystemInput system;
        system.name = unique_name(table, study.systems, "system");
        reading.places.add({"system '" + system.name + "'"}, table.value_place("name"));
        static const std::vector<std::string> controls = {"fixed speed", "holds airflow"};
        system.control = static_cast<FanControl>(table.choice("control", controls).value_or(0));
        if (const auto fan = table.table("fan", "[system.fan]", study_keys("system.fan"))) {
            system.fan = fan_table(reading, *fan, system.control);
            system.fan_description = fan_description(*fan);
            if (system.fan_description.motor == MotorKind::constant_airflow &&
                system.control == FanControl::fixed_speed) {
                fan->refuse("motor", "a motor of constant airflow contradicts [[system]] control = \"fixed speed\"",
                            "set control = \"holds airflow\"");
            }
            system.fan_pressure_factor =
                factor_known_within(*fan, "pressure_known_within", "fan pressure of " + system.name);
            system.fan_power_factor = factor_known_within(*fan, "power_known_within", "fan power of " + system.name);
            system.held_airflow_factor = held_airflow_factor(*fan, system);
        }
        system.ducts = read_ducts(reading, table, system, study.notes);
        system.ducts_known = !system.ducts.power_laws.empty() || !system.ducts.ducts.empty() ||
                             system.ducts.constant_pressure.value() != 0.0;
        system.air = optional_air(table, "air", "[system] air");
        read_running(table, system);
        read_schedule(reading, table, system);
        if (const auto present = table.text("present")) {
            if (std::find(candidates.begin(), candidates.end(), *present) == candidates.end()) {
                table.refuse("present", fmt::format("there is no candidate named '{}'", shown_text(*present)),
                             name_hint(*present, candidates, "candidates"));
            }
            system.present_candidate = *present;
        }
        if (const auto limits = table.table("limits", "[system.limits]", study_keys("system.limits"))) {
            system.least_airflow = limits->positive<VolumeFlow>("least_airflow");
            system.greatest_external_static_pressure = limits->positive<Pressure>("greatest_external_static_pressure");
            system.greatest_face_velocity = limits->positive<Velocity>("greatest_face_velocity");
            system.least_pm25_removal = limits->fraction("least_pm25_removal");
            if (system.least_pm25_removal && !(*system.least_pm25_removal >= 0.0 && *system.least_pm25_removal < 1.0)) {
                limits->refuse_value("least_pm25_removal", "is out of range", "0 to below 100 %", percent_hint);
            }
        }
        system.room = read_room(table, system.name);
        study.systems.push_back(std::move(system));
    }
}

}   // namespace choose_filter
