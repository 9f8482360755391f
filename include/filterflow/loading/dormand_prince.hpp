// SPDX-License-Identifier: BSL-1.0
#pragma once

// One step of the explicit Runge-Kutta pair of Dormand and Prince, order 5 with an error estimate of order 4,
// generic in the scalar: a step size that is a dual number carries its derivative into the result. Not public.
// Coefficients: Dormand and Prince 1980, J. Comp. Appl. Math. 6:19; between steps: Hairer, Norsett and Wanner, Solving
// Ordinary Differential Equations I, II.6 (from memory).

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/core/checks.hpp>

namespace filterflow::detail {

template <class T>
struct DormandPrinceStep {
    std::vector<T> state;                    // at the end, order 5
    std::vector<T> rate;                     // there
    std::vector<T> bend;                     // for the state in between: see dormand_prince_between
    double error = 0.0;                      // largest estimated error over its scale
    std::vector<T> k2, k3, k4, k5, k6, at;   // rates inside the step, and where: kept for the next
};

/// Takes a step of size h from a state with its rate. `rates(state, rate)` writes the rates and returns false where
/// the model has none; then the step is not taken and false is returned. `scales` are the sizes errors are judged by.
template <class T, class Rates>
bool dormand_prince_step(const Rates& rates, const std::vector<T>& y, const std::vector<T>& k1, const T& h,
                         const std::vector<double>& scales, DormandPrinceStep<T>& step) {
    const std::size_t n = y.size();
    auto &k2 = step.k2, &k3 = step.k3, &k4 = step.k4, &k5 = step.k5, &k6 = step.k6, &at = step.at;
    for (std::vector<T>* v : {&k2, &k3, &k4, &k5, &k6, &at, &step.state, &step.rate, &step.bend}) v->resize(n);
    for (std::size_t i = 0; i < n; ++i) at[i] = y[i] + h * (T(1.0 / 5) * k1[i]);
    if (!rates(at, k2)) return false;
    for (std::size_t i = 0; i < n; ++i) at[i] = y[i] + h * (T(3.0 / 40) * k1[i] + T(9.0 / 40) * k2[i]);
    if (!rates(at, k3)) return false;
    for (std::size_t i = 0; i < n; ++i) {
        at[i] = y[i] + h * (T(44.0 / 45) * k1[i] - T(56.0 / 15) * k2[i] + T(32.0 / 9) * k3[i]);
    }
    if (!rates(at, k4)) return false;
    for (std::size_t i = 0; i < n; ++i) {
        at[i] = y[i] + h * (T(19372.0 / 6561) * k1[i] - T(25360.0 / 2187) * k2[i] + T(64448.0 / 6561) * k3[i] -
                            T(212.0 / 729) * k4[i]);
    }
    if (!rates(at, k5)) return false;
    for (std::size_t i = 0; i < n; ++i) {
        at[i] = y[i] + h * (T(9017.0 / 3168) * k1[i] - T(355.0 / 33) * k2[i] + T(46732.0 / 5247) * k3[i] +
                            T(49.0 / 176) * k4[i] - T(5103.0 / 18656) * k5[i]);
    }
    if (!rates(at, k6)) return false;
    for (std::size_t i = 0; i < n; ++i) {
        step.state[i] = y[i] + h * (T(35.0 / 384) * k1[i] + T(500.0 / 1113) * k3[i] + T(125.0 / 192) * k4[i] -
                                    T(2187.0 / 6784) * k5[i] + T(11.0 / 84) * k6[i]);
    }
    if (!rates(step.state, step.rate)) return false;
    for (std::size_t i = 0; i < n; ++i) {
        step.bend[i] = h * (T(-12715105075.0 / 11282082432) * k1[i] + T(87487479700.0 / 32700410799) * k3[i] -
                            T(10690763975.0 / 1880347072) * k4[i] + T(701980252875.0 / 199316789632) * k5[i] -
                            T(1453857185.0 / 822651844) * k6[i] + T(69997945.0 / 29380423) * step.rate[i]);
    }
    step.error = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double e = plain_value(h) * (71.0 / 57600 * plain_value(k1[i]) - 71.0 / 16695 * plain_value(k3[i]) +
                                           71.0 / 1920 * plain_value(k4[i]) - 17253.0 / 339200 * plain_value(k5[i]) +
                                           22.0 / 525 * plain_value(k6[i]) - 1.0 / 40 * plain_value(step.rate[i]));
        step.error = std::max(step.error, std::abs(e) / scales[i]);
    }
    return true;
}

/// The state inside a step, of order 4: y0, r0 at its beginning, y1, r1 at its end, `bend` of the step, h its size, at
/// the share x of it, 0 to 1.
template <class T>
T dormand_prince_between(const T& y0, const T& r0, const T& y1, const T& r1, const T& bend, const T& h, const T& x) {
    const T whole = y1 - y0, rest = T(1.0) - x;
    const T first = h * r0 - whole, second = whole - h * r1 - first;
    return y0 + x * (whole + rest * (first + x * (second + rest * bend)));
}

}   // namespace filterflow::detail
