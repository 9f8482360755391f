// SPDX-License-Identifier: BSL-1.0
#pragma once

// A life of one stage by inverse quadrature. Along it fan and system meet at a place x of the fan's table (its flow, or
// the pressure of a fan that holds its flow), and everything is explicit in x: what fan less ducts leave for the filter
// gives its factor F, the growth law's inverse the dust m on it, and so
//
//     d theta/dx = (dm/dx)/(q E),   q flow through the filter, E its efficiency
//
// is integrated without solving for operating points. Limits are places x, found by one root each. It holds where fan
// less ducts falls along the path: a fan that falls throughout or holds its flow, ducts that never fall. In double; with
// derivatives a life is integrated in dose. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow::detail {

/// The installation where fan and system meet at x.
struct InversePlace {
    double x, flow, pressure, drop;                  // of the fan, of the fan, of the filter
    double flow_slope, pressure_slope, drop_slope;   // to x
    double through;                                  // flow through the filter
    double mass, mass_slope;                         // dust on the stage and its slope to x
    double caught;                                   // flow times the share of the dust that is stopped
};

class InverseLife {
public:
    /// Integrals over dose, as LifeModel has them: dose itself, flow, power, flow times drop, drop, flow times share
    /// caught; then those of the classes of dust.
    static constexpr std::size_t basic_sums = 6;

    /// Whether a life is one of these.
    static bool applies(const FilterLifeInput& input) {
        if (input.stages.size() != 1 || input.stages[0].pleats || !never_falls(input.ducts)) return false;
        if (!(input.stages[0].clean.linear.value() > 0.0)) return false;
        const auto* fan = std::get_if<FanCurve>(&input.fan);
        return fan == nullptr || fan->falls_throughout();
    }

    explicit InverseLife(const FilterLifeInput& input)
        : input_(input),
          stage_(input.stages[0]),
          fixed_(std::get_if<FanCurve>(&input.fan)),
          holding_(std::get_if<FlowHoldingFan>(&input.fan)),
          table_(fixed_ != nullptr ? &fixed_->pressure_curve() : &holding_->flow_curve()),
          element_(element_coefficients(stage_.clean, input.air)),
          law_(loading_coefficients(stage_.law)),
          per_area_(stage_.area.value() / input.dust.equivalence),
          gap_(stage_.gap_area.value() > 0.0
                   ? gap_conductance(BypassedElement{stage_.clean, stage_.gap_area, stage_.discharge_coefficient},
                                     input.air.density.value())
                   : 0.0) {
        const AirState& stated = fixed_ != nullptr ? fixed_->stated_air() : holding_->stated_air();
        density_ratio_ = fan_density_ratio(stated, input.air);
        pressure_scale_ = input.fan_scale.pressure_factor * density_ratio_;
        power_ = fixed_ != nullptr         ? fixed_->power_curve() ? &*fixed_->power_curve() : nullptr
                 : holding_->power_curve() ? &*holding_->power_curve()
                                           : nullptr;
        last_ = fixed_ != nullptr ? table_->lowest() : table_->highest();
    }

    std::size_t sums() const { return basic_sums + input_.dust.classes.size(); }
    double direction() const { return fixed_ != nullptr ? -1.0 : 1.0; }   // of x along the life
    double last() const { return last_; }                                 // end of the fan's table

    /// Fan, ducts and filter at x, without the dust.
    void operate(double x, InversePlace& place) const {
        const std::size_t i = table_->segment_of(x);
        const double t = x - table_->knots()[i];
        const double value = cubic_value(table_->segments()[i], t), slope = cubic_slope(table_->segments()[i], t);
        place.x = x;
        if (fixed_ != nullptr) {
            place.flow = x;
            place.flow_slope = 1.0;
            place.pressure = pressure_scale_ * value;
            place.pressure_slope = pressure_scale_ * slope;
        } else {
            place.flow = value;
            place.flow_slope = slope;
            place.pressure = pressure_scale_ * x;
            place.pressure_slope = pressure_scale_;
        }
        const ValueAndSlope ducts = system_with_slope(input_.ducts, place.flow, input_.air);
        place.drop = place.pressure - ducts.value;
        place.drop_slope = place.pressure_slope - ducts.slope * place.flow_slope;
    }

    /// Everything at x; where the filter had to resist less than clean, mass is negative.
    InversePlace at(double x) const {
        InversePlace place;
        operate(x, place);
        double through_slope = place.flow_slope;
        place.through = place.flow;
        if (gap_ > 0.0) {
            const double root = std::sqrt(place.drop);
            place.through -= gap_ * root;
            through_slope -= 0.5 * gap_ * place.drop_slope / root;
        }
        const double q = place.through, per_flow = 1.0 / (element_.linear * q);
        const double factor = (place.drop - element_.quadratic * q * q) * per_flow;
        const double factor_slope =
            (place.drop_slope - (2.0 * element_.quadratic * q + factor * element_.linear) * through_slope) * per_flow;
        const double loaded = loading_mass(law_, factor > 1.0 ? factor : 1.0);
        place.mass = per_area_ * loaded;
        place.mass_slope = per_area_ * factor_slope / loading_slope(law_, loaded);
        place.caught = q * efficiency(loaded);
        return place;
    }

    bool has_power() const { return power_ != nullptr; }
    double power_at(double x) const {
        return power_ == nullptr ? 0.0 : input_.fan_scale.power_factor * density_ratio_ * power_->value(x);
    }

