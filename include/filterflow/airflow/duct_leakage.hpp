// SPDX-License-Identifier: BSL-1.0
#pragma once

// What leaks out of ducts: the trade's leakage classes and the European ones, and the path that such a leak is for a
// network, a flow that grows with a power of the pressure difference.

#include <cmath>
#include <optional>
#include <span>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A duct's leakage as the trade classifies it.
struct DuctLeakage {
    double leakage_class{};   ///< flow in cfm per 100 ft2 of duct surface at 1 inH2O, >= 0
    Area surface{};           ///< of the duct, >= 0
};

/// Cracks, seams, a leaky duct: a flow that grows with a power of the pressure difference.
template <class T>
struct BasicLeakagePath {
    BasicVolumeFlow<T> reference_flow{};     ///< at the reference pressure, > 0
    BasicPressure<T> reference_pressure{};   ///< > 0
    T exponent{0.65};                        ///< of the pressure difference, 0.5 (orifice) to 1 (viscous)
};
using LeakagePath = BasicLeakagePath<double>;

/// A kind of duct with the leakage class that it is given.
struct DuctLeakageClass {
    std::string_view duct;       ///< material, shape and what is sealed
    double leakage_class;        ///< cfm per 100 ft2 at 1 inH2O
    std::string_view source;     ///< where the figure stands
    bool from_memory;            ///< nobody looked it up
};

namespace detail {

inline constexpr double leakage_exponent = 0.65;   // of the pressure, in every class

/// cfm per 100 ft2 at 1 inH2O of a factor in m3/(s m2) at 1 Pa.
constexpr double class_of_factor(double factor_times_one_inch) {
    return factor_times_one_inch * 100.0 * 0.3048 * 0.3048 / (0.3048 * 0.3048 * 0.3048 / 60.0);
}
inline constexpr double pascal_power_of_inch = 36.110238339905166;   // 249.08891^0.65

inline constexpr std::string_view trade_classes =
    "duct leakage classes of the sheet-metal trade, reproduced in a manual";
inline constexpr std::string_view european_classes = "EN 12237 and EN 1507";
inline constexpr DuctLeakageClass duct_leakage_table[] = {
    {"rectangular metal, seal class A (all joints, seams and wall penetrations)", 6.0, trade_classes, false},
    {"rectangular metal, seal class B (all joints and seams)", 12.0, trade_classes, false},
    {"rectangular metal, seal class C (transverse joints)", 24.0, trade_classes, false},
    {"rectangular metal, unsealed", 48.0, trade_classes, false},
    {"round metal, seal class A (all joints, seams and wall penetrations)", 3.0, trade_classes, false},
    {"round metal, seal class B (all joints and seams)", 6.0, trade_classes, false},
    {"round metal, seal class C (transverse joints)", 12.0, trade_classes, false},
    {"flexible, unsealed, average", 30.0, trade_classes, false},
    {"flexible, not metal, sealed, average", 12.0, trade_classes, false},
    {"fibrous glass board, up to 2 inH2O", 6.0, trade_classes, false},
    {"air tightness class A", class_of_factor(0.027e-3 * pascal_power_of_inch), european_classes, true},
    {"air tightness class B", class_of_factor(0.009e-3 * pascal_power_of_inch), european_classes, true},
    {"air tightness class C", class_of_factor(0.003e-3 * pascal_power_of_inch), european_classes, true},
    {"air tightness class D", class_of_factor(0.001e-3 * pascal_power_of_inch), european_classes, true},
};

template <class T>
void check(const BasicLeakagePath<T>& part, const char* where) {
    require_positive(where, "leakage reference_flow", part.reference_flow.value(), "m3/s");
    require_positive(where, "leakage reference_pressure", part.reference_pressure.value(), "Pa");
    require_between(where, "leakage exponent", part.exponent, 0.5, 1.0, "-");
}

template <Deferred...>
inline void check(const DuctLeakage& leakage, const char* where) {
    require_non_negative(where, "leakage_class", leakage.leakage_class, "cfm/100 ft2");
    require_non_negative(where, "surface", leakage.surface.value(), "m2");
}

}   // namespace detail

