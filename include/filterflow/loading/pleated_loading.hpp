// SPDX-License-Identifier: BSL-1.0
#pragma once

// Pleats under load: dust raises the medium's resistance by a growth law, and the part of it that lies on the surface
// as a cake narrows the inlet channels. The narrowed pleat goes through the model of pleated filters (resistance).
// Where the cakes of opposite walls meet, pleats are bridged: of parallel walls all along at once, of slanting walls
// from the tips on, whose area is lost bit by bit.

#include <cmath>
#include <optional>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dust_cake.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/pleated_filter.hpp>
#include <filterflow/resistance/two_channel.hpp>

namespace filterflow {

/// A pleated filter and how dust settles on it.
template <class T>
struct BasicPleatedLoading {
    BasicPleatedFilter<T> clean;   ///< medium and pack
    BasicLoadingLaw<T> law;        ///< growth of the medium's viscous resistance, over dust per media area
    BasicDustCake<T> cake;         ///< of the dust that lies on the surface: its density and porosity count here
    BasicLength<T> least_gap =
        BasicLength<T>::from_value(T(1e-4));   ///< between the cakes, below which they bridge, > 0; 0.1 mm: coarse
                                               ///< grains of loading dust, our own assumption
};
using PleatedLoading = BasicPleatedLoading<double>;

/// What has become of the pleats.
enum class PleatState {
    open,          ///< air reaches all of the medium
    tips_closed,   ///< slanting walls: the cakes meet at the tips, area is lost
    bridged        ///< the cakes meet in the mouths: no way in
};

/// Dust per media area at which pleats close; absent where the law puts no dust on the surface.
template <class T>
struct BasicBridgingMass {
    std::optional<BasicMassPerArea<T>> tips_closed{};   ///< slanting walls: where it begins
    std::optional<BasicMassPerArea<T>> bridged{};       ///< where no way in is left
};
using BridgingMass = BasicBridgingMass<double>;

/// A pleated filter with dust on it at one flow.
template <class T>
struct BasicLoadedPleats {
    PleatState state = PleatState::open;         ///< of the pleats
    T open_share{1.0};                           ///< of the media area that air still reaches, 0 to 1
    BasicLength<T> cake_thickness{};             ///< where the medium is open
    BasicLength<T> inlet_gap{};                  ///< left between the cakes in the inlet mouths
    std::optional<BasicPleatedDrop<T>> drop{};   ///< absent where the pleats are bridged
};
using LoadedPleats = BasicLoadedPleats<double>;

namespace detail {

/// Dust that lies on the surface, of a mass per area: beyond the transition of two stages, all of it where a cake grows
/// from the start, none where dust settles inside.
template <class T>
T surface_dust(const LoadingCoefficients<T>& law, const T& mass) {
    switch (law.form) {
        case LoadingForm::linear:
        case LoadingForm::quadratic:
            return mass;
        case LoadingForm::smooth:
        case LoadingForm::kinked:
            return mass > law.transition ? T(mass - law.transition) : T(0.0);
        default:
            return T(0.0);
    }
}
constexpr bool puts_dust_on_surface(LoadingForm form) {
    return form != LoadingForm::exponential && form != LoadingForm::two_population;
}

/// The pleats of a loading at a mean mass per clean media area.
template <class T>
struct NarrowedPleats {
    PleatState state;
    T open_share, thickness;
    T local_mass;                 // on the part that is open
    PleatDimensions<T> channel;   // of that part
    T depth;                      // of that part
};

/// A pleated loading in an air, ready for masses and flows.
template <class T>
class PleatsUnderLoad {
public:
    PleatsUnderLoad(const BasicPleatedLoading<T>& loading, const BasicAirState<T>& operating_air, const char* where)
        : loading_(loading),
          case_(pleat_flow_case(loading.clean, BasicVolumeFlow<T>{}, operating_air, where)),
          layer_(layer_coefficients(loading.clean.medium, operating_air)),
          law_(loading_coefficients(loading.law)) {
        check_loading_law(loading.law, where);
        check(loading.cake, where);
        require_positive(where, "least_gap", loading.least_gap.value(), "m");
        const PleatDimensions<T>& d = case_.dimensions;
        const double tip = plain_value(d.inlet_tip), gap = plain_value(loading.least_gap.value());
        if (!(gap < tip)) {
            throw_domain_error(where, "least_gap", gap, "m",
                               "below the clean inlet gap at the tips, " + number_text(tip) + " m");
        }
        per_gap_ = loading.cake.particle_density.value() * (T(1.0) - loading.cake.porosity) * T(0.5) * case_.depth /
                   d.wall_length;
        at_tip_ = per_gap_ * (d.inlet_tip - loading.least_gap.value());
        at_mouth_ = per_gap_ * (d.inlet_mouth - loading.least_gap.value());
        thickness_ = T(1.0) / (loading.cake.particle_density.value() * (T(1.0) - loading.cake.porosity));
    }

