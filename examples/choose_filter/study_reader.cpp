// SPDX-License-Identifier: BSL-1.0

#include "study_reader.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include <filterflow/airflow/flow_holding_fan.hpp>

#include "csv_table.hpp"
#include "study_readings.hpp"
#include "toml_table.hpp"

namespace choose_filter {

namespace {

using namespace filterflow;

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
                    "dust_equivalence_measured", "present", "fan", "ducts", "segment", "part", "limits", "room"}},
        {"system.fan", {"table", "pressure", "stated_air", "speed_tap", "motor", "pressure_known_within",
                        "power_known_within"}},
        {"system.ducts", {"design_flow", "design_pressure", "exponent", "constant_pressure", "stated_air",
                          "known_within"}},
        {"system.segment", {"name", "length", "diameter", "width", "height", "roughness", "loss_coefficient"}},
        {"system.part", {"name", "flow", "pressure", "exponent", "stated_air"}},
        {"system.limits", {"least_airflow", "greatest_external_static_pressure", "greatest_face_velocity",
                           "least_pm25_removal"}},
        {"system.room", {"volume", "outdoor_air", "infiltration", "penetration", "outdoor_pm25", "outdoor_pm10"}},
        {"prices", {"currency", "electricity_per_kWh", "labour_per_change", "disposal_per_filter", "discount_rate",
                    "electricity_escalation", "horizon"}},
    };
    return keys;
}

const char* const percent_hint = "5 % is written \"5 %\" or 0.05";

class StudyReader {
public:
    StudyReader(std::string path, const FileSource& files) : path_(std::move(path)), files_(files) {}

    StudyFile read() {
        const FileText file = files_.read(path_);
        if (!file.found) throw DataError({path_}, "cannot read the study file: " + file.reason);
        if (file.text.find_first_not_of(" \t\r\n") == std::string::npos) {
            throw DataError({path_}, "the file is empty", "choose_filter --start DIR writes a study to begin from");
        }
        const TomlValue document = parse_toml(path_, file.text);
        const TomlTable root(document, "the study file", study_keys(""));

        StudyInput study;
        study.origin = path_;
        read_study_table(root, study);
        read_stand(root, study);
        read_filters(root, study);
        read_candidates(root, study);
        read_systems(root, study);
        read_prices(root, study);
        if (!study.stand && study.filters.empty() && study.systems.empty()) {
            throw DataError({path_}, "the study holds neither a stand, nor a filter, nor a system",
                            "a filter with pressure readings is the least: [[filter]] name, pressure");
        }
        refuse_free_changes(study);
        check_electricity_price(root, study);
        choose_comparison(study);
        return {std::move(study), std::move(places_)};
    }

private:
    // ---- Files ----
    // `header` is what the first line of such a table looks like.
    CsvTable table_file(const TomlTable& table, std::string_view key, const std::string& header) const {
        const std::string name = table.required_text(key);
        const std::string path = beside_study(name);
        const FileText file = files_.read(path);
        if (!file.found) {
            table.refuse(key, fmt::format("cannot read '{}': {}", shown_text(path, 120), file.reason),
                         "paths are relative to the study file");
        }
        return CsvTable(path, file.text, header);
    }

    std::string beside_study(const std::string& name) const {
        const std::filesystem::path file(name);
        if (file.is_absolute()) return name;
        return (std::filesystem::path(path_).parent_path() / file).lexically_normal().generic_string();
    }

