// SPDX-License-Identifier: BSL-1.0
#pragma once

// Uncertainties as those who read instruments state them: the step of a display, a certificate, the scatter of repeated
// readings, a plus-minus. Each call makes one new elementary input. What several readings share (the calibration of one
// manometer) is made once, as a correction about zero, and added to each of them.

#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <type_traits>
#include <utility>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

/// What somebody means by a plus-minus.
enum class StatedMeaning {
    rectangular,              ///< limits of error; anything between is as likely: u = a/3^0.5
    triangular,               ///< limits of error; the middle is most likely: u = a/6^0.5
    arcsine,                  ///< limits of a swing of unknown phase: u = a/2^0.5
    standard_uncertainty,     ///< one standard uncertainty, normal: u = a
    twice_standard,           ///< expanded uncertainty with the factor 2, normal: u = a/2
    normal_95_percent         ///< limits that hold 95 % of a normal distribution: u = a/1.96
};

/// What a calibration certificate says at the point where an instrument is used.
template <class Q>
struct CalibrationCertificate {
    Q correction{};                  ///< added to what the instrument shows
    Q expanded_uncertainty{};        ///< of the correction, > 0
    double coverage_factor = 2.0;    ///< k, by which the standard uncertainty was multiplied, > 0
    double degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< of the standard uncertainty, > 0
};

/// Accuracy of an instrument as its data sheet gives it; the parts add up to one limit of error.
template <class Q>
struct StatedAccuracy {
    double of_reading = 0.0;      ///< part of the reading, >= 0: 0.01 for 1 %
    double of_full_scale = 0.0;   ///< part of the full scale, >= 0
    Q full_scale{};               ///< greatest reading of the range, >= 0
    Q fixed{};                    ///< the same for every reading, >= 0
};

namespace detail {

struct MeaningParts {
    double divisor;
    InputShape shape;
};
template <Deferred...>
inline MeaningParts meaning_parts(StatedMeaning meaning) {
    switch (meaning) {
        case StatedMeaning::rectangular: return {1.7320508075688773, InputShape::rectangular};
        case StatedMeaning::triangular: return {2.449489742783178, InputShape::triangular};
        case StatedMeaning::arcsine: return {1.4142135623730951, InputShape::arcsine};
        case StatedMeaning::standard_uncertainty: return {1.0, InputShape::normal};
        case StatedMeaning::twice_standard: return {2.0, InputShape::normal};
        case StatedMeaning::normal_95_percent: return {1.959963984540054, InputShape::normal};
    }
    throw DomainError("stated uncertainty: meaning is none of the enumeration's values");
}

template <class Q>
Uncertain<Q> one_input(double value, double u, std::string name, double degrees_of_freedom, InputShape shape) {
    return {from_si<Q>(value), Gradient(elementary_input(std::move(name), u, degrees_of_freedom, shape))};
}

}   // namespace detail

/// Degrees of freedom of a standard uncertainty that is itself known within a part of it.
///
/// Equation: nu = (1/2)(du/u)^(-2)
/// Symbols:  du/u relative uncertainty of the standard uncertainty
/// Validity: relative uncertainty to 1 (half a degree of freedom)
/// @param  relative_uncertainty  of the standard uncertainty [-], 0 to 1; 0 gives infinite degrees of freedom
/// @return degrees of freedom [-]
/// @throws DomainError if the relative uncertainty is not between 0 and 1
/// @source JCGM 100:2008 (GUM), G.4.2, equation (G.3); test: numeric/stated_uncertainty_test.cpp
template <Deferred...>
inline double degrees_of_freedom_of_judgement(double relative_uncertainty) {
    const double r = detail::require_between("degrees_of_freedom_of_judgement", "relative_uncertainty",
                                             relative_uncertainty, 0.0, 1.0, "-");
    return r > 0.0 ? 0.5 / (r * r) : std::numeric_limits<double>::infinity();
}

/// A value with a plus-minus, in the meaning that is named.
///
/// Equation: u = a/divisor, the divisor by the meaning
/// Symbols:  a half width
/// Validity: a > 0. Limits that are rough themselves: nu = (1/2)(da/a)^(-2)
/// @param  value  estimate [any quantity or plain number], finite
/// @param  half_width  the plus-minus [same unit], > 0
/// @param  meaning  what it means
/// @param  name  what a budget prints
/// @param  relative_uncertainty_of_half_width  how well the half width is known [-], 0 (exactly) to 1
/// @return the uncertain value
/// @throws DomainError if an argument is outside its range
/// @source JCGM 100:2008 (GUM), 4.3 and H.1.6 (arcsine); test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> plus_minus(const Q& value, const std::type_identity_t<Q>& half_width, StatedMeaning meaning, std::string name,
                        double relative_uncertainty_of_half_width = 0.0) {
    constexpr auto where = "plus_minus";
    const double x = detail::require_finite(where, "value of " + name, detail::in_si(value), "");
    const double a = detail::require_positive(where, "half_width of " + name, detail::in_si(half_width), "");
    const detail::MeaningParts parts = detail::meaning_parts(meaning);
    const double nu = degrees_of_freedom_of_judgement(relative_uncertainty_of_half_width);
    return detail::one_input<Q>(x, a / parts.divisor, std::move(name), nu, parts.shape);
}

