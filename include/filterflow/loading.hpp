// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `loading`: growth of resistance with dust, its fit, arrestance, and a filter's life in a
// system.

#include <filterflow/loading/arrestance.hpp>
#include <filterflow/loading/dormand_prince.hpp>
#include <filterflow/loading/dust_cake.hpp>
#include <filterflow/loading/dust_calendar.hpp>
#include <filterflow/loading/dust_classes.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/loading/dust_translation.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/growth_laws.hpp>
#include <filterflow/loading/hourly_input.hpp>
#include <filterflow/loading/hourly_lanes.hpp>
#include <filterflow/loading/hourly_lives.hpp>
#include <filterflow/loading/hourly_walk.hpp>
#include <filterflow/loading/hourly_window.hpp>
#include <filterflow/loading/inverse_course.hpp>
#include <filterflow/loading/inverse_law.hpp>
#include <filterflow/loading/inverse_life.hpp>
#include <filterflow/loading/inverse_moments.hpp>
#include <filterflow/loading/inverse_place.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_result.hpp>
#include <filterflow/loading/life_segment.hpp>
#include <filterflow/loading/loading_candidates.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/loading/loading_residuals.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/loading/loading_search.hpp>
#include <filterflow/loading/loading_sum.hpp>
#include <filterflow/loading/loading_test.hpp>
#include <filterflow/loading/pleated_loading.hpp>
#include <filterflow/loading/schedule_walk.hpp>
#include <filterflow/loading/scheduled_life.hpp>
#include <filterflow/loading/service_history.hpp>
#include <filterflow/loading/size_loading.hpp>
