// SPDX-License-Identifier: BSL-1.0
// The demo study: invented, so nothing here checks physics. It is checked to tell what it was made to tell.

#include "support/catch.hpp"
#include "support/sweep.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <vector>

#include <unistd.h>

#include <filterflow/numeric/coverage.hpp>

#include "program.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using namespace filterflow;
using Catch::Matchers::StartsWith;
namespace fs = std::filesystem;

namespace {

const std::string folder = std::string(FILTERFLOW_TEST_DIR) + "/../examples/tern_lane";

const StudyInput& demo_study() {
    static const StudyInput study = read_study(folder + "/study.toml");
    return study;
}
const StudyResult& demo_result() {
    static const StudyResult result = study_result(demo_study());
    return result;
}

template <class Entries>
std::size_t index_of(const Entries& entries, const std::string& name) {
    for (std::size_t i = 0; i < entries.size(); ++i) {
        if (entries[i].name == name) return i;
    }
    throw std::logic_error("nothing is named " + name);
}

// Highest clean reading as the manometer showed it: the stand's fan at full, each filter at another flow.
double as_read(const FilterResult& filter) {
    double greatest = 0.0;
    for (const CorrectedReading& r : filter.readings) greatest = std::max(greatest, r.raw_pressure.value());
    return greatest;
}

std::string text_of(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

}   // namespace

TEST_CASE("the demo study says that it is invented and recommends in both systems, differently", "[own]") {
    CHECK_THAT(demo_study().note, StartsWith("Invented"));
    CHECK(demo_study().filters.size() == 6);
    CHECK(demo_study().candidates.size() == 7);
    CHECK(demo_result().missing.empty());
    REQUIRE(demo_result().systems.size() == 2);
    std::vector<std::string> recommended;
    for (const SystemResult& system : demo_result().systems) {
        REQUIRE(system.recommended.has_value());
        CHECK_FALSE(system.conditional);
        recommended.push_back(system.candidates[*system.recommended].name);
        for (const CandidateResult& candidate : system.candidates) {
            INFO(system.name << ", " << candidate.name);
            CHECK(candidate.pm25_removal.has_value());
            // The fine pleat starves the belt-driven fan from the start: no interval, no cost.
            const bool starved = &system == &demo_result().systems[0] && candidate.name == "2-inch pleat, fine media";
            CHECK(candidate.annual_cost.has_value() == !starved);
            CHECK(candidate.change_interval.has_value() == !starved);
        }
    }
    CHECK(recommended[0] != recommended[1]);
}

TEST_CASE("the two air handlers get different filters for a reason, not by a tie or a hair", "[own]") {
    // The belt-driven fan does not move the least airflow through the fine pleat; the drive does, and its power costs
    // less than the glass pack. So it stays at another coverage, with prices 5 % and limits some per cent up or down.
    const std::string fine = "2-inch pleat, fine media", glass = "4-inch close-pleated glass pack";
    const auto holds = [&](const char* what, const auto& change) {
        INFO(what);
        StudyInput study = demo_study();
        // The others fail the least removal all the same; without them a run takes a third of the time.
        std::erase_if(study.candidates, [&](const CandidateInput& c) {
            return c.name != fine && c.name != glass && c.name != study.systems[0].present_candidate;
        });
        change(study);
        const StudyResult result = study_result(study);
        const SystemResult &belt = result.systems.at(0), &drive = result.systems.at(1);
        REQUIRE(belt.recommended.has_value());
        REQUIRE(drive.recommended.has_value());
        CHECK(belt.candidates[*belt.recommended].name == glass);
        CHECK(drive.candidates[*drive.recommended].name == fine);
        CHECK_FALSE(belt.conditional);
        CHECK_FALSE(drive.conditional);
        const auto& failed = belt.candidates[index_of(belt.candidates, fine)].failed_limits;
        REQUIRE(failed.size() == 1);
        CHECK_THAT(failed.front(), StartsWith("airflow with clean filters "));
        REQUIRE(drive.runner_up.has_value());
        CHECK(drive.candidates[drive.runner_up->candidate].name == glass);
        CHECK(drive.runner_up->interval.lower.value() > 0.0);   // told apart, no tie broken
    };
    const auto filter = [&](StudyInput& study, const std::string& name) -> FilterInput& {
        return study.filters[index_of(study.filters, name)];
    };
    holds("as it is", [](StudyInput&) {});
    if (filterflow::test::sweep_length(10) < 10) return;   // under sanitizers a run takes half a minute
    holds("coverage 99 %", [](StudyInput& study) { study.coverage_probability = 0.99; });
    holds("glass pack 5 % cheaper", [&](StudyInput& study) { filter(study, glass).price->value *= 0.95; });
    holds("fine pleat 5 % dearer", [&](StudyInput& study) { filter(study, fine).price->value *= 1.05; });
    holds("electricity 5 % dearer", [](StudyInput& study) { study.prices.electricity->value *= 1.05; });
    holds("electricity 5 % cheaper", [](StudyInput& study) { study.prices.electricity->value *= 0.95; });
    for (const double factor : {0.97, 1.03}) {
        holds("limits 3 % off", [&](StudyInput& study) {
            for (SystemInput& system : study.systems) {
                *system.least_airflow *= factor;
                *system.least_pm25_removal *= factor;
                *system.greatest_face_velocity *= factor;
            }
        });
    }
}

TEST_CASE("the fine pleat looks better as read than it is", "[own]") {
    const auto& filters = demo_result().filters;
    const FilterResult& fine = filters[index_of(filters, "2-inch pleat, fine media")];
    const FilterResult& deep = filters[index_of(filters, "4-inch pleat")];
    const std::size_t common = 1;   // 400 fpm
    const double read = as_read(fine) / as_read(deep);
    const double corrected =
        fine.pressure_at_velocities.at(common)->value / deep.pressure_at_velocities.at(common)->value;
    // As read little more than twice the lightest filter; at one flow nearly four times.
    CHECK(read < 2.4);
    CHECK(corrected > 3.7);
    // No other filter gains as much from the stand's slowing fan.
    for (const FilterResult& filter : filters) {
        if (filter.name == fine.name) continue;
        const double other =
            (filter.pressure_at_velocities.at(common)->value / deep.pressure_at_velocities.at(common)->value) /
            (as_read(filter) / as_read(deep));
        CHECK(other < corrected / read);
    }
    // The order stands: on one falling fan curve it can only change where element curves cross
    // (stand/pressure_only.hpp).
    for (const FilterResult& a : filters) {
        for (const FilterResult& b : filters) {
            if (!(as_read(a) < as_read(b))) continue;
            CHECK(a.pressure_at_velocities.at(common)->value < b.pressure_at_velocities.at(common)->value);
        }
    }
}

TEST_CASE("the fine pleat is cheap to buy and dear to run", "[own]") {
    const StudyInput& study = demo_study();
    const std::string fine = "2-inch pleat, fine media";
    // The cheapest of the pleats and packs (only the flat pad costs less) ...
    for (const FilterInput& filter : study.filters) {
        if (filter.name == fine || filter.name == "flat polyester pad") continue;
        CHECK(filter.price->value > study.filters[index_of(study.filters, fine)].price->value);
    }
    // ... needs, where the speed drive holds the airflow, more fan energy than any other,
    const auto& held = demo_result().systems.at(1).candidates;
    const CandidateResult& cheap = held[index_of(held, fine)];
    for (const CandidateResult& other : held) {
        if (other.name != fine) CHECK(other.annual_energy->value < cheap.annual_energy->value);
    }
    // and costs more a year than two filters dearer to buy, beyond doubt.
    for (const char* name : {"2-inch pleat, charged media", "4-inch pleat"}) {
        const Uncertain<Money> more = *cheap.annual_cost - *held[index_of(held, name)].annual_cost;
        CHECK(coverage_interval(more, study.coverage_probability).lower.value() > 0.0);
    }
}

TEST_CASE("the script writes the readings that are stored", "[own]") {
    if (std::system("python3 --version > /dev/null 2>&1") != 0) {
        WARN("no python3: make_readings.py not run");
        return;
    }
    const fs::path copy = fs::temp_directory_path() / ("filterflow_demo_" + std::to_string(::getpid()));
    fs::remove_all(copy);
    const std::string command = "python3 '" + folder + "/make_readings.py' '" + copy.string() + "' > /dev/null";
    REQUIRE(std::system(command.c_str()) == 0);
    std::size_t files = 0;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder + "/readings")) {
        INFO(entry.path());
        CHECK(text_of(entry.path()) == text_of(copy / entry.path().filename()));
        ++files;
    }
    CHECK(files == static_cast<std::size_t>(std::distance(fs::directory_iterator(copy), fs::directory_iterator())));
    CHECK(files == 27);
    fs::remove_all(copy);
}
