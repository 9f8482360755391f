// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room particle: size ranges and distributions, slip, settling, diffusion.

#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/particle/slip.hpp>
