// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room resistance: element curves and their fits.

#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/element_fit.hpp>
