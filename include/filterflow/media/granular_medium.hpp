// SPDX-License-Identifier: BSL-1.0
#pragma once

// A layer of grains (a sorbent bed, a cake of dust): its permeability by Kozeny and Carman and by the viscous part of
// Ergun's equation, chosen by name, each with its range.

#include <limits>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/permeability_estimate.hpp>

namespace filterflow {

/// A flat layer of grains of one size.
template <class T>
struct BasicGranularMedium {
    BasicLength<T> thickness;        ///< along the flow, > 0
    BasicLength<T> grain_diameter;   ///< of the sphere of a grain's volume, > 0; of a mixture the mean of volume over
                                     ///< surface
    T voidage;                       ///< volume of gaps over volume of layer, between 0 and 1
    T sphericity = T(1);             ///< surface of that sphere over surface of the grain, above 0 and at most 1
};
using GranularMedium = BasicGranularMedium<double>;

/// Models of the permeability of grains: k permeability, d diameter times sphericity, e voidage.
enum class GranularPermeability {
    kozeny_carman,   ///< k = e^3 d^2/(180 (1 - e)^2), the same as 1/k = 5 S^2 (1 - e)^2/e^3 with S = 6/d
    ergun            ///< k = e^3 d^2/(150 (1 - e)^2), the viscous part of Ergun's equation (Blake and Kozeny)
};

/// What a model of granular permeability is stated for.
struct GranularPermeabilityRange {
    std::string_view name;           ///< of the model, to print
    double least_voidage = 0.0;      ///< inclusive
    double greatest_voidage = 0.0;   ///< inclusive
};

namespace detail {

inline constexpr double ergun_least_voidage = 0.3;
inline constexpr double ergun_greatest_voidage = 0.6;

/// Diameter of the sphere that has the grain's surface per volume.
template <class T>
T surface_diameter(const BasicGranularMedium<T>& medium) {
    return medium.sphericity * medium.grain_diameter.value();
}

template <class T>
T granular_permeability(const BasicGranularMedium<T>& medium, double constant) {
    const T& e = medium.voidage;
    const T d = surface_diameter(medium) / (T(1) - e);
    return e * e * e * d * d / T(constant);
}

template <class T>
void check(const BasicGranularMedium<T>& medium, std::string_view where) {
    require_positive(where, "thickness", medium.thickness.value(), "m");
    require_positive(where, "grain_diameter", medium.grain_diameter.value(), "m");
    require_positive(where, "sphericity", medium.sphericity, "-");
    require_between(where, "sphericity", medium.sphericity, 0.0, 1.0, "-");
    const double e = plain_value(medium.voidage);
    if (!(e > 0.0 && e < 1.0)) throw_domain_error(where, "voidage", e, "-", "between 0 and 1, exclusive");
}

}   // namespace detail

/// What a model of granular permeability is stated for.
///
/// Equation: none
/// Symbols:  none
/// Validity: every model
/// @param  model  by name
/// @return name and range of voidage
/// @throws DomainError if the value is none of the models
/// @source common practice (beds from the closest packing of equal spheres to loose ones);
///         test: media/granular_medium_test.cpp
template <Deferred...>
inline GranularPermeabilityRange permeability_range(GranularPermeability model) {
    switch (model) {
        case GranularPermeability::kozeny_carman: return {"Kozeny and Carman", 0.26, 0.7};
        case GranularPermeability::ergun:
            return {"Ergun", detail::ergun_least_voidage, detail::ergun_greatest_voidage};
    }
    detail::throw_domain_error("permeability_range", "model", static_cast<double>(model), "-",
                               "a value of GranularPermeability");
}

/// Darcy permeability of a layer of grains by a model of choice, with the layer's standing to the model's range.
///
/// Equation: k = e^3 d^2/(c (1 - e)^2), c = 180 by Kozeny and Carman, 150 by Ergun
/// Symbols:  k permeability [m2], e voidage [-], d diameter of a grain times its sphericity [m]
/// Validity: permeability_range(model), creeping flow; outside the range the equation's answer with a status that says
///           which limit was crossed and by how much. Not for fibres.
/// @param  medium  thickness [m] > 0, grain diameter [m] > 0, voidage [-] between 0 and 1, sphericity [-] above 0 to 1
/// @param  model  by name
/// @return permeability [m2], status of the voidage (and of the diameter, which has no limits)
/// @throws DomainError if an input is outside its range or the result is not > 0 and finite
/// @source Carman 1937 as in Coulson and Richardson, volume 2; Ergun 1952; test: media/granular_medium_test.cpp
template <class T>
BasicPermeabilityEstimate<T> permeability_estimate(const BasicGranularMedium<T>& medium, GranularPermeability model) {
    constexpr auto where = "permeability_estimate(GranularMedium)";
    const GranularPermeabilityRange range = permeability_range(model);
    detail::check(medium, where);
    const T k = detail::granular_permeability(medium, model == GranularPermeability::ergun ? 150.0 : 180.0);
    detail::require_positive(where, "result", k, "m2");
    return {BasicPermeability<T>::from_value(k),
            range_status({.quantity = "voidage",
                          .unit = "-",
                          .value = detail::plain_value(medium.voidage),
                          .least = range.least_voidage,
                          .greatest = range.greatest_voidage}),
            range_status({.quantity = "grain diameter",
                          .unit = "m",
                          .value = detail::plain_value(medium.grain_diameter.value()),
                          .least = 0.0,
                          .greatest = std::numeric_limits<double>::infinity()})};
}
template <Deferred...>
inline PermeabilityEstimate permeability_estimate(const GranularMedium& medium, GranularPermeability model) {
    return permeability_estimate<double>(medium, model);
}

}   // namespace filterflow
