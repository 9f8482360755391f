// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a study is made of: a test stand with its readings, the filters that were tested on it, the candidates
// (one filter, or several in series), the systems they would serve, prices and limits. Every part is optional;
// what cannot be computed for want of a part is listed in the result together with what is missing.
//
// Stated values carry their uncertainty as an elementary input of their own, so that two candidates that share
// a price, a manometer or a dust concentration share its uncertainty too.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/capture/particle_counts.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/carbon.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/cost/tariff.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/stand/flow_element.hpp>
#include <filterflow/stand/instrument.hpp>
#include <filterflow/stand/leakage.hpp>
#include <filterflow/stand/stated_fan.hpp>
#include <filterflow/stand/traverse.hpp>

namespace filterflow {

/// How the flow through a filter on the stand is known.
enum class StandFlowMethod {
    flow_meter,      ///< read directly
    flow_element,    ///< from the differential pressure of an orifice, nozzle or Venturi
    traverse,        ///< from a traverse of velocities
    fan_table,       ///< not measured: inferred from the stand's fan table at the pressure read
    not_measured     ///< unknown: pressures alone
};

/// One pressure reading on the stand, with whatever tells its flow.
struct BenchReading {
    Pressure pressure{};                               ///< static pressure difference across the filter's place
    std::optional<VolumeFlow> flow;                    ///< flow_meter: volume flow read
    std::optional<Pressure> flow_element_pressure;     ///< flow_element: its differential pressure
    std::vector<Velocity> traverse_velocities;         ///< traverse: velocities at the rule's positions
    std::optional<Pressure> fan_pressure;              ///< fan_table: the pressure the stand's fan works against
    std::string origin;                                ///< where it was read, as "file:line", for messages
};

/// The motor of a fan.
enum class MotorKind {
    induction,            ///< its speed barely changes with load
    constant_torque,      ///< electronically commutated, holds torque: it speeds up as resistance rises
    constant_airflow      ///< electronically commutated, holds the volume flow
};

/// What a fan table belongs to; nothing is computed from it.
struct FanDescription {
    std::string speed_tap;                             ///< label of the tap or setting, or empty
    std::optional<MotorKind> motor;                    ///< none: not stated
};

/// The test stand.
struct StandInput {
    std::optional<MoistAirConditions> air;             ///< during the tests
    StandFlowMethod flow_method = StandFlowMethod::not_measured;   ///< how the flow is known
    std::optional<FlowElement> flow_element;           ///< for flow_element
    std::optional<TraverseSection> traverse;           ///< for traverse: section and rule
    std::optional<FanTable> fan;                       ///< for fan_table
    FanDescription fan_description;                    ///< what that table belongs to
    Uncertain<double> fan_pressure_factor{1.0};        ///< how well the stand's fan table is known
    std::optional<StatedFan> fan_ends;                 ///< for an estimate where the flow is not measured
    std::vector<BenchReading> empty_stand;             ///< readings without a filter, for the tare
    std::optional<SealLeakage> leakage;                ///< none: the stand is taken as tight, and the result says so
    Instrument manometer;                              ///< reads the pressure across the filter's place
    Instrument flow_instrument;                        ///< reads the flow or the element's differential pressure
};

/// One step of a loading test.
struct LoadingReading {
    Mass dust_fed{};                        ///< total fed so far, >= 0
    std::optional<Mass> dust_passed;        ///< total that passed so far (weighed behind the filter), >= 0
    BenchReading reading;                   ///< pressure and flow at this step
};

/// A filter that was tested.
struct FilterInput {
    std::string name;                            ///< unique in the study
    std::optional<Length> width;                 ///< nominal face width, > 0
    std::optional<Length> height;                ///< nominal face height, > 0; without a face no face velocities
    std::optional<Length> depth;                 ///< along the flow
    std::optional<Area> free_area;               ///< face area open to the air, if it was measured
    std::optional<Uncertain<Money>> price;       ///< of one filter
    std::optional<Time> claimed_life;            ///< printed on the package
    std::optional<std::size_t> pleat_count;      ///< of an opened filter
    std::optional<Area> media_area;              ///< of an opened filter
    std::vector<BenchReading> pressure_readings; ///< clean
    std::vector<SizeRangeCounts> counts;         ///< particle counts by size range, clean
    std::optional<Velocity> counts_face_velocity;    ///< at which the counts were taken
    std::vector<SizeRangeCounts> conditioned_counts; ///< after discharging the filter, for ISO 16890
    std::vector<LoadingReading> loading_readings;    ///< dust fed against pressure
    std::string counts_origin;                   ///< file, for messages
};

/// One stage of a candidate: a filter and the rule by which it is changed.
struct StageInput {
    std::string filter;                          ///< name of a FilterInput
    std::optional<Pressure> final_resistance;    ///< at which it is changed
    std::optional<Time> greatest_age;            ///< calendar age at which it is changed
};

/// What might be installed: stages in series, upstream first.
struct CandidateInput {
    std::string name;                            ///< unique in the study
    std::vector<StageInput> stages;              ///< at least one
    std::optional<Area> bypass_gap;              ///< area of the gap around the filters; none: no bypass, said so
};

/// How the system's fan is controlled.
enum class FanControl {
    fixed_speed,    ///< belt or tap: flow falls as resistance rises
    holds_airflow   ///< speed drive that holds the volume flow up to the pressure where it gives up
};

/// The room that a system serves, as one that is well mixed: for what the filters make of the outdoor particles in it.
struct RoomInput {
    Volume volume{};                                ///< > 0
    std::optional<VolumeFlow> outdoor_air;          ///< in the air that the fan moves through the filters; none: no such air
    std::optional<Rate> infiltration;               ///< through cracks, per room volume; none: no such air
    std::optional<double> penetration;              ///< share of the particles that passes the cracks, 0 to 1; none: by
                                                    ///< size, as measured in two houses
    std::optional<Uncertain<MassConcentration>> outdoor_pm25;   ///< none: shares of the outdoor mass alone
    std::optional<Uncertain<MassConcentration>> outdoor_pm10;   ///< the same of PM10
    std::optional<Time> fan_cycle{};                  ///< on and off together, of a fan that runs part of the time: for the
                                                    ///< yearly mean; not used where the operating hours are known
};

/// When a system's fan runs and how dusty its air is, hour by hour of a common year.
struct OperatingHours {
    DustSchedule schedule;                          ///< 8760 hours of one fan speed and one kind of dust
    bool states_dust = true;                        ///< false: its concentrations are factors on the system's own
                                                    ///< dust_concentration, 1 kg/m3 for one
    int new_years_weekday = 0;                      ///< weekday of 1 January, 0 (Monday) to 6 (Sunday)
};

/// The system that a candidate would serve.
struct SystemInput {
    std::string name;                               ///< unique in the study
    FanTable fan;                                   ///< pressure and power over flow; without rows: not known, and
                                                    ///< what needs it is missing
    FanDescription fan_description;                 ///< what the table belongs to
    FanControl control = FanControl::fixed_speed;
    Uncertain<double> fan_pressure_factor{1.0};     ///< how well the table's pressure is known
    Uncertain<double> fan_power_factor{1.0};        ///< how well the table's power is known
    Uncertain<double> held_airflow_factor{1.0};     ///< how well the airflow that a drive holds is known, on the
                                                    ///< table's, 0.5 to 1.5; exactly one of a fan at fixed speed
    SystemCurve ducts;                              ///< everything but the filters
    bool ducts_known = true;                        ///< false: nothing is known of them, and what needs them is missing
    Uncertain<double> duct_pressure_factor{1.0};    ///< how well the ducts' resistance is known
    std::optional<MoistAirConditions> air;          ///< in the system; none: the declared standard air
    std::optional<Time> hours_per_year;             ///< running time of the fan in a year
    std::optional<Uncertain<MassConcentration>> dust_concentration;   ///< upstream of the filters, of all sizes
    std::optional<Uncertain<double>> dust_equivalence;   ///< mass of bench dust that loads a filter like a unit mass
                                                         ///< of this building's dust; an assumption if not measured
    bool dust_equivalence_is_assumed = true;        ///< printed beside every life
    std::string present_candidate;                  ///< name of what is installed now, or empty
    std::optional<VolumeFlow> least_airflow;        ///< limit
    std::optional<Pressure> greatest_external_static_pressure;   ///< limit, from the nameplate
    std::optional<Velocity> greatest_face_velocity; ///< limit
    std::optional<double> least_pm25_removal;       ///< limit: share of PM2.5 mass removed, clean, between 0 and 1
    std::optional<RoomInput> room;                  ///< that it serves
    std::optional<OperatingHours> operating_hours{};  ///< by with_operating_hours, which sets hours_per_year and the dust
};

/// Hours in which electricity has another price.
struct TimeOfUsePrice {
    TariffWindow window;                            ///< its own price is not read
    Uncertain<EnergyPrice> price;
};

/// What things cost.
struct PricesInput {
    std::string currency = "currency units";        ///< name to print
    std::optional<Uncertain<EnergyPrice>> electricity;
    std::optional<Uncertain<Money>> labour_per_change;    ///< of changing one stage once
    std::optional<Uncertain<Money>> disposal_per_filter;  ///< of one filter
    double discount_rate = 0.0;                     ///< a year, > -1
    double electricity_escalation = 0.0;            ///< a year, > -1
    std::optional<Time> horizon;                    ///< of the present value
    std::vector<TimeOfUsePrice> time_of_use{};        ///< where they overlap the later in the list holds; electricity is
                                                    ///< the price of all other hours
    std::optional<Uncertain<DemandPrice>> demand{};   ///< of each month's greatest power, > 0
    std::optional<Uncertain<CarbonIntensity>> carbon{};    ///< of the electricity, >= 0
    double other_escalation = 0.0;                  ///< of filters, labour and disposal, a year, > -1
    std::optional<Time> years_of_service{};           ///< over which sets of filters are bought one after the other
    std::optional<double> change_penalty{};           ///< share that a change early or late may add to the yearly cost, > 0
};

/// A whole study.
struct StudyInput {
    std::string title;
    std::string note;                               ///< printed below the title ("invented data ...")
    std::string origin;                             ///< the study file, for messages
    AirState standard_air;                          ///< declared air at which filters are compared
    std::string standard_air_name;                  ///< as printed
    std::vector<Velocity> comparison_velocities;    ///< face velocities at which pressures are compared
    std::vector<VolumeFlow> comparison_flows;       ///< volume flows at which pressures are compared; with neither,
                                                    ///< flows that all readings share are chosen, and the result says so
    std::optional<StandInput> stand;
    std::vector<FilterInput> filters;
    std::vector<CandidateInput> candidates;
    std::vector<SystemInput> systems;
    PricesInput prices;
    double coverage_probability = 0.95;             ///< of every interval printed
    std::vector<std::string> notes;                 ///< doubts and choices of whoever made the input, in sentences;
                                                    ///< printed with the warnings
};

}   // namespace filterflow
