// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a study finds. A figure is a value, or it is absent and listed among the missing with what it would need.
// Every uncertain figure knows the readings it rests on, so that differences between candidates are honest.

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/tariff.hpp>
#include <filterflow/loading/dust_calendar.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/stand/pressure_only.hpp>
#include <filterflow/study/covered_figure.hpp>

namespace filterflow {

/// A figure that could not be computed, and what it needs.
struct MissingFigure {
    std::string figure;   ///< "hours to final resistance"
    std::string needs;    ///< "loading readings of filter 'close-pleated glass'"
};

/// An input far from what is usual, as after a slip in its unit.
struct InputDoubt {
    std::string what;     ///< "dust concentration 40 mg/m3"
    std::string usual;    ///< "usual are ... to ...", with what that rests on
    std::string question; ///< what to look at: "is the unit right?"
};

/// One reading on the stand, as read and as corrected.
struct CorrectedReading {
    std::optional<Uncertain<VolumeFlow>> flow;   ///< through the filter
    Pressure raw_pressure{};                     ///< as read
    std::optional<Uncertain<Pressure>> net_pressure;   ///< tare taken off at that flow, in the air of the test
};

/// What the bench says of one filter.
struct FilterResult {
    std::string name;
    std::vector<CorrectedReading> readings;            ///< clean
    std::optional<ElementFit> curve;                   ///< r Q + s Q^2 in the declared standard air
    std::vector<std::optional<Uncertain<Pressure>>> pressure_at_velocities;  ///< at StudyInput::comparison_velocities;
                                                                             ///< absent outside the readings' flows
    std::vector<std::optional<Pressure>> raw_pressure_at_velocities;   ///< the raw readings interpolated, for contrast
    std::vector<std::optional<Uncertain<Pressure>>> pressure_at_flows;     ///< at StudyResult::comparison_flows; absent
                                                                           ///< outside the readings' flows
    std::vector<std::optional<Pressure>> raw_pressure_at_flows;        ///< the raw readings interpolated
    std::optional<FractionalEfficiency> efficiency;    ///< clean
    std::optional<FractionalEfficiency> conditioned_efficiency;    ///< after discharging, if it was counted
    std::optional<MinimumEfficiencyRating> minimum_efficiency;
    std::string minimum_efficiency_text;               ///< as it may be printed: an estimate, edition, velocity
    std::optional<MinimumEfficiencyRating> minimum_efficiency_discharged;   ///< of the composite minimum with the
                                                       ///< discharged counts, where there are any; no step of the standard
    std::string minimum_efficiency_discharged_text;    ///< the same in words
    std::optional<ParticulateMatterClass> particulate_matter;
    std::string particulate_matter_text;               ///< as it may be printed
    std::optional<LoadingFit> loading;
    std::optional<DustHoldingCapacity> capacity;       ///< at capacity_at, in the declared standard air
    std::optional<FinalResistance> capacity_at;        ///< final resistance of the first stage that uses this filter, at
                                                       ///< the flow of its last loading reading
    std::vector<CorrectedReading> loading_readings;    ///< in the order of the input
    std::vector<InputDoubt> doubts;                    ///< readings outside what is usual, which are warned of, too
    std::vector<MissingFigure> missing;
    std::vector<std::string> warnings;
};

/// What the bench says of itself.
struct StandResult {
    std::optional<ElementFit> tare;                    ///< of the empty stand
    std::optional<PressureOnlyOrder> pressure_only;    ///< where the flow is not measured: order, ties, bounds
    std::vector<std::string> flags;                    ///< crossed limits of the flow element and other cautions
};

/// State of a candidate in a system at one moment of its life.
struct CandidateMoment {
    Uncertain<VolumeFlow> flow;
    Uncertain<Pressure> filter_pressure;               ///< across all stages
    Uncertain<Pressure> external_static_pressure;      ///< ducts and filters: what the fan table's pressure meets
    std::optional<Uncertain<Power>> power;
};

/// One sample of a candidate's life in a system, for drawing.
struct LifeSample {
    Time time{};                                       ///< running hours since the change
    Mass retained{};                                   ///< on all stages
    VolumeFlow flow{};
    Pressure filter_pressure{};
    std::optional<Power> power;
};

/// One sample of the cost rate against the change interval, for drawing.
struct CostRateSample {
    Time interval{};                                   ///< running hours between changes
    Money annual_cost{};                               ///< at equal service
};

/// What years of service take of a candidate, at equal service.
struct ServiceYears {
    std::vector<std::size_t> purchases;                ///< filters of each stage bought, upstream first
    Uncertain<Money> filter_cost;                      ///< filters, labour and disposal at today's prices; of the last
                                                       ///< filters only the share used up
    Uncertain<Money> energy_cost;                      ///< with demand charges, at today's prices
    Uncertain<Money> present_value;                    ///< filters paid when they are put in
};

/// A candidate in a system.
struct CandidateResult {
    std::string name;
    OperatingPoint clean_point;                        ///< every crossing of fan and system, filters clean
    std::optional<CandidateMoment> clean;
    std::optional<CandidateMoment> middle;             ///< at half the change interval
    std::optional<CandidateMoment> end;                ///< at the end of the change interval
    std::optional<Velocity> face_velocity;             ///< clean
    std::optional<CoveredUncertain<Time>> hours_to_limit;     ///< running hours until the first limit
    std::string limit_reached;                         ///< which limit that is
    std::optional<CoveredUncertain<Time>> change_interval;    ///< running hours between changes
    std::string change_interval_reason;                ///< cost optimum, or the limit that binds; without prices the
                                                       ///< limit, and it says so
    std::optional<CoveredUncertain<double>> pm25_removal;      ///< share removed by the installed filters, new
    std::optional<CoveredUncertain<double>> pm25_removal_discharged;   ///< the same with the discharged filters, where
                                                       ///< counted
    std::optional<CoveredUncertain<double>> lasting_pm25_removal;      ///< the lower of the two: limits go by it, as
                                                       ///< classes of ISO 16890 go by the minimum efficiency
    double least_pm25_removal = 0.0;                   ///< if nothing were stopped of sizes not counted; the lower of
                                                       ///< new and discharged
    std::optional<CoveredUncertain<double>> pm10_removal;
    std::optional<CoveredUncertain<VolumeFlow>> clean_air_pm25;        ///< flow times the lasting removal
    std::optional<Uncertain<double>> indoor_pm25_share;    ///< share of the outdoor mass found in the room while the fan
                                                       ///< runs, by the removal that lasts; the room's own uncertainty is
                                                       ///< not in it
    std::optional<Uncertain<double>> indoor_pm10_share;    ///< the same of PM10
    std::optional<Uncertain<MassConcentration>> indoor_pm25;   ///< that share of the outdoor concentration stated
    std::optional<Uncertain<MassConcentration>> indoor_pm10;   ///< the same of PM10
    std::optional<Uncertain<double>> indoor_pm25_mean_share;   ///< the same in the mean of a year, fan on and off, with
                                                       ///< the mean airflow between two changes
    std::optional<Uncertain<double>> indoor_pm10_mean_share;   ///< the same of PM10
    std::optional<Uncertain<MassConcentration>> indoor_pm25_mean;   ///< that share of the outdoor concentration stated
    std::optional<Uncertain<MassConcentration>> indoor_pm10_mean;   ///< the same of PM10
    std::optional<CoveredUncertain<Time>> annual_running_time;    ///< that the air of the equal service takes
    std::optional<CoveredUncertain<Energy>> annual_energy;    ///< of the fan at equal service
    std::optional<CoveredUncertain<Energy>> attributable_energy;      ///< Q dp / eta over the year's running hours
    std::optional<CoveredUncertain<Energy>> counterfactual_energy;     ///< with minus without filters over the year's
                                                       ///< running hours; of either sign, never ranked on
    std::optional<CoveredUncertain<Money>> annual_cost;   ///< energy at equal service, filters, labour, disposal: ranks
    std::optional<CoveredUncertain<Money>> annual_filter_cost;    ///< filters, labour and disposal in it
    std::optional<CoveredUncertain<Money>> present_value;     ///< over the horizon
    std::optional<Uncertain<Money>> annual_demand_cost;    ///< of the months' greatest power, in the yearly cost
    std::optional<Uncertain<Power>> monthly_peak;      ///< mean of these, where they have a price
    std::optional<Uncertain<Mass>> annual_carbon;      ///< carbon dioxide equivalent of the yearly energy
    std::optional<Uncertain<Time>> change_earliest;    ///< running time at which a change costs the share more that is
                                                       ///< allowed
    std::optional<Uncertain<Time>> change_latest;      ///< the same later than the interval
    bool change_latest_is_limit = false;               ///< a limit, or the end of what was followed, comes before that
    std::optional<ChangeCalendar> calendar;            ///< calendar time between changes, by the month they begin in
    std::optional<ServiceYears> service;               ///< over the years of service
    std::optional<CoveredUncertain<MoneyPerVolume>> cost_per_clean_air;   ///< annual cost over clean air delivered
                                                       ///< (PM2.5)
    std::vector<LifeSample> life;
    std::vector<CostRateSample> cost_rate;
    std::vector<std::string> failed_limits;            ///< limits that it breaks, with values
    std::vector<std::string> doubted_limits;           ///< limits that it meets by the estimates, perhaps not in truth:
                                                       ///< inside the interval, at another velocity, by another point
    std::vector<std::string> doubt_conditions;         ///< what has to hold for each of them, as after "provided that";
                                                       ///< shape as doubted_limits
    std::optional<double> pm25_removal_as_it_runs;     ///< share removed at its own velocity, where by this estimate
                                                       ///< the limit is in doubt; in no figure and no draw
    bool below_present_airflow = false;                ///< delivers less than the present filter does clean
    bool counts_contradict = false;                    ///< more particles behind a filter than before it, beyond noise
    std::optional<std::size_t> rank;                   ///< 1 is cheapest among those that meet the limits
    std::vector<std::string> tied_with;                ///< candidates not told apart in annual cost, also those that
                                                       ///< fail a limit
    std::vector<MissingFigure> missing;
    std::vector<std::string> warnings;
};

/// What a system pays for its electricity.
struct SystemElectricity {
    Uncertain<EnergyPrice> price;                      ///< mean over the hours that the fan runs
    TariffShares shares;                               ///< of its use at each price; windows as PricesInput::time_of_use
    bool hours_known = false;                          ///< false: the mean over all hours of a year
};

/// How far two candidates' yearly costs are apart; what they share cancels.
struct CostDifference {
    std::size_t candidate = 0;      ///< index among the candidates
    std::size_t other = 0;          ///< another, of a greater index
    Interval<Money> interval;       ///< of the candidate's cost less the other's, at the study's coverage probability
    double cheaper_share = 0.0;     ///< probability that the candidate costs less, 0 to 1
};

/// What another candidate costs a year more than the recommended one; what they share cancels.
struct CostLead {
    std::size_t candidate = 0;      ///< index of the other among the candidates
    Money more{};                   ///< its yearly cost less that of the recommended one; below 0: it costs less
    Interval<Money> interval;       ///< of that difference, at the study's coverage probability
};

/// All candidates in one system.
struct SystemResult {
    std::string name;
    std::optional<SystemElectricity> electricity;      ///< where a price depends on the hour
    std::vector<CandidateResult> candidates;           ///< in the order of the input
    std::vector<std::size_t> ranking;                  ///< indices into candidates, cheapest first; those without a
                                                       ///< rank last, in the same order
    std::vector<CostDifference> cost_differences;      ///< of each pair whose costs could be drawn; ties go by them
    std::optional<std::size_t> recommended;            ///< index into candidates
    std::string recommendation;                        ///< one sentence: what, provided that, when, for how much
                                                       ///< and how far from the next; or why there is none
    std::string condition;                             ///< why it is conditional, in sentences; empty if it is not
    std::vector<std::string> recommendation_notes;     ///< what it rests on and compares with, a sentence or two each
    std::vector<InputDoubt> doubted_inputs;            ///< what the comparison rests on that is outside what is usual
    bool conditional = false;                          ///< no airflow limit, no empty stand, counts that contradict, a
                                                       ///< limit in doubt or doubted inputs: no unconditional
                                                       ///< recommendation
    std::optional<CostLead> runner_up;                 ///< the cheapest other one that meets every limit
    std::optional<CostLead> best_without_doubt;        ///< where the recommended one meets a limit in doubt: the
                                                       ///< cheapest that meets every limit without
    std::vector<std::pair<VolumeFlow, Pressure>> fan_samples;   ///< for drawing, in the system's air
    std::vector<std::pair<VolumeFlow, Pressure>> duct_samples;  ///< ducts alone
    std::vector<MissingFigure> missing;
    std::vector<std::string> warnings;
};

/// What a study finds.
struct StudyResult {
    std::optional<StandResult> stand;
    std::vector<FilterResult> filters;                 ///< in the order of the input
    std::vector<VolumeFlow> comparison_flows;          ///< those of the study, or chosen from the readings
    std::vector<SystemResult> systems;                 ///< in the order of the input
    std::vector<MissingFigure> missing;
    std::vector<std::string> warnings;
};

}   // namespace filterflow