/// A value that is known to lie between two limits, and no more: its middle, rectangular.
///
/// Equation: x = (a + b)/2, u = (b - a)/12^0.5
/// Symbols:  a, b limits
/// Validity: a < b
/// @param  lower  lower limit [any quantity or plain number]
/// @param  upper  upper limit [same unit], above the lower one
/// @param  name  what a budget prints
/// @return the uncertain value
/// @throws DomainError if a limit is not finite or the upper one is not above the lower one
/// @source JCGM 100:2008 (GUM), 4.3.7; test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> between_limits(const Q& lower, const std::type_identity_t<Q>& upper, std::string name) {
    constexpr auto where = "between_limits";
    const double a = detail::require_finite(where, "lower limit of " + name, detail::in_si(lower), "");
    const double b = detail::require_finite(where, "upper limit of " + name, detail::in_si(upper), "");
    if (!(b > a)) detail::throw_domain_error(where, "upper limit of " + name, b, "", "above the lower limit");
    return plus_minus(detail::from_si<Q>(0.5 * (a + b)), detail::from_si<Q>(0.5 * (b - a)), StatedMeaning::rectangular,
                      std::move(name));
}

/// A value as a display shows it, rounded to its step.
///
/// Equation: u = r/12^0.5
/// Symbols:  r resolution: the step of the display, or of what an eye reads off a scale
/// Validity: r > 0; a display that cuts off instead of rounding shifts by half a step, too
/// @param  shown  what the display shows [any quantity or plain number], finite
/// @param  resolution  step of the display [same unit], > 0
/// @param  name  what a budget prints
/// @return the uncertain value
/// @throws DomainError if the value is not finite or the resolution is not > 0
/// @source JCGM 100:2008 (GUM), F.2.2.1; test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> displayed(const Q& shown, const std::type_identity_t<Q>& resolution, std::string name) {
    const double step = detail::require_positive("displayed", "resolution of " + name, detail::in_si(resolution), "");
    return plus_minus(shown, detail::from_si<Q>(0.5 * step), StatedMeaning::rectangular, std::move(name));
}

/// What an instrument shows, corrected as its calibration certificate says. For several readings of one instrument make
/// the correction once, about zero, and add it to each.
///
/// Equation: x = shown + correction, u = U/k
/// Symbols:  U expanded uncertainty, k coverage factor
/// Validity: at the point of the certificate. Where it states a coverage probability instead of k, k is
///           coverage_factor(degrees of freedom, probability)
/// @param  shown  what the instrument shows [any quantity or plain number], finite
/// @param  certificate  correction, expanded uncertainty, coverage factor, degrees of freedom
/// @param  name  what a budget prints
/// @return the corrected uncertain value
/// @throws DomainError if a value is not finite, or uncertainty, factor or degrees of freedom are not > 0
/// @source JCGM 100:2008 (GUM), 4.3.3; test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> certified(const Q& shown, const CalibrationCertificate<std::type_identity_t<Q>>& certificate,
                       std::string name) {
    constexpr auto where = "certified";
    const double x = detail::require_finite(where, "value of " + name, detail::in_si(shown), "");
    const double c = detail::require_finite(where, "correction of " + name, detail::in_si(certificate.correction), "");
    const double u = detail::require_positive(where, "expanded_uncertainty of " + name,
                                              detail::in_si(certificate.expanded_uncertainty), "");
    const double k = detail::require_positive(where, "coverage_factor of " + name, certificate.coverage_factor, "-");
    return detail::one_input<Q>(x + c, u / k, std::move(name), certificate.degrees_of_freedom, InputShape::normal);
}

