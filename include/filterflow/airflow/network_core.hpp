// SPDX-License-Identifier: BSL-1.0
#pragma once

// The looped core of a network's linear system, as Eigen's sparse LDLT factorisation has it.

#include <algorithm>
#include <cstddef>
#include <memory>
#include <vector>

#include <Eigen/SparseCholesky>

#include <filterflow/airflow/network_topology.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// The core's matrix, upper half with the diagonal last in each column, its rows in the order of their elimination.
class SparseCore {
public:
    SparseCore() = default;
    SparseCore(SparseCore&&) = default;
    SparseCore& operator=(SparseCore&&) = default;
    SparseCore(const SparseCore& other) : matrix_(other.matrix_), diagonal_(other.diagonal_) {
        if (other.solver_) analyse_matrix();   // Eigen's solvers are not copied
    }
    SparseCore& operator=(const SparseCore& other) { return *this = SparseCore(other); }
    ~SparseCore() = default;

    template <Deferred...>
    void analyse(UpperPattern pattern) {
        const auto n = static_cast<Eigen::Index>(pattern.outer.size()) - 1;
        matrix_.resize(n, n);
        matrix_.resizeNonZeros(static_cast<Eigen::Index>(pattern.inner.size()));
        std::copy(pattern.outer.begin(), pattern.outer.end(), matrix_.outerIndexPtr());
        std::copy(pattern.inner.begin(), pattern.inner.end(), matrix_.innerIndexPtr());
        std::fill(matrix_.valuePtr(), matrix_.valuePtr() + pattern.inner.size(), 0.0);
        diagonal_.assign(static_cast<std::size_t>(n), 0.0);
        analyse_matrix();
    }

    template <Deferred...>
    void clear() {
        std::fill(matrix_.valuePtr(), matrix_.valuePtr() + matrix_.nonZeros(), 0.0);
        std::fill(diagonal_.begin(), diagonal_.end(), 0.0);
    }
    template <Deferred...>
    void add(std::size_t entry, std::size_t a, std::size_t b, double conductance) {
        matrix_.valuePtr()[entry] -= conductance;
        diagonal_[a] += conductance;
        diagonal_[b] += conductance;
    }
    template <Deferred...>
    bool factorise(const std::vector<double>& excess, std::size_t& negative) {
        for (std::size_t j = 0; j < diagonal_.size(); ++j) {
            matrix_.valuePtr()[matrix_.outerIndexPtr()[j + 1] - 1] = diagonal_[j] + excess[j];
        }
        solver_->factorize(matrix_);
        if (solver_->info() != Eigen::Success) return false;
        const Eigen::VectorXd pivots = solver_->vectorD();
        for (const double d : pivots) negative += d < 0.0;
        return true;
    }
    template <Deferred...>
    void solve(std::vector<double>& load) const {
        Eigen::Map<Eigen::VectorXd> b(load.data(), static_cast<Eigen::Index>(diagonal_.size()));
        b = solver_->solve(b).eval();
    }

private:
    using Solver = Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Upper, Eigen::NaturalOrdering<int>>;

    template <Deferred...>
    void analyse_matrix() {
        solver_ = std::make_unique<Solver>();
        solver_->analyzePattern(matrix_);
    }

    Eigen::SparseMatrix<double> matrix_;
    std::vector<double> diagonal_;
    std::unique_ptr<Solver> solver_;
};

}   // namespace filterflow::detail
