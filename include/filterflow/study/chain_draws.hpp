// SPDX-License-Identifier: BSL-1.0
#pragma once

// A whole comparison drawn many thousand times: readings through the fit, four loaded operating points, efficiency
// averages, change interval, yearly energy and cost at equal service. In loops over 64 draws that compilers turn into
// vector code (-O3 -march=x86-64-v3); a draw is the same whichever others are made, in which order, by how many
// threads.

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <set>
#include <span>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/numeric/uncertain_value.hpp>
#include <filterflow/study/chain_input.hpp>
#include <filterflow/study/chain_lanes.hpp>
#include <filterflow/study/chain_loads.hpp>

namespace filterflow {

/// What became of a candidate in a draw.
enum class ChainStatus : unsigned char {
    solved,              ///< all figures are there
    no_resistance,       ///< the readings drawn show no resistance in the direction of the flow
    no_capture,          ///< the mass efficiency drawn, clean or in the end, is not above 0 and at most 1
    no_operating_point   ///< at one of the loads fan and system do not meet in the fan's table
};

/// Draws of a chain, candidate by candidate: that of candidate k in draw i is at k n + i. Flows, interval, energy and
/// cost are zero where the status is not solved.
struct ChainDraws {
    std::size_t candidates = 0;                      ///< >= 1
    std::size_t draws = 0;                           ///< n, >= 1
    std::vector<ChainStatus> status{};               ///< shape (candidates n), as all others
    std::vector<VolumeFlow> clean_flow{};            ///< airflow with the clean filter
    std::vector<VolumeFlow> end_flow{};              ///< airflow before the change
    std::vector<Time> interval{};                    ///< running time between two changes
    std::vector<Energy> annual_energy{};             ///< of the fan for the annual volume
    std::vector<Money> annual_cost{};                ///< energy and changes for the annual volume
    std::array<std::vector<double>, 3> averages{};   ///< E1, E2, E3 [-]; as estimates they may leave 0 to 1
    std::vector<double> epm25{};                     ///< efficiency for PM2.5, as delivered [-]; likewise
};

/// A chain ready to be drawn. Made by chain_model; safe to share between threads.
class ChainModel {
public:
    std::size_t candidates() const { return filters_.size(); }   ///< in the order of the input

private:
    template <Deferred...>
    friend ChainModel chain_model(const ChainInput& input);
    template <Deferred...>
    friend void fill_chain_draws(const ChainModel& model, std::uint64_t first_draw, std::size_t count,
                                 ChainDraws& draws);
    template <Deferred...>
    ChainModel(FanCurve fan, detail::ChainAir air) : fan_(std::move(fan)), air_(std::move(air)) {}

