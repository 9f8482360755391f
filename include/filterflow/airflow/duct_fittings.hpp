// SPDX-License-Identifier: BSL-1.0
#pragma once

// A duct segment with one more fitting, whose coefficient has to be on the velocity in that segment.

#include <string>

#include <filterflow/airflow/duct_segment.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>

namespace filterflow {

/// A duct segment with a fitting beside those that it has.
///
/// Equation: K = K_before + K_fitting
/// Symbols:  K loss coefficients on the velocity in the segment
/// Validity: fittings far enough apart not to disturb one another
/// @param  duct  segment
/// @param  fitting  coefficient on the velocity in the segment (VelocityBasis::duct)
/// @return the segment with the sum
/// @throws DomainError if the segment is not one, the coefficient is not finite or is on another velocity
/// @source definition of a loss coefficient; test: airflow/fittings_test.cpp
template <class T>
BasicDuctSegment<T> with_fitting(BasicDuctSegment<T> duct, const BasicLossCoefficient<T>& fitting) {
    constexpr auto where = "with_fitting";
    detail::check(duct, where);
    detail::check(fitting, where);
    if (fitting.basis != VelocityBasis::duct) {
        throw DomainError(std::string(where) + ": the fitting's coefficient is not on the velocity in a duct; required: "
                                               "VelocityBasis::duct, to which on_velocity_in_duct carries it over");
    }
    duct.loss_coefficient = duct.loss_coefficient + fitting.value;
    return duct;
}
template <Deferred...>
inline DuctSegment with_fitting(const DuctSegment& duct, const LossCoefficient& fitting) {
    return with_fitting<double>(duct, fitting);
}

}   // namespace filterflow
