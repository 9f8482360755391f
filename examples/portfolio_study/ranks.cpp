// SPDX-License-Identifier: BSL-1.0

#include "ranks.hpp"

#include <array>
#include <cstdlib>

#include <filterflow/core/errors.hpp>

#ifdef PORTFOLIO_STUDY_MPI
#include <mpi.h>
#endif

namespace portfolio_study {

namespace {

/// Whether a launcher started this process, by what launchers leave in the environment. Without one MPI is not begun:
/// it takes a while, and a lone process does not need it.
bool launched() {
    constexpr std::array<const char*, 4> names{"OMPI_COMM_WORLD_SIZE", "PMIX_RANK", "PMI_RANK", "PMI_SIZE"};
    for (const char* name : names) {
        if (std::getenv(name) != nullptr) return true;
    }
    return false;
}

}   // namespace

#ifdef PORTFOLIO_STUDY_MPI

Ranks::Ranks() {
    if (!launched()) return;
    int provided = 0;
    if (MPI_Init_thread(nullptr, nullptr, MPI_THREAD_FUNNELED, &provided) != MPI_SUCCESS) {
        throw filterflow::Error("MPI could not be begun");
    }
    joined_ = true;
    MPI_Comm_rank(MPI_COMM_WORLD, &rank_);
    MPI_Comm_size(MPI_COMM_WORLD, &size_);
}

Ranks::~Ranks() {
    if (joined_) MPI_Finalize();
}

int Ranks::first_with(bool yes) const {
    int own = yes ? rank_ : size_, first = own;
    if (joined_) MPI_Allreduce(&own, &first, 1, MPI_INT, MPI_MIN, MPI_COMM_WORLD);
    return first;
}

#else

Ranks::Ranks() {
    if (launched()) {
        throw filterflow::Error(
            "a launcher of parallel processes started this program, but it was built without MPI\n"
            "hint: build it where MPI is found (libopenmpi-dev), or start it alone with --shard I/N");
    }
}

Ranks::~Ranks() = default;

int Ranks::first_with(bool yes) const { return yes ? rank_ : size_; }

#endif

}   // namespace portfolio_study
