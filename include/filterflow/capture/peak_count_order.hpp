// SPDX-License-Identifier: BSL-1.0
#pragma once

// What peak counts support: an order of filters with ties, penetration relative to a run without a filter, penetration
// corrected for what the box loses; each with what it rests on, or the reason why it is refused.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/peak_count.hpp>
#include <filterflow/capture/peak_count_figures.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>

namespace filterflow {

/// Where a filter may stand in the order, 1 letting the fewest particles through.
struct PeakCountRank {
    std::size_t best = 1;                  ///< one more than the filters that are told to be better
    std::size_t worst = 1;                 ///< the number of filters less those that are told to be worse
    std::vector<std::string> tied_with;    ///< filters that noise does not separate from this one
};

/// A ratio of peaks with its 95 % interval.
struct PeakCountRatio {
    double value = 0.0;           ///< with the filter over without [-], >= 0
    Interval<double> interval;    ///< 95 %; with nothing above background its upper end alone counts
};

/// What the runs with one filter say.
struct PeakCountFigure {
    std::string name;                                      ///< of the filter
    double net_count = 0.0;                                ///< particles in the peak's sample above background, at the
                                                           ///< dose and sample time of the test's first run, >= 0
    Interval<double> interval;                             ///< 95 %, counting noise and repeatability
    std::optional<PeakCountRank> rank;                     ///< empty: no order
    std::optional<PeakCountRatio> relative_penetration;    ///< peak over that without a filter; empty: refused
    std::optional<PeakCountRatio> corrected_penetration;   ///< the same of particles that entered; empty: refused
    std::vector<std::string> notes;                        ///< on its runs
};

/// Something that the data do not support, and why.
struct PeakCountRefusal {
    std::string what;     ///< filter, or result
    std::string reason;   ///< why, and what would help
};

/// What a test by peak count supports.
struct PeakCountOrder {
    std::vector<PeakCountFigure> filters;     ///< fewest particles first
    double repeatability = 0.0;               ///< relative standard deviation of a run [-]; 0 where not known
    double degrees_of_freedom = 0.0;          ///< of it; infinite where stated, 0 where not known
    std::vector<PeakCountRefusal> refused;    ///< filters and results
    std::vector<std::string> rests_on;        ///< in words
    std::vector<std::string> would_help;      ///< what would make more of it
};

namespace detail {

template <Deferred...>
inline bool separated(const PeakFigure& better, const PeakFigure& worse, double counting_probability, double factor) {
    const double above = better.upper_distance(counting_probability, factor);
    const double below = worse.lower_distance(counting_probability, factor);
    return worse.net - better.net > std::hypot(above, below);
}

template <Deferred...>
inline PeakCountRatio peak_ratio(const PeakFigure& with, const PeakFigure& without, double factor) {
    const double p = with.net / without.net;
    const auto part = [&](double with_part, double without_part) {
        return std::hypot(with_part / without.net, p * without_part / without.net);
    };
    PeakCountRatio ratio;
    ratio.value = p;
    // In the lower end of the run without a filter the ratio grows faster than its distance says.
    const double without_below = without.lower_distance(0.95, factor);
    const double steeper = without_below * without.net / (without.net - without_below);
    ratio.interval = {std::max(0.0, p - part(with.lower_distance(0.95, factor), without.upper_distance(0.95, factor))),
                      p + part(with.upper_distance(0.95, factor), steeper)};
    return ratio;
}

/// Fills in penetration against the run without a filter; the reason where it is refused.
template <Deferred...>
inline std::string relate(std::span<const PeakFigure> figures, const PeakFigure& without, double factor,
                          std::vector<PeakCountFigure>& results,
                          std::optional<PeakCountRatio> PeakCountFigure::*ratio) {
    if (!(without.lower_distance(0.95, factor) < without.net)) {
        return "the run without a filter does not stand out from background and scatter; repeat it";
    }
    for (std::size_t i = 0; i < figures.size(); ++i) results[i].*ratio = peak_ratio(figures[i], without, factor);
    return "";
}

template <Deferred...>
inline void rank(std::span<const PeakFigure> figures, double degrees_of_freedom, std::vector<PeakCountFigure>& results,
                 std::vector<std::string>& would_help) {
    const std::size_t n = figures.size();
    // All pairs together at 95 %: each at a level of its own (Bonferroni).
    const double probability = 1.0 - 0.05 / (0.5 * static_cast<double>(n * (n - 1)));
    const double factor = coverage_factor(degrees_of_freedom, probability);
    for (std::size_t i = 0; i < n; ++i) results[i].rank = PeakCountRank{1, n, {}};
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = i + 1; j < n; ++j) {
            if (separated(figures[i], figures[j], probability, factor)) {
                ++results[j].rank->best;
                --results[i].rank->worst;
                continue;
            }
            results[i].rank->tied_with.push_back(figures[j].name);
            results[j].rank->tied_with.push_back(figures[i].name);
            would_help.push_back(tie_text(figures[i], figures[j], probability, factor));
        }
    }
}

