// SPDX-License-Identifier: BSL-1.0

#include "report_inputs.hpp"

#include <string>
#include <vector>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_estimate.hpp"

namespace choose_filter {

using namespace filterflow;

std::string filters_csv(const StudyInput& study, const StudyResult& result) {
    std::vector<std::string> header{"filter",
                                    "width [m]",
                                    "height [m]",
                                    "free_area [m2]",
                                    "depth [m]",
                                    "pleat_count",
                                    "media_area [m2]",
                                    csv_text("price [" + currency_name(study) + "]"),
                                    "claimed_life [month]"};
    const auto pressure_columns = [&](const std::string& at) {
        for (const char* part : {"pressure", "pressure lower", "pressure upper", "raw_pressure"}) {
            header.push_back(fmt::format("{} at {} [Pa]", part, at));
        }
    };
    for (const Velocity& v : study.comparison_velocities) pressure_columns(significant_text(v.value(), 4) + " m/s");
    for (const VolumeFlow& q : result.comparison_flows) {
        pressure_columns(significant_text(q / units::m3_per_h, 5) + " m3/h");
    }
    std::string csv = joined(header, ",") + "\n";
    for (std::size_t f = 0; f < result.filters.size() && f < study.filters.size(); ++f) {
        const FilterInput& input = study.filters[f];
        const FilterResult& filter = result.filters[f];
        std::vector<std::string> row{csv_text(input.name)};
        const auto add = [&](const auto& value, double one) {
            row.push_back(value ? exact_text(detail::in_si(*value) / one) : "");
        };
        add(input.width, 1.0);
        add(input.height, 1.0);
        add(input.free_area, 1.0);
        add(input.depth, 1.0);
        row.push_back(input.pleat_count ? std::to_string(*input.pleat_count) : "");
        add(input.media_area, 1.0);
        row.push_back(input.price ? exact_text(input.price->value.value()) : "");
        add(input.claimed_life, units::month.one.value());
        const auto add_pressures = [&](std::size_t count, const auto& pressures, const auto& raw) {
            for (std::size_t i = 0; i < count; ++i) {
                std::optional<Estimate> e;
                if (i < pressures.size()) e = estimate(pressures[i], units::Pa, study.coverage_probability);
                row.push_back(e ? exact_text(e->value) : "");
                row.push_back(e ? exact_text(e->lower) : "");
                row.push_back(e ? exact_text(e->upper) : "");
                row.push_back(i < raw.size() && raw[i] ? exact_text(raw[i]->value()) : "");
            }
        };
        add_pressures(study.comparison_velocities.size(), filter.pressure_at_velocities,
                      filter.raw_pressure_at_velocities);
        add_pressures(result.comparison_flows.size(), filter.pressure_at_flows, filter.raw_pressure_at_flows);
        csv += joined(row, ",") + "\n";
    }
    return csv;
}

}   // namespace choose_filter
