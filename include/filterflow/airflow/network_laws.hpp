// SPDX-License-Identifier: BSL-1.0
#pragma once

// The laws of a network's branches as plain numbers, a structure of arrays: a kind and its parameters each, in SI and
// in the air of the network. Each gives, at any flow of either sign, the pressure drop and its slope.
//
// Where a law is flat at zero flow its slope is held up: below 1e-10 of the pressure scale it is that of the flow
// which takes as much. Drops are never touched, so that the solution is that of the laws as stated.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <initializer_list>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/network_parts.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow::detail {

enum class LawKind : std::uint8_t { element, power, duct, bypassed, fan, function };

struct LawPoint {
    double drop;
    double slope;   // < 0 on the rising part of a fan, or where a coefficient is negative
};

/// A fan's table as a branch sees it: beyond its ends it goes on in a straight line that falls, so that iterations
/// find back; a solution there is reported as outside the table.
struct FanLaw {
    MonotoneCubic curve;
    double density_ratio;
    double least_fall;   // Pa s/m3

    LawPoint at(double flow) const {
        const double low = curve.lowest(), high = curve.highest();
        if (flow < low || flow > high) {
            const bool below = flow < low;
            const double end = below ? low : high;
            const double slope = std::min(curve.slope(end), -least_fall);
            return {-density_ratio * ((below ? curve.values().front() : curve.values().back()) + slope * (flow - end)),
                    -density_ratio * slope};
        }
        const std::size_t i = curve.segment_of(flow);
        const double t = flow - curve.knots()[i];
        const double slope = -density_ratio * cubic_slope(curve.segments()[i], t);
        const double floor = 1e-5 * density_ratio * least_fall;
        return {-density_ratio * cubic_value(curve.segments()[i], t),
                slope >= 0.0 && slope < floor ? floor : slope};
    }
    /// Within the table, but for rounding (a fan against a closed end moves 1e-18 m3/s, of either sign).
    bool contains(double flow) const {
        const double slack = 1e-9 * (curve.highest() - curve.lowest());
        return flow >= curve.lowest() - slack && flow <= curve.highest() + slack;
    }
};

/// A law made of whatever gives a drop and a slope.
struct FunctionLaw {
    std::function<LawPoint(double)> at;
};

inline constexpr double flat_share = 1e-10;   // of the pressure scale

class LawStore {
public:
    std::size_t size() const { return kinds_.size(); }
    LawKind kind(std::size_t i) const { return kinds_[i]; }
    const FanLaw& fan(std::size_t i) const { return fans_[begins_[i]]; }

    void reserve(std::size_t count) {
        kinds_.reserve(count);
        begins_.reserve(count);
    }

    /// Checks a part and appends its law.
    void add(const BranchPart& part, const AirState& air, const char* where) {
        kinds_.push_back(LawKind::element);
        begins_.push_back(no_place);
        try {
            set(size() - 1, part, air, where);
        } catch (...) {
            kinds_.pop_back();
            begins_.pop_back();
            throw;
        }
    }

    /// Checks a part and puts its law in the place of law i.
    void set(std::size_t i, const BranchPart& part, const AirState& air, const char* where) {
        std::visit([&](const auto& p) { set_part(i, p, air, where); }, part);
    }

    /// The laws in another order, with nothing in between.
    LawStore in_order(const std::vector<std::int32_t>& order) const {
        LawStore sorted;
        sorted.reserve(order.size());
        sorted.parameters_.reserve(parameters_.size());
        for (const std::int32_t from : order) {
            const auto i = static_cast<std::size_t>(from);
            const std::size_t length = parameter_count(kinds_[i]);
            sorted.kinds_.push_back(kinds_[i]);
            sorted.begins_.push_back(static_cast<std::uint32_t>(length > 0 ? sorted.parameters_.size() : begins_[i]));
            const auto first = parameters_.begin() + (length > 0 ? static_cast<std::ptrdiff_t>(begins_[i]) : 0);
            const auto last = first + static_cast<std::ptrdiff_t>(length);
            if (length > 0) sorted.parameters_.insert(sorted.parameters_.end(), first, last);
        }
        sorted.fans_ = fans_;
        sorted.functions_ = functions_;
        return sorted;
    }

