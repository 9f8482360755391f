// SPDX-License-Identifier: BSL-1.0
#pragma once

// Why a fan cannot serve a system, in numbers: where its table ends, what the system needs there, what the fan gives.
// Not public.

#include <string>
#include <variant>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

/// "; the fan table goes from ... to ...; at its least flow, ..., ducts and filters need ..., the fan gives ...". The
/// system is that of the input with its filters.
template <Deferred...>
inline std::string table_end_words(const Fan& fan, const SystemCurve& system, const FilterLifeInput& input,
                                   OperatingStatus status) {
    if (status == OperatingStatus::touching_only) return "";
    const bool at_greatest = status == OperatingStatus::beyond_table;
    VolumeFlow least, greatest;
    Pressure given;
    if (const auto* fixed = std::get_if<FanCurve>(&fan)) {
        least = fixed->least_flow();
        greatest = fixed->greatest_flow();
        given = input.fan_scale.pressure_factor * fan_pressure(*fixed, at_greatest ? greatest : least, input.air);
    } else {
        const auto& held = std::get<FlowHoldingFan>(fan);
        const auto flow_at = [&](Pressure p) { return VolumeFlow::from_value(held.flow_curve().value(p.value())); };
        least = flow_at(held.greatest_pressure());
        greatest = flow_at(held.least_pressure());
        given = input.fan_scale.pressure_factor * fan_density_ratio(held.stated_air(), input.air) *
                (at_greatest ? held.least_pressure() : held.greatest_pressure());
    }
    const VolumeFlow at = at_greatest ? greatest : least;
    return "; the fan table goes from " + flow_words(least) + " to " + flow_words(greatest) + ", and at its " +
           (at_greatest ? "greatest" : "least") + " flow ducts and filters need " +
           pressure_words(pressure_drop(system, at, input.air)) + ", the fan gives " + pressure_words(given);
}

}   // namespace filterflow::detail
