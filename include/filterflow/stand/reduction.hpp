// SPDX-License-Identifier: BSL-1.0
#pragma once

// From what was read on a test stand to readings of the filter alone: the flow by whichever way the stand knows
// it, brought to the air at the filter and freed of leakage; the pressure freed of the stand's own at that flow.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/stand/flow_element.hpp>
#include <filterflow/stand/instrument.hpp>
#include <filterflow/stand/leakage.hpp>
#include <filterflow/stand/stand_fan.hpp>
#include <filterflow/stand/tare.hpp>
#include <filterflow/stand/traverse.hpp>

namespace filterflow {

/// The flow is read directly, by the stand's flow instrument.
struct DirectFlow {};
/// How a stand knows its flow.
using StandFlow = std::variant<DirectFlow, FlowElement, TraverseSection, StandFan>;

/// One reading on a stand: the pressure across the filter's place and whatever tells the flow.
struct StandReading {
    Pressure pressure{};                               ///< static, across the filter's place, as displayed
    std::optional<VolumeFlow> flow{};                  ///< DirectFlow: as displayed
    std::optional<Pressure> element_pressure{};        ///< FlowElement: its differential pressure, as displayed
    std::vector<Velocity> velocities{};                ///< TraverseSection: at its positions, as displayed, or
    std::vector<Pressure> velocity_pressures{};        ///< TraverseSection: velocity pressures there
    std::optional<Pressure> fan_pressure{};            ///< StandFan: the pressure that the fan works against
    std::optional<Pressure> leakage_pressure{};        ///< of the leaking part to the room, magnitude; none: that of an
                                                       ///< inlet nozzle before the filter, otherwise `pressure`
    AirState air{};                                    ///< at the filter
    std::optional<AirState> flow_air{};                ///< where the flow is measured; none: as at the filter
    std::string origin{};                              ///< where it was read, for messages
};

/// A test stand. Copies share its instruments and their errors.
struct TestStand {
    StandFlow flow;                                    ///< how the flow is known
    Instrument manometer{};                            ///< reads the filter's, fan's and leaking part's pressure
    Instrument flow_instrument{};                      ///< reads the flow, the element's pressure or the traverse
    std::optional<SealLeakage> leakage{};              ///< none: taken as tight, and a flag says so
};

/// A reading as read and as reduced, for tables and plots.
struct ReducedReading {
    Uncertain<Pressure> raw_pressure;                  ///< as displayed, with the manometer's uncertainty
    std::optional<Uncertain<VolumeFlow>> flow;         ///< through the filter, in the air at the filter; none: refused
    std::optional<Uncertain<Pressure>> net_pressure;   ///< of the filter alone; without a tare the raw one
    std::vector<std::string> flags;                    ///< what weakens it, or why it has no flow, in words
    std::string origin;                                ///< as in the StandReading
};

/// Readings of a stand, reduced.
struct StandReduction {
    std::vector<ReducedReading> readings;              ///< in the order of the input; shape (n)
    std::vector<ElementReading> element_readings;      ///< those with a flow, for fit_element
    std::vector<std::string> flags;                    ///< of the whole set, each once, with the range of its numbers
};

namespace detail {

struct MeasuredFlow {
    std::optional<Uncertain<VolumeFlow>> flow;
    std::vector<std::string> flags;
    std::optional<Uncertain<Pressure>> inlet_suction{};   // behind an inlet nozzle
};

template <class Q>
std::vector<Uncertain<Q>> readings_of(const Instrument& source, const std::vector<Q>& displayed) {
    std::vector<Uncertain<Q>> result;
    result.reserve(displayed.size());
    for (const Q& x : displayed) result.push_back(reading(source, x));
    return result;
}

template <Deferred...>
[[noreturn]] inline void throw_missing_reading(const char* missing, const char* method) {
    throw DomainError(std::string("reduce_filter_readings: ") + missing +
                      " not given; required by a stand whose flow is " + method);
}

template <Deferred...>
inline MeasuredFlow measured_flow(const StandReading& r, const TestStand& stand, const AirState& air) {
    const auto of = [&](const auto& method) -> MeasuredFlow {
        using Method = std::remove_cvref_t<decltype(method)>;
        if constexpr (std::is_same_v<Method, DirectFlow>) {
            if (!r.flow) throw_missing_reading("flow", "read directly");
            require_positive("reduce_filter_readings", "flow", r.flow->value(), "m3/s");
            return {reading(stand.flow_instrument, *r.flow), {}};
        } else if constexpr (std::is_same_v<Method, FlowElement>) {
            if (!r.element_pressure) throw_missing_reading("differential pressure", "measured by a flow element");
            const Uncertain<Pressure> differential = reading(stand.flow_instrument, *r.element_pressure);
            ElementFlow flow = element_flow(method, differential, air);
            MeasuredFlow measured{std::move(flow.flow), std::move(flow.flags)};
            if (!method.pipe_diameter) measured.inlet_suction = differential;
            return measured;
        } else if constexpr (std::is_same_v<Method, TraverseSection>) {
            if (r.velocities.empty() == r.velocity_pressures.empty()) {
                throw_missing_reading("either velocities or velocity pressures", "traversed");
            }
            TraverseFlow flow =
                r.velocities.empty()
                    ? traverse_flow(method, readings_of(stand.flow_instrument, r.velocity_pressures), air)
                    : traverse_flow(method, readings_of(stand.flow_instrument, r.velocities));
            return {std::move(flow.flow), std::move(flow.flags)};
        } else {
            if (!r.fan_pressure) throw_missing_reading("fan pressure", "inferred from the fan's table");
            InferredFlow flow = flow_from_fan_table(method, reading(stand.manometer, *r.fan_pressure), air);
            return {std::move(flow.flow), std::move(flow.flags)};
        }
    };
    return std::visit(of, stand.flow);
}

template <Deferred...>
inline void add_once(std::vector<std::string>& to, const std::vector<std::string>& sentences) {
    for (const std::string& s : sentences) {
        if (std::find(to.begin(), to.end(), s) == to.end()) to.push_back(s);
    }
}

/// One reading; the tare may be none.
template <Deferred...>
inline ReducedReading reduce(const StandReading& r, const TestStand& stand, const ElementFit* tare) {
    constexpr auto where = "reduce_filter_readings";
    check_air(r.air, where);
    const AirState& flow_air = r.flow_air ? *r.flow_air : r.air;
    ReducedReading result;
    result.origin = r.origin;
    result.raw_pressure = reading(stand.manometer, r.pressure);
    MeasuredFlow measured = measured_flow(r, stand, flow_air);
    result.flags = std::move(measured.flags);
    if (!measured.flow) return result;
    check_air(flow_air, where);
    // The same mass passes the filter and the flow element, unless it leaks.
    Uncertain<VolumeFlow> flow = scaled(*measured.flow, flow_air.density.value() / r.air.density.value());
    if (stand.leakage) {
        const bool behind_inlet =
            measured.inlet_suction && stand.leakage->effect == LeakageEffect::filter_exceeds_measured;
        const Uncertain<Pressure> to_room = r.leakage_pressure ? reading(stand.manometer, *r.leakage_pressure)
                                            : behind_inlet     ? *measured.inlet_suction
                                                               : result.raw_pressure;
        flow = flow_without_leakage(*stand.leakage, flow, to_room);
    }
    const ElementReading raw{flow, result.raw_pressure, r.air};
    if (tare) {
        result.net_pressure = detail::net_reading(raw, *tare, where, "").drop;
        add_once(result.flags, tare_flags(raw, *tare));
    } else {
        result.net_pressure = result.raw_pressure;
    }
    result.flow = std::move(flow);
    return result;
}

template <Deferred...>
inline StandReduction reduce_all(std::span<const StandReading> readings, const TestStand& stand,
                                 const ElementFit* tare) {
    constexpr auto where = "reduce_filter_readings";
    if (readings.empty()) throw_domain_error(where, "number of readings", 0.0, "", "at least one");
    StandReduction result;
    if (!stand.leakage) result.flags.push_back("no leak test: the stand is taken as tight");
    for (std::size_t i = 0; i < readings.size(); ++i) {
        const std::string name = "reading " + std::to_string(i + 1) +
                                 (readings[i].origin.empty() ? "" : " (" + readings[i].origin + ")");
        try {
            result.readings.push_back(reduce(readings[i], stand, tare));
        } catch (const DomainError& error) {
            throw DomainError(name + ": " + error.what());
        }
        const ReducedReading& reduced = result.readings.back();
        add_once(result.flags, reduced.flags);
        if (reduced.flow) result.element_readings.push_back({*reduced.flow, *reduced.net_pressure, readings[i].air});
    }
    result.flags = merged_sentences(result.flags);
    return result;
}

}   // namespace detail

/// Readings of a stand without a tare: those of the empty stand, for fit_tare, or of a stand whose own resistance
/// between the taps is nothing.
///
/// Equation: Q = Q_measured rho_m/rho -+ leakage; the pressure as read
/// Symbols:  rho_m density where the flow is measured, rho at the filter
/// Validity: as the flow method's. A reading whose flow is not known (see flow_from_fan_table) keeps its pressure,
///           has no flow and a flag that says why
/// @param  readings  as displayed; shape (n), n >= 1
/// @param  stand  flow method, instruments, leakage
/// @return reduced readings, those with a flow as ElementReading, and flags
/// @throws DomainError that names the reading, if it lacks what the flow method needs or is not physical
/// @source balance of mass; test: stand/reduction_test.cpp
template <Deferred...>
[[nodiscard]] inline StandReduction reduce_filter_readings(std::span<const StandReading> readings,
                                                           const TestStand& stand) {
    return detail::reduce_all(readings, stand, nullptr);
}

/// Readings of a filter in a stand, freed of the stand's own resistance at each reading's flow.
///
/// Equation: as reduce_filter_readings without tare; dp_net = dp - tare(Q) in the air of the reading
/// Symbols:  as there
/// Validity: as there and as net_of_tare
/// @param  readings  as displayed; shape (n), n >= 1
/// @param  stand  flow method, instruments, leakage
/// @param  tare  of the empty stand between the same taps; what two filters share of it cancels in their difference
/// @return reduced readings, those with a flow as ElementReading (give them to fit_element with the air to which
///         they shall be corrected), and flags
/// @throws DomainError as reduce_filter_readings without tare and as net_of_tare
/// @source as net_of_tare; test: stand/reduction_test.cpp
template <Deferred...>
[[nodiscard]] inline StandReduction reduce_filter_readings(std::span<const StandReading> readings,
                                                           const TestStand& stand, const ElementFit& tare) {
    return detail::reduce_all(readings, stand, &tare);
}

}   // namespace filterflow
