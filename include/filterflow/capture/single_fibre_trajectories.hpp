// SPDX-License-Identifier: BSL-1.0
#pragma once

// Interception and impaction together by trajectories in Kuwabara's cell: a table of our own, interpolated without
// overshoot. Unpublished; with the fluid's velocity at the entry of the cell in place of the uniform one less is caught
// (trajectory_capture says how much). tests/reference/make_impaction_table.py computes the numbers.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <string_view>

#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/media/range_status.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

/// Interception and impaction by trajectories, with the table's range beside it.
template <class T>
struct BasicTrajectoryCapture {
    T efficiency;                         ///< of both together, 0 to 1 + R
    RangeStatus solidity;                 ///< 0.01 to 0.1
    RangeStatus interception_parameter;   ///< 0.01 to 0.8
    RangeStatus stokes;                   ///< 0 to 10

    /// Whether all three groups lie inside the table.
    constexpr bool inside() const {
        return solidity.inside() && interception_parameter.inside() && stokes.inside();
    }
};
using TrajectoryCapture = BasicTrajectoryCapture<double>;

namespace detail {

inline constexpr std::array<double, 4> trajectory_solidities{0.01, 0.02, 0.05, 0.1};
inline constexpr std::array<double, 7> trajectory_ratios{0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.8};
inline constexpr std::array<double, 15> trajectory_stokes{0.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 1.0, 1.5, 2.0,
                                                          3.0, 5.0, 10.0};

/// What inertia adds to interception, by solidity, R and Stk > 0: two lines an R.
inline constexpr std::array<double, 392> trajectory_gain{
    // clang-format off
    1.579e-07, 3.3363e-06, 1.6857e-05, 3.9684e-05, 7.5134e-05, 0.00013218, 0.00023508, 0.0004727,
        0.11443, 0.30355, 0.41931, 0.56094, 0.70338, 0.83757,
    7.16e-07, 1.3209e-05, 6.6217e-05, 0.00015556, 0.00029398, 0.00051622, 0.00091628, 0.0018384,
        0.11928, 0.30758, 0.42414, 0.56689, 0.71053, 0.84587,
    5.72e-06, 7.961e-05, 0.00039077, 0.00091179, 0.0017125, 0.0029867, 0.0052585, 0.010397,
        0.13357, 0.31956, 0.43826, 0.58422, 0.73135, 0.8701,
    2.794e-05, 0.00029603, 0.0014112, 0.0032545, 0.0060386, 0.010373, 0.017821, 0.032814,
        0.15583, 0.33893, 0.46056, 0.61141, 0.76411, 0.90839,
    0.0001232, 0.0009976, 0.0045592, 0.010282, 0.018562, 0.0306, 0.048663, 0.075576,
        0.19449, 0.37472, 0.50083, 0.66021, 0.82317, 0.97791,
    0.0004113, 0.0027415, 0.01199, 0.026156, 0.045033, 0.069114, 0.098821, 0.13373,
        0.25365, 0.43385, 0.56654, 0.73956, 0.92021, 1.0937,
    0.000764, 0.005196, 0.022785, 0.048638, 0.08038, 0.11662, 0.15622, 0.19798,
        0.32567, 0.51183, 0.6539, 0.84637, 1.054, 1.2576,
    2.374e-07, 6.1453e-06, 3.1042e-05, 7.5486e-05, 0.000154, 0.00031654, 0.00083277, 0.01085,
        0.23137, 0.40325, 0.50812, 0.634, 0.75774, 0.87086,
    1.042e-06, 2.4208e-05, 0.00012168, 0.00029526, 0.00060107, 0.0012325, 0.0032317, 0.030605,
        0.23543, 0.40818, 0.51382, 0.64068, 0.76542, 0.87947,
    7.79e-06, 0.00014382, 0.00071319, 0.0017182, 0.0034696, 0.0070401, 0.017859, 0.068584,
        0.24798, 0.42258, 0.53034, 0.66002, 0.78769, 0.90446,
    3.516e-05, 0.00052268, 0.002544, 0.0060472, 0.011993, 0.023512, 0.050962, 0.10515,
        0.26874, 0.4452, 0.556, 0.69002, 0.8223, 0.94344,
    0.000136, 0.001687, 0.0080091, 0.018505, 0.034974, 0.061613, 0.10266, 0.15435,
        0.30673, 0.48539, 0.60105, 0.74261, 0.88325, 1.0125,
    0.000331, 0.004262, 0.020013, 0.044222, 0.076956, 0.11846, 0.16693, 0.21869,
        0.36584, 0.54773, 0.67033, 0.82365, 0.97811, 1.1211,
    -8.9e-05, 0.006621, 0.034492, 0.07465, 0.12252, 0.17501, 0.22937, 0.28338,
        0.43126, 0.61835, 0.74931, 0.91765, 1.0908, 1.2532,
    4.43e-07, 1.6715e-05, 8.7077e-05, 0.00024451, 0.00075059, 0.014494, 0.15444, 0.23302,
        0.38433, 0.52884, 0.61665, 0.72042, 0.81964, 0.90713,
    1.81e-06, 6.5406e-05, 0.00033997, 0.00095185, 0.002911, 0.038533, 0.16061, 0.23786,
        0.3896, 0.53505, 0.62348, 0.728, 0.82793, 0.91605,
    1.115e-05, 0.00038067, 0.0019657, 0.0054433, 0.01624, 0.082465, 0.17894, 0.25283,
        0.40493, 0.5528, 0.64297, 0.74961, 0.85159, 0.94152,
    3.66e-05, 0.0013354, 0.0068311, 0.018416, 0.049088, 0.12437, 0.20701, 0.27701,
        0.42866, 0.57966, 0.67232, 0.78214, 0.88726, 0.97998,
    4.18e-05, 0.0040026, 0.020273, 0.050678, 0.10505, 0.17897, 0.25286, 0.31865,
        0.46884, 0.62406, 0.72062, 0.83565, 0.94605, 1.0435,
    -0.000608, 0.008556, 0.044894, 0.10005, 0.16921, 0.24244, 0.31181, 0.37436,
        0.52255, 0.68216, 0.78348, 0.90533, 1.0229, 1.127,
    -0.005014, 0.007608, 0.06168, 0.13313, 0.2088, 0.28155, 0.34833, 0.40839,
        0.55297, 0.71293, 0.81616, 0.94133, 1.0627, 1.1703,
    1.452e-06, 4.571e-05, 0.00026591, 0.0013069, 0.10451, 0.22655, 0.30569, 0.36669,
        0.49375, 0.61754, 0.69221, 0.77906, 0.86021, 0.93003,
    5.429e-06, 0.00017783, 0.0010325, 0.0050449, 0.11643, 0.23238, 0.31126, 0.37245,
        0.50019, 0.62474, 0.69986, 0.78723, 0.86885, 0.93907,
    2.542e-05, 0.0010154, 0.0058516, 0.02709, 0.14519, 0.25015, 0.32777, 0.3891,
        0.51835, 0.64487, 0.72123, 0.81002, 0.89293, 0.96422,
    3.64e-05, 0.0034359, 0.019451, 0.072225, 0.18195, 0.27764, 0.3531, 0.41415,
        0.5448, 0.67381, 0.75183, 0.84257, 0.92728, 1.0001,
    -0.0003531, 0.009478, 0.051398, 0.13343, 0.23308, 0.32057, 0.39288, 0.45297,
        0.58448, 0.71634, 0.79648, 0.88978, 0.97686, 1.0517,
    -0.00391, 0.016362, 0.091444, 0.18833, 0.28225, 0.36358, 0.43226, 0.49038,
        0.62018, 0.75238, 0.83313, 0.92721, 1.0149, 1.0902,
    -0.018587, 0.002891, 0.089709, 0.18608, 0.27256, 0.34607, 0.40795, 0.46032,
        0.57718, 0.6955, 0.76724, 0.85016, 0.92682, 0.9921,
    // clang-format on
};

/// Value at x of the monotone cubic of BasicMonotoneCubic through knots, from the values beside it alone; beyond the
/// knots the value at their end.
template <class T, class Values>
T local_monotone(const T& x, std::span<const double> knots, const Values& value) {
    const std::size_t n = knots.size();
    const double at = plain_value(x);
    if (!(at > knots.front())) return value(std::size_t{0});
    if (!(at < knots.back())) return value(n - 1);
    const auto above = std::upper_bound(knots.begin(), knots.end(), at);
    const std::size_t i = static_cast<std::size_t>(above - knots.begin()) - 1;
    const auto width = [&](std::size_t k) { return knots[k + 1] - knots[k]; };
    const T y0 = value(i), y1 = value(i + 1), h = T(width(i));
    const T secant = (y1 - y0) / h;
    const T before = i > 0 ? T((y0 - value(i - 1)) / T(width(i - 1))) : secant;
    const T after = i + 2 < n ? T((value(i + 2) - y1) / T(width(i + 1))) : secant;
    const auto between = [&](std::size_t k, const T& left, const T& right) {   // slope at knot k
        if (plain_value(left) * plain_value(right) <= 0.0) return T(0);
        const double a = 2.0 * width(k) + width(k - 1), b = width(k) + 2.0 * width(k - 1);
        return T(T(a + b) / (T(a) / left + T(b) / right));
    };
    const T d0 = i > 0 ? between(i, before, secant) : detail::end_slope(width(i), width(i + 1), secant, after);
    const T d1 = i + 2 < n ? between(i + 1, secant, after) : detail::end_slope(width(i), width(i - 1), secant, before);
    const BasicCubicSegment<T> c{y0, d0, (T(3) * secant - T(2) * d0 - d1) / h,
                                 (d0 + d1 - T(2) * secant) / (h * h)};
    return detail::cubic_value(c, T(x - T(knots[i])));
}

/// The table's axes as they are interpolated: logarithms of solidity and R, ln(1 + 5 Stk).
struct TrajectoryAxes {
    std::array<double, 4> solidity;
    std::array<double, 7> ratio;
    std::array<double, 15> stokes;

