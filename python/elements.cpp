// SPDX-License-Identifier: BSL-1.0
// Air, instruments, element curves and their fits in the Python module.

#include "quantity.hpp"

#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/stand/instrument.hpp>
#include <filterflow/stand/tare.hpp>

namespace filterflow_python {

using namespace filterflow;

namespace {

void bind_air(py::module_& m) {
    py::class_<AirState>(m, "AirState", "The air that a model is evaluated in, or that a curve is stated for.")
        .def_property_readonly("temperature", [](const AirState& a) { return quantity_of(a.temperature); })
        .def_property_readonly(
            "pressure", [](const AirState& a) { return quantity_of(a.pressure); }, "Absolute.")
        .def_readonly("humidity_ratio", &AirState::humidity_ratio, "Mass of vapour per mass of dry air [-], >= 0.")
        .def_property_readonly("density", [](const AirState& a) { return quantity_of(a.density); })
        .def_property_readonly("viscosity", [](const AirState& a) { return quantity_of(a.viscosity); })
        .def("__repr__", [](const AirState& a) {
            return "AirState(" + to_string(a.temperature, "degC", 4) + ", " + to_string(a.pressure, "kPa", 5) + ", " +
                   to_string(a.density, "kg/m3", 4) + ")";
        });
    m.def(
        "moist_air",
        [](const py::object& temperature, const py::object& pressure, const py::object& relative_humidity) {
            return moist_air({.temperature = one<Temperature>({"moist_air", "temperature"}, temperature),
                              .pressure = one<Pressure>({"moist_air", "pressure"}, pressure),
                              .relative_humidity = one<double>({"moist_air", "relative_humidity"}, relative_humidity)});
        },
        py::arg("temperature"), py::arg("pressure"), py::arg("relative_humidity"),
        "Air state of a reading.\n\n"
        "temperature: dry bulb, -100 to 200 degC.\n"
        "pressure: absolute, > 0; a barometer at the place, not reduced to sea level.\n"
        "relative_humidity: 0 to 1, or a text as '45 %'.\n"
        "Raises DomainError outside the ranges.");
    m.def("duct_design_air", [] { return duct_design_air(); }, "1.204 kg/m3, dry, 20 degC, 101.325 kPa.");
    m.def("fan_table_air", [] { return fan_table_air(); }, "0.075 lb/ft3 (1.2014 kg/m3), dry, 70 degF, 101.325 kPa.");
    m.def("fan_test_air", [] { return fan_test_air(); },
          "1.2 kg/m3, 20 degC, about 50 % relative humidity, 101.325 kPa.");
    m.def("isa_sea_level_air", [] { return isa_sea_level_air(); }, "1.225 kg/m3, dry, 15 degC, 101.325 kPa.");
}

template <class Q>
Instrument instrument_of(const char* function, const std::string& name, double gain, const py::object& zero,
                         const py::object& resolution) {
    return instrument(InstrumentData<Q>{.name = name,
                                        .gain_uncertainty = gain,
                                        .zero_uncertainty = one_or_zero<Q>({function, "zero_uncertainty"}, zero),
                                        .resolution = one_or_zero<Q>({function, "resolution"}, resolution)});
}

void bind_instruments(py::module_& m) {
    constexpr auto documentation =
        "An instrument whose errors all of its readings share. Give the same object for the empty stand and for every "
        "filter, so that what they share cancels in differences.\n\n"
        "gain_uncertainty: standard uncertainty of the scale as a part of the reading [-], >= 0.\n"
        "zero_uncertainty: standard uncertainty of the zero, >= 0.\n"
        "resolution: step of the display, >= 0.\n"
        "Raises DomainError if one of them is negative.";
    py::class_<Instrument>(m, "Instrument", "A manometer or a flow meter with what is not known exactly about it.")
        .def_property_readonly("name", &Instrument::name);
    const auto bind = [&](const char* function, auto make) {
        m.def(function, make, py::arg("name") = function, py::arg("gain_uncertainty") = 0.0,
              py::arg("zero_uncertainty") = py::none(), py::arg("resolution") = py::none(), documentation);
    };
    bind("manometer", [](const std::string& name, double gain, const py::object& zero, const py::object& resolution) {
        return instrument_of<Pressure>("manometer", name, gain, zero, resolution);
    });
    bind("flow_meter", [](const std::string& name, double gain, const py::object& zero, const py::object& resolution) {
        return instrument_of<VolumeFlow>("flow_meter", name, gain, zero, resolution);
    });
}

/// One air for all readings, or one for each.
std::vector<AirState> airs_of(const py::object& air, std::size_t count) {
    if (py::isinstance<AirState>(air)) return std::vector<AirState>(count, air.cast<AirState>());
    auto airs = air.cast<std::vector<AirState>>();
    if (airs.size() != count) throw_length({"fit_element", "air"}, airs.size(), count);
    return airs;
}

ElementFit fit(const py::object& flow, const py::object& drop, const py::object& air, const AirState& stated_air,
               const Instrument& flow_meter, const Instrument& manometer, const std::optional<ElementFit>& tare) {
    constexpr auto where = "fit_element";
    const auto flows = column_of<VolumeFlow>({where, "flow"}, flow);
    const auto drops = column_of<Pressure>({where, "drop"}, drop);
    if (drops.size() != flows.size()) {
        throw DomainError("fit_element: drop has " + std::to_string(drops.size()) + " values; required: one a flow, " +
                          std::to_string(flows.size()));
    }
    const auto airs = airs_of(air, flows.size());
    std::vector<ElementReading> readings;
    for (std::size_t i = 0; i < flows.size(); ++i) {
        readings.push_back({reading(flow_meter, flows[i]), reading(manometer, drops[i]), airs[i]});
    }
    if (tare) readings = net_of_tare(readings, *tare);
    return fit_element(readings, stated_air);
}

const char* form_word(const ElementFit& f) {
    switch (f.form) {
        case ElementFitForm::viscous_only:
            return "viscous only";
        case ElementFitForm::inertial_only:
            return "inertial only";
        default:
            return "viscous and inertial";
    }
}

void bind_fit(py::module_& m) {
    py::class_<ElementCurve>(m, "ElementCurve",
                             "dp = r Q + s Q |Q| in the air it is stated for; in other air r follows "
                             "the viscosity, s the density.")
        .def_property_readonly(
            "linear", [](const ElementCurve& c) { return quantity_of(c.linear); }, "r.")
        .def_property_readonly(
            "quadratic", [](const ElementCurve& c) { return quantity_of(c.quadratic); }, "s.")
        .def_readonly("stated_air", &ElementCurve::stated_air);
    m.def(
        "element_curve",
        [](const py::object& linear, const py::object& quadratic, const AirState& stated_air) {
            return ElementCurve{one<LinearResistance>({"element_curve", "linear"}, linear),
                                one<QuadraticResistance>({"element_curve", "quadratic"}, quadratic), stated_air};
        },
        py::arg("linear"), py::arg("quadratic"), py::arg("stated_air"),
        "A curve of known resistances.\n\nlinear: r, >= 0, in 'Pa s/m3'.\nquadratic: s, >= 0, in 'Pa s2/m6'.\n"
        "stated_air: the air in which they hold. Checked where the curve is used.");

    py::class_<ElementFit>(m, "ElementFit", "A fitted curve with what is known about it.")
        .def_readonly("curve", &ElementFit::curve)
        .def_property_readonly(
            "linear", [](const ElementFit& f) { return quantity_of(f.curve.linear); }, "r.")
        .def_property_readonly(
            "quadratic", [](const ElementFit& f) { return quantity_of(f.curve.quadratic); }, "s.")
        .def_property_readonly(
            "linear_uncertainty", [](const ElementFit& f) { return quantity_of(f.linear.standard_uncertainty()); },
            "Standard uncertainty of r.")
        .def_property_readonly(
            "quadratic_uncertainty",
            [](const ElementFit& f) { return quantity_of(f.quadratic.standard_uncertainty()); },
            "Standard uncertainty of s.")
        .def_property_readonly("form", &form_word, "Parts that the readings support.")
        .def_property_readonly("least_flow", [](const ElementFit& f) { return quantity_of(f.least_flow); })
        .def_property_readonly("greatest_flow", [](const ElementFit& f) { return quantity_of(f.greatest_flow); })
        .def_property_readonly(
            "residuals", [](const ElementFit& f) { return column_from(f.residuals, [](Pressure p) { return p; }); },
            "Reading less curve, in the air of the reading.")
        .def_readonly("chi_squared", &ElementFit::chi_squared)
        .def_readonly("degrees_of_freedom", &ElementFit::degrees_of_freedom)
        .def_readonly("lacks_fit", &ElementFit::lacks_fit, "The readings do not follow such a curve.")
        .def(
            "extrapolates",
            [](const ElementFit& f, const py::object& flow) {
                const Quantity q = array_of<VolumeFlow>({"extrapolates", "flow"}, flow);
                py::array_t<bool> outside(std::vector<py::ssize_t>(q.si.shape(), q.si.shape() + q.si.ndim()));
                for (std::size_t i = 0; i < q.size(); ++i) {
                    outside.mutable_data()[i] = extrapolates(f, VolumeFlow::from_value(q.si.data()[i]));
                }
                return outside;
            },
            py::arg("flow"),
            "Whether flows lie outside the readings (by more than 2 %), where the form is not known to hold.");
    m.def("fit_element", &fit, py::arg("flow"), py::arg("drop"), py::arg("air"), py::arg("stated_air"), py::kw_only(),
          py::arg_v("flow_meter", Instrument(), "exact"), py::arg_v("manometer", Instrument(), "exact"),
          py::arg("tare") = py::none(),
          "Curve dp = r Q + s Q^2 of readings; r, s >= 0.\n\n"
          "flow: volume flows of the readings, > 0, at the density of their air; shape (n).\n"
          "drop: pressure drops, finite; shape (n).\n"
          "air: of the readings: an AirState, or a list of n.\n"
          "stated_air: to which the curve is brought, as duct_design_air().\n"
          "flow_meter, manometer: whose errors the readings share; none: readings are exact but for their scatter.\n"
          "tare: fit of the empty stand between the same taps, taken off at the flow of each reading.\n"
          "Raises DomainError if a reading is out of range, shows no resistance, or lies below the tare.");
}

template <class Function>
Quantity of_fit(const ElementFit& f, const py::object& flow, const char* where, const Function& function) {
    const Quantity q = array_of<VolumeFlow>({where, "flow"}, flow);
    Quantity result{Dimension::pressure, array_like(q.si)};
    const double* in = q.si.data();
    double* out = result.si.mutable_data();
    const py::gil_scoped_release release;
    for (std::size_t i = 0; i < q.size(); ++i) out[i] = function(f, VolumeFlow::from_value(in[i])).value();
    return result;
}

void bind_drops(py::module_& m) {
    constexpr auto where = "pressure_drop";
    const auto drop = [](const ElementCurve& curve, const py::object& flow, const AirState& air) {
        return mapped<VolumeFlow>(array_of<VolumeFlow>({where, "flow"}, flow),
                                  [&](VolumeFlow q) { return pressure_drop(curve, q, air); });
    };
    const auto flow_at = [](const ElementCurve& curve, const py::object& drop_given, const AirState& air) {
        return mapped<Pressure>(array_of<Pressure>({"volume_flow", "drop"}, drop_given),
                                [&](Pressure p) { return volume_flow(curve, p, air); });
    };
    constexpr auto documentation =
        "Pressure drops at volume flows.\n\n"
        "element: an ElementCurve, an ElementFit or a SystemCurve (flows >= 0).\n"
        "flow: any shape, at the density of the air.\n"
        "air: of operation.\n"
        "Returns a pressure of the shape of flow.";
    m.def("pressure_drop", drop, py::arg("element"), py::arg("flow"), py::arg("air"), documentation);
    m.def(
        "pressure_drop",
        [drop](const ElementFit& f, const py::object& flow, const AirState& air) { return drop(f.curve, flow, air); },
        py::arg("element"), py::arg("flow"), py::arg("air"), documentation);
    constexpr auto flow_documentation =
        "Volume flows at pressure drops, the inverse of pressure_drop.\n\n"
        "drop: any shape.\nReturns a volume flow of the shape of drop.";
    m.def("volume_flow", flow_at, py::arg("element"), py::arg("drop"), py::arg("air"), flow_documentation);
    m.def(
        "volume_flow",
        [flow_at](const ElementFit& f, const py::object& p, const AirState& air) { return flow_at(f.curve, p, air); },
        py::arg("element"), py::arg("drop"), py::arg("air"), flow_documentation);
    m.def(
        "pressure_drop_uncertainty",
        [](const ElementFit& f, const py::object& flow, const AirState& air) {
            return of_fit(f, flow, "pressure_drop_uncertainty", [&](const ElementFit& fitted, VolumeFlow q) {
                return pressure_drop(fitted, q, air).standard_uncertainty();
            });
        },
        py::arg("fit"), py::arg("flow"), py::arg("air"),
        "Standard uncertainties of the pressure drops of a fit.\n\nflow: any shape, >= 0.");
    m.def(
        "pressure_drop_difference",
        [](const ElementFit& a, const ElementFit& b, const py::object& flow, const AirState& air) {
            const auto difference = [&](const ElementFit& fitted, VolumeFlow q) {
                return pressure_drop(fitted, q, air) - pressure_drop(b, q, air);
            };
            return std::pair(of_fit(a, flow, "pressure_drop_difference",
                                    [&](const ElementFit& f, VolumeFlow q) { return difference(f, q).value; }),
                             of_fit(a, flow, "pressure_drop_difference", [&](const ElementFit& f, VolumeFlow q) {
                                 return difference(f, q).standard_uncertainty();
                             }));
        },
        py::arg("a"), py::arg("b"), py::arg("flow"), py::arg("air"),
        "Pressure drop of fit a less that of fit b, and the standard uncertainty of that difference, in which the "
        "instruments and the tare that both share cancel.\n\nflow: any shape, >= 0.\n"
        "Returns (difference, standard uncertainty).");
}

}   // namespace

void bind_elements(py::module_& m) {
    bind_air(m);
    bind_instruments(m);
    bind_fit(m);
    bind_drops(m);
}

}   // namespace filterflow_python
