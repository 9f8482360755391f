// SPDX-License-Identifier: BSL-1.0
#pragma once

// The classes of EN 779:2012, withdrawn in 2018 in favour of ISO 16890: to read old data, not to class filters.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/class_ladder.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/estimate_text.hpp>

namespace filterflow {

/// One class of the withdrawn EN 779:2012: what it requires, in percent; zero where it requires nothing.
struct WithdrawnEn779Class {
    std::string_view name;                  ///< G1 to F9
    double least_average_arrestance = 0.0;  ///< average arrestance, at least [%]; the G classes
    double least_average_efficiency = 0.0;  ///< average efficiency at 0.4 um, at least [%]; the M and F classes
    double least_minimum_efficiency = 0.0;  ///< lowest efficiency at 0.4 um, at least [%]; the F classes
    Pressure final_resistance{};            ///< at which the test ended
};

/// What a test by the withdrawn EN 779:2012 found.
struct WithdrawnEn779Data {
    std::optional<Uncertain<double>> average_efficiency{};   ///< at 0.4 um over the loading test [-]
    std::optional<Uncertain<double>> minimum_efficiency{};   ///< at 0.4 um, lowest of initial, discharged, loaded [-]
    std::optional<Uncertain<double>> average_arrestance{};   ///< by mass over the loading test [-]
};

/// The class of old data by the withdrawn EN 779:2012.
struct WithdrawnEn779Rating {
    std::string class_name;        ///< "F7"; "below G1"; "not determinable" where what would decide was not measured
    std::string governing_limit;   ///< the requirement of the class met with the least surplus
    double margin = 0.0;           ///< that surplus, in percentage points
    std::string next_limit;        ///< all requirements of the next class that are not met; empty in the best
    double shortfall = 0.0;        ///< by which the worst of them is missed, in percentage points
    std::vector<ClassProbability> probabilities;   ///< of each class, lowest first; empty: not determinable
    std::vector<std::string> missing;              ///< what the standard asked for and was not given
};

/// The classes of the withdrawn EN 779:2012, lowest first.
///
/// Equation: none
/// Symbols:  none
/// Validity: for reading data from before 2018; no class today
/// @return classes; shape (9)
/// @throws nothing
/// @source EN 779:2012, class table, as a secondary copy states it; final resistances from memory;
///         test: rating/withdrawn_en_779_test.cpp
template <Deferred...>
inline std::array<WithdrawnEn779Class, 9> withdrawn_en_779_classes() {
    std::array<WithdrawnEn779Class, 9> classes{{{"G1", 50, 0, 0, {}},
                                                {"G2", 65, 0, 0, {}},
                                                {"G3", 80, 0, 0, {}},
                                                {"G4", 90, 0, 0, {}},
                                                {"M5", 0, 40, 0, {}},
                                                {"M6", 0, 60, 0, {}},
                                                {"F7", 0, 80, 35, {}},
                                                {"F8", 0, 90, 55, {}},
                                                {"F9", 0, 95, 70, {}}}};
    for (auto& c : classes) c.final_resistance = (c.least_average_arrestance > 0.0 ? 250.0 : 450.0) * units::Pa;
    return classes;
}

/// What a class on an old data sheet promised.
///
/// Equation: none
/// Symbols:  none
/// Validity: names as the standard wrote them, "G1" to "F9"
/// @param  name  class
/// @return its requirements
/// @throws DomainError if the withdrawn standard had no such class
/// @source as withdrawn_en_779_classes; test: rating/withdrawn_en_779_test.cpp
template <Deferred...>
inline WithdrawnEn779Class find_withdrawn_en_779_class(std::string_view name) {
    for (const WithdrawnEn779Class& c : withdrawn_en_779_classes()) {
        if (c.name == name) return c;
    }
    throw DomainError("find_withdrawn_en_779_class: class \"" + std::string(name) +
                      "\"; required: G1 to G4, M5, M6, F7 to F9");
}

namespace detail {

template <Deferred...>
inline void describe_limits(WithdrawnEn779Rating& rating, std::size_t reached, const std::array<double, 3>& percent) {
    constexpr std::array<const char*, 3> names{"average arrestance", "average efficiency at 0.4 um",
                                               "minimum efficiency at 0.4 um"};
    const auto classes = withdrawn_en_779_classes();
    const auto visit = [&](const WithdrawnEn779Class& c, const auto& take) {   // take(surplus, text) of what counts
        const std::array<double, 3> least{c.least_average_arrestance, c.least_average_efficiency,
                                          c.least_minimum_efficiency};
        for (std::size_t i = 0; i < 3; ++i) {
            if (!(least[i] > 0.0) || std::isnan(percent[i])) continue;
            take(percent[i] - least[i], std::string(names[i]) + " = " + percent_text(percent[i]) + ", " +
                                            std::string(c.name) + " required " + percent_text(least[i]));
        }
    };
    if (reached > 0) {
        double least_surplus = HUGE_VAL;
        visit(classes[reached - 1], [&](double surplus, const std::string& text) {
            if (!(surplus < least_surplus)) return;
            least_surplus = surplus;
            rating.governing_limit = text;
        });
        rating.margin = std::max(0.0, least_surplus);
    }
    if (reached == classes.size()) return;
    visit(classes[reached], [&](double surplus, const std::string& text) {
        if (!(surplus < -rounding_of_percent)) return;
        rating.next_limit += (rating.next_limit.empty() ? "" : "; ") + text;
        rating.shortfall = std::max(rating.shortfall, -surplus);
    });
}

}   // namespace detail

/// Class of old data by the withdrawn EN 779:2012.
///
/// Equation: the best class whose requirements are all met; average efficiency below 40 %: by average arrestance
/// Symbols:  none
/// Validity: efficiencies at 0.4 um and arrestance of a loading test to the standard's final resistance. Probabilities
///           are first-order normal by what the values share.
/// @param  data  what was found; what was not measured stays empty
/// @return class, governing limit with its margin, probability of each class, what is missing
/// @throws DomainError if a value is not from 0 to 1
/// @source as withdrawn_en_779_classes; test: rating/withdrawn_en_779_test.cpp
template <Deferred...>
inline WithdrawnEn779Rating withdrawn_en_779_rating(const WithdrawnEn779Data& data) {
    constexpr auto where = "withdrawn_en_779_rating";
    const auto check = [&](const char* name, const std::optional<Uncertain<double>>& x) {
        if (x) detail::require_between(where, name, x->value, 0.0, 1.0, "-");
        return x ? 100.0 * x->value : std::nan("");
    };
    const std::array<double, 3> percent{check("average_arrestance", data.average_arrestance),
                                        check("average_efficiency", data.average_efficiency),
                                        check("minimum_efficiency", data.minimum_efficiency)};
    WithdrawnEn779Rating rating;
    rating.class_name = "not determinable";
    const auto classes = withdrawn_en_779_classes();
    constexpr double rounding = detail::rounding_of_percent;   // a NaN meets nothing
    if (!data.average_efficiency) rating.missing.push_back("average efficiency at 0.4 um");
    if (!data.average_efficiency) return rating;
    std::size_t reached = 0;
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const WithdrawnEn779Class& c = classes[i];
        const auto met = [&](double least, double value) { return !(least > 0.0) || value >= least - rounding; };
        if (met(c.least_average_arrestance, percent[0]) && met(c.least_average_efficiency, percent[1]) &&
            met(c.least_minimum_efficiency, percent[2])) {
            reached = i + 1;
        }
    }
    const bool fine = percent[1] >= 80.0 - rounding, coarse = percent[1] < 40.0 - rounding;
    const char* lowest_efficiency = "minimum efficiency at 0.4 um, which F7 to F9 limit";
    if (fine && !data.minimum_efficiency) rating.missing.push_back(lowest_efficiency);
    if (coarse && !data.average_arrestance) rating.missing.push_back("average arrestance, which decides G1 to G4");
    if (!rating.missing.empty()) return rating;
    rating.class_name = reached > 0 ? std::string(classes[reached - 1].name) : "below G1";
    detail::describe_limits(rating, reached, percent);
    const Uncertain<double> certain(0.0);
    const detail::Requirement nothing{&certain, -HUGE_VAL}, may_be_fine{&*data.average_efficiency, 0.8};
    if (!data.minimum_efficiency && detail::probability_of({may_be_fine, nothing, nothing}) > 1e-9) {
        rating.missing.push_back(lowest_efficiency);
        return rating;
    }
    std::array<detail::LadderClass, 10> ladder;
    ladder[0].name = "below G1";
    const auto share = [](double limit) { return limit > 0.0 ? (limit - rounding) / 100.0 : 0.0; };
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const WithdrawnEn779Class& c = classes[i];
        ladder[i + 1] = {std::string(c.name),
                         {share(c.least_average_efficiency), share(c.least_minimum_efficiency), 0.0},
                         share(c.least_average_arrestance)};
    }
    rating.probabilities = detail::ladder_probabilities(
        ladder, 0, {*data.average_efficiency, data.minimum_efficiency.value_or(Uncertain<double>(0.0)), {}},
        data.average_arrestance);
    return rating;
}

/// How a class of the withdrawn standard may be printed: as an estimate, and as withdrawn.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of withdrawn_en_779_rating
/// @param  rating  result of withdrawn_en_779_rating
/// @param  face_velocity  at which the filter was tested [m/s], > 0
/// @return one sentence
/// @throws DomainError if the velocity is not > 0
/// @source common practice; test: rating/withdrawn_en_779_test.cpp
template <Deferred...>
inline std::string withdrawn_en_779_text(const WithdrawnEn779Rating& rating, const Velocity& face_velocity) {
    return rating.class_name + ": " +
           estimate_text("EN 779:2012 (withdrawn in 2018, for reading old data)", face_velocity);
}

}   // namespace filterflow