    TrajectoryAxes() {
        const auto log = [](double x) { return std::log(x); };
        std::transform(trajectory_solidities.begin(), trajectory_solidities.end(), solidity.begin(), log);
        std::transform(trajectory_ratios.begin(), trajectory_ratios.end(), ratio.begin(), log);
        std::transform(trajectory_stokes.begin(), trajectory_stokes.end(), stokes.begin(),
                       [](double x) { return std::log1p(5.0 * x); });
    }
};

template <class T>
T trajectory_gain_at(const BasicFibreGroups<T>& g) {
    using std::log;
    using std::log1p;
    static const TrajectoryAxes axes;
    const T a = log(g.solidity), r = log(g.interception_parameter), s = log1p(T(5) * g.stokes);
    return local_monotone<T>(a, axes.solidity, [&](std::size_t i) {
        return local_monotone<T>(r, axes.ratio, [&](std::size_t j) {
            return local_monotone<T>(s, axes.stokes, [&](std::size_t k) {
                return k == 0 ? T(0) : T(trajectory_gain[(i * 7 + j) * 14 + k - 1]);
            });
        });
    });
}

inline bool outside_trajectories(double a, double r, double s) {
    return a < trajectory_solidities.front() || a > trajectory_solidities.back() || r < trajectory_ratios.front() ||
           r > trajectory_ratios.back() || s > trajectory_stokes.back();
}
template <class T>
bool outside_trajectories(const BasicFibreGroups<T>& g) {
    return outside_trajectories(plain_value(g.solidity), plain_value(g.interception_parameter), plain_value(g.stokes));
}

template <class T>
T trajectory_capture(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    const T e = detail::streamline_interception(g, f) + trajectory_gain_at(g);
    const T most = T(1) + g.interception_parameter;
    if (!(plain_value(e) > 0.0)) return T(0);
    return plain_value(e) > plain_value(most) ? most : e;
}

}   // namespace detail