template <Deferred...>
inline void describe(const PeakCountTest& test, PeakCountOrder& order) {
    order.rests_on.push_back("one dust, one box, one counter: the channel " + range_text(test.range) +
                             " of this dust, by number, at the air speed of the test");
    order.rests_on.push_back(test.dose_repeatability
                                 ? "the repeatability of a dose as stated: " + percent_digits(*test.dose_repeatability)
                             : order.degrees_of_freedom > 0.0
                                 ? "the scatter of repeated runs: " + percent_digits(order.repeatability) + " (" +
                                       number_text(order.degrees_of_freedom) + " degrees of freedom)"
                                 : "counting noise alone: how well a dose repeats is not known");
    if (!test.loss) {
        order.rests_on.push_back("no correction for coincidence: a counter that overlaps flatters whatever lets much "
                                 "through, and the run without a filter most of all");
        order.would_help.push_back("the counter's dead time or coincidence limit, or a run with half the dose");
    }
    if (!test.without_filter) {
        order.would_help.push_back("runs without a filter: peaks then become relative penetration");
    }
    if (!test.box_volume) {
        order.would_help.push_back("volume of the box, flow, feed time: peaks can then be corrected for what the box "
                                   "loses");
    }
    if (!test.dose_repeatability && order.degrees_of_freedom < 4.0) {
        order.would_help.push_back("more repeated runs: repeatability is known poorly from so few");
    }
}

/// The figures of all filters that can be used, fewest particles first.
template <Deferred...>
inline std::vector<PeakFigure> usable_figures(const PeakCountTest& test, const PeakReference& reference,
                                              DecayCorrection correction, std::vector<PeakCountRefusal>* refused) {
    std::vector<PeakFigure> figures;
    for (const PeakCountFilter& filter : test.filters) {
        PeakFigure figure = peak_figure(filter, test, reference, correction);
        if (figure.refused.empty()) figures.push_back(std::move(figure));
        else if (refused != nullptr) refused->push_back({filter.name, figure.refused});
    }
    std::stable_sort(figures.begin(), figures.end(),
                     [](const PeakFigure& a, const PeakFigure& b) { return a.net < b.net; });
    return figures;
}

/// Both penetrations, or why they are refused.
template <Deferred...>
inline void find_penetrations(const PeakCountTest& test, const PeakReference& reference,
                              std::span<const PeakFigure> figures, const PeakFigure& without, double factor,
                              const std::string& unlike, const std::string& correction_refused, PeakCountOrder& order) {
    const std::string relative = !unlike.empty() ? unlike
                                                 : relate(figures, without, factor, order.filters,
                                                          &PeakCountFigure::relative_penetration);
    if (!relative.empty()) order.refused.push_back({"relative penetration", relative});
    std::string corrected = correction_refused;
    if (corrected.empty()) {
        std::vector<PeakFigure> entered(figures.begin(), figures.end());
        for (PeakFigure& figure : entered) correct(figure, test, reference);
        PeakFigure entered_without = without;
        correct(entered_without, test, reference);
        corrected = relate(entered, entered_without, factor, order.filters, &PeakCountFigure::corrected_penetration);
        order.rests_on.push_back("a well-mixed box of the stated volume, a dose fed evenly, the peak's sample drawn from "
                                 "the end of the feed on" +
                                 std::string(test.deposition ? "" : "; nothing deposited on the walls"));
    }
    if (!corrected.empty()) order.refused.push_back({"corrected penetration", corrected});
}

}   // namespace detail

