// SPDX-License-Identifier: BSL-1.0
#pragma once

// The one policy with which the library calls Boost.Math: its errors come back as values that our own checks
// turn into our own errors, and nothing is promoted to long double.

#include <boost/math/policies/policy.hpp>

namespace filterflow::detail {

using MathPolicy = boost::math::policies::policy<
    boost::math::policies::domain_error<boost::math::policies::ignore_error>,
    boost::math::policies::pole_error<boost::math::policies::ignore_error>,
    boost::math::policies::overflow_error<boost::math::policies::ignore_error>,
    boost::math::policies::evaluation_error<boost::math::policies::ignore_error>,
    boost::math::policies::promote_float<false>, boost::math::policies::promote_double<false>>;

}   // namespace filterflow::detail
