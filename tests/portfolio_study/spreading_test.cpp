// SPDX-License-Identifier: BSL-1.0
// Who computes which block leaves no trace: threads, shards, merging in any order, and a run that was killed.

#include "support/catch.hpp"

#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <thread>
#include <unordered_map>
#include <vector>

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "choose_filter/file_source.hpp"
#include "portfolio_study/block_work.hpp"
#include "portfolio_study/candidate_table.hpp"
#include "portfolio_study/portfolio_runs.hpp"

using namespace portfolio_test;
namespace fs = std::filesystem;

namespace {

/// Whole blocks in a directory of results, and the inode of each: a file that is written anew has another.
std::map<std::string, ino_t> written_blocks(const std::string& directory) {
    std::map<std::string, ino_t> found;
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(directory + "/blocks", ignored)) {
        struct stat status {};
        if (entry.path().extension() == ".csv" && ::stat(entry.path().c_str(), &status) == 0) {
            found[entry.path().filename().string()] = status.st_ino;
        }
    }
    return found;
}

std::size_t leftover_files(const std::string& directory) {
    std::size_t count = 0;
    for (const auto& entry : fs::recursive_directory_iterator(directory)) count += entry.path().extension() == ".part";
    return count;
}

}   // namespace

TEST_CASE("threads and shards give the same bytes as one thread", "[own]") {
    const TestDirectory place;
    const std::vector<std::string> draws{"--draws", "4", "--seed", "7"};
    const auto with_draws = [&](std::vector<std::string> more) {
        more.insert(more.end(), draws.begin(), draws.end());
        return more;
    };
    const Ran one = run_scenario("14", place / "one", with_draws({"--threads", "1"}));
    REQUIRE(one.status == 0);
    CHECK(one.err.empty());   // no progress line in a pipe
    const std::string expected = text_of(place / "one/results.csv");
    REQUIRE(std::count(expected.begin(), expected.end(), '\n') == 1 + 14 * 6);

    const Ran two = run_scenario("14", place / "two", with_draws({"--threads", "2"}));
    REQUIRE(two.status == 0);
    CHECK(text_of(place / "two/results.csv") == expected);
    CHECK(with(two.out, place / "two", place / "one") == one.out);   // the summary, too

    for (const char* shard : {"1/3", "2/3", "3/3"}) {
        const Ran part = run_scenario("14", place / std::string("shard ") + shard[0], with_draws({"--shard", shard}));
        REQUIRE(part.status == 0);
        CHECK_FALSE(fs::exists(place / std::string("shard ") + shard[0] + "/results.csv"));
    }
    const std::vector<std::vector<std::string>> orders{{"1", "2", "3"}, {"3", "1", "2"}, {"2", "3", "1"}};
    for (const auto& order : orders) {
        std::vector<std::string> arguments{"--out", place / "merged", "--merge"};
        for (const std::string& shard : order) arguments.push_back(place / "shard " + shard);
        const Ran merged = run(arguments);
        REQUIRE(merged.status == 0);
        CHECK(text_of(place / "merged/results.csv") == expected);
        CHECK(with(merged.out, place / "merged", place / "one") == one.out);
        fs::remove_all(place / "merged");
    }

    // A shard that is named twice counts once.
    const Ran twice = run({"--out", place / "merged", "--merge", place / "shard 1", place / "shard 2",
                           place / "shard 3", place / "shard 1", place / "one"});
    REQUIRE(twice.status == 0);
    CHECK(text_of(place / "merged/results.csv") == expected);
    fs::remove_all(place / "merged");

    // One that is missing is told.
    const Ran lacking = run({"--out", place / "merged", "--merge", place / "shard 1", place / "shard 3"});
    CHECK(lacking.status == 1);
    CHECK_THAT(lacking.err, Contains("2 of 5 blocks are missing: 2, 5"));
    CHECK_FALSE(fs::exists(place / "merged"));

    // Shards of different draws do not mix.
    const Ran other = run_scenario("14", place / "shard 2", {"--shard", "2/3"});
    CHECK(other.status == 1);
    CHECK_THAT(other.err, Contains("this directory holds results of another study"));
    fs::remove_all(place / "shard 2");
    REQUIRE(run_scenario("14", place / "shard 2", {"--shard", "2/3"}).status == 0);
    const Ran mixed =
        run({"--out", place / "merged", "--merge", place / "shard 1", place / "shard 2", place / "shard 3"});
    CHECK(mixed.status == 1);
    CHECK_THAT(mixed.err, Contains("belongs to another study"));
    CHECK_FALSE(fs::exists(place / "merged"));
}

