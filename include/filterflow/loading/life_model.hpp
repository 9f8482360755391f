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
    std::vector<T> drops;    // of each stage
    std::vector<T> caught;   // share of the arriving dust that each stage stops
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

}   // namespace detail
}   // namespace filterflow
