// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `study`: candidates compared over a system and a year.

#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/candidate_evaluation.hpp>
#include <filterflow/study/candidate_figures.hpp>
#include <filterflow/study/candidate_limits.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/candidate_room.hpp>
#include <filterflow/study/chain_draws.hpp>
#include <filterflow/study/chain_input.hpp>
#include <filterflow/study/chain_lanes.hpp>
#include <filterflow/study/chain_loads.hpp>
#include <filterflow/study/choice_draws.hpp>
#include <filterflow/study/choice_statistics.hpp>
#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/covered_figure.hpp>
#include <filterflow/study/difference_check.hpp>
#include <filterflow/study/information_value.hpp>
#include <filterflow/study/input_doubts.hpp>
#include <filterflow/study/input_order.hpp>
#include <filterflow/study/joint_choice.hpp>
#include <filterflow/study/joint_draws.hpp>
#include <filterflow/study/joint_inputs.hpp>
#include <filterflow/study/life_draws.hpp>
#include <filterflow/study/life_table.hpp>
#include <filterflow/study/life_ways.hpp>
#include <filterflow/study/operating_hours.hpp>
#include <filterflow/study/pareto_front.hpp>
#include <filterflow/study/ranking.hpp>
#include <filterflow/study/run_study.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>
#include <filterflow/study/system_evaluation.hpp>
