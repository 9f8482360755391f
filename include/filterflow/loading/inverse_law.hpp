// SPDX-License-Identifier: BSL-1.0
#pragma once

// Growth laws from factor to dust, many times over: what does not change is computed once. Not public.

#include <cmath>
#include <optional>
#include <utility>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/loading_form.hpp>

namespace filterflow::detail {

/// The inverse of a growth law with what does not change along a life.
class InverseLaw {
public:
    template <Deferred...>
    explicit InverseLaw(const LoadingCoefficients<double>& law) : law_(law), known_(begins_exponentially(law.form)) {
        if (!known_ || law.form == LoadingForm::exponential) return;
        at_transition_ = std::exp(law.transition / law.growth_scale);
        per_slope_ = law.form == LoadingForm::smooth ? law.growth_scale / at_transition_ : 1.0 / law.cake_slope;
    }
    const LoadingCoefficients<double>& law() const { return law_; }

    /// Dust at a factor >= 1 and its slope.
    template <Deferred...>
    std::pair<double, double> mass(double factor) const {
        if (!known_) {
            const double mass = loading_mass(law_, factor);
            return {mass, 1.0 / loading_slope(law_, mass)};
        }
        if (factor <= at_transition_) return {law_.growth_scale * std::log(factor), law_.growth_scale / factor};
        return {law_.transition + (factor - at_transition_) * per_slope_, per_slope_};
    }
    /// The factor at which the law has a kink, if it has one.
    template <Deferred...>
    std::optional<double> kink() const {
        if (law_.form == LoadingForm::smooth || law_.form == LoadingForm::kinked) return at_transition_;
        return std::nullopt;
    }

private:
    LoadingCoefficients<double> law_;
    bool known_;
    double at_transition_ = HUGE_VAL, per_slope_ = 0.0;
};

}   // namespace filterflow::detail
