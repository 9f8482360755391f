// SPDX-License-Identifier: BSL-1.0
// Loading laws and a filter's life in its system, in the Python module.

#include "installation.hpp"

#include <string>
#include <utility>
#include <vector>

#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/stand/instrument.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

constexpr Word<LoadingForm> forms[] = {
    {"smooth", LoadingForm::smooth},           {"kinked", LoadingForm::kinked},
    {"exponential", LoadingForm::exponential}, {"linear", LoadingForm::linear},
    {"quadratic", LoadingForm::quadratic},     {"two populations", LoadingForm::two_population}};
constexpr Word<ReferenceArea> references[] = {{"media", ReferenceArea::media}, {"face", ReferenceArea::face}};

LoadingLaw law_of(const py::object& growth_scale, const py::object& transition, const std::string& reference) {
    constexpr auto where = "loading_law";
    const auto beginning = one_or_none<MassPerArea>({where, "transition"}, transition);
    return {.form = beginning ? LoadingForm::smooth : LoadingForm::exponential,
            .reference = value_of({where, "reference"}, reference, references),
            .growth_scale = one<MassPerArea>({where, "growth_scale"}, growth_scale),
            .transition = beginning.value_or(MassPerArea{})};
}

LoadingFit fit(const py::object& dust_fed, const py::object& flow, const py::object& drop, const AirState& air,
               const ElementFit& clean, const py::object& area, const py::object& dust_passed, const std::string& form,
               const std::string& reference, const Instrument& flow_meter, const Instrument& manometer) {
    constexpr auto where = "fit_loading";
    LoadingFitInput input;
    const auto fed = column_of<Mass>({where, "dust_fed"}, dust_fed);
    const auto flows = column_of<VolumeFlow>({where, "flow"}, flow, fed.size());
    const auto drops = column_of<Pressure>({where, "drop"}, drop, fed.size());
    std::vector<Mass> passed;
    if (!dust_passed.is_none()) passed = column_of<Mass>({where, "dust_passed"}, dust_passed, fed.size());
    for (std::size_t i = 0; i < fed.size(); ++i) {
        LoadingTestReading one_reading{fed[i], {}, reading(flow_meter, flows[i]), reading(manometer, drops[i]), air};
        if (!passed.empty()) one_reading.dust_passed = Uncertain<Mass>(passed[i]);
        input.readings.push_back(std::move(one_reading));
    }
    input.clean = clean;
    input.area = one<Area>({where, "area"}, area);
    input.reference = value_of({where, "reference"}, reference, references);
    input.form = value_of({where, "form"}, form, forms);
    return fit_loading(input);
}

