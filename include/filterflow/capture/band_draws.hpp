// SPDX-License-Identifier: BSL-1.0
#pragma once

// A prior's curves of penetration as the bands of a simple counter see them, beside what the standards make of each
// curve: averages E1, E2, E3 and efficiencies for particulate matter.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/capture_prior.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/radical_inverse.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// The prior's draws, as the bands of one counter and the averages of the standards see them. Made once, it serves all
/// filters measured with that counter.
struct BandDraws {
    std::vector<SizeRange> bands;                  ///< of the counter, ascending
    std::vector<std::string> kinds;                ///< names of the kinds of media
    std::string source;                            ///< of the prior
    std::size_t draws_per_medium = 1;              ///< consecutive draws share a medium, >= 1
    std::vector<std::uint32_t> kind_of_medium;     ///< index into kinds; shape (media)
    std::vector<double> penetration;               ///< of each draw in each band [-]; shape (draws, bands)
    std::vector<std::array<double, 3>> averages;   ///< E1, E2, E3 of each draw [-]; shape (draws)
    std::vector<std::array<double, 3>> matter;     ///< efficiency for PM1, PM2.5, PM10 as delivered [-]; shape (draws)
    std::vector<std::array<double, 3>> matter_discharged;   ///< the same once the fibres' charge is gone
};

namespace detail {

/// One draw of the counter, its air and the theory.
struct InstrumentDraw {
    double factor = 1.0;         // c
    double slope = 0.0;          // s
    double number_slope = 3.0;   // m
    double shift = 0.0;          // ln f
    double leak = 0.0;           // l
};

template <Deferred...>
inline InstrumentDraw instrument_draw(const CapturePrior& prior, std::uint64_t index) {
    const auto share = [&](std::size_t k) { return detail::radical_inverse(index, small_primes[k]); };
    return {log_between(prior.theory_factor.lower, prior.theory_factor.upper, share(7)),
            std::lerp(prior.theory_slope.lower, prior.theory_slope.upper, share(8)),
            std::lerp(prior.number_slope.lower, prior.number_slope.upper, share(9)),
            std::log(log_between(prior.threshold_factor.lower, prior.threshold_factor.upper, share(10))),
            std::lerp(prior.leak_share.lower, prior.leak_share.upper, share(11))};
}

/// Penetration of a band, mean over the particles in it: P weighted by number, midpoints of ten steps in ln d.
struct BandQuadrature {
    double lower = 0.0;   // ln d
    double upper = 0.0;

    template <Deferred...>
    double penetration(const ExponentCurve& exponent, const SizeNodes& nodes, const InstrumentDraw& draw) const {
        constexpr int steps = 10;
        const double step = (upper - lower) / steps;
        double log_size = lower + draw.shift + 0.5 * step;
        double scale = draw.factor * std::exp(draw.slope * (log_size - std::log(1e-6)));
        double weight = 1.0;
        const double scale_ratio = std::exp(draw.slope * step);
        const double weight_ratio = std::exp(-draw.number_slope * step);
        double weights = 0.0;
        double sum = 0.0;
        for (int i = 0; i < steps; ++i) {
            weights += weight;
            sum += weight * std::exp(-scale * interpolated(exponent, nodes, log_size));
            log_size += step;
            scale *= scale_ratio;
            weight *= weight_ratio;
        }
        return draw.leak + (1.0 - draw.leak) * sum / weights;
    }
};

/// For PM1, PM2.5 and PM10.
template <Deferred...>
inline std::array<double, 3> matter_efficiencies(const std::array<double, 12>& efficiencies) {
    return {particulate_matter_efficiency(efficiencies, ParticulateMatter::pm1),
            particulate_matter_efficiency(efficiencies, ParticulateMatter::pm25),
            particulate_matter_efficiency(efficiencies, ParticulateMatter::pm10)};
}

template <Deferred...>
inline BandQuadrature band_quadrature(const SizeRange& band, const CapturePrior& prior, std::string_view where) {
    check(band, where);
    require_between(where, "lower end of the band " + range_text(band), band.lower / units::um, 0.25, 9.0, "um");
    const Length upper = band.open_above ? prior.open_end : band.upper;
    require_between(where, "upper end of the band " + range_text(band), upper / units::um, band.lower / units::um, 15.0,
                    "um");
    return {std::log(band.lower.value()), std::log(upper.value())};
}

}   // namespace detail

