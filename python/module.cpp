// SPDX-License-Identifier: BSL-1.0
// The Python module filterflow: exceptions, and the parts in order.

#include "quantity.hpp"

#include <exception>

#include <filterflow/core/errors.hpp>

namespace filterflow_python {

namespace {

PyObject* new_exception(py::module_& m, const char* name, const py::tuple& bases, const char* documentation) {
    const std::string qualified = std::string("filterflow.") + name;
    PyObject* type = PyErr_NewExceptionWithDoc(qualified.c_str(), documentation, bases.ptr(), nullptr);
    if (type == nullptr) throw py::error_already_set();
    m.add_object(name, py::reinterpret_borrow<py::object>(type));
    return type;   // its own reference lives as long as the interpreter
}

PyObject *error_type, *domain_error_type, *no_solution_type, *unit_error_type;

void bind_exceptions(py::module_& m) {
    const auto builtin = [](PyObject* type) { return py::reinterpret_borrow<py::object>(type); };
    error_type =
        new_exception(m, "Error", py::make_tuple(builtin(PyExc_Exception)), "Base of every exception of the library.");
    domain_error_type = new_exception(m, "DomainError", py::make_tuple(builtin(error_type), builtin(PyExc_ValueError)),
                                      "An argument outside the range of the model: names function, argument, value "
                                      "with unit and what is required. A ValueError too.");
    no_solution_type = new_exception(m, "NoSolution", py::make_tuple(builtin(error_type)),
                                     "A solution that is proved absent or was not found: says which of the two.");
    unit_error_type = new_exception(m, "UnitError", py::make_tuple(builtin(error_type), builtin(PyExc_ValueError)),
                                    "A unit that is not known or of another dimension than is required, or a text that "
                                    "is no quantity. A ValueError too.");
    py::register_exception_translator([](std::exception_ptr thrown) {
        try {
            if (thrown) std::rethrow_exception(thrown);
        } catch (const filterflow::TextError& error) {
            PyErr_SetString(unit_error_type, error.what());
        } catch (const filterflow::DomainError& error) {
            PyErr_SetString(domain_error_type, error.what());
        } catch (const filterflow::NoSolution& error) {
            PyErr_SetString(no_solution_type, error.what());
        } catch (const filterflow::Error& error) {
            PyErr_SetString(error_type, error.what());
        }
    });
}

}   // namespace

}   // namespace filterflow_python

PYBIND11_MODULE(filterflow, m) {
    using namespace filterflow_python;
    m.doc() =
        "Air filters on the bench, in the duct and over the year.\n\n"
        "Arguments with a unit are made by quantity(values, unit), or are texts as '300 cfm'; a bare number for "
        "one of them, or a wrong unit, is refused. Plain ratios (efficiencies, humidity) are bare numbers from 0 "
        "to 1, or texts as '45 %'.\n\n"
        "What is computed is an estimate. Starved airflow overheats furnaces (carbon monoxide) and motors and "
        "ices coils: the equipment's nameplate goes before anything computed here.";
    m.attr("__version__") = FILTERFLOW_VERSION;
    bind_exceptions(m);
    bind_quantity(m);
    bind_elements(m);
    bind_fans(m);
    bind_efficiency(m);
    bind_ratings(m);
    bind_loading(m);
    bind_cost(m);
}
