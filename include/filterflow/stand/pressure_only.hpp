// SPDX-License-Identifier: BSL-1.0
#pragma once

// Filters compared where only pressures were read: no flow, no fan table, one fan setting.
//
// Let G(Q) be the pressure that fan and stand leave across the taps at a flow Q: the fan's pressure, which falls
// with flow, less the resistance of the stand outside the taps, which rises. G falls. T(Q) is the empty stand between
// the taps, R_i(Q) filter i; both rise. Readings with filters i and j, and without one (0), are
//     m_i = R_i(Q_i) + T(Q_i) = G(Q_i),    m_0 = T(Q_0) = G(Q_0).
// 1. Order. m_i > m_j means G(Q_i) > G(Q_j), so Q_i < Q_j, since G falls. T rises, so T(Q_i) <= T(Q_j), so
//    R_i(Q_i) = m_i - T(Q_i) > m_j - T(Q_j) = R_j(Q_j). R rises, so for every Q from Q_i to Q_j
//    R_i(Q) >= R_i(Q_i) > R_j(Q_j) >= R_j(Q): filter i resists more over that whole stretch, by any amount that
//    the readings may have hidden. At other flows it follows only if the element curves do not cross.
// 2. Lower bound. Q_i <= Q_0, so R_i(Q_0) >= R_i(Q_i) = m_i - T(Q_i) >= m_i - T(Q_0) = m_i - m_0.
// 3. Upper bounds do not follow: the flow Q_i may be anything below Q_0. An estimate needs the fan (see StatedFan).

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/stand/stated_fan.hpp>