/// The prior's curves of penetration as the bands of a counter see them, with what the standards make of each.
///
/// Equation: -ln P(d) = c (d/1 um)^s X(d), X of single_fibre_efficiency with the strict exponent, electret fibres where
///           charged; P of a band: l + (1 - l) times the mean over dN/dln d ~ d^-m between its thresholds times f; E_g,
///           of the medium: mean of 1 - P at the geometric means of the group's four ranges; for PM1, PM2.5 and PM10
///           their sums by particulate_matter_weights, with the charge and without
/// Symbols:  c theory_factor, s theory_slope, m number_slope, f threshold_factor, l leak_share
/// Validity: bands from 0.25 to 15 um. Uniform in the logarithm of each quantity but s, m and l, which are uniform;
///           Halton's points, so the same in every run. Particles carry Boltzmann's charges. The discharged medium has
///           lost all of its charge and nothing else, which conditioning with vapour aims at; loss of charge in use is
///           left out.
/// @param  bands  of the counter, ascending, not overlapping; the last may be open above; shape (k), k >= 1
/// @param  prior  kinds of media and allowances
/// @param  air  of the test
/// @return draws; for each million of them about 70 MB and 8 MB more for each band
/// @throws DomainError if there is no band, one is out of the validity, or the prior is none
/// @source single-fibre theory as penetration(FibreLayer); test: capture/band_estimate_test.cpp
template <Deferred...>
inline BandDraws band_draws(std::span<const SizeRange> bands, const CapturePrior& prior, const AirState& air) {
    constexpr auto where = "band_draws";
    detail::check(prior, where);
    if (bands.empty()) detail::throw_domain_error(where, "number of bands", 0.0, "", ">= 1");
    std::vector<detail::BandQuadrature> quadratures;
    for (const SizeRange& band : bands) quadratures.push_back(detail::band_quadrature(band, prior, where));
    for (std::size_t b = 1; b < bands.size(); ++b) {
        if (bands[b - 1].open_above || bands[b].lower.value() < bands[b - 1].upper.value() * (1.0 - 1e-3)) {
            throw DomainError(std::string(where) + ": the bands " + range_text(bands[b - 1]) + " and " +
                              range_text(bands[b]) + " overlap or are not in ascending order");
        }
    }
    const detail::SizeNodes nodes;
    std::array<double, 12> log_means{};
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t r = 0; r < ranges.size(); ++r) log_means[r] = std::log(geometric_mean(ranges[r]).value());

    BandDraws result;
    result.bands.assign(bands.begin(), bands.end());
    for (const MediumKind& kind : prior.kinds) result.kinds.push_back(kind.name);
    result.source = prior.source;
    result.draws_per_medium = prior.draws_per_medium;
    const std::size_t draws = prior.media * prior.draws_per_medium;
    result.penetration.reserve(draws * bands.size());
    result.averages.reserve(draws);
    result.matter.reserve(draws);
    result.matter_discharged.reserve(draws);
    const double log_um = std::log(1e-6);
    for (std::size_t i = 0; i < prior.media; ++i) {
        const detail::DrawnMedium medium = detail::drawn_medium(prior, air, nodes, i);
        result.kind_of_medium.push_back(static_cast<std::uint32_t>(medium.kind));
        for (std::size_t j = 0; j < prior.draws_per_medium; ++j) {
            const std::uint64_t index = i * prior.draws_per_medium + j + 1;
            const detail::InstrumentDraw draw = detail::instrument_draw(prior, index);
            for (const detail::BandQuadrature& band : quadratures) {
                result.penetration.push_back(band.penetration(medium.exponent, nodes, draw));
            }
            std::array<double, 12> charged{}, discharged{};
            std::array<double, 3> averages{};
            for (std::size_t r = 0; r < 12; ++r) {
                const double scale = draw.factor * std::exp(draw.slope * (log_means[r] - log_um));
                charged[r] = -std::expm1(-scale * detail::interpolated(medium.exponent, nodes, log_means[r]));
                discharged[r] = medium.charged ? -std::expm1(-scale * detail::interpolated(medium.discharged, nodes,
                                                                                         log_means[r]))
                                               : charged[r];
                averages[r / 4] += 0.25 * charged[r];
            }
            result.averages.push_back(averages);
            result.matter.push_back(detail::matter_efficiencies(charged));
            result.matter_discharged.push_back(medium.charged ? detail::matter_efficiencies(discharged)
                                                              : result.matter.back());
        }
    }
    return result;
}

}   // namespace filterflow