    const PleatFlowCase<T>& clean_case() const { return case_; }

    BasicBridgingMass<T> bridging() const {
        if (!puts_dust_on_surface(law_.form)) return {};
        const T before =
            law_.form == LoadingForm::smooth || law_.form == LoadingForm::kinked ? law_.transition : T(0.0);
        const auto mass = [&](const T& on_surface) { return BasicMassPerArea<T>::from_value(before + on_surface); };
        if (case_.rectangular) return {std::nullopt, mass(at_mouth_)};
        return {mass(at_tip_), mass(T(0.5) * (at_tip_ + at_mouth_))};   // mean over all of the wall
    }

    /// Geometry at a mass; beyond `bridged` the gap goes on to close until nothing is left of it.
    NarrowedPleats<T> narrowed(const T& mass) const {
        using std::sqrt;
        const PleatDimensions<T>& d = case_.dimensions;
        const T on_surface = surface_dust(law_, mass);
        NarrowedPleats<T> n{PleatState::open, T(1.0), T(0.0), mass, d, case_.depth};
        T local = on_surface;
        if (!case_.rectangular && on_surface > at_tip_) {
            // Where the tips are closed the dust stays as it was: mean = w - z^2/(2 D), z = w - w_tip, D = w_mouth -
            // w_tip.
            const T spread = at_mouth_ - at_tip_;
            const T rest = T(1.0) - T(2.0) * (on_surface - at_tip_) / spread;
            n.open_share = plain_value(rest) > 0.0 ? T(sqrt(rest)) : T(0.0);
            local = at_tip_ + spread * (T(1.0) - n.open_share);
            n.state = plain_value(n.open_share) > 0.0 ? PleatState::tips_closed : PleatState::bridged;
        } else if (case_.rectangular && on_surface >= at_mouth_) {
            n.state = PleatState::bridged;
        }
        n.local_mass = mass + (local - on_surface);
        n.thickness = thickness_ * local;
        const T taken = local / per_gap_;   // of the gap, measured along the face
        n.channel.inlet_mouth = d.inlet_mouth - taken;
        n.channel.inlet_tip =
            n.state == PleatState::tips_closed ? T(loading_.least_gap.value()) : T(d.inlet_tip - taken);
        if (n.state == PleatState::tips_closed) {
            n.channel.outlet_mouth = d.outlet_tip + (d.outlet_mouth - d.outlet_tip) * n.open_share;
            n.channel.wall_length = d.wall_length * n.open_share;
            n.depth = case_.depth * n.open_share;
        }
        return n;
    }

