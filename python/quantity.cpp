// SPDX-License-Identifier: BSL-1.0
// The class Quantity of the Python module.

#include "quantity.hpp"

#include <cmath>
#include <string_view>
#include <utility>

#include <filterflow/core/errors.hpp>

namespace filterflow_python {

namespace {

using filterflow::TextError;
using filterflow::detail::accepted_units;
using filterflow::detail::name_of;
using filterflow::detail::UnitName;

std::string short_text(const py::handle& object) { return py::repr(object).cast<std::string>().substr(0, 60); }

std::string described(Dimension dimension) {
    return std::string(name_of(dimension)) + " (" + accepted_units(dimension) + ")";
}

const UnitName& known_unit(const std::string& unit) {
    const UnitName* found = filterflow::detail::find_unit_name(unit);
    if (found == nullptr) throw TextError("unknown unit " + filterflow::detail::quoted(unit), 0);
    return *found;
}

/// The unit, which has to be one of the dimension.
const UnitName& unit_of(const std::string& unit, Dimension dimension) {
    const UnitName& found = known_unit(unit);
    if (found.dimension != dimension) {
        throw TextError("unit " + filterflow::detail::quoted(unit) + " is one of " +
                            std::string(name_of(found.dimension)) + "; the quantity measures " + described(dimension),
                        0);
    }
    return found;
}

std::string unit_of_si(Dimension dimension) {
    if (dimension == Dimension::ratio) return "1";
    for (const UnitName& unit : filterflow::detail::unit_names) {
        if (unit.dimension == dimension && unit.factor == 1.0 && unit.offset == 0.0) {
            return std::string(printed_spelling(unit));
        }
    }
    return "SI";   // money per time and the like, whose units are all larger
}

template <class Function>
Array transformed(const Array& in, const Function& function) {
    Array out = array_like(in);
    const double* from = in.data();
    double* to = out.mutable_data();
    for (py::ssize_t i = 0; i < in.size(); ++i) to[i] = function(from[i]);
    return out;
}

Quantity quantity(const py::handle& values, const std::string& unit) {
    if (py::isinstance<Quantity>(values)) throw py::type_error("quantity: the values have a unit already");
    if (py::isinstance<py::str>(values)) throw py::type_error("quantity: a text with its unit takes no second unit");
    const UnitName& known = known_unit(unit);
    const Array numbers = finite_array(values, "quantity: value");
    return {known.dimension, transformed(numbers, [&](double x) { return known.factor * x + known.offset; })};
}

/// "300 cfm": the number, and all that follows it as the unit.
Quantity quantity_of_text(const std::string& text) {
    std::size_t position = 0;
    const double number = filterflow::detail::leading_number(text, position);
    const std::string_view unit = std::string_view(text).substr(position);
    if (unit.find_first_not_of(" \t") == std::string_view::npos) {
        throw TextError("the unit is missing in " + filterflow::detail::quoted(text), position);
    }
    return quantity(py::float_(number), std::string(unit));
}

Array to(const Quantity& q, const std::string& unit) {
    const UnitName& known = unit_of(unit, q.dimension);
    return transformed(q.si, [&](double x) { return (x - known.offset) / known.factor; });
}

void check_same(const Quantity& a, const Quantity& b, const char* what) {
    if (a.dimension == b.dimension) return;
    throw TextError(std::string(what) + " of " + std::string(name_of(a.dimension)) + " and " +
                        std::string(name_of(b.dimension)) + "; required: one dimension",
                    0);
}
void check_no_temperature(const Quantity& q, const char* what) {
    if (q.dimension != Dimension::temperature) return;
    throw TextError(std::string(what) +
                        " of temperatures: a reading and a difference would look the same; "
                        "take .to('K') and NumPy",
                    0);
}

/// The plain number or numbers that a quantity is multiplied with or divided by.
Array factor_of(const py::object& given) {
    if (py::isinstance<Quantity>(given)) {
        throw py::type_error("product of two quantities; required: a plain factor: take .to(unit) of one of them");
    }
    return finite_array(given, "factor");
}

/// NumPy does the arithmetic, with its rules of shapes.
Quantity computed(Dimension dimension, const py::object& result, const char* what) {
    return {dimension, finite_array(result, what)};
}

std::string representation(const Quantity& q) {
    return "Quantity(" + py::str(plain(q.si)).cast<std::string>() + ", '" + unit_of_si(q.dimension) + "')";
}

}   // namespace

Array array_like(const Array& shape) {
    return Array(std::vector<py::ssize_t>(shape.shape(), shape.shape() + shape.ndim()));
}

Array finite_array(const py::handle& values, const std::string& what) {
    // Casting alone would drop masks and imaginary parts without a word, and read texts as numbers.
    if (py::hasattr(values, "compressed")) {
        throw py::type_error(what + "s in a masked array; required: an array without a mask, as values.compressed()");
    }
    const py::array any = py::array::ensure(values);
    const bool numeric = any && std::string_view("iufO").find(any.dtype().kind()) != std::string_view::npos;
    Array array = numeric ? Array::ensure(any) : Array();
    if (!numeric || !array) {
        PyErr_Clear();
        throw py::type_error(what + "s that are no real numbers: " + short_text(values));
    }
    for (py::ssize_t i = 0; i < array.size(); ++i) {
        if (std::isfinite(array.data()[i])) continue;
        const std::string place = array.ndim() == 0 ? "" : " number " + std::to_string(i + 1);
        throw filterflow::DomainError(what + place + " = " + filterflow::detail::number_text(array.data()[i], 6) +
                                      "; required: a finite number");
    }
    return array;
}

py::object plain(const Array& array) {
    if (array.ndim() == 0) return py::float_(*array.data());
    return array;
}

Quantity checked_quantity(const Place& place, const py::handle& given, Dimension expected) {
    Quantity result{};
    if (py::isinstance<Quantity>(given)) {
        result = given.cast<Quantity>();
    } else if (py::isinstance<py::str>(given)) {
        try {
            result = quantity_of_text(given.cast<std::string>());
        } catch (const TextError& error) {
            throw TextError(place.text() + ": " + error.what(), error.offset);
        }
    } else if (expected == Dimension::ratio) {
        return {expected, finite_array(given, place.text())};
    } else {
        throw py::type_error(place.text() + " = " + short_text(given) +
                             " has no unit; required: filterflow.quantity(values, unit) of " + described(expected));
    }
    if (result.dimension != expected) {
        throw TextError(
            place.text() + " measures " + std::string(name_of(result.dimension)) + "; required: " + described(expected),
            0);
    }
    return result;
}

const Array& checked_column(const Place& place, const Array& array) {
    if (array.ndim() > 1) {
        throw filterflow::DomainError(place.text() + " has " + std::to_string(array.ndim()) +
                                      " dimensions; required: one column, or one number");
    }
    return array;
}

double checked_number(const Place& place, const Array& array) {
    if (array.size() != 1) {
        throw filterflow::DomainError(place.text() + " has " + std::to_string(array.size()) + " values; required: one");
    }
    return *array.data();
}

void throw_type(const Place& place, const py::handle& found, const char* wanted) {
    throw py::type_error(place.text() + " = " + short_text(found) + "; required: " + wanted);
}

void throw_length(const Place& place, std::size_t found, std::size_t wanted) {
    throw filterflow::DomainError(place.text() + " has " + std::to_string(found) +
                                  " values; required: " + std::to_string(wanted) + ", or one for all");
}

void throw_unknown_word(const Place& place, const std::string& found, const std::string& words) {
    throw filterflow::DomainError(place.text() + " = '" + found + "'; required: one of " + words);
}

void bind_quantity(py::module_& m) {
    py::class_<Quantity>(m, "Quantity",
                         "Numbers with a unit. Made by quantity(values, unit); read by .to(unit).\n\n"
                         "Sums, differences, ratios and comparisons of one dimension, products with plain numbers, "
                         "indices and masks work as for NumPy arrays; any other arithmetic takes .to(unit) first.")
        .def(
            "to", [](const Quantity& q, const std::string& unit) { return plain(to(q, unit)); }, py::arg("unit"),
            "The numbers in a unit of the quantity's dimension: a NumPy array of its shape, or a float.\n\n"
            "Raises UnitError if the unit is unknown or of another dimension.")
        .def_property_readonly(
            "dimension", [](const Quantity& q) { return std::string(name_of(q.dimension)); },
            "What it measures, as 'volume flow'.")
        .def_property_readonly(
            "shape", [](const Quantity& q) { return q.si.attr("shape"); },
            "Shape as of a NumPy array; () for one number.")
        .def_property_readonly("size", &Quantity::size, "How many numbers it holds.")
        .def("__len__", [](const Quantity& q) { return py::len(q.si); })
        .def("__getitem__",
             [](const Quantity& q, const py::object& index) {
                 return Quantity{q.dimension, finite_array(q.si[index], "quantity: value")};
             })
        .def(
            "__add__",
            [](const Quantity& a, const Quantity& b) {
                check_same(a, b, "sum");
                check_no_temperature(a, "sum");
                return computed(a.dimension, a.si + b.si, "sum");
            },
            py::is_operator())
        .def(
            "__sub__",
            [](const Quantity& a, const Quantity& b) {
                check_same(a, b, "difference");
                check_no_temperature(a, "difference");
                return computed(a.dimension, a.si - b.si, "difference");
            },
            py::is_operator())
        .def(
            "__mul__",
            [](const Quantity& q, const py::object& factor) {
                check_no_temperature(q, "multiple");
                return computed(q.dimension, q.si * factor_of(factor), "multiple");
            },
            py::is_operator())
        .def(
            "__rmul__",
            [](const Quantity& q, const py::object& factor) {
                check_no_temperature(q, "multiple");
                return computed(q.dimension, q.si * factor_of(factor), "multiple");
            },
            py::is_operator())
        .def(
            "__truediv__",
            [](const Quantity& a, const Quantity& b) {
                check_same(a, b, "ratio");
                return plain(finite_array(a.si / b.si, "ratio"));
            },
            py::is_operator())
        .def(
            "__truediv__",
            [](const Quantity& q, const py::object& divisor) {
                check_no_temperature(q, "part");
                return computed(q.dimension, q.si / factor_of(divisor), "part");
            },
            py::is_operator())
        .def(
            "__lt__",
            [](const Quantity& a, const Quantity& b) {
                check_same(a, b, "comparison");
                return py::object(a.si.attr("__lt__")(b.si));
            },
            py::is_operator())
        .def(
            "__gt__",
            [](const Quantity& a, const Quantity& b) {
                check_same(a, b, "comparison");
                return py::object(a.si.attr("__gt__")(b.si));
            },
            py::is_operator())
        .def("__repr__", &representation)
        .attr("__array_ufunc__") = py::none();   // so that array * quantity asks the quantity

    m.def("quantity", &quantity, py::arg("values"), py::arg("unit"),
          "Numbers with a unit, as quantity([300, 400], 'cfm').\n\n"
          "values: a number, a sequence or a NumPy array of any shape, all finite.\n"
          "unit: spelling, as 'cfm', 'in. w.g.', 'degF'.\n"
          "Raises UnitError if the unit is not known, DomainError if a value is not finite.");
    m.def("quantity", &quantity_of_text, py::arg("text"),
          "One number with its unit in a text, as quantity('0.5 inH2O'). The point is decimal, whatever the locale.\n\n"
          "Raises UnitError if the text is not a number and a unit.");
    m.def(
        "units_of", [](const std::string& unit) { return accepted_units(known_unit(unit).dimension); }, py::arg("unit"),
        "The units that measure what this one measures, as a text.\n\nRaises UnitError if it is not known.");
}

}   // namespace filterflow_python
