// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `zone`: a well-mixed room with filters, by particle size.

#include <filterflow/zone/air_cleaner.hpp>
#include <filterflow/zone/deposition.hpp>
#include <filterflow/zone/duct_leaks.hpp>
#include <filterflow/zone/indoor_mean.hpp>
#include <filterflow/zone/indoor_particles.hpp>
#include <filterflow/zone/penetration.hpp>
#include <filterflow/zone/room.hpp>
#include <filterflow/zone/room_course.hpp>
#include <filterflow/zone/size_table.hpp>
#include <filterflow/zone/smooth_wall_deposition.hpp>
