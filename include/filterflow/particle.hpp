// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room particle: size ranges and distributions, test dusts, slip, settling, diffusion, diameters.

#include <filterflow/particle/equivalent_diameter.hpp>
#include <filterflow/particle/hatch_choate.hpp>
#include <filterflow/particle/number_modes.hpp>
#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/particle/settling.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/particle/slip.hpp>
#include <filterflow/particle/test_dust.hpp>
