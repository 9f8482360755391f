// SPDX-License-Identifier: BSL-1.0
#pragma once

// The equations behind a filter's life, generic in the scalar. The state is the dust on each stage and four running
// integrals; the variable is the dust dose theta (concentration integrated over running time), in which the
// equations do not know the time:
//
//     dm_k / dtheta = Q(m) prod_{j<k} (1 - phi_j E_j) phi_k E_k
//
// Q flow of the operating point, phi_k share of it that goes through the filter and not past it, E_k efficiency.
// Not public.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/dormand_prince.hpp>
#include <filterflow/loading/filter_stage.hpp>

namespace filterflow {

/// What ended a filter's life.
enum class LifeEnd {
    horizon,                    ///< nothing: no limit was met within the horizon
    final_resistance,           ///< a stage reached its final resistance
    age,                        ///< a stage reached its greatest age
    least_airflow,              ///< the airflow fell to the least allowed
    external_static_pressure,   ///< ducts and filters reached the greatest pressure allowed
    fan_table_end,              ///< the fan's table ends here: what lies beyond is not known
    operating_point_lost,       ///< the fan's stable operating point vanished: the flow would jump
    no_operating_point          ///< fan and system have none inside the table even with this dust
};

namespace detail {

/// The installation at one state of loading.
template <class T>
struct LifePoint {
    T flow{}, pressure{}, power{};
    std::vector<T> drops;     // of each stage
    std::vector<T> caught;    // share of the arriving dust that each stage stops
};

template <class T>
class LifeModel {
public:
    explicit LifeModel(const BasicFilterLifeInput<T>& input) : input_(input), system_(input.ducts) {
        for (const auto& stage : input.stages) {
            bypassed_.push_back(plain_value(stage.gap_area.value()) > 0.0);
            if (bypassed_.back()) {
                place_.push_back(system_.bypassed_elements.size());
                system_.bypassed_elements.push_back({stage.clean, stage.gap_area, stage.discharge_coefficient});
            } else {
                place_.push_back(system_.elements.size());
                system_.elements.push_back(stage.clean);
            }
            laws_.push_back(loading_coefficients(stage.law));
        }
        has_power_ = std::visit([](const auto& fan) { return fan.power_curve().has_value(); }, input.fan);
    }

    const BasicFilterLifeInput<T>& input() const { return input_; }
    std::size_t stages() const { return laws_.size(); }
    bool has_power() const { return has_power_; }

    T retained_per_area(std::size_t k, const T& mass) const {
        return input_.dust.equivalence * mass / input_.stages[k].area.value();
    }

    /// Operating point and split at masses y[0..n); false if there is none.
    bool point(const std::vector<T>& y, LifePoint<T>& p) const {
        for (std::size_t k = 0; k < stages(); ++k) {
            const T factor = loading_factor(laws_[k], retained_per_area(k, y[k]));
            if (!std::isfinite(plain_value(factor))) return false;
            BasicElementCurve<T>& element =
                bypassed_[k] ? system_.bypassed_elements[place_[k]].element : system_.elements[place_[k]];
            element.linear = BasicLinearResistance<T>::from_value(input_.stages[k].clean.linear.value() * factor);
        }
        if (!operate(p)) return false;
        p.drops.resize(stages());
        p.caught.resize(stages());
        T reaching(1.0);
        for (std::size_t k = 0; k < stages(); ++k) {
            T share(1.0);
            if (bypassed_[k]) {
                const auto& part = system_.bypassed_elements[place_[k]];
                const auto c = element_coefficients(part.element, input_.air);
                const T q = flow_through_element(c, gap_conductance(part, T(input_.air.density.value())), p.flow);
                p.drops[k] = (c.linear + c.quadratic * q) * q;
                share = q / p.flow;
            } else {
                p.drops[k] = part_pressure_drop(system_.elements[place_[k]], p.flow, input_.air);
            }
            const T efficiency = mass_efficiency_value(input_.stages[k].efficiency, retained_per_area(k, y[k]));
            p.caught[k] = reaching * share * efficiency;
            reaching = reaching * (T(1.0) - share * efficiency);
        }
        return true;
    }

