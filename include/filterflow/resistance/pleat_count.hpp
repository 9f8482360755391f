// SPDX-License-Identifier: BSL-1.0
#pragma once

// The number of pleats that costs the least pressure: few pleats leave little medium, many leave no room to breathe.

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/resistance/optimum_gap.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// What a pack may take or cost at most, and at what prices.
struct PleatCountBounds {
    std::optional<Area> greatest_media_area{};   ///< none: any
    std::optional<Money> greatest_cost{};        ///< of medium and pleating; none: any
    MoneyPerArea price_per_media_area{};         ///< of the medium, >= 0
    Money price_per_pleat{};                     ///< of making a pleat, >= 0
};

/// What keeps the pleat count from a lower pressure drop.
enum class PleatCountLimit {
    none,         ///< nothing: one pleat more costs pressure
    media_area,   ///< one more would take more medium than allowed
    cost,         ///< one more would cost more than allowed
    folding       ///< one more cannot be folded
};

/// The best whole number of pleats and its pressure drop.
struct OptimumPleatCount {
    int count = 0;                                        ///< pleats across the width
    PleatedDrop drop;                                     ///< at that count
    int greatest_count = 0;                               ///< that the width holds, whatever the bounds
    PleatCountLimit limited_by = PleatCountLimit::none;   ///< the bound that binds
    Area media_area;                                      ///< at that count
    Money cost;            ///< at that count, by the prices of the bounds; zero without prices
    int evaluations = 0;   ///< pressure drops computed
};

namespace detail {

/// Integer in [1, most] with the least f, where f falls and then rises; infinite where there is no answer. Begins at a
/// guess, looks for a finite f in halves of it and then in doubles, and widens a bracket; then parabolas and halving
/// narrow it. Both neighbours of the answer (within the range) were evaluated. 0 if no finite f was found.
template <class F>
int least_integer(const F& f, int most, int guess) {
    struct At {
        int n;
        double f;
    };
    constexpr double infinite = std::numeric_limits<double>::infinity();
    At low{0, infinite}, high{most + 1, infinite};   // until they are evaluated
    At best{std::clamp(guess, 1, most), 0.0};
    const int begin = best.n;
    best.f = f(best.n);
    while (!(best.f < infinite) && best.n > 1) {
        high = best;
        best = {best.n / 2, f(best.n / 2)};
    }
    for (int n = begin; !(best.f < infinite) && n < most;) {
        low = {n, infinite};
        high = {most + 1, infinite};
        n = n > most / 2 ? most : 2 * n;
        best = {n, f(n)};
    }
    if (!(best.f < infinite)) return 0;
    int stride = std::max(1, best.n / 12);
    for (bool widening = true; widening;) {   // upwards, then downwards
        widening = false;
        if (high.n > most && best.n < most) {
            const At next{std::min(best.n + stride, most), f(std::min(best.n + stride, most))};
            if (next.f < best.f) {
                low = best;
                best = next;
                stride *= 2;
                widening = true;
                continue;
            }
            high = next;
        }
        if (low.n < 1 && best.n > 1) {
            const At next{std::max(best.n - stride, 1), f(std::max(best.n - stride, 1))};
            if (next.f < best.f) {
                high = best;
                best = next;
                stride *= 2;
                widening = true;
                continue;
            }
            low = next;
        }
    }
    bool halve = false;
    while (high.n - low.n > 2) {
        const int width = high.n - low.n;
        int n = best.n;
        if (!halve && low.f < infinite && high.f < infinite) {
            const double a = best.n - low.n, b = high.n - best.n;
            const double left = (low.f - best.f) / a, right = (high.f - best.f) / b;   // >= 0
            const double shift = 0.5 * (left * b * b - right * a * a) / (left * b + right * a);
            if (std::isfinite(shift))
                n = std::clamp(best.n + static_cast<int>(std::lround(shift)), low.n + 1, high.n - 1);
        }
        if (n == best.n) {
            const bool above = high.n - best.n > best.n - low.n;
            const int room = above ? high.n - best.n : best.n - low.n;
            const int by = halve ? room / 2 : 1;
            n = above ? best.n + by : best.n - by;
        }
        const At next{n, f(n)};
        if (next.f < best.f) {
            (n > best.n ? low : high) = best;
            best = next;
        } else {
            (n > best.n ? high : low) = next;
        }
        halve = 2 * (high.n - low.n) > width;
    }
    return best.n;
}

/// The greatest n in [0, most] for which holds(n), where holds(0) and holds once false stays false.
template <class F>
int greatest_holding(const F& holds, int most) {
    int yes = 0, no = most + 1;
    while (no - yes > 1) {
        const int n = yes + (no - yes) / 2;
        (holds(n) ? yes : no) = n;
    }
    return yes;
}

}   // namespace detail

