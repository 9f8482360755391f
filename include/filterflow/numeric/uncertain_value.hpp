// SPDX-License-Identifier: BSL-1.0
#pragma once

// Uncertain values: a value with its sparse gradient over elementary inputs. What two results share (one manometer, one
// tare, one fan table) is the same input in both, so it cancels in their difference as far as it should.
//
// First-order propagation of the GUM (JCGM 100:2008, 5.1.2): u_c^2(y) = sum_i (df/dx_i)^2 u^2(x_i).

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <boost/units/quantity.hpp>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/elementary_input.hpp>

namespace filterflow {

/// Derivatives of a result to elementary inputs, sorted by the order in which the inputs were made.
class Gradient {
public:
    struct Term {
        InputHandle input;
        double derivative;   ///< of the result to the input, in SI
    };

    Gradient() = default;
    template <Deferred...>
    explicit Gradient(InputHandle input, double derivative = 1.0) { terms_.push_back({std::move(input), derivative}); }

    const std::vector<Term>& terms() const { return terms_; }

    /// Derivative to one input; zero if the result does not depend on it.
    template <Deferred...>
    double derivative(const InputHandle& input) const {
        for (const Term& term : terms_) {
            if (term.input == input) return term.derivative;
        }
        return 0.0;
    }

    /// this += factor * other
    template <Deferred...>
    void add(const Gradient& other, double factor) {
        if (factor == 0.0 || other.terms_.empty()) return;
        std::vector<Term> sum;
        sum.reserve(terms_.size() + other.terms_.size());
        auto a = terms_.begin();
        auto b = other.terms_.begin();
        while (a != terms_.end() || b != other.terms_.end()) {
            if (b == other.terms_.end() || (a != terms_.end() && a->input->serial < b->input->serial)) {
                sum.push_back(std::move(*a++));
            } else if (a == terms_.end() || b->input->serial < a->input->serial) {
                sum.push_back({b->input, factor * b->derivative});
                ++b;
            } else {
                sum.push_back({b->input, a->derivative + factor * b->derivative});
                ++a;
                ++b;
            }
        }
        terms_ = std::move(sum);
    }

    /// Sum of gradients, each times a factor, with one allocation: what the chain rule makes of a stage.
    template <Deferred...>
    static Gradient combination(std::span<const Gradient* const> gradients, std::span<const double> factors) {
        Gradient result;
        std::size_t count = 0;
        for (const Gradient* g : gradients) count += g->terms_.size();
        result.terms_.reserve(count);
        bool ascending = true;
        for (std::size_t i = 0; i < gradients.size(); ++i) {
            if (factors[i] == 0.0) continue;
            for (const Term& term : gradients[i]->terms_) {
                ascending = ascending && (result.terms_.empty() ||
                                          result.terms_.back().input->serial < term.input->serial);
                result.terms_.push_back({term.input, factors[i] * term.derivative});
            }
        }
        if (!ascending) result.order_terms();
        return result;
    }

    /// Sum of the squared components of uncertainty.
    template <Deferred...>
    double variance() const {
        double sum = 0.0;
        for (const Term& term : terms_) {
            const double component = term.derivative * term.input->standard_uncertainty;
            sum += component * component;
        }
        return sum;
    }

    /// Welch-Satterthwaite: nu_eff = u_c^4 / sum(u_i^4 / nu_i); infinite where every input is exact. Inputs whose
    /// uncertainty rests on one estimate of a variance (those of one correlated block) count as one term.
    template <Deferred...>
    double effective_degrees_of_freedom() const {
        double sum = 0.0;
        for (std::size_t i = 0; i < terms_.size();) {
            const ElementaryInput& first = *terms_[i].input;
            double squared = 0.0;
            do {   // a block's inputs are made one after the other, so they stand together
                const double component = terms_[i].derivative * terms_[i].input->standard_uncertainty;
                squared += component * component;
                ++i;
            } while (i < terms_.size() && first.variance_group != 0 &&
                     terms_[i].input->variance_group == first.variance_group);
            sum += squared * squared / first.degrees_of_freedom;
        }
        const double v = variance();
        return sum > 0.0 ? v * v / sum : std::numeric_limits<double>::infinity();
    }

private:
    /// Sorts the terms and adds up those of one input, in the order in which they stand.
    template <Deferred...>
    void order_terms() {
        std::stable_sort(terms_.begin(), terms_.end(),
                         [](const Term& a, const Term& b) { return a.input->serial < b.input->serial; });
        std::size_t last = 0;
        for (std::size_t i = 1; i < terms_.size(); ++i) {
            if (terms_[i].input == terms_[last].input) {
                terms_[last].derivative += terms_[i].derivative;
            } else if (++last != i) {
                terms_[last] = std::move(terms_[i]);
            }
        }
        terms_.resize(last + 1);
    }

