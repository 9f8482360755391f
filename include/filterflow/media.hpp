// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room media: fibrous media and the geometry of pleat packs.

#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
