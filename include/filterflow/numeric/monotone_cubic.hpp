// SPDX-License-Identifier: BSL-1.0
#pragma once

// A curve through points that never overshoots them: piecewise cubic with the slopes of Fritsch and Butland. It
// is monotone wherever the data are, has a continuous slope, and is stored as one cubic per segment.

#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// One segment: c0 + c1 t + c2 t^2 + c3 t^3 with t counted from the segment's lower knot.
template <class T>
struct BasicCubicSegment {
    T c0{};   ///< value at the lower knot
    T c1{};   ///< slope at the lower knot
    T c2{};   ///< half the second derivative there
    T c3{};   ///< a sixth of the third derivative
};
using CubicSegment = BasicCubicSegment<double>;

namespace detail {

template <class T, class U>
auto cubic_value(const BasicCubicSegment<T>& c, const U& t) {
    return c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3));
}
template <class T, class U>
auto cubic_slope(const BasicCubicSegment<T>& c, const U& t) {
    return c.c1 + t * (T(2) * c.c2 + t * (T(3) * c.c3));
}

/// Slope at an end, one-sided three-point formula kept monotone (Fritsch and Butland's end rule, as in PCHIM).
template <class T>
T end_slope(double near_width, double far_width, const T& near_secant, const T& far_secant) {
    const T slope = (T(2.0 * near_width + far_width) * near_secant - T(near_width) * far_secant) /
                    T(near_width + far_width);
    const double s = plain_value(slope);
    const double first = plain_value(near_secant);
    const double second = plain_value(far_secant);
    if (s * first <= 0.0) return T(0);
    if (first * second <= 0.0 && std::abs(s) > 3.0 * std::abs(first)) return T(3) * near_secant;
    return slope;
}

template <class T>
std::vector<T> monotone_slopes(std::span<const double> x, std::span<const T> y) {
    const std::size_t n = x.size();
    std::vector<double> width(n - 1);
    std::vector<T> secant(n - 1);
    for (std::size_t i = 0; i + 1 < n; ++i) {
        width[i] = x[i + 1] - x[i];
        secant[i] = (y[i + 1] - y[i]) / T(width[i]);
    }
    if (n == 2) return {secant[0], secant[0]};
    std::vector<T> slope(n, T(0));
    slope[0] = end_slope(width[0], width[1], secant[0], secant[1]);
    slope[n - 1] = end_slope(width[n - 2], width[n - 3], secant[n - 2], secant[n - 3]);
    for (std::size_t i = 1; i + 1 < n; ++i) {
        if (plain_value(secant[i - 1]) * plain_value(secant[i]) <= 0.0) continue;   // a turning point stays one
        const double before = 2.0 * width[i] + width[i - 1];
        const double after = width[i] + 2.0 * width[i - 1];
        slope[i] = T(before + after) / (T(before) / secant[i - 1] + T(after) / secant[i]);
    }
    return slope;
}

}   // namespace detail

/// Monotone piecewise cubic through points with strictly increasing arguments. There is no extrapolation:
/// whoever evaluates it asks `contains` first, or gets a DomainError.
template <class T>
class BasicMonotoneCubic {
public:
    BasicMonotoneCubic() = default;

    /// Curve through the points.
    ///
    /// Equation: interior slopes d_i = (w1 + w2)/(w1/s_{i-1} + w2/s_i), zero where the secants s change sign;
    ///           w1 = 2 h_i + h_{i-1}, w2 = h_i + 2 h_{i-1}; three-point slopes at the ends
    /// Symbols:  x knots, y values, h widths, s secants, d slopes
    /// Validity: at least two knots; with two it is the straight line
    /// @param  knots  arguments, strictly increasing and finite; shape (n), n >= 2
    /// @param  values  values at the knots, finite; shape (n)
    /// @return the curve
    /// @throws DomainError if there are fewer than two knots, the shapes differ, or the knots do not increase
    /// @source Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5:300; test: numeric/monotone_cubic_test.cpp
    BasicMonotoneCubic(std::vector<double> knots, std::vector<T> values)
        : knots_(std::move(knots)), values_(std::move(values)) {
        constexpr auto where = "MonotoneCubic";
        const std::size_t n = knots_.size();
        if (n < 2) detail::throw_domain_error(where, "number of knots", static_cast<double>(n), "", "at least 2");
        if (values_.size() != n) {
            detail::throw_domain_error(where, "number of values", static_cast<double>(values_.size()), "",
                                       "the number of knots, " + std::to_string(n));
        }
        for (std::size_t i = 0; i < n; ++i) {
            detail::require_finite(where, "knot " + std::to_string(i + 1), knots_[i], "");
            detail::require_finite(where, "value " + std::to_string(i + 1), values_[i], "");
            if (i > 0 && !(knots_[i] > knots_[i - 1])) {
                detail::throw_domain_error(where, "knot " + std::to_string(i + 1), knots_[i], "",
                                           "> the knot before, " + detail::number_text(knots_[i - 1]));
            }
        }
        const std::vector<T> slope = detail::monotone_slopes<T>(knots_, values_);
        segments_.reserve(n - 1);
        for (std::size_t i = 0; i + 1 < n; ++i) {
            const T h(knots_[i + 1] - knots_[i]);
            const T secant = (values_[i + 1] - values_[i]) / h;
            segments_.push_back({values_[i], slope[i], (T(3) * secant - T(2) * slope[i] - slope[i + 1]) / h,
                                 (slope[i] + slope[i + 1] - T(2) * secant) / (h * h)});
        }
    }

