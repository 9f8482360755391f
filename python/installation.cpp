// SPDX-License-Identifier: BSL-1.0
// A filter installation from arguments of Python.

#include "installation.hpp"

namespace filterflow_python {

using namespace filterflow;

namespace {

Fan fan_of(const Place& place, const py::object& given) {
    if (py::isinstance<FanCurve>(given)) return given.cast<FanCurve>();
    if (py::isinstance<FlowHoldingFan>(given)) return given.cast<FlowHoldingFan>();
    throw_type(place, given, "FanCurve or FlowHoldingFan");
}

ElementCurve curve_of(const Place& place, const py::object& given) {
    if (py::isinstance<ElementFit>(given)) return given.cast<ElementFit>().curve;
    if (py::isinstance<ElementCurve>(given)) return given.cast<ElementCurve>();
    throw_type(place, given, "ElementFit or ElementCurve");
}

}   // namespace

FilterStage filter_stage_of(const py::object& clean, const LoadingLaw& law, const py::object& area,
                            const py::object& efficiency, const py::object& efficiency_gain,
                            const py::object& gain_scale, const py::object& gap_area,
                            const py::object& final_resistance, const py::object& greatest_age,
                            const py::object& greatest_known) {
    constexpr auto where = "filter_stage";
    FilterStage stage;
    stage.clean = curve_of({where, "clean"}, clean);
    stage.law = law;
    stage.area = one<Area>({where, "area"}, area);
    stage.efficiency = {.clean = one<double>({where, "efficiency"}, efficiency),
                        .gain = one<double>({where, "efficiency_gain"}, efficiency_gain),
                        .gain_scale = one<MassPerArea>({where, "gain_scale"}, gain_scale)};
    stage.gap_area = one_or_zero<Area>({where, "gap_area"}, gap_area);
    stage.final_resistance = one_or_none<Pressure>({where, "final_resistance"}, final_resistance);
    stage.greatest_age = one_or_none<Time>({where, "greatest_age"}, greatest_age);
    stage.greatest_known = one_or_none<MassPerArea>({where, "greatest_known"}, greatest_known);
    return stage;
}

FilterLifeInput installation_of(const py::object& fan, const SystemCurve& ducts, const std::vector<FilterStage>& stages,
                                const py::object& dust_concentration, double dust_equivalence, const AirState& air,
                                const py::object& horizon, double running_fraction, const py::object& least_airflow,
                                const py::object& greatest_external_static_pressure, const py::object& greatest_power) {
    constexpr auto where = "installation";
    FilterLifeInput input{.fan = fan_of({where, "fan"}, fan)};
    input.ducts = ducts;
    input.stages = stages;
    input.dust = {.concentration = one<MassConcentration>({where, "dust_concentration"}, dust_concentration),
                  .equivalence = dust_equivalence};
    input.running_fraction = running_fraction;
    input.air = air;
    input.limits = {.least_airflow = one_or_none<VolumeFlow>({where, "least_airflow"}, least_airflow),
                    .greatest_external_static_pressure = one_or_none<Pressure>(
                        {where, "greatest_external_static_pressure"}, greatest_external_static_pressure),
                    .greatest_power = one_or_none<Power>({where, "greatest_power"}, greatest_power)};
    input.horizon = one<Time>({where, "horizon"}, horizon);
    return input;
}

}   // namespace filterflow_python
