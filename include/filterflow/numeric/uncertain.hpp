// SPDX-License-Identifier: BSL-1.0
#pragma once

// Uncertain values and their first-order propagation: the elementary inputs, values with their gradients, stages,
// correlated blocks from fits.

#include <filterflow/numeric/correlated_block.hpp>
#include <filterflow/numeric/elementary_input.hpp>
#include <filterflow/numeric/propagate.hpp>
#include <filterflow/numeric/uncertain_value.hpp>