    /// Pressure drop at a flow through the pack; the inlet gap must be left open.
    BasicPleatedDrop<T> drop(const NarrowedPleats<T>& n, const T& flow, const char* where) const {
        const PleatDimensions<T>& d = case_.dimensions;
        LayerCoefficients<T> layer = layer_;
        layer.viscous = layer.viscous * loading_factor(law_, n.local_mass);
        PleatFlowCase<T> c = case_;
        c.flow = flow / (loading_.clean.pack.count * loading_.clean.pack.length.value());
        c.dimensions = n.channel;
        c.depth = n.depth;
        BasicPleatedFilter<T> filter = loading_.clean;
        if (!is_constant(n.thickness, 0.0)) {   // else the closed forms of equal gaps stay open
            filter.pack.inlet_gap_share = n.channel.inlet_mouth / (n.channel.inlet_mouth + n.channel.outlet_mouth);
        }
        BasicPleatedDrop<T> drop = pleated_drop(layer, c, filter, where);
        if (n.state != PleatState::tips_closed) return drop;
        // All of the flow goes on through the outlet channel beside the closed tips, and leaves by its full mouth.
        PleatFlowCase<T> whole = c;
        whole.dimensions.outlet_mouth = d.outlet_mouth;
        const T exit = pleat_parts(layer, whole, filter, T(0.0)).exit;
        const T narrow = n.channel.outlet_mouth, wide = d.outlet_mouth, length = case_.depth - n.depth;
        const T friction = T(6.0) * c.viscosity * c.flow * length * (narrow + wide) / (narrow * narrow * wide * wide);
        const T recovered = T(0.5) * c.density * c.momentum_factor * c.flow * c.flow *
                            (T(1.0) / (narrow * narrow) - T(1.0) / (wide * wide));
        const T channels = drop.channels.value() + friction - recovered;
        const T total = drop.medium.value() + channels + drop.entry.value() + exit;
        drop.channels = BasicPressure<T>::from_value(channels);
        drop.exit = BasicPressure<T>::from_value(exit);
        drop.total = BasicPressure<T>::from_value(total);
        if (plain_value(total) > 0.0) {
            drop.medium_share = drop.medium.value() / total;
            drop.channels_share = channels / total;
            drop.entry_share = drop.entry.value() / total;
            drop.exit_share = exit / total;
        }
        return drop;
    }

private:
    BasicPleatedLoading<T> loading_;
    PleatFlowCase<T> case_;
    LayerCoefficients<T> layer_;
    LoadingCoefficients<T> law_;
    T per_gap_, at_tip_, at_mouth_, thickness_;
};

}   // namespace detail

/// Dust per media area at which the pleats of a filter close.
///
/// Equation: 2 delta/cos(theta) = h - g, delta = W_s/(rho_p (1 - e)): tips first, then mouths; W_s dust on the surface,
///           the mean over all of the wall where tips are closed
/// Symbols:  delta thickness of the cake, h clean inlet gap, g least gap [m], theta half the opening angle (0: parallel
///           walls), rho_p particle density [kg/m3], e porosity
/// Validity: an even cake; forms whose dust settles inside the medium never bridge
/// @param  loading  filter, growth law, cake
/// @return masses per clean media area [kg/m2]; absent where they are never met
/// @throws DomainError if a value is out of its range or the least gap is not below the clean gap at the tips
/// @source geometry; test: loading/pleated_loading_test.cpp
template <class T>
BasicBridgingMass<T> bridging_mass(const BasicPleatedLoading<T>& loading) {
    return detail::PleatsUnderLoad<T>(loading, air_as<T>(duct_design_air()), "bridging_mass").bridging();
}
template <Deferred...>
inline BridgingMass bridging_mass(const PleatedLoading& loading) { return bridging_mass<double>(loading); }

/// A pleated filter with dust on it: state of the pleats and pressure drop.
///
/// Equation: pressure_drop_parts with R F(W) for R and the inlet gap h - 2 delta/cos(theta) for h; where tips are
///           closed along the open share s of the depth, with friction and recovery of the outlet channel beside the
///           tips
/// Symbols:  R resistance and F growth of the medium, W dust per open media area [kg/m2], delta thickness of the cake
///           [m]
/// Validity: as pressure_drop_parts; dust spread evenly over what is open, which the flow in deep narrow pleats is not;
///           the mouths' losses see the narrowed gap
/// @param  loading  filter, growth law, cake
/// @param  retained  dust on the filter over its clean media area [kg/m2], >= 0
/// @param  flow  volume flow through the pack [m3/s], >= 0
/// @param  air  air of operation
/// @return state, open share, cake, gap and pressure drop by its parts
/// @throws DomainError as bridging_mass and pressure_drop_parts; NoSolution as pressure_drop_parts
/// @source growth law and cake geometry fed to the model of pleated filters; test: loading/pleated_loading_test.cpp
template <class T>
BasicLoadedPleats<T> loaded_pleats(const BasicPleatedLoading<T>& loading, BasicMassPerArea<T> retained,
                                   BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    constexpr auto where = "loaded_pleats";
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    const detail::PleatsUnderLoad<T> pleats(loading, air, where);
    const detail::NarrowedPleats<T> n = pleats.narrowed(mass);
    BasicLoadedPleats<T> result;
    result.state = n.state;
    result.open_share = n.state == PleatState::bridged ? T(0.0) : n.open_share;
    result.cake_thickness = BasicLength<T>::from_value(n.thickness);
    const T gap = n.channel.inlet_mouth;
    result.inlet_gap = BasicLength<T>::from_value(detail::plain_value(gap) > 0.0 ? gap : T(0.0));
    if (n.state == PleatState::bridged) return result;
    result.drop = pleats.drop(n, T(flow.value()), where);
    detail::require_finite(where, "pressure drop", result.drop->total.value(), "Pa");
    return result;
}
template <Deferred...>
inline LoadedPleats loaded_pleats(const PleatedLoading& loading, MassPerArea retained, VolumeFlow flow,
                                  const AirState& air) {
    return loaded_pleats<double>(loading, retained, flow, air);
}

}   // namespace filterflow