    /// Drop and slope of law i at a flow; pressure_scale tells where the law counts as flat.
    LawPoint at(std::size_t i, double flow, double pressure_scale) const {
        if (kinds_[i] == LawKind::element) return element_at(parameters_.data() + begins_[i], flow, pressure_scale);
        return other_at(i, flow, pressure_scale);
    }

private:
    LawPoint other_at(std::size_t i, double flow, double pressure_scale) const {
        switch (kinds_[i]) {
            case LawKind::element: break;
            case LawKind::power: return power_at(parameters_.data() + begins_[i], flow, pressure_scale);
            case LawKind::duct: return duct_at(parameters_.data() + begins_[i], flow, pressure_scale);
            case LawKind::bypassed: return bypassed_at(parameters_.data() + begins_[i], flow, pressure_scale);
            case LawKind::fan: return fans_[begins_[i]].at(flow);
            case LawKind::function: return function_at(functions_[begins_[i]], flow, pressure_scale);
        }
        return {0.0, 0.0};
    }

    static constexpr std::uint32_t no_place = 0xffffffffU;

    static std::size_t parameter_count(LawKind kind) {
        switch (kind) {
            case LawKind::element: return 2;
            case LawKind::power: return 2;
            case LawKind::duct: return 4;
            case LawKind::bypassed: return 3;
            default: return 0;
        }
    }

    /// Slope of r |q| + s q^2 held up where it is flat.
    static double held_up(double slope, double quadratic, double pressure_scale) {
        const double floor_squared = 4.0 * flat_share * quadratic * pressure_scale;
        return slope >= 0.0 && slope * slope < floor_squared ? std::sqrt(floor_squared) : slope;
    }

    static LawPoint element_at(const double* c, double flow, double pressure_scale) {
        const double size = std::abs(flow);
        return {(c[0] + c[1] * size) * flow, held_up(c[0] + 2.0 * c[1] * size, c[1], pressure_scale)};
    }

    static LawPoint power_at(const double* c, double flow, double pressure_scale) {
        const double size = std::abs(flow), n = c[1];
        const double drop = size > 0.0 ? c[0] * std::pow(size, n) : 0.0;
        const double flat = flat_share * pressure_scale;
        if (drop > flat) return {flow < 0.0 ? -drop : drop, n * drop / size};
        return {flow < 0.0 ? -drop : drop, flat > 0.0 ? n * flat / std::pow(flat / c[0], 1.0 / n) : n > 1.0 ? 0.0 : c[0]};
    }

    static LawPoint duct_at(const double* c, double flow, double pressure_scale) {
        const double size = std::abs(flow);
        double drop = c[3] * size * size, slope = 2.0 * c[3] * size;
        if (c[1] > 0.0) {
            const FrictionPoint<double> friction = blended_friction(c[0] * size, c[2]);
            drop += c[1] * friction.g;
            slope += c[1] * c[0] * friction.slope;
        }
        return {flow < 0.0 ? -drop : drop, held_up(slope, std::abs(c[3]), pressure_scale)};
    }

    static LawPoint bypassed_at(const double* c, double flow, double pressure_scale) {
        const auto size = Dual<1>::input(std::abs(flow), 0);
        const ElementCoefficients<Dual<1>> element{c[0], c[1]};
        const Dual<1> through = flow_through_element(element, Dual<1>(c[2]), size);
        const Dual<1> drop = (element.linear + element.quadratic * through) * through;
        const double paths = c[2] + (c[1] > 0.0 ? 1.0 / std::sqrt(c[1]) : 0.0);
        return {flow < 0.0 ? -drop.value : drop.value,
                held_up(drop.derivative[0], paths > 0.0 ? 1.0 / (paths * paths) : 0.0, pressure_scale)};
    }

    static LawPoint function_at(const FunctionLaw& law, double flow, double pressure_scale) {
        LawPoint point = law.at(flow);
        const double floor = flat_share * pressure_scale / (std::abs(flow) + 1e-6);
        if (point.slope >= 0.0 && point.slope < floor) point.slope = floor;
        return point;
    }

    void set_parameters(std::size_t i, LawKind kind, std::initializer_list<double> values) {
        if (kinds_[i] != kind || begins_[i] + values.size() > parameters_.size()) {
            begins_[i] = static_cast<std::uint32_t>(parameters_.size());
            parameters_.insert(parameters_.end(), values);
        } else {
            std::copy(values.begin(), values.end(), parameters_.begin() + static_cast<std::ptrdiff_t>(begins_[i]));
        }
        kinds_[i] = kind;
    }

