// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a portfolio is made of: many systems, each with its fan, ducts, dust, prices and limits, and the candidates that
// every one of them might be given. Numbers are best estimates; how well some of them are known stands beside them.

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace portfolio_study {

using namespace filterflow;   // the program's own names are few

/// One filter that might be installed, one or several side by side.
struct PortfolioCandidate {
    std::string name;
    ElementCurve clean;                         // of one filter
    LoadingLaw law;                             // growth of its viscous resistance
    Area area{};                                // that the law counts dust on, of one filter
    std::optional<MassPerArea> known_up_to;     // dust up to which the law was read
    double dust_caught = 0.0;                   ///< share of the building's dust by mass, > 0, at most 1
    std::optional<double> pm25_removal;         ///< share that lasts, 0 to 1; absent: not known
    std::optional<Area> face;                   // of one filter; absent: no face velocity
    std::optional<Pressure> final_resistance;   // at which it is changed
    std::optional<Time> greatest_age;           // at which it is changed, calendar time
    Money price{};                              // of one filter
    double resistance_within = 0.0;             ///< half of the 95 % interval over the value, >= 0
    double growth_within = 0.0;                 ///< of the dust it takes to grow, likewise
};

/// One system over a year.
struct PortfolioSystem {
    std::string name;
    std::shared_ptr<const FanTable> fan;   // as its table is printed
    FanRatios fan_ratios;                  // of this fan to that table
    bool holds_airflow = false;            // by a speed drive
    SystemCurve ducts;                     // everything but the filters
    AirState air;
    double filters = 1.0;       ///< side by side, a whole number, >= 1
    Time hours{};               // that the fan runs in a year
    MassConcentration dust{};   // before the filters
    double equivalence = 1.0;   ///< mass of bench dust that loads like a unit mass of this dust, > 0
    EnergyPrice electricity{};
    Money labour{}, disposal{};                // of a change of all filters; of one filter
    std::optional<std::size_t> present;        ///< index of the candidate installed now
    std::optional<VolumeFlow> least_airflow;   // limits
    std::optional<Velocity> greatest_face_velocity;
    std::optional<double> least_pm25_removal;   ///< 0 to 1
    double fan_within = 0.0, duct_within = 0.0, dust_within = 0.0, equivalence_within = 0.0,
           electricity_within = 0.0;   ///< halves of 95 % intervals over their values, >= 0
};

/// How a candidate fares in a system.
enum class CandidateStatus {
    served,               ///< its figures are there
    no_operating_point,   ///< fan and system do not meet inside the fan's table
    above_final,          ///< the clean filter is above its final resistance
    limit_from_start,     ///< a limit of the system is broken by the clean filter
    no_interval           ///< neither a limit nor a least cost within ten years: no interval is named
};

/// What a change interval follows from.
enum class ChangedBy {
    nothing,
    least_cost,
    final_resistance,
    age,
    least_airflow,
    fan_table_end,
    operating_point_lost   ///< as they say
};

/// What a candidate does in a system; figures without a meaning by its status are absent.
struct CandidateOutcome {
    CandidateStatus status = CandidateStatus::no_operating_point;
    ChangedBy changed_by = ChangedBy::nothing;
    bool lacks_airflow = false, too_fast = false, lacks_removal = false;   // limits it fails
    bool extrapolated = false;                // its law is used beyond the dust it was read with
    bool exceeds_year = false;                // the year's air takes longer than a year
    bool present = false;                     // it is what is installed now
    bool best = false;                        // cheapest of those that keep to all limits
    std::optional<double> probability_best;   ///< over the draws, 0 to 1
    std::optional<VolumeFlow> flow_clean, flow_end;
    std::optional<Pressure> drop_clean, drop_end;
    std::optional<Velocity> face_velocity;   // clean
    std::optional<Power> power_clean;
    std::optional<Time> interval, running_time;   // between changes; for the year's air
    std::optional<Energy> energy;                 // of the fan in a year at equal service
    std::optional<Money> filter_cost, cost;       // of a year at equal service
    std::optional<Volume> service;                // air of that year

    /// Whether it has a cost and keeps to all limits.
    bool eligible() const {
        return status == CandidateStatus::served && !lacks_airflow && !too_fast && !lacks_removal && !exceeds_year;
    }
};

}   // namespace portfolio_study