    static constexpr std::size_t integrals = 4;   // of flow, power, flow times filter drop, filter drop

    bool rates(const std::vector<T>& y, std::vector<T>& rate) const {
        LifePoint<T> p;
        if (!point(y, p)) return false;
        rates_at(p, rate);
        return true;
    }

    void rates_at(const LifePoint<T>& p, std::vector<T>& rate) const {
        const std::size_t n = stages();
        rate.resize(n + integrals);
        T drop(0.0);
        for (std::size_t k = 0; k < n; ++k) {
            rate[k] = p.flow * p.caught[k];
            drop = drop + p.drops[k];
        }
        rate[n] = p.flow;
        rate[n + 1] = p.power;
        rate[n + 2] = p.flow * drop;
        rate[n + 3] = drop;
    }

    /// Flow range left inside the fan's table, relative: zero at its low-flow (or high-pressure) end.
    T table_left(const LifePoint<T>& p) const {
        if (const auto* fan = std::get_if<FanCurve>(&input_.fan)) {
            return p.flow / T(fan->greatest_flow().value()) - T(fan->least_flow() / fan->greatest_flow());
        }
        const auto& fan = std::get<FlowHoldingFan>(input_.fan);
        const T greatest = T(fan.greatest_pressure().value()) * input_.fan_scale.pressure_factor *
                           fan_density_ratio(fan.stated_air(), input_.air);
        return T(1.0) - p.pressure / greatest;
    }

private:
    bool operate(LifePoint<T>& p) const {
        const auto found = find_operating_state(input_.fan, system_, input_.air, input_.fan_scale);
        if (!found.state) return false;
        p.flow = found.state->flow.value();
        p.pressure = found.state->pressure.value();
        p.power = found.state->power ? found.state->power->value() : T(0.0);
        return true;
    }

