// SPDX-License-Identifier: BSL-1.0
#include <filterflow/study/run_study.hpp>

#include "study/study_bench.hpp"

namespace filterflow::test {

StudyResult evaluated(const StudyInput& study) { return run_study(study); }

}   // namespace filterflow::test
