// SPDX-License-Identifier: BSL-1.0
#pragma once

// A quantity of Python: an array (or one number) with a unit's dimension, and how functions of the module take and
// return it. Numbers are kept in SI; a unit is named where they come in and where they go out.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <filterflow/core/text.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow_python {

namespace py = pybind11;
using filterflow::detail::Dimension;
using Array = py::array_t<double, py::array::c_style | py::array::forcecast>;

/// A dimension with numbers in SI; the array has no dimensions where it is one number.
struct Quantity {
    Dimension dimension;
    Array si;

    std::size_t size() const { return static_cast<std::size_t>(si.size()); }
};

/// Where an argument is from, for messages.
struct Place {
    const char* function;
    const char* name;
    std::string text() const { return std::string(function) + ": " + name; }
};

Quantity checked_quantity(const Place& place, const py::handle& given, Dimension expected);
Array array_like(const Array& shape);   // of the same shape, values not set
Array finite_array(const py::handle& values, const std::string& what);
py::object plain(const Array& array);   // a float where the array is one number

/// Numbers of a column; complains unless there is one dimension, or none.
const Array& checked_column(const Place& place, const Array& array);
double checked_number(const Place& place, const Array& array);
[[noreturn]] void throw_type(const Place& place, const py::handle& found, const char* wanted);
[[noreturn]] void throw_length(const Place& place, std::size_t found, std::size_t wanted);

template <class Q>
constexpr Dimension dimension_of() {
    return filterflow::detail::dimension_of<Q>();
}

/// Argument as an array of quantities of one kind: a Quantity, or a text as "300 cfm".
template <class Q>
Quantity array_of(const Place& place, const py::handle& given) {
    return checked_quantity(place, given, dimension_of<Q>());
}

/// Argument as one quantity. Q is double for a plain ratio, which may be a bare number.
template <class Q>
Q one(const Place& place, const py::handle& given) {
    const double si = checked_number(place, checked_quantity(place, given, dimension_of<Q>()).si);
    if constexpr (std::is_same_v<Q, double>) {
        return si;
    } else {
        return Q::from_value(si);
    }
}
template <class Q>
std::optional<Q> one_or_none(const Place& place, const py::handle& given) {
    if (given.is_none()) return std::nullopt;
    return one<Q>(place, given);
}
template <class Q>
Q one_or_zero(const Place& place, const py::handle& given) {
    return one_or_none<Q>(place, given).value_or(Q{});
}

/// Argument as a column of quantities.
template <class Q>
std::vector<Q> column_of(const Place& place, const py::handle& given) {
    const Quantity quantity = array_of<Q>(place, given);
    const Array& array = checked_column(place, quantity.si);
    std::vector<Q> column;
    for (py::ssize_t i = 0; i < array.size(); ++i) {
        if constexpr (std::is_same_v<Q, double>) {
            column.push_back(array.data()[i]);
        } else {
            column.push_back(Q::from_value(array.data()[i]));
        }
    }
    return column;
}
/// A column brought to a wanted length: one number stands for all of them.
template <class Q>
std::vector<Q> stretched(const Place& place, std::vector<Q> column, std::size_t length) {
    if (column.size() == 1) return std::vector<Q>(length, column.front());
    if (column.size() != length) throw_length(place, column.size(), length);
    return column;
}
template <class Q>
std::vector<Q> column_of(const Place& place, const py::handle& given, std::size_t length) {
    return stretched(place, column_of<Q>(place, given), length);
}

/// Result of one quantity.
template <class Q>
Quantity quantity_of(const Q& value) {
    Array si{py::array::ShapeContainer{}};
    *si.mutable_data() = value.value();
    return {dimension_of<Q>(), std::move(si)};
}
template <class Q>
std::optional<Quantity> quantity_of(const std::optional<Q>& value) {
    if (!value) return std::nullopt;
    return quantity_of(*value);
}

/// Result of a column: read(item) gives each item's quantity.
template <class Items, class Read>
Quantity column_from(const Items& items, const Read& read) {
    using Q = std::remove_cvref_t<decltype(read(*items.begin()))>;
    Array si(static_cast<py::ssize_t>(items.size()));
    double* out = si.mutable_data();
    for (const auto& item : items) *out++ = read(item).value();
    return {dimension_of<Q>(), std::move(si)};
}
template <class Items, class Read>
Array numbers_from(const Items& items, const Read& read) {
    Array numbers(static_cast<py::ssize_t>(items.size()));
    double* out = numbers.mutable_data();
    for (const auto& item : items) *out++ = read(item);
    return numbers;
}

/// Result of a function of each element, other Python threads running meanwhile.
template <class From, class Function>
Quantity mapped(const Quantity& from, const Function& function) {
    using To = std::remove_cvref_t<decltype(function(From{}))>;
    Quantity result{dimension_of<To>(), array_like(from.si)};
    const double* in = from.si.data();
    double* out = result.si.mutable_data();
    const std::size_t n = from.size();
    const py::gil_scoped_release release;
    for (std::size_t i = 0; i < n; ++i) out[i] = function(From::from_value(in[i])).value();
    return result;
}

/// One of the words for the values of an enumeration.
template <class E>
struct Word {
    const char* word;
    E value;
};
[[noreturn]] void throw_unknown_word(const Place& place, const std::string& found, const std::string& words);
template <class E, std::size_t N>
E value_of(const Place& place, const std::string& found, const Word<E> (&words)[N]) {
    std::string all;
    for (const Word<E>& w : words) {
        if (found == w.word) return w.value;
        all += (all.empty() ? "'" : ", '") + std::string(w.word) + "'";
    }
    throw_unknown_word(place, found, all);
}
template <class E, std::size_t N>
const char* word_of(E value, const Word<E> (&words)[N]) {
    return std::find_if(words, words + N, [&](const Word<E>& w) { return w.value == value; })->word;
}

// The module's parts, in the order in which they need each other's classes.
void bind_quantity(py::module_& m);
void bind_elements(py::module_& m);
void bind_fans(py::module_& m);
void bind_efficiency(py::module_& m);
void bind_ratings(py::module_& m);
void bind_loading(py::module_& m);
void bind_cost(py::module_& m);

}   // namespace filterflow_python
