// SPDX-License-Identifier: BSL-1.0
#pragma once

// Values that are correlated, as a fit returns them, made of independent elementary inputs.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

/// One new block of correlated values, as a fit returns them: independent inputs z_j of unit uncertainty with
/// p = estimate + L z, where L L^T is the covariance.
///
/// Equation: cov = L L^T (Cholesky), dp_i/dz_j = L_ij
/// Symbols:  p parameters, z independent inputs
/// Validity: covariance symmetric and positive semidefinite; a parameter with zero variance (held at a bound)
///           gets no input
/// @param  estimates  raw SI parameters; shape (n)
/// @param  covariance  row-major [SI units]; shape (n n)
/// @param  name  what a budget prints, with the index of the input appended
/// @param  degrees_of_freedom  of the fit [-], > 0
/// @return the uncertain parameters; shape (n)
/// @throws DomainError if the covariance is not positive semidefinite
/// @source JCGM 102:2011, 5.2 (correlated inputs by Cholesky factor); test: numeric/uncertain_test.cpp
template <Deferred...>
inline std::vector<Uncertain<double>> correlated_block(std::span<const double> estimates,
                                                       std::span<const double> covariance,
                                                       const std::string& name, double degrees_of_freedom) {
    constexpr auto where = "correlated_block";
    const std::size_t n = estimates.size();
    std::vector<double> lower(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j <= i; ++j) {
            double sum = covariance[i * n + j];
            for (std::size_t k = 0; k < j; ++k) sum -= lower[i * n + k] * lower[j * n + k];
            const double scale = covariance[i * n + i];
            if (i == j) {
                if (!(sum >= -1e-9 * scale) || !(scale >= 0.0)) {
                    detail::throw_domain_error(where, "covariance pivot", sum, "-", "positive semidefinite");
                }
                lower[i * n + i] = std::sqrt(std::max(sum, 0.0));
            } else {
                const double pivot = lower[j * n + j];
                lower[i * n + j] = pivot > 0.0 ? sum / pivot : 0.0;
            }
        }
    }
    std::vector<Uncertain<double>> block(n);
    for (std::size_t i = 0; i < n; ++i) block[i].value = estimates[i];
    // Side by side in every order by serial, though other threads make inputs meanwhile.
    const std::size_t first_serial = detail::next_input_serial(n);
    std::size_t group = 0;
    for (std::size_t j = 0; j < n; ++j) {
        if (!(lower[j * n + j] > 0.0)) continue;
        ElementaryInput parameter = *elementary_input(name + " [" + std::to_string(j + 1) + "]", 1.0, degrees_of_freedom);
        parameter.serial = first_serial + j;
        if (group == 0) group = parameter.serial;
        parameter.variance_group = group;
        const InputHandle input = std::make_shared<const ElementaryInput>(std::move(parameter));
        for (std::size_t i = j; i < n; ++i) block[i].gradient.add(Gradient(input), lower[i * n + j]);
    }
    return block;
}

}   // namespace filterflow
