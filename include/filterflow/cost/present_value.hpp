// SPDX-License-Identifier: BSL-1.0
#pragma once

// Money over years: present value of equal yearly amounts that may rise at a rate of their own.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Rates and years of a present value.
template <class T>
struct BasicDiscounting {
    T discount_rate{0.0};   ///< a year, > -1; real or nominal, as the escalation is
    T escalation{0.0};      ///< by which the yearly amount rises, a year, > -1
    double years = 0.0;     ///< > 0; amounts fall due at the end of each year
};
using Discounting = BasicDiscounting<double>;

namespace detail {

/// (1 - (1 + x)^-n) / x, exact as x -> 0.
template <class T>
T present_value_factor(const T& x, double years) {
    using std::expm1;
    using std::log1p;
    if (std::abs(plain_value(x)) < 1e-9) {
        return T(years) * (T(1.0) - T(0.5 * (years + 1.0)) * x);   // next term: x^2 n (n+1)(n+2)/6 < 1e-14 n
    }
    return -expm1(T(-years) * log1p(x)) / x;
}

}   // namespace detail

/// Present value of one unit of money paid at the end of each year, in today's prices, rising with the escalation.
///
/// Equation: UPV = (1 - (1 + x)^-n) / x, x = (1 + r)/(1 + e) - 1; n for x = 0
/// Symbols:  r discount rate, e escalation, n years
/// Validity: r, e > -1, n > 0
/// @param  discounting  rates a year and years
/// @return factor on the yearly amount [-]
/// @throws DomainError if a rate is not > -1 or the years are not > 0
/// @source engineering economics, standard annuity tables; test: cost/present_value_test.cpp
template <class T>
T uniform_present_value_factor(const BasicDiscounting<T>& discounting) {
    constexpr auto where = "uniform_present_value_factor";
    detail::require_positive(where, "1 + discount_rate", T(T(1.0) + discounting.discount_rate), "-");
    detail::require_positive(where, "1 + escalation", T(T(1.0) + discounting.escalation), "-");
    detail::require_positive(where, "years", discounting.years, "years");
    const T x = (discounting.discount_rate - discounting.escalation) / (T(1.0) + discounting.escalation);
    return detail::require_finite(where, "result", detail::present_value_factor(x, discounting.years), "-");
}
template <Deferred...>
inline double uniform_present_value_factor(const Discounting& discounting) {
    return uniform_present_value_factor<double>(discounting);
}

/// Yearly amount that repays one unit of money: the inverse of the uniform present value factor.
///
/// Equation: CRF = 1 / UPV
/// Symbols:  as uniform_present_value_factor
/// Validity: as uniform_present_value_factor
/// @param  discounting  rates a year and years
/// @return factor on the amount owed [-]
/// @throws DomainError as uniform_present_value_factor
/// @source as uniform_present_value_factor; test: cost/present_value_test.cpp
template <class T>
T capital_recovery_factor(const BasicDiscounting<T>& discounting) {
    return T(1.0) / uniform_present_value_factor(discounting);
}
template <Deferred...>
inline double capital_recovery_factor(const Discounting& discounting) {
    return capital_recovery_factor<double>(discounting);
}

/// What a year costs, in the parts that may rise at different rates.
template <class T>
struct BasicYearlyCost {
    BasicMoney<T> energy{};    ///< electricity of a year
    BasicMoney<T> filters{};   ///< filters, labour and disposal of a year
};
using YearlyCost = BasicYearlyCost<double>;

/// Discounting of energy and of everything else.
template <class T>
struct BasicCostOutlook {
    T discount_rate{0.0};            ///< a year, > -1
    T electricity_escalation{0.0};   ///< a year, > -1
    T other_escalation{0.0};         ///< of filters and labour, a year, > -1
    double years = 0.0;              ///< > 0
};
using CostOutlook = BasicCostOutlook<double>;

/// Present value of a yearly cost over years.
///
/// Equation: PV = E UPV(r, e_el, n) + F UPV(r, e_o, n)
/// Symbols:  E energy cost and F filter cost of a year at today's prices, r discount rate, e_el, e_o escalations, n
///           years
/// Validity: equal years
/// @param  yearly  cost of a year in its parts
/// @param  outlook  rates and years
/// @return present value [money]
/// @throws DomainError as uniform_present_value_factor
/// @source as uniform_present_value_factor; test: cost/present_value_test.cpp
template <class T>
BasicMoney<T> present_value(const BasicYearlyCost<T>& yearly, const BasicCostOutlook<T>& outlook) {
    constexpr auto where = "present_value";
    const T energy = detail::require_finite(where, "energy", yearly.energy.value(), "money");
    const T filters = detail::require_finite(where, "filters", yearly.filters.value(), "money");
    const BasicDiscounting<T> of_energy{outlook.discount_rate, outlook.electricity_escalation, outlook.years};
    const BasicDiscounting<T> of_filters{outlook.discount_rate, outlook.other_escalation, outlook.years};
    return BasicMoney<T>::from_value(energy * uniform_present_value_factor(of_energy) +
                                     filters * uniform_present_value_factor(of_filters));
}
template <Deferred...>
inline Money present_value(const YearlyCost& yearly, const CostOutlook& outlook) {
    return present_value<double>(yearly, outlook);
}

}   // namespace filterflow