void bind_laws(py::module_& m) {
    py::class_<LoadingLaw>(m, "LoadingLaw", "How the viscous resistance grows with the dust retained per area.")
        .def_property_readonly("form", [](const LoadingLaw& l) { return word_of(l.form, forms); })
        .def_property_readonly("growth_scale", [](const LoadingLaw& l) { return quantity_of(l.growth_scale); })
        .def_property_readonly("transition", [](const LoadingLaw& l) { return quantity_of(l.transition); });
    m.def("loading_law", &law_of, py::arg("growth_scale"), py::arg("transition") = py::none(),
          py::arg("reference") = "media",
          "A loading law of known parameters: exponential, and its tangent from the transition on.\n\n"
          "growth_scale: the resistance grows e-fold over it at first, > 0, in 'g/m2'.\n"
          "transition: where a cake begins, >= 0, in 'g/m2'; None: exponential throughout.\n"
          "reference: 'media' or 'face', the area that the dust is counted on.");
    m.def(
        "resistance_factor",
        [](const LoadingLaw& law, const py::object& retained) {
            const Quantity dust = array_of<MassPerArea>({"resistance_factor", "retained"}, retained);
            Array factors = array_like(dust.si);
            for (std::size_t i = 0; i < dust.size(); ++i) {
                factors.mutable_data()[i] = resistance_factor(law, MassPerArea::from_value(dust.si.data()[i]));
            }
            return plain(factors);
        },
        py::arg("law"), py::arg("retained"),
        "Factors by which dust multiplies the viscous resistance [-], >= 1.\n\nretained: per area, >= 0; any shape.");
    py::class_<LoadingFit>(m, "LoadingFit", "A fitted loading law.")
        .def_readonly("law", &LoadingFit::law)
        .def_readonly("verdict", &LoadingFit::verdict, "Which stages of loading the readings show, in words.")
        .def_readonly("notes", &LoadingFit::notes, "What the user should know, in words.")
        .def_readonly("lacks_fit", &LoadingFit::lacks_fit)
        .def_property_readonly(
            "greatest_retained", [](const LoadingFit& f) { return quantity_of(f.greatest_retained); },
            "Per area, last reading: beyond it the law is an extrapolation.")
        .def_property_readonly(
            "average_arrestance",
            [](const LoadingFit& f) -> std::optional<double> {
                if (!f.average_arrestance) return std::nullopt;
                return f.average_arrestance->value;
            },
            "By mass [-]; None if passed dust was not weighed.");
    m.def(
        "fit_loading", &fit, py::arg("dust_fed"), py::arg("flow"), py::arg("drop"), py::arg("air"), py::arg("clean"),
        py::arg("area"), py::kw_only(), py::arg("dust_passed") = py::none(), py::arg("form") = "smooth",
        py::arg("reference") = "face", py::arg_v("flow_meter", Instrument(), "exact"),
        py::arg_v("manometer", Instrument(), "exact"),
        "The loading law that best agrees with a loading test.\n\n"
        "dust_fed: total so far at each reading, rising, >= 0; shape (n).\n"
        "flow, drop: of the reading, > 0; shape (n), or one flow for all.\n"
        "air: of the readings. clean: fit of the clean filter. area: that the dust is counted on, > 0.\n"
        "dust_passed: total so far, weighed behind the filter; None: all dust is taken as caught, which is too much.\n"
        "form: 'smooth', 'kinked', 'exponential', 'linear', 'quadratic' or 'two populations'.\n"
        "reference: 'media' or 'face'.\n"
        "Raises DomainError for readings out of range, NoSolution if pressure does not grow with dust.\n\n"
        "Caution: loading dust is respirable and partly quartz; organic and metal dusts burn and explode.");
}

void bind_installation(py::module_& m) {
    py::class_<FilterStage>(m, "FilterStage", "A filter and the rule by which it is changed. Made by filter_stage.");
    m.def("filter_stage", &filter_stage_of, py::arg("clean"), py::arg("law"), py::arg("area"), py::arg("efficiency"),
          py::kw_only(), py::arg("efficiency_gain") = 0.0, py::arg("gain_scale") = "1 kg/m2",
          py::arg("gap_area") = py::none(), py::arg("final_resistance") = py::none(),
          py::arg("greatest_age") = py::none(), py::arg("greatest_known") = py::none(),
          "One stage of an installation.\n\n"
          "clean: ElementFit or ElementCurve of the clean filter. law: growth of its resistance.\n"
          "area: that the law's dust is counted on, > 0.\n"
          "efficiency: for the building's dust by mass, 0 to 1; efficiency_gain: by which it rises in the end.\n"
          "gain_scale: dust per area over which most of that comes, > 0.\n"
          "gap_area: of the gap around it, >= 0. final_resistance, greatest_age: when it is changed.\n"
          "greatest_known: dust per area that the law was fitted up to; beyond it a life is marked.");
    py::class_<FilterLifeInput>(m, "Installation", "Stages of filters in their system. Made by installation.");
    m.def("installation", &installation_of, py::arg("fan"), py::arg("ducts"), py::arg("stages"),
          py::arg("dust_concentration"), py::arg("dust_equivalence"), py::arg("air"), py::arg("horizon"), py::kw_only(),
          py::arg("running_fraction") = 1.0, py::arg("least_airflow") = py::none(),
          py::arg("greatest_external_static_pressure") = py::none(), py::arg("greatest_power") = py::none(),
          "A filter installation in its system.\n\n"
          "fan: FanCurve or FlowHoldingFan. ducts: everything but the filters. stages: list, upstream first.\n"
          "dust_concentration: in the air that arrives, > 0, in 'ug/m3'.\n"
          "dust_equivalence: mass of the bench's dust that raises resistance like a unit mass of this dust [-], > 0; "
          "never known without a field test.\n"
          "air: in the system. horizon: running time after which to stop, > 0.\n"
          "running_fraction: running over calendar time, > 0 and <= 1.\n"
          "least_airflow, greatest_external_static_pressure, greatest_power: limits, > 0; None: not limited. The least "
          "airflow is that of the equipment's nameplate.");
}

