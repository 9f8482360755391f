// SPDX-License-Identifier: BSL-1.0
// Fans, systems and operating points in the Python module.

#include "quantity.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/resistance/element_fit.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

constexpr Word<FanPressureKind> pressure_kinds[] = {{"external static", FanPressureKind::external_static},
                                                    {"static", FanPressureKind::static_pressure},
                                                    {"total", FanPressureKind::total},
                                                    {"not stated", FanPressureKind::not_stated}};

FanTable table_of(const char* where, const py::object& flow, const py::object& pressure, const py::object& power,
                  const AirState& stated_air, const std::string& kind) {
    FanTable table;
    table.kind = value_of({where, "kind"}, kind, pressure_kinds);
    table.stated_air = stated_air;
    const auto flows = column_of<VolumeFlow>({where, "flow"}, flow);
    const auto pressures = column_of<Pressure>({where, "pressure"}, pressure, flows.size());
    std::vector<Power> powers;
    if (!power.is_none()) powers = column_of<Power>({where, "power"}, power, flows.size());
    for (std::size_t i = 0; i < flows.size(); ++i) {
        table.points.push_back({flows[i], pressures[i], std::nullopt});
        if (!powers.empty()) table.points.back().power = powers[i];
    }
    return table;
}

void bind_tables(py::module_& m) {
    py::class_<FanCurve>(m, "FanCurve", "A fan at fixed speed. Made by fan_curve.")
        .def_property_readonly("least_flow", [](const FanCurve& f) { return quantity_of(f.least_flow()); })
        .def_property_readonly("greatest_flow", [](const FanCurve& f) { return quantity_of(f.greatest_flow()); })
        .def_property_readonly("falls_throughout", &FanCurve::falls_throughout,
                               "False: somewhere the pressure rises with flow, at the risk of stall and surge.");
    py::class_<FlowHoldingFan>(m, "FlowHoldingFan", "A fan whose drive holds the flow. Made by flow_holding_fan.")
        .def_property_readonly("held_flow", [](const FlowHoldingFan& f) { return quantity_of(f.held_flow()); })
        .def_property_readonly("give_up_pressure",
                               [](const FlowHoldingFan& f) { return quantity_of(f.give_up_pressure()); });
    const std::string rows =
        "flow, pressure: rows in any order, >= 0; shape (n), n >= 2.\n"
        "power: of each row, > 0; none if the table has none.\n"
        "stated_air: for which the table holds, as fan_table_air().\n"
        "kind: 'external static', 'static', 'total' or 'not stated'; the system that the fan meets "
        "has to be stated in the same kind.\n"
        "Raises DomainError if rows contradict each other or a number is out of range.";
    m.def(
        "fan_curve",
        [](const py::object& flow, const py::object& pressure, const AirState& stated_air, const py::object& power,
           const std::string& kind) {
            return fan_curve(table_of("fan_curve", flow, pressure, power, stated_air, kind));
        },
        py::arg("flow"), py::arg("pressure"), py::arg("stated_air"), py::arg("power") = py::none(),
        py::arg("kind") = "not stated", ("A fan at fixed speed from the rows of its table.\n\n" + rows).c_str());
    m.def(
        "flow_holding_fan",
        [](const py::object& flow, const py::object& pressure, const AirState& stated_air, const py::object& power,
           const std::string& kind) {
            return flow_holding_fan(table_of("flow_holding_fan", flow, pressure, power, stated_air, kind));
        },
        py::arg("flow"), py::arg("pressure"), py::arg("stated_air"), py::arg("power") = py::none(),
        py::arg("kind") = "not stated",
        ("A fan whose drive holds its flow up to a pressure, from the rows of its table.\n\n" + rows).c_str());
    m.def(
        "fan_pressure",
        [](const FanCurve& fan, const py::object& flow, const AirState& air) {
            return mapped<VolumeFlow>(array_of<VolumeFlow>({"fan_pressure", "flow"}, flow),
                                      [&](VolumeFlow q) { return fan_pressure(fan, q, air); });
        },
        py::arg("fan"), py::arg("flow"), py::arg("air"),
        "Pressures of a fan at fixed speed, of its table's kind.\n\nflow: any shape, within the table.");
    m.def(
        "fan_power",
        [](const FanCurve& fan, const py::object& flow, const AirState& air) {
            if (!fan.power_curve()) throw DomainError("fan_power: the fan's table has no power; required: powers");
            return mapped<VolumeFlow>(array_of<VolumeFlow>({"fan_power", "flow"}, flow),
                                      [&](VolumeFlow q) { return *fan_power(fan, q, air); });
        },
        py::arg("fan"), py::arg("flow"), py::arg("air"),
        "Powers of a fan at fixed speed, as its table states them.\n\nflow: any shape, within the table.");
}

