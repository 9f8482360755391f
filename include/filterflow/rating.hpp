// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room rating: classes by ASHRAE 52.2, ISO 16890, EN 1822 and ISO 29463, and the withdrawn EN 779, as
// estimates from bench data, with the probability of each class.

#include <filterflow/rating/class_ladder.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/composite_minimum.hpp>
#include <filterflow/rating/conditioned_minimum_efficiency.hpp>
#include <filterflow/rating/class_verdict.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/high_efficiency.hpp>
#include <filterflow/rating/joint_normal.hpp>
#include <filterflow/rating/loading_test_conditions.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/minimum_efficiency_limits.hpp>
#include <filterflow/rating/minimum_efficiency_probability.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>
#include <filterflow/rating/particulate_matter_probability.hpp>
#include <filterflow/rating/particulate_matter_verdict.hpp>
#include <filterflow/rating/resampler.hpp>
#include <filterflow/rating/sampled_ratings.hpp>
#include <filterflow/rating/twelve_sizes.hpp>
#include <filterflow/rating/withdrawn_en_779.hpp>