/// What a test by peak count supports. Read dust_test_caution() before running one.
///
/// Equation: N = sum (C f - B t/t_b) / sum (m t/(m_0 t_0)), interval: counting limits of sum C and B, repeatability as
///           exp(-+k r/n^(1/2)); a pair is separated where N_j - N_i > ((N_j - L_j)^2 + (U_i - N_i)^2)^(1/2);
///           penetration N/N_without; corrected: the same with each run's C times peak_decay_factor
/// Symbols:  C peak count, f loss factor of the counter, B background count, t sample time, t_b background time, m dose,
///           m_0 and t_0 those of the first run, r repeatability, k normal or Student factor, n runs, L and U ends of
///           the intervals at 1 - 0.05/pairs, so that all statements of the order hold together with 95 %
/// Validity: runs alike but for the filter. Flows apart by more than 10 %, or feed times by more than 20 %, without a
///           box volume to correct them: refused. Where repeatability is told from the runs (ln N of a filter's runs,
///           pooled), the wider of counting noise and scatter counts, as scatter holds counting noise; where stated,
///           both in quadrature. Highest of many readings: enter the sample in which the peak lies, not a maximum over
///           channels.
/// @param  test  filters, runs and what is known of box, counter and dose
/// @return order with ties, penetrations, what they rest on, what was refused and why
/// @throws DomainError if a value is out of its range, there is no filter or no run, or two filters share a name
/// @source Zou and Donner 2008, Stat. Med. 27:1693 (interval of a difference from separate limits, from memory);
///         Garwood 1936; own box balance; test: capture/peak_count_test.cpp
template <Deferred...>
inline PeakCountOrder peak_count_order(const PeakCountTest& test) {
    constexpr auto where = "peak_count_order";
    detail::check(test, where);
    PeakCountOrder order;
    const detail::PeakReference reference{test.filters.front().runs.front()};
    std::vector<detail::PeakFigure> figures =
        detail::usable_figures(test, reference, detail::DecayCorrection::none, &order.refused);
    std::optional<detail::PeakFigure> without;
    if (test.without_filter) {
        without = detail::peak_figure(*test.without_filter, test, reference, detail::DecayCorrection::none);
        if (!without->refused.empty()) {
            order.refused.push_back({"run without a filter", without->refused});
            without.reset();
        }
    }
    const detail::Repeatability repeatability = detail::repeatability(test, figures, without);
    order.repeatability = repeatability.relative;
    order.degrees_of_freedom = repeatability.degrees_of_freedom;
    const bool known = repeatability.degrees_of_freedom > 0.0;
    const double factor = known ? coverage_factor(repeatability.degrees_of_freedom) : 0.0;
    if (without) without->repeatability = repeatability;

    const std::string unlike = detail::unlike_runs(test);
    const std::string correction_refused = detail::correction_refused(test);
    std::vector<detail::PeakFigure> compared = figures;
    if (!unlike.empty() && correction_refused.empty()) {
        compared = detail::usable_figures(test, reference, detail::DecayCorrection::applied, nullptr);
        figures = compared;
        for (detail::PeakFigure& figure : figures) {
            figure = detail::peak_figure(*figure.filter, test, reference, detail::DecayCorrection::none);
        }
        order.rests_on.push_back("order of particles that entered the box, corrected for unlike runs");
    }
    for (std::size_t i = 0; i < figures.size(); ++i) {
        figures[i].repeatability = compared[i].repeatability = repeatability;
        order.filters.push_back({figures[i].name, figures[i].net, figures[i].interval(0.95, factor), {}, {}, {},
                                 figures[i].notes});
    }
    const std::string unknown = known ? ""
                                      : "how well a dose repeats is neither stated nor told by repeated runs; run each "
                                        "filter at least twice, or state the repeatability";
    if (figures.size() < 2) {
        order.refused.push_back({"order", "fewer than two filters can be compared"});
    } else if (!known) {
        order.refused.push_back({"order", unknown});
    } else if (!unlike.empty() && !correction_refused.empty()) {
        order.refused.push_back({"order", unlike + " (" + correction_refused + ")"});
    } else {
        detail::rank(compared, repeatability.degrees_of_freedom, order.filters, order.would_help);
    }
    if (without && known) {
        detail::find_penetrations(test, reference, figures, *without, factor, unlike, correction_refused, order);
    } else {
        const std::string reason = without ? unknown : "there is no usable run without a filter";
        order.refused.push_back({"relative penetration", reason});
        order.refused.push_back({"corrected penetration", reason});
    }
    detail::describe(test, order);
    return order;
}

}   // namespace filterflow