/// A system and further parts behind it.
SystemCurve series(const SystemCurve& system, const py::args& parts) {
    SystemCurve whole = system;
    for (const py::handle& part : parts) {
        if (py::isinstance<ElementFit>(part)) {
            whole = in_series(whole, part.cast<ElementFit>().curve);
        } else if (py::isinstance<ElementCurve>(part)) {
            whole = in_series(whole, part.cast<ElementCurve>());
        } else if (py::isinstance<SystemCurve>(part)) {
            whole = in_series(whole, part.cast<SystemCurve>());
        } else {
            throw_type({"in_series", "part"}, part, "ElementFit, ElementCurve or SystemCurve");
        }
    }
    return whole;
}

void bind_systems(py::module_& m) {
    py::class_<SystemCurve>(m, "SystemCurve", "What a fan works against. Made by system_from_design_point, in_series.");
    m.def(
        "system_from_design_point",
        [](const py::object& flow, const py::object& pressure, const AirState& air, double exponent) {
            constexpr auto where = "system_from_design_point";
            return system_from_design_point({.flow = one<VolumeFlow>({where, "flow"}, flow),
                                             .pressure = one<Pressure>({where, "pressure"}, pressure),
                                             .exponent = exponent,
                                             .air = air});
        },
        py::arg("flow"), py::arg("pressure"), py::arg("air"), py::arg("exponent") = 2.0,
        "A system known by one point.\n\n"
        "flow: > 0. pressure: >= 0, of the kind that the fan's table states. air: of that point.\n"
        "exponent: of flow, 1 to 3; ducts with filters and coils lie between 1.5 and 2.");
    m.def("in_series", &series, py::arg("system"),
          "A system with further parts behind it: element curves, element fits, systems.");
    m.def(
        "pressure_drop",
        [](const SystemCurve& system, const py::object& flow, const AirState& air) {
            return mapped<VolumeFlow>(array_of<VolumeFlow>({"pressure_drop", "flow"}, flow),
                                      [&](VolumeFlow q) { return pressure_drop(system, q, air); });
        },
        py::arg("element"), py::arg("flow"), py::arg("air"), "Pressure drops of a system.\n\nflow: any shape, >= 0.");
}

/// Operating flows of many filters in one system.
struct OperatingFlows {
    Quantity flow;   // zero where there is none
    py::array_t<bool> found;
    std::vector<OperatingStatus> status;
};

template <class F>
OperatingFlows operating_flows_of(const F& fan, const SystemCurve& ducts, const py::object& linear,
                                  const py::object& quadratic, const AirState& air) {
    constexpr auto where = "operating_flows";
    std::vector<LinearResistance> r = column_of<LinearResistance>({where, "linear"}, linear);
    std::vector<QuadraticResistance> s = column_of<QuadraticResistance>({where, "quadratic"}, quadratic);
    const std::size_t lanes = std::max(r.size(), s.size());
    r = stretched({where, "linear"}, std::move(r), lanes);
    s = stretched({where, "quadratic"}, std::move(s), lanes);
    const auto n = static_cast<py::ssize_t>(lanes);
    OperatingFlows result{{Dimension::volume_flow, Array(n)}, py::array_t<bool>(n), {}};
    result.status.resize(lanes);
    double* flow = result.flow.si.mutable_data();
    bool* found = result.found.mutable_data();
    SystemCurve system = ducts;
    system.elements.push_back({LinearResistance{}, QuadraticResistance{}, air});
    const py::gil_scoped_release release;
    for (std::size_t i = 0; i < lanes; ++i) {
        system.elements.back().linear = r[i];
        system.elements.back().quadratic = s[i];
        const OperatingFlow point = operating_flow(fan, system, air);
        flow[i] = point.flow ? point.flow->value() : 0.0;
        found[i] = point.flow.has_value();
        result.status[i] = point.status;
    }
    return result;
}

