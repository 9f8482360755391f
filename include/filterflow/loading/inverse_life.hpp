// SPDX-License-Identifier: BSL-1.0
#pragma once

// A life of one stage by inverse quadrature. Along it fan and system meet at a place x of the fan's table (its flow, or
// the pressure of a fan that holds its flow), and everything is explicit in x: what fan less ducts leave for the filter
// gives its factor F, the growth law's inverse the dust m on it, and so
//
//     d theta/dx = (dm/dx)/(q E),   q flow through the filter, E its efficiency
//
// is integrated without solving for operating points. Limits are places x, found by one root each. It holds where fan
// less ducts falls along the path: a fan that falls throughout or holds its flow, ducts that never fall. In double;
// with derivatives a life is integrated in dose. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/inverse_law.hpp>
#include <filterflow/loading/inverse_place.hpp>
#include <filterflow/loading/life_model.hpp>

namespace filterflow::detail {

class InverseLife {
public:
    /// Integrals over dose, as LifeModel has them: dose itself, flow, power, flow times drop, drop, flow times share
    /// caught; those of the classes of dust come on top.
    static constexpr std::size_t sums = 6;

    /// Whether a life is one of these.
    template <Deferred...>
    static bool applies(const FilterLifeInput& input) {
        if (input.stages.size() != 1 || input.stages[0].pleats || !never_falls(input.ducts)) return false;
        if (!(input.stages[0].clean.linear.value() > 0.0)) return false;
        const auto* fan = std::get_if<FanCurve>(&input.fan);
        return fan == nullptr || fan->falls_throughout();
    }

    template <Deferred...>
    explicit InverseLife(const FilterLifeInput& input)
        : input_(input),
          stage_(input.stages[0]),
          fixed_(std::get_if<FanCurve>(&input.fan)),
          holding_(std::get_if<FlowHoldingFan>(&input.fan)),
          table_(fixed_ != nullptr ? &fixed_->pressure_curve() : &holding_->flow_curve()),
          ducts_(polynomial_system(input.ducts, input.air, 1.0)),
          element_(element_coefficients(stage_.clean, input.air)),
          law_(loading_coefficients(stage_.law)),
          per_area_(stage_.area.value() / input.dust.equivalence),
          per_gain_(1.0 / stage_.efficiency.gain_scale.value()) {
        if (stage_.gap_area.value() > 0.0) {
            gap_ = gap_conductance(BypassedElement{stage_.clean, stage_.gap_area, stage_.discharge_coefficient},
                                   input.air.density.value());
        }
        const auto& power = fixed_ != nullptr ? fixed_->power_curve() : holding_->power_curve();
        if (power) power_ = &*power;
        const double density =
            fan_density_ratio(fixed_ != nullptr ? fixed_->stated_air() : holding_->stated_air(), input.air);
        pressure_scale_ = input.fan_scale.pressure_factor * density;
        power_scale_ = input.fan_scale.power_factor * density;
    }

    std::size_t classes() const { return input_.dust.classes.size(); }
    bool has_power() const { return power_ != nullptr; }
    double direction() const { return fixed_ != nullptr ? -1.0 : 1.0; }   // of x along the life
    template <Deferred...>
    double begin() const { return fixed_ != nullptr ? table_->highest() : table_->lowest(); }
    template <Deferred...>
    double last() const { return fixed_ != nullptr ? table_->lowest() : table_->highest(); }
    double per_area() const { return per_area_; }

    template <Deferred...>
    InversePiece piece(std::size_t segment) const {
        return {table_->knots()[segment], table_->segments()[segment],
                power_ != nullptr ? power_->segments()[segment] : CubicSegment{}};
    }
    template <Deferred...>
    InversePiece piece_of(double x) const { return piece(table_->segment_of(x)); }

    /// Fan and ducts at x, what they leave for the filter.
    template <Deferred...>
    void operate(double x, const InversePiece& piece, InversePlace& place) const {
        const double t = x - piece.knot;
        const double value = cubic_value(piece.table, t), slope = cubic_slope(piece.table, t);
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
        const double q = place.flow;
        ValueAndSlope ducts{ducts_.constant + q * (ducts_.linear + q * ducts_.quadratic),
                            ducts_.linear + 2.0 * q * ducts_.quadratic};
        if (!ducts_.complete) ducts = system_with_slope(input_.ducts, q, input_.air);
        place.drop = place.pressure - ducts.value;
        place.drop_slope = place.pressure_slope - ducts.slope * place.flow_slope;
    }

