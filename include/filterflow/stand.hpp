// SPDX-License-Identifier: BSL-1.0
#pragma once

// The room `stand`: what was read on a test stand becomes readings of the filter alone.

#include <filterflow/stand/discharge_coefficient.hpp>
#include <filterflow/stand/flag_words.hpp>
#include <filterflow/stand/flow_element.hpp>
#include <filterflow/stand/flow_element_limits.hpp>
#include <filterflow/stand/instrument.hpp>
#include <filterflow/stand/leakage.hpp>
#include <filterflow/stand/pressure_only.hpp>
#include <filterflow/stand/reduction.hpp>
#include <filterflow/stand/stand_fan.hpp>
#include <filterflow/stand/stated_fan.hpp>
#include <filterflow/stand/tare.hpp>
#include <filterflow/stand/traverse.hpp>
#include <filterflow/stand/traverse_positions.hpp>