    FanCurve fan_;
    detail::ChainAir air_;
    ChainUncertainties uncertainties_;
    std::vector<detail::ChainFilter> filters_;
    std::uint64_t seed_ = 1;
};

/// Prepares a chain: checks it, solves the normal equations of each candidate's fit once.
///
/// Equation: fit dp = r Q + s Q^2 weighted by 1/u^2, r, s >= 0; loaded dp = F(W) r Q + s Q^2 at four masses W of dust;
///           V = M/c sum b/E, t = M/c sum b/(E Q), H = M/c sum b P/(E Q); a year: V_a H/V, V_a (K + p H)/V
/// Symbols:  dp drop, Q flow, u standard uncertainty of a reading, F resistance_factor at the equivalence times W,
///           M dust at the change, c dust concentration, E mass efficiency, P fan power, b weights of Gauss and
///           Lobatto from clean to end of life, V, t, H air, time and fan energy between two changes, V_a annual
///           volume, K cost of a change, p price of electricity
/// Validity: one filter a candidate, without a gap around it, changed at a mass of dust; a fan at fixed speed; the
///           integral is exact to the fifth power of the dust: within 1 % of filter_life where the resistance grows up
///           to tenfold
/// @param  input  system, candidates, uncertainties, seed
/// @return the chain
/// @throws DomainError if a part is out of its range (named with its candidate), two streams are equal, the fan has no
///         power, or the ducts are not constant, linear and quadratic
/// @source as fit_element, loaded_curve, operating_flow and service_cost; test: study/chain_draws_test.cpp
template <Deferred...>
inline ChainModel chain_model(const ChainInput& input) {
    constexpr auto where = "chain_model";
    if (input.candidates.empty()) detail::throw_domain_error(where, "number of candidates", 0.0, "-", "at least 1");
    detail::check(input.uncertainties, where);
    ChainModel model(input.system.fan, detail::chain_air(input.system, detail::checked_ducts(input.system, where)));
    model.uncertainties_ = input.uncertainties;
    model.seed_ = input.seed;
    std::set<std::uint64_t> streams;
    for (const ChainCandidate& candidate : input.candidates) {
        std::string name(where);   // a sum of texts makes g++ 12 warn of an array bound that is none
        name.append(": candidate \"").append(candidate.name).append("\"");
        detail::check(candidate, name);
        if (!streams.insert(candidate.stream).second) {
            detail::throw_domain_error(name, "stream", static_cast<double>(candidate.stream), "-",
                                       "another for each candidate");
        }
        model.filters_.push_back(detail::chain_filter(candidate, input.system.air, input.system.dust.equivalence));
    }
    return model;
}

namespace detail {

/// What of a block goes where.
struct ChainPart {
    std::size_t lane, count;   // in the block
    std::size_t place;         // in the columns
};

template <Deferred...>
inline void put_chain(const ChainFilter& f, const ChainAir& air, const SharedRows& shared, const ChainRows& rows,
                      const ChainPart& part, ChainDraws& out) {
    ChainYear year;
    year_rows(f, air, shared, rows, year);
    const auto put = [&part](const ChainRow& row, auto& column) {
        using Q = typename std::remove_cvref_t<decltype(column)>::value_type;
        for (std::size_t i = 0; i < part.count; ++i) column[part.place + i] = from_si<Q>(row[part.lane + i]);
    };
    put(year.clean_flow, out.clean_flow);
    put(year.end_flow, out.end_flow);
    put(year.interval, out.interval);
    put(year.energy, out.annual_energy);
    put(year.cost, out.annual_cost);
    for (std::size_t g = 0; g < 3; ++g) put(rows.averages[g], out.averages[g]);
    put(rows.averages[3], out.epm25);
    for (std::size_t i = 0; i < part.count; ++i) {
        const std::size_t j = part.lane + i;
        out.status[part.place + i] = year.solved[j] > 0.0                          ? ChainStatus::solved
                                     : !(rows.linear[j] + rows.quadratic[j] > 0.0) ? ChainStatus::no_resistance
                                     : !(rows.stops_dust[j] > 0.0)                 ? ChainStatus::no_capture
                                                                                   : ChainStatus::no_operating_point;
    }
}

}   // namespace detail

/// Draws of a chain into columns, whose storage is used again.
///
/// Equation: as chain_model; a normal factor is 1 + u z, one known within a factor g^z, a reading dp + u z
/// Symbols:  z standard normal number of its stream; u relative standard uncertainty, g geometric standard deviation
/// Validity: as chain_model. Any part of the draws, in any order, on any thread: the same bit for bit
/// @param  model  of chain_model
/// @param  first_draw  number of the first draw, from 0
/// @param  count  number of draws, > 0; some thousand at a time keep the columns in the cache
/// @param  draws  what is filled
/// @return nothing
/// @throws DomainError if the count is zero or the draws' numbers do not fit 64 bits
/// @source as chain_model; test: study/chain_draws_test.cpp
template <Deferred...>
inline void fill_chain_draws(const ChainModel& model, std::uint64_t first_draw, std::size_t count, ChainDraws& draws) {
    constexpr auto where = "fill_chain_draws";
    detail::require_positive(where, "count", static_cast<double>(count), "-");
    detail::require_draws(where, first_draw, count + detail::chain_lanes);
    const std::size_t size = model.candidates() * count;
    draws.candidates = model.candidates();
    draws.draws = count;
    draws.status.resize(size);
    for (auto* column : {&draws.clean_flow, &draws.end_flow}) column->resize(size);
    draws.interval.resize(size);
    draws.annual_energy.resize(size);
    draws.annual_cost.resize(size);
    for (auto& column : draws.averages) column.resize(size);
    draws.epm25.resize(size);
    std::vector<detail::NumberLanes> normals;
    const auto shared = std::make_unique<detail::SharedRows>();
    const auto rows = std::make_unique<detail::ChainRows>();
    // Blocks begin at multiples of their length, so that a draw always stands in the same block.
    const std::uint64_t end = first_draw + count;
    for (std::uint64_t block = first_draw - first_draw % detail::chain_lanes; block < end;
         block += detail::chain_lanes) {
        const std::uint64_t first = std::max(block, first_draw), last = std::min(block + detail::chain_lanes, end);
        detail::shared_rows(model.uncertainties_, model.seed_, block, *shared);
        for (std::size_t k = 0; k < model.filters_.size(); ++k) {
            const detail::ChainFilter& f = model.filters_[k];
            detail::run_chain(f, model.air_, model.fan_, *shared, model.seed_, block, normals, *rows);
            detail::put_chain(f, model.air_, *shared, *rows,
                              {static_cast<std::size_t>(first - block), static_cast<std::size_t>(last - first),
                               k * count + static_cast<std::size_t>(first - first_draw)},
                              draws);
        }
    }
}

/// Draws of a chain.
///
/// Equation: as fill_chain_draws
/// Symbols:  as fill_chain_draws
/// Validity: as fill_chain_draws; 9 columns of 8 bytes a draw and candidate
/// @param  model  of chain_model
/// @param  first_draw  number of the first draw, from 0
/// @param  count  number of draws, > 0
/// @return status, flows, interval, energy, cost and efficiencies of each draw
/// @throws DomainError as fill_chain_draws
/// @source as chain_model; test: study/chain_draws_test.cpp
template <Deferred...>
[[nodiscard]] inline ChainDraws chain_draws(const ChainModel& model, std::uint64_t first_draw, std::size_t count) {
    ChainDraws draws;
    fill_chain_draws(model, first_draw, count, draws);
    return draws;
}

}   // namespace filterflow
