// SPDX-License-Identifier: BSL-1.0
// A study whose filters and candidates stand in another order says the same of each.
#include "support/catch.hpp"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;

TEST_CASE("permuting the candidates of a study permutes its results", "[own]") {
    StudyInput study = known_study();
    for (const KnownFilter& f : std::vector<KnownFilter>{{.name = "middle", .linear = 60.0, .price = 18.0},
                                                         {.name = "third", .linear = 52.0, .price = 15.0}}) {
        study.filters.push_back(filter_readings(f));
        study.candidates.push_back({f.name, {{f.name, 180.0 * Pa, {}}}, {}});
    }
    const SystemResult plain = evaluated(study).systems.at(0);
    REQUIRE(plain.candidates.size() == 4);
    const std::vector<std::size_t> order{3, 1, 0, 2};
    StudyInput other = study;
    for (std::size_t k = 0; k < 4; ++k) {
        other.filters[k] = study.filters[order[k]];
        other.candidates[k] = study.candidates[order[k]];
    }
    const SystemResult moved = evaluated(other).systems.at(0);
    const auto of = [](const SystemResult& system, const std::string& name) {
        return *std::find_if(system.candidates.begin(), system.candidates.end(),
                             [&](const CandidateResult& c) { return c.name == name; });
    };
    const auto names = [](const std::vector<std::string>& list) {
        return std::set<std::string>(list.begin(), list.end());
    };
    for (const CandidateInput& input : study.candidates) {
        INFO(input.name);
        const CandidateResult a = of(plain, input.name), b = of(moved, input.name);
        REQUIRE(a.annual_cost.has_value());
        REQUIRE(b.annual_cost.has_value());
        CHECK(b.annual_cost->value.value() == Approx(a.annual_cost->value.value()).epsilon(1e-12));
        CHECK(b.annual_cost->standard_uncertainty().value() ==
              Approx(a.annual_cost->standard_uncertainty().value()).epsilon(1e-9));
        CHECK(b.change_interval->value.value() == Approx(a.change_interval->value.value()).epsilon(1e-12));
        CHECK(b.rank == a.rank);
        CHECK(b.failed_limits == a.failed_limits);
        CHECK(names(b.tied_with) == names(a.tied_with));
    }
    CHECK(moved.recommendation == plain.recommendation);
}
