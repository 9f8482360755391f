// SPDX-License-Identifier: BSL-1.0
#pragma once

// The integration of a filter's life between two changes: adaptive steps in dust dose, limits located on real steps,
// the last step with the derivatives of the moment when the limit is met. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/dormand_prince.hpp>
#include <filterflow/loading/life_model.hpp>

namespace filterflow::detail {

inline constexpr double exact_steps = 1e-11;   // greatest relative error of a step, where lives are to be exact

/// What run_life_segment found between two changes.
template <class T>
struct LifeSegment {
    LifeEnd end = LifeEnd::horizon;
    std::size_t stage = 0;           // for final_resistance and age
    bool derivatives_known = true;   // of the dose where it ended
    std::vector<T> doses;            // at each step, from zero
    std::vector<std::vector<T>> states, rates;
    std::vector<LifePoint<T>> points;
    std::vector<std::vector<T>> bends;   // of the steps, for states in between
};

/// Conditions that end a segment when they reach zero from below, at a point.
template <class T>
struct LifeEvent {
    LifeEnd end;
    std::size_t stage;
    T value;   // relative
};

template <class T>
std::vector<LifeEvent<T>> life_events(const LifeModel<T>& model, const std::vector<T>& y, const LifePoint<T>& p) {
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
    if (input.limits.greatest_power) {
        events.push_back({LifeEnd::greatest_power, 0, p.power / input.limits.greatest_power->value() - T(1.0)});
    }
    for (std::size_t k = 0; k < model.stages(); ++k) {
        if (const auto& mass = model.bridging_mass(k)) {
            events.push_back({LifeEnd::bridging, k, model.retained_per_area(k, y[k]) / *mass - T(1.0)});
        }
    }
    return events;
}

/// Fall of the flow, relative, within less than 1e-7 of the dose left, that no filter's dust makes.
inline constexpr double least_jump = 2e-3;

/// Integrates from a state until something ends it. The step sizes follow the plain values; the last one carries the
/// derivatives of the moment when the limit is met (implicit function theorem). A step may err by `step_error` of the
/// state; in double, where nothing asks for derivatives, a coarse one also spares the slope at the limit.
template <class T>
LifeSegment<T> run_life_segment(const LifeModel<T>& model, const std::vector<T>& masses,
                                const std::vector<T>& age_doses, const T& dose_left, std::size_t least_steps = 16,
                                double step_error = exact_steps) {
    const std::size_t n = model.stages();
    const auto rates = [&](const std::vector<T>& y, std::vector<T>& rate) { return model.rates(y, rate); };
    LifeSegment<T> segment;
    std::vector<T> y(n + model.integrals(), T(0.0)), rate;
    for (std::size_t k = 0; k < n; ++k) y[k] = masses[k];
    LifePoint<T> p;
    if (!model.point(y, p)) {
        segment.end = LifeEnd::no_operating_point;
        segment.derivatives_known = false;
        return segment;
    }
    DormandPrinceStep<T> step;
    const auto record = [&](const T& dose) {
        if (!segment.doses.empty()) segment.bends.push_back(step.bend);
        segment.doses.push_back(dose);
        segment.states.push_back(y);
        segment.rates.push_back(rate);
        segment.points.push_back(p);
    };
    T dose(0.0);
    model.rates_at(p, rate);
    record(dose);

    T limit = dose_left;   // in dose: horizon or age, whichever is first
    segment.end = LifeEnd::horizon;
    for (std::size_t k = 0; k < n; ++k) {
        const auto& age = model.input().stages[k].greatest_age;
        if (!age) continue;
        const T at =
            age->value() * model.input().running_fraction * model.input().dust.concentration.value() - age_doses[k];
        if (at < limit) {
            limit = at;
            segment.end = LifeEnd::age;
            segment.stage = k;
        }
    }
    for (const LifeEvent<T>& event : life_events(model, y, p)) {
        if (event.value < T(0.0)) continue;
        segment.end = event.end;
        segment.stage = event.stage;
        return segment;
    }
    if (!(plain_value(limit) > 0.0)) return segment;

    const double whole = plain_value(limit);
    double h = whole / static_cast<double>(least_steps);
    std::vector<double> scales(y.size());
    const auto try_step = [&](const std::vector<T>& from, const std::vector<T>& slope, const T& size) {
        for (std::size_t i = 0; i < from.size(); ++i) {
            scales[i] = 1e-300 + step_error * (std::abs(plain_value(from[i])) +
                                               std::abs(plain_value(size) * plain_value(slope[i])));
        }
        return dormand_prince_step(rates, from, slope, size, scales, step);
    };
    std::vector<T> before, rate_before;        // of the last step taken
    const auto settle = [&](const T& size) {   // takes the step of that size from `before` as the last one
        if (!try_step(before, rate_before, size)) return false;
        y = step.state;
        rate = step.rate;
        return model.point(y, p);
    };
    // Puts the end a hair inside the end of the fan's table: Newton steps on one short step from a state before it,
    // long enough to tell a slope, short enough that no stage of it leaves the table.
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
        // One step to the very end may leave the table on its way by less than the step errs: begin as much inside.
        const double whole_step = size;
        double inside = 0.0;
        for (double part = 1e-12; !left_after(size, inside); part *= 10.0) {
            if (part > 1e-3) return false;
            size = (1.0 - part) * whole_step;
        }
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
        segment.rates.resize(base + 1);
        segment.points.resize(base + 1);
        segment.bends.resize(base);
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
            for (std::size_t k = 0; k < n; ++k) {
                const auto& mass = model.bridging_mass(k);
                if (!mass || !(plain_value(model.retained_per_area(k, y[k]) / *mass) > 1.0 - 1e-6)) continue;
                segment.end = LifeEnd::bridging;
                segment.stage = k;
                segment.derivatives_known = false;
                return segment;
            }
            const double left_of_table = plain_value(model.table_left(p));
            segment.end = std::abs(left_of_table) < 1e-6 ? LifeEnd::fan_table_end : LifeEnd::operating_point_lost;
            segment.derivatives_known =
                segment.end == LifeEnd::fan_table_end && segment.doses.size() > 1 && settle_at_table_end();
            return segment;
        }
        before = y;
        rate_before = rate;
        const double growth = step.error > 0.0 ? std::min(5.0, 0.9 * std::pow(step.error, -0.2)) : 5.0;
        LifePoint<T> next;
        model.point(step.state, next);
        // Where the stable point vanishes the steps shrink until one across the jump passes: the life ends before it.
        const double fall = 1.0 - plain_value(next.flow) / plain_value(p.flow);
        if (size < 1e-7 * whole && fall > least_jump) {
            segment.end = LifeEnd::operating_point_lost;
            segment.derivatives_known = false;
            return segment;
        }
        const auto events = life_events(model, step.state, next);
        const auto earlier = life_events(model, y, p);
        double first = size * 2.0;
        std::size_t which = events.size();
        for (std::size_t e = 0; e < events.size(); ++e) {
            if (events[e].value < T(0.0)) continue;
            // Illinois: regula falsi on real steps of the size in question.
            double a = 0.0, b = size, ga = plain_value(earlier[e].value), gb = plain_value(events[e].value);
            int side = 0;
            for (int i = 0; i < 100 && b - a > 0.01 * step_error * (plain_value(dose) + size) && gb != 0.0; ++i) {
                const double margin = 1e-6 * (b - a);
                const double c = std::min(std::max((a * gb - b * ga) / (gb - ga), a + margin), b - margin);
                if (!try_step(before, rate_before, T(c))) break;
                model.point(step.state, next);
                const double gc = plain_value(life_events(model, step.state, next)[e].value);
                if (std::abs(gc) < 1e-3 * step_error) {
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
            if constexpr (std::is_same_v<T, double>) {
                if (step_error > exact_steps && settle(first)) {
                    record(dose + first);
                    return segment;
                }
            }
            const double d = 1e-4 * size;
            double g[2] = {0.0, 0.0};
            bool known = true;
            for (int s = 0; s < 2; ++s) {
                known = known && try_step(before, rate_before, T(first + (s == 0 ? -d : d))) &&
                        model.point(step.state, next);
                if (known) g[s] = plain_value(life_events(model, step.state, next)[which].value);
            }
            T exact(first);
            const double slope = (g[1] - g[0]) / (2.0 * d);
            known = known && slope > 0.0 && settle(exact);
            if (known) {
                const T miss = life_events(model, y, p)[which].value;
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

}   // namespace filterflow::detail