/// Number of pleats with the least pressure drop under bounds; everything else of the filter stays.
///
/// Equation: least pressure_drop over whole N >= 1 that can be folded, with A(N) <= A_max and p_A A(N) + p_N N <= C_max
/// Symbols:  N count, A media area [m2], p_A price per area, p_N price per pleat, C cost
/// Validity: as pressure_drop(PleatedFilter); the drop falls and then rises with the count, as it does where the
///           medium's part falls and the others rise. The neighbours of the answer were computed, not all counts.
///           Counts so tight that pressure_drop has no solution count as worse than any other
/// @param  filter  medium and pack; its own count does not matter
/// @param  flow  volume flow [m3/s], > 0
/// @param  air  air of operation
/// @param  bounds  on media area [m2] and cost, with prices
/// @return the count, its pressure drop, what limits it, media area and cost
/// @throws DomainError as pressure_drop(PleatedFilter), if a bound or price is out of range, a cost is bounded without
///         a price, or the width holds more than a million pleats; NoSolution if the width does not hold one pleat, one
///         pleat exceeds a bound, or no count that was tried has a solution
/// @source search by brackets and parabolas, compared with all counts; test: resistance/pleat_count_test.cpp
template <Deferred...>
[[nodiscard]] inline OptimumPleatCount find_optimum_pleat_count(PleatedFilter filter, VolumeFlow flow,
                                                                const AirState& air, const PleatCountBounds& bounds) {
    constexpr auto where = "find_optimum_pleat_count";
    detail::require_positive(where, "flow", flow.value(), "m3/s");
    detail::require_non_negative(where, "price_per_media_area", bounds.price_per_media_area.value(), "money/m2");
    detail::require_non_negative(where, "price_per_pleat", bounds.price_per_pleat.value(), "money");
    if (bounds.greatest_cost && !(bounds.price_per_media_area.value() + bounds.price_per_pleat.value() > 0.0)) {
        detail::throw_domain_error(where, "prices of medium and pleats", 0.0, "money",
                                   "one of them > 0 where a cost is bounded: without prices nothing costs anything");
    }
    const Length thickness = filter.medium.thickness;
    const double holds = greatest_pleat_count(filter.pack, thickness);
    if (holds < 1.0) {
        throw NoSolution(std::string(where) + ": a width of " + detail::number_text(filter.pack.width.value()) +
                         " m and a depth of " + detail::number_text(filter.pack.depth.value()) +
                         " m do not hold one pleat of a medium " + detail::number_text(thickness.value()) +
                         " m thick");
    }
    detail::require_between(where, "count that the width holds", holds, 1.0, 1e6, "-");
    OptimumPleatCount best;
    best.greatest_count = static_cast<int>(holds);

    const auto area = [&](int count) {
        filter.pack.count = count;
        return pleat_geometry(filter.pack, thickness).media_area;
    };
    const auto cost = [&](int count) {
        return Money::from_value(bounds.price_per_media_area.value() * area(count).value() +
                                 bounds.price_per_pleat.value() * count);
    };
    int most = best.greatest_count;
    PleatCountLimit limit = PleatCountLimit::folding;
    const auto bound = [&](PleatCountLimit kind, const auto& value, const auto& greatest, const char* name,
                           const char* unit) {
        if (!greatest) return;
        detail::require_positive(where, name, greatest->value(), unit);
        const int allowed = detail::greatest_holding([&](int n) { return value(n) <= *greatest; }, most);
        if (allowed < 1) {
            throw NoSolution(std::string(where) + ": one pleat takes " + detail::number_text(value(1).value()) + " " +
                             unit + ", more than " + name + " = " + detail::number_text(greatest->value()) + " " +
                             unit);
        }
        if (allowed < most) {
            most = allowed;
            limit = kind;
        }
    };
    bound(PleatCountLimit::media_area, area, bounds.greatest_media_area, "greatest_media_area", "m2");
    bound(PleatCountLimit::cost, cost, bounds.greatest_cost, "greatest_cost", "money");

    std::string refusal;
    const auto drop_at = [&](int count) {
        filter.pack.count = count;
        PleatedDrop drop;
        ++best.evaluations;
        try {
            drop = pressure_drop_parts(filter, flow, air);
        } catch (const NoSolution& error) {   // so tight that its drop is beyond what can be computed
            refusal = detail::number_text(count) + " pleats: " + error.what();
            return std::numeric_limits<double>::infinity();
        }
        if (best.count == 0 || drop.total < best.drop.total) {
            best.count = count;
            best.drop = drop;
        }
        return drop.total.value();
    };
    const double gap = first_order_optimum_gap(filter.medium, filter.pack.depth).value();
    const double guess = filter.pack.width.value() / (2.0 * (gap + thickness.value()));
    detail::least_integer(drop_at, most, static_cast<int>(std::clamp(guess, 1.0, static_cast<double>(most))));
    if (best.count == 0) {
        throw NoSolution(std::string(where) + ": of the counts that were tried none has a drop; of " + refusal);
    }
    if (best.count == most) {   // does the bound bind, or is the optimum just there?
        const OptimumPleatCount kept = best;
        const bool binds = most == kept.greatest_count || drop_at(most + 1) < kept.drop.total.value();
        const int evaluations = best.evaluations;
        best = kept;
        best.evaluations = evaluations;
        best.limited_by = binds ? limit : PleatCountLimit::none;
    }
    best.media_area = area(best.count);
    best.cost = cost(best.count);
    return best;
}

/// Number of pleats with the least pressure drop; everything else of the filter stays.
///
/// Equation: least pressure_drop over whole N >= 1 that can be folded
/// Symbols:  N count
/// Validity: as find_optimum_pleat_count with bounds
/// @param  filter  medium and pack; its own count does not matter
/// @param  flow  volume flow [m3/s], > 0
/// @param  air  air of operation
/// @return the count, its pressure drop, media area, and the greatest count that the width holds
/// @throws DomainError, NoSolution as find_optimum_pleat_count with bounds
/// @source as find_optimum_pleat_count with bounds; test: resistance/pleat_count_test.cpp
template <Deferred...>
[[nodiscard]] inline OptimumPleatCount find_optimum_pleat_count(const PleatedFilter& filter, VolumeFlow flow,
                                                                const AirState& air) {
    return find_optimum_pleat_count(filter, flow, air, PleatCountBounds{});
}

}   // namespace filterflow
