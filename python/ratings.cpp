// SPDX-License-Identifier: BSL-1.0
// Classes that efficiencies by size allow, in the Python module.

#include "quantity.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/numeric/coverage.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

using Curve = FractionalEfficiency;
using Average = std::optional<Uncertain<double>>;

std::optional<double> value_of_average(const Average& average) {
    if (!average) return std::nullopt;
    return average->value;
}
std::optional<std::pair<double, double>> interval_of_average(const Average& average) {
    if (!average) return std::nullopt;
    const Interval<double> interval = coverage_interval(*average);
    return std::pair(interval.lower, interval.upper);
}

/// name: value and name_interval: 95 %, of one average.
template <class Result>
void bind_average(py::class_<Result>& bound, const char* name, Average Result::*member, const char* what) {
    bound.def_property_readonly(
        name, [member](const Result& r) { return value_of_average(r.*member); }, what);
    bound.def_property_readonly((std::string(name) + "_interval").c_str(),
                                [member](const Result& r) { return interval_of_average(r.*member); },
                                "Its 95 % interval (lower, upper), or None.");
}

py::dict probabilities_of(const std::vector<ClassProbability>& probabilities) {
    py::dict result;   // keeps their order, the lowest class first
    for (const ClassProbability& p : probabilities) result[py::str(p.name)] = p.probability;
    return result;
}

Average arrestance_of(const Place& place, const py::object& given) {
    const std::optional<double> value = one_or_none<double>(place, given);
    if (!value) return std::nullopt;
    return Uncertain<double>(*value);
}

constexpr Word<MinimumEfficiencyEdition> editions[] = {
    {"2017", MinimumEfficiencyEdition::edition_2017},
    {"1999 to 2012", MinimumEfficiencyEdition::editions_1999_to_2012}};

void bind_minimum_efficiency(py::module_& m) {
    using Rating = MinimumEfficiencyRating;
    py::class_<Rating> bound(m, "MinimumEfficiencyRating",
                             "What the data allow of the minimum efficiency reporting value: an estimate, no rating.");
    bound
        .def_readonly("lowest", &Rating::lowest,
                      "Lowest value by the states measured, or None; no bound of the filter where upper_bound is set.")
        .def_readonly("highest", &Rating::highest, "Highest value by the states measured, or None.")
        .def_readonly("estimate", &Rating::estimate, "From the averages themselves; None where missing sizes decide.")
        .def_readonly("upper_bound", &Rating::upper_bound, "A state that the standard asks for was not measured.")
        .def_readonly("governing_limit", &Rating::governing_limit)
        .def_readonly("next_limit", &Rating::next_limit)
        .def_readonly("reasons", &Rating::reasons, "Why the data allow more than one value.")
        .def_readonly("missing", &Rating::missing, "What the standard asks for and was not given.")
        .def_property_readonly(
            "probabilities", [](const Rating& r) { return probabilities_of(r.probabilities); },
            "Of each value by name, lowest first; empty where a size range is missing.")
        .def(
            "text",
            [](const Rating& r, const py::object& face_velocity) {
                return minimum_efficiency_text(r, one<Velocity>({"text", "face_velocity"}, face_velocity));
            },
            py::arg("face_velocity"), "How it may be printed: as an estimate, with edition and face velocity (> 0).");
    bind_average(bound, "E1", &Rating::E1, "Average efficiency from 0.3 to 1 um [-]; None: a range is missing.");
    bind_average(bound, "E2", &Rating::E2, "Average efficiency from 1 to 3 um [-]; None: a range is missing.");
    bind_average(bound, "E3", &Rating::E3, "Average efficiency from 3 to 10 um [-]; None: a range is missing.");
    m.def(
        "minimum_efficiency_rating",
        [](const Curve& clean, const std::optional<Curve>& conditioned, const std::vector<Curve>& loaded,
           const py::object& average_arrestance, const std::string& edition) {
            constexpr auto where = "minimum_efficiency_rating";
            return minimum_efficiency_rating(MinimumEfficiencyCurves{clean, conditioned, loaded},
                                             arrestance_of({where, "average_arrestance"}, average_arrestance),
                                             {.edition = value_of({where, "edition"}, edition, editions)});
        },
        py::arg("clean"), py::kw_only(), py::arg("conditioned") = py::none(), py::arg("loaded") = std::vector<Curve>{},
        py::arg("average_arrestance") = py::none(), py::arg("edition") = "2017",
        "Minimum efficiency reporting value by the tables of ANSI/ASHRAE 52.2.\n\n"
        "clean, conditioned, loaded: efficiencies in the twelve ranges; loaded is a list of up to four.\n"
        "average_arrestance: by mass, 0 to 1 [-]; decides values 1 to 4.\n"
        "edition: '2017' or '1999 to 2012'.\n"
        "What was not measured is bounded by 0 and 1 and listed as missing.");
}

void bind_particulate_matter(py::module_& m) {
    using Class = ParticulateMatterClass;
    py::class_<Class> bound(m, "ParticulateMatterClass",
                            "What the data allow of the class by particulate matter: an "
                            "estimate, no rating.");
    bound.def_readonly("class_text", &Class::class_text, "As 'ISO ePM10 75 %', or why there is none.")
        .def_readonly("lowest_class", &Class::lowest_class)
        .def_readonly("highest_class", &Class::highest_class,
                      "Without the conditioned state: if conditioning lost nothing.")
        .def_readonly("missing", &Class::missing, "What the standard asks for and was not given.")
        .def_property_readonly(
            "probabilities", [](const Class& c) { return probabilities_of(c.probabilities); },
            "Of each class by name, lowest first.")
        .def(
            "text",
            [](const Class& c, const py::object& face_velocity) {
                return particulate_matter_text(c, one<Velocity>({"text", "face_velocity"}, face_velocity));
            },
            py::arg("face_velocity"), "How it may be printed: as an estimate, with edition and face velocity (> 0).");
    bind_average(bound, "ePM1", &Class::ePM1, "Mean of untreated and conditioned [-], or None.");
    bind_average(bound, "ePM1_min", &Class::ePM1_min, "Conditioned [-], or None.");
    bind_average(bound, "ePM25", &Class::ePM25, "ePM2.5, mean of untreated and conditioned [-], or None.");
    bind_average(bound, "ePM25_min", &Class::ePM25_min, "ePM2.5, conditioned [-], or None.");
    bind_average(bound, "ePM10", &Class::ePM10, "Mean of untreated and conditioned [-], or None.");
    m.def(
        "particulate_matter_class",
        [](const Curve& untreated, const std::optional<Curve>& conditioned, const py::object& initial_arrestance) {
            return particulate_matter_class(
                untreated, conditioned,
                arrestance_of({"particulate_matter_class", "initial_arrestance"}, initial_arrestance));
        },
        py::arg("untreated"), py::arg("conditioned") = py::none(), py::arg("initial_arrestance") = py::none(),
        "Class by particulate matter of ISO 16890-1:2016.\n\n"
        "untreated, conditioned: efficiencies in the twelve ranges, as delivered and discharged.\n"
        "initial_arrestance: by mass, 0 to 1 [-], for the coarse group.");
}

}   // namespace

void bind_ratings(py::module_& m) {
    bind_minimum_efficiency(m);
    bind_particulate_matter(m);
}

}   // namespace filterflow_python