namespace filterflow {

/// A filter of which only a pressure was read.
struct PressureOnlyReading {
    std::string name;               ///< unique among the filters
    Uncertain<Pressure> pressure;   ///< static, across the filter's place, as displayed; a mean if repeated
};

/// Filters and what else is known of the stand.
struct PressureOnlyReadings {
    std::vector<PressureOnlyReading> filters{};        ///< at least one
    std::optional<Uncertain<Pressure>> empty_stand{};  ///< the same taps without a filter; none: no bounds
    std::optional<StatedFan> fan{};                    ///< none: no estimates
    double coverage_probability = 0.95;                ///< of the intervals that decide ties
};

/// An estimate of what a filter would show at the empty stand's flow, from a stated fan.
struct PressureOnlyEstimate {
    Uncertain<VolumeFlow> flow;               ///< at which the filter was read
    Uncertain<Pressure> pressure;             ///< of the filter at the empty stand's flow
    Pressure pressure_with_other_shape{};     ///< the same, had the fan's curve the other shape between its ends
};

/// Place of a filter in the order of resistances.
struct PressureOnlyPlace {
    std::string name;                                  ///< as handed in
    std::size_t index = 0;                             ///< in the input
    Uncertain<Pressure> reading;                       ///< as handed in
    std::optional<Uncertain<Pressure>> lower_bound;    ///< of the filter's pressure at the empty stand's flow
    std::vector<std::string> tied_with;                ///< filters not told apart from this one
    std::optional<PressureOnlyEstimate> estimate;      ///< from the stated fan
};

/// Filters in the order of their resistance.
struct PressureOnlyOrder {
    std::vector<PressureOnlyPlace> places;   ///< least resistance first
    std::optional<Uncertain<VolumeFlow>> empty_stand_flow;   ///< from the stated fan, an estimate
    std::vector<std::string> rests_on;       ///< the conditions of order, bounds and estimates, in words
    std::vector<std::string> flags;          ///< what contradicts them, or is missing, in words
};

namespace detail {

/// Filter's pressure at the empty stand's flow from its reading m, the empty stand's m0 and the stated fan.
template <class T>
struct PressureOnlyPoint {
    T flow, empty_flow, pressure;
};
template <class T>
PressureOnlyPoint<T> pressure_only_point(const StatedFanValues<T>& fan, const T& m, const T& m0, const T& exponent) {
    using std::exp;
    using std::log;
    const T q = stated_fan_flow(fan, m);
    const T q0 = stated_fan_flow(fan, m0);
    const T part = q / q0;
    const T filter = m - m0 * part * part;   // the empty stand between the taps as a square law
    return {q, q0, filter * exp(-exponent * log(part))};
}

template <Deferred...>
inline std::vector<std::string> pressure_only_conditions(const PressureOnlyReadings& input, bool estimated) {
    std::vector<std::string> words{
        "one fan at one setting, the same taps and the same stand for every reading",
        "a fan curve that falls over the whole range of the readings (curves of in-line fans may not)",
        "between the flows of two readings the order is proved; at other flows it holds if the element curves do not "
        "cross"};
    if (input.empty_stand) {
        words.push_back("reading less empty stand is a lower bound of the filter's pressure at the empty stand's flow, "
                        "as the filter was read at less flow; no upper bound follows");
    }
    if (estimated) {
        const bool straight = input.fan->shape == StatedFanShape::straight;
        words.push_back(
            std::string("estimates take the fan's curve as a ") + (straight ? "straight line" : "parabola") +
            " between its stated ends (the " + (straight ? "parabola" : "straight line") +
            " is shown beside it), the filter's pressure as a power " + number_text(input.fan->element_exponent.value) +
            " of flow and the empty stand between the taps as a square law" +
            (input.fan->rest_of_stand
                 ? ""
                 : "; the stand outside the taps is taken as no resistance, so that flows are estimated high"));
    }
    return words;
}

template <Deferred...>
inline std::optional<PressureOnlyEstimate> pressure_only_estimate(const StatedFan& fan, const Uncertain<Pressure>& m,
                                                                  const Uncertain<Pressure>& m0) {
    if (!(m.value < fan.shut_off_pressure.value) || !(m.value > Pressure())) return std::nullopt;
    const auto point = [&](StatedFanShape shape) {
        return propagate([&](const std::array<Dual<5>, 5>& x) {
            const StatedFanValues<Dual<5>> values = stated_fan_values<Dual<5>>(fan, shape, x[0], x[1]);
            const auto p = pressure_only_point(values, x[2], x[3], x[4]);
            return std::array{p.flow, p.pressure};
        }, std::array{to_si(fan.shut_off_pressure), to_si(fan.free_flow), to_si(m), to_si(m0), fan.element_exponent});
    };
    const bool straight = fan.shape == StatedFanShape::straight;
    const auto own = point(fan.shape);
    const auto other = point(straight ? StatedFanShape::parabola : StatedFanShape::straight);
    return PressureOnlyEstimate{from_si<VolumeFlow>(own[0]), from_si<Pressure>(own[1]),
                                Pressure::from_value(other[1].value)};
}

}   // namespace detail

/// Filters in the order of their resistance where only pressures were read, with ties, lower bounds of their
/// pressures at the empty stand's flow, and estimates from a stated fan.
///
/// Equation: order by m_i; lower bound m_i - m_0; estimate R_i(Q_0) = (m_i - m_0 (Q_i/Q_0)^2) (Q_0/Q_i)^n with
///           Q = Q(m) of the stated fan less the stand outside the taps
/// Symbols:  m_i reading, m_0 empty stand, Q_i, Q_0 their flows, n exponent of a filter's pressure over flow
/// Validity: the conditions in rests_on; the proof is at the top of this header. A tie is a difference whose interval
///           contains zero (what the readings share cancels); ties are between pairs and do not chain
/// @param  input  filters, empty stand, stated fan, coverage probability between 0 and 1
/// @return places with least resistance first, conditions and flags. A reading below the empty stand's, or above the
///         fan's stated shut-off pressure, contradicts the conditions: flagged, without an estimate
/// @throws DomainError if there is no filter, two have one name, or a value is out of range
/// @source own derivation; test: stand/pressure_only_test.cpp (simulated stands)
template <Deferred...>
[[nodiscard]] inline PressureOnlyOrder pressure_only_order(const PressureOnlyReadings& input) {
    constexpr auto where = "pressure_only_order";
    const std::size_t n = input.filters.size();
    if (n == 0) detail::throw_domain_error(where, "number of filters", 0.0, "", "at least one");
    for (std::size_t i = 0; i < n; ++i) {
        detail::require_finite(where, "pressure of '" + input.filters[i].name + "'",
                               input.filters[i].pressure.value.value(), "Pa");
        for (std::size_t j = 0; j < i; ++j) {
            if (input.filters[i].name == input.filters[j].name) {
                throw DomainError(std::string(where) + ": two filters are named '" + input.filters[i].name +
                                  "'; required: one name for each");
            }
        }
    }
    if (input.empty_stand) {
        detail::require_non_negative(where, "empty_stand", input.empty_stand->value.value(), "Pa");
    }
    if (input.fan) detail::check(*input.fan, where);
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return input.filters[a].pressure.value < input.filters[b].pressure.value;
    });
    PressureOnlyOrder result;
    if (!input.empty_stand) {
        result.flags.push_back("no reading of the empty stand: no lower bounds and no estimates");
    }
    const bool estimable = input.fan && input.empty_stand &&
                           input.empty_stand->value < input.fan->shut_off_pressure.value;
    result.rests_on = detail::pressure_only_conditions(input, estimable);
    if (input.fan && input.empty_stand && !estimable) {
        result.flags.push_back("the empty stand reads " + detail::number_text(input.empty_stand->value.value()) +
                               " Pa, at or above the fan's stated shut-off pressure: no estimates");
    }
    if (estimable) {
        result.empty_stand_flow = stated_fan_flow(*input.fan, *input.empty_stand);
    }
    for (const std::size_t i : order) {
        const PressureOnlyReading& filter = input.filters[i];
        PressureOnlyPlace place;
        place.name = filter.name;
        place.index = i;
        place.reading = filter.pressure;
        for (const std::size_t j : order) {
            if (j != i && tied(filter.pressure, input.filters[j].pressure, input.coverage_probability)) {
                place.tied_with.push_back(input.filters[j].name);
            }
        }
        if (input.empty_stand) {
            place.lower_bound = filter.pressure - *input.empty_stand;
            const double u = place.lower_bound->standard_uncertainty().value();
            const double net = place.lower_bound->value.value();
            if (net < -3.0 * u) {
                result.flags.push_back("'" + filter.name + "' reads " + detail::number_text(-net) +
                                       " Pa less than the empty stand, more than its noise (standard uncertainty " +
                                       detail::number_text(u) + " Pa): a falling fan curve, one setting and the same "
                                       "taps cannot give that, its place is not proved");
            }
        }
        if (estimable && place.lower_bound->value < Pressure()) {
            result.flags.push_back("'" + filter.name + "' reads less than the empty stand: no estimate");
        } else if (estimable) {
            place.estimate = detail::pressure_only_estimate(*input.fan, filter.pressure, *input.empty_stand);
            if (!place.estimate) {
                result.flags.push_back("'" + filter.name + "' reads " +
                                       detail::number_text(filter.pressure.value.value()) +
                                       " Pa, not between zero and the fan's stated shut-off pressure " +
                                       detail::number_text(input.fan->shut_off_pressure.value.value()) +
                                       " Pa: no estimate");
            }
        }
        result.places.push_back(std::move(place));
    }
    return result;
}

}   // namespace filterflow