    void set_part(std::size_t i, const DuctSegment& part, const AirState& air, const char* where) {
        check(part, where);
        const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
        require_resistance(c.friction_scale + std::abs(c.quadratic), where);
        set_parameters(i, LawKind::duct, {c.reynolds_per_flow, c.friction_scale, c.relative_roughness, c.quadratic});
    }
    void set_part(std::size_t i, const Fitting& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(std::abs(part.loss_coefficient), where);
        set_parameters(i, LawKind::duct, {0.0, 0.0, 0.0, fitting_quadratic(part, air.density.value())});
    }
    void set_part(std::size_t i, const ButterflyDamper& part, const AirState& air, const char* where) {
        check(part, where);
        set_part(i, damper_as_fitting(part), air, where);
    }
    void set_part(std::size_t i, const ElementCurve& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(part.linear.value() + part.quadratic.value(), where);
        const auto c = element_coefficients(part, air);
        set_parameters(i, LawKind::element, {c.linear, c.quadratic});
    }
    void set_part(std::size_t i, const BypassedElement& part, const AirState& air, const char* where) {
        check(part, where);
        const auto c = element_coefficients(part.element, air);
        set_parameters(i, LawKind::bypassed, {c.linear, c.quadratic, gap_conductance(part, air.density.value())});
    }
    void set_part(std::size_t i, const PowerLawPart& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(part.reference_pressure.value(), where);
        set_parameters(i, LawKind::power,
                       {part.reference_pressure.value() * power_law_factor(part, air) /
                            std::pow(part.reference_flow.value(), part.exponent), part.exponent});
    }
    void set_part(std::size_t i, const LeakagePath& part, const AirState&, const char* where) {
        check(part, where);
        const double n = 1.0 / part.exponent;
        set_parameters(i, LawKind::power,
                       {part.reference_pressure.value() / std::pow(part.reference_flow.value(), n), n});
    }
    void set_part(std::size_t i, const FanCurve& part, const AirState& air, const char*) {
        const MonotoneCubic& curve = part.pressure_curve();
        double greatest = 0.0;
        for (const double p : curve.values()) greatest = std::max(greatest, p);
        const double width = curve.highest() - curve.lowest();
        begins_[i] = static_cast<std::uint32_t>(fans_.size());
        fans_.push_back({curve, fan_density_ratio(part.stated_air(), air), std::max(greatest, 1e-300) / width});
        kinds_[i] = LawKind::fan;
    }
    void set_part(std::size_t i, const SystemCurve& part, const AirState& air, const char* where) {
        check(part, air, where);
        const double constant = part.constant_pressure.value();
        LawStore parts;
        const auto add_each = [&](const auto& list) {
            for (const auto& p : list) parts.add(p, air, where);
        };
        add_each(part.power_laws);
        add_each(part.elements);
        add_each(part.bypassed_elements);
        add_each(part.ducts);
        require_resistance(static_cast<double>(parts.size()), where);
        add_function(i, [constant, parts = std::move(parts)](double flow) {
            LawPoint sum{constant, 0.0};
            for (std::size_t k = 0; k < parts.size(); ++k) {
                const LawPoint p = parts.at(k, flow, 0.0);
                sum.drop += p.drop;
                sum.slope += p.slope;
            }
            return sum;
        });
    }
    void set_part(std::size_t i, const FlowLaw& part, const AirState&, const char* where) {
        if (!part) throw DomainError(std::string(where) + ": a law without function; required: one that can be called");
        add_function(i, [part](double flow) {
            const FlowLawPoint p = part(VolumeFlow::from_value(flow));
            constexpr auto in = "law of a branch given as a function";
            return LawPoint{require_finite(in, "drop", p.drop.value(), "Pa"),
                            require_finite(in, "slope", p.slope.value(), "Pa s/m3")};
        });
    }
    void add_function(std::size_t i, std::function<LawPoint(double)> law) {
        begins_[i] = static_cast<std::uint32_t>(functions_.size());
        functions_.push_back({std::move(law)});
        kinds_[i] = LawKind::function;
    }

    static void require_resistance(double value, const char* where) {
        if (!(value > 0.0)) throw_domain_error(where, "resistance", value, "Pa", "> 0, or the flow is not determined");
    }

    std::vector<LawKind> kinds_;
    std::vector<std::uint32_t> begins_;   // in the parameters, the fans or the functions
    std::vector<double> parameters_;
    std::vector<FanLaw> fans_;
    std::vector<FunctionLaw> functions_;
};

}   // namespace filterflow::detail
