// SPDX-License-Identifier: BSL-1.0
#pragma once

// Tests by peak count: a weighed dose of dust on a filter, a counter in the box below, its highest reading, the
// background before. What is entered, the caution that goes with such a test, and what one reading is worth.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/capture/counter_losses.hpp>
#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// One dose and what the counter showed.
struct PeakCountRun {
    Mass dose{};                       ///< weighed, > 0
    double peak_count = 0.0;           ///< particles counted in the sample of the peak, as counted, >= 0
    Time sample_time{};                ///< of that sample, > 0
    double background_count = 0.0;     ///< particles counted before the dose, >= 0
    Time background_time{};            ///< in which they were counted, > 0
    std::optional<VolumeFlow> flow;    ///< through filter and box, > 0; none: not known
    std::optional<Time> feed_time;     ///< over which the dose was fed, > 0; none: not known
};

/// The runs with one filter, or without any.
struct PeakCountFilter {
    std::string name;                  ///< what a result prints
    std::vector<PeakCountRun> runs;    ///< at least one; a clean filter of the same kind for each is best
};

/// A test of several filters in one box with one dust.
struct PeakCountTest {
    SizeRange range;                                ///< channel of the counter; its lowest, open above, if it coincides
    std::vector<PeakCountFilter> filters;           ///< at least one
    std::optional<PeakCountFilter> without_filter;  ///< the same dose with no filter in place
    std::optional<double> dose_repeatability;       ///< relative standard deviation of what a dose brings, from run
                                                    ///< to run, >= 0; none: told from repeated runs
    std::optional<Volume> box_volume;               ///< between filter and outlet, > 0; for the decay correction
    std::optional<Rate> deposition;                 ///< loss to the walls of the box, >= 0; none: taken as 0, and said so
    std::optional<CounterLoss> loss;                ///< of the counter; none: not corrected, and said so
};

/// The caution that belongs beside every dust test in a box. Examples and reports print it.
///
/// Equation: none
/// Symbols:  none
/// Validity: any test with airborne dust; no substitute for local codes and qualified advice
/// @return text of several sentences
/// @throws nothing
/// @source OSHA combustible-dust guidance; NFPA 660; 29 CFR 1910.1053 (titles from memory); test:
///         capture/peak_count_test.cpp
template <Deferred...>
inline std::string dust_test_caution() {
    return "Caution: flour, starch, sugar, wood and other organic dusts, and metal and carbon dusts, are combustible. "
           "Blown into a closed box with a fan, motor or static spark nearby they can explode: use a mineral test dust "
           "in gram quantities, bond and earth metal parts, keep every source of ignition out. Mineral test dust is "
           "largely crystalline silica, which harms the lungs: wear a fitted respirator, work wet or in a hood, exhaust "
           "through a high-efficiency filter, do not sweep dry. Fans and wiring are for qualified persons. Local codes "
           "and licensed advice go before anything printed here.";
}

namespace detail {

template <Deferred...>
inline void check(const PeakCountRun& run, std::string_view where, const std::string& name) {
    require_positive(where, "dose of " + name, run.dose.value(), "kg");
    require_non_negative(where, "peak_count of " + name, run.peak_count, "particles");
    require_positive(where, "sample_time of " + name, run.sample_time.value(), "s");
    require_non_negative(where, "background_count of " + name, run.background_count, "particles");
    require_positive(where, "background_time of " + name, run.background_time.value(), "s");
    if (run.flow) require_positive(where, "flow of " + name, run.flow->value(), "m3/s");
    if (run.feed_time) require_positive(where, "feed_time of " + name, run.feed_time->value(), "s");
}

template <Deferred...>
inline void check(const PeakCountFilter& filter, std::string_view where) {
    if (filter.runs.empty()) throw_domain_error(where, "number of runs of " + filter.name, 0.0, "", ">= 1");
    for (const PeakCountRun& run : filter.runs) check(run, where, filter.name);
}

template <Deferred...>
inline void check(const PeakCountTest& test, std::string_view where) {
    check(test.range, where);
    if (test.filters.empty()) throw_domain_error(where, "number of filters", 0.0, "", ">= 1");
    for (std::size_t i = 0; i < test.filters.size(); ++i) {
        check(test.filters[i], where);
        for (std::size_t j = 0; j < i; ++j) {
            if (test.filters[j].name == test.filters[i].name) {
                throw DomainError(std::string(where) + ": two filters are called " + test.filters[i].name +
                                  "; required: a name of its own for each; repeated runs go into one filter");
            }
        }
    }
    if (test.without_filter) check(*test.without_filter, where);
    if (test.dose_repeatability) require_non_negative(where, "dose_repeatability", *test.dose_repeatability, "-");
    if (test.box_volume) require_positive(where, "box_volume", test.box_volume->value(), "m3");
    if (test.deposition) require_non_negative(where, "deposition", test.deposition->value(), "1/s");
}

/// Factor by which the particles that entered exceed what the peak shows of them: those that left, or settled, while
/// the dose was fed, and while the sample after it was drawn.
template <Deferred...>
inline double decay_factor(double removal_rate, double feed_time, double sample_time) {
    const auto part = [&](double time) {
        const double x = removal_rate * time;
        return x < 1e-8 ? 1.0 + 0.5 * x : -x / std::expm1(-x);
    };
    return part(feed_time) * part(sample_time);
}

}   // namespace detail

/// Particles that entered a well-mixed box with a dose, over those that the peak shows: concentration times volume.
///
/// Equation: f = g(k T) g(k t), g(x) = x/(1 - e^-x), k = Q/V + k_d
/// Symbols:  T feed time [s], t sample time [s], Q flow [m3/s], V volume of the box [m3], k_d deposition rate [1/s]
/// Validity: a well-mixed box, a dose fed evenly, the sample of the peak drawn from the end of the feed on. A peak that
///           lasts less than the mixing, or a sample longer than 2/k, makes it a guess: refused by peak_count_order.
/// @param  run  with flow and feed time
/// @param  box_volume  V [m3], > 0
/// @param  deposition  k_d [1/s], >= 0
/// @return factor [-], >= 1
/// @throws DomainError if the flow or the feed time is not given, or a value is out of its range
/// @source balance of a well-mixed box, own derivation; test: capture/peak_count_test.cpp
template <Deferred...>
inline double peak_decay_factor(const PeakCountRun& run, const Volume& box_volume, const Rate& deposition) {
    constexpr auto where = "peak_decay_factor";
    detail::check(run, where, "the run");
    detail::require_positive(where, "box_volume", box_volume.value(), "m3");
    detail::require_non_negative(where, "deposition", deposition.value(), "1/s");
    if (!run.flow || !run.feed_time) {
        throw DomainError(std::string(where) + ": flow or feed_time is not given; required: both");
    }
    const double removal = run.flow->value() / box_volume.value() + deposition.value();
    return detail::require_finite(
        where, "result", detail::decay_factor(removal, run.feed_time->value(), run.sample_time.value()), "-");
}

}   // namespace filterflow
