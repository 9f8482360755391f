// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <fmt/format.h>

#include "study_readings.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

// A part of the stand that its flow method needs, or that contradicts it.
std::optional<TomlTable> method_part(const TomlTable& table, std::string_view key, StandFlowMethod method,
                                            StandFlowMethod chosen) {
    const std::string title = fmt::format("[stand.{}]", key);
    const auto part = table.table(key, title, study_keys(fmt::format("stand.{}", key)));
    const std::string& word = flow_method_words()[static_cast<std::size_t>(method)];
    if (chosen == method && !part) {
        table.refuse("flow", fmt::format("the flow is measured by a {}, but {} is missing", word, title),
                     fmt::format("add {} with the keys {}", title,
                                 quoted_list(study_keys(fmt::format("stand.{}", key)))));
    }
    if (chosen != method && part) {
        throw DataError(table.place(key),
                        fmt::format("{} is given, but [stand] flow = \"{}\"", title,
                                    flow_method_words()[static_cast<std::size_t>(chosen)]),
                        fmt::format("set flow = \"{}\", or remove {}", word, title));
    }
    return part;
}

void read_flow_element(const TomlTable& table, StandInput& stand) {
    const auto part = method_part(table, "flow_element", StandFlowMethod::flow_element, stand.flow_method);
    if (!part) return;
    static const std::vector<std::string> kinds = {
        "orifice, corner taps", "orifice, diameter taps", "orifice, flange taps", "ISA 1932 nozzle",
        "long-radius nozzle", "Venturi nozzle", "classical Venturi, as cast", "classical Venturi, machined",
        "classical Venturi, welded sheet", "chamber nozzle, long throat", "chamber nozzle, short throat",
        "nozzle of stated coefficient"};
    FlowElement element;
    const auto kind = part->choice("kind", kinds);
    if (!kind) part->refuse_missing("kind", "\"nozzle of stated coefficient\"");
    element.kind = static_cast<FlowElementKind>(*kind);
    if (!part->has("throat_diameter")) part->refuse_missing("throat_diameter", "\"150 mm\"");
    element.throat_diameter = *part->uncertain_positive<Length>("throat_diameter", "throat diameter");
    element.pipe_diameter = part->uncertain_positive<Length>("pipe_diameter", "pipe diameter");
    if (element.pipe_diameter && !(element.pipe_diameter->value > element.throat_diameter.value)) {
        const std::string throat = part->in_its_unit("pipe_diameter", element.throat_diameter.value);
        part->refuse_value("pipe_diameter", "is not wider than the throat", "above " + throat + ", the throat");
    }
    const bool draws_from_room = element.kind == FlowElementKind::stated_nozzle ||
                                 element.kind == FlowElementKind::chamber_nozzle_long_throat ||
                                 element.kind == FlowElementKind::chamber_nozzle_short_throat;
    if (!element.pipe_diameter && !draws_from_room) {
        throw DataError(part->place(), "'pipe_diameter' is missing in [stand.flow_element]",
                        "this element stands in a pipe; its coefficient depends on the ratio of the diameters");
    }
    element.stated_coefficient = part->uncertain_number("coefficient", "discharge coefficient");
    if (element.stated_coefficient &&
        !(element.stated_coefficient->value > 0.3 && element.stated_coefficient->value < 1.1)) {
        part->refuse_value("coefficient", "is out of range", "0.3 to 1.1");
    }
    if (element.kind == FlowElementKind::stated_nozzle && !element.stated_coefficient) {
        part->refuse_missing("coefficient", "\"0.98 +- 1 %\"");
    }
    element.straight_upstream = part->quantity<Length>("straight_upstream");
    element.straight_downstream = part->quantity<Length>("straight_downstream");
    stand.flow_element = std::move(element);
}

