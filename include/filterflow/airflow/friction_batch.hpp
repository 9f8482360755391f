// SPDX-License-Identifier: BSL-1.0
#pragma once

// Friction factors of many ducts at once: Colebrook's equation in plain loops over arrays, which the compiler turns
// into vector code (-O3 -march=x86-64-v3). Each lane says which regime it is in.

#include <cstddef>
#include <initializer_list>
#include <span>

#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/loop_functions.hpp>

namespace filterflow {

/// Reynolds numbers and relative roughnesses as columns of equal length (n).
struct FrictionBatch {
    std::span<const double> reynolds_number;      ///< on the (hydraulic) diameter, > 0 and at most 1e9
    std::span<const double> relative_roughness;   ///< roughness over (hydraulic) diameter, 0 to 0.1
};

/// Where a flow lies, or that no factor belongs to it.
enum class FrictionStatus : unsigned char {
    laminar,        ///< Re at most 2000: 64/Re
    transitional,   ///< between 2000 and 4000: the blend of darcy_friction_factor
    turbulent,      ///< Re from 4000: Colebrook
    out_of_range    ///< a number outside what darcy_friction_factor accepts; its factor is zero
};

namespace detail {

template <std::size_t Lanes>
struct FrictionBlock {
    double reynolds_number[Lanes], relative_roughness[Lanes], x[Lanes];
};

/// X of Colebrook's equation at Re and roughness held inside its range; at Re = 4000 where the flow is not turbulent,
/// which is what the blend rests on.
template <std::size_t Lanes>
void block_colebrook(FrictionBlock<Lanes>& b) {
    for (double& re : b.reynolds_number) re = re > turbulent_limit ? re : turbulent_limit;
    for (double& re : b.reynolds_number) re = re < greatest_reynolds_number ? re : greatest_reynolds_number;
    for (double& e : b.relative_roughness) e = e > 0.0 ? e : 0.0;
    for (double& e : b.relative_roughness) e = e < greatest_relative_roughness ? e : greatest_relative_roughness;
    for (std::size_t i = 0; i < Lanes; ++i) {
        b.x[i] = colebrook_x(b.reynolds_number[i], b.relative_roughness[i], loop_log);
    }
}

inline FrictionStatus friction_status(double reynolds_number, double relative_roughness) {
    if (!(reynolds_number > 0.0 && reynolds_number <= greatest_reynolds_number && relative_roughness >= 0.0 &&
          relative_roughness <= greatest_relative_roughness)) {
        return FrictionStatus::out_of_range;
    }
    return reynolds_number >= turbulent_limit ? FrictionStatus::turbulent
           : reynolds_number > laminar_limit  ? FrictionStatus::transitional
                                              : FrictionStatus::laminar;
}

/// Darcy's factor of a lane that is not turbulent.
template <Deferred...>
inline double other_friction(FrictionStatus status, double reynolds_number, double relative_roughness, double x) {
    switch (status) {
        case FrictionStatus::laminar: return 64.0 / reynolds_number;
        case FrictionStatus::transitional:
            return transitional_friction(reynolds_number, turbulent_friction(turbulent_limit, relative_roughness, x))
                       .g /
                   (reynolds_number * reynolds_number);
        case FrictionStatus::turbulent: return 1.0 / (x * x);
        case FrictionStatus::out_of_range: break;
    }
    return 0.0;
}

}   // namespace detail

/// Darcy friction factors of many flows, each with its regime; writes both and returns how many lie in the range.
///
/// Equation: as darcy_friction_factor
/// Symbols:  as darcy_friction_factor
/// Validity: as darcy_friction_factor, to which every factor is equal within 1e-14; what lies outside is a status
/// @param  batch  columns; shape (n)
/// @param  factors  where the factors go; shape (n)
/// @param  status  where the regimes go; shape (n)
/// @return number of lanes whose factor is one [-]
/// @throws DomainError if the columns differ in length
/// @source as darcy_friction_factor; test: airflow/friction_test.cpp
template <Deferred...>
inline std::size_t darcy_friction_factors(const FrictionBatch& batch, std::span<DarcyFactor> factors,
                                          std::span<FrictionStatus> status) {
    constexpr auto where = "darcy_friction_factors";
    constexpr std::size_t lanes = 64;
    const std::size_t n = batch.reynolds_number.size();
    for (const std::size_t size : {batch.relative_roughness.size(), factors.size(), status.size()}) {
        detail::require_between(where, "length of a column", static_cast<double>(size), static_cast<double>(n),
                                static_cast<double>(n), "-");
    }
    std::size_t in_range = 0;
    detail::FrictionBlock<lanes> block;
    for (std::size_t first = 0; first < n; first += lanes) {
        const std::size_t count = n - first < lanes ? n - first : lanes;
        for (std::size_t i = 0; i < lanes; ++i) {   // the last lanes repeat the last flow
            const std::size_t k = first + (i < count ? i : count - 1);
            block.reynolds_number[i] = batch.reynolds_number[k];
            block.relative_roughness[i] = batch.relative_roughness[k];
        }
        detail::block_colebrook(block);
        for (std::size_t i = 0; i < count; ++i) factors[first + i].value = 1.0 / (block.x[i] * block.x[i]);
        for (std::size_t i = 0; i < count; ++i) {
            const double re = batch.reynolds_number[first + i], roughness = batch.relative_roughness[first + i];
            const FrictionStatus s = detail::friction_status(re, roughness);
            status[first + i] = s;
            if (s != FrictionStatus::turbulent) {
                factors[first + i].value = detail::other_friction(s, re, roughness, block.x[i]);
            }
            in_range += s != FrictionStatus::out_of_range ? 1 : 0;
        }
    }
    return in_range;
}

}   // namespace filterflow