template <class Read>
auto column_of_moments(const Read& read) {
    return [read](const FilterLife& life) { return column_from(life.moments, read); };
}

void bind_life(py::module_& m) {
    py::class_<FilterLife>(m, "FilterLife", "The life of an installation from one change to a limit.")
        .def_readonly("reason", &FilterLife::reason, "What ended it, in words.")
        .def_readonly("limit_met", &FilterLife::limit_met,
                      "False: the horizon came first, or there is no operating point.")
        .def_property_readonly(
            "time", [](const FilterLife& l) { return quantity_of(l.time); }, "Running time.")
        .def_property_readonly(
            "age", [](const FilterLife& l) { return quantity_of(l.age); }, "Calendar time.")
        .def_property_readonly("mean_flow", [](const FilterLife& l) { return quantity_of(l.mean_flow); })
        .def_property_readonly("mean_filter_drop", [](const FilterLife& l) { return quantity_of(l.mean_filter_drop); })
        .def_property_readonly(
            "mean_power", [](const FilterLife& l) { return quantity_of(l.mean_power); },
            "None if the fan's table has no power.")
        .def_property_readonly("dust_arrived", [](const FilterLife& l) { return quantity_of(l.dust_arrived); })
        .def_property_readonly("dust_caught", [](const FilterLife& l) { return quantity_of(l.dust_caught); })
        .def_property_readonly("dust_delivered", [](const FilterLife& l) { return quantity_of(l.dust_delivered); })
        .def_readonly("extrapolated_stages", &FilterLife::extrapolated_stages,
                      "Stages (from 0) whose law was used beyond its readings.")
        .def_property_readonly("times", column_of_moments([](const LifeMoment& x) { return x.time; }),
                               "Running times of the course; flows and drops belong to them; shape (n).")
        .def_property_readonly("flows", column_of_moments([](const LifeMoment& x) { return x.flow; }))
        .def_property_readonly("filter_drops", column_of_moments([](const LifeMoment& x) { return x.filter_drop; }),
                               "Of all stages.")
        .def_property_readonly(
            "powers",
            [](const FilterLife& l) -> std::optional<Quantity> {
                if (l.moments.empty() || !l.moments.front().power) return std::nullopt;
                return column_from(l.moments, [](const LifeMoment& x) { return *x.power; });
            },
            "None if the fan's table has no power.");
    m.def(
        "filter_life",
        [](const FilterLifeInput& input) {
            const py::gil_scoped_release release;
            return filter_life(input);
        },
        py::arg("installation"),
        "How dust builds up, how flow and pressures follow, which limit ends it and when.\n\n"
        "Raises DomainError if a value is out of range, or a final resistance is not above the clean pressure drop.");
    m.def(
        "filter_lives",
        [](const FilterLifeInput& input, const py::object& dust_concentration) {
            const Quantity dust =
                array_of<MassConcentration>({"filter_lives", "dust_concentration"}, dust_concentration);
            FilterLifeInput each = input;
            return mapped<MassConcentration>(dust, [&](MassConcentration c) {
                each.dust.concentration = c;
                return filter_life(each).time;
            });
        },
        py::arg("installation"), py::arg("dust_concentration"),
        "Running times to the end of life for many dust concentrations.\n\n"
        "dust_concentration: > 0; any shape. Returns times of that shape; the horizon where no limit is met before.");
}

}   // namespace

void bind_loading(py::module_& m) {
    bind_laws(m);
    bind_installation(m);
    bind_life(m);
}

}   // namespace filterflow_python