    /// The factor that the filter must have at x, and its slope to x; after operate.
    template <Deferred...>
    std::pair<double, double> factor(InversePlace& place) const {
        double through_slope = place.flow_slope;
        place.through = place.flow;
        if (gap_ > 0.0) {
            const double root = std::sqrt(place.drop);
            place.through -= gap_ * root;
            through_slope -= 0.5 * gap_ * place.drop_slope / root;
        }
        const double q = place.through, per_flow = 1.0 / (element_.linear * q);
        const double value = (place.drop - element_.quadratic * q * q) * per_flow;
        return {value, (place.drop_slope - (2.0 * element_.quadratic * q + value * element_.linear) * through_slope) *
                           per_flow};
    }

    /// Everything at x.
    template <Deferred...>
    InversePlace at(double x, const InversePiece& piece) const {
        InversePlace place;
        operate(x, piece, place);
        const auto [value, slope] = factor(place);
        const auto [loaded, loaded_slope] = law_.mass(value > 1.0 ? value : 1.0);
        place.loaded = loaded;
        place.mass_slope = per_area_ * slope * loaded_slope;
        place.caught = place.through * efficiency(loaded);
        place.power = power_ != nullptr ? power_scale_ * cubic_value(piece.power, x - piece.knot) : 0.0;
        return place;
    }
    template <Deferred...>
    InversePlace at(double x) const { return at(x, piece_of(x)); }

