// SPDX-License-Identifier: BSL-1.0
#pragma once

// The life of one stage straight from the nodes of its quadrature. Not public.

#include <cstddef>
#include <optional>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/inverse_course.hpp>
#include <filterflow/loading/inverse_life.hpp>
#include <filterflow/loading/life_result.hpp>

namespace filterflow::detail {

/// The moment of a life of one stage at a node of its quadrature.
template <Deferred...>
inline LifeMoment inverse_moment(const InverseCourse& course, const InverseNode& node, const FilterLifeInput& input) {
    const InverseLife& life = course.life();
    const InversePlace p = life.at(node.x);
    const double c = input.dust.concentration.value(), per = 1.0 / c;
    LifeMoment moment;
    moment.time = Time::from_value(node.sums[0] * per);
    moment.dose = DustDose::from_value(node.sums[0]);
    moment.retained.assign(1, Mass::from_value(life.per_area() * p.loaded));
    moment.stage_drops.assign(1, Pressure::from_value(p.drop));
    moment.caught_share.assign(1, p.caught / p.flow);
    moment.flow = VolumeFlow::from_value(p.flow);
    moment.filter_drop = Pressure::from_value(p.drop);
    moment.external_static_pressure = Pressure::from_value(p.pressure);
    moment.delivered = Volume::from_value(node.sums[1] * per);
    if (life.has_power()) {
        moment.power = Power::from_value(p.power);
        moment.fan_energy = Energy::from_value(node.sums[2] * per);
    }
    moment.filter_air_energy = Energy::from_value(node.sums[3] * per);
    moment.filter_drop_time = node.sums[4] * per;
    moment.clean_air = Volume::from_value(node.sums[5] * per);
    for (std::size_t i = 0; i < life.classes(); ++i) {
        moment.removed_by_size.push_back(p.through / p.flow * life.efficiency(p.loaded, i));
        moment.clean_air_by_size.push_back(Volume::from_value(node.by_class[i] * per));
    }
    return moment;
}

/// A life of one stage by inverse quadrature, straight from its nodes; none where it is no life for that way, or where
/// a final resistance may lie below the clean pressure drop. Checked input.
template <Deferred...>
inline std::optional<FilterLife> inverse_filter_life(const FilterLifeInput& input) {
    if (!InverseLife::applies(input)) return std::nullopt;
    InverseCourse course(input);
    const auto [limit, at_limit] = dose_limit(input, 0.0, input.horizon.value() * input.dust.concentration.value());
    if (!course.run(input, 0.0, limit, at_limit, 24)) return std::nullopt;
    if (course.end() == LifeEnd::final_resistance && course.nodes().size() == 1) return std::nullopt;
    FilterLife life;
    take_end(course.end(), 0, 1, life);
    life.moments.reserve(course.nodes().size());
    for (const InverseNode& node : course.nodes()) life.moments.push_back(inverse_moment(course, node, input));
    life.moments.front().retained[0] = Mass{};
    life.age = Time::from_value(life.moments.back().time.value() / input.running_fraction);
    take_totals(input, {life.moments.back().retained[0].value()}, course.nodes().back().sums[1], life);
    return life;
}

}   // namespace filterflow::detail
