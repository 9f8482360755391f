// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

namespace {

MoistAirConditions air_conditions(const TomlTable& air) {
    MoistAirConditions conditions{};
    conditions.temperature = air.required_quantity<Temperature>("temperature");
    conditions.pressure = air.required_positive<Pressure>("pressure");
    const auto humidity = air.fraction("relative_humidity");
    if (!humidity) air.refuse_missing("relative_humidity", "\"45 %\"");
    if (!(*humidity >= 0.0 && *humidity <= 1.0)) {
        air.refuse_value("relative_humidity", "is out of range", "0 to 100 %", "45 % is written \"45 %\" or 0.45");
    }
    conditions.relative_humidity = *humidity;
    if (conditions.pressure < Pressure::from_value(30e3) || conditions.pressure > Pressure::from_value(120e3)) {
        air.refuse_value("pressure", "is shown by no barometer", "30 to 120 kPa",
                         "write the absolute pressure at the place, about 101 kPa at sea level, 84 kPa at 1500 m");
    }
    if (conditions.temperature < from_celsius(-60.0) || conditions.temperature > from_celsius(90.0)) {
        air.refuse_value("temperature", "is out of range", "-60 to 90 degC (-76 to 194 degF)");
    }
    try {
        moist_air(conditions);
    } catch (const Error& error) {
        throw DataError(air.place(), without_function_names(error.what()));
    }
    return conditions;
}

}   // namespace

std::optional<MoistAirConditions> optional_air(const TomlTable& table, std::string_view key,
                                                      const std::string& title) {
    const auto air = table.table(key, title, study_keys("air"));
    if (!air) return std::nullopt;
    return air_conditions(*air);
}

// A standard air by name, or a table of conditions.
std::optional<NamedAir> stated_air(const TomlTable& table, std::string_view key) {
    const TomlValue* value = table.find(key);
    if (value == nullptr) return std::nullopt;
    if (value->kind == TomlKind::table) {
        const TomlTable air(*value, fmt::format("{} {}", table.title(), key), study_keys("air"));
        const AirState state = moist_air(air_conditions(air));
        return NamedAir{state, fmt::format("air of {:.4g} kg/m3", state.density.value())};
    }
    static const std::vector<std::string> names = {"duct design air", "fan table air", "fan test air",
                                                   "ISA sea level air"};
    const std::size_t choice = *table.choice(key, names);
    const AirState states[] = {duct_design_air(), fan_table_air(), fan_test_air(), isa_sea_level_air()};
    return NamedAir{states[choice], names[choice]};
}

AirState StudyReading::stated_air_or_standard(const TomlTable& table, std::string_view key) const {
    const auto air = stated_air(table, key);
    return air ? air->air : standard_air;
}

}   // namespace choose_filter