/// Mean of repeated readings, with the uncertainty that their scatter shows.
///
/// Equation: x = sum x_i/n, u = s/n^0.5 with n - 1 degrees of freedom, s^2 = sum (x_i - x)^2/(n - 1)
/// Symbols:  x_i readings, n their number, s their standard deviation
/// Validity: independent repetitions, n >= 2. Readings that all show the same number say nothing of a scatter below the
///           display's step: add what `displayed` gives. Shared errors of the instrument do not scatter
/// @param  readings  repeated readings [any quantity or plain number]; shape (n), n >= 2
/// @param  name  what a budget prints
/// @return the uncertain mean; Student's t in Monte Carlo
/// @throws DomainError if there are fewer than two readings or one is not finite
/// @source JCGM 100:2008 (GUM), 4.2; test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> repeated(std::span<const Q> readings, std::string name) {
    constexpr auto where = "repeated";
    const double n = static_cast<double>(readings.size());
    if (readings.size() < 2) detail::throw_domain_error(where, "number of readings of " + name, n, "", "at least 2");
    double sum = 0.0;
    for (const Q& x : readings) sum += detail::require_finite(where, "reading of " + name, detail::in_si(x), "");
    const double mean = sum / n;
    double squares = 0.0;
    for (const Q& x : readings) squares += (detail::in_si(x) - mean) * (detail::in_si(x) - mean);
    const double u = std::sqrt(squares / (n - 1.0) / n);
    return detail::one_input<Q>(mean, u, std::move(name), n - 1.0, InputShape::normal);
}

/// Mean of a few readings with a scatter known from earlier ones: a repeatability study of instrument and operator.
///
/// Equation: u = s/m^0.5
/// Symbols:  s standard deviation of a single reading, m number of readings that the mean is of
/// Validity: the same instrument, operator and conditions as in the study
/// @param  mean  mean of the readings now [any quantity or plain number], finite
/// @param  standard_deviation  of a single reading, from the study [same unit], > 0
/// @param  degrees_of_freedom  of the study [-], > 0: readings less one
/// @param  count  number of readings now, >= 1
/// @param  name  what a budget prints
/// @return the uncertain mean
/// @throws DomainError if an argument is outside its range
/// @source JCGM 100:2008 (GUM), 4.2.4 (pooled estimate); test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> repeatable(const Q& mean, const std::type_identity_t<Q>& standard_deviation, double degrees_of_freedom,
                        std::size_t count, std::string name) {
    constexpr auto where = "repeatable";
    const double x = detail::require_finite(where, "mean of " + name, detail::in_si(mean), "");
    const double s =
        detail::require_positive(where, "standard_deviation of " + name, detail::in_si(standard_deviation), "");
    if (count < 1) detail::throw_domain_error(where, "count of " + name, 0.0, "", "at least 1");
    return detail::one_input<Q>(x, s / std::sqrt(static_cast<double>(count)), std::move(name), degrees_of_freedom,
                                InputShape::normal);
}

/// What an instrument shows, within the accuracy of its data sheet.
///
/// Equation: a = p |x| + f S + c; u = a/divisor, the divisor by the meaning
/// Symbols:  x reading, p part of the reading, f part of the full scale, S full scale, c fixed part
/// Validity: |x| <= S where a full scale is stated
/// @param  shown  what the instrument shows [any quantity or plain number], finite
/// @param  accuracy  parts of reading and full scale, fixed part, each >= 0, together > 0
/// @param  meaning  what the data sheet means by it; rectangular if it does not say
/// @param  name  what a budget prints
/// @return the uncertain value
/// @throws DomainError if a part is negative, all are zero, or the reading is beyond the full scale
/// @source JCGM 100:2008 (GUM), 4.3.7 and F.2.3.2; test: numeric/stated_uncertainty_test.cpp
template <class Q>
Uncertain<Q> within_accuracy(const Q& shown, const StatedAccuracy<std::type_identity_t<Q>>& accuracy, StatedMeaning meaning,
                             std::string name) {
    constexpr auto where = "within_accuracy";
    const double x = detail::require_finite(where, "value of " + name, detail::in_si(shown), "");
    const double p = detail::require_non_negative(where, "of_reading of " + name, accuracy.of_reading, "-");
    const double f = detail::require_non_negative(where, "of_full_scale of " + name, accuracy.of_full_scale, "-");
    const double s = detail::require_non_negative(where, "full_scale of " + name, detail::in_si(accuracy.full_scale), "");
    const double c = detail::require_non_negative(where, "fixed part of " + name, detail::in_si(accuracy.fixed), "");
    if (f > 0.0) detail::require_positive(where, "full_scale of " + name, s, "");
    if (s > 0.0 && std::abs(x) > s) {
        detail::throw_domain_error(where, "value of " + name, x, "", "within the full scale, " + detail::number_text(s));
    }
    return plus_minus(shown, detail::from_si<Q>(p * std::abs(x) + f * s + c), meaning, std::move(name));
}

}   // namespace filterflow
