// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything of the room `cost`: energy of a filter, cost at equal service, the change interval, present value.

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/exponential_growth.hpp>
#include <filterflow/cost/fan_energy.hpp>
#include <filterflow/cost/least_average.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>
