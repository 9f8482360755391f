// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room media: fibrous and granular media, their permeability, and the geometry of pleat packs.

#include <filterflow/media/fibre_permeability.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/media/granular_medium.hpp>
#include <filterflow/media/permeability_estimate.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/media/range_status.hpp>