/// The kinds of duct and their leakage classes.
///
/// Equation: none
/// Symbols:  none
/// Validity: ducts as built and sealed by the book; a duct without a test may leak several times as much. The European
///           classes are given in Pa and m2: 1 class of the trade is 0.0014068 L/(s m2 Pa^0.65)
/// @return rows: metal by seal class, flexible, fibrous, European air tightness classes
/// @throws nothing
/// @source a source on each row; test: airflow/fittings_test.cpp
inline std::span<const DuctLeakageClass> duct_leakage_classes() { return detail::duct_leakage_table; }

/// Leakage of a duct under a pressure difference to its surroundings.
///
/// Equation: Q = C_L A p^0.65, C_L in cfm per 100 ft2 at 1 inH2O
/// Symbols:  Q leakage flow, A duct surface, p pressure difference
/// Validity: as the class was tested; pressure differences of 25 Pa to 2.5 kPa
/// @param  leakage  class and surface
/// @param  difference  static pressure inside less outside [Pa], >= 0
/// @return leakage flow [m3/s]
/// @throws DomainError if an argument is negative or not finite
/// @source class form of the sheet-metal trade (table of classes read, exponent 0.65); test: airflow/fittings_test.cpp
template <Deferred...>
inline VolumeFlow duct_leakage_flow(const DuctLeakage& leakage, Pressure difference) {
    constexpr auto where = "duct_leakage_flow";
    detail::check(leakage, where);
    detail::require_non_negative(where, "difference", difference.value(), "Pa");
    const double share = leakage.surface / units::ft2 / 100.0;
    return leakage.leakage_class * share * std::pow(difference / units::inH2O, detail::leakage_exponent) * units::cfm;
}

/// A duct's leakage as a path, for a network: from the node in the duct to the room or shaft it leaks into.
///
/// Equation: Q0 = C_L A at p0 = 1 inH2O, n = 0.65
/// Symbols:  as duct_leakage_flow
/// Validity: as duct_leakage_flow; the leak is spread along the duct, the path has it in one place
/// @param  leakage  class and surface, both > 0
/// @return the path
/// @throws DomainError if class or surface is not > 0 and finite
/// @source as duct_leakage_flow; test: airflow/fittings_test.cpp, in a network
template <Deferred...>
inline LeakagePath leakage_path(const DuctLeakage& leakage) {
    detail::check(leakage, "leakage_path");
    const LeakagePath path{duct_leakage_flow(leakage, 1.0 * units::inH2O), 1.0 * units::inH2O,
                           detail::leakage_exponent};
    detail::check(path, "leakage_path");
    return path;
}

/// Flow through a leak; odd in the pressure difference.
///
/// Equation: Q = Q0 (dp / p0)^n
/// Symbols:  Q0, p0 reference point, n exponent
/// Validity: pressures near those of the reference, as cracks change from viscous to orifice flow
/// @param  part  point and exponent
/// @param  difference  pressure inside less outside [Pa], any finite value
/// @return leakage flow [m3/s]
/// @throws DomainError if an argument is out of its range or not finite
/// @source common practice; test: airflow/network_parts_test.cpp
template <class T>
BasicVolumeFlow<T> leakage_flow(const BasicLeakagePath<T>& part, BasicPressure<T> difference) {
    constexpr auto where = "leakage_flow";
    using std::abs;
    using std::pow;
    detail::check(part, where);
    const T p = detail::require_finite(where, "difference", difference.value(), "Pa");
    if (!(abs(p) > T(0.0))) return BasicVolumeFlow<T>::from_value(T(0));
    const T size = part.reference_flow.value() * pow(T(abs(p) / part.reference_pressure.value()), part.exponent);
    return BasicVolumeFlow<T>::from_value(p < T(0.0) ? T(-size) : size);
}
template <Deferred...>
inline VolumeFlow leakage_flow(const LeakagePath& part, Pressure difference) {
    return leakage_flow<double>(part, difference);
}

}   // namespace filterflow
