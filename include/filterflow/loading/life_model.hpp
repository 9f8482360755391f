// SPDX-License-Identifier: BSL-1.0
#pragma once

// The equations behind a filter's life, generic in the scalar. The state is the dust on each stage and four running
// integrals; the variable is the dust dose theta (concentration integrated over running time), in which the
// equations do not know the time:
//
//     dm_k / dtheta = Q(m) sum_i s_i prod_{j<k} (1 - phi_j E_ji) phi_k E_ki
//
// Q flow of the operating point, phi_k share of it that goes through the filter and not past it, E_ki efficiency for
// the dust's class i, which has the share s_i of the dust's mass. Not public.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/filter_stage.hpp>

namespace filterflow {

/// What ended a filter's life.
enum class LifeEnd {
    horizon,                    ///< nothing: no limit was met within the horizon
    final_resistance,           ///< a stage reached its final resistance
    age,                        ///< a stage reached its greatest age
    least_airflow,              ///< the airflow fell to the least allowed
    external_static_pressure,   ///< ducts and filters reached the greatest pressure allowed
    greatest_power,             ///< the fan reached the greatest power allowed
    bridging,                   ///< the pleats of a stage bridged: no way in is left
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
    std::vector<T> removed;   // share of each class that all of them stop; empty if the dust has no classes
};

template <class T>
class LifeModel {
public:
    explicit LifeModel(const BasicFilterLifeInput<T>& input) : input_(input), system_(input.ducts) {
        if constexpr (std::is_same_v<T, double>) {
            for (PowerLawPart& part : system_.power_laws) part = stated_in(part, input.air);
        }
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
            pleats_.emplace_back();
            bridging_.emplace_back();
            if (!stage.pleats) continue;
            pleats_.back().emplace(*stage.pleats, air_as<T>(stage.clean.stated_air), "filter_life: pleats");
            const BasicBridgingMass<T> mass = pleats_.back()->bridging();
            if (!mass.bridged) continue;
            // Of slanting walls a twentieth is still open here: what is left of them goes with the square root.
            bridging_.back() = mass.tips_closed
                                   ? T(T(0.0025) * mass.tips_closed->value() + T(0.9975) * mass.bridged->value())
                                   : T(mass.bridged->value());
        }
        has_power_ = std::visit([](const auto& fan) { return fan.power_curve().has_value(); }, input.fan);
        if constexpr (std::is_same_v<T, double>) {
            const FanCurve* fan = std::get_if<FanCurve>(&input.fan);
            may_begin_near_ = fan && never_falls(system_) &&
                              !(fan->falls_throughout() && polynomial_system(system_, input.air, 1.0).complete);
        }
    }

    const BasicFilterLifeInput<T>& input() const { return input_; }
    std::size_t stages() const { return laws_.size(); }
    std::size_t classes() const { return input_.dust.classes.size(); }
    bool has_power() const { return has_power_; }
    const std::optional<T>& bridging_mass(std::size_t k) const { return bridging_[k]; }   // per reference area

    T retained_per_area(std::size_t k, const T& mass) const {
        return input_.dust.equivalence * mass / input_.stages[k].area.value();
    }

    /// Operating point and split at masses y[0..n); false if there is none.
    bool point(const std::vector<T>& y, LifePoint<T>& p) const {
        for (std::size_t k = 0; k < stages(); ++k) {
            if (!load_stage(k, retained_per_area(k, y[k]))) return false;
        }
        if (!operate(p)) return false;
        p.drops.resize(stages());
        p.caught.resize(stages());
        p.removed.clear();
        std::vector<T>& reaching = reaching_;
        reaching.assign(classes() == 0 ? 1 : classes(), T(1.0));
        for (std::size_t k = 0; k < stages(); ++k) {
            const T share = through_share(k, p);
            const BasicFilterStage<T>& stage = input_.stages[k];
            const T retained = retained_per_area(k, y[k]);
            p.caught[k] = T(0.0);
            for (std::size_t i = 0; i < reaching.size(); ++i) {
                const T efficiency = stage.by_size.empty() ? mass_efficiency_value(stage.efficiency, retained)
                                                           : loaded_efficiency(stage.by_size[i], retained);
                const T stopped = reaching[i] * share * efficiency;
                p.caught[k] = p.caught[k] + T(classes() == 0 ? 1.0 : input_.dust.classes[i].share) * stopped;
                reaching[i] = reaching[i] - stopped;
            }
        }
        for (std::size_t i = 0; i < classes(); ++i) p.removed.push_back(T(1.0) - reaching[i]);
        return true;
    }

    /// Running integrals behind the masses: of flow, power, flow times filter drop, filter drop, flow times caught
    /// share, and flow times the removed share of each class.
    std::size_t integrals() const { return 5 + classes(); }

    bool rates(const std::vector<T>& y, std::vector<T>& rate) const {
        if (!point(y, point_)) return false;
        rates_at(point_, rate);
        return true;
    }