template <class F>
void bind_operation_of(py::module_& m) {
    m.def(
        "operating_point",
        [](const F& fan, const SystemCurve& system, const AirState& air) { return operating_point(fan, system, air); },
        py::arg("fan"), py::arg("system"), py::arg("air"),
        "Every operating point of a fan and a system, inside the fan's table.\n\n"
        "fan: FanCurve or FlowHoldingFan. air: at the fan and in the system.\n"
        "A fan that never meets its system is a status, not an error.");
    m.def("operating_flows", &operating_flows_of<F>, py::arg("fan"), py::arg("ducts"), py::arg("linear"),
          py::arg("quadratic"), py::arg("air"),
          "Operating flows of many filters, one after the other in the same ducts.\n\n"
          "ducts: everything but the filter.\n"
          "linear, quadratic: of the filters in the operating air, >= 0; shape (n), or one for all.\n"
          "Returns OperatingFlows of shape (n).");
}

void bind_operation(py::module_& m) {
    py::class_<Crossing>(m, "Crossing", "A flow and pressure that fan and system share.")
        .def_property_readonly("flow", [](const Crossing& c) { return quantity_of(c.flow); })
        .def_property_readonly("pressure", [](const Crossing& c) { return quantity_of(c.pressure); })
        .def_property_readonly(
            "power", [](const Crossing& c) { return quantity_of(c.power); }, "None: not in the table.")
        .def_readonly("stable", &Crossing::stable)
        .def_readonly("fan_rises", &Crossing::fan_rises,
                      "On a rising part of the fan's curve: risk of stall and surge.");
    py::class_<OperatingPoint>(m, "OperatingPoint", "Every crossing of a fan and a system, and the chosen one.")
        .def_property_readonly("found", &OperatingPoint::found)
        .def_property_readonly(
            "status", [](const OperatingPoint& p) { return std::string(status_text(p.status)); },
            "What was found, in words.")
        .def_readonly("crossings", &OperatingPoint::crossings, "In the order of rising flow.")
        .def_property_readonly(
            "flow", [](const OperatingPoint& p) { return quantity_of(p.flow()); },
            "Of the chosen crossing: the stable one of greatest flow. Raises NoSolution without one.")
        .def_property_readonly(
            "pressure", [](const OperatingPoint& p) { return quantity_of(p.pressure()); },
            "Of the chosen crossing; raises NoSolution without one.")
        .def_property_readonly(
            "power", [](const OperatingPoint& p) { return quantity_of(p.power()); },
            "Of the chosen crossing; None if the table has none; raises NoSolution without a crossing.");
    py::class_<OperatingFlows>(m, "OperatingFlows", "Operating flows of many filters in the same ducts.")
        .def_readonly("flow", &OperatingFlows::flow, "Zero where there is none: take flow[found].")
        .def_readonly("found", &OperatingFlows::found, "NumPy array of bool.")
        .def_property_readonly(
            "status",
            [](const OperatingFlows& f) {
                std::vector<std::string> words;
                for (const OperatingStatus s : f.status) words.emplace_back(status_text(s));
                return words;
            },
            "What was found for each, in words.");
    bind_operation_of<FanCurve>(m);
    bind_operation_of<FlowHoldingFan>(m);
}

}   // namespace

void bind_fans(py::module_& m) {
    bind_tables(m);
    bind_systems(m);
    bind_operation(m);
}

}   // namespace filterflow_python
