// SPDX-License-Identifier: BSL-1.0
// Counts and efficiency by particle size in the Python module.

#include "quantity.hpp"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

/// The ranges between neighbouring edges; with open_above one more above the last.
std::vector<SizeRange> ranges_of(const char* where, const py::object& edges, bool open_above) {
    const auto limits = column_of<Length>({where, "edges"}, edges);
    std::vector<SizeRange> ranges;
    for (std::size_t i = 0; i + 1 < limits.size(); ++i) ranges.push_back({.lower = limits[i], .upper = limits[i + 1]});
    if (open_above && !limits.empty()) ranges.push_back(sizes_above(limits.back()));
    if (ranges.empty()) throw DomainError(std::string(where) + ": edges enclose no range; required: at least two");
    return ranges;
}

using Samples = std::vector<std::vector<double>>;

/// Rows of samples, one a range; no argument: no samples.
Samples samples_of(const Place& place, const py::object& given, std::size_t ranges) {
    if (given.is_none()) return Samples(ranges);
    const Array array = finite_array(given, place.text());
    if (array.ndim() != 2 || static_cast<std::size_t>(array.shape(0)) != ranges) {
        throw DomainError(place.text() + " has the shape " + py::str(array.attr("shape")).cast<std::string>() +
                          "; required: a row of samples for each of " + std::to_string(ranges) + " size ranges");
    }
    const auto columns = static_cast<std::size_t>(array.shape(1));
    Samples samples;
    for (std::size_t i = 0; i < ranges; ++i) {
        const double* row = array.data() + i * columns;
        samples.emplace_back(row, row + columns);
    }
    return samples;
}

FractionalEfficiency from_counts(const py::object& edges, const py::object& upstream, const py::object& downstream,
                                 const py::object& upstream_background, const py::object& downstream_background,
                                 const py::object& correlation_upstream, const py::object& correlation_downstream,
                                 const py::object& correlation_upstream_background,
                                 const py::object& correlation_downstream_background,
                                 const py::object& correlation, const py::object& correlation_uncertainty,
                                 double background_time_ratio, bool open_above) {
    constexpr auto where = "fractional_efficiency";
    const std::vector<SizeRange> ranges = ranges_of(where, edges, open_above);
    const std::size_t n = ranges.size();
    std::vector<SizeRangeCounts> counts(n);
    const auto put = [&](const char* name, const py::object& given, std::vector<double> SizeRangeCounts::*member) {
        Samples samples = samples_of({where, name}, given, n);
        for (std::size_t i = 0; i < n; ++i) counts[i].*member = std::move(samples[i]);
    };
    put("upstream", upstream, &SizeRangeCounts::upstream);
    put("downstream", downstream, &SizeRangeCounts::downstream);
    put("upstream_background", upstream_background, &SizeRangeCounts::upstream_background);
    put("downstream_background", downstream_background, &SizeRangeCounts::downstream_background);
    put("correlation_upstream", correlation_upstream, &SizeRangeCounts::correlation_upstream);
    put("correlation_downstream", correlation_downstream, &SizeRangeCounts::correlation_downstream);
    put("correlation_upstream_background", correlation_upstream_background,
        &SizeRangeCounts::correlation_upstream_background);
    put("correlation_downstream_background", correlation_downstream_background,
        &SizeRangeCounts::correlation_downstream_background);
    std::vector<double> ratio, uncertainty;
    if (!correlation.is_none()) {
        ratio = column_of<double>({where, "correlation"}, correlation, n);
        uncertainty = column_of<double>({where, "correlation_uncertainty"}, correlation_uncertainty, n);
    }
    for (std::size_t i = 0; i < n; ++i) {
        counts[i].range = ranges[i];
        counts[i].background_time_ratio = background_time_ratio;
        if (!ratio.empty()) {
            const double r = detail::require_positive(where, "correlation", ratio[i], "-");
            counts[i].stated_correlation = uncertain(r, uncertainty[i], "correlation, " + range_text(ranges[i]));
        }
    }
    return fractional_efficiency(counts);
}

FractionalEfficiency stated(const py::object& edges, const py::object& efficiency, const py::object& uncertainty) {
    constexpr auto where = "stated_efficiency";
    const std::vector<SizeRange> ranges = ranges_of(where, edges, false);
    const auto values = column_of<double>({where, "efficiency"}, efficiency, ranges.size());
    const auto doubts = column_of<double>({where, "standard_uncertainty"}, uncertainty, ranges.size());
    FractionalEfficiency result;
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        result.ranges.push_back(
            stated_efficiency(ranges[i], uncertain(values[i], doubts[i], "efficiency, " + range_text(ranges[i]))));
    }
    return result;
}

template <class Read>
Array of_ranges(const FractionalEfficiency& e, const Read& read) {
    return numbers_from(e.ranges, read);
}

