// SPDX-License-Identifier: BSL-1.0
#pragma once

// Classes of high efficiency filters by EN 1822-1 and ISO 29463-1: penetration at the most penetrating size, of the
// whole filter and at its worst spot. An estimate from bench data, printed as one.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/joint_normal.hpp>

namespace filterflow {

/// Which table of classes.
enum class HighEfficiencyStandard {
    en_1822,     ///< EN 1822-1:2019
    iso_29463    ///< ISO 29463-1:2017
};

/// One class: the most penetration it allows at the most penetrating size.
struct HighEfficiencyClass {
    std::string_view name;            ///< as the standard writes it
    double most_penetration = 0.0;    ///< of the whole filter [%], > 0
    double most_local = 0.0;          ///< at any spot [%]; 0: the class has no local limit
};

/// Probability of one class, or of "below the lowest class".
using HighEfficiencyProbability = ClassProbability;

/// What penetration at the most penetrating size says of the class.
struct HighEfficiencyRating {
    HighEfficiencyStandard standard = HighEfficiencyStandard::iso_29463;   ///< whose table
    std::string class_name;       ///< class by the values themselves, or "below the lowest class"
    std::string highest_class;    ///< class by the whole filter alone: above class_name if its local limit is not met,
                                  ///< or if no local test was made, which could still confirm it
    std::string governing_limit;  ///< the class's limit met with the least margin; empty below the lowest class
    double margin = 0.0;          ///< that limit over the penetration [-], >= 1; infinite at zero; 0 below all
    std::string next_limit;       ///< all limits of the next class up that are not met or not measured
    double shortfall = 0.0;       ///< penetration over the limit missed by most [-], > 1; 0: no measured one is missed
    std::vector<HighEfficiencyProbability> probabilities;   ///< worst first; sum 1
    std::vector<std::string> missing;                       ///< what the standard asks for and was not given
};

/// The classes of a standard, worst first.
///
/// Equation: none
/// Symbols:  none
/// Validity: limits at the most penetrating size
/// @param  standard  whose table
/// @return classes, worst first; shape (8) for EN 1822-1, (13) for ISO 29463-1
/// @throws nothing
/// @source EN 1822-1 as three agreeing secondary copies state it; ISO 29463-1: limits of the whole filter from 35 H
///         on as an open-access book's table states them, 15 E to 30 E and all local limits from memory. The copies name
///         no year; that these are the limits of the editions of 2019 and 2017 (and of 2009 and 2011 before them) is
///         from memory; test: rating/high_efficiency_test.cpp
inline std::span<const HighEfficiencyClass> high_efficiency_classes(HighEfficiencyStandard standard) {
    static constexpr std::array<HighEfficiencyClass, 8> en{{{"E10", 15, 0},
                                                            {"E11", 5, 0},
                                                            {"E12", 0.5, 0},
                                                            {"H13", 0.05, 0.25},
                                                            {"H14", 0.005, 0.025},
                                                            {"U15", 0.0005, 0.0025},
                                                            {"U16", 5e-5, 2.5e-4},
                                                            {"U17", 5e-6, 1e-4}}};
    static constexpr std::array<HighEfficiencyClass, 13> iso{{{"ISO 15 E", 5, 0},
                                                              {"ISO 20 E", 1, 0},
                                                              {"ISO 25 E", 0.5, 0},
                                                              {"ISO 30 E", 0.1, 0},
                                                              {"ISO 35 H", 0.05, 0.25},
                                                              {"ISO 40 H", 0.01, 0.05},
                                                              {"ISO 45 H", 0.005, 0.025},
                                                              {"ISO 50 U", 0.001, 0.005},
                                                              {"ISO 55 U", 0.0005, 0.0025},
                                                              {"ISO 60 U", 1e-4, 5e-4},
                                                              {"ISO 65 U", 5e-5, 2.5e-4},
                                                              {"ISO 70 U", 1e-5, 1e-4},
                                                              {"ISO 75 U", 5e-6, 1e-4}}};
    if (standard == HighEfficiencyStandard::en_1822) return en;
    return iso;
}

namespace detail {

inline constexpr double limit_rounding = 1.0 + 1e-12;   // of percent to share; the limits are applied unrounded
inline constexpr const char* below_all_classes = "below the lowest class";

inline const char* edition_text(HighEfficiencyStandard standard) {
    return standard == HighEfficiencyStandard::en_1822 ? "EN 1822-1:2019" : "ISO 29463-1:2017";
}

/// What keeps a filter from the next class up; limits that nobody measured are named, too.
template <Deferred...>
inline void describe_next(HighEfficiencyRating& rating, const HighEfficiencyClass& next, double penetration,
                          const std::optional<double>& local_penetration) {
    const auto add = [&](const std::string& found, double limit) {
        rating.next_limit += (rating.next_limit.empty() ? "" : "; ") + found + ", " + std::string(next.name) +
                             " allows " + number_text(limit) + " %";
    };
    const auto judge = [&](const std::string& name, double value, double limit) {
        if (value <= limit / 100.0 * limit_rounding) return;
        add(name + " " + number_text(100.0 * value) + " %", limit);
        rating.shortfall = std::max(rating.shortfall, 100.0 * value / limit);
    };
    judge("penetration", penetration, next.most_penetration);
    if (next.most_local == 0.0) return;
    if (local_penetration) {
        judge("local penetration", *local_penetration, next.most_local);
    } else {
        add("local penetration not measured", next.most_local);
    }
}

}   // namespace detail

/// Class of a high efficiency filter by its penetration at the most penetrating size.
///
/// Equation: the best class with P <= P_max and, from its H classes on, P_local <= P_local,max;
///           probability of at least a class: P(P <= P_max, P_local <= P_local,max), both normal
/// Symbols:  P penetration of the whole filter, P_local at its worst spot
/// Validity: penetration at the most penetrating size, at the rated flow. Probabilities are first-order normal with
///           what both values share; a normal penetration reaches below zero, which counts as met. Without a local
///           value only classes without a local limit are given; highest_class says what it could confirm. Where the
///           local value keeps the class below that of the whole filter, highest_class and next_limit say so.
/// @param  standard  whose table
/// @param  penetration  of the whole filter [-], from 0 to 1
/// @param  local_penetration  at the worst spot [-], from 0 to 1; none: not measured
/// @return class, governing limit with its margin, what keeps it from the next class, probability of each class, what
///         is missing
/// @throws DomainError if a penetration is not from 0 to 1
/// @source EN 1822-1, ISO 29463-1 (see high_efficiency_classes); test: rating/high_efficiency_test.cpp
template <Deferred...>
inline HighEfficiencyRating high_efficiency_rating(
    HighEfficiencyStandard standard, const Uncertain<double>& penetration,
    const std::optional<Uncertain<double>>& local_penetration = std::nullopt) {
    constexpr auto where = "high_efficiency_rating";
    detail::require_between(where, "penetration", penetration.value, 0.0, 1.0, "-");
    if (local_penetration) {
        detail::require_between(where, "local_penetration", local_penetration->value, 0.0, 1.0, "-");
    }
    const Uncertain<double> local = local_penetration.value_or(Uncertain<double>(0.0));
    const double r = detail::correlation(penetration, local);
    HighEfficiencyRating rating;
    rating.standard = standard;
    rating.class_name = rating.highest_class = detail::below_all_classes;
    detail::LadderSteps steps(detail::below_all_classes);
    const HighEfficiencyClass* next = nullptr;   // lowest class that is not reached
    for (const HighEfficiencyClass& c : high_efficiency_classes(standard)) {
        const double limit = c.most_penetration / 100.0 * detail::limit_rounding;
        const double local_limit = c.most_local > 0.0 ? c.most_local / 100.0 * detail::limit_rounding : HUGE_VAL;
        const bool whole_met = penetration.value <= limit;
        if (whole_met) rating.highest_class = c.name;
        const bool told = c.most_local == 0.0 || local_penetration;
        const bool reached = told && whole_met && local.value <= local_limit;
        if (!reached && !next) next = &c;
        if (!told) continue;
        if (reached) {
            rating.class_name = c.name;
            const double whole = penetration.value > 0.0 ? limit / penetration.value : HUGE_VAL;
            const double spot = local.value > 0.0 ? local_limit / local.value : HUGE_VAL;
            const bool by_spot = spot < whole;
            rating.governing_limit = std::string(by_spot ? "local penetration" : "penetration") + " at most " +
                                     detail::number_text(by_spot ? c.most_local : c.most_penetration) + " %";
            rating.margin = std::max(1.0, std::min(whole, spot));
        }
        const double h = detail::standard_distance(limit, penetration.value, penetration.standard_uncertainty());
        const double better =
            c.most_local > 0.0
                ? detail::joint_normal_share_below(
                      h, detail::standard_distance(local_limit, local.value, local.standard_uncertainty()), r)
                : detail::normal_share_below(h);
        steps.add(std::string(c.name), better);
    }
    rating.probabilities = steps.finish();
    if (next) {
        detail::describe_next(rating, *next, penetration.value,
                              local_penetration ? std::optional(local.value) : std::nullopt);
    }
    if (rating.highest_class != rating.class_name && !local_penetration) {
        rating.missing.push_back("local penetration, which " + rating.highest_class + " limits, too");
    }
    return rating;
}

/// How a class of high efficiency may be printed: as an estimate from bench data by a standard at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of high_efficiency_rating
/// @param  rating  result of high_efficiency_rating
/// @param  face_velocity  at which penetration was measured [m/s], > 0
/// @return one sentence; it says so where a local test was not made or keeps the class below that of the whole filter
/// @throws DomainError if the velocity is not > 0
/// @source common practice; test: rating/high_efficiency_test.cpp
template <Deferred...>
inline std::string high_efficiency_text(const HighEfficiencyRating& rating, const Velocity& face_velocity) {
    std::string text = rating.class_name + " by penetration at the most penetrating size";
    if (!rating.missing.empty()) {
        text += " (at most " + rating.highest_class + ", without a local test)";
    } else if (rating.highest_class != rating.class_name) {
        text += " (" + rating.highest_class + " by the whole filter, but " + rating.next_limit + ")";
    }
    return text + ": " + estimate_text(detail::edition_text(rating.standard), face_velocity);
}

}   // namespace filterflow
