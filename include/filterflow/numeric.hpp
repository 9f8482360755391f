// SPDX-License-Identifier: BSL-1.0
#pragma once

// The room numeric: roots, interpolation, least squares, dual numbers, uncertain values, random streams, Monte Carlo.

#include <filterflow/numeric/bounded_input.hpp>
#include <filterflow/numeric/budget.hpp>
#include <filterflow/numeric/chi_squared_draws.hpp>
#include <filterflow/numeric/correlated_block.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/distribution_quantiles.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/elementary_input.hpp>
#include <filterflow/numeric/empirical_distribution.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/incomplete_functions.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/lambert_w.hpp>
#include <filterflow/numeric/latin_hypercube.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/math_policy.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/monte_carlo.hpp>
#include <filterflow/numeric/normal_quantile.hpp>
#include <filterflow/numeric/propagate.hpp>
#include <filterflow/numeric/radical_inverse.hpp>
#include <filterflow/numeric/random_distributions.hpp>
#include <filterflow/numeric/random_draws.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/tail_probability.hpp>
#include <filterflow/numeric/threefry.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/numeric/uncertain_arithmetic.hpp>
#include <filterflow/numeric/uncertain_value.hpp>
