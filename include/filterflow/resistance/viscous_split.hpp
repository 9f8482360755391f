// SPDX-License-Identifier: BSL-1.0
#pragma once

// How the viscous coefficient of an element divides between the medium and the channels of its pack, if the geometry is
// known: the inverse of the pleat model, generic in all arguments.

#include <cmath>
#include <string>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// A pack as counted and measured.
template <class T>
struct BasicMeasuredPack {
    BasicPleatPack<T> pack;          ///< count, depth, width, fold length, inlet gap share
    BasicLength<T> thickness;        ///< of the medium, > 0
    T friction_factor = T(1);        ///< friction of the channels over that of the model, > 0
    BasicArea<T> media_area{};       ///< of the medium, unfolded, as measured; zero: that of the geometry
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

/// Viscous resistances of a pack and the inertial one of its mouths.
template <class T>
struct PackParts {
    T medium, channels;   // [Pa s/m3]
    T mouths;             // [Pa s2/m6]
};

/// The model at a flow so small that its viscous parts are those in proportion to the flow.
template <class T>
PackParts<T> pack_parts(const BasicMeasuredPack<T>& measured, const T& permeability,
                              const BasicAirState<T>& air) {
    const BasicPleatedFilter<T> filter{
        .medium = {measured.thickness, BasicPermeability<T>::from_value(permeability)}, .pack = measured.pack};
    const double flow = 0.5e-6 * plain_value(air.viscosity.value()) / plain_value(air.density.value()) *
                        plain_value(measured.pack.count) * plain_value(measured.pack.length.value());
    const BasicPleatedDrop<T> drop = pressure_drop_parts(filter, BasicVolumeFlow<T>::from_value(T(flow)), air);
    return {drop.medium.value() / T(flow), drop.channels.value() / T(flow),
            (drop.entry.value() + drop.exit.value()) / T(flow * flow)};
}

template <class T>
double plain_si(const T& quantity) {
    return plain_value(quantity.value());
}

template <class T, class U>
BasicMeasuredPack<T> measured_as(const BasicMeasuredPack<U>& m) {
    BasicMeasuredPack<T> result;
    result.pack = {.count = T(plain_value(m.pack.count)),
                   .depth = BasicLength<T>::from_value(T(plain_si(m.pack.depth))),
                   .width = BasicLength<T>::from_value(T(plain_si(m.pack.width))),
                   .length = BasicLength<T>::from_value(T(plain_si(m.pack.length))),
                   .inlet_gap_share = T(plain_value(m.pack.inlet_gap_share))};
    result.thickness = BasicLength<T>::from_value(T(plain_si(m.thickness)));
    return result;
}

/// Logarithm of the permeability with which the model resists r: the root of a falling function.
inline double log_permeability(double r, const MeasuredPack& measured, const AirState& air, const char* where) {
    using D = Dual<1>;
    const auto measured_dual = measured_as<D>(measured);
    const auto air_dual = air_as<D>(air);
    const auto excess = [&](double y) {
        const auto parts = pack_parts<D>(measured_dual, exp(D::input(y, 0)), air_dual);
        const D f = log((parts.medium + parts.channels) / r);
        return std::pair(f.value, f.derivative[0]);
    };
    // The medium alone cannot resist more than the element; its part goes with one over the permeability.
    const double lower =
        std::log(pack_parts<double>(measured, 1e-10, air).medium / r) + std::log(1e-10) - 1e-9;
    require_finite(where, "logarithm of the least permeability", lower, "-");
    double upper = lower;
    for (int step = 0; step < 7; ++step) {
        upper += 3.0;
        const double above = excess(upper).first;
        if (!(above > 0.0)) {
            const Root root = find_root(excess, lower, upper, 1e-14);
            if (!root.converged) throw NoSolution(std::string(where) + ": the search did not converge");
            return root.location;
        }
    }
    throw NoSolution(std::string(where) + ": the channels of that geometry alone resist at least " +
                     number_text(std::exp(excess(upper).first) * r) + " Pa s/m3, the element " + number_text(r) +
                     " Pa s/m3; check count, thickness and fold length");
}

}   // namespace detail

