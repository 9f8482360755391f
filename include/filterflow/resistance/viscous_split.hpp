// SPDX-License-Identifier: BSL-1.0
#pragma once

// The pleat model backwards: from what an element resists and the geometry of its pack to the permeability of its
// medium, generic in all arguments.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// A pack as counted and measured.
template <class T>
struct BasicMeasuredPack {
    BasicPleatPack<T> pack;          ///< as counted and measured, of either shape
    BasicLength<T> thickness;        ///< of the medium, > 0
    T friction_factor = T(1);        ///< friction of the channels over that of the model, > 0
    T momentum_factor = T(1.2);      ///< of the channels, >= 0; see PleatedFilter
    BasicArea<T> media_area{};       ///< of the medium, unfolded, as measured; zero: that of the geometry
    T contraction_coefficient = T(0.4);     ///< of the mouths, >= 0; see PleatedFilter
    T expansion_factor = T(1);              ///< likewise
    T development_coefficient = T(0.674);   ///< likewise
};
using MeasuredPack = BasicMeasuredPack<double>;

/// How the viscous part of an element divides.
template <class T>
struct BasicViscousSplit {
    BasicPermeability<T> permeability;   ///< of the medium
    T medium_share;                      ///< of the medium in the viscous part, 0 to 1; the rest is channels
};
using ViscousSplit = BasicViscousSplit<double>;

