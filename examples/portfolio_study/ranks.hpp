// SPDX-License-Identifier: BSL-1.0
#pragma once

// The processes that share a portfolio when an MPI launcher started them, each with its rank; one process otherwise.
// Nothing but "has anyone failed?" is said between them: results go through the shared directory.

namespace portfolio_study {

/// One for the life of the program.
class Ranks {
public:
    /// Joins the others, if a launcher started this process. Throws filterflow::Error if it did and this program was
    /// built without MPI: every process would do all of the work.
    Ranks();
    ~Ranks();
    Ranks(const Ranks&) = delete;
    Ranks& operator=(const Ranks&) = delete;

    int rank() const { return rank_; }   ///< of this process, from 0
    int size() const { return size_; }   ///< number of processes

    /// Waits for all and returns the first rank that calls with true, or their number if none does.
    int first_with(bool yes) const;

private:
    int rank_ = 0, size_ = 1;
    [[maybe_unused]] bool joined_ = false;   // to MPI, where the build has it
};

}   // namespace portfolio_study