    std::vector<Term> terms_;
};

/// Covariance of two uncertain values: what they share.
///
/// Equation: u(a, b) = sum_i (da/dx_i)(db/dx_i) u^2(x_i)
/// Symbols:  x the elementary inputs, u their standard uncertainties
/// Validity: first order
/// @param  a  gradient of an uncertain value
/// @param  b  gradient of another
/// @return covariance [product of their SI units]
/// @throws nothing
/// @source JCGM 100:2008 (GUM), 5.2.2 and H.2.3 (values of common inputs); test: numeric/uncertain_test.cpp
template <Deferred...>
inline double covariance(const Gradient& a, const Gradient& b) {
    double sum = 0.0;
    auto at = b.terms().begin();
    for (const Gradient::Term& term : a.terms()) {
        while (at != b.terms().end() && at->input->serial < term.input->serial) ++at;
        if (at == b.terms().end()) break;
        if (at->input != term.input) continue;
        const double u = term.input->standard_uncertainty;
        sum += term.derivative * at->derivative * u * u;
    }
    return sum;
}

/// Correlation coefficient of two uncertain values.
///
/// Equation: r = u(a, b)/(u(a) u(b))
/// Symbols:  u(a, b) covariance, u standard uncertainty
/// Validity: first order; zero where one of the two is exact
/// @param  a  gradient of an uncertain value
/// @param  b  gradient of another
/// @return correlation coefficient [-], -1 to 1
/// @throws nothing
/// @source JCGM 100:2008 (GUM), 5.2.2; test: numeric/uncertain_test.cpp
template <Deferred...>
inline double correlation(const Gradient& a, const Gradient& b) {
    const double product = std::sqrt(a.variance()) * std::sqrt(b.variance());
    return product > 0.0 ? covariance(a, b) / product : 0.0;
}

namespace detail {

/// Raw SI number of a plain number or a quantity.
template <class Q>
double in_si(const Q& q) {
    if constexpr (std::is_arithmetic_v<Q>) {
        return static_cast<double>(q);
    } else {
        return q.value();
    }
}
template <class Q>
Q from_si(double value) {
    if constexpr (std::is_arithmetic_v<Q>) {
        return value;
    } else {
        return Q::from_value(value);
    }
}

}   // namespace detail

/// A value (a quantity or a plain number) with its gradient over elementary inputs.
/// A plain value converts to an exact uncertain one.
template <class Q>
struct Uncertain {
    Q value{};
    Gradient gradient;   ///< per input, in SI

    Uncertain() = default;
    Uncertain(const Q& exact) : value(exact) {}   // NOLINT: exact values are welcome everywhere
    Uncertain(const Q& v, Gradient g) : value(v), gradient(std::move(g)) {}

    /// Combined standard uncertainty u_c.
    Q standard_uncertainty() const { return detail::from_si<Q>(std::sqrt(gradient.variance())); }

    friend Uncertain operator+(Uncertain a, const Uncertain& b) {
        a.value += b.value;
        a.gradient.add(b.gradient, 1.0);
        return a;
    }
    friend Uncertain operator-(Uncertain a, const Uncertain& b) {
        a.value -= b.value;
        a.gradient.add(b.gradient, -1.0);
        return a;
    }
    /// The value times a plain number.
    friend Uncertain scaled(Uncertain a, double factor) {
        Gradient g;
        g.add(a.gradient, factor);
        return {detail::from_si<Q>(detail::in_si(a.value) * factor), std::move(g)};
    }
};

/// A reading or stated value with an uncertainty of its own: one new elementary input.
///
/// Equation: y = x, dy/dx = 1
/// Symbols:  none
/// Validity: standard uncertainty >= 0
/// @param  value  estimate [any quantity or plain number]
/// @param  standard_uncertainty  of the estimate [same unit], >= 0
/// @param  name  what a budget prints
/// @param  degrees_of_freedom  [-], > 0, infinite by default
/// @return the uncertain value
/// @throws DomainError as elementary_input
/// @source JCGM 100:2008 (GUM), 4.1; test: numeric/uncertain_test.cpp
template <class Q>
Uncertain<Q> uncertain(const Q& value, const std::type_identity_t<Q>& standard_uncertainty, std::string name,
                       double degrees_of_freedom = std::numeric_limits<double>::infinity()) {
    const double u = detail::in_si(standard_uncertainty);
    return {value, Gradient(elementary_input(std::move(name), u, degrees_of_freedom))};
}

/// The uncertain quantity as an uncertain raw SI number, for propagate.
///
/// Equation: none
/// Symbols:  none
/// Validity: any uncertain value
/// @param  x  uncertain quantity or plain number
/// @return the same in SI, with the same gradient
/// @throws nothing
/// @source none needed; test: numeric/uncertain_test.cpp
template <class Q>
Uncertain<double> to_si(const Uncertain<Q>& x) {
    return {detail::in_si(x.value), x.gradient};
}

/// The uncertain raw SI number as an uncertain quantity; the inverse of to_si.
///
/// Equation: none
/// Symbols:  none
/// Validity: any uncertain value
/// @param  x  uncertain number in SI
/// @return the same as a quantity, with the same gradient
/// @throws nothing
/// @source none needed; test: numeric/uncertain_test.cpp
template <class Q>
Uncertain<Q> from_si(const Uncertain<double>& x) {
    return {detail::from_si<Q>(x.value), x.gradient};
}

}   // namespace filterflow
