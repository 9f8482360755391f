// SPDX-License-Identifier: BSL-1.0
#pragma once

// The best interval where money later is worth less: an endless chain of renewals at least present value. At the rates
// and times of filters it differs little from the least average cost.

#include <array>
#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/cost/least_average.hpp>

namespace filterflow {

/// Least present value of an endless chain of equal renewals, as the even cost rate that is worth the same.
///
/// Equation: PV(T) = [K + integral_0^T e exp(-r t) dt] / (1 - exp(-r T)) least, where e(T) = r PV(T) and e rises
/// Symbols:  K renewal cost, e running cost rate at time t, r continuous discount rate, T interval
/// Validity: e smooth within each of 200 equal parts of the search; of several minima the least that they tell apart.
///           Tends to find_least_average as r goes to zero
/// @param  renewal  cost of a renewal, > 0
/// @param  running  callable on double (time > 0) returning RunningCost, of which the rate is used
/// @param  discount_rate  continuous, per unit of the time, > 0: ln(1 + yearly rate) over the time's units in a year
/// @param  greatest_time  end of the search, > 0
/// @return interval and even cost rate r PV, or the end of the search with found = false
/// @throws DomainError if an argument is outside its range
/// @source derivative of the present value, by hand; test: cost/least_average_test.cpp
template <class Running>
LeastAverage find_least_present_value(double renewal, const Running& running, double discount_rate,
                                      double greatest_time) {
    constexpr auto where = "find_least_present_value";
    detail::require_positive(where, "renewal", renewal, "");
    const double r = detail::require_positive(where, "discount_rate", discount_rate, "");
    detail::require_positive(where, "greatest_time", greatest_time, "");
    const auto worth_between = [&](double a, double b) {   // five points of Gauss and Legendre
        constexpr std::array<double, 3> x{0.0, 0.5384693101056831, 0.9061798459386640};
        constexpr std::array<double, 3> w{0.5688888888888889, 0.4786286704993665, 0.2369268850561891};
        const double middle = 0.5 * (a + b), half = 0.5 * (b - a);
        double sum = 0.0;
        for (std::size_t i = 0; i < x.size(); ++i) {
            for (const double sign : {-1.0, 1.0}) {
                const double t = middle + sign * half * x[i];
                sum += (i == 0 ? 0.5 : 1.0) * w[i] * running(t).rate * std::exp(-r * t);
            }
        }
        return half * sum;
    };
    const auto filled = [&](double t) { return -std::expm1(-r * t) / r; };
    const auto excess = [&](double t, double worth) { return running(t).rate * filled(t) - renewal - worth; };
    constexpr int parts = 200;
    double a = 0.0, fa = -renewal, worth = 0.0;
    LeastAverage best{false, greatest_time, HUGE_VAL};
    for (int i = 1; i <= parts; ++i) {
        const double b = greatest_time * i / parts;
        const double whole = worth + worth_between(a, b);
        const double fb = detail::require_finite(where, "running cost", excess(b, whole), "");
        if (fa < 0.0 && fb >= 0.0) {
            double lower = a, upper = b;
            while (upper - lower > 1e-14 * greatest_time) {
                const double middle = lower + 0.5 * (upper - lower);
                (excess(middle, worth + worth_between(a, middle)) < 0.0 ? lower : upper) = middle;
            }
            const double cost = (renewal + worth + worth_between(a, upper)) / filled(upper);
            if (cost < best.average) best = {true, upper, cost};
        }
        a = b;
        fa = fb;
        worth = whole;
    }
    const double at_end = (renewal + worth) / filled(greatest_time);
    if (!(best.average <= at_end)) best = {false, greatest_time, at_end};
    return best;
}

}   // namespace filterflow
