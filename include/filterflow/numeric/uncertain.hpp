// SPDX-License-Identifier: BSL-1.0
#pragma once

// Uncertain values: a value with its sparse gradient over identified elementary inputs.
//
// Every reading that somebody took, every stated price or calibration is an elementary input with an identity,
// a standard uncertainty and degrees of freedom. A result carries its derivative to each of them. What two
// results share (one manometer, one tare, one fan table) is the same input in both, so it cancels in their
// difference as far as it should. Fits add blocks of independent inputs (the Cholesky factor of the covariance),
// so all elementary inputs are independent of each other.
//
// First-order propagation of the GUM (JCGM 100:2008, 5.1.2): u_c^2(y) = sum_i (df/dx_i)^2 u^2(x_i).

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include <boost/units/quantity.hpp>

#include <filterflow/core/checks.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

/// An independent source of uncertainty, known by its identity (two inputs of one name are two inputs).
struct ElementaryInput {
    std::string name;                  ///< what a budget prints: "manometer gain", "price of electricity"
    double standard_uncertainty = 0;   ///< in SI, or relative where the input is a factor; >= 0
    double degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< of that uncertainty, > 0
    std::size_t serial = 0;            ///< order of creation: budgets and sums do not depend on addresses
    std::size_t variance_group = 0;    ///< inputs whose uncertainty is one estimate (a fit's scatter); 0: its own
};
using InputHandle = std::shared_ptr<const ElementaryInput>;

namespace detail {
inline std::size_t next_input_serial() {
    static std::size_t count = 0;
    return ++count;   // inputs are made by one thread, before work is shared out
}
}   // namespace detail

/// A new elementary input.
///
/// Equation: none; gives the input its identity
/// Symbols:  none
/// Validity: standard uncertainty >= 0, degrees of freedom > 0 (infinite where the uncertainty is exact)
/// @param  name  what a budget prints
/// @param  standard_uncertainty  [SI unit of the input, or relative], >= 0
/// @param  degrees_of_freedom  [-], > 0, may be infinite
/// @return handle to the input
/// @throws DomainError if the uncertainty is < 0 or not finite, or the degrees of freedom are not > 0
/// @source JCGM 100:2008 (GUM), 4.1; test: numeric/uncertain_test.cpp
inline InputHandle elementary_input(std::string name, double standard_uncertainty,
                                    double degrees_of_freedom = std::numeric_limits<double>::infinity()) {
    detail::require_non_negative("elementary_input", "standard_uncertainty of " + name, standard_uncertainty, "-");
    if (!(degrees_of_freedom > 0.0)) {
        detail::throw_domain_error("elementary_input", "degrees_of_freedom of " + name, degrees_of_freedom, "-",
                                   "> 0");
    }
    return std::make_shared<const ElementaryInput>(ElementaryInput{
        std::move(name), standard_uncertainty, degrees_of_freedom, detail::next_input_serial()});
}

/// Derivatives of a result to elementary inputs, sorted by the order in which the inputs were made.
class Gradient {
public:
    struct Term {
        InputHandle input;
        double derivative;   ///< of the result to the input, in SI
    };

    Gradient() = default;
    explicit Gradient(InputHandle input, double derivative = 1.0) { terms_.push_back({std::move(input), derivative}); }

    const std::vector<Term>& terms() const { return terms_; }

    /// Derivative to one input; zero if the result does not depend on it.
    double derivative(const InputHandle& input) const {
        for (const Term& term : terms_) {
            if (term.input == input) return term.derivative;
        }
        return 0.0;
    }

    /// this += factor * other
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

    /// Sum of the squared components of uncertainty.
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
    std::vector<Term> terms_;
};

