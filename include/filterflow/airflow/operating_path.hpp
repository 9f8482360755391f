// SPDX-License-Identifier: BSL-1.0
#pragma once

// The operating points of one fan as its filter loads from clean to dirty: a path, each point found from the one
// before, with what happens on the way. What a filter's dust does to its resistance over time is the room loading's.

#include <concepts>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/path_events.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A filter that grows dirty: its resistances go in a straight line from the clean to the dirty ones.
struct FilterGrowth {
    ElementCurve clean{};   ///< growth 0
    ElementCurve dirty{};   ///< growth 1; no resistance below the clean one's in the air at hand, one above
};

/// How a path is cut, and what to look for.
struct PathRules {
    std::size_t steps = 20;                    ///< equal steps of growth, 1 to 100 000
    std::optional<VolumeFlow> least_flow{};    ///< airflow that the equipment must have (nameplate), > 0
};

/// One operating point of the path.
struct PathPoint {
    double growth = 0.0;                        ///< 0 clean to 1 dirty
    OperatingStatus status = OperatingStatus::below_table;   ///< as operating_flow
    std::optional<VolumeFlow> flow{};           ///< empty: no point inside the table
    Pressure pressure{};                        ///< of the fan table's kind; zero without a flow
    Pressure filter_drop{};                     ///< of the filter alone; zero without a flow
    std::optional<Power> power{};               ///< as the fan table states it
    bool fan_rises = false;                     ///< on a part where the fan's pressure rises with flow: risk of stall
};

/// What happens on a path.
enum class PathEventKind {
    table_entered,       ///< before it the system needed less than the table begins with, at more flow than it has
    least_flow,          ///< the airflow falls to the least that is stated
    highest_pressure,    ///< the fan is at the highest point of its curve; with more resistance it may stall or surge
    fan_gives_up,        ///< a flow-holding drive is at its limit
    jump,                ///< the point ends, and the fan falls back to another of less flow, or out of its table
    table_left           ///< with more resistance the fan would run where it was not measured
};

/// An event and its point; for a jump, that before it.
struct PathEvent {
    PathEventKind kind;
    PathPoint point{};
    PathPoint after{};   ///< after a jump: without a flow, if the fan falls out of its table
};

/// Operating points over growth and what happened between them.
struct OperatingPath {
    std::vector<PathPoint> points{};   ///< in the order of growth; shape (steps + 1)
    std::vector<PathEvent> events{};   ///< in the order of growth
};

/// An event in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: every kind
/// @param  kind  of an event
/// @return what it means, as part of a sentence
/// @throws nothing
/// @source none; test: airflow/operating_path_test.cpp
template <Deferred...>
inline std::string_view event_text(PathEventKind kind) {
    switch (kind) {
        case PathEventKind::table_entered: return "the point comes into the fan's table";
        case PathEventKind::least_flow: return "the airflow falls to the least that is stated";
        case PathEventKind::highest_pressure: return "the fan is at the highest point of its curve";
        case PathEventKind::fan_gives_up: return "the drive is at its limit";
        case PathEventKind::jump: return "the point ends and the fan falls back";
        case PathEventKind::table_left: return "the point leaves the fan's table";
    }
    return "unknown event";
}

namespace detail {

template <class F>
PathPoint path_point(const F& fan, const GrowingSystem& growing, double growth, const PathSolution& s) {
    PathPoint p;
    p.growth = growth;
    p.status = s.status;
    if (!s.flow) return p;
    p.flow = VolumeFlow::from_value(*s.flow);
    p.pressure = Pressure::from_value(system_pressure_drop(growing.system(), *s.flow, growing.air()));
    p.filter_drop = Pressure::from_value(growing.filter_drop(growth, *s.flow));
    p.power = path_power(fan, s, growing.air());
    p.fan_rises = path_rises(fan, s);
    return p;
}

template <class F>
class PathSearch {
public:
    PathSearch(const F& fan, const SystemCurve& ducts, const FilterGrowth& filter, const AirState& air,
               const PathRules& rules)
        : fan_(fan), growing_(ducts, filter.clean, filter.dirty, air), rules_(rules) {}

