// SPDX-License-Identifier: BSL-1.0
#pragma once

// The fractions of particulate matter of ISO 16890-1, the weights of the twelve channels in each, and the efficiency
// for a fraction: a weighted mean of the efficiencies by size.

#include <array>
#include <cmath>
#include <cstddef>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// The three fractions of particulate matter that classes are named after.
enum class ParticulateMatter {
    pm1,    ///< 0.3 to 1 um, urban distribution
    pm25,   ///< 0.3 to 2.5 um, urban distribution; the channel from 2.2 to 3.0 um as the rule says
    pm10    ///< 0.3 to 10 um, rural distribution
};

/// What of the channel from 2.2 to 3.0 um, in which PM2.5 ends, counts for PM2.5.
enum class ChannelAtPm25 {
    taken_whole,      ///< all of it, as the midpoint weights of the standard have it
    cut_at_2500_nm    ///< its part below 2.5 um, with the mean size of that part
};

/// How a class by particulate matter is told; by default with the standard's midpoint weights.
struct ParticulateMatterRule {
    ChannelAtPm25 channel_at_pm25 = ChannelAtPm25::taken_whole;   ///< the channel in which PM2.5 ends
};

namespace detail {

inline std::size_t last_channel(ParticulateMatter matter) {
    return matter == ParticulateMatter::pm1 ? 4 : matter == ParticulateMatter::pm25 ? 8 : 12;
}

}   // namespace detail

/// Weights of the standard's channels in the efficiency for a fraction of particulate matter.
///
/// Equation: w_i = q(d_i) ln(d_i,upper / d_i,lower) / sum over the fraction's channels; d_i geometric mean
/// Symbols:  q volume density over ln d of the fraction's distribution, d_i size of channel i [m]
/// Validity: midpoint rule of the standard; PM2.5 ends at 3.0 um where its eighth channel is taken whole
/// @param  matter  fraction of particulate matter
/// @param  rule  what counts of the channel in which PM2.5 ends
/// @return weights, zero beyond the fraction; sum one; shape (12)
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: rating/particulate_matter_test.cpp
template <Deferred...>
inline std::array<double, 12> particulate_matter_weights(ParticulateMatter matter,
                                                         const ParticulateMatterRule& rule = {}) {
    const SizeDistribution distribution =
        matter == ParticulateMatter::pm10 ? rural_distribution() : urban_distribution();
    auto ranges = minimum_efficiency_size_ranges();
    if (matter == ParticulateMatter::pm25 && rule.channel_at_pm25 == ChannelAtPm25::cut_at_2500_nm) {
        ranges[7].upper = 2.5 * units::um;
    }
    std::array<double, 12> weights{};
    double sum = 0.0;
    for (std::size_t i = 0; i < detail::last_channel(matter); ++i) {
        weights[i] = volume_density(distribution, geometric_mean(ranges[i])) *
                     std::log(ranges[i].upper.value() / ranges[i].lower.value());
        sum += weights[i];
    }
    for (double& w : weights) w /= sum;
    return weights;
}

namespace detail {

/// The weights of PM1, PM2.5 and PM10, computed once for each rule.
template <Deferred...>
inline const std::array<std::array<double, 12>, 3>& weight_table(const ParticulateMatterRule& rule) {
    const auto all = [](ChannelAtPm25 channel) {
        const ParticulateMatterRule of{channel};
        return std::array{particulate_matter_weights(ParticulateMatter::pm1, of),
                          particulate_matter_weights(ParticulateMatter::pm25, of),
                          particulate_matter_weights(ParticulateMatter::pm10, of)};
    };
    static const std::array<std::array<double, 12>, 3> whole = all(ChannelAtPm25::taken_whole);
    static const std::array<std::array<double, 12>, 3> cut = all(ChannelAtPm25::cut_at_2500_nm);
    return rule.channel_at_pm25 == ChannelAtPm25::taken_whole ? whole : cut;
}

}   // namespace detail

/// Efficiency for a fraction of particulate matter from the efficiencies in the standard's twelve channels.
///
/// Equation: ePM = sum_i w_i E_i
/// Symbols:  w_i particulate_matter_weights, E_i efficiency in channel i
/// Validity: any efficiencies; allocates nothing once the weights are computed, at the first call
/// @param  efficiencies  in the channels, smallest first [-]; shape (12)
/// @param  matter  fraction of particulate matter
/// @param  rule  what counts of the channel in which PM2.5 ends
/// @return efficiency [-]
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: rating/twelve_sizes_test.cpp
template <class T>
T particulate_matter_efficiency(const std::array<T, 12>& efficiencies, ParticulateMatter matter,
                                const ParticulateMatterRule& rule = {}) {
    const std::array<double, 12>& weights = detail::weight_table(rule)[static_cast<std::size_t>(matter)];
    T sum(0.0);
    for (std::size_t i = 0; i < 12; ++i) sum = sum + T(weights[i]) * efficiencies[i];
    return sum;
}

}   // namespace filterflow