    // ---- Air ----
    static MoistAirConditions air_conditions(const TomlTable& air) {
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

    static std::optional<MoistAirConditions> optional_air(const TomlTable& table, std::string_view key,
                                                          const std::string& title) {
        const auto air = table.table(key, title, study_keys("air"));
        if (!air) return std::nullopt;
        return air_conditions(*air);
    }

    struct NamedAir {
        AirState air;
        std::string name;
    };

    // A standard air by name, or a table of conditions.
    static std::optional<NamedAir> stated_air(const TomlTable& table, std::string_view key) {
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

    AirState stated_air_or_standard(const TomlTable& table, std::string_view key) const {
        const auto air = stated_air(table, key);
        return air ? air->air : standard_air_;
    }

    // ---- [study] ----
    void read_study_table(const TomlTable& root, StudyInput& study) {
        static const TomlValue nothing;
        const auto given = root.table("study", "[study]", study_keys("study"));
        const TomlTable table = given ? *given : TomlTable(nothing, "[study]", {});
        study.title = table.text("title").value_or("Filter study");
        study.note = table.text("note").value_or("");
        const NamedAir air = stated_air(table, "standard_air").value_or(NamedAir{duct_design_air(), "duct design air"});
        study.standard_air = air.air;
        study.standard_air_name = air.name;
        standard_air_ = air.air;
        study.comparison_velocities = table.quantities<Velocity>("comparison_velocities");
        for (const Velocity& velocity : study.comparison_velocities) {
            if (velocity.value() > 0.0 && velocity.value() <= 50.0) continue;
            table.refuse("comparison_velocities", fmt::format("the comparison velocity {:.4g} m/s is out of range; allowed: "
                                                              "above 0, up to 50 m/s", velocity.value()));
        }
        study.comparison_flows = table.quantities<VolumeFlow>("comparison_flows");
        for (const VolumeFlow& flow : study.comparison_flows) {
            if (flow.value() > 0.0 && flow.value() <= 1000.0) continue;
            table.refuse("comparison_flows", fmt::format("the comparison flow {:.4g} m3/s is out of range; allowed: above 0, up "
                                                         "to 1000 m3/s", flow.value()));
        }
        study.coverage_probability = table.fraction("coverage").value_or(0.95);
        if (!(study.coverage_probability >= 0.5 && study.coverage_probability <= 0.9999)) {
            table.refuse_value("coverage", "is out of range", "50 to 99.99 %", percent_hint);
        }
    }

    // ---- [stand] ----
    void read_stand(const TomlTable& root, StudyInput& study) {
        const auto table = root.table("stand", "[stand]", study_keys("stand"));
        if (!table) return;
        places_.add({"stand: "}, table->place());
        StandInput stand;
        stand.air = optional_air(*table, "air", "[stand] air");
        stand.flow_method = static_cast<StandFlowMethod>(
            table->choice("flow", flow_method_words())
                .value_or(static_cast<std::size_t>(StandFlowMethod::not_measured)));
        method_ = stand.flow_method;
        read_flow_element(*table, stand);
        read_traverse(*table, stand);
        read_stand_fan(*table, stand);
        if (const auto leak = table->table("leak_test", "[stand.leak_test]", study_keys("stand.leak_test"))) {
            SealLeakage test;
            if (!leak->has("flow")) leak->refuse_missing("flow", "\"12 L/s +- 20 %\"");
            test.flow = *leak->uncertain_quantity<VolumeFlow>("flow", "leakage of the stand");
            if (test.flow.value.value() < 0.0) leak->refuse_value("flow", "is negative", "0 m3/s or more");
            test.pressure = leak->required_positive<Pressure>("pressure");
            test.exponent = leak->number("exponent").value_or(0.65);
            if (!(test.exponent >= 0.5 && test.exponent <= 1.0)) {
                leak->refuse_value("exponent", "is out of range", "0.5 (openings) to 1 (fine cracks)");
            }
            static const std::vector<std::string> effects = {"exceeds the filter's", "falls short of the filter's"};
            const auto effect = leak->choice("measured_flow", effects);
            if (!effect) leak->refuse_missing("measured_flow", "\"exceeds the filter's\" (or \"falls short of the filter's\")");
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
            const CsvTable csv = table_file(*table, "empty_stand", pressure_header(method_));
            stand.empty_stand = bench_readings(csv, stand.flow_method, "the empty stand");
            check_traverse_columns(csv, stand, stand.empty_stand);
            add_reading_places(csv, "stand: ");
        }
        if (table->has("correlation_counts")) {
            correlation_ = correlation_counts(table_file(*table, "correlation_counts", counts_header()), study.notes);
        }
        study.stand = std::move(stand);
    }

    // What a message says of a reading stands in its file.
    void add_reading_places(const CsvTable& csv, const std::string& owner) {
        const std::size_t pressure = csv.column("pressure");
        for (std::size_t row = 0; row < csv.row_count(); ++row) {
            places_.add({owner, "(" + csv.origin(row) + ")"}, csv.place(row, pressure));
        }
    }

    // A part of the stand that its flow method needs, or that contradicts it.
    static std::optional<TomlTable> method_part(const TomlTable& table, std::string_view key, StandFlowMethod method,
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

    static void read_flow_element(const TomlTable& table, StandInput& stand) {
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
            part->refuse_value("pipe_diameter", "is not wider than the throat",
                               fmt::format("above {:.4g} m", element.throat_diameter.value.value()));
        }
        const bool draws_from_room = element.kind == FlowElementKind::stated_nozzle ||
                                     element.kind == FlowElementKind::chamber_nozzle_long_throat ||
                                     element.kind == FlowElementKind::chamber_nozzle_short_throat;
        if (!element.pipe_diameter && !draws_from_room) {
            throw DataError(part->place(), "'pipe_diameter' is missing in [stand.flow_element]",
                            "this element stands in a pipe; its coefficient depends on the ratio of the diameters");
        }
        element.stated_coefficient = part->uncertain_number("coefficient", "discharge coefficient");
        if (element.stated_coefficient && !(element.stated_coefficient->value > 0.3 && element.stated_coefficient->value < 1.1)) {
            part->refuse_value("coefficient", "is out of range", "0.3 to 1.1");
        }
        if (element.kind == FlowElementKind::stated_nozzle && !element.stated_coefficient) {
            part->refuse_missing("coefficient", "\"0.98 +- 1 %\"");
        }
        element.straight_upstream = part->quantity<Length>("straight_upstream");
        element.straight_downstream = part->quantity<Length>("straight_downstream");
        stand.flow_element = std::move(element);
    }

    static std::size_t counted(const TomlTable& table, std::string_view key, std::size_t otherwise) {
        const auto value = table.number(key);
        if (!value) return otherwise;
        const TomlValue* given = table.find(key);
        if (!given->is_integer || *value < 1.0 || *value > 1e6) {
            table.refuse_value(key, "is out of range", "whole numbers from 1 to 1000000");
        }
        return static_cast<std::size_t>(*value);
    }

    static void read_traverse(const TomlTable& table, StandInput& stand) {
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
            throw DataError(part->place(), fmt::format("this traverse is not possible: {}", without_function_names(error.what())));
        }
        stand.traverse = std::move(section);
    }

    static void check_traverse_columns(const CsvTable& csv, const StandInput& stand,
                                       const std::vector<BenchReading>& readings) {
        if (!stand.traverse || readings.empty()) return;
        const std::size_t wanted = traverse_points(*stand.traverse).size();
        const std::size_t given = readings.front().traverse_velocities.size();
        if (given == wanted) return;
        throw DataError({csv.path()}, fmt::format("{} velocity columns; the traverse of [stand.traverse] has {} positions",
                                                  given, wanted),
                        fmt::format("name them 'velocity 1' to 'velocity {}', line by line", wanted));
    }

    static FanPressureKind pressure_kind(const TomlTable& fan) {
        static const std::vector<std::string> kinds = {"total", "static", "external static"};
        const auto kind = fan.choice("pressure", kinds);
        if (!kind) fan.refuse_missing("pressure", "\"static\" (or \"total\", or \"external static\")");
        return static_cast<FanPressureKind>(*kind);
    }

    FanTable fan_table(const TomlTable& fan, FanControl control) const {
        FanTable table;
        table.kind = pressure_kind(fan);
        table.stated_air = stated_air_or_standard(fan, "stated_air");
        static const char* const words[] = {"total", "static", "external static"};
        const CsvTable csv = table_file(fan, "table", fan_header(words[static_cast<std::size_t>(table.kind)]));
        table.points = fan_points(csv, table.kind);
        // One flow (for a drive that holds the flow: one pressure) has one row.
        for (std::size_t row = 0; row < table.points.size(); ++row) {
            for (std::size_t before = 0; before < row; ++before) {
                const FanPoint& a = table.points[before];
                const FanPoint& b = table.points[row];
                const bool same = control == FanControl::fixed_speed ? a.flow == b.flow : a.pressure == b.pressure;
                if (!same) continue;
                csv.refuse(row, csv.column("flow"),
                           fmt::format("this row contradicts {}: one {}, two {}", csv.origin(before),
                                       control == FanControl::fixed_speed ? "flow" : "pressure",
                                       control == FanControl::fixed_speed ? "pressures" : "flows"),
                           control == FanControl::fixed_speed
                               ? "a fan at one speed makes one pressure at a flow; if its drive holds the airflow, set "
                                 "control = \"holds airflow\""
                               : "a drive that holds the airflow gives one flow at a pressure; keep one of the rows");
            }
        }
        try {
            if (control == FanControl::fixed_speed) {
                fan_curve(table);
            } else {
                flow_holding_fan(table);
            }
        } catch (const DomainError& error) {
            throw DataError({csv.path()}, fmt::format("not a fan table: {}", without_function_names(error.what())));
        }
        return table;
    }

    static FanDescription fan_description(const TomlTable& fan) {
        FanDescription description;
        if (fan.has("speed_tap")) description.speed_tap = fan.required_text("speed_tap");
        static const std::vector<std::string> motors = {"induction", "electronically commutated, constant torque",
                                                        "electronically commutated, constant airflow"};
        if (const auto motor = fan.choice("motor", motors)) description.motor = static_cast<MotorKind>(*motor);
        return description;
    }

    void read_stand_fan(const TomlTable& table, StandInput& stand) const {
        if (const auto fan = method_part(table, "fan", StandFlowMethod::fan_table, stand.flow_method)) {
            stand.fan = fan_table(*fan, FanControl::fixed_speed);
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
    static Instrument read_instrument(const TomlTable& stand, const char* key, const char* name) {
        const auto table = stand.table(key, fmt::format("[stand.{}]", key), study_keys(fmt::format("stand.{}", key)));
        if (!table) return {};
        InstrumentData<Quantity> data;
        data.name = name;
        const double gain = table->fraction("gain").value_or(0.0);
        if (!(gain >= 0.0 && gain < 1.0)) table->refuse_value("gain", "is out of range", "0 to below 100 %", percent_hint);
        data.gain_uncertainty = gain / normal_95;
        const auto not_negative = [&](const char* part) {
            const auto value = table->quantity<Quantity>(part).value_or(Quantity{});
            if (value.value() < 0.0) {
                table->refuse_value(part, "is negative", std::string("0 ") + QuantityName<Quantity>::si + " or more");
            }
            return value.value();
        };
        data.zero_uncertainty = Quantity::from_value(not_negative("zero") / normal_95);
        data.resolution = Quantity::from_value(not_negative("resolution"));
        return instrument(data);
    }

    // ---- [[filter]] ----
    // Names are keys: each is used once, and without line ends or commas that tables could not show.
    template <class Entry>
    static std::string unique_name(const TomlTable& table, const std::vector<Entry>& others, const char* what) {
        const std::string name = table.required_text("name");
        if (name.size() > 120 || std::any_of(name.begin(), name.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; })) {
            table.refuse("name", "a name is one line of at most 120 characters");
        }
        for (const Entry& other : others) {
            if (other.name == name) table.refuse("name", fmt::format("two {}s are named '{}'", what, name), "names tell them apart: change one");
        }
        return name;
    }

    static std::optional<Uncertain<Money>> money(const TomlTable& table, std::string_view key, const std::string& input_name) {
        const auto stated = table.stated_number(key);
        if (!stated) return std::nullopt;
        if (!(stated->value >= 0.0)) table.refuse_value(key, "is negative", "0 or more");
        table.refuse_wide(key, stated->value, stated->half_width);
        const Money value = Money::from_value(stated->value);
        if (stated->half_width == 0.0) return Uncertain<Money>(value);
        return uncertain(value, Money::from_value(stated->half_width / normal_95), input_name);
    }

    void read_filters(const TomlTable& root, StudyInput& study) {
        for (const TomlTable& table : root.tables("filter", "[[filter]]", study_keys("filter"))) {
            FilterInput filter;
            filter.name = unique_name(table, study.filters, "filter");
            places_.add({"filter '" + filter.name + "'"}, table.value_place("name"));
            if (table.has("price")) price_places_[filter.name] = table.value_place("price");
            read_face_and_medium(table, filter);
            filter.price = money(table, "price", "price of " + filter.name);
            filter.claimed_life = table.between<Time>("claimed_life", "1 h", "50 years");
            if (table.has("pressure")) {
                const CsvTable csv = table_file(table, "pressure", pressure_header(method_));
                filter.pressure_readings = bench_readings(csv, method_);
                add_reading_places(csv, "filter '" + filter.name + "'");
                if (study.stand) check_traverse_columns(csv, *study.stand, filter.pressure_readings);
            }
            if (table.has("counts")) {
                const CsvTable csv = table_file(table, "counts", counts_header());
                filter.counts = particle_counts(csv, correlation_, study.notes);
                filter.counts_origin = csv.path();
                places_.add({"filter '" + filter.name + "'", "particle counts: "}, {csv.path()});
            }
            if (table.has("discharged_counts")) {
                const CsvTable csv = table_file(table, "discharged_counts", counts_header());
                filter.conditioned_counts = particle_counts(csv, correlation_, study.notes);
                places_.add({"filter '" + filter.name + "'", "discharged particle counts: "}, {csv.path()});
            }
            filter.counts_face_velocity = table.between<Velocity>("counts_face_velocity", "0.01 m/s", "50 m/s");
            if (table.has("loading")) {
                const CsvTable csv = table_file(table, "loading", loading_header(method_));
                filter.loading_readings = loading_readings(csv, method_);
                add_reading_places(csv, "filter '" + filter.name + "'");
                places_.add({"filter '" + filter.name + "'", "loading readings: "},
                            csv.place(csv.row_count() - 1, csv.column("pressure")));
                if (study.stand && !filter.loading_readings.empty()) {
                    check_traverse_columns(csv, *study.stand, {filter.loading_readings.front().reading});
                }
            }
            study.filters.push_back(std::move(filter));
        }
    }

    static void read_face_and_medium(const TomlTable& table, FilterInput& filter) {
        filter.width = table.between<Length>("width", "1 cm", "10 m");
        filter.height = table.between<Length>("height", "1 cm", "10 m");
        if (filter.width.has_value() != filter.height.has_value()) {
            table.refuse_missing(filter.width ? "height" : "width", "\"24 in\"");
        }
        filter.depth = table.between<Length>("depth", "1 mm", "3 m");
        filter.free_area = table.positive<Area>("free_area");
        const double face = filter.width ? filter.width->value() * filter.height->value() : 0.0;   // 0: not known
        if (face > 0.0 && filter.free_area && filter.free_area->value() > 1.001 * face) {
            table.refuse_value("free_area", "is larger than width times height", fmt::format("up to {:.4g} m2", face));
        }
        if (table.has("pleat_count")) filter.pleat_count = counted(table, "pleat_count", 1);
        filter.media_area = table.positive<Area>("media_area");
        if (!filter.media_area || !(face > 0.0 || filter.free_area)) return;
        // A frame covers part of the nominal face, of a small filter a third.
        const double open = filter.free_area ? 0.99 * filter.free_area->value() : 0.65 * face;
        if (filter.media_area->value() < open || filter.media_area->value() > 500.0 * open) {
            table.refuse_value(
                "media_area",
                filter.media_area->value() < open ? "is less than the face that the medium covers" : "is too large to be meant",
                fmt::format("from {:.4g} m2 ({}) to {:.4g} m2", open,
                            filter.free_area ? "the free area" : "65 % of width times height, as a frame covers the rest",
                            500.0 * open),
                "write the area of all the medium, unfolded, one side of it; or the open face as free_area");
        }
    }

    // ---- [[candidate]] ----
    void read_candidates(const TomlTable& root, StudyInput& study) {
        std::vector<std::string> filters;
        for (const FilterInput& filter : study.filters) filters.push_back(filter.name);
        for (const TomlTable& table : root.tables("candidate", "[[candidate]]", study_keys("candidate"))) {
            CandidateInput candidate;
            candidate.name = unique_name(table, study.candidates, "candidate");
            const std::string words = "candidate '" + candidate.name + "'";
            places_.add({words}, table.value_place("name"));
            const auto stages = table.tables("stages", "stages of '" + candidate.name + "'", study_keys("candidate.stages"));
            if (!table.has("stages")) table.refuse_missing("stages", "[{filter = \"...\"}]");
            if (stages.empty()) table.refuse("stages", "a candidate has at least one stage", "stages = [{filter = \"...\"}]");
            for (const TomlTable& part : stages) {
                StageInput stage;
                stage.filter = part.required_text("filter");
                if (std::find(filters.begin(), filters.end(), stage.filter) == filters.end()) {
                    part.refuse("filter", fmt::format("there is no filter named '{}'", shown_text(stage.filter)),
                                name_hint(stage.filter, filters, "filters"));
                }
                stage.final_resistance = part.positive<Pressure>("final_resistance");
                stage.greatest_age = part.positive<Time>("greatest_age");
                if (stage.final_resistance) {
                    places_.add({words, "final resistance", fmt::format("stage {}", candidate.stages.size() + 1)},
                                part.value_place("final_resistance"));
                }
                candidate.stages.push_back(std::move(stage));
            }
            candidate.bypass_gap = table.positive<Area>("bypass_gap");
            refuse_wide_gap(table, candidate, study);
            study.candidates.push_back(std::move(candidate));
        }
        if (!root.has("candidate")) {   // every filter on its own
            for (const FilterInput& filter : study.filters) {
                study.candidates.push_back({filter.name, {{filter.name, std::nullopt, std::nullopt}}, std::nullopt});
            }
        }
    }

    static void refuse_wide_gap(const TomlTable& table, const CandidateInput& candidate, const StudyInput& study) {
        if (!candidate.bypass_gap) return;
        for (const StageInput& stage : candidate.stages) {
            for (const FilterInput& filter : study.filters) {
                if (filter.name != stage.filter || !(filter.width || filter.free_area)) continue;
                const double face = filter.width ? filter.width->value() * filter.height->value() : filter.free_area->value();
                if (candidate.bypass_gap->value() <= face) continue;
                table.refuse_value("bypass_gap", fmt::format("is larger than the face of '{}'", filter.name),
                                   fmt::format("up to {:.4g} m2, that face", face),
                                   "the gap is what air finds open beside the filter: its length times its width");
            }
        }
    }

    // ---- [[system]] ----
    static Uncertain<double> factor_known_within(const TomlTable& table, std::string_view key, const std::string& name) {
        const auto within = table.fraction(key);
        if (!within) return Uncertain<double>(1.0);
        if (!(*within >= 0.0 && *within < 1.0))
            table.refuse_value(key, "is out of range", "0 to below 100 %", percent_hint);
        if (*within == 0.0) return Uncertain<double>(1.0);
        return uncertain(1.0, *within / normal_95, name);
    }

    static double exponent(const TomlTable& table, double otherwise) {
        const double value = table.number("exponent").value_or(otherwise);
        if (!(value >= 1.0 && value <= 3.0)) {
            table.refuse_value("exponent", "is out of range", "1 to 3", "ducts lie between 1.8 and 2, coils near 1.6");
        }
        return value;
    }

    SystemCurve read_ducts(const TomlTable& table, SystemInput& system) const {
        SystemCurve curve;
        if (const auto ducts = table.table("ducts", "[system.ducts]", study_keys("system.ducts"))) {
            if (ducts->has("design_flow") || ducts->has("design_pressure")) {
                curve = system_from_design_point({.flow = ducts->required_positive<VolumeFlow>("design_flow"),
                                                  .pressure = ducts->required_positive<Pressure>("design_pressure"),
                                                  .exponent = exponent(*ducts, 2.0),
                                                  .air = stated_air_or_standard(*ducts, "stated_air")});
            } else if (ducts->has("exponent") || ducts->has("stated_air")) {
                ducts->refuse_missing("design_flow", "\"1600 cfm\"");
            }
            curve.constant_pressure = ducts->quantity<Pressure>("constant_pressure").value_or(Pressure{});
            system.duct_pressure_factor = factor_known_within(*ducts, "known_within", "duct resistance of " + system.name);
        }
        for (const TomlTable& part : table.tables("segment", "[[system.segment]]", study_keys("system.segment"))) {
            DuctSegment segment;
            segment.length = part.required_quantity<Length>("length");
            if (segment.length.value() < 0.0) part.refuse_value("length", "is negative", "0 m or more");
            if (part.has("diameter")) {
                if (part.has("width") || part.has("height")) {
                    part.refuse("diameter", "a duct has a diameter, or a width and a height, not both");
                }
                segment.diameter = part.required_positive<Length>("diameter");
            } else {
                segment.width = part.required_positive<Length>("width");
                segment.height = part.required_positive<Length>("height");
            }
            if (const auto roughness = part.quantity<Length>("roughness")) {
                if (roughness->value() < 0.0) part.refuse_value("roughness", "is negative", "0 m or more");
                segment.roughness = *roughness;
            }
            segment.loss_coefficient = part.number("loss_coefficient").value_or(0.0);
            try {
                pressure_drop(segment, VolumeFlow::from_value(0.1), standard_air_);
            } catch (const Error& error) {
                throw DataError(part.place(), without_function_names(error.what()));
            }
            curve.ducts.push_back(segment);
        }
        for (const TomlTable& part : table.tables("part", "[[system.part]]", study_keys("system.part"))) {
            PowerLawPart law;
            law.reference_flow = part.required_positive<VolumeFlow>("flow");
            law.reference_pressure = part.required_quantity<Pressure>("pressure");
            if (law.reference_pressure.value() < 0.0) part.refuse_value("pressure", "is negative", "0 Pa or more");
            law.exponent = exponent(part, 2.0);
            law.stated_air = stated_air_or_standard(part, "stated_air");
            curve.power_laws.push_back(law);
        }
        return curve;
    }

    void read_systems(const TomlTable& root, StudyInput& study) {
        std::vector<std::string> candidates;
        for (const CandidateInput& candidate : study.candidates) candidates.push_back(candidate.name);
        for (const TomlTable& table : root.tables("system", "[[system]]", study_keys("system"))) {
            SystemInput system;
            system.name = unique_name(table, study.systems, "system");
            places_.add({"system '" + system.name + "'"}, table.value_place("name"));
            static const std::vector<std::string> controls = {"fixed speed", "holds airflow"};
            system.control = static_cast<FanControl>(table.choice("control", controls).value_or(0));
            if (const auto fan = table.table("fan", "[system.fan]", study_keys("system.fan"))) {
                system.fan = fan_table(*fan, system.control);
                system.fan_description = fan_description(*fan);
                if (system.fan_description.motor == MotorKind::constant_airflow && system.control == FanControl::fixed_speed) {
                    fan->refuse("motor", "a motor of constant airflow contradicts [[system]] control = \"fixed speed\"",
                                "set control = \"holds airflow\"");
                }
                system.fan_pressure_factor = factor_known_within(*fan, "pressure_known_within", "fan pressure of " + system.name);
                system.fan_power_factor = factor_known_within(*fan, "power_known_within", "fan power of " + system.name);
            }
            system.ducts = read_ducts(table, system);
            system.ducts_known = !system.ducts.power_laws.empty() || !system.ducts.ducts.empty() ||
                                 system.ducts.constant_pressure.value() != 0.0;
            system.air = optional_air(table, "air", "[system] air");
            read_running(table, system);
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

    static std::optional<RoomInput> read_room(const TomlTable& system, const std::string& name) {
        const auto table = system.table("room", "[system.room]", study_keys("system.room"));
        if (!table) return std::nullopt;
        RoomInput room;
        room.volume = table->required_positive<Volume>("volume");
        table->between<Volume>("volume", "1 m3", "1000000 m3");
        room.outdoor_air = table->positive<VolumeFlow>("outdoor_air");
        room.infiltration = table->positive<Rate>("infiltration");
        table->between<Rate>("infiltration", "0.001 1/h", "100 1/h", "houses have 0.1 to 1 1/h, through their cracks alone");
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
        return room;
    }

    static void read_running(const TomlTable& table, SystemInput& system) {
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
            if (!(value >= 1e-3 && value <= 1e3)) table.refuse_value("dust_equivalence", "is out of range", "0.001 to 1000");
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

    // ---- [prices] ----
    static void read_prices(const TomlTable& root, StudyInput& study) {
        const auto table = root.table("prices", "[prices]", study_keys("prices"));
        if (!table) return;
        PricesInput& prices = study.prices;
        if (const auto currency = table->text("currency")) prices.currency = *currency;
        if (const auto stated = table->stated_number("electricity_per_kWh")) {
            if (!(stated->value >= 1e-5 && stated->value <= 1e5)) {
                table->refuse_value("electricity_per_kWh", stated->value > 0.0 ? "is out of range" : "is not above 0",
                                    "0.00001 to 100000 of the currency a kWh", "leave it out if it is not known");
            }
            table->refuse_wide("electricity_per_kWh", stated->value, stated->half_width);
            const EnergyPrice price = stated->value * units::money_per_kWh;
            prices.electricity = stated->half_width == 0.0
                                     ? Uncertain<EnergyPrice>(price)
                                     : uncertain(price, stated->half_width / normal_95 * units::money_per_kWh, "price of electricity");
        }
        prices.labour_per_change = money(*table, "labour_per_change", "labour per change");
        prices.disposal_per_filter = money(*table, "disposal_per_filter", "disposal of a filter");
        const auto rate = [&](const char* key) {
            const double value = table->fraction(key).value_or(0.0);
            if (!(value > -0.5 && value < 1.0)) {
                table->refuse_value(key, "is out of range", "-50 to 100 % a year", "4 % is written 0.04 or \"4 %\"");
            }
            return value;
        };
        prices.discount_rate = rate("discount_rate");
        prices.electricity_escalation = rate("electricity_escalation");
        prices.horizon = table->between<Time>("horizon", "1 day", "200 years");
    }

    // No currency makes a kWh cost as much as many filters: cents and dollars were mixed.
    static void check_electricity_price(const TomlTable& root, StudyInput& study) {
        if (!study.prices.electricity) return;
        double dearest = 0.0;
        for (const FilterInput& filter : study.filters) {
            if (filter.price) dearest = std::max(dearest, filter.price->value.value());
        }
        const double kWh = study.prices.electricity->value / units::money_per_kWh;
        if (!(dearest > 0.0) || kWh <= 0.3 * dearest) return;
        const std::string hint = "is it in cents, and the price of filters is not? Both are in the currency of the study";
        if (kWh <= 3.0 * dearest) {
            study.notes.push_back(fmt::format("a kWh costs {:g}, the dearest filter no more than {:g}: {}", kWh, dearest, hint));
            return;
        }
        root.table("prices", "[prices]", study_keys("prices"))
            ->refuse_value("electricity_per_kWh", "is more than three times the price of the dearest filter",
                           fmt::format("up to {:g}, three times that price", 3.0 * dearest), hint);
    }

    // Without a word on where to compare, at usual face velocities; filters without a face are compared at flows, which
    // the study chooses from the readings.
    void choose_comparison(StudyInput& study) const {
        if (!study.comparison_velocities.empty() || !study.comparison_flows.empty()) return;
        const auto has_face = [](const FilterInput& f) { return f.width || f.free_area; };
        if (!std::any_of(study.filters.begin(), study.filters.end(), has_face)) return;
        study.comparison_velocities = {Velocity::from_value(1.5), Velocity::from_value(2.5)};
        if (method_ == StandFlowMethod::not_measured) return;
        study.notes.push_back("no flow or face velocity to compare pressures at is stated: compared at face velocities of "
                              "1.5 and 2.5 m/s");
    }

    // Where a change costs nothing there is no interval of least cost.
    void refuse_free_changes(const StudyInput& study) const {
        const PricesInput& prices = study.prices;
        if (!prices.electricity) return;
        const double each = prices.labour_per_change ? prices.labour_per_change->value.value() : 0.0;
        const double disposal = prices.disposal_per_filter ? prices.disposal_per_filter->value.value() : 0.0;
        if (each + disposal > 0.0) return;
        for (const CandidateInput& candidate : study.candidates) {
            double sum = 0.0;
            bool known = true;
            for (const StageInput& stage : candidate.stages) {
                for (const FilterInput& filter : study.filters) {
                    if (filter.name != stage.filter) continue;
                    known = known && filter.price.has_value();
                    sum += filter.price ? filter.price->value.value() : 0.0;
                }
            }
            if (!known || sum > 0.0) continue;
            throw DataError(
                price_places_.at(candidate.stages.front().filter),
                fmt::format("a change of '{}' would cost nothing: price, labour and disposal are 0 or not stated",
                            candidate.name),
                "write what the filter costs, or labour_per_change in [prices]; leave price out if it is not known");
        }
    }

    std::string path_;
    const FileSource& files_;
    StudyPlaces places_;
    std::map<std::string, SourcePlace> price_places_;
    AirState standard_air_{};
    StandFlowMethod method_ = StandFlowMethod::not_measured;
    std::vector<SizeRangeCounts> correlation_;
};

}   // namespace

void StudyPlaces::add(std::vector<std::string> words, SourcePlace place) {
    entries_.push_back({std::move(words), std::move(place)});
}

SourcePlace StudyPlaces::place_of(std::string_view message, const std::string& file) const {
    const Entry* best = nullptr;
    std::size_t most = 0, last = 0;
    for (const Entry& entry : entries_) {
        std::size_t at = 0;   // of the last of its words: messages name the larger thing first
        bool all = true;
        for (const std::string& words : entry.words) {
            const std::size_t found = message.find(words);
            all = all && found != std::string_view::npos;
            if (all) at = std::max(at, found);
        }
        if (!all || entry.words.size() < most || (entry.words.size() == most && best != nullptr && at < last)) continue;
        best = &entry;
        most = entry.words.size();
        last = at;
    }
    return best != nullptr ? best->place : SourcePlace{file};
}

StudyFile read_study_file(const std::string& path, const FileSource& files) { return StudyReader(path, files).read(); }

StudyFile read_study_file(const std::string& path) { return read_study_file(path, DiskFiles()); }

StudyInput read_study(const std::string& path, const FileSource& files) { return read_study_file(path, files).study; }

StudyInput read_study(const std::string& path) { return read_study(path, DiskFiles()); }

const std::vector<std::string>& study_keys(std::string_view table) { return all_keys().at(std::string(table)); }

std::vector<std::string> study_tables() {
    std::vector<std::string> names;
    for (const auto& [name, keys] : all_keys()) names.push_back(name);
    return names;
}

}   // namespace choose_filter
