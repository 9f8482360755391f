// SPDX-License-Identifier: BSL-1.0
#pragma once

// The particle size that penetrates a layer of fibres most: by a search, and in closed form.

#include <cmath>
#include <numbers>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// The size that penetrates most.
struct MostPenetratingSize {
    Length diameter{};           ///< particle size
    double penetration = 0.0;    ///< there
    bool at_limit = false;       ///< true: the greatest penetration is at an end of the sizes searched
    int evaluations = 0;         ///< of the penetration
};

/// The size of least single-fibre efficiency in closed form.
template <class T>
struct BasicLeastEfficiency {
    BasicLength<T> diameter;   ///< particle size
    T efficiency;              ///< of a single fibre there, diffusion and interception
    RangeStatus size;          ///< against the sizes the form is made for
};
using LeastEfficiency = BasicLeastEfficiency<double>;

/// Particle size that penetrates a layer of fibres most, between 0.005 and 20 um.
///
/// Equation: d = argmin -ln P(d): a scan of 24 sizes a decade, then golden section on ln d to 1e-6
/// Symbols:  P penetration
/// Validity: as penetration. At the size itself the penetration's derivatives to the layer are those of penetration
///           at this fixed size (envelope theorem).
/// @param  layer  medium, velocity, theory and charge
/// @param  particle_density  [kg/m3], > 0
/// @param  air  state of the air
/// @return size, penetration there, whether it lies at an end of the search
/// @throws DomainError as single_fibre_efficiency
/// @source golden section, Kiefer 1953; test: capture/single_fibre_minimum_test.cpp
template <Deferred...>
[[nodiscard]] inline MostPenetratingSize find_most_penetrating_size(const FibreLayer& layer,
                                                                    const Density& particle_density,
                                                                    const AirState& air) {
    constexpr auto where = "find_most_penetrating_size";
    const detail::LayerConstants<double> constants = detail::layer_constants(layer, air, where);
    detail::check(Particle{1 * units::um, particle_density}, where);
    MostPenetratingSize result;
    const auto exponent = [&](double log_diameter) {
        ++result.evaluations;
        const Particle particle{Length::from_value(std::exp(log_diameter)), particle_density};
        return detail::require_finite(
            where, "exponent", detail::layer_exponent(constants, layer.theory, particle), "-");
    };
    const double first = std::log(0.005e-6);
    const double step = std::log(10.0) / 24.0;
    constexpr int last = 87;   // 20.8 um
    int best = 0;
    double least = exponent(first);
    for (int i = 1; i <= last; ++i) {
        const double value = exponent(first + i * step);
        if (value < least) {
            least = value;
            best = i;
        }
    }
    result.at_limit = best == 0 || best == last;
    double location = first + best * step;
    if (!result.at_limit) {
        const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
        double a = location - step;
        double b = location + step;
        double x1 = b - golden * (b - a);
        double x2 = a + golden * (b - a);
        double f1 = exponent(x1);
        double f2 = exponent(x2);
        while (b - a > 1e-6) {
            if (f1 < f2) {
                b = x2;
                x2 = x1;
                f2 = f1;
                x1 = b - golden * (b - a);
                f1 = exponent(x1);
            } else {
                a = x1;
                x1 = x2;
                f1 = f2;
                x2 = a + golden * (b - a);
                f2 = exponent(x2);
            }
        }
        location = 0.5 * (a + b);
        least = exponent(location);
    }
    result.diameter = Length::from_value(std::exp(location));
    result.penetration = std::exp(-least);
    return result;
}

/// Size of least single-fibre efficiency in closed form, from diffusion and interception alone.
///
/// Equation: d = 0.885 {(Ku/(1 - a)) (l^(1/2) k T/mu) d_f^2/U}^(2/9);
///           E = 1.44 {((1 - a)/Ku)^5 (l^(1/2) k T/mu)^4 / (U^4 d_f^10)}^(1/9)
/// Symbols:  Ku Kuwabara's factor, a solidity, l mean free path [m], k Boltzmann's constant, T temperature [K], mu
///           viscosity [Pa s], d_f geometric fibre diameter [m], U superficial velocity [m/s]
/// Validity: 0.075 um < d < 0.5 um (status); slip taken as 2.609 (2 l/d)^(1/2); no impaction, no charge. The size
///           rests on the coefficients of theory, the efficiency on those of experiments, as published; with the
///           latter alone the size is 1 % larger
/// @param  layer  medium and velocity; of its theory the mean free path of the slip law alone is used
/// @param  air  state of the air
/// @return size [m], efficiency there [-] and how the size stands to the range
/// @throws DomainError as single_fibre_efficiency
/// @source Lee and Liu 1980 (from memory, constants derived again); test: capture/single_fibre_minimum_test.cpp
template <class T>
BasicLeastEfficiency<T> lee_liu_least_efficiency(const BasicFibreLayer<T>& layer, const BasicAirState<T>& air) {
    using std::pow;
    using std::sqrt;
    constexpr auto where = "lee_liu_least_efficiency";
    const detail::LayerConstants<T> c = detail::layer_constants(layer, air, where);
    const T gas = sqrt(c.mean_free_path) * T(detail::boltzmann_constant) * c.temperature / c.viscosity;
    const T d2 = c.fibre_diameter * c.fibre_diameter;
    const T d = T(0.885) * pow(T(gas * d2 / (c.flow.space * c.velocity)), 2.0 / 9.0);
    const T e = T(1.44) * pow(c.flow.space, 5.0 / 9.0) * pow(T(gas / c.velocity), 4.0 / 9.0) /
                pow(c.fibre_diameter, 10.0 / 9.0);
    detail::require_positive(where, "result", d, "m");
    return {BasicLength<T>::from_value(d), detail::require_finite(where, "result", e, "-"),
            range_status({.quantity = "particle size", .unit = "m", .value = detail::plain_value(d), .least = 0.075e-6,
                          .greatest = 0.5e-6})};
}
template <Deferred...>
inline LeastEfficiency lee_liu_least_efficiency(const FibreLayer& layer, const AirState& air) {
    return lee_liu_least_efficiency<double>(layer, air);
}

}   // namespace filterflow