    void rates_at(const LifePoint<T>& p, std::vector<T>& rate) const {
        const std::size_t n = stages();
        rate.resize(n + integrals());
        T drop(0.0), caught(0.0);
        for (std::size_t k = 0; k < n; ++k) {
            rate[k] = p.flow * p.caught[k];
            drop = drop + p.drops[k];
            caught = caught + p.caught[k];
        }
        rate[n] = p.flow;
        rate[n + 1] = p.power;
        rate[n + 2] = p.flow * drop;
        rate[n + 3] = drop;
        rate[n + 4] = p.flow * caught;
        for (std::size_t i = 0; i < classes(); ++i) rate[n + 5 + i] = p.flow * p.removed[i];
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
    /// Puts dust on a stage; false where its pleats are as good as bridged or its law overflows.
    bool load_stage(std::size_t k, const T& retained) const {
        if (!(plain_value(retained) >= 0.0)) return false;   // a step far too long
        BasicElementCurve<T>& element =
            bypassed_[k] ? system_.bypassed_elements[place_[k]].element : system_.elements[place_[k]];
        if (pleats_[k]) {
            const BasicFilterStage<T>& stage = input_.stages[k];
            std::optional<ElementCoefficients<T>> c;
            try {
                c = pleat_coefficients(*pleats_[k], T(stage.pleats->least_gap.value()), retained,
                                       T(stage.pleat_flow.value()));
            } catch (const NoSolution&) {   // channels too narrow to be resolved
            }
            if (!c || !std::isfinite(plain_value(c->linear))) return false;
            element.linear = BasicLinearResistance<T>::from_value(c->linear);
            element.quadratic = BasicQuadraticResistance<T>::from_value(c->quadratic);
            return true;
        }
        const T factor = loading_factor(laws_[k], retained);
        if (!std::isfinite(plain_value(factor))) return false;
        element.linear = BasicLinearResistance<T>::from_value(input_.stages[k].clean.linear.value() * factor);
        return true;
    }

    /// Share of the air that goes through a stage and not past it; sets its pressure drop.
    T through_share(std::size_t k, LifePoint<T>& p) const {
        if (!bypassed_[k]) {
            p.drops[k] = part_pressure_drop(system_.elements[place_[k]], p.flow, input_.air);
            return T(1.0);
        }
        const auto& part = system_.bypassed_elements[place_[k]];
        const auto c = element_coefficients(part.element, input_.air);
        const T q = flow_through_element(c, gap_conductance(part, T(input_.air.density.value())), p.flow);
        p.drops[k] = (c.linear + c.quadratic * q) * q;
        return q / p.flow;
    }

    bool operate(LifePoint<T>& p) const {
        const auto found = operating_state_here();
        if (!found) return false;
        p.flow = found->flow.value();
        p.pressure = found->pressure.value();
        p.power = found->power ? found->power->value() : T(0.0);
        return true;
    }

    std::optional<BasicOperatingState<T>> operating_state_here() const {
        if constexpr (std::is_same_v<T, double>) {
            if (may_begin_near_) {
                const FanCurve& fan = std::get<FanCurve>(input_.fan);
                const double scale = table_scale(fan.stated_air(), input_.air, input_.fan_scale.pressure_factor);
                if (first_row_of_crossing(fan, system_, input_.air, scale)) return state_near_the_last(fan, scale);
            }
        }
        return find_operating_state(input_.fan, system_, input_.air, input_.fan_scale).state;
    }

    /// Where fan and system meet once, on the falling part: from the flow before, which under dust is near by.
    std::optional<OperatingState> state_near_the_last(const FanCurve& fan, double scale) const {
        const FlowDifference difference{fan.pressure_curve(), system_, input_.air, scale};
        const NearCrossing c = crossing_near(difference, -1.0, last_segment_, last_flow_);
        if (!c.found) return std::nullopt;
        last_segment_ = c.segment;
        last_flow_ = c.x;
        const double slope = difference.at(c.segment, c.x).slope / scale;
        return state_at_flow(fan, {c.x, c.segment, 1.0 / slope}, system_, input_.air, input_.fan_scale);
    }

    BasicFilterLifeInput<T> input_;
    mutable BasicSystemCurve<T> system_;   // with the dust of the last point
    mutable std::vector<T> reaching_;      // of each class of dust, share of what arrives of it
    mutable LifePoint<T> point_;           // of the last rates
    std::vector<bool> bypassed_;
    std::vector<std::size_t> place_;
    std::vector<LoadingCoefficients<T>> laws_;
    std::vector<std::optional<PleatsUnderLoad<T>>> pleats_;
    std::vector<std::optional<T>> bridging_;
    bool has_power_ = false;
    bool may_begin_near_ = false;            // at the last solution, where fan and system have no faster way
    mutable double last_flow_ = 0.0;         // of the last solution, where the next search begins
    mutable std::size_t last_segment_ = 0;   // of the fan's table, in which it lies
};

}   // namespace detail
}   // namespace filterflow