void bind_class(py::module_& m) {
    py::class_<FractionalEfficiency>(m, "FractionalEfficiency",
                                     "Efficiency by particle size, smallest first; shape (k).")
        .def_property_readonly(
            "lower",
            [](const FractionalEfficiency& e) {
                return column_from(e.ranges, [](const SizeEfficiency& r) { return r.range.lower; });
            },
            "Lower ends of the size ranges.")
        .def_property_readonly(
            "upper",
            [](const FractionalEfficiency& e) {
                for (const SizeEfficiency& r : e.ranges) {
                    if (r.range.open_above)
                        throw DomainError("upper: the range " + range_text(r.range) + " has no upper end");
                }
                return column_from(e.ranges, [](const SizeEfficiency& r) { return r.range.upper; });
            },
            "Upper ends of the size ranges. Raises DomainError if the last is open.")
        .def_property_readonly(
            "size",
            [](const FractionalEfficiency& e) {
                return column_from(e.ranges, [](const SizeEfficiency& r) { return geometric_mean(r.range); });
            },
            "Geometric mean sizes. Raises DomainError if the last range is open.")
        .def_property_readonly(
            "efficiency",
            [](const FractionalEfficiency& e) {
                return of_ranges(e, [](const SizeEfficiency& r) { return 1.0 - r.penetration.value; });
            },
            "One less penetration [-]; below 0 if more particles were counted downstream.")
        .def_property_readonly(
            "efficiency_lower",
            [](const FractionalEfficiency& e) {
                return of_ranges(e, [](const SizeEfficiency& r) { return 1.0 - r.penetration_interval.upper; });
            },
            "Lower end of the 95 % interval [-].")
        .def_property_readonly(
            "efficiency_upper",
            [](const FractionalEfficiency& e) {
                return of_ranges(e, [](const SizeEfficiency& r) { return 1.0 - r.penetration_interval.lower; });
            },
            "Upper end of the 95 % interval [-].")
        .def_property_readonly(
            "standard_uncertainty",
            [](const FractionalEfficiency& e) {
                return of_ranges(e, [](const SizeEfficiency& r) { return r.penetration.standard_uncertainty(); });
            },
            "Of the efficiency [-].")
        .def_property_readonly(
            "quality",
            [](const FractionalEfficiency& e) {
                std::vector<std::string> verdicts;
                for (const SizeEfficiency& r : e.ranges) {
                    for (const std::string& text : r.quality) verdicts.push_back(range_text(r.range) + ": " + text);
                }
                return verdicts;
            },
            "What of the data failed, and what to do about it.")
        .def_property_readonly(
            "undetermined",
            [](const FractionalEfficiency& e) {
                std::vector<std::string> reasons;
                for (const UndeterminedRange& r : e.undetermined)
                    reasons.push_back(range_text(r.range) + ": " + r.reason);
                return reasons;
            },
            "Size ranges that were asked for and could not be told, with the reason.");
}

}   // namespace

void bind_efficiency(py::module_& m) {
    bind_class(m);
    m.def(
        "minimum_efficiency_size_edges",
        [] {
            const auto ranges = minimum_efficiency_size_ranges();
            std::vector<Length> edges{ranges.front().lower};
            for (const SizeRange& range : ranges) edges.push_back(range.upper);
            return column_from(edges, [](const Length& edge) { return edge; });
        },
        "Edges of the twelve size ranges from 0.3 to 10 um in which the standards measure; shape (13).");
    m.def(
        "fractional_efficiency", &from_counts, py::arg("edges"), py::arg("upstream"), py::arg("downstream"),
        py::kw_only(), py::arg("upstream_background") = py::none(), py::arg("downstream_background") = py::none(),
        py::arg("correlation_upstream") = py::none(), py::arg("correlation_downstream") = py::none(),
        py::arg("correlation_upstream_background") = py::none(),
        py::arg("correlation_downstream_background") = py::none(),
        py::arg("correlation") = py::none(), py::arg("correlation_uncertainty") = 0.0,
        py::arg("background_time_ratio") = 1.0, py::arg("open_above") = false,
        "Efficiency by size from particle counts, with 95 % intervals from counting and from scatter.\n\n"
        "edges: of the size ranges, rising; shape (k + 1), or (k) with open_above.\n"
        "upstream: particles counted in each sample, >= 0; shape (k, n + 1) in turn with downstream, or (k, n).\n"
        "downstream: shape (k, n).\n"
        "upstream_background, downstream_background: without aerosol; shape (k, any).\n"
        "correlation_upstream, correlation_downstream: without a filter, as upstream and downstream, their\n"
        "backgrounds as correlation_upstream_background, correlation_downstream_background; or\n"
        "correlation, correlation_uncertainty: that ratio, > 0, and its standard uncertainty [-]; shape (k), or one.\n"
        "background_time_ratio: time of a background sample over that of a sample, > 0.\n"
        "open_above: the last range has no upper end.\n"
        "Raises DomainError if shapes do not match or a count is negative.");
    m.def("stated_efficiency", &stated, py::arg("edges"), py::arg("efficiency"), py::arg("standard_uncertainty") = 0.0,
          "Efficiency by size that is stated, not measured.\n\nedges: shape (k + 1), rising.\n"
          "efficiency, standard_uncertainty: 0 to 1 and >= 0 [-]; shape (k), or one for all.");
    m.def(
        "in_series", [](const std::vector<FractionalEfficiency>& stages) { return in_series(stages); },
        py::arg("stages"), "Efficiency of stages one behind the other, from a list, upstream first.");
    m.def(
        "with_bypass",
        [](const FractionalEfficiency& e, const py::object& fraction, const py::object& uncertainty) {
            return with_bypass(e,
                               uncertain(one<double>({"with_bypass", "bypass_fraction"}, fraction),
                                         one<double>({"with_bypass", "standard_uncertainty"}, uncertainty), "bypass"));
        },
        py::arg("efficiency"), py::arg("bypass_fraction"), py::arg("standard_uncertainty") = 0.0,
        "Efficiency of a filter as installed, with a part of the air passing beside it.\n\n"
        "bypass_fraction, standard_uncertainty: of the flow, 0 to 1 [-].");
}

}   // namespace filterflow_python
