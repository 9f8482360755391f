// SPDX-License-Identifier: BSL-1.0
#pragma once

// The checks that public functions make of their arguments and results. Each returns the value it checked, is
// safe against NaN, and throws a DomainError that names the function, the argument, its value with unit and the
// requirement. Values are raw SI numbers of type T (double or a dual number, which compares by its value).

#include <cmath>
#include <concepts>
#include <cstdio>
#include <string>
#include <string_view>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>

namespace filterflow::detail {

/// The plain number behind a scalar: itself for double, the value of a dual number. Both are declared here, where
/// a header that does not include the dual numbers finds them too.
constexpr double plain_value(double x) { return x; }
template <class T>
    requires requires(const T& x) { { x.value } -> std::convertible_to<double>; }
constexpr double plain_value(const T& x) {
    return x.value;
}

template <Deferred...>
inline std::string number_text(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.6g", value);
    for (char& c : text) {
        if (c == ',') c = '.';   // whatever the locale writes
    }
    return text;
}

template <Deferred...>
[[noreturn]] inline void throw_domain_error(std::string_view where, std::string_view name, double value,
                                            std::string_view unit, std::string_view requirement) {
    std::string message;
    message.append(where).append(": ").append(name).append(" = ").append(number_text(value));
    if (!unit.empty() && unit != "-") message.append(" ").append(unit);
    message.append("; required: ").append(requirement);
    throw DomainError(message);
}

template <class T>
const T& require_finite(std::string_view where, std::string_view name, const T& value, std::string_view unit) {
    if (!std::isfinite(plain_value(value))) {
        throw_domain_error(where, name, plain_value(value), unit, "a finite number");
    }
    return value;
}

template <class T>
const T& require_positive(std::string_view where, std::string_view name, const T& value, std::string_view unit) {
    const double v = plain_value(value);
    if (!(v > 0.0) || !std::isfinite(v)) throw_domain_error(where, name, v, unit, "> 0 and finite");
    return value;
}

template <class T>
const T& require_non_negative(std::string_view where, std::string_view name, const T& value,
                              std::string_view unit) {
    const double v = plain_value(value);
    if (!(v >= 0.0) || !std::isfinite(v)) throw_domain_error(where, name, v, unit, ">= 0 and finite");
    return value;
}

/// lowest <= value <= highest.
template <class T>
const T& require_between(std::string_view where, std::string_view name, const T& value, double lowest,
                         double highest, std::string_view unit) {
    const double v = plain_value(value);
    if (!(v >= lowest && v <= highest)) {
        std::string range = "from " + number_text(lowest) + " to " + number_text(highest);
        if (!unit.empty() && unit != "-") range.append(" ").append(unit);
        throw_domain_error(where, name, v, unit, range);
    }
    return value;
}

}   // namespace filterflow::detail
