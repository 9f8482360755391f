// SPDX-License-Identifier: BSL-1.0
#pragma once

// A filter that loads, seen the other way round: at a flow the fan leaves so much for the filter, and its growth is
// what takes that. Growth over flow is explicit, so what happens at a known flow needs no search. Not public.

#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow::detail {

/// Ducts with a filter between clean and dirty, in the air at hand.
class GrowingSystem {
public:
    template <Deferred...>
    GrowingSystem(const SystemCurve& ducts, const ElementCurve& clean, const ElementCurve& dirty, const AirState& air)
        : clean_(element_coefficients(clean, air)), dirty_(element_coefficients(dirty, air)), air_(air), system_(ducts),
          filter_(system_.elements.size()) {
        system_.elements.push_back({});
        set_growth(0.0);
    }

    const SystemCurve& system() const { return system_; }
    const AirState& air() const { return air_; }

    void set_growth(double growth) {
        const ElementCoefficients<double> c = at(growth);
        system_.elements[filter_] = {LinearResistance::from_value(c.linear),
                                     QuadraticResistance::from_value(c.quadratic), air_};
    }
    double filter_drop(double growth, double flow) const {
        const ElementCoefficients<double> c = at(growth);
        return (c.linear + c.quadratic * flow) * flow;
    }
    /// How much more the dirty filter takes than the clean one: what growth multiplies.
    double added_drop(double flow) const {
        return ((dirty_.linear - clean_.linear) + (dirty_.quadratic - clean_.quadratic) * flow) * flow;
    }
    /// The growth with which the system takes a pressure at a flow > 0.
    template <Deferred...>
    double growth_for(double flow, double pressure) {
        set_growth(0.0);
        return (pressure - system_pressure_drop(system_, flow, air_)) / added_drop(flow);
    }

private:
    ElementCoefficients<double> at(double growth) const {
        return {clean_.linear + growth * (dirty_.linear - clean_.linear),
                clean_.quadratic + growth * (dirty_.quadratic - clean_.quadratic)};
    }
    ElementCoefficients<double> clean_, dirty_;
    AirState air_;
    SystemCurve system_;
    std::size_t filter_;
};

/// A solution on the way: where it is, and how the flow goes on with growth.
struct PathSolution {
    OperatingStatus status = OperatingStatus::below_table;
    std::optional<double> flow;
    double table_pressure = 0.0;   // of a flow-holding fan
    std::size_t segment = 0;
    double slope = 0.0;            // of the flow over growth
};

/// The point with a growth, from the one before it where fan and system cross only once.
template <Deferred...>
inline PathSolution path_solution(const FanCurve& fan, GrowingSystem& growing, double growth,
                                  const PathSolution& before, double step) {
    growing.set_growth(growth);
    PathSolution s;
    if (fan.falls_throughout() && never_falls(growing.system())) {
        const double scale = table_scale(fan.stated_air(), growing.air(), 1.0);
        const FlowDifference d{fan.pressure_curve(), growing.system(), growing.air(), scale};
        const double guess = before.flow ? *before.flow + step * before.slope : 0.0;
        const NearCrossing c = crossing_near(d, -1.0, before.segment, guess);
        s.segment = c.segment;
        if (c.found) {
            s.status = OperatingStatus::single_crossing;
            s.flow = c.x;
            s.slope = scale * growing.added_drop(c.x) / d.at(c.segment, c.x).slope;
        } else {
            s.status = c.beyond_last ? OperatingStatus::beyond_table : status_below(fan);
        }
        return s;
    }
    const OperatingFlow found = operating_flow_of(fan, growing.system(), growing.air(), 1.0);
    s.status = found.status;
    if (found.flow) s.flow = found.flow->value();
    return s;
}