    /// The first place from x on, along the life, where a function of place and piece that rises along it is zero; none
    /// in the table.
    template <class F>
    std::optional<double> first(const F& f, double from) const {
        const std::size_t segment = table_->segment_of(from);
        if (f(from, piece(segment)).first > 0.0) return std::nullopt;
        // Knots along the life; the last one of them where the function is still negative, by halving.
        const std::size_t count = fixed_ != nullptr ? segment + 1 : table_->segments().size() - segment;
        const auto segment_at = [&](std::size_t i) { return fixed_ != nullptr ? segment - i : segment + i; };
        const auto far_end = [&](std::size_t i) {
            return table_->knots()[fixed_ != nullptr ? segment_at(i) : segment_at(i) + 1];
        };
        std::size_t low = 0, high = count;   // reached by the end of segment `high`, not by that of `low - 1`
        while (low < high) {
            const std::size_t middle = (low + high) / 2;
            if (f(far_end(middle), piece(segment_at(middle))).first >= 0.0) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        if (low == count) return std::nullopt;
        const InversePiece in = piece(segment_at(low));
        const double a = low == 0 ? from : far_end(low - 1), b = far_end(low);
        const auto g = [&](double x) { return f(x, in); };
        const double at_a = g(a).first, at_b = g(b).first;
        return a < b ? root_between(g, a, b, at_a, at_b) : root_between(g, b, a, at_b, at_a);
    }

    /// The first place from x on where the fan's power reaches a limit: between two rows of the table it rises or falls
    /// throughout. x itself if it is over it there.
    template <Deferred...>
    std::optional<double> first_power(double limit, double x) const {
        const auto f = [&](double at) {
            return std::pair(power_scale_ * power_->value(at) - limit, power_scale_ * power_->slope(at));
        };
        if (f(x).first >= 0.0) return x;
        const auto knots = table_->knots();
        for (std::size_t i = 0; i < knots.size(); ++i) {
            const double knot = knots[direction() < 0.0 ? knots.size() - 1 - i : i];
            if ((knot - x) * direction() <= 0.0) continue;
            const double before = f(x).first, there = f(knot).first;
            if (there >= 0.0) {
                return x < knot ? root_between(f, x, knot, before, there) : root_between(f, knot, x, there, before);
            }
            x = knot;
        }
        return std::nullopt;
    }

    /// The place with a factor on the filter's resistance; none if it lies outside the fan's table.
    template <Deferred...>
    std::optional<double> place_of_factor(double wanted, double from) const {
        if (!std::isfinite(wanted)) return std::nullopt;
        const ElementCoefficients<double> c{element_.linear * wanted, element_.quadratic};
        return first(
            [&](double x, const InversePiece& piece) {   // what is left for the filter, less what it opposes
                InversePlace p;
                operate(x, piece, p);
                const double q = gap_ > 0.0 ? flow_through_element(c, gap_, p.flow) : p.flow;
                const double steep = c.linear + 2.0 * c.quadratic * q, opposed = (c.linear + c.quadratic * q) * q;
                double share = 1.0;   // dq/dQ
                if (gap_ > 0.0 && opposed > 0.0) {
                    const double root = std::sqrt(opposed);
                    share = 2.0 * root / (2.0 * root + gap_ * steep);
                }
                return std::pair(p.drop - opposed, p.drop_slope - steep * share * p.flow_slope);
            },
            from);
    }
    template <Deferred...>
    std::optional<double> start(double mass) const {
        return place_of_factor(loading_factor(law_.law(), mass / per_area_), begin());
    }

    template <Deferred...>
    double efficiency(double loaded) const {
        if (stage_.by_size.empty()) {
            const auto& e = stage_.efficiency;
            return e.gain == 0.0 ? e.clean : e.clean + e.gain * share_of_gain(loaded * per_gain_);
        }
        double sum = 0.0;
        for (std::size_t i = 0; i < stage_.by_size.size(); ++i) {
            sum += input_.dust.classes[i].share * loaded_efficiency(stage_.by_size[i], loaded);
        }
        return sum;
    }
    template <Deferred...>
    double efficiency(double loaded, std::size_t i) const {
        return stage_.by_size.empty() ? mass_efficiency_value(stage_.efficiency, loaded)
                                      : loaded_efficiency(stage_.by_size[i], loaded);
    }

    template <Deferred...>
    LifePoint<double> point(const InversePlace& p) const {
        LifePoint<double> point;
        point.flow = p.flow;
        point.pressure = p.pressure;
        point.power = p.power;
        point.drops = {p.drop};
        point.caught = {p.caught / p.flow};
        for (std::size_t i = 0; i < classes(); ++i) {
            point.removed.push_back(p.through / p.flow * efficiency(p.loaded, i));
        }
        return point;
    }

    /// Ends of stretches without a kink of the integrand, along the life, the last of them `to`: rows of the fan's
    /// table, the law's transition.
    template <Deferred...>
    void stretches(double from, double to, std::vector<double>& ends) const {
        ends.clear();
        const auto knots = table_->knots();
        for (std::size_t i = 0; i < knots.size(); ++i) {
            const double knot = knots[direction() < 0.0 ? knots.size() - 1 - i : i];
            if ((knot - from) * direction() > 0.0 && (to - knot) * direction() > 0.0) ends.push_back(knot);
        }
        ends.push_back(to);
        const auto kink = law_.kink();
        if (!kink) return;
        const auto factor_at = [&](double x) {
            InversePlace p;
            operate(x, piece_of(x), p);
            return factor(p).first;
        };
        if (!(factor_at(from) < *kink)) return;
        for (std::size_t i = 0; i < ends.size(); ++i) {
            if (!(factor_at(ends[i]) > *kink)) continue;
            const auto x = place_of_factor(*kink, i == 0 ? from : ends[i - 1]);
            if (x && *x != ends[i]) ends.insert(ends.begin() + static_cast<std::ptrdiff_t>(i), *x);
            return;
        }
    }

private:
    const FilterLifeInput& input_;
    const FilterStage& stage_;
    const FanCurve* fixed_;
    const FlowHoldingFan* holding_;
    const MonotoneCubic* table_;
    const MonotoneCubic* power_ = nullptr;
    PolynomialSystem ducts_;
    ElementCoefficients<double> element_;
    InverseLaw law_;
    double per_area_;    // mass of the building's dust over dust per area
    double per_gain_;    // of the efficiency's gain, over dust per area
    double gap_ = 0.0;   // conductance
    double pressure_scale_ = 1.0, power_scale_ = 1.0;
};

}   // namespace filterflow::detail
