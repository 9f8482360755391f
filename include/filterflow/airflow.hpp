// SPDX-License-Identifier: BSL-1.0
#pragma once

// The room airflow: fans, ducts, filters with bypass, and the points where they work together.

#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/constant_airflow_motor.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/driven_fan.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/airflow/duct_roughness.hpp>
#include <filterflow/airflow/duct_segment.hpp>
#include <filterflow/airflow/elbow_tables.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_efficiency.hpp>
#include <filterflow/airflow/fan_extrapolation.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/fan_pressure_kinds.hpp>
#include <filterflow/airflow/fans_in_parallel.hpp>
#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/airflow/fittings.hpp>
#include <filterflow/airflow/flexible_duct.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/friction_batch.hpp>
#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/airflow/friction_formulas.hpp>
#include <filterflow/airflow/junctions.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/airflow/network.hpp>
#include <filterflow/airflow/network_builder.hpp>
#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_names.hpp>
#include <filterflow/airflow/network_newton.hpp>
#include <filterflow/airflow/network_parts.hpp>
#include <filterflow/airflow/network_solution.hpp>
#include <filterflow/airflow/network_start.hpp>
#include <filterflow/airflow/network_topology.hpp>
#include <filterflow/airflow/operating_batch.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/airflow/parallel_fan_curve.hpp>
#include <filterflow/airflow/parallel_operation.hpp>
#include <filterflow/airflow/parallel_search.hpp>
#include <filterflow/airflow/part_drops.hpp>
#include <filterflow/airflow/system.hpp>
