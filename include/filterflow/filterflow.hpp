// SPDX-License-Identifier: BSL-1.0
#pragma once

// The whole library. Programs that mind their compile time include the rooms they use, or single headers.

#include <filterflow/core.hpp>
#include <filterflow/numeric.hpp>
#include <filterflow/air.hpp>
#include <filterflow/media.hpp>
#include <filterflow/particle.hpp>
#include <filterflow/resistance.hpp>
#include <filterflow/capture.hpp>
#include <filterflow/rating.hpp>
#include <filterflow/airflow.hpp>
#include <filterflow/stand.hpp>
#include <filterflow/loading.hpp>
#include <filterflow/cost.hpp>
#include <filterflow/zone.hpp>
#include <filterflow/study.hpp>