/// Permeability and the medium's share from the viscous coefficient of an element and the geometry of its pack.
///
/// Equation: r = f r_model(k A/(f A_model)), solved for k; r_model = (medium + channels)/Q of pressure_drop_parts as
///           Q -> 0; share = medium/(medium + channels) there
/// Symbols:  r viscous coefficient [Pa s/m3], k permeability [m2], f friction factor [-], A measured and A_model
///           computed area of the medium [m2]
/// Validity: as pressure_drop_parts; a medium's share above 1e-9
/// @param  linear  viscous coefficient of the element in the air [Pa s/m3], > 0
/// @param  measured  geometry as measured
/// @param  air  that the coefficient is stated for
/// @return permeability [m2] and the medium's share of the viscous part [-]
/// @throws DomainError if a dimension is out of range; NoSolution if the channels of that geometry alone resist more
///         than the whole element, or so much that no share of the medium is left to tell
/// @source own, the inverse of pressure_drop_parts: friction and area only scale the medium's resistance in it;
///         test: resistance/opened_filter_test.cpp
template <class T>
[[nodiscard]] BasicViscousSplit<T> viscous_split(BasicLinearResistance<T> linear,
                                                 const BasicMeasuredPack<T>& measured,
                                                 const BasicAirState<T>& air) {
    constexpr auto where = "viscous_split";
    using std::exp;
    using std::log;
    detail::check_air(air, where);
    const T r = detail::require_positive(where, "linear", linear.value(), "Pa s/m3");
    const T f = detail::require_positive(where, "friction_factor", measured.friction_factor, "-");
    const T area = detail::require_non_negative(where, "media_area", measured.media_area.value(), "m2");
    const double friction = detail::plain_value(f);
    const AirState plain_air{.temperature = Temperature::from_value(detail::plain_si(air.temperature)),
                             .pressure = Pressure::from_value(detail::plain_si(air.pressure)),
                             .humidity_ratio = detail::plain_value(air.humidity_ratio),
                             .density = Density::from_value(detail::plain_si(air.density)),
                             .viscosity = DynamicViscosity::from_value(detail::plain_si(air.viscosity))};
    const auto plain = detail::measured_as<double>(measured);
    const double y = detail::log_permeability(detail::plain_value(r) / friction, plain, plain_air, where);
    // One Newton step with all arguments gives the derivatives, and polishes the root.
    using D = Dual<1>;
    const auto slope = detail::pack_parts<D>(detail::measured_as<D>(plain), exp(D::input(y, 0)), air_as<D>(plain_air));
    const D slope_of_log = log(slope.medium + slope.channels);
    const auto at_root = detail::pack_parts<T>(measured, T(std::exp(y)), air);
    const T step = log((at_root.medium + at_root.channels) * f / r) / T(slope_of_log.derivative[0]);
    const T permeability = exp(T(y) - step);   // of a medium of that area under unit friction
    const auto parts = detail::pack_parts<T>(measured, permeability, air);
    const T model_area = air.viscosity.value() * measured.thickness.value() / (permeability * parts.medium);
    const T scale = detail::plain_value(area) > 0.0 ? T(model_area / area) : T(1);
    const T result = detail::require_positive(where, "permeability", T(permeability * scale / f), "m2");
    const T share = T(parts.medium / (parts.medium + parts.channels));
    const double plain_share = detail::plain_value(share);
    if (!(plain_share > 0.0 && plain_share <= 1.0)) {
        throw NoSolution(std::string(where) + ": no share of the medium can be told from that geometry; check count, "
                                              "thickness and fold length");
    }
    return {BasicPermeability<T>::from_value(result), share};
}
[[nodiscard]] inline ViscousSplit viscous_split(LinearResistance linear, const MeasuredPack& measured,
                                                const AirState& air) {
    return viscous_split<double>(linear, measured, air);
}

}   // namespace filterflow
