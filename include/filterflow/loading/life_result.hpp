// SPDX-License-Identifier: BSL-1.0
#pragma once

// What filter_life returns: the life of an installation, and its moments.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/life_model.hpp>

namespace filterflow {

/// An installation at one moment of its life, and what it did until then.
template <class T>
struct BasicLifeMoment {
    BasicTime<T> time;                           ///< running time since the start
    BasicDustDose<T> dose;                       ///< dust dose since the start
    std::vector<BasicMass<T>> retained;          ///< building's dust on each stage
    std::vector<BasicPressure<T>> stage_drops;   ///< pressure drop of each stage
    std::vector<T> caught_share;                 ///< share of the dust arriving now that each stage stops
    BasicVolumeFlow<T> flow;                     ///< airflow
    BasicPressure<T> filter_drop;                ///< of all stages
    BasicPressure<T> external_static_pressure;   ///< ducts and stages: what the fan's table pressure meets
    std::optional<BasicPower<T>> power;          ///< of the fan; absent if its table has none
    BasicVolume<T> delivered;                    ///< air delivered so far
    std::optional<BasicEnergy<T>> fan_energy;    ///< used so far
    BasicEnergy<T> filter_air_energy;            ///< flow times filter pressure drop, so far: the air's own share
    T filter_drop_time;                          ///< integral of the filter pressure drop over time so far [Pa s]
    BasicVolume<T> clean_air{};                  ///< delivered so far, by the mass of dust: air times share caught
    std::vector<T> removed_by_size{};            ///< share of each dust class that is stopped now
    std::vector<BasicVolume<T>> clean_air_by_size{};   ///< delivered so far, for each dust class
};
using LifeMoment = BasicLifeMoment<double>;

/// The life of an installation from one change to a limit.
template <class T>
struct BasicFilterLife {
    LifeEnd end = LifeEnd::horizon;   ///< what ended it
    std::size_t stage = 0;            ///< which stage (from zero), for final_resistance and age
    std::string reason;               ///< the same in words
    bool limit_met = false;           ///< false: the horizon came first, or there is no operating point at all
    bool derivatives_known = true;    ///< derivatives of the time where it ended: false where the flow jumps
    std::vector<BasicLifeMoment<T>>
        moments;   ///< from the clean filter to the end; empty if there is no operating point
    std::vector<std::size_t> extrapolated_stages;      ///< stages whose law was used beyond its readings
    BasicTime<T> time{};                               ///< running time until the end
    BasicTime<T> age{};                                ///< calendar time until the end
    BasicMass<T> dust_arrived{};                       ///< with the air
    BasicMass<T> dust_caught{};                        ///< by all stages
    BasicMass<T> dust_delivered{};                     ///< into the rooms
    BasicVolumeFlow<T> mean_flow{};                    ///< over running time
    BasicPressure<T> mean_filter_drop{};               ///< over running time
    std::optional<BasicPower<T>> mean_power{};         ///< over running time
    BasicVolume<T> clean_air{};                        ///< delivered until the end, by the mass of dust
    std::vector<BasicVolume<T>> clean_air_by_size{};   ///< the same for each dust class
};
using FilterLife = BasicFilterLife<double>;

namespace detail {

template <Deferred...>
inline std::string life_end_text(LifeEnd end, std::size_t stage, std::size_t stages) {
    const std::string which = stages > 1 ? "stage " + std::to_string(stage + 1) : "the filter";
    switch (end) {
        case LifeEnd::horizon:
            return "no limit is met within the horizon";
        case LifeEnd::final_resistance:
            return which + " reaches its final resistance";
        case LifeEnd::age:
            return which + " reaches its greatest age";
        case LifeEnd::least_airflow:
            return "the airflow falls to the least allowed";
        case LifeEnd::external_static_pressure:
            return "the external static pressure reaches the greatest allowed";
        case LifeEnd::greatest_power:
            return "the fan's power reaches the greatest allowed";
        case LifeEnd::bridging:
            return "the pleats of " + which + " bridge";
        case LifeEnd::fan_table_end:
            return "the fan's table ends: what happens beyond is not known";
        case LifeEnd::operating_point_lost:
            return "the fan's stable operating point vanishes: the flow would jump";
        case LifeEnd::no_operating_point:
            return "fan and system have no stable operating point inside the fan's table";
    }
    return {};
}

template <class T>
void note_extrapolation(const BasicFilterLifeInput<T>& input, const std::vector<T>& y,
                        std::vector<std::size_t>& stages) {
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        const auto& known = input.stages[k].greatest_known;
        if (!known) continue;
        const T retained = input.dust.equivalence * y[k] / input.stages[k].area.value();
        if (!(plain_value(retained) > known->value() * (1.0 + 1e-12))) continue;
        bool listed = false;
        for (const std::size_t s : stages) listed = listed || s == k;
        if (!listed) stages.push_back(k);
    }
}

/// Fills in what a life came to, from its last moment, the dust on its stages and the dust that arrived.
template <class T>
void take_totals(const BasicFilterLifeInput<T>& input, const std::vector<T>& masses, const T& arrived,
                 BasicFilterLife<T>& life) {
    note_extrapolation(input, masses, life.extrapolated_stages);
    const BasicLifeMoment<T>& last = life.moments.back();
    T caught(0.0);
    for (std::size_t k = 0; k < input.stages.size(); ++k) caught = caught + masses[k];
    life.time = last.time;
    life.dust_arrived = BasicMass<T>::from_value(arrived);
    life.dust_caught = BasicMass<T>::from_value(caught);
    life.dust_delivered = BasicMass<T>::from_value(arrived - caught);
    life.clean_air = last.clean_air;
    life.clean_air_by_size = last.clean_air_by_size;
    const T time = last.time.value();
    const bool lasted = plain_value(time) > 0.0;
    life.mean_flow = lasted ? BasicVolumeFlow<T>::from_value(last.delivered.value() / time) : last.flow;
    life.mean_filter_drop = lasted ? BasicPressure<T>::from_value(last.filter_drop_time / time) : last.filter_drop;
    if (last.power) {
        life.mean_power = lasted ? BasicPower<T>::from_value(last.fan_energy->value() / time) : *last.power;
    }
}

template <class T>
void take_end(LifeEnd end, std::size_t stage, std::size_t stages, BasicFilterLife<T>& life) {
    life.end = end;
    life.stage = stage;
    life.reason = life_end_text(end, stage, stages);
    life.limit_met = end != LifeEnd::horizon && end != LifeEnd::no_operating_point;
}

}   // namespace detail

}   // namespace filterflow