TEST_CASE("another seed gives other draws of the same estimates", "[own]") {
    const TestDirectory place;
    const auto table = [&](const std::string& seed, const std::string& out) {
        REQUIRE(run({systems_path, "--candidates", candidates_path, "--draws", "16", "--seed", seed, "--out", out})
                    .status == 0);
        return text_of(out + "/results.csv");
    };
    const std::string a = table("1", place / "a"), b = table("5", place / "b");
    CHECK(a != b);
    std::istringstream rows_a(a), rows_b(b);
    for (std::string row_a, row_b; std::getline(rows_a, row_a) && std::getline(rows_b, row_b);) {
        CHECK(row_a.substr(0, row_a.rfind(',')) == row_b.substr(0, row_b.rfind(',')));
    }
}

TEST_CASE("a killed run goes on where it stood", "[own]") {
    const TestDirectory place;
    const std::string systems = "60", out = place / "killed";
    const std::vector<std::string> options{"--threads", "2", "--draws", "4"};
    REQUIRE(run_scenario(systems, place / "whole", options).status == 0);
    const std::string expected = text_of(place / "whole/results.csv");

    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) ::_exit(run_scenario(systems, out, options).status);
    while (written_blocks(out).size() < 3 && ::waitpid(child, nullptr, WNOHANG) == 0) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    REQUIRE(::kill(child, SIGKILL) == 0);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    REQUIRE(WIFSIGNALED(status));   // it was killed at work, not after it
    CHECK(WTERMSIG(status) == SIGKILL);
    const auto before = written_blocks(out);
    REQUIRE(before.size() >= 3);
    REQUIRE(before.size() < 20);
    CHECK_FALSE(fs::exists(out + "/results.csv"));

    // What a kill in the middle of writing leaves behind is not counted and goes.
    write_text(out + "/blocks/block_00000020.csv.elsewhere.123.part", "half a bl");
    // A block that was damaged on the disk is computed again.
    const std::string damaged = out + "/blocks/" + before.begin()->first;
    write_text(damaged, text_of(damaged).substr(0, 700));

    REQUIRE(run_scenario(systems, out, options).status == 0);
    CHECK(text_of(out + "/results.csv") == expected);
    CHECK(leftover_files(out) == 0);
    const auto after = written_blocks(out);
    CHECK(after.size() == 20);
    for (const auto& [name, inode] : before) {
        if (name != before.begin()->first) CHECK(after.at(name) == inode);   // kept, not computed again
    }
}

TEST_CASE("a damaged block is not merged", "[own]") {
    const TestDirectory place;
    REQUIRE(run_scenario("6", place / "a").status == 0);
    const std::string path = place / "a/blocks/block_00000002.csv";
    const std::string whole = text_of(path);
    const std::size_t digit = whole.find("served");
    for (const std::string& text :
         {with(whole, "served", "no interval"), whole.substr(0, whole.size() - 1), whole + "\n", whole.substr(0, digit),
          std::string(), with(whole, "block 2 of 2", "block 3 of 2")}) {
        write_text(path, text);
        const Ran merged = run({"--merge", place / "a", "--out", place / "b"});
        CHECK(merged.status == 1);
        CHECK_THAT(merged.err, Contains("damaged"));
        CHECK_FALSE(fs::exists(place / "b/results.csv"));
    }
}

