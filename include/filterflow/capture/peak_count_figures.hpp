// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the runs of one filter in a peak-count test are worth: net count at a reference dose, its counting limits, its
// share in the scatter of repeated runs. Used by peak_count_order.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/capture/counter_losses.hpp>
#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/capture/data_quality.hpp>
#include <filterflow/capture/peak_count.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>

namespace filterflow::detail {

/// The dose and sample time that all counts are brought to: those of the first run.
struct PeakReference {
    PeakCountRun run;

    double exposure(const PeakCountRun& other) const {
        return (other.dose.value() / run.dose.value()) * (other.sample_time.value() / run.sample_time.value());
    }
};

/// Relative standard deviation from run to run.
struct Repeatability {
    double relative = 0.0;
    double degrees_of_freedom = 0.0;   // 0: not known
    bool holds_counting_noise = false;
};

enum class DecayCorrection { none, applied };

struct PeakFigure {
    const PeakCountFilter* filter = nullptr;
    std::string name;
    std::string refused;               // why the runs cannot be used
    std::vector<std::string> notes;
    std::vector<double> run_counts;    // peak counts as counted
    std::vector<double> run_factors;   // by which they are multiplied, all over the total exposure
    std::vector<double> run_nets;      // net count of each run at the reference, for their scatter
    std::vector<double> backgrounds;   // counts
    std::vector<double> background_factors;
    double net = 0.0;
    double effective_runs = 1.0;
    Repeatability repeatability;