    OperatingPath run() {
        const double step = 1.0 / static_cast<double>(rules_.steps);
        PathSolution before;
        for (std::size_t k = 0; k <= rules_.steps; ++k) {
            const double growth = k < rules_.steps ? static_cast<double>(k) * step : 1.0;
            const PathSolution now = path_solution(fan_, growing_, growth, before, step);
            growing_.set_growth(growth);
            path_.points.push_back(path_point(fan_, growing_, growth, now));
            if (k == 0) {
                at_the_start(now);
            } else {
                between(before, now);
            }
            before = now;
        }
        return std::move(path_);
    }

private:
    /// Appends an event where the solution has a flow; in the order of growth.
    void add(PathEventKind kind, double growth, double flow, const PathPoint& after = {}) {
        PathSolution s;
        s.flow = flow;
        growing_.set_growth(growth);
        s.table_pressure = table_pressure_at(flow);
        s.status = path_solution(fan_, growing_, growth, {}, 0.0).status;
        PathEvent event{kind, path_point(fan_, growing_, growth, s), after};
        std::size_t place = path_.events.size();
        while (place > 0 && path_.events[place - 1].point.growth > growth) --place;
        path_.events.insert(path_.events.begin() + static_cast<std::ptrdiff_t>(place), std::move(event));
    }
    double table_pressure_at(double flow) const {
        if constexpr (std::same_as<F, FlowHoldingFan>) {
            const MonotoneCubic& t = fan_.flow_curve();
            const double at = system_pressure_drop(growing_.system(), flow, growing_.air()) /
                              fan_density_ratio(fan_.stated_air(), growing_.air());
            return at < t.lowest() ? t.lowest() : at > t.highest() ? t.highest() : at;
        } else {
            return 0.0;
        }
    }
    /// At a flow that lies on the path.
    void add_at_flow(PathEventKind kind, double flow) {
        add(kind, growing_.growth_for(flow, fan_pressure_at(fan_, flow, growing_.air())), flow);
    }

    void at_the_start(const PathSolution& s) {
        if (s.flow && rules_.least_flow && *s.flow <= rules_.least_flow->value()) {
            add(PathEventKind::least_flow, 0.0, *s.flow);
        }
        if (s.status == OperatingStatus::fan_gave_up) add(PathEventKind::fan_gives_up, 0.0, *s.flow);
        if constexpr (std::same_as<F, FanCurve>) {
            const auto peak = peak_flow();
            if (s.flow && peak && *s.flow <= *peak) add(PathEventKind::highest_pressure, 0.0, *s.flow);
        }
    }

    void between(const PathSolution& before, const PathSolution& now) {
        const double first = greatest_flow(), last = least_flow();
        if (before.status == OperatingStatus::beyond_table && now.status != OperatingStatus::beyond_table) {
            add(PathEventKind::table_entered, growing_.growth_for(first, pressure_of_greatest_flow()), first);
        }
        if (!before.flow && !(now.flow && before.status == OperatingStatus::beyond_table)) return;
        const double from = before.flow ? *before.flow : first;
        const double to = now.flow ? *now.flow : last;
        const std::optional<Fold> fold = find_fold(fan_, growing_, from, to);
        const auto passes = [&](double flow) { return from > flow && to <= flow; };
        const auto pass = [&](PathEventKind kind, double flow) {
            if (!passes(flow)) return;
            if (fold && fold->flow > flow) {
                add(kind, fold->growth, fold->flow);
            } else {
                add_at_flow(kind, flow);
            }
        };
        if (rules_.least_flow) pass(PathEventKind::least_flow, rules_.least_flow->value());
        if constexpr (std::same_as<F, FanCurve>) {
            if (const auto peak = peak_flow()) pass(PathEventKind::highest_pressure, *peak);
        } else {
            if (before.status == OperatingStatus::flow_held && now.status != OperatingStatus::flow_held) {
                const double held = fan_.held_flow().value();
                const double limit =
                    fan_density_ratio(fan_.stated_air(), growing_.air()) * fan_.give_up_pressure().value();
                add(PathEventKind::fan_gives_up, growing_.growth_for(held, limit), held);
            }
        }
        if (fold) {
            const double behind = fold->growth * (1.0 + 1e-9);
            const PathSolution s = path_solution(fan_, growing_, behind, {}, 0.0);
            const PathPoint after = path_point(fan_, growing_, behind, s);
            add(PathEventKind::jump, fold->growth, fold->flow, after);
        } else if (!now.flow) {
            add_at_flow(PathEventKind::table_left, last);
        }
    }