void read_traverse(const TomlTable& table, StandInput& stand) {
    const auto part = method_part(table, "traverse", StandFlowMethod::traverse, stand.flow_method);
    if (!part) return;
    static const std::vector<std::string> rules = {"log-linear", "log-Tchebycheff", "equal area"};
    TraverseSection section;
    if (const auto rule = part->choice("rule", rules)) section.rule = static_cast<TraverseRule>(*rule);
    if (part->has("diameter")) {
        if (part->has("width") || part->has("height")) {
            part->refuse("diameter", "a section has a diameter, or a width and a height, not both");
        }
        section.shape = SectionShape::circle;
        section.diameter = *part->uncertain_positive<Length>("diameter", "duct diameter");
        section.points_per_diameter = counted(*part, "points_per_diameter", 10);
        section.diameters = counted(*part, "diameters", 2);
    } else {
        for (const char* key : {"width", "height"}) {
            if (!part->has(key)) part->refuse_missing(key, "\"24 in\"");
        }
        section.width = *part->uncertain_positive<Length>("width", "duct width");
        section.height = *part->uncertain_positive<Length>("height", "duct height");
        section.points_along_width = counted(*part, "points_along_width", 5);
        section.points_along_height = counted(*part, "points_along_height", 5);
    }
    if (const auto within = part->fraction("rule_known_within")) {
        if (!(*within >= 0.0 && *within < 1.0))
            part->refuse_value("rule_known_within", "is out of range", "0 to below 100 %", percent_hint);
        section.rule_uncertainty = *within / normal_95;
    }
    if (section.points_per_diameter > 100 || section.diameters > 100 || section.points_along_width > 100 ||
        section.points_along_height > 100) {
        throw DataError(part->place(), "a traverse has at most 100 positions on a line");
    }
    try {
        traverse_points(section);
    } catch (const Error& error) {
        throw DataError(part->place(),
                        fmt::format("this traverse is not possible: {}", without_function_names(error.what())));
    }
    stand.traverse = std::move(section);
}

void read_stand_fan(const StudyReading& reading, const TomlTable& table, StandInput& stand) {
    if (const auto fan = method_part(table, "fan", StandFlowMethod::fan_table, stand.flow_method)) {
        stand.fan = fan_table(reading, *fan, FanControl::fixed_speed);
        stand.fan_description = fan_description(*fan);
    }
    const auto ends = table.table("fan_ends", "[stand.fan_ends]", study_keys("stand.fan_ends"));
    if (!ends) return;
    if (stand.flow_method != StandFlowMethod::not_measured) {
        throw DataError(table.place("fan_ends"),
                        fmt::format("[stand.fan_ends] is given, but [stand] flow = \"{}\"",
                                    flow_method_words()[static_cast<std::size_t>(stand.flow_method)]),
                        "the ends of the fan's curve serve an estimate where the flow is not measured; remove them");
    }
    StatedFan& stated = stand.fan_ends.emplace();
    if (!ends->has("shut_off_pressure")) ends->refuse_missing("shut_off_pressure", "\"300 Pa +- 10 %\"");
    if (!ends->has("free_flow")) ends->refuse_missing("free_flow", "\"1200 cfm +- 10 %\"");
    stated.shut_off_pressure = *ends->uncertain_positive<Pressure>("shut_off_pressure", "shut-off pressure of the fan");
    stated.free_flow = *ends->uncertain_positive<VolumeFlow>("free_flow", "free flow of the fan");
    static const std::vector<std::string> shapes = {"straight", "parabola"};
    stated.shape = static_cast<StatedFanShape>(ends->choice("shape", shapes).value_or(0));
}

template <class Quantity>
Instrument read_instrument(const TomlTable& stand, const char* key, const char* name) {
    const auto table = stand.table(key, fmt::format("[stand.{}]", key), study_keys(fmt::format("stand.{}", key)));
    if (!table) return {};
    InstrumentData<Quantity> data;
    data.name = name;
    const double gain = table->fraction("gain").value_or(0.0);
    if (!(gain >= 0.0 && gain < 1.0)) table->refuse_value("gain", "is out of range", "0 to below 100 %", percent_hint);
    data.gain_uncertainty = gain / normal_95;
    data.zero_uncertainty = table->not_negative<Quantity>("zero").value_or(Quantity{}) / normal_95;
    data.resolution = table->not_negative<Quantity>("resolution").value_or(Quantity{});
    return instrument(data);
}

}   // namespace