TEST_CASE("a changed row is computed again, the others are kept", "[own]") {
    const TestDirectory place;
    fs::create_directories(place / "readings");
    for (const char* fan : {"fan_belt.csv", "fan_drive.csv"}) {
        fs::copy_file(std::string("examples/tern_lane/readings/") + fan, place / "readings/" + fan);
    }
    const std::string systems = text_of(systems_path), table = place / "systems.csv";
    const auto run_table = [&](const std::string& out) {
        return run({table, "--candidates", candidates_path, "--out", out, "--block", "2"});
    };
    write_text(table, systems);
    REQUIRE(run_table(place / "a").status == 0);
    const auto before = written_blocks(place / "a");
    write_text(table, with(systems, "hillside studio,readings/fan_belt.csv,fixed speed,1.1",
                           "hillside studio,readings/fan_belt.csv,fixed speed,1.2"));
    REQUIRE(run_table(place / "a").status == 0);
    REQUIRE(run_table(place / "b").status == 0);
    CHECK(text_of(place / "a/results.csv") == text_of(place / "b/results.csv"));
    const auto after = written_blocks(place / "a");
    CHECK(after.at("block_00000001.csv") == before.at("block_00000001.csv"));
    CHECK(after.at("block_00000002.csv") == before.at("block_00000002.csv"));
    CHECK(after.at("block_00000003.csv") != before.at("block_00000003.csv"));
    // So is one whose fan table changed.
    write_text(place / "readings/fan_drive.csv", with(text_of(place / "readings/fan_drive.csv"), "0.6,240", "0.6,250"));
    REQUIRE(run_table(place / "a").status == 0);
    const auto last = written_blocks(place / "a");
    CHECK(last.at("block_00000001.csv") != after.at("block_00000001.csv"));
    CHECK(last.at("block_00000002.csv") == after.at("block_00000002.csv"));   // its fans are of the other table
    CHECK(last.at("block_00000003.csv") != after.at("block_00000003.csv"));
}

TEST_CASE("a table that changes while it is read gives no results", "[own]") {
    using namespace portfolio_study;
    const TestDirectory place;
    fs::create_directories(place / "readings");
    for (const char* fan : {"fan_belt.csv", "fan_drive.csv"}) {
        fs::copy_file(std::string("examples/tern_lane/readings/") + fan, place / "readings/" + fan);
    }
    const std::string systems = text_of(systems_path), table = place / "systems.csv";
    write_text(table, systems);
    const choose_filter::DiskFiles files;
    const std::string candidate_text = text_of(candidates_path);
    const auto candidates =
        read_candidates(choose_filter::CsvTable(candidates_path, candidate_text, candidate_header()));
    const FileRows rows(table, 2);
    const SystemReader reader(rows.directory(), candidates, files);
    const BlockWork work(rows, reader, candidates, candidate_text, {});
    REQUIRE(rows.block_count() == 3);
    std::unordered_map<std::string, std::size_t> names;
    for (std::size_t block = 0; block < 3; ++block) work.checked(block, names);

    const std::string expected = work.results(0, [] {});
    const std::string before = "hillside studio,readings/fan_belt.csv,fixed speed,1.1";
    // Of the same length, in the last block: while the first one is being computed.
    const std::string edited = with(systems, before, "hillside studio,readings/fan_belt.csv,fixed speed,1.2");
    CHECK(work.results(0, [&] { write_text(table, edited); }) == expected);
    CHECK(work.results(1, [] {}) != expected);
    CHECK_THROWS_WITH(work.results(2, [] {}), Contains(table + ":8: the table changed"));
    CHECK_THROWS_WITH(work.checked(2, names), Contains("the table changed"));   // between finding and checking it
    // Longer, shorter and empty: all rows stand elsewhere, and no other error hides that.
    for (const std::string& text :
         {with(systems, "\n", "\n\n"), systems.substr(0, systems.size() / 3), std::string()}) {
        write_text(table, text);
        CHECK_THROWS_WITH(work.results(2, [] {}), Contains("the table changed"));
    }
    write_text(table, systems);
    CHECK_FALSE(work.results(2, [] {}).empty());
}