    /// Curve of pieces that are known already, as a sum of such curves is.
    ///
    /// Equation: y = c0 + c1 t + c2 t^2 + c3 t^3, t = x - x_i, between knots i and i + 1
    /// Symbols:  c coefficients of a segment, x_i its lower knot
    /// Validity: pieces that meet; that none turns between its knots is for the caller to see to
    /// @param  knots  arguments, strictly increasing and finite; shape (n), n >= 2
    /// @param  segments  pieces, coefficients finite; shape (n - 1)
    /// @return the curve; its values are the pieces' at the knots
    /// @throws DomainError if the shapes differ, the knots do not increase, or two pieces do not meet within 1e-9 of the
    ///         greatest value
    /// @source definition; test: numeric/monotone_cubic_test.cpp
    static BasicMonotoneCubic of_segments(std::vector<double> knots, std::vector<BasicCubicSegment<T>> segments) {
        constexpr auto where = "MonotoneCubic::of_segments";
        const std::size_t n = knots.size();
        if (n < 2) detail::throw_domain_error(where, "number of knots", static_cast<double>(n), "", "at least 2");
        if (segments.size() + 1 != n) {
            detail::throw_domain_error(where, "number of segments", static_cast<double>(segments.size()), "",
                                       "one less than knots, " + std::to_string(n - 1));
        }
        BasicMonotoneCubic curve;
        double greatest = 0.0, gap = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            detail::require_finite(where, "knot " + std::to_string(i + 1), knots[i], "");
            if (i > 0 && !(knots[i] > knots[i - 1])) {
                detail::throw_domain_error(where, "knot " + std::to_string(i + 1), knots[i], "",
                                           "> the knot before, " + detail::number_text(knots[i - 1]));
            }
            const T before = i > 0 ? detail::cubic_value(segments[i - 1], T(knots[i] - knots[i - 1])) : segments[0].c0;
            const T value = i + 1 < n ? segments[i].c0 : before;
            for (const T& v : {before, value}) {
                detail::require_finite(where, "value at knot " + std::to_string(i + 1), v, "");
            }
            greatest = std::fmax(greatest, std::abs(detail::plain_value(value)));
            gap = std::fmax(gap, std::abs(detail::plain_value(T(value - before))));
            curve.values_.push_back(value);
        }
        if (!(gap <= 1e-9 * greatest)) {
            detail::throw_domain_error(where, "gap between pieces", gap, "", "at most 1e-9 of the greatest value");
        }
        curve.knots_ = std::move(knots);
        curve.segments_ = std::move(segments);
        return curve;
    }

    bool empty() const { return knots_.empty(); }
    std::span<const double> knots() const { return knots_; }
    std::span<const T> values() const { return values_; }
    std::span<const BasicCubicSegment<T>> segments() const { return segments_; }
    double lowest() const { return knots_.front(); }    ///< first knot
    double highest() const { return knots_.back(); }    ///< last knot
    bool contains(double x) const { return !empty() && x >= lowest() && x <= highest(); }

    /// Index of the segment that holds x; the last segment holds the last knot. Requires contains(x).
    std::size_t segment_of(double x) const {
        std::size_t low = 0;
        std::size_t high = segments_.size();
        while (high - low > 1) {
            const std::size_t middle = (low + high) / 2;
            (knots_[middle] <= x ? low : high) = middle;
        }
        return low;
    }

    /// Value of the curve at x, a double or a dual number.
    ///
    /// Equation: y = c0 + c1 t + c2 t^2 + c3 t^3, t = x - x_i
    /// Symbols:  c coefficients of the segment, x_i its lower knot
    /// Validity: first knot <= x <= last knot
    /// @param  x  argument
    /// @return value there
    /// @throws DomainError if x lies outside the knots
    /// @source as the constructor; test: numeric/monotone_cubic_test.cpp
    template <class U>
    auto value(const U& x) const {
        const std::size_t i = checked_segment("MonotoneCubic::value", detail::plain_value(x));
        return detail::cubic_value(segments_[i], x - U(knots_[i]));
    }

    /// Slope of the curve at x, a double or a dual number.
    ///
    /// Equation: dy/dx = c1 + 2 c2 t + 3 c3 t^2
    /// Symbols:  as value
    /// Validity: as value
    /// @param  x  argument
    /// @return slope there
    /// @throws DomainError if x lies outside the knots
    /// @source as the constructor; test: numeric/monotone_cubic_test.cpp
    template <class U>
    auto slope(const U& x) const {
        const std::size_t i = checked_segment("MonotoneCubic::slope", detail::plain_value(x));
        return detail::cubic_slope(segments_[i], x - U(knots_[i]));
    }

    /// Whether the values strictly rise (+1), strictly fall (-1) or neither (0).
    int direction() const {
        bool rises = true;
        bool falls = true;
        for (std::size_t i = 1; i < values_.size(); ++i) {
            rises = rises && values_[i] > values_[i - 1];
            falls = falls && values_[i] < values_[i - 1];
        }
        if (values_.size() < 2 || rises == falls) return 0;
        return rises ? 1 : -1;
    }

    /// The argument at which a strictly monotone curve has a value.
    ///
    /// Equation: x with y(x) = value; solved in double, then one Newton step in U
    /// Symbols:  as value
    /// Validity: strictly monotone values; the value between the first and the last
    /// @param  value  wanted value, a double or a dual number
    /// @return argument
    /// @throws DomainError if the data are not strictly monotone or the value lies outside them
    /// @source Newton's method guarded by bisection; test: numeric/monotone_cubic_test.cpp
    template <class U>
    auto argument_at(const U& value) const {
        using R = decltype(std::declval<T>() * std::declval<U>());
        constexpr auto where = "MonotoneCubic::argument_at";
        const int way = direction();
        if (way == 0) {
            detail::throw_domain_error(where, "number of values", static_cast<double>(values_.size()), "",
                                       "values that strictly rise or strictly fall");
        }
        const double y = detail::plain_value(value);
        const double first = detail::plain_value(values_.front());
        const double last = detail::plain_value(values_.back());
        detail::require_between(where, "value", y, way > 0 ? first : last, way > 0 ? last : first, "");
        std::size_t i = 0;
        while (i + 1 < segments_.size() && way * (y - detail::plain_value(values_[i + 1])) > 0.0) ++i;
        const CubicSegment c{detail::plain_value(segments_[i].c0) - y, detail::plain_value(segments_[i].c1),
                             detail::plain_value(segments_[i].c2), detail::plain_value(segments_[i].c3)};
        const double h = knots_[i + 1] - knots_[i];
        const double d0 = c.c0;
        const double d1 = detail::plain_value(values_[i + 1]) - y;
        double t = 0.0;
        if (d1 == 0.0) {
            t = h;
        } else if (d0 != 0.0) {
            t = detail::bracketed_root(
                    [&](double at) { return std::pair(detail::cubic_value(c, at), detail::cubic_slope(c, at)); },
                    0.0, h, d0, d1, h * d0 / (d0 - d1), 0.0)
                    .location;
        }
        const double x = knots_[i] + t;
        const double slope = detail::cubic_slope(c, t);
        if (!(way * slope > 0.0)) return R(x);   // a point of zero slope: the argument has no derivative there
        return R(x) + (R(value) - R(detail::cubic_value(segments_[i], T(t)))) / R(slope);
    }

private:
    std::size_t checked_segment(const char* where, double x) const {
        if (empty()) detail::throw_domain_error(where, "number of knots", 0.0, "", "at least 2");
        detail::require_between(where, "argument", x, lowest(), highest(), "");
        return segment_of(x);
    }

    std::vector<double> knots_;
    std::vector<T> values_;
    std::vector<BasicCubicSegment<T>> segments_;
};
using MonotoneCubic = BasicMonotoneCubic<double>;

}   // namespace filterflow
