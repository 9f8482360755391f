// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fittings and faults of ducts: sudden changes of area, static regain, right-angled tees, flexible duct that is not
// pulled out, leakage. A loss coefficient is worth nothing without the velocity it refers to, so each says which.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Mean velocities before and after a widening.
struct VelocityChange {
    Velocity before{};   ///< upstream, >= 0
    Velocity after{};    ///< downstream, >= 0
};

/// Coefficients of a right-angled tee in which two flows join, on the velocity of the joined flow.
struct TeeCoefficients {
    double branch;   ///< from the branch into the joined flow; negative where the main flow drags it along
    double run;      ///< straight through
};

/// A piece of flexible duct as laid.
struct FlexibleDuct {
    Length diameter{};               ///< inner, 150 to 250 mm
    double length_over_stretched{};  ///< installed length over the length fully stretched, 0.7 to 1
};

/// A duct's leakage as the trade classifies it.
struct DuctLeakage {
    double leakage_class{};   ///< flow in cfm per 100 ft2 of duct surface at 1 inH2O, >= 0
    Area surface{};           ///< of the duct, >= 0
};

/// Loss coefficient of a sudden widening, on the velocity before it.
///
/// Equation: K = (1 - A1/A2)^2
/// Symbols:  A1 area before, A2 area after
/// Validity: turbulent flow, sharp edge
/// @param  area_ratio  A1/A2, 0 (discharge into a room) to 1
/// @return loss coefficient on the velocity in A1 [-]
/// @throws DomainError outside the range
/// @source Borda and Carnot, momentum balance; test: airflow/fittings_test.cpp
inline double sudden_expansion_loss_coefficient(double area_ratio) {
    detail::require_between("sudden_expansion_loss_coefficient", "area_ratio", area_ratio, 0.0, 1.0, "-");
    return (1.0 - area_ratio) * (1.0 - area_ratio);
}

/// Rise of static pressure where a duct widens.
///
/// Equation: dp_s = R rho/2 (V1^2 - V2^2)
/// Symbols:  R recovery, rho density, V1, V2 mean velocities before and after
/// Validity: R from 0 (none) to 1 (ideal); negative result for a narrowing is not covered (throws)
/// @param  change  velocities, after not above before
/// @param  recovery  R, 0 to 1
/// @param  air  air in the duct
/// @return rise of static pressure [Pa]
/// @throws DomainError if an argument is out of its range
/// @source Hundy, Trott and Welch, ch. 24; test: airflow/fittings_test.cpp
inline Pressure static_regain(const VelocityChange& change, double recovery, const AirState& air) {
    constexpr auto where = "static_regain";
    detail::check_air(air, where);
    const double v1 = detail::require_non_negative(where, "velocity before", change.before.value(), "m/s");
    const double v2 = detail::require_between(where, "velocity after", change.after.value(), 0.0, v1, "m/s");
    detail::require_between(where, "recovery", recovery, 0.0, 1.0, "-");
    return Pressure::from_value(recovery * 0.5 * air.density.value() * (v1 * v1 - v2 * v2));
}

/// Loss coefficients of a right-angled tee with all diameters equal, in which a branch joins the run.
///
/// Equation: K_branch = C [1 + q^2 - 2 (1 - q)^2], K_run = 1.55 q - q^2; C = 0.9 (1 - q) up to q = 0.4, else 0.55
/// Symbols:  q branch flow over joined flow
/// Validity: equal diameters, sharp edges, turbulent flow
/// @param  branch_flow_share  q, 0 to 1
/// @return coefficients on the velocity of the joined flow [-]; the branch's is negative at small q
/// @throws DomainError outside the range
/// @source Crane TP-410; test: airflow/fittings_test.cpp
inline TeeCoefficients converging_tee_loss_coefficients(double branch_flow_share) {
    const double q = detail::require_between("converging_tee_loss_coefficients", "branch_flow_share",
                                             branch_flow_share, 0.0, 1.0, "-");
    const double c = q <= 0.4 ? 0.9 * (1.0 - q) : 0.55;
    return {c * (1.0 + q * q - 2.0 * (1.0 - q) * (1.0 - q)), 1.55 * q - q * q};
}

/// How much more a compressed flexible duct resists than the same duct fully stretched.
///
/// Equation: F = 1 + 0.58 r exp(-0.00496 D), r = 100 (1 - L/L_s)
/// Symbols:  D inner diameter [mm], L installed length, L_s stretched length, r compression [%]
/// Validity: D 150 to 250 mm, compression up to 30 %; layouts with bends and sag reach more
/// @param  duct  diameter and installed over stretched length
/// @return factor on the pressure drop of the stretched duct [-]
/// @throws DomainError outside the ranges
/// @source form of Abushakra, Walker and Sherman (coefficients from memory); test: airflow/fittings_test.cpp
inline double flexible_duct_factor(const FlexibleDuct& duct) {
    constexpr auto where = "flexible_duct_factor";
    const double d = detail::require_between(where, "diameter", duct.diameter.value(), 0.150, 0.250, "m");
    const double share = detail::require_between(where, "length_over_stretched", duct.length_over_stretched, 0.7, 1.0, "-");
    // The published exponent is -0.126 for the diameter in inches.
    return 1.0 + 58.0 * (1.0 - share) * std::exp(-0.126 * d / 0.0254);
}

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
inline VolumeFlow duct_leakage_flow(const DuctLeakage& leakage, Pressure difference) {
    constexpr auto where = "duct_leakage_flow";
    const double c = detail::require_non_negative(where, "leakage_class", leakage.leakage_class, "cfm/100 ft2");
    detail::require_non_negative(where, "surface", leakage.surface.value(), "m2");
    detail::require_non_negative(where, "difference", difference.value(), "Pa");
    const double share = leakage.surface / units::ft2 / 100.0;
    return c * share * std::pow(difference / units::inH2O, 0.65) * units::cfm;
}

}   // namespace filterflow
