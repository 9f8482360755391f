// SPDX-License-Identifier: BSL-1.0
#pragma once

// The laws of a network's branches as plain numbers, a structure of arrays: a kind and its parameters each, in SI and
// in the air of the network. Made from the parts of branches, evaluated by network_law_points.hpp.

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

#include <filterflow/airflow/network_law_points.hpp>
#include <filterflow/airflow/network_parts.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

class LawStore {
public:
    std::size_t size() const { return kinds_.size(); }
    LawKind kind(std::size_t i) const { return kinds_[i]; }
    const FanLaw& fan(std::size_t i) const { return fans_[begins_[i]]; }

    template <Deferred...>
    void reserve(std::size_t count) {
        kinds_.reserve(count);
        begins_.reserve(count);
    }

    /// Checks a part and appends its law.
    template <Deferred...>
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
    template <Deferred...>
    void set(std::size_t i, const BranchPart& part, const AirState& air, const char* where) {
        std::visit([&](const auto& p) { set_part(i, p, air, where); }, part);
    }

    /// The laws in another order, with nothing in between.
    template <Deferred...>
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
    template <Deferred...>
    LawPoint at(std::size_t i, double flow, double pressure_scale) const {
        if (kinds_[i] == LawKind::element) return element_at(parameters_.data() + begins_[i], flow, pressure_scale);
        return other_at(i, flow, pressure_scale);
    }

private:
    template <Deferred...>
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

    template <Deferred...>
    void set_parameters(std::size_t i, LawKind kind, std::initializer_list<double> values) {
        if (kinds_[i] != kind || begins_[i] + values.size() > parameters_.size()) {
            begins_[i] = static_cast<std::uint32_t>(parameters_.size());
            parameters_.insert(parameters_.end(), values);
        } else {
            std::copy(values.begin(), values.end(), parameters_.begin() + static_cast<std::ptrdiff_t>(begins_[i]));
        }
        kinds_[i] = kind;
    }

    template <Deferred...>
    void set_part(std::size_t i, const DuctSegment& part, const AirState& air, const char* where) {
        check(part, where);
        const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
        require_resistance(c.friction_scale + std::abs(c.quadratic), where);
        set_parameters(i, LawKind::duct, {c.reynolds_per_flow, c.friction_scale, c.relative_roughness, c.quadratic});
    }
    template <Deferred...>
    void set_part(std::size_t i, const Fitting& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(std::abs(part.loss_coefficient), where);
        set_parameters(i, LawKind::duct, {0.0, 0.0, 0.0, fitting_quadratic(part, air.density.value())});
    }
    template <Deferred...>
    void set_part(std::size_t i, const ButterflyDamper& part, const AirState& air, const char* where) {
        check(part, where);
        set_part(i, damper_as_fitting(part), air, where);
    }
    template <Deferred...>
    void set_part(std::size_t i, const ElementCurve& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(part.linear.value() + part.quadratic.value(), where);
        const auto c = element_coefficients(part, air);
        set_parameters(i, LawKind::element, {c.linear, c.quadratic});
    }
    template <Deferred...>
    void set_part(std::size_t i, const BypassedElement& part, const AirState& air, const char* where) {
        check(part, where);
        const auto c = element_coefficients(part.element, air);
        set_parameters(i, LawKind::bypassed, {c.linear, c.quadratic, gap_conductance(part, air.density.value())});
    }
    template <Deferred...>
    void set_part(std::size_t i, const PowerLawPart& part, const AirState& air, const char* where) {
        check(part, where);
        require_resistance(part.reference_pressure.value(), where);
        set_parameters(i, LawKind::power,
                       {part.reference_pressure.value() * power_law_factor(part, air) /
                            std::pow(part.reference_flow.value(), part.exponent), part.exponent});
    }
    template <Deferred...>
    void set_part(std::size_t i, const LeakagePath& part, const AirState&, const char* where) {
        check(part, where);
        const double n = 1.0 / part.exponent;
        set_parameters(i, LawKind::power,
                       {part.reference_pressure.value() / std::pow(part.reference_flow.value(), n), n});
    }
    template <Deferred...>
    void set_part(std::size_t i, const FanCurve& part, const AirState& air, const char* where) {
        if (part.kind() == FanPressureKind::not_stated) {
            throw DomainError(std::string(where) +
                              ": the kind of the fan's pressure is not stated; required: total, or static or external "
                              "static taken as the rise of total pressure");
        }
        const MonotoneCubic& curve = part.pressure_curve();
        double greatest = 0.0;
        for (const double p : curve.values()) greatest = std::max(greatest, p);
        const double width = curve.highest() - curve.lowest();
        begins_[i] = static_cast<std::uint32_t>(fans_.size());
        fans_.push_back({curve, fan_density_ratio(part.stated_air(), air), std::max(greatest, 1e-300) / width,
                         part.kind()});
        kinds_[i] = LawKind::fan;
    }
    template <Deferred...>
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
    template <Deferred...>
    void set_part(std::size_t i, const FlowLaw& part, const AirState&, const char* where) {
        if (!part) throw DomainError(std::string(where) + ": a law without function; required: one that can be called");
        add_function(i, [part](double flow) {
            const FlowLawPoint p = part(VolumeFlow::from_value(flow));
            constexpr auto in = "law of a branch given as a function";
            return LawPoint{require_finite(in, "drop", p.drop.value(), "Pa"),
                            require_finite(in, "slope", p.slope.value(), "Pa s/m3")};
        });
    }
    template <Deferred...>
    void add_function(std::size_t i, std::function<LawPoint(double)> law) {
        begins_[i] = static_cast<std::uint32_t>(functions_.size());
        functions_.push_back({std::move(law)});
        kinds_[i] = LawKind::function;
    }

    template <Deferred...>
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