    /// The first place from x on where the fan's power reaches a limit: between two rows of the table it rises or falls
    /// throughout. x itself if it is over it there.
    std::optional<double> first_power(double limit, double x) const {
        if (power_at(x) >= limit) return x;
        const auto knots = table_->knots();
        const auto f = [&](double at) {
            return std::pair(power_at(at) - limit, input_.fan_scale.power_factor * density_ratio_ * power_->slope(at));
        };
        for (std::size_t i = 0; i < knots.size(); ++i) {
            const double knot = knots[direction() < 0.0 ? knots.size() - 1 - i : i];
            if ((knot - x) * direction() <= 0.0) continue;
            const double before = f(x).first, there = f(knot).first;
            if (there >= 0.0) {
                const double low = std::min(x, knot), high = std::max(x, knot);
                const bool falling = knot < x;
                return bracketed_root(f, low, high, falling ? there : before, falling ? before : there,
                                      0.5 * (low + high), 0.0)
                    .location;
            }
            x = knot;
        }
        return std::nullopt;
    }

    /// The operating point with a mass of dust; none if it lies outside the fan's table.
    std::optional<double> start(double mass) const {
        const double factor = loading_factor(law_, mass / per_area_);
        if (!std::isfinite(factor)) return std::nullopt;
        const ElementCoefficients<double> c{element_.linear * factor, element_.quadratic};
        return first(
            [&](double x) {   // what the filter opposes, less what is left for it: falls along the life
                InversePlace p;
                operate(x, p);
                const double q = flow_through_element(c, gap_, p.flow);
                const double steep = c.linear + 2.0 * c.quadratic * q;
                double share = 1.0;   // dq/dQ
                if (gap_ > 0.0 && q < p.flow) {
                    const double root = std::sqrt((c.linear + c.quadratic * q) * q);
                    share = 2.0 * root / (2.0 * root + gap_ * steep);
                }
                return std::pair(p.drop - (c.linear + c.quadratic * q) * q,
                                 p.drop_slope - steep * share * p.flow_slope);
            },
            direction() < 0.0 ? table_->highest() : table_->lowest());
    }

    /// The first place from x on, along the life, where a function that rises along it is zero; none in the table.
    template <class F>
    std::optional<double> first(const F& f, double from) const {
        const double at_from = f(from).first, at_last = f(last_).first;
        if (at_from > 0.0 || at_last < 0.0) return std::nullopt;
        const double guess = at_last > at_from ? from + (last_ - from) * (-at_from / (at_last - at_from)) : from;
        if (direction() > 0.0) return bracketed_root(f, from, last_, at_from, at_last, guess, 0.0).location;
        return bracketed_root(f, last_, from, at_last, at_from, guess, 0.0).location;
    }

    double efficiency(double loaded) const {
        if (stage_.by_size.empty()) return mass_efficiency_value(stage_.efficiency, loaded);
        double sum = 0.0;
        for (std::size_t i = 0; i < stage_.by_size.size(); ++i) {
            sum += input_.dust.classes[i].share * loaded_efficiency(stage_.by_size[i], loaded);
        }
        return sum;
    }
    double efficiency(double loaded, std::size_t i) const {
        return stage_.by_size.empty() ? mass_efficiency_value(stage_.efficiency, loaded)
                                      : loaded_efficiency(stage_.by_size[i], loaded);
    }

    /// Adds weight times the integrands over x to sums().
    void add(const InversePlace& p, double weight, double* sums) const {
        const double dose = weight * p.mass_slope / p.caught;
        sums[0] += dose;
        sums[1] += dose * p.flow;
        if (power_ != nullptr) sums[2] += dose * power_at(p.x);
        sums[3] += dose * p.flow * p.drop;
        sums[4] += dose * p.drop;
        sums[5] += dose * p.caught;
        for (std::size_t i = 0; i < input_.dust.classes.size(); ++i) {
            sums[basic_sums + i] += dose * p.through * efficiency(p.mass / per_area_, i);
        }
    }

    LifePoint<double> point(const InversePlace& p) const {
        LifePoint<double> point;
        point.flow = p.flow;
        point.pressure = p.pressure;
        point.power = power_at(p.x);
        point.drops = {p.drop};
        point.caught = {p.caught / p.flow};
        for (std::size_t i = 0; i < input_.dust.classes.size(); ++i) {
            point.removed.push_back(p.through / p.flow * efficiency(p.mass / per_area_, i));
        }
        return point;
    }

    /// Places between two where the integrand has a kink: rows of the fan's table, the law's transition; along the life.
    std::vector<double> breaks(double from, double to) const {
        std::vector<double> inside;
        const double low = std::min(from, to), high = std::max(from, to);
        for (const double knot : table_->knots()) {
            if (knot > low && knot < high) inside.push_back(knot);
        }
        if (law_.form == LoadingForm::smooth || law_.form == LoadingForm::kinked) {
            const auto kink = start(per_area_ * law_.transition);
            if (kink && *kink > low && *kink < high) inside.push_back(*kink);
        }
        std::sort(inside.begin(), inside.end());
        if (direction() < 0.0) std::reverse(inside.begin(), inside.end());
        return inside;
    }

private:
    const FilterLifeInput& input_;
    const FilterStage& stage_;
    const FanCurve* fixed_;
    const FlowHoldingFan* holding_;
    const MonotoneCubic* table_;
    const MonotoneCubic* power_ = nullptr;
    ElementCoefficients<double> element_;
    LoadingCoefficients<double> law_;
    double per_area_, gap_;   // mass of the building's dust over dust per area; conductance of the gap
    double density_ratio_ = 1.0, pressure_scale_ = 1.0, last_ = 0.0;
};

}   // namespace filterflow::detail