    BasicFilterLifeInput<T> input_;
    mutable BasicSystemCurve<T> system_;
    std::vector<bool> bypassed_;
    std::vector<std::size_t> place_;
    std::vector<LoadingCoefficients<T>> laws_;
    bool has_power_ = false;
};

/// What run_life_segment found between two changes.
template <class T>
struct LifeSegment {
    LifeEnd end = LifeEnd::horizon;
    std::size_t stage = 0;             // for final_resistance and age
    bool derivatives_known = true;     // of the dose where it ended
    std::vector<T> doses;              // at each step, from zero
    std::vector<std::vector<T>> states;
    std::vector<LifePoint<T>> points;
};

/// Conditions that end a segment when they reach zero from below, at a point.
template <class T>
struct LifeEvent {
    LifeEnd end;
    std::size_t stage;
    T value;   // relative
};

template <class T>
std::vector<LifeEvent<T>> life_events(const LifeModel<T>& model, const LifePoint<T>& p) {
    std::vector<LifeEvent<T>> events;
    const auto& input = model.input();
    for (std::size_t k = 0; k < model.stages(); ++k) {
        const auto& limit = input.stages[k].final_resistance;
        if (limit) events.push_back({LifeEnd::final_resistance, k, p.drops[k] / limit->value() - T(1.0)});
    }
    if (input.limits.least_airflow) {
        events.push_back({LifeEnd::least_airflow, 0, T(1.0) - p.flow / input.limits.least_airflow->value()});
    }
    if (input.limits.greatest_external_static_pressure) {
        events.push_back({LifeEnd::external_static_pressure, 0,
                          p.pressure / input.limits.greatest_external_static_pressure->value() - T(1.0)});
    }
    return events;
}

/// Integrates from a state until something ends it. The step sizes follow the plain values; the last one carries the
/// derivatives of the moment when the limit is met (implicit function theorem).
template <class T>
LifeSegment<T> run_life_segment(const LifeModel<T>& model, const std::vector<T>& masses, const std::vector<T>& age_doses,
                                const T& dose_left) {
    const std::size_t n = model.stages();
    const auto rates = [&](const std::vector<T>& y, std::vector<T>& rate) { return model.rates(y, rate); };
    LifeSegment<T> segment;
    std::vector<T> y(n + LifeModel<T>::integrals, T(0.0)), rate;
    for (std::size_t k = 0; k < n; ++k) y[k] = masses[k];
    LifePoint<T> p;
    if (!model.point(y, p)) {
        segment.end = LifeEnd::no_operating_point;
        segment.derivatives_known = false;
        return segment;
    }
    const auto record = [&](const T& dose) {
        segment.doses.push_back(dose);
        segment.states.push_back(y);
        segment.points.push_back(p);
    };
    T dose(0.0);
    record(dose);

    T limit = dose_left;   // in dose: horizon or age, whichever is first
    segment.end = LifeEnd::horizon;
    for (std::size_t k = 0; k < n; ++k) {
        const auto& age = model.input().stages[k].greatest_age;
        if (!age) continue;
        const T at = age->value() * model.input().running_fraction * model.input().dust.concentration.value() -
                     age_doses[k];
        if (at < limit) {
            limit = at;
            segment.end = LifeEnd::age;
            segment.stage = k;
        }
    }
    for (const LifeEvent<T>& event : life_events(model, p)) {
        if (event.value < T(0.0)) continue;
        segment.end = event.end;
        segment.stage = event.stage;
        return segment;
    }
    if (!(plain_value(limit) > 0.0)) return segment;

    model.rates_at(p, rate);
    const double whole = plain_value(limit);
    double h = whole / 16.0;
    std::vector<double> scales(y.size());
    DormandPrinceStep<T> step;
    const auto try_step = [&](const std::vector<T>& from, const std::vector<T>& slope, const T& size) {
        for (std::size_t i = 0; i < from.size(); ++i) {
            scales[i] = 1e-300 + 1e-11 * (std::abs(plain_value(from[i])) +
                                          std::abs(plain_value(size) * plain_value(slope[i])));
        }
        return dormand_prince_step(rates, from, slope, size, scales, step);
    };
    std::vector<T> before, rate_before;   // of the last step taken
    const auto settle = [&](const T& size) {   // takes the step of that size from `before` as the last one
        if (!try_step(before, rate_before, size)) return false;
        y = step.state;
        return model.point(y, p);
    };
    // Puts the end a hair inside the end of the fan's table: Newton steps on one short step from a state before it, long
    // enough to tell a slope, short enough that no stage of it leaves the table.
    const auto settle_at_table_end = [&] {
        constexpr double hair = 1e-9;
        const double end = plain_value(segment.doses.back());
        std::size_t base = segment.doses.size() - 1;
        while (base > 0 && !(end - plain_value(segment.doses[base]) > 1e-6 * end)) --base;
        before = segment.states[base];
        model.rates_at(segment.points[base], rate_before);
        double size = end - plain_value(segment.doses[base]);
        const auto left_after = [&](double h_tried, double& left) {
            const bool settled = h_tried > 0.0 && settle(T(h_tried));
            if (settled) left = plain_value(model.table_left(p));
            return settled;
        };
        double slope = 0.0;
        for (int i = 0; i < 3; ++i) {
            double left = 0.0, left_before = 0.0;
            if (!left_after(0.9 * size, left_before) || !left_after(size, left)) return false;
            slope = (left - left_before) / (0.1 * size);
            if (!(slope < 0.0)) return false;
            size -= (left - hair) / slope;
        }
        if (!settle(T(size))) return false;
        const T left = model.table_left(p);
        const T exact = T(size) - (left - T(plain_value(left))) / T(slope);
        if (!settle(exact)) return false;
        segment.doses.resize(base + 1);
        segment.states.resize(base + 1);
        segment.points.resize(base + 1);
        record(T(segment.doses.back() + exact));
        return true;
    };
    for (int count = 0; count < 100000; ++count) {
        const double left = whole - plain_value(dose);
        const bool final_step = h >= left * (1.0 - 1e-9);
        const double size = final_step ? left : h;
        const bool taken = try_step(y, rate, T(size));
        if (!taken || step.error > 1.0) {
            h = taken ? size * std::max(0.2, 0.9 * std::pow(step.error, -0.2)) : 0.5 * size;
            if (h > 1e-13 * whole + 1e-11 * plain_value(dose)) continue;
            // No step is small enough: the operating point ends here.
            const double left_of_table = plain_value(model.table_left(p));
            segment.end = std::abs(left_of_table) < 1e-6 ? LifeEnd::fan_table_end : LifeEnd::operating_point_lost;
            segment.derivatives_known = segment.end == LifeEnd::fan_table_end && segment.doses.size() > 1 &&
                                        settle_at_table_end();
            return segment;
        }
        before = y;
        rate_before = rate;
        const double growth = step.error > 0.0 ? std::min(5.0, 0.9 * std::pow(step.error, -0.2)) : 5.0;
        LifePoint<T> next;
        model.point(step.state, next);
        const auto events = life_events(model, next);
        const auto earlier = life_events(model, p);
        double first = size * 2.0;
        std::size_t which = events.size();
        for (std::size_t e = 0; e < events.size(); ++e) {
            if (events[e].value < T(0.0)) continue;
            // Illinois: regula falsi on real steps of the size in question.
            double a = 0.0, b = size, ga = plain_value(earlier[e].value), gb = plain_value(events[e].value);
            int side = 0;
            for (int i = 0; i < 100 && b - a > 1e-13 * (plain_value(dose) + size) && gb != 0.0; ++i) {
                const double margin = 1e-6 * (b - a);
                const double c = std::min(std::max((a * gb - b * ga) / (gb - ga), a + margin), b - margin);
                if (!try_step(before, rate_before, T(c))) break;
                model.point(step.state, next);
                const double gc = plain_value(life_events(model, next)[e].value);
                if (std::abs(gc) < 1e-14) {
                    b = c;
                    gb = gc;
                    break;
                }
                if (gc > 0.0) {
                    b = c;
                    gb = gc;
                    if (side == 1) ga *= 0.5;
                    side = 1;
                } else {
                    a = c;
                    ga = gc;
                    if (side == -1) gb *= 0.5;
                    side = -1;
                }
            }
            if (b < first) {
                first = b;
                which = e;
            }
        }
        if (which < events.size()) {
            segment.end = events[which].end;
            segment.stage = events[which].stage;
            const double d = 1e-4 * size;
            double g[2] = {0.0, 0.0};
            bool known = true;
            for (int s = 0; s < 2; ++s) {
                known = known && try_step(before, rate_before, T(first + (s == 0 ? -d : d))) &&
                        model.point(step.state, next);
                if (known) g[s] = plain_value(life_events(model, next)[which].value);
            }
            T exact(first);
            const double slope = (g[1] - g[0]) / (2.0 * d);
            known = known && slope > 0.0 && settle(exact);
            if (known) {
                const T miss = life_events(model, p)[which].value;
                exact = T(first) - (miss - T(plain_value(miss))) / T(slope);
            }
            segment.derivatives_known = known && settle(exact);
            if (!segment.derivatives_known) settle(T(first));
            record(T(dose + exact));
            return segment;
        }
        if (final_step) {
            const T exact = limit - dose;
            settle(exact);
            record(limit);
            return segment;
        }
        y = step.state;
        rate = step.rate;
        p = next;
        dose = dose + T(size);
        h = size * growth;
        record(dose);
    }
    throw NoSolution("filter_life: no limit met; tried: 100000 steps to a dose of " + number_text(plain_value(dose)) +
                     " kg s/m3 of " + number_text(whole));
}

}   // namespace detail
}   // namespace filterflow
