// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter makes of the particles in a room, over all sizes of a dust: PM2.5 and PM10 indoors for each candidate.
// Each size has its own efficiency, penetration and deposition; what was not measured comes with its assumption.
// Concentrations only: what they mean for people is not computed here.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/bounded_input.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/zone/deposition.hpp>
#include <filterflow/zone/penetration.hpp>
#include <filterflow/zone/room.hpp>

namespace filterflow {

/// A room for all sizes of a dust.
struct RoomForSizes {
    Room air{};   ///< what is the same for all sizes; its penetration, deposition, recirculated flow, recirculating
                  ///< efficiency and source are not used
    DepositionTable deposition = deposition_in_two_houses();      ///< by size
    PenetrationTable penetration = penetration_in_two_houses();   ///< by size
    bool outdoor_air_filtered = true;   ///< the outdoor air of the fan passes the same filter as the recirculated air;
                                        ///< false: air.outdoor_air_efficiency holds for all sizes
    std::optional<MassFlow> source{};   ///< emitted in the room, of the dust's sizes in the dust's proportions
};

/// A filter where it serves the room.
struct FilterInRoom {
    FractionalEfficiency efficiency;        ///< by size, installed (with what passes beside it)
    Uncertain<VolumeFlow> recirculated{};   ///< room air through it while the fan runs
};

/// What one range of size has indoors.
struct IndoorSize {
    SizeRange range;               ///< of particle size
    double outdoor_share = 0.0;    ///< of the outdoor mass of interest that lies in the range [-]
    double ratio = 0.0;            ///< indoor over outdoor concentration with the filter [-]
    double without_filter = 0.0;   ///< the same if the filter stopped nothing [-]
    bool measured = true;          ///< false: the efficiency of a neighbouring range stands in
};

/// Particles of a dust in a room.
struct IndoorParticles {
    Uncertain<double> ratio;                    ///< indoor over outdoor mass concentration, outdoor particles alone [-]
    Interval<double> bounds;                    ///< sizes not measured at their bounds of efficiency [-]
    double without_filter = 0.0;                ///< the ratio if the filter stopped nothing, all flows as they are [-]
    Uncertain<MassConcentration> from_source;   ///< what the source adds; zero without one
    double measured_share = 0.0;                ///< of the outdoor mass, in ranges that were measured [-]
    std::vector<IndoorSize> sizes;              ///< by rising size
    std::vector<std::string> assumptions;       ///< what stands in for sizes that were not measured
};

namespace detail {

/// Efficiency of a range, what it may be, and whether it was measured.
struct EfficiencyPart {
    SizeRange range;
    const SizeEfficiency* entry;
    double least, greatest;
    std::string assumption;   // empty: measured
};

/// The dust's sizes cut by what is known of the efficiency.
template <Deferred...>
inline std::vector<EfficiencyPart> efficiency_parts(const FractionalEfficiency& efficiency,
                                                    const DustOfInterest& dust) {
    std::vector<EfficiencyPart> parts;
    const auto add = [&](const SizeRange& range, const SizeEfficiency* entry, double least, double greatest,
                         const std::string& assumption) {
        const SizeRange part = overlap(dust.sizes, range);
        if (part.upper > part.lower) parts.push_back({part, entry, least, greatest, assumption});
    };
    for (const SizeEfficiency& entry : efficiency.ranges) {
        const double e = 1.0 - entry.penetration.value;
        if (!entry.range.open_above) add(entry.range, &entry, e, e, {});
    }
    for (const SizesNotMeasured& gap : sizes_not_measured(efficiency.ranges, dust)) {
        add(gap.range, gap.neighbour, gap.least_efficiency, gap.greatest_efficiency, gap.assumption);
    }
    std::sort(parts.begin(), parts.end(),
              [](const EfficiencyPart& a, const EfficiencyPart& b) { return a.range.lower < b.range.lower; });
    return parts;
}

/// The room for one size, generic so that efficiency and flow may carry derivatives.
template <class T>
BasicRoom<T> room_of_size(const RoomForSizes& room, Length size, const T& efficiency, const T& recirculated) {
    const Room& air = room.air;
    BasicRoom<T> of;
    of.volume = BasicVolume<T>::from_value(T(air.volume.value()));
    of.infiltration = BasicRate<T>::from_value(T(air.infiltration.value()));
    of.penetration = T(crack_penetration(room.penetration, size));
    of.outdoor_air = BasicVolumeFlow<T>::from_value(T(air.outdoor_air.value()));
    of.outdoor_air_efficiency = room.outdoor_air_filtered ? efficiency : T(air.outdoor_air_efficiency);
    of.deposition = BasicRate<T>::from_value(T(deposition_rate(room.deposition, size).value()));
    of.recirculated = BasicVolumeFlow<T>::from_value(recirculated);
    of.recirculating_efficiency = efficiency;
    of.running_fraction = T(air.running_fraction);
    of.clean_air_delivery = BasicVolumeFlow<T>::from_value(T(air.clean_air_delivery.value()));
    of.leaks = {BasicVolumeFlow<T>::from_value(T(air.leaks.supply_lost.value())),
                BasicVolumeFlow<T>::from_value(T(air.leaks.return_before_filter.value())),
                BasicVolumeFlow<T>::from_value(T(air.leaks.return_after_filter.value()))};
    return of;
}

/// Particles of a dust in a room by size; the ratio of a room for one size is what `ratio_of` makes of it.
template <class RatioOf>
IndoorParticles indoor_particles_by(const RoomForSizes& room, const FilterInRoom& filter, const DustOfInterest& dust,
                                    const char* where, const RatioOf& ratio_of) {
    using D = Dual<2>;
    check(filter.efficiency, where);
    if (filter.efficiency.ranges.empty()) {
        throw DomainError(std::string(where) + ": no measured size range; required: at least one");
    }
    if (dust.sizes.open_above) {
        throw DomainError(std::string(where) + ": sizes of interest are open above; required: a largest size");
    }
    const double source =
        room.source ? require_non_negative(where, "source", room.source->value(), "kg/s") : 0.0;
    const double flow = require_non_negative(where, "recirculated", filter.recirculated.value.value(), "m3/s");
    const double total = volume_fraction(dust.distribution, dust.sizes);
    if (!(total > 1e-12)) {
        throw_domain_error(where, "share of the dust in the sizes of interest", total, "-", "> 0");
    }
    IndoorParticles result;
    double added = 0.0;
    Gradient added_gradient;
    for (const EfficiencyPart& part : efficiency_parts(filter.efficiency, dust)) {
        const double efficiency = std::min(std::max(1.0 - part.entry->penetration.value, 0.0), 1.0);
        const double ratio_of_ends = part.range.upper / part.range.lower;
        const int cuts = std::max(1, static_cast<int>(std::ceil(std::log(ratio_of_ends) / std::log(1.15))));
        IndoorSize size{part.range, 0.0, 0.0, 0.0, part.assumption.empty()};
        double to_efficiency = 0.0, to_flow = 0.0, source_to_efficiency = 0.0, source_to_flow = 0.0;
        double at_least = 0.0, at_greatest = 0.0, sum = 0.0, bare = 0.0;
        for (int c = 0; c < cuts; ++c) {
            const auto edge = [&](int i) {
                return i == cuts ? part.range.upper
                                 : std::pow(ratio_of_ends, static_cast<double>(i) / cuts) * part.range.lower;
            };
            const SizeRange cut{edge(c), edge(c + 1), false};
            const double share = volume_fraction(dust.distribution, cut) / total;
            const Length middle = geometric_mean(cut);
            const auto plain_ratio = [&](double e) {
                return ratio_of(room_of_size<double>(room, middle, e, flow));
            };
            const auto here = room_of_size<D>(room, middle, D::input(efficiency, 0), D::input(flow, 1));
            const D ratio = ratio_of(here);
            sum += share * ratio.value;
            bare += share * plain_ratio(0.0);
            to_efficiency += share * ratio.derivative[0];
            to_flow += share * ratio.derivative[1];
            if (!size.measured) {
                at_least += share * plain_ratio(part.least);
                at_greatest += share * plain_ratio(part.greatest);
            }
            size.outdoor_share += share;
            if (source > 0.0) {
                const D lasting = D(share * source / room.air.volume.value()) / loss_rate<D>(here).value();
                added += lasting.value;
                source_to_efficiency += lasting.derivative[0];
                source_to_flow += lasting.derivative[1];
            }
        }
        if (!(size.outdoor_share > 1e-9)) continue;
        size.ratio = sum / size.outdoor_share;
        size.without_filter = bare / size.outdoor_share;
        result.ratio.value += sum;
        result.without_filter += bare;
        result.bounds.lower += size.measured ? sum : at_greatest;
        result.bounds.upper += size.measured ? sum : at_least;
        result.ratio.gradient.add(part.entry->penetration.gradient, -to_efficiency);
        result.ratio.gradient.add(filter.recirculated.gradient, to_flow);
        added_gradient.add(part.entry->penetration.gradient, -source_to_efficiency);
        added_gradient.add(filter.recirculated.gradient, source_to_flow);
        if (size.measured) {
            result.measured_share += size.outdoor_share;
        } else {
            const Gradient unknown(bounded_input(
                {"efficiency not measured, " + range_text(part.range), efficiency, part.least, part.greatest}));
            result.ratio.gradient.add(unknown, to_efficiency);
            added_gradient.add(unknown, source_to_efficiency);
            result.assumptions.push_back(range_text(part.range) + ": " + share_text(size.outdoor_share) +
                                         " of the mass, not measured, " + part.assumption);
        }
        result.sizes.push_back(size);
    }
    result.from_source = {MassConcentration::from_value(added), std::move(added_gradient)};
    return result;
}

}   // namespace detail

/// Particles of a dust in a room with a filter, steady.
///
/// Equation: r = sum_j s_j F_j / sum_j s_j; F_j as indoor_outdoor_ratio with E, P and k of size j;
///           from the source sum_j s_j S/(V L_j)
/// Symbols:  s_j share of the dust's outdoor mass, E efficiency, P penetration, k deposition, S source, V volume, L
///           loss rate, j sizes: the ranges of the efficiency cut into ratios of at most 1.15
/// Validity: as indoor_outdoor_ratio; efficiency constant within a measured range, sizes that were not measured as in
///           mass_efficiency; a penetration above one counts as one; one density and one diameter for all that goes
///           by size; outdoor dust of the distribution's shape. The dust's sizes must lie within the tables of
///           deposition and penetration. The uncertainty is that of efficiency and airflow: those of the room and its
///           tables, larger in most houses, are not in it
/// @param  room  air changes, tables by size, source
/// @param  filter  installed efficiency by size and the room air through it
/// @param  dust  outdoor distribution and sizes of interest, closed above: urban_pm25(), rural_pm10()
/// @return ratio with its bounds, the ratio without filter, what a source adds, by size
/// @throws DomainError if no range was measured, the dust has no mass in the sizes of interest, they are open above or
///         leave a table, or as steady_concentration
/// @source mass balance of a well-mixed room for each size; test: zone/indoor_particles_test.cpp
template <Deferred...>
inline IndoorParticles indoor_particles(const RoomForSizes& room, const FilterInRoom& filter,
                                        const DustOfInterest& dust) {
    return detail::indoor_particles_by(room, filter, dust, "indoor_particles",
                                       [](const auto& of_size) { return indoor_outdoor_ratio(of_size); });
}

}   // namespace filterflow
