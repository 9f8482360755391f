// SPDX-License-Identifier: BSL-1.0
#pragma once

// The budget of an uncertain value: which input matters, and how much.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

/// Which rows a budget has.
enum class BudgetRows {
    by_input,   ///< one for each elementary input
    by_name     ///< inputs of one name together: forty readings of one display are one row
};

/// What one input, or those of one name, bring into an uncertain value.
template <class Q>
struct BudgetRow {
    std::string name;
    std::size_t inputs = 1;                 ///< elementary inputs in this row
    InputShape shape = InputShape::normal;  ///< of the first of them
    double standard_uncertainty = 0.0;      ///< of the input [its SI unit]; of the first of them where there are several
    double sensitivity = 0.0;               ///< derivative of the value to the input [SI]; of the first, likewise
    double degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< of the contribution, > 0
    Q contribution{};                       ///< |sensitivity| times standard uncertainty; in quadrature of several
    double share = 0.0;                     ///< of the combined variance, 0 to 1
};

/// A value with its combined uncertainty and where that is from.
template <class Q>
struct UncertaintyBudget {
    Q value{};
    Q standard_uncertainty{};   ///< combined
    double effective_degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< Welch-Satterthwaite, > 0
    std::vector<BudgetRow<Q>> rows;   ///< greatest contribution first, equal ones by order of creation
};

/// Budget of an uncertain value: its inputs' contributions, the greatest first.
///
/// Equation: u_i(y) = |dy/dx_i| u(x_i); share = u_i^2/u_c^2; u_c^2 = sum u_i^2
/// Symbols:  x_i inputs, u standard uncertainties, u_c combined
/// Validity: first order; inputs are independent, so that shares add up to one. Those of a correlated block are its
///           independent parts
/// @param  x  uncertain value
/// @param  rows  one row an input, or one a name
/// @return value, combined standard uncertainty, effective degrees of freedom, rows
/// @throws nothing
/// @source JCGM 100:2008 (GUM), 5.1.3 and table H.1; test: numeric/budget_test.cpp
template <class Q>
UncertaintyBudget<Q> uncertainty_budget(const Uncertain<Q>& x, BudgetRows rows = BudgetRows::by_input) {
    struct Sum {
        BudgetRow<Q> row;
        Gradient gradient;
    };
    std::vector<Sum> sums;
    std::unordered_map<std::string, std::size_t> places;
    for (const Gradient::Term& term : x.gradient.terms()) {
        if (rows == BudgetRows::by_name) {
            const auto [at, is_new] = places.try_emplace(term.input->name, sums.size());
            if (!is_new) {
                ++sums[at->second].row.inputs;
                sums[at->second].gradient.add(Gradient(term.input), term.derivative);
                continue;
            }
        }
        BudgetRow<Q> row;
        row.name = term.input->name;
        row.shape = term.input->shape;
        row.standard_uncertainty = term.input->standard_uncertainty;
        row.sensitivity = term.derivative;
        sums.push_back({std::move(row), Gradient(term.input, term.derivative)});
    }
    UncertaintyBudget<Q> budget;
    budget.value = x.value;
    budget.standard_uncertainty = x.standard_uncertainty();
    budget.effective_degrees_of_freedom = x.gradient.effective_degrees_of_freedom();
    const double total = x.gradient.variance();
    for (Sum& sum : sums) {
        const double variance = sum.gradient.variance();
        sum.row.degrees_of_freedom = sum.gradient.effective_degrees_of_freedom();
        sum.row.contribution = detail::from_si<Q>(std::sqrt(variance));
        sum.row.share = total > 0.0 ? variance / total : 0.0;
        budget.rows.push_back(std::move(sum.row));
    }
    std::stable_sort(budget.rows.begin(), budget.rows.end(),
                     [](const BudgetRow<Q>& a, const BudgetRow<Q>& b) { return a.share > b.share; });
    return budget;
}

}   // namespace filterflow
