// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room resistance: element curves and their fits, porous layers, pleated filters.

#include <filterflow/resistance/element_assembly.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/element_parts.hpp>
#include <filterflow/resistance/element_reading.hpp>
#include <filterflow/resistance/fit_check.hpp>
#include <filterflow/resistance/gauss_collocation.hpp>
#include <filterflow/resistance/inertial_factor.hpp>
#include <filterflow/resistance/layer_resistance.hpp>
#include <filterflow/resistance/opened_check.hpp>
#include <filterflow/resistance/opened_drop.hpp>
#include <filterflow/resistance/opened_filter.hpp>
#include <filterflow/resistance/opened_inputs.hpp>
#include <filterflow/resistance/optimum_gap.hpp>
#include <filterflow/resistance/pleat_collocation.hpp>
#include <filterflow/resistance/pleat_count.hpp>
#include <filterflow/resistance/pleat_equations.hpp>
#include <filterflow/resistance/pleat_profile.hpp>
#include <filterflow/resistance/pleated_curve.hpp>
#include <filterflow/resistance/pleated_filter.hpp>
#include <filterflow/resistance/porous_layer.hpp>
#include <filterflow/resistance/two_channel.hpp>
#include <filterflow/resistance/viscous_split.hpp>