namespace detail {

/// A linear functional of a pack's drop: sum over flows of factor times drop.
struct DropPlan {
    std::vector<double> flows;     // [m3/s]
    std::vector<double> factors;   // [s/m3]
    bool mouths = false;           // whether entry and exit count; they go with the square of the flow
};

/// Drops of a measured pack at a flow [Pa].
template <class T>
struct PackParts {
    T medium, channels, mouths;
};

/// Friction f and area A only scale the medium in the model: R A_model/A of the medium beside channels of friction f is
/// f times the model with R A_model/(A f), whose momentum factor is then 1/f of it.
template <class T>
PackParts<T> pack_parts(const BasicMeasuredPack<T>& measured, const T& permeability, double flow,
                        const BasicAirState<T>& air) {
    const T& f = measured.friction_factor;
    T scaled = permeability * f;
    if (plain_value(measured.media_area.value()) > 0.0) {
        const T model_area = pleat_geometry(measured.pack, measured.thickness).media_area.value();
        scaled = scaled * measured.media_area.value() / model_area;
    }
    const BasicPleatedFilter<T> filter{.medium = {measured.thickness, BasicPermeability<T>::from_value(scaled)},
                                       .pack = measured.pack,
                                       .contraction_coefficient = measured.contraction_coefficient,
                                       .momentum_factor = measured.momentum_factor / f,
                                       .expansion_factor = measured.expansion_factor,
                                       .development_coefficient = measured.development_coefficient};
    const BasicPleatedDrop<T> drop = pressure_drop_parts(filter, BasicVolumeFlow<T>::from_value(T(flow)), air);
    return {f * drop.medium.value(), f * drop.channels.value(), drop.entry.value() + drop.exit.value()};
}

template <class T>
T planned_drop(const BasicMeasuredPack<T>& measured, const T& permeability, const DropPlan& plan,
               const BasicAirState<T>& air) {
    T sum(0);
    for (std::size_t i = 0; i < plan.flows.size(); ++i) {
        const PackParts<T> parts = pack_parts(measured, permeability, plan.flows[i], air);
        sum += T(plan.factors[i]) * (parts.medium + parts.channels + (plan.mouths ? parts.mouths : T(0)));
    }
    return sum;
}

template <class T>
double plain_si(const T& quantity) {
    return plain_value(quantity.value());
}

template <class T, class U>
BasicMeasuredPack<T> measured_as(const BasicMeasuredPack<U>& m) {
    return {.pack = {.count = T(plain_value(m.pack.count)),
                     .depth = BasicLength<T>::from_value(T(plain_si(m.pack.depth))),
                     .width = BasicLength<T>::from_value(T(plain_si(m.pack.width))),
                     .length = BasicLength<T>::from_value(T(plain_si(m.pack.length))),
                     .inlet_gap_share = T(plain_value(m.pack.inlet_gap_share)),
                     .shape = m.pack.shape,
                     .fold_radius = BasicLength<T>::from_value(T(plain_si(m.pack.fold_radius)))},
            .thickness = BasicLength<T>::from_value(T(plain_si(m.thickness))),
            .friction_factor = T(plain_value(m.friction_factor)),
            .momentum_factor = T(plain_value(m.momentum_factor)),
            .media_area = BasicArea<T>::from_value(T(plain_si(m.media_area))),
            .contraction_coefficient = T(plain_value(m.contraction_coefficient)),
            .expansion_factor = T(plain_value(m.expansion_factor)),
            .development_coefficient = T(plain_value(m.development_coefficient))};
}

template <class T>
void check(const BasicMeasuredPack<T>& measured, const char* where) {
    require_positive(where, "thickness", measured.thickness.value(), "m");
    require_positive(where, "friction_factor", measured.friction_factor, "-");
    require_non_negative(where, "momentum_factor", measured.momentum_factor, "-");
    require_non_negative(where, "media_area", measured.media_area.value(), "m2");
    require_non_negative(where, "contraction_coefficient", measured.contraction_coefficient, "-");
    require_non_negative(where, "expansion_factor", measured.expansion_factor, "-");
    require_non_negative(where, "development_coefficient", measured.development_coefficient, "-");
    check(measured.pack, where);
}

/// What a search for a permeability found: its logarithm, or that of the one with the least drop of all tried.
struct PermeabilitySearch {
    bool found = false;
    double log_permeability = 0.0;
    double excess = std::numeric_limits<double>::infinity();   // drop over the wanted one, less 1, where none was found
};

/// Looks for the least permeability with which the model gives r as planned.
template <Deferred...>
inline PermeabilitySearch search_permeability(double r, const MeasuredPack& measured, const DropPlan& plan,
                                              const AirState& air, const char* where) {
    using D = Dual<1>;
    const auto dual_pack = measured_as<D>(measured);
    const auto dual_air = air_as<D>(air);
    const auto excess = [&](double y) {
        const D f = planned_drop<D>(dual_pack, exp(D::input(y, 0)), plan, dual_air) / D(r) - D(1.0);
        return std::pair(f.value, f.derivative[0]);
    };
    // The medium's part goes with one over the permeability: begin where it alone is fifty times r.
    double medium = 0.0;
    for (std::size_t i = 0; i < plan.flows.size(); ++i) {
        medium += plan.factors[i] * pack_parts<double>(measured, 1e-10, plan.flows[i], air).medium;
    }
    double lower = std::log(medium / r) + std::log(1e-10) - std::log(50.0);
    require_finite(where, "logarithm of the least permeability", lower, "-");
    PermeabilitySearch best;
    for (int step = 0; step < 25; ++step) {
        const double upper = lower + 1.0;
        double value = 0.0;
        try {
            value = planned_drop<double>(measured, std::exp(upper), plan, air) / r - 1.0;
        } catch (const NoSolution&) {   // a medium that hardly resists, beside channels that do
            if (!std::isfinite(best.excess)) throw;
            return best;
        }
        if (!(value > 0.0)) {
            const Root root = find_root(excess, lower, upper, 1e-14);
            if (!root.converged) throw NoSolution(std::string(where) + ": the search did not converge");
            return {true, root.location, 0.0};
        }
        if (value < best.excess) best = {false, upper, value};
        lower = upper;
    }
    return best;
}

/// Logarithm of the least permeability with which the model gives r as planned.
template <Deferred...>
inline double log_permeability(double r, const MeasuredPack& measured, const DropPlan& plan, const AirState& air,
                               const char* where) {
    const PermeabilitySearch search = search_permeability(r, measured, plan, air, where);
    if (search.found) return search.log_permeability;
    throw NoSolution(std::string(where) + ": the channels of that geometry alone resist at least " +
                     number_text((1.0 + search.excess) * r) + " Pa s/m3, the element " + number_text(r) +
                     " Pa s/m3; check count, thickness and fold length");
}

/// The permeability with the derivatives of all arguments: one Newton step with them from the root y.
template <class T>
T permeability_at(double y, const T& r, const BasicMeasuredPack<T>& measured, const DropPlan& plan,
                  const BasicAirState<T>& air, const char* where) {
    using std::exp;
    using D = Dual<1>;
    const D slope = planned_drop<D>(measured_as<D>(measured_as<double>(measured)), exp(D::input(y, 0)), plan,
                                    air_as<D>(plain_air(air)));
    const T step = (planned_drop<T>(measured, T(std::exp(y)), plan, air) - r) / T(slope.derivative[0]);
    return require_positive(where, "permeability", T(exp(T(y) - step)), "m2");
}

template <class T>
T planned_permeability(const T& r, const BasicMeasuredPack<T>& measured, const DropPlan& plan,
                       const BasicAirState<T>& air, const char* where) {
    const double y = log_permeability(plain_value(r), measured_as<double>(measured), plan, plain_air(air), where);
    return permeability_at(y, r, measured, plan, air, where);
}

/// A flow so small that the drop is in proportion to it.
inline DropPlan vanishing_flow(double count, double length, const AirState& air) {
    const double flow = 0.5e-6 * air.viscosity.value() / air.density.value() * count * length;
    return {{flow}, {1.0 / flow}, false};
}

/// The medium's share as the flow vanishes.
template <class T>
T viscous_medium_share(BasicMeasuredPack<T> measured, const T& permeability, const BasicAirState<T>& air,
                       const char* where) {
    measured.momentum_factor = T(0);
    const DropPlan plan =
        vanishing_flow(plain_value(measured.pack.count), plain_si(measured.pack.length), plain_air(air));
    const PackParts<T> parts = pack_parts(measured, permeability, plan.flows[0], air);
    const T share = parts.medium / (parts.medium + parts.channels);
    if (!(plain_value(share) > 0.0 && plain_value(share) <= 1.0)) {
        throw NoSolution(std::string(where) + ": no share of the medium can be told from that geometry; check count, "
                                              "thickness and fold length");
    }
    return share;
}

}   // namespace detail

