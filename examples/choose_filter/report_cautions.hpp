// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cautions of the report: where work on filters, fans and test benches can hurt. Each stands beside what it concerns
// and again at the end of the page.

#include <string>
#include <vector>

namespace choose_filter {

/// What a caution is about.
enum class CautionTopic {
    starved_airflow,
    icing,
    fan_motor,
    combustion_air,
    estimates,
    bypass,
    combustible_dust,
    silica,
    electricity,
    duct_strength,
    aerosol,
    conditioning,
    fire
};

/// A caution.
struct Caution {
    CautionTopic topic;
    std::string heading;
    std::string text;
    std::string defer_to;   ///< documents and people whose word goes before this report's
};

/// All cautions, those about installed systems first.
const std::vector<Caution>& all_cautions();

/// The caution about a topic.
const Caution& caution(CautionTopic topic);

}   // namespace choose_filter