    double greatest_flow() const {
        if constexpr (std::same_as<F, FanCurve>) return fan_.pressure_curve().highest();
        else return fan_.flow_curve().values().front();
    }
    double pressure_of_greatest_flow() const {
        if constexpr (std::same_as<F, FanCurve>) return fan_pressure_at(fan_, greatest_flow(), growing_.air());
        else return fan_density_ratio(fan_.stated_air(), growing_.air()) * fan_.flow_curve().lowest();
    }
    double least_flow() const {
        if constexpr (std::same_as<F, FanCurve>) return fan_.pressure_curve().lowest();
        else return fan_.flow_curve().values().back();
    }
    /// The flow from which on the fan's pressure only falls.
    std::optional<double> peak_flow() const {
        if (fan_.rising_parts().empty()) return std::nullopt;
        return fan_.rising_parts().back().upper.value();
    }

    const F& fan_;
    GrowingSystem growing_;
    PathRules rules_;
    OperatingPath path_;
};

template <Deferred...>
inline void check_growth(const FilterGrowth& filter, const AirState& air, const char* where) {
    check(filter.clean, where);
    check(filter.dirty, where);
    const auto clean = element_coefficients(filter.clean, air), dirty = element_coefficients(filter.dirty, air);
    if (!(dirty.linear >= clean.linear && dirty.quadratic >= clean.quadratic &&
          dirty.linear + dirty.quadratic > clean.linear + clean.quadratic)) {
        throw DomainError(std::string(where) +
                          ": the dirty filter resists no more than the clean one; required: no resistance below the "
                          "clean one's in the air at hand, and one above");
    }
}

}   // namespace detail

/// The operating points of a fan as its filter loads, with what happens on the way.
///
/// Equation: (rho/rho0) p0(Q) = p_ducts(Q) + r(g) Q + s(g) Q^2, r and s from clean (g = 0) to dirty (g = 1); at a known
///           flow g = [p_fan(Q) - p_ducts(Q) - clean drop] / [dirty - clean drop]
/// Symbols:  as operating_point; g growth, r, s resistances of the filter
/// Validity: as operating_point; the fan starts on the crossing that operating_point chooses for the clean filter. A
///           fan whose pressure rises somewhere with flow may lose its point: then it falls back to the stable one
///           below
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  ducts  system without the filter
/// @param  filter  clean and dirty
/// @param  air  air at the fan and in the system
/// @param  rules  number of steps, least airflow
/// @return points and events in the order of growth
/// @throws DomainError if the system, the filter, the rules or the air are not valid
/// @source points as operating_point; test: airflow/operating_path_test.cpp
template <AnyFan F>
OperatingPath operating_path(const F& fan, const SystemCurve& ducts, const FilterGrowth& filter, const AirState& air,
                             const PathRules& rules = {}) {
    constexpr auto where = "operating_path";
    detail::check(ducts, air, where);
    detail::check_growth(filter, air, where);
    detail::require_between(where, "rules.steps", static_cast<double>(rules.steps), 1.0, 1e5, "-");
    if (rules.least_flow) detail::require_positive(where, "rules.least_flow", rules.least_flow->value(), "m3/s");
    if constexpr (std::same_as<F, Fan>) {
        return std::visit([&](const auto& f) { return operating_path(f, ducts, filter, air, rules); }, fan);
    } else {
        return detail::PathSearch<F>(fan, ducts, filter, air, rules).run();
    }
}

}   // namespace filterflow