template <Deferred...>
inline PathSolution path_solution(const FlowHoldingFan& fan, GrowingSystem& growing, double growth, const PathSolution&,
                                  double) {
    growing.set_growth(growth);
    const OperatingFlow found = operating_flow_of(fan, growing.system(), growing.air(), 1.0);
    PathSolution s;
    s.status = found.status;
    if (!found.flow) return s;
    s.flow = found.flow->value();
    const double drop = system_pressure_drop(growing.system(), *s.flow, growing.air());
    const double at = drop / fan_density_ratio(fan.stated_air(), growing.air());
    s.table_pressure = at < fan.flow_curve().lowest() ? fan.flow_curve().lowest()
                       : at > fan.flow_curve().highest() ? fan.flow_curve().highest() : at;
    return s;
}

template <Deferred...>
inline std::optional<Power> path_power(const FanCurve& fan, const PathSolution& s, const AirState& air) {
    if (!fan.power_curve()) return std::nullopt;
    return Power::from_value(fan_density_ratio(fan.stated_air(), air) * fan.power_curve()->value(*s.flow));
}
template <Deferred...>
inline std::optional<Power> path_power(const FlowHoldingFan& fan, const PathSolution& s, const AirState& air) {
    if (!fan.power_curve()) return std::nullopt;
    return Power::from_value(fan_density_ratio(fan.stated_air(), air) * fan.power_curve()->value(s.table_pressure));
}

template <Deferred...>
inline bool path_rises(const FanCurve& fan, const PathSolution& s) { return fan.pressure_curve().slope(*s.flow) > 0.0; }
inline bool path_rises(const FlowHoldingFan&, const PathSolution&) { return false; }

/// Flow and growth where the branch of greater flow ends: growth over falling flow turns down there, as it may where
/// the fan's pressure rises with flow. Between two flows, the greater on the branch; empty if it goes on down to the
/// lesser.
struct Fold {
    double flow, growth;
};
template <Deferred...>
inline std::optional<Fold> find_fold(const FanCurve& fan, GrowingSystem& growing, double greater, double lesser) {
    const double ratio = fan_density_ratio(fan.stated_air(), growing.air());
    const auto growth = [&](double q) { return growing.growth_for(q, ratio * fan.pressure_curve().value(q)); };
    constexpr int samples = 64;
    for (std::size_t i = fan.rising_parts().size(); i-- > 0;) {
        double high = fan.rising_parts()[i].upper.value(), low = fan.rising_parts()[i].lower.value();
        high = high < greater ? high : greater;
        low = low > lesser ? low : lesser;
        if (!(low < high)) continue;
        const double width = (high - low) / samples;
        double before = growth(high);
        for (int k = 1; k <= samples; ++k) {
            const double q = k < samples ? high - k * width : low;
            if (!(q > 0.0)) break;
            const double now = growth(q);
            if (now < before) {   // the top lies within one step of the place before: golden section
                double a = q, b = high - (k - 2) * width;
                b = b < greater ? b : greater;
                constexpr double share = 0.6180339887498949;
                for (int step = 0; step < 80; ++step) {
                    const double left = b - share * (b - a), right = a + share * (b - a);
                    (growth(left) < growth(right) ? a : b) = growth(left) < growth(right) ? left : right;
                }
                const double top = 0.5 * (a + b);
                return Fold{top, growth(top)};
            }
            before = now;
        }
    }
    return std::nullopt;
}
template <Deferred...>
inline std::optional<Fold> find_fold(const FlowHoldingFan&, GrowingSystem&, double, double) { return std::nullopt; }

/// What the fan gives at a flow of its table [Pa]; for a flow-holding fan only at flows below the held one.
template <Deferred...>
inline double fan_pressure_at(const FanCurve& fan, double flow, const AirState& air) {
    return fan_density_ratio(fan.stated_air(), air) * fan.pressure_curve().value(flow);
}
template <Deferred...>
inline double fan_pressure_at(const FlowHoldingFan& fan, double flow, const AirState& air) {
    return fan_density_ratio(fan.stated_air(), air) * table_pressure_at(fan.flow_curve(), flow);
}

}   // namespace filterflow::detail
