// SPDX-License-Identifier: BSL-1.0
#pragma once

// What hourly_lives follows and returns: filters, each alone with the same fan and ducts, through hours in which the
// fan is controlled in any way.

#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_stage.hpp>

namespace filterflow {

/// One hour of a fan that is controlled by the hour.
struct FanHour {
    double speed = 1.0;                  ///< over that of the fan's table, >= 0; 0: stands still
    double running = 1.0;                ///< share of the hour that it runs, 0 to 1
    MassConcentration concentration{};   ///< of dust upstream, >= 0
};

/// Filters, each alone with the same fan and ducts through the same hours.
struct HourlyLivesInput {
    FanCurve fan;                         ///< falls throughout; speeds by the fan laws
    SystemCurve ducts{};                  ///< of constant, linear and quadratic parts
    AirState air{};                       ///< in the system
    std::vector<FilterStage> filters{};   ///< without gap, pleats, efficiencies by size and age; any law but two
                                          ///< populations
    double equivalence = 0.0;             ///< of the building's dust, > 0, as BuildingDust has it
};

/// How a filter came through the hours.
enum class HourlyEnd {
    hours_over,          ///< its end lies beyond the hours
    final_resistance,    ///< it reached its final resistance
    no_operating_point   ///< fan and system no longer meet inside the fan's table
};

/// One filter after the hours, or at its end.
struct HourlyLife {
    HourlyEnd end = HourlyEnd::hours_over;   ///< how it came through
    Time age{};                              ///< calendar time until then
    Mass dust_caught{};                      ///< on it
    VolumeFlow flow{};                       ///< last, while the fan ran
    Volume delivered{};                      ///< air
    std::optional<Energy> fan_energy{};      ///< absent if the fan's table has no power
    Energy filter_air_energy{};              ///< flow times filter pressure drop
};

namespace detail {

template <Deferred...>
inline void check(const HourlyLivesInput& input, std::span<const FanHour> hours, const char* where) {
    check(input.ducts, input.air, where);
    require_positive(where, "equivalence", input.equivalence, "-");
    if (!input.fan.falls_throughout()) {
        throw DomainError(std::string(where) +
                          ": the fan's pressure rises with flow somewhere; required: a table that "
                          "falls throughout, or scheduled_life with levels");
    }
    if (!polynomial_system(input.ducts, input.air, 1.0).complete) {
        throw DomainError(std::string(where) +
                          ": the ducts have parts that are not linear or quadratic; required: "
                          "exponents 1 and 2, elements, a constant pressure");
    }
    for (std::size_t i = 0; i < hours.size(); ++i) {
        const FanHour& hour = hours[i];
        if (hour.speed >= 0.0 && std::isfinite(hour.speed) && hour.running >= 0.0 && hour.running <= 1.0 &&
            hour.concentration.value() >= 0.0 && std::isfinite(hour.concentration.value())) {
            continue;
        }
        const std::string name = "hour " + std::to_string(i + 1) + ": ";
        require_non_negative(where, name + "speed", hour.speed, "-");
        require_between(where, name + "running", hour.running, 0.0, 1.0, "-");
        require_non_negative(where, name + "concentration", hour.concentration.value(), "kg/m3");
    }
    for (std::size_t k = 0; k < input.filters.size(); ++k) {
        const FilterStage& filter = input.filters[k];
        const std::string name = "filter " + std::to_string(k + 1) + ": ";
        check(filter.clean, where);
        require_positive(where, name + "linear resistance", filter.clean.linear.value(), "Pa s/m3");
        check_loading_law(filter.law, where);
        require_positive(where, name + "area", filter.area.value(), "m2");
        require_between(where, name + "clean mass efficiency", filter.efficiency.clean, 0.0, 1.0, "-");
        require_between(where, name + "loaded mass efficiency", filter.efficiency.clean + filter.efficiency.gain, 0.0,
                        1.0, "-");
        require_positive(where, name + "efficiency gain_scale", filter.efficiency.gain_scale.value(), "kg/m2");
        if (filter.law.form == LoadingForm::two_population || filter.pleats || !filter.by_size.empty() ||
            filter.greatest_age || filter.gap_area.value() > 0.0) {
            throw DomainError(std::string(where) + ": " + name +
                              "has a law of two populations, pleats, efficiencies by size, an age or a gap; required: "
                              "none of these here, or scheduled_life");
        }
    }
}

}   // namespace detail

}   // namespace filterflow
