// SPDX-License-Identifier: BSL-1.0
#pragma once

// A loading test as read (dust fed and passed, pressure and flow at each step), what a fit to it is, and the account of
// the dust: how much stayed on the filter at each reading, and how that is known.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/arrestance.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>

namespace filterflow {

/// One step of a loading test, as totals so far.
struct LoadingTestReading {
    Uncertain<Mass> dust_fed;                     ///< total fed so far, >= 0
    std::optional<Uncertain<Mass>> dust_passed;   ///< total that passed so far, weighed behind the filter, <= fed
    Uncertain<VolumeFlow> flow;                   ///< through the filter at this reading, > 0
    Uncertain<Pressure> drop;                     ///< across the filter alone at this flow
    AirState air{};                               ///< of this reading
};

/// How the dust on the filter is known.
enum class RetainedMass {
    weighed,             ///< fed less passed, at every step
    partly_weighed,      ///< passed was weighed at some steps; the rest by the average arrestance of the last weighing
    stated_arrestance,   ///< passed was not weighed: fed times an arrestance that the user states
    upper_bound          ///< passed was not weighed: all of the dust fed, which is more than stays
};

/// What fit_loading is to fit.
struct LoadingFitInput {
    std::vector<LoadingTestReading> readings;             ///< in order of dust fed
    ElementFit clean;                                     ///< of the clean filter
    Area area{};                                          ///< that the dust is counted on, > 0
    ReferenceArea reference = ReferenceArea::face;        ///< which area that is: media when known, else face
    LoadingForm form = LoadingForm::smooth;               ///< which form to fit
    std::optional<Uncertain<double>> stated_arrestance;   ///< for dust that was not weighed, > 0 and <= 1
};

/// The parameters of a loading law as raw SI numbers, in the order growth scale [kg/m2], transition [kg/m2], cake slope
/// [m2/kg], curvature [m4/kg2], surface growth [m2/kg], length growth [m2/kg].
template <class T>
using LoadingParameters = std::array<T, 6>;

/// A fitted loading law.
struct LoadingFit {
    LoadingLaw law;                                       ///< as reported: form may be reduced to exponential
    LoadingForm asked_form = LoadingForm::smooth;         ///< form that was asked for
    Area area{};                                          ///< that the dust is counted on
    LoadingParameters<Uncertain<double>> parameters;      ///< of the law; exact zero where the form has none
    LoadingStages stages = LoadingStages::both;           ///< what the readings show
    std::string verdict;                                  ///< the same in words
    RetainedMass retained_mass = RetainedMass::weighed;   ///< how the dust on the filter is known
    std::vector<Uncertain<Mass>> retained;                ///< on the filter at each reading
    MassPerArea greatest_retained{};         ///< per area, last reading: beyond it the law is an extrapolation
    std::vector<DustIncrement> increments;   ///< dust fed and passed between weighings
    std::vector<Uncertain<double>> arrestance_increments;   ///< of each
    std::optional<Uncertain<double>> average_arrestance;    ///< mass-weighted to the last weighing, or as stated
    std::vector<Pressure> residuals;                        ///< reading less fit, at each reading
    double chi_squared = 0.0;                               ///< of the readings with dust, by their covariance
    std::size_t degrees_of_freedom = 0;                     ///< readings with dust less fitted parameters
    bool lacks_fit = false;           ///< residuals larger than the readings' uncertainties explain
    bool slope_falls = false;         ///< slope_falls_at_transition
    std::vector<std::string> notes;   ///< what the user should know, in words
};

/// A loading law from its form and raw SI parameters, as LoadingFit::parameters has them.
///
/// Equation: none
/// Symbols:  none
/// Validity: checked where the law is used
/// @param  form  form of the law
/// @param  reference  which area
/// @param  parameters  in the order of LoadingParameters; trailing ones that the form does not read may be left out
/// @return the law
/// @throws nothing
/// @source none needed; test: loading/loading_fit_test.cpp
template <class T>
BasicLoadingLaw<T> loading_law(LoadingForm form, ReferenceArea reference, const LoadingParameters<T>& parameters) {
    return {form,
            reference,
            BasicMassPerArea<T>::from_value(parameters[0]),
            BasicMassPerArea<T>::from_value(parameters[1]),
            BasicAreaPerMass<T>::from_value(parameters[2]),
            BasicAreaPerMassSquared<T>::from_value(parameters[3]),
            BasicAreaPerMass<T>::from_value(parameters[4]),
            BasicAreaPerMass<T>::from_value(parameters[5])};
}

namespace detail {

/// Dust on the filter at each reading, and what the weighings say of arrestance.
template <Deferred...>
inline void account_for_dust(const LoadingFitInput& input, LoadingFit& fit) {
    constexpr auto where = "fit_loading";
    std::vector<DustIncrement> steps;
    Uncertain<Mass> last_fed, last_passed;
    std::size_t weighed = 0, dusty = 0;
    double previous = 0.0;
    for (std::size_t i = 0; i < input.readings.size(); ++i) {
        const LoadingTestReading& reading = input.readings[i];
        const std::string name = "reading " + std::to_string(i + 1) + ": ";
        const double fed = require_non_negative(where, name + "dust fed", reading.dust_fed.value.value(), "kg");
        if (fed < previous) {
            throw_domain_error(where, name + "dust fed", fed, "kg",
                               "a running total, at least the " + number_text(previous) + " kg of the reading before");
        }
        previous = fed;
        if (!(fed > 0.0)) continue;
        ++dusty;
        if (!reading.dust_passed) continue;
        ++weighed;
        require_between(where, name + "dust passed", reading.dust_passed->value.value(), 0.0, fed, "kg");
        if (fed > last_fed.value.value()) {
            const DustIncrement step{reading.dust_fed - last_fed, *reading.dust_passed - last_passed};
            require_between(where, name + "dust passed since the last weighing", step.passed.value.value(), 0.0,
                            step.fed.value.value(), "kg");
            steps.push_back(step);
        }
        last_fed = reading.dust_fed;
        last_passed = *reading.dust_passed;
    }
    if (!steps.empty()) {
        Arrestance found = arrestance(steps);
        fit.increments = steps;
        fit.arrestance_increments = std::move(found.increments);
        fit.average_arrestance = std::move(found.average);
        fit.retained_mass = weighed == dusty ? RetainedMass::weighed : RetainedMass::partly_weighed;
        if (weighed < dusty) {
            fit.notes.push_back("dust passed was weighed at " + std::to_string(weighed) + " of " +
                                std::to_string(dusty) +
                                " readings; between them retained dust is fed dust times the "
                                "average arrestance, " +
                                number_text(std::round(1000.0 * fit.average_arrestance->value) / 10.0) + " %");
        }
    } else if (input.stated_arrestance) {
        const double share = input.stated_arrestance->value;
        if (!(share > 0.0 && share <= 1.0)) {
            throw_domain_error(where, "stated_arrestance", share, "-", "> 0 and <= 1");
        }
        fit.average_arrestance = *input.stated_arrestance;
        fit.retained_mass = RetainedMass::stated_arrestance;
        fit.notes.push_back("dust passed was not weighed: retained dust is fed dust times the stated arrestance " +
                            number_text(share));
    } else {
        fit.retained_mass = RetainedMass::upper_bound;
        fit.notes.push_back(
            "dust passed was not weighed and no arrestance is stated: retained dust is taken as all of "
            "the dust fed, an upper bound");
    }
    for (const LoadingTestReading& reading : input.readings) {
        Uncertain<Mass> mass = reading.dust_fed;
        if (reading.dust_passed) {
            mass = reading.dust_fed - *reading.dust_passed;
        } else if (fit.average_arrestance) {
            mass = scaled(reading.dust_fed, fit.average_arrestance->value);
            mass.gradient.add(fit.average_arrestance->gradient, reading.dust_fed.value.value());
        }
        fit.retained.push_back(std::move(mass));
    }
}

/// Dust fed by the time that a mass is retained: along the increments where there are any, else by the average.
template <Deferred...>
inline std::optional<Uncertain<Mass>> dust_fed_by(const LoadingFit& fit, const Uncertain<double>& retained) {
    if (!fit.average_arrestance) return std::nullopt;
    Uncertain<double> fed_before, retained_before;
    const DustIncrement* step = nullptr;
    for (std::size_t i = 0; i < fit.increments.size(); ++i) {
        const DustIncrement& increment = fit.increments[i];
        const double kept = increment.fed.value.value() - increment.passed.value.value();
        if (step != nullptr) {   // the one before holds the mass or is left behind
            const Uncertain<double> kept_before = to_si(step->fed - step->passed);
            if (retained.value <= retained_before.value + kept_before.value) break;
            fed_before = fed_before + to_si(step->fed);
            retained_before = retained_before + kept_before;
        }
        if (!(kept > 0.0)) {   // an increment that retained nothing says nothing of more dust
            step = nullptr;
            fed_before = fed_before + to_si(increment.fed);
            continue;
        }
        step = &increment;
    }
    if (step == nullptr) {
        const double share = fit.average_arrestance->value;
        if (!(share > 0.0)) return std::nullopt;
        Uncertain<double> fed = scaled(retained, 1.0 / share);
        fed.gradient.add(fit.average_arrestance->gradient, -fed.value / share);
        return from_si<Mass>(fed);
    }
    using D = Dual<5>;
    const auto along = [](const std::array<D, 5>& x) -> std::array<D, 1> {
        return {x[0] + (x[2] - x[1]) * x[3] / (x[3] - x[4])};
    };
    return from_si<Mass>(
        propagate<5>(along, {fed_before, retained_before, retained, to_si(step->fed), to_si(step->passed)})[0]);
}

}   // namespace detail
}   // namespace filterflow
