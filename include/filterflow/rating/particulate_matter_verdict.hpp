// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which groups and classes of ISO 16890-1 an estimate from a few bands excludes, leaves possible, makes likely.

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/capture/band_estimate.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/rating/class_verdict.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>

namespace filterflow {

/// A group with what an estimate says of it.
struct ParticulateMatterGroupVerdict {
    ParticulateMatterGroup group = ParticulateMatterGroup::coarse;   ///< of ISO 16890-1
    double probability = 0.0;   ///< of just this group [-]
    double at_least = 0.0;      ///< of this group or a finer one [-]
    ClassVerdict verdict = ClassVerdict::excluded;   ///< in words
};

/// A class with what an estimate says of it.
struct ParticulateMatterVerdict {
    ParticulateMatterGroup group = ParticulateMatterGroup::coarse;   ///< of ISO 16890-1
    int percent = 0;            ///< value, 50 to 95; 100: above 95; 0: the coarse group, which arrestance divides
    double probability = 0.0;   ///< of just this class [-]
    ClassVerdict verdict = ClassVerdict::excluded;   ///< in words
};

/// Verdicts on all groups and classes.
struct ParticulateMatterVerdicts {
    std::array<ParticulateMatterGroupVerdict, 4> groups;   ///< coarsest first; probabilities sum to one
    std::vector<ParticulateMatterVerdict> classes;         ///< coarsest first; probabilities sum to one
};

/// What an estimate from bands says of each group and class of ISO 16890-1.
///
/// Equation: probability = sum of the weights of the draws of the class, told as particulate_matter_class does from
///           the efficiencies as delivered and discharged
/// Symbols:  none
/// Validity: of a new filter whose conditioning takes away all of its charge and nothing else: the counter saw it as
///           delivered, its discharged state is that of the draws' media. An excluded group's classes are excluded. The
///           coarse group is one class, as initial arrestance was not measured. An estimate, never a class.
/// @param  estimate  not refused
/// @return a verdict for each group and each class
/// @throws DomainError if the estimate was refused
/// @source the groups of ISO 16890-1:2016; test: rating/particulate_matter_verdict_test.cpp
template <Deferred...>
inline ParticulateMatterVerdicts particulate_matter_verdicts(const BandEstimate& estimate) {
    detail::check_not_refused(estimate, "particulate_matter_verdicts");
    std::array<std::array<double, 21>, 4> weights{};   // group, value in steps of 5 %
    double total = 0.0;
    for (const WeightedAverages& draw : estimate.draws) {
        const auto mean = [&](std::size_t k) { return 0.5 * (draw.matter[k] + draw.matter_discharged[k]); };
        const std::array<double, 5> five{mean(0), draw.matter_discharged[0], mean(1), draw.matter_discharged[1],
                                         mean(2)};
        const ParticulateMatterGroup group = detail::particulate_matter_group(five);
        const bool coarse = group == ParticulateMatterGroup::coarse;
        const int percent = coarse ? 0 : detail::class_percent(five[detail::value_index(group)]);
        weights[static_cast<std::size_t>(group)][static_cast<std::size_t>(percent / 5)] += draw.weight;
        total += draw.weight;
    }
    ParticulateMatterVerdicts result;
    std::vector<double> of_classes, of_groups;
    for (std::size_t g = 0; g < 4; ++g) {
        const auto group = static_cast<ParticulateMatterGroup>(g);
        const int least = g == 0 ? 0 : 50, greatest = g == 0 ? 0 : detail::above_95_percent;
        double sum = 0.0;
        for (int percent = least; percent <= greatest; percent += 5) {
            const double probability = weights[g][static_cast<std::size_t>(percent / 5)] / total;
            result.classes.push_back({group, percent, probability, ClassVerdict::excluded});
            of_classes.push_back(probability);
            sum += probability;
        }
        result.groups[g] = {group, sum, 0.0, ClassVerdict::excluded};
        of_groups.push_back(sum);
    }
    const std::vector<ClassVerdict> classes = detail::class_verdicts(of_classes);
    const std::vector<ClassVerdict> groups = detail::class_verdicts(of_groups);
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const bool out = groups[static_cast<std::size_t>(result.classes[i].group)] == ClassVerdict::excluded;
        result.classes[i].verdict = out ? ClassVerdict::excluded : classes[i];
    }
    double finer = 0.0;
    for (std::size_t g = 4; g-- > 0;) {
        finer += of_groups[g];
        result.groups[g].at_least = finer < 1.0 ? finer : 1.0;
        result.groups[g].verdict = groups[g];
    }
    return result;
}

namespace detail {

template <Deferred...>
inline std::string listed_groups(const ParticulateMatterVerdicts& verdicts, ClassVerdict wanted) {
    std::string text;
    for (const ParticulateMatterGroupVerdict& group : verdicts.groups) {
        if (group.verdict != wanted) continue;
        text += (text.empty() ? "" : ", ") + particulate_matter_group_name(group.group);
    }
    return text.empty() ? "none" : text;
}

/// Neighbours of one group as "ISO ePM2.5 60 % to 70 %".
template <Deferred...>
inline std::string listed_classes(const ParticulateMatterVerdicts& verdicts, ClassVerdict wanted) {
    std::string text;
    const auto& classes = verdicts.classes;
    for (std::size_t i = 0; i < classes.size(); ++i) {
        if (classes[i].verdict != wanted) continue;
        std::size_t last = i;
        while (last + 1 < classes.size() && classes[last + 1].verdict == wanted &&
               classes[last + 1].group == classes[i].group) {
            ++last;
        }
        text += text.empty() ? "" : ", ";
        const bool coarse = classes[i].group == ParticulateMatterGroup::coarse;
        text += coarse ? particulate_matter_group_name(classes[i].group)
                       : class_name(classes[i].group, classes[i].percent);
        if (last > i) {
            const bool top = classes[last].percent == above_95_percent;
            text += top ? " to > 95 %" : " to " + std::to_string(classes[last].percent) + " %";
        }
        i = last;
    }
    return text.empty() ? "none" : text;
}

}   // namespace detail

/// How verdicts may be printed: likely, possible and excluded groups, likely and possible classes, as an estimate by
/// the edition at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of particulate_matter_verdicts
/// @param  verdicts  of particulate_matter_verdicts
/// @param  face_velocity  at which the bands were measured [m/s], > 0
/// @return one sentence
/// @throws DomainError if the velocity is not > 0
/// @source common practice: only an accredited laboratory's test gives a class;
///         test: rating/particulate_matter_verdict_test.cpp
template <Deferred...>
inline std::string particulate_matter_verdict_text(const ParticulateMatterVerdicts& verdicts,
                                                   const Velocity& face_velocity) {
    return "group by particulate matter: likely " + detail::listed_groups(verdicts, ClassVerdict::likely) +
           "; possible " + detail::listed_groups(verdicts, ClassVerdict::possible) + "; excluded " +
           detail::listed_groups(verdicts, ClassVerdict::excluded) + "; class: likely " +
           detail::listed_classes(verdicts, ClassVerdict::likely) + "; possible " +
           detail::listed_classes(verdicts, ClassVerdict::possible) +
           "; every other excluded (taking the discharged state from theory, not from a test): " +
           estimate_text("ISO 16890-1:2016", face_velocity);
}

}   // namespace filterflow
