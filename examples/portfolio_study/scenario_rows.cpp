// SPDX-License-Identifier: BSL-1.0

// The invented portfolio. Ranges are what one meets in small and middling air handlers (common practice); how often
// what occurs is made up.

#include <array>
#include <cmath>
#include <iterator>
#include <span>
#include <utility>

#include <fmt/format.h>

#include <filterflow/numeric/random_streams.hpp>

#include "choose_filter/report_text.hpp"
#include "row_source.hpp"
#include "system_table.hpp"

namespace portfolio_study {

namespace {

constexpr std::size_t numbers_of_a_system = 20;

std::array<double, numbers_of_a_system> uniforms(std::uint64_t seed, std::uint64_t system) {
    std::array<double, numbers_of_a_system> u{};
    for (std::size_t k = 0; k < u.size(); k += 4) {
        const auto one = [&](std::size_t i) { return std::span<double>(&u[k + i], 1); };
        filterflow::fill_uniforms({seed, system, k}, 0, {one(0), one(1), one(2), one(3)});
    }
    return u;
}

template <class Values>
const auto& one_of(const Values& values, double u) {
    return values[static_cast<std::size_t>(u * static_cast<double>(std::size(values)))];
}

std::string row_of(std::uint64_t seed, std::size_t number, const std::vector<std::string>& candidates) {
    const auto u = uniforms(seed, number);
    const auto between = [&](std::size_t k, double lowest, double highest) {
        return lowest + (highest - lowest) * u[k];
    };
    const auto factors_between = [&](std::size_t k, double lowest, double highest) {   // evenly in the logarithm
        return lowest * std::pow(highest / lowest, u[k]);
    };
    constexpr std::array<int, 8> sizes{1, 1, 2, 2, 3, 4, 6, 8};
    constexpr std::array<const char*, 6> removals{"", "", "", "10", "30", "50"};
    const int filters = one_of(sizes, u[0]);
    const bool holds = u[1] < 0.3;
    // A wheel of equal tip speed that serves so many filters as the bench's air handler does one.
    const double size = std::sqrt(static_cast<double>(filters)), speed = between(2, 0.95, 1.15) / size;
    const double flow = filters * between(3, 2100.0, 2750.0);
    const bool coil = u[6] < 0.6;
    std::string row = fmt::format("building {:05} unit {},{},{}", number / 4 + 1, number % 4 + 1,
                                  holds ? "readings/fan_drive.csv" : "readings/fan_belt.csv",
                                  holds ? "holds airflow" : "fixed speed");
    row += fmt::format(",{:.4f},{:.4f},4,{:.0f},{:.0f},{:.2f}", speed, size, flow, between(4, 140.0, 280.0),
                       between(5, 1.85, 2.0));
    row += coil ? fmt::format(",{:.0f},1.70", between(7, 35.0, 90.0)) : std::string(",,");
    row +=
        fmt::format(",8,{},{},{:.0f},{:.1f},30,{:.2f},50", filters, choose_filter::csv_text(one_of(candidates, u[8])),
                    between(9, 1800.0, 8760.0), factors_between(10, 12.0, 60.0), between(11, 1.0, 2.5));
    row += fmt::format(",{:.1f},{:.0f},{:.3f},10,{:.1f},1.0", between(12, 12.0, 30.0), between(13, 0.0, 900.0),
                       between(14, 0.18, 0.34), between(15, 6.0, 20.0));
    row += fmt::format(",{:.0f},2.54,{}\n", between(16, 0.75, 0.9) * flow, one_of(removals, u[17]));
    return row;
}

}   // namespace

ScenarioRows::ScenarioRows(std::size_t count, std::uint64_t seed, std::size_t block, std::string directory,
                           std::vector<std::string> candidates)
    : RowSource(choose_filter::CsvTable("scenario", system_header() + "\n"), block),
      count_(count),
      seed_(seed),
      directory_(std::move(directory)),
      candidates_(std::move(candidates)) {}

RowBlock ScenarioRows::rows(std::size_t block) const {
    RowBlock rows{{}, first_of(block) + 2};   // behind the header
    const std::size_t end = std::min(first_of(block) + block_length(), count_);
    for (std::size_t k = first_of(block); k < end; ++k) rows.text += row_of(seed_, k, candidates_);
    return rows;
}

}   // namespace portfolio_study
