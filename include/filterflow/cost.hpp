// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `cost`: energy of a filter, tariffs, cost at equal service, the change interval, years.

#include <filterflow/cost/carbon.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_limits.hpp>
#include <filterflow/cost/change_window.hpp>
#include <filterflow/cost/cost_course.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/cost/demand_interval.hpp>
#include <filterflow/cost/discounted_interval.hpp>
#include <filterflow/cost/energy_parts.hpp>
#include <filterflow/cost/exponential_growth.hpp>
#include <filterflow/cost/fan_energy.hpp>
#include <filterflow/cost/least_average.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/cost/tariff.hpp>
#include <filterflow/cost/years_of_service.hpp>
