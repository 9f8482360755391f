// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room rating: classes by ASHRAE 52.2-2017, ISO 16890, EN 1822 and ISO 29463, as estimates from
// bench data.

#include <filterflow/rating/class_verdict.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/high_efficiency.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>
#include <filterflow/rating/particulate_matter.hpp>