/// Single-fibre efficiency of interception and impaction together, by trajectories of a particle with Stokes drag.
///
/// Equation: E = E_R + F(a, R, Stk), E_R exactly streamline_interception, F the table's gain, monotone cubics in ln a,
///           ln R and ln(1 + 5 Stk); 0 <= E <= 1 + R
/// Symbols:  a solidity, R = d/d_f interception parameter, Stk = tau U/d_f Stokes number on the fibre's diameter
/// Validity: a 0.01 to 0.1, R 0.01 to 0.8, Stk 0 to 10; beyond, the gain is held at the table's end and the status
///           says so. No slip on the fibre. Uniform velocity where the particle enters the cell; with the fluid's, less:
///           by 10, 16, 23 and 32 % at Stk 0.5, 1, 2 and 10 and a solidity of 0.05, by 17, 26, 32 and 40 % at 0.1.
///           Error of interpolation: on average 0.001 of 1 + R, up to 0.02 from R of 0.05 on; for smaller R at the onset
///           of impaction (Stk 0.3 to 0.8) up to 0.06, where little is caught a factor of 3 and more
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-] and how the groups stand to the table
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source own trajectories, unpublished; test: capture/single_fibre_trajectories_test.cpp
template <class T>
BasicTrajectoryCapture<T> trajectory_capture(const BasicFibreGroups<T>& groups) {
    constexpr auto where = "trajectory_capture";
    const auto status = [](std::string_view quantity, const T& value, double least, double greatest) {
        return range_status({.quantity = quantity, .unit = "-", .value = detail::plain_value(value), .least = least,
                             .greatest = greatest});
    };
    const T e = detail::checked_term(where, groups, [](const auto& g, const auto& f) {
        return detail::trajectory_capture(g, f);
    });
    return {e, status("solidity", groups.solidity, 0.01, 0.1),
            status("interception parameter", groups.interception_parameter, 0.01, 0.8),
            status("Stokes number", groups.stokes, 0.0, 10.0)};
}
template <Deferred...>
inline TrajectoryCapture trajectory_capture(const FibreGroups& groups) { return trajectory_capture<double>(groups); }

}   // namespace filterflow
