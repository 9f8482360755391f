// SPDX-License-Identifier: BSL-1.0
#pragma once

// Pressure drops of one pleated filter at many flows: filter and air are checked once, then each flow.

#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

namespace detail {

/// A pleated filter in an air, ready for flows: what does not depend on the flow, checked and computed.
template <class T>
class PleatCurve {
  public:
    PleatCurve(const BasicPleatedFilter<T>& filter, const BasicAirState<T>& air, const char* where)
        : filter_(filter),
          case_(pleat_flow_case(filter, BasicVolumeFlow<T>{}, air, where)),
          layer_(layer_coefficients(filter.medium, air)) {
        const T fold_length = filter.pack.count * filter.pack.length.value();
        per_flow_ = T(1) / fold_length;
        case_.flow = T(1);
        const PleatParts<T> parts = pleat_parts(layer_, case_, filter, T(0));
        const T v = media_velocity(case_), inertia = layer_.inertial * v * v;
        even_ = (parts.medium - inertia) * per_flow_;
        square_ = (inertia + parts.entry + parts.exit) * per_flow_ * per_flow_;
        closed_ = case_.rectangular && is_constant(layer_.inertial, 0.0) &&
                  is_constant(filter.pack.inlet_gap_share, 0.5);
        if (closed_) {
            const T h = case_.dimensions.inlet_mouth, per_drop = T(2) * case_.depth / layer_.viscous;
            x2_ = T(24) * case_.viscosity * case_.depth * per_drop / (h * h * h);
            momentum_ = case_.density * case_.momentum_factor * per_drop * per_flow_ / (h * h);
        }
    }

    /// At each flow, which is checked.
    void pressure_drops(std::span<const BasicVolumeFlow<T>> flows, std::span<BasicPressure<T>> drops,
                        const char* where) const {
        if (closed_) {
            each(flows, drops, where, [x2 = x2_, momentum = momentum_](const T& flow) {
                return two_equal_channels(x2, T(momentum * flow)).excess;
            });
        } else {
            each(flows, drops, where, [this, where](const T& flow) { return general_excess(flow, where); });
        }
    }

  private:
    template <class Excess>
    void each(std::span<const BasicVolumeFlow<T>> flows, std::span<BasicPressure<T>> drops, const char* where,
              const Excess& excess) const {
        const T even = even_, square = square_;
        const std::size_t count = flows.size();
        for (std::size_t i = 0; i < count; ++i) {
            const T flow = flows[i].value();
            if (!is_non_negative_finite(plain_value(flow))) require_non_negative(where, "flow", flow, "m3/s");
            const T total = (even * (T(1) + excess(flow)) + square * flow) * flow;
            if (!std::isfinite(plain_value(total))) require_finite(where, "pressure drop", total, "Pa");
            drops[i] = BasicPressure<T>::from_value(total);
        }
    }

    T general_excess(const T& flow, const char* where) const {
        PleatFlowCase<T> at_flow = case_;
        at_flow.flow = flow * per_flow_;
        return channel_flow(layer_, at_flow, filter_.pack.inlet_gap_share, where).excess;
    }

    BasicPleatedFilter<T> filter_;
    PleatFlowCase<T> case_;
    LayerCoefficients<T> layer_;
    T per_flow_;                   // flow per fold length over flow
    T even_, square_;              // coefficients of flow and flow squared, without the channels
    T x2_{}, momentum_{};          // of two_equal_channels; the second over flow
    bool closed_;
};

}   // namespace detail

/// Pressure drops of a pleated filter at many flows, written into a span of the caller.
///
/// Equation: pressure_drop_parts at each flow; what does not depend on the flow is checked and computed once
/// Symbols:  as pressure_drop_parts
/// Validity: as pressure_drop_parts, whose `channel_flow` says it for one flow
/// @param  filter  medium and pack; the pleats must leave a gap
/// @param  flows  volume flows through the pack at the density of the air [m3/s], each >= 0
/// @param  air  air of operation
/// @param  drops  takes the pressure drops [Pa]; as long as flows. If a flow is refused, those before it are written
/// @throws DomainError, NoSolution as pressure_drop_parts; DomainError if the spans differ in length
/// @source as pressure_drop_parts; test: resistance/pleated_curve_test.cpp
template <class T>
void pressure_drops(const BasicPleatedFilter<T>& filter, std::span<const BasicVolumeFlow<T>> flows,
                    const BasicAirState<T>& air, std::span<BasicPressure<T>> drops) {
    constexpr auto where = "pressure_drops(PleatedFilter)";
    if (drops.size() != flows.size()) {
        throw DomainError(std::string(where) + ": " + std::to_string(drops.size()) +
                          " places for pressure drops; required: " + std::to_string(flows.size()) +
                          ", as many as flows");
    }
    detail::PleatCurve<T>(filter, air, where).pressure_drops(flows, drops, where);
}
template <Deferred...>
inline void pressure_drops(const PleatedFilter& filter, std::span<const VolumeFlow> flows, const AirState& air,
                           std::span<Pressure> drops) {
    return pressure_drops<double>(filter, flows, air, drops);
}

/// Pressure drops of a pleated filter at many flows: its curve.
///
/// Equation: pressure_drop_parts at each flow
/// Symbols:  as pressure_drop_parts
/// Validity: as pressure_drop_parts
/// @param  filter  medium and pack; the pleats must leave a gap
/// @param  flows  volume flows [m3/s], each >= 0
/// @param  air  air of operation
/// @return pressure drops [Pa], as many as flows
/// @throws DomainError, NoSolution as pressure_drop_parts
/// @source as pressure_drop_parts; test: resistance/pleated_curve_test.cpp
template <class T>
std::vector<BasicPressure<T>> pressure_drops(const BasicPleatedFilter<T>& filter,
                                             std::span<const BasicVolumeFlow<T>> flows,
                                             const BasicAirState<T>& air) {
    std::vector<BasicPressure<T>> drops(flows.size());
    pressure_drops(filter, flows, air, std::span<BasicPressure<T>>(drops));
    return drops;
}
template <Deferred...>
inline std::vector<Pressure> pressure_drops(const PleatedFilter& filter, std::span<const VolumeFlow> flows,
                                            const AirState& air) {
    return pressure_drops<double>(filter, flows, air);
}

}   // namespace filterflow