void check_traverse_columns(const CsvTable& csv, const StandInput& stand,
                                   const std::vector<BenchReading>& readings) {
    if (!stand.traverse || readings.empty()) return;
    const std::size_t wanted = traverse_points(*stand.traverse).size();
    const std::size_t given = readings.front().traverse_velocities.size();
    if (given == wanted) return;
    std::size_t last = 0;
    for (std::size_t i = 0; i < csv.columns().size(); ++i) {
        if (csv.columns()[i].name.rfind("velocity ", 0) == 0) last = i;
    }
    throw DataError(csv.place(csv.columns()[last].header),
                    fmt::format("{} velocity columns; the traverse of [stand.traverse] has {} positions", given,
                                wanted),
                    fmt::format("name them 'velocity 1' to 'velocity {}', line by line", wanted));
}

void read_stand(StudyReading& reading, const TomlTable& root, StudyInput& study) {
    const auto table = root.table("stand", "[stand]", study_keys("stand"));
    if (!table) return;
    reading.places.add({"stand: "}, table->place());
    StandInput stand;
    stand.air = optional_air(*table, "air", "[stand] air");
    stand.flow_method = static_cast<StandFlowMethod>(
        table->choice("flow", flow_method_words())
            .value_or(static_cast<std::size_t>(StandFlowMethod::not_measured)));
    reading.method = stand.flow_method;
    read_flow_element(*table, stand);
    read_traverse(*table, stand);
    read_stand_fan(reading, *table, stand);
    if (const auto leak = table->table("leak_test", "[stand.leak_test]", study_keys("stand.leak_test"))) {
        SealLeakage test;
        if (!leak->has("flow")) leak->refuse_missing("flow", "\"12 L/s +- 20 %\"");
        test.flow = *leak->uncertain_quantity<VolumeFlow>("flow", "leakage of the stand");
        if (test.flow.value.value() < 0.0) {
            leak->refuse_value("flow", "is negative", leak->in_its_unit("flow", VolumeFlow{}) + " or more");
        }
        test.pressure = leak->required_positive<Pressure>("pressure");
        test.exponent = leak->number("exponent").value_or(0.65);
        if (!(test.exponent >= 0.5 && test.exponent <= 1.0)) {
            leak->refuse_value("exponent", "is out of range", "0.5 (openings) to 1 (fine cracks)");
        }
        static const std::vector<std::string> effects = {"exceeds the filter's", "falls short of the filter's"};
        const auto effect = leak->choice("measured_flow", effects);
        if (!effect)
            leak->refuse_missing("measured_flow", "\"exceeds the filter's\" (or \"falls short of the filter's\")");
        test.effect = static_cast<LeakageEffect>(*effect);
        stand.leakage = test;
    }
    stand.manometer = read_instrument<Pressure>(*table, "manometer", "manometer");
    if (stand.flow_method == StandFlowMethod::flow_meter) {
        stand.flow_instrument = read_instrument<VolumeFlow>(*table, "flow_instrument", "flow meter");
    } else if (stand.flow_method == StandFlowMethod::traverse) {
        stand.flow_instrument = read_instrument<Velocity>(*table, "flow_instrument", "anemometer");
    } else {
        stand.flow_instrument = read_instrument<Pressure>(*table, "flow_instrument", "manometer of the flow");
    }
    if (table->has("empty_stand")) {
        const CsvTable csv = reading.table_file(*table, "empty_stand", pressure_header(reading.method));
        stand.empty_stand = bench_readings(csv, stand.flow_method, "the empty stand");
        check_traverse_columns(csv, stand, stand.empty_stand);
        reading.add_reading_places(csv, "stand: ");
    }
    if (table->has("correlation_counts")) {
        reading.correlation =
            correlation_counts(reading.table_file(*table, "correlation_counts", counts_header()), study.notes);
    }
    study.stand = std::move(stand);
}

}   // namespace choose_filter
