// SPDX-License-Identifier: BSL-1.0
#pragma once

// An interval of plain numbers or quantities; what makes one from an uncertain value is in coverage.hpp.

namespace filterflow {

/// An interval of plain numbers or quantities.
template <class Q>
struct Interval {
    Q lower{};   ///< lower end
    Q upper{};   ///< upper end
    /// Whether the interval contains a value, ends included.
    bool contains(const Q& x) const { return lower <= x && x <= upper; }
};

}   // namespace filterflow