/// Permeability and the medium's share from the viscous coefficient of an element and the geometry of its pack.
///
/// Equation: r = f r_model(k f A/A_model), solved for k; r_model = (medium + channels)/Q of pressure_drop_parts as
///           Q -> 0; share = medium/(medium + channels) there
/// Symbols:  r viscous coefficient [Pa s/m3], k permeability [m2], f friction factor [-], A measured and A_model
///           computed area of the medium [m2]
/// Validity: as pressure_drop_parts; a medium's share above 1e-9. The r of a curve fitted at flows where momentum in
///           the channels counts is not this r: see opened_medium
/// @param  linear  viscous coefficient of the element in the air [Pa s/m3], > 0
/// @param  measured  geometry as measured
/// @param  air  that the coefficient is stated for
/// @return permeability [m2] and the medium's share of the viscous part [-]
/// @throws DomainError if a dimension is out of range; NoSolution if the channels of that geometry alone resist more
///         than the whole element, or so much that no share of the medium is left to tell
/// @source own, the inverse of pressure_drop_parts; test: resistance/opened_filter_test.cpp
template <class T>
[[nodiscard]] BasicViscousSplit<T> viscous_split(BasicLinearResistance<T> linear,
                                                 const BasicMeasuredPack<T>& measured,
                                                 const BasicAirState<T>& air) {
    constexpr auto where = "viscous_split";
    detail::check_air(air, where);
    detail::check(measured, where);
    const T r = detail::require_positive(where, "linear", linear.value(), "Pa s/m3");
    BasicMeasuredPack<T> viscous = measured;
    viscous.momentum_factor = T(0);
    const detail::DropPlan plan = detail::vanishing_flow(
        detail::plain_value(measured.pack.count), detail::plain_si(measured.pack.length), detail::plain_air(air));
    const T permeability = detail::planned_permeability(r, viscous, plan, air, where);
    return {BasicPermeability<T>::from_value(permeability),
            detail::viscous_medium_share(viscous, permeability, air, where)};
}
template <Deferred...>
[[nodiscard]] inline ViscousSplit viscous_split(LinearResistance linear, const MeasuredPack& measured,
                                                const AirState& air) {
    return viscous_split<double>(linear, measured, air);
}

}   // namespace filterflow
