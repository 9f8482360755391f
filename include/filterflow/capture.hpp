// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room capture: counts and their statistics, efficiency by size, share of mass removed,
// single-fibre theory.

#include <filterflow/capture/band_draws.hpp>
#include <filterflow/capture/band_estimate.hpp>
#include <filterflow/capture/capture_prior.hpp>
#include <filterflow/capture/count_ratio.hpp>
#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/capture/counter_losses.hpp>
#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/capture/data_quality.hpp>
#include <filterflow/capture/fitted_medium_kind.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/capture/particle_counts.hpp>
#include <filterflow/capture/peak_count.hpp>
#include <filterflow/capture/peak_count_figures.hpp>
#include <filterflow/capture/peak_count_order.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/capture/single_fibre_batch.hpp>
#include <filterflow/capture/single_fibre_charge.hpp>
#include <filterflow/capture/single_fibre_descent.hpp>
#include <filterflow/capture/single_fibre_diffusion.hpp>
#include <filterflow/capture/single_fibre_filter.hpp>
#include <filterflow/capture/single_fibre_fit.hpp>
#include <filterflow/capture/single_fibre_fit_types.hpp>
#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/capture/single_fibre_layer.hpp>
#include <filterflow/capture/single_fibre_mechanisms.hpp>
#include <filterflow/capture/single_fibre_minimum.hpp>
#include <filterflow/capture/single_fibre_theory.hpp>
#include <filterflow/capture/single_fibre_trajectories.hpp>
