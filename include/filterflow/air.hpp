// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room air: the state of moist air, standard airs, the standard atmosphere.

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/altitude.hpp>
#include <filterflow/air/atmosphere.hpp>
#include <filterflow/air/humidity.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/air/reference_density.hpp>
#include <filterflow/air/wet_bulb.hpp>
