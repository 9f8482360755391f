// SPDX-License-Identifier: BSL-1.0
#pragma once

// A filter installation from arguments of Python.

#include <string>
#include <vector>

#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/resistance/element_fit.hpp>

#include "quantity.hpp"

namespace filterflow_python {

filterflow::FilterStage filter_stage_of(const py::object& clean, const filterflow::LoadingLaw& law,
                                        const py::object& area, const py::object& efficiency,
                                        const py::object& efficiency_gain, const py::object& gain_scale,
                                        const py::object& gap_area, const py::object& final_resistance,
                                        const py::object& greatest_age, const py::object& greatest_known);

filterflow::FilterLifeInput installation_of(const py::object& fan, const filterflow::SystemCurve& ducts,
                                            const std::vector<filterflow::FilterStage>& stages,
                                            const py::object& dust_concentration, double dust_equivalence,
                                            const filterflow::AirState& air, const py::object& horizon,
                                            double running_fraction, const py::object& least_airflow,
                                            const py::object& greatest_external_static_pressure,
                                            const py::object& greatest_power);

}   // namespace filterflow_python
