// SPDX-License-Identifier: BSL-1.0
#pragma once

// Values of the JSON file: numbers (null where there is none), estimates with their bounds, and what a filter of the
// bench is in it.

#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_estimate.hpp"

namespace choose_filter {

using Json = nlohmann::ordered_json;

Json number(double value);
Json of(const std::optional<Estimate>& e, const std::string& unit);
Json of(const std::vector<filterflow::MissingFigure>& list);
Json of(const filterflow::AirState& air);
Json of(const filterflow::ElementFit& fit, double p);

template <class Q>
Json optional_value(const std::optional<Q>& q, double one) {
    return q ? number(filterflow::detail::in_si(*q) / one) : Json(nullptr);
}

/// A filter as stated and as the bench found it; `input` may be null.
Json of(const filterflow::FilterResult& filter, const filterflow::FilterInput* input,
        const filterflow::StudyInput& study, const std::vector<filterflow::VolumeFlow>& flows);

}   // namespace choose_filter
