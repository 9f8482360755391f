// SPDX-License-Identifier: BSL-1.0
#pragma once

// Inputs that are far from what is usual, as after a slip in a unit: dust in the air, dust fed in a loading test, clean
// pressures. They are told, and nothing is recommended unconditionally on them. Not public.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/stand/reduction.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

/// "40 mg/m3", "0.04 ug/m3"
template <Deferred...>
inline std::string concentration_words(MassConcentration concentration) {
    if (concentration >= 1.0 * units::mg_per_m3) return four_digits(concentration / units::mg_per_m3) + " mg/m3";
    return four_digits(concentration / units::ug_per_m3) + " ug/m3";
}

/// "40 kg", "40 g", "0.04 g"
template <Deferred...>
inline std::string mass_words(Mass mass) {
    if (mass >= 1.0 * units::kg) return four_digits(mass / units::kg) + " kg";
    return four_digits(mass / units::g) + " g";
}

/// From 1 to the greatest, the ends included, whatever units they were written in.
inline bool usual(double value, double greatest) { return value >= 1.0 - 1e-9 && value <= greatest * (1.0 + 1e-9); }

/// A doubt about the unit of the dust in a system's air, empty if there is none.
///
/// From filtered or remote air up to well above what towns have: the United States once limited the suspended dust of a
/// day outdoors to 260 ug/m3 (primary standard of 1971), the World Health Organization recommends a yearly 15 ug/m3 of
/// PM10 (2021), and workplaces are limited to 15 mg/m3 of total dust (29 CFR 1910.1000, Table Z-1); all from memory.
template <Deferred...>
inline std::optional<InputDoubt> dust_doubt(const SystemInput& system) {
    constexpr MassConcentration least = 1.0 * units::ug_per_m3, greatest = 1.0 * units::mg_per_m3;
    if (!system.dust_concentration) return std::nullopt;
    const MassConcentration given = system.dust_concentration->value;
    if (usual(given / least, greatest / least)) return std::nullopt;
    return InputDoubt{
        "dust concentration " + concentration_words(given),
        "usual are " + concentration_words(least) + " to " + concentration_words(greatest) +
            " (towns have 20 to 100 ug/m3, a former limit of a day outdoors was 260 ug/m3, workplaces are "
            "limited to 15 mg/m3)",
        "is the unit right?"};
}

/// A doubt about the unit of the dust fed in a loading test, empty if there is none: what filters hold per area of
/// their face (of the medium, where no face is known) lies within these wide ends; common practice (no source).
template <Deferred...>
inline std::optional<InputDoubt> loading_doubt(const FilterInput& filter, const std::optional<Area>& face) {
    const std::optional<Area>& area = face ? face : filter.media_area;
    if (filter.loading_readings.empty() || !area) return std::nullopt;
    constexpr MassPerArea least = 5.0 * units::g_per_m2, greatest = 5.0 * units::kg_per_m2;
    Mass fed{};
    for (const LoadingReading& reading : filter.loading_readings) fed = std::max(fed, reading.dust_fed);
    const MassPerArea given = fed / *area;
    const double share = face ? 1.0 : 0.1;   // a medium has some ten times the area of its face
    if (usual(given / (share * least), greatest / (share * least))) return std::nullopt;
    const std::string of = face ? " of face" : " of medium";
    return InputDoubt{"dust fed to " + in_quotes(filter.name) + " " + mass_words(fed),
                      "usual are " + mass_words(share * least * *area) + " to " + mass_words(greatest * *area) +
                          " in all, " + four_digits(share * least / units::g_per_m2) + " g to " +
                          four_digits(greatest / units::kg_per_m2) + " kg a m2" + of + " (common practice)",
                      "is the unit of the dust right?"};
}

/// Above this no clean filter of an air handler is sold; common practice (no source).
inline constexpr Pressure likely_clean_pressure = 1000.0 * units::Pa;

/// A doubt about the unit of clean readings, or about their columns; empty if there is none. With a face the pressure
/// is held against the velocity through it, too: open foams and screens have some 3 Pa at 1 m/s, the densest filters of
/// high efficiency 250 Pa at 0.45 m/s; a wide step below and above that; common practice (no source).
template <Deferred...>
inline std::optional<InputDoubt> clean_pressure_doubt(const FilterInput& filter, const StandReduction& reduction,
                                                      const std::optional<Area>& face) {
    constexpr double least = 1.0, greatest = 2000.0;   // Pa for each m/s
    for (const ReducedReading& r : reduction.readings) {
        if (!r.net_pressure || !r.flow) continue;
        const Pressure net = r.net_pressure->value;
        const double noise = 3.0 * r.net_pressure->standard_uncertainty().value();
        const double velocity = face ? r.flow->value.value() / face->value() : 0.0;
        const bool too_low = face && net.value() + noise < least * velocity;
        const bool too_high = net > likely_clean_pressure || (face && net.value() - noise > greatest * velocity);
        if (!too_low && !too_high) continue;
        return InputDoubt{"clean pressure of " + in_quotes(filter.name) + " " + pressure_words(net) + " at " +
                              (face ? velocity_words(r.flow->value / *face) : flow_words(r.flow->value)) +
                              (r.origin.empty() ? "" : " (" + r.origin + ")"),
                          (face ? "usual are " + four_digits(least) + " to " + four_digits(greatest) +
                                      " Pa for each m/s of face velocity and up to "
                                : "usual are up to ") +
                              pressure_words(likely_clean_pressure) + " (common practice)",
                          "are units and columns right, and is it the pressure across the filter?"};
    }
    return std::nullopt;
}

/// A doubt as a warning.
template <Deferred...>
inline std::string doubt_words(const InputDoubt& doubt) {
    return doubt.what + " is outside what is usual; " + doubt.usual + ": " + doubt.question;
}

/// The inputs outside what is usual that a system's comparison rests on: its dust, and the readings of the filters
/// among the candidates.
template <Deferred...>
inline std::vector<InputDoubt> doubted_inputs(const StudyInput& study, const SystemInput& system,
                                              const std::vector<FilterResult>& filters) {
    std::vector<InputDoubt> doubts;
    if (auto dust = dust_doubt(system)) doubts.push_back(std::move(*dust));
    for (const FilterResult& filter : filters) {
        const bool compared = std::any_of(
            study.candidates.begin(), study.candidates.end(), [&](const CandidateInput& candidate) {
                return std::any_of(candidate.stages.begin(), candidate.stages.end(),
                                   [&](const StageInput& stage) { return stage.filter == filter.name; });
            });
        if (compared) doubts.insert(doubts.end(), filter.doubts.begin(), filter.doubts.end());
    }
    return doubts;
}

/// A hint where readings without a flow that are pooled as repeats are too far apart to be some, empty if they are not.
template <Deferred...>
inline std::string pooling_doubt(std::span<const BenchReading> readings, const std::string& name) {
    if (readings.size() < 2) return "";
    const auto [least, greatest] =
        std::minmax_element(readings.begin(), readings.end(),
                            [](const BenchReading& a, const BenchReading& b) { return a.pressure < b.pressure; });
    const double apart = (greatest->pressure - least->pressure).value();
    if (!(apart > 0.2 * greatest->pressure.value() && apart > 2.0)) return "";   // more than repeats differ; own
    return "the " + std::to_string(readings.size()) + " readings of " + name + " go from " +
           pressure_words(least->pressure) + " to " + pressure_words(greatest->pressure) +
           " and were pooled as repeats of one: only readings at one setting of the fan may be; keep those of the "
           "setting that every filter was read at";
}

}   // namespace filterflow::detail