    /// Distances from the net count to its limits: counting, and repeatability with a coverage factor.
    template <Deferred...>
    double lower_distance(double probability, double factor) const {
        const double q = factor * repeatability.relative / std::sqrt(effective_runs);
        return together(counting_distance(probability, false), -net * std::expm1(-q));
    }
    template <Deferred...>
    double upper_distance(double probability, double factor) const {
        const double q = factor * repeatability.relative / std::sqrt(effective_runs);
        return together(counting_distance(probability, true), net * std::expm1(q));
    }
    template <Deferred...>
    Interval<double> interval(double probability, double factor) const {
        return {std::max(0.0, net - lower_distance(probability, factor)), net + upper_distance(probability, factor)};
    }
    template <Deferred...>
    double together(double counting, double scatter) const {
        return repeatability.holds_counting_noise ? std::max(counting, scatter) : std::hypot(counting, scatter);
    }
    /// Exact limits of the counts, the background's part in quadrature.
    template <Deferred...>
    double counting_distance(double probability, bool above) const {
        const auto limits = [&](std::span<const double> counts, std::span<const double> factors, bool up) {
            double scaled = 0.0;
            double squares = 0.0;
            double mean_factor = 0.0;
            for (std::size_t i = 0; i < counts.size(); ++i) {
                scaled += counts[i] * factors[i];
                squares += counts[i] * factors[i] * factors[i];
                mean_factor += factors[i] / static_cast<double>(counts.size());
            }
            // The Poisson count that is as well known as the scaled sum.
            const double equivalent = squares > 0.0 ? scaled * scaled / squares : 0.0;
            const double unit = equivalent > 0.0 ? scaled / equivalent : mean_factor;
            const Interval<double> exact = poisson_interval(equivalent, probability);
            return unit * (up ? exact.upper - equivalent : equivalent - exact.lower);
        };
        return std::hypot(limits(run_counts, run_factors, above), limits(backgrounds, background_factors, !above));
    }
};

template <Deferred...>
inline std::string percent_digits(double share) { return two_digits(100.0 * share) + " %"; }

/// Net count of a filter's runs at the reference.
template <Deferred...>
inline PeakFigure peak_figure(const PeakCountFilter& filter, const PeakCountTest& test, const PeakReference& reference,
                              DecayCorrection correction) {
    PeakFigure figure;
    figure.filter = &filter;
    figure.name = filter.name;
    double exposure = 0.0;
    double squares = 0.0;
    for (const PeakCountRun& run : filter.runs) {
        exposure += reference.exposure(run);
        squares += reference.exposure(run) * reference.exposure(run);
    }
    figure.effective_runs = exposure * exposure / squares;
    double gross = 0.0;
    double background = 0.0;
    double greatest_loss = 0.0;
    for (const PeakCountRun& run : filter.runs) {
        double factor = 1.0;
        if (test.loss && run.peak_count > 0.0) {
            const Rate shown = Rate::from_value(run.peak_count / run.sample_time.value());
            try {
                factor = arrival_rate(shown, *test.loss).value() / shown.value();
            } catch (const NoSolution& error) {
                figure.refused = std::string("the peak is beyond the counter (") + error.what() + "); use a smaller dose";
                return figure;
            }
            greatest_loss = std::max(greatest_loss, 1.0 - 1.0 / factor);
        }
        const double decay =
            correction == DecayCorrection::applied
                ? peak_decay_factor(run, *test.box_volume, test.deposition.value_or(Rate::from_value(0.0)))
                : 1.0;
        const double in_sample = run.sample_time.value() / run.background_time.value();
        figure.run_counts.push_back(run.peak_count);
        figure.run_factors.push_back(factor * decay / exposure);
        figure.backgrounds.push_back(run.background_count);
        figure.background_factors.push_back(in_sample * decay / exposure);
        const double net = decay * (factor * run.peak_count - in_sample * run.background_count);
        figure.run_nets.push_back(net / reference.exposure(run));
        gross += figure.run_factors.back() * run.peak_count;
        background += figure.background_factors.back() * run.background_count;
    }
    figure.net = std::max(0.0, gross - background);
    if (greatest_loss > 0.10) {
        figure.notes.push_back("the counter loses " + percent_digits(greatest_loss) +
                               " to coincidence, limit 10 %: corrected, but a smaller dose is better");
    }
    if (!(figure.counting_distance(0.95, false) < figure.net)) {
        figure.notes.push_back("not above background beyond counting noise: an upper limit alone; quieter background, or "
                               "more runs");
    } else if (background > 0.2 * gross) {
        figure.notes.push_back("background is " + percent_digits(background / gross) +
                               " of the peak; let the box clear longer, or clean it");
    }
    return figure;
}

/// The same figure, of particles that entered the box; what it knew of repeatability stays.
template <Deferred...>
inline void correct(PeakFigure& figure, const PeakCountTest& test, const PeakReference& reference) {
    const Repeatability repeatability = figure.repeatability;
    figure = peak_figure(*figure.filter, test, reference, DecayCorrection::applied);
    figure.repeatability = repeatability;
}

/// As stated, or pooled from the logarithms of repeated runs that stand out from the background.
template <Deferred...>
inline Repeatability repeatability(const PeakCountTest& test, std::span<const PeakFigure> figures,
                                   const std::optional<PeakFigure>& without) {
    if (test.dose_repeatability) return {*test.dose_repeatability, std::numeric_limits<double>::infinity(), false};
    double squares = 0.0;
    double degrees = 0.0;
    const auto add = [&](const PeakFigure& figure) {
        std::vector<double> logs;
        for (std::size_t i = 0; i < figure.run_nets.size(); ++i) {
            if (figure.run_nets[i] > 0.0 && figure.run_counts[i] >= 10.0) logs.push_back(std::log(figure.run_nets[i]));
        }
        if (logs.size() < 2) return;
        const double mean = sum_of(logs) / static_cast<double>(logs.size());
        for (const double x : logs) squares += (x - mean) * (x - mean);
        degrees += static_cast<double>(logs.size() - 1);
    };
    for (const PeakFigure& figure : figures) add(figure);
    if (without) add(*without);
    if (!(degrees > 0.0)) return {};
    return {std::sqrt(squares / degrees), degrees, true};
}

/// Why runs are not alike; empty: they are, or nothing says that they are not.
template <Deferred...>
inline std::string unlike_runs(const PeakCountTest& test) {
    double least_flow = HUGE_VAL, greatest_flow = 0.0, least_feed = HUGE_VAL, greatest_feed = 0.0;
    const auto take = [&](const PeakCountFilter& filter) {
        for (const PeakCountRun& run : filter.runs) {
            if (run.flow) {
                least_flow = std::min(least_flow, run.flow->value());
                greatest_flow = std::max(greatest_flow, run.flow->value());
            }
            if (run.feed_time) {
                least_feed = std::min(least_feed, run.feed_time->value());
                greatest_feed = std::max(greatest_feed, run.feed_time->value());
            }
        }
    };
    for (const PeakCountFilter& filter : test.filters) take(filter);
    if (test.without_filter) take(*test.without_filter);
    if (greatest_flow > 1.1 * least_flow) {
        return "the flow differs from run to run by " + percent_digits(greatest_flow / least_flow - 1.0) +
               ", and so does what a peak means";
    }
    if (greatest_feed > 1.2 * least_feed) {
        return "the time of feeding differs from run to run by " + percent_digits(greatest_feed / least_feed - 1.0) +
               ", and so does what a peak means";
    }
    return "";
}

/// Why the decay in the box cannot be corrected; empty: it can.
template <Deferred...>
inline std::string correction_refused(const PeakCountTest& test) {
    if (!test.box_volume) return "the volume of the box is not known";
    const auto refused = [&](const PeakCountFilter& filter) -> std::string {
        for (const PeakCountRun& run : filter.runs) {
            if (!run.flow) return "the flow of " + filter.name + " is not known";
            if (!run.feed_time) return "the time of feeding of " + filter.name + " is not known";
            const double removal = run.flow->value() / test.box_volume->value() +
                                   (test.deposition ? test.deposition->value() : 0.0);
            const double longest = std::max(run.feed_time->value(), run.sample_time.value());
            if (removal * longest > 2.0) {
                return "the box changes its air in " + two_digits(1.0 / removal) + " s, too fast for " +
                       two_digits(longest) + " s of feeding or sampling in " + filter.name +
                       ": the correction would be a guess; feed and sample faster, or lower the flow";
            }
        }
        return "";
    };
    for (const PeakCountFilter& filter : test.filters) {
        const std::string reason = refused(filter);
        if (!reason.empty()) return reason;
    }
    return test.without_filter ? refused(*test.without_filter) : "";
}

/// What would separate two filters that are tied.
template <Deferred...>
inline std::string tie_text(const PeakFigure& better, const PeakFigure& worse, double probability, double factor) {
    const std::string pair = better.name + " and " + worse.name;
    const double difference = worse.net - better.net;
    const double distance = std::hypot(better.upper_distance(probability, factor),
                                       worse.lower_distance(probability, factor));
    const double growth = difference > 0.0 ? (distance / difference) * (distance / difference) : HUGE_VAL;
    const double runs = std::ceil(growth * std::max(better.effective_runs, worse.effective_runs));
    if (!(runs <= 50.0)) return pair + ": not told apart by any number of runs worth making";
    return pair + ": about " + number_text(runs) + " runs of each, if the difference stays as it is";
}

}   // namespace filterflow::detail