namespace detail {

/// Raw SI number of a plain number or a quantity.
template <class Q>
double si_value(const Q& q) {
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
        return {detail::from_si<Q>(detail::si_value(a.value) * factor), std::move(g)};
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
    const double u = detail::si_value(standard_uncertainty);
    return {value, Gradient(elementary_input(std::move(name), u, degrees_of_freedom))};
}

/// First-order propagation through one stage of a calculation: evaluates a generic function once with dual
/// numbers and chains its derivatives with the gradients of the inputs.
///
/// Equation: dy/dx_k = sum_i (df/dp_i) (dp_i/dx_k)
/// Symbols:  p the stage's inputs, x the elementary inputs, f the stage
/// Validity: where f is smooth on the scale of the inputs' uncertainties
/// @param  stage  callable on std::array<Dual<N>, N> (raw SI), returning std::array<Dual<N>, M>
/// @param  inputs  the stage's N inputs as raw uncertain SI numbers
/// @return the stage's M outputs as uncertain SI numbers
/// @throws what the stage throws
/// @source JCGM 100:2008 (GUM), 5.1.2 and 5.1.3 (chain rule); test: numeric/uncertain_test.cpp
template <std::size_t N, class Stage>
auto propagate(const Stage& stage, const std::array<Uncertain<double>, N>& inputs) {
    std::array<Dual<N>, N> seeds;
    for (std::size_t i = 0; i < N; ++i) seeds[i] = Dual<N>::input(inputs[i].value, i);
    const auto outputs = stage(seeds);
    std::array<Uncertain<double>, std::tuple_size_v<std::remove_cvref_t<decltype(outputs)>>> results;
    for (std::size_t j = 0; j < outputs.size(); ++j) {
        results[j].value = outputs[j].value;
        for (std::size_t i = 0; i < N; ++i) results[j].gradient.add(inputs[i].gradient, outputs[j].derivative[i]);
    }
    return results;
}

/// First-order propagation through one stage with any number of inputs, known at run time: the stage is
/// evaluated once for each block of N inputs.
///
/// Equation: as propagate
/// Symbols:  as propagate
/// Validity: as propagate; the stage must not depend on which inputs carry derivatives
/// @param  stage  callable on std::span<const Dual<N>> (raw SI), returning std::vector<Dual<N>>
/// @param  inputs  the stage's inputs as raw uncertain SI numbers; shape (n)
/// @return the stage's outputs as uncertain SI numbers; shape (m)
/// @throws what the stage throws
/// @source as propagate; test: numeric/uncertain_test.cpp
template <std::size_t N, class Stage>
std::vector<Uncertain<double>> propagate_blockwise(const Stage& stage, std::span<const Uncertain<double>> inputs) {
    std::vector<Uncertain<double>> results;
    std::vector<Dual<N>> seeds(inputs.size());
    std::size_t first = 0;
    do {
        const std::size_t last = std::min(first + N, inputs.size());
        for (std::size_t i = 0; i < inputs.size(); ++i) seeds[i] = Dual<N>(inputs[i].value);
        for (std::size_t i = first; i < last; ++i) seeds[i].derivative[i - first] = 1.0;
        const std::vector<Dual<N>> outputs = stage(std::span<const Dual<N>>(seeds));
        results.resize(outputs.size());
        for (std::size_t j = 0; j < outputs.size(); ++j) {
            results[j].value = outputs[j].value;
            for (std::size_t i = first; i < last; ++i) {
                results[j].gradient.add(inputs[i].gradient, outputs[j].derivative[i - first]);
            }
        }
        first = last;
    } while (first < inputs.size());
    return results;
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
    return {detail::si_value(x.value), x.gradient};
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

/// One new block of correlated values, as a fit returns them: independent inputs z_j of unit uncertainty with
/// p = estimate + L z, where L L^T is the covariance.
///
/// Equation: cov = L L^T (Cholesky), dp_i/dz_j = L_ij
/// Symbols:  p parameters, z independent inputs
/// Validity: covariance symmetric and positive semidefinite; a parameter with zero variance (held at a bound)
///           gets no input
/// @param  estimates  raw SI parameters; shape (n)
/// @param  covariance  row-major [SI units]; shape (n n)
/// @param  name  what a budget prints, with the index of the input appended
/// @param  degrees_of_freedom  of the fit [-], > 0
/// @return the uncertain parameters; shape (n)
/// @throws DomainError if the covariance is not positive semidefinite
/// @source JCGM 102:2011, 5.2 (correlated inputs by Cholesky factor); test: numeric/uncertain_test.cpp
inline std::vector<Uncertain<double>> correlated_block(std::span<const double> estimates,
                                                       std::span<const double> covariance,
                                                       const std::string& name, double degrees_of_freedom) {
    constexpr auto where = "correlated_block";
    const std::size_t n = estimates.size();
    std::vector<double> lower(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j <= i; ++j) {
            double sum = covariance[i * n + j];
            for (std::size_t k = 0; k < j; ++k) sum -= lower[i * n + k] * lower[j * n + k];
            const double scale = covariance[i * n + i];
            if (i == j) {
                if (!(sum >= -1e-9 * scale) || !(scale >= 0.0)) {
                    detail::throw_domain_error(where, "covariance pivot", sum, "-", "positive semidefinite");
                }
                lower[i * n + i] = std::sqrt(std::max(sum, 0.0));
            } else {
                const double pivot = lower[j * n + j];
                lower[i * n + j] = pivot > 0.0 ? sum / pivot : 0.0;
            }
        }
    }
    std::vector<Uncertain<double>> block(n);
    for (std::size_t i = 0; i < n; ++i) block[i].value = estimates[i];
    std::size_t group = 0;
    for (std::size_t j = 0; j < n; ++j) {
        if (!(lower[j * n + j] > 0.0)) continue;
        ElementaryInput parameter = *elementary_input(name + " [" + std::to_string(j + 1) + "]", 1.0, degrees_of_freedom);
        if (group == 0) group = parameter.serial;
        parameter.variance_group = group;
        const InputHandle input = std::make_shared<const ElementaryInput>(std::move(parameter));
        for (std::size_t i = j; i < n; ++i) block[i].gradient.add(Gradient(input), lower[i * n + j]);
    }
    return block;
}

}   // namespace filterflow
