// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `zone`: a well-mixed room with filters, by particle size.

#include <filterflow/zone/deposition.hpp>
#include <filterflow/zone/room.hpp>
