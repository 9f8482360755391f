// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fan of which only the two ends of its curve are stated: shut-off pressure and free flow. Good for estimates,
// which are marked as such.

#include <array>
#include <cmath>
#include <optional>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// Shape of the curve between the stated ends.
enum class StatedFanShape {
    straight,   ///< p = p0 (1 - Q/Qf): close to small axial and in-line fans
    parabola    ///< p = p0 (1 - (Q/Qf)^2): close to backward-curved centrifugal fans
};

/// A fan known by its ends. Copies share its errors.
struct StatedFan {
    Uncertain<Pressure> shut_off_pressure;          ///< at no flow, > 0, in the air of the readings
    Uncertain<VolumeFlow> free_flow;                ///< against no pressure, > 0
    StatedFanShape shape = StatedFanShape::straight;   ///< assumed between the ends
    std::optional<ElementCurve> rest_of_stand{};    ///< the stand outside the taps, in the air of the readings; none:
                                                    ///< taken as no resistance
    Uncertain<double> element_exponent =            ///< of a filter's pressure over flow; evenly from 1.0 to 1.4
        uncertain(1.2, 0.4 / 3.4641016151377544, "exponent of filter pressure over flow");
};

namespace detail {

/// linear Q + quadratic Q^2 = shut_off - p
template <class T>
struct StatedFanValues {
    T shut_off, linear, quadratic;
};

template <class T>
StatedFanValues<T> stated_fan_values(const StatedFan& fan, StatedFanShape shape, const T& shut_off,
                                     const T& free_flow) {
    const bool straight = shape == StatedFanShape::straight;
    StatedFanValues<T> values{shut_off, straight ? shut_off / free_flow : T(0.0),
                              straight ? T(0.0) : shut_off / (free_flow * free_flow)};
    if (fan.rest_of_stand) {
        values.linear += T(fan.rest_of_stand->linear.value());
        values.quadratic += T(fan.rest_of_stand->quadratic.value());
    }
    return values;
}

/// Flow that fan and stand deliver when they leave a pressure p across the taps; needs p < shut-off.
template <class T>
T stated_fan_flow(const StatedFanValues<T>& fan, const T& p) {
    using std::sqrt;
    const T left = fan.shut_off - p;
    return T(2.0) * left / (fan.linear + sqrt(fan.linear * fan.linear + T(4.0) * fan.quadratic * left));
}

template <Deferred...>
inline void check(const StatedFan& fan, const char* where) {
    require_positive(where, "shut_off_pressure", fan.shut_off_pressure.value.value(), "Pa");
    require_positive(where, "free_flow", fan.free_flow.value.value(), "m3/s");
    require_between(where, "element_exponent", fan.element_exponent.value, 1.0, 2.0, "-");
    if (!fan.rest_of_stand) return;
    require_non_negative(where, "rest_of_stand.linear", fan.rest_of_stand->linear.value(), "Pa s/m3");
    require_non_negative(where, "rest_of_stand.quadratic", fan.rest_of_stand->quadratic.value(), "Pa s2/m6");
}

}   // namespace detail

/// Flow at which a stated fan, less the stand outside the taps, leaves a pressure across the taps: an estimate.
///
/// Equation: straight: p0 (1 - Q/Qf) - r Q - s Q^2 = p; parabola: p0 (1 - (Q/Qf)^2) - r Q - s Q^2 = p
/// Symbols:  p0 shut-off pressure, Qf free flow, r, s the rest of the stand, p pressure across the taps, Q flow
/// Validity: 0 <= p < p0; the shape between the ends is an assumption, which the uncertainty does not contain
/// @param  fan  ends > 0, shape, rest of the stand
/// @param  pressure  across the taps [Pa], >= 0 and < shut-off pressure
/// @return flow [m3/s], with the uncertainty of the ends and of the pressure
/// @throws DomainError outside the validity
/// @source root of the quadratic above; test: stand/pressure_only_test.cpp
template <Deferred...>
inline Uncertain<VolumeFlow> stated_fan_flow(const StatedFan& fan, const Uncertain<Pressure>& pressure) {
    constexpr auto where = "stated_fan_flow";
    detail::check(fan, where);
    const double p = detail::require_non_negative(where, "pressure", pressure.value.value(), "Pa");
    if (!(pressure.value < fan.shut_off_pressure.value)) {
        detail::throw_domain_error(where, "pressure", p, "Pa", "< shut-off pressure " +
                                   detail::number_text(fan.shut_off_pressure.value.value()) + " Pa");
    }
    const auto flow = propagate(
        [&](const std::array<Dual<3>, 3>& x) {
            return std::array{
                detail::stated_fan_flow(detail::stated_fan_values<Dual<3>>(fan, fan.shape, x[0], x[1]), x[2])};
        },
        std::array{to_si(fan.shut_off_pressure), to_si(fan.free_flow), to_si(pressure)});
    return from_si<VolumeFlow>(flow[0]);
}

}   // namespace filterflow
