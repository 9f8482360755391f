// SPDX-License-Identifier: BSL-1.0
#pragma once

// Joint Monte Carlo of a system's candidates over readings, system, dust and prices: each draw of all elementary inputs
// gives every candidate its operating point, life and yearly cost anew, so that what candidates share they share in
// every draw.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/study/choice_draws.hpp>
#include <filterflow/study/joint_inputs.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/system_evaluation.hpp>

namespace filterflow {

/// Told now and then how many draws are done.
using DrawsProgress = std::function<void(std::size_t)>;

/// How a study is drawn.
struct JointDrawOptions {
    std::size_t draws = 10000;   ///< >= 1
    std::uint64_t seed = 1;      ///< any number: the same seed gives the same draws
    std::size_t threads = 1;     ///< >= 1; the draws do not depend on it
    DrawsProgress progress;      ///< called by the thread that asked; may be empty
};

/// Draws in which a candidate could not be evaluated.
struct LostDraws {
    std::size_t candidate = 0;   ///< index among the study's candidates
    std::size_t draws = 0;       ///< how many, >= 1
    std::string reason;          ///< of the first of them
    bool left_out = false;       ///< more than one in twenty: the candidate takes no part, and its draws stay
};

/// Draws of a margin to a limit.
struct JointLimit {
    std::string name;              ///< "airflow", "removal of PM2.5"
    std::vector<double> margins;   ///< >= 0 where it holds [SI]; shape (candidates n)
};

/// Joint draws of the candidates of a system, raw SI numbers, that of compared candidate k in draw i at k n + i.
struct JointDraws {
    std::size_t asked = 0;                   ///< draws that were made, >= 1
    std::size_t used = 0;                    ///< n: those in which every candidate compared could be evaluated
    std::vector<std::size_t> candidates;     ///< those compared: indices among the study's, in the study's order
    std::vector<std::size_t> not_compared;   ///< without a yearly cost where others have one, or without airflow
    std::vector<LostDraws> lost;             ///< in the study's order
    std::vector<double> airflow;             ///< with clean filters; shape (candidates n)
    std::vector<double> annual_cost;         ///< at equal service; empty if no candidate has it
    std::vector<double> annual_energy;       ///< at equal service; empty without costs
    std::vector<double> change_interval;     ///< running time; empty without costs
    std::vector<double> clean_air;           ///< airflow times PM2.5 removal; empty if one of them has no removal
    std::vector<JointLimit> limits;          ///< those that the system has
    std::vector<std::string> measurements;   ///< what the inputs are known by; empty without costs
    std::vector<double> measured;   ///< how far each was off, in the unit of its effect; shape (measurements n)
    bool has_spread = true;         ///< false: an input has no standard deviation (Student's t, two or fewer
                                    ///< degrees of freedom)

    /// Draws of one of the figures, as statistics take them.
    CandidateDraws of(const std::vector<double>& figure) const { return {candidates.size(), figure}; }
};

namespace detail {

/// What one draw gives of one candidate.
struct JointFigures {
    double airflow = 0.0, external_pressure = 0.0, removal = 0.0, cost = 0.0, energy = 0.0, interval = 0.0;
};

template <Deferred...>
inline double finite_figure(const std::optional<double>& x, const char* absent) {
    if (!x) throw NoSolution(absent);
    if (!std::isfinite(*x)) throw NoSolution("a figure is not a finite number");
    return *x;
}

/// Throws Error if the drawn numbers cannot be a candidate, or lead to no figure.
template <Deferred...>
inline JointFigures joint_figures(const JointCandidate& candidate, std::span<const double> drawn) {
    const CandidateModel& model = candidate.prepared.model;
    const auto parameters = drawn.first(drawn.size() - 1);
    check(life_input<double>(model, parameters), "draw");
    const CandidateFigures<double> found = candidate_figures<double>(model, parameters);
    if (!found.clean) throw NoSolution("no operating point with clean filters");
    JointFigures figures;
    figures.airflow = finite_figure(found.clean->flow, "");
    figures.external_pressure = finite_figure(found.clean->external_pressure, "");
    figures.removal = drawn.back();
    if (!candidate.figures.annual_cost) return figures;
    figures.cost = finite_figure(found.annual_cost, "no change interval within the time that lives are followed");
    figures.energy = finite_figure(found.annual_energy, "no yearly energy");
    const auto longest = std::max_element(found.stage_intervals.begin(), found.stage_intervals.end());
    figures.interval =
        longest != found.stage_intervals.end() ? *longest : finite_figure(found.interval, "no change interval");
    return figures;
}

/// All draws of all candidates: figures, and why there are none.
struct JointTable {
    std::size_t draws = 0;
    std::vector<JointFigures> figures;       // candidate k, draw i at k n + i
    std::vector<char> is_there;              // likewise
    std::vector<std::string> first_reason;   // of each candidate
    std::vector<std::size_t> first_lost;     // the draw that it is of
    std::vector<double> measured;            // measurement j, draw i at j n + i
};

template <Deferred...>
inline JointTable joint_table(const std::vector<JointCandidate>& candidates, const InputDraws& inputs,
                              std::size_t first_measured, const JointDrawOptions& options) {
    constexpr std::size_t chunk = 128;
    const std::size_t n = options.draws, values = inputs.size();
    JointTable table{n,
                     std::vector<JointFigures>(candidates.size() * n),
                     std::vector<char>(candidates.size() * n, 0),
                     std::vector<std::string>(candidates.size()),
                     std::vector<std::size_t>(candidates.size(), n),
                     std::vector<double>((values - first_measured) * n)};
    std::vector<double> drawn;
    std::vector<std::vector<std::string>> reasons(candidates.size(), std::vector<std::string>(chunk));
    for (std::size_t begin = 0; begin < n; begin += chunk) {
        const std::size_t count = std::min(chunk, n - begin);
        drawn.resize(values * count);
        inputs.fill(begin, drawn);
        const auto evaluate = [&](std::size_t thread) {
            std::vector<double> row;
            for (std::size_t i = thread; i < count; i += options.threads) {
                for (std::size_t k = 0; k < candidates.size(); ++k) {
                    row.clear();
                    const std::size_t parameters = candidates[k].prepared.parameters.size() + 1;
                    for (std::size_t v = 0; v < parameters; ++v) {
                        row.push_back(drawn[(candidates[k].first_value + v) * count + i]);
                    }
                    try {
                        table.figures[k * n + begin + i] = joint_figures(candidates[k], row);
                        table.is_there[k * n + begin + i] = 1;
                    } catch (const Error& error) {
                        reasons[k][i] = error.what();
                    }
                }
            }
        };
        std::vector<std::exception_ptr> failures(options.threads);
        {
            std::vector<std::jthread> others;
            const auto work = [&](std::size_t thread) {
                try {
                    evaluate(thread);
                } catch (...) {
                    failures[thread] = std::current_exception();
                }
            };
            for (std::size_t t = 1; t < options.threads; ++t) others.emplace_back(work, t);
            work(0);
        }
        for (const std::exception_ptr& failure : failures) {
            if (failure) std::rethrow_exception(failure);
        }
        for (std::size_t k = 0; k < candidates.size(); ++k) {
            for (std::size_t i = 0; i < count && table.first_lost[k] == n; ++i) {
                if (table.is_there[k * n + begin + i]) continue;
                table.first_lost[k] = begin + i;
                table.first_reason[k] = reasons[k][i];
            }
        }
        for (std::size_t j = 0; first_measured + j < values; ++j) {
            std::copy_n(drawn.begin() + static_cast<std::ptrdiff_t>((first_measured + j) * count), count,
                        table.measured.begin() + static_cast<std::ptrdiff_t>(j * n + begin));
        }
        if (options.progress) options.progress(begin + count);
    }
    return table;
}

/// Which of the candidates drawn take part, in the order of the study: those whose cost is known, if any is; not those
/// that more than one draw in twenty loses.
template <Deferred...>
inline std::vector<std::size_t> compared_candidates(const StudyInput& study, const std::vector<JointCandidate>& drawn,
                                                    const JointTable& table, JointDraws& result) {
    const auto has_cost = [](const JointCandidate& c) { return c.figures.annual_cost.has_value(); };
    const bool by_cost = std::any_of(drawn.begin(), drawn.end(), has_cost);
    std::vector<std::size_t> compared;
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        const auto at = std::find_if(drawn.begin(), drawn.end(), [&](const JointCandidate& c) { return c.index == i; });
        if (at == drawn.end() || (by_cost && !has_cost(*at))) {
            result.not_compared.push_back(i);
            continue;
        }
        const std::size_t k = static_cast<std::size_t>(at - drawn.begin());
        const auto first = table.is_there.begin() + static_cast<std::ptrdiff_t>(k * table.draws);
        const std::size_t lost =
            static_cast<std::size_t>(std::count(first, first + static_cast<std::ptrdiff_t>(table.draws), 0));
        const bool left_out = 20 * lost > table.draws;
        if (lost > 0) result.lost.push_back({i, lost, table.first_reason[k], left_out});
        if (left_out) continue;
        compared.push_back(k);
        result.candidates.push_back(i);
    }
    return compared;
}

}   // namespace detail

/// Joint draws of the candidates of a system.
///
/// Equation: y_ki = f_k(p_k(x_i)): f_k operating point, life and yearly cost of candidate k, in full for each draw; p_k
///           its parameters (curves and loading laws as fitted, efficiencies, fan, ducts, dust, prices), x_i draw i of
///           the elementary inputs behind them
/// Symbols:  none
/// Validity: inputs are drawn by their shapes; the fits of the bench readings follow them to first order (they are
///           close to linear), everything behind the fits is evaluated anew. The air of the equal service is that of
///           the estimates. A draw whose numbers cannot be (a negative resistance) or that leads to no figure (fan and
///           system do not meet) is lost, and said: lost for all candidates, or, where more than one in twenty is lost
///           to one candidate, that candidate takes no part. Independent of the order of candidates and filters, of
///           the number of threads and of the draws before
/// @param  study  candidates, prices
/// @param  system  one of its systems
/// @param  filters  what the bench says of the filters, in the order of the study
/// @param  options  draws, seed, threads, progress
/// @return draws of airflow, cost, energy, interval, clean air, margins to limits, and of what was measured
/// @throws DomainError if draws or threads are zero, an input cannot be drawn, or a candidate is outside the validity
///         of the rooms at its estimates
/// @source JCGM 101:2008, 7; draws keyed by counters as threefry_words; test: study/joint_draws_test.cpp
template <Deferred...>
[[nodiscard]] inline JointDraws joint_draws(const StudyInput& study, const SystemInput& system,
                                            const std::vector<FilterResult>& filters, const JointDrawOptions& options) {
    constexpr auto where = "joint_draws";
    if (options.draws < 1) detail::throw_domain_error(where, "draws", 0.0, "", "at least 1");
    if (options.threads < 1) detail::throw_domain_error(where, "threads", 0.0, "", "at least 1");
    JointDraws result;
    result.asked = options.draws;
    SystemResult ignored;
    if (detail::lacks_fan_or_ducts(study, system, filters, ignored)) {
        for (std::size_t i = 0; i < study.candidates.size(); ++i) result.not_compared.push_back(i);
        return result;
    }
    std::vector<Uncertain<double>> values;
    const std::vector<detail::JointCandidate> drawn = detail::joint_candidates(study, system, filters, values);
    const std::size_t first_measured = values.size();
    for (detail::JointMeasurement& m : detail::joint_measurements(drawn, values)) {
        result.measurements.push_back(std::move(m.name));
        values.push_back(std::move(m.effect));
    }
    const InputDraws inputs(detail::in_order_of_use(values), options.seed);
    result.has_spread = inputs.least_degrees_of_freedom() > 2.0;
    const detail::JointTable table = detail::joint_table(drawn, inputs, first_measured, options);
    const std::vector<std::size_t> compared = detail::compared_candidates(study, drawn, table, result);
    if (compared.empty()) return result;
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < table.draws; ++i) {
        const auto is_there = [&](std::size_t k) { return table.is_there[k * table.draws + i] != 0; };
        if (std::all_of(compared.begin(), compared.end(), is_there)) kept.push_back(i);
    }
    result.used = kept.size();
    const auto collect = [&](std::vector<double>& to, const auto& value) {
        for (const std::size_t k : compared) {
            for (const std::size_t i : kept) to.push_back(value(drawn[k], table.figures[k * table.draws + i]));
        }
    };
    using Candidate = detail::JointCandidate;
    using Figures = detail::JointFigures;
    collect(result.airflow, [](const Candidate&, const Figures& f) { return f.airflow; });
    if (drawn[compared.front()].figures.annual_cost) {
        collect(result.annual_cost, [](const Candidate&, const Figures& f) { return f.cost; });
        collect(result.annual_energy, [](const Candidate&, const Figures& f) { return f.energy; });
        collect(result.change_interval, [](const Candidate&, const Figures& f) { return f.interval; });
    }
    if (std::all_of(compared.begin(), compared.end(), [&](std::size_t k) { return drawn[k].removal.has_value(); })) {
        collect(result.clean_air, [](const Candidate&, const Figures& f) { return f.airflow * f.removal; });
    }
    const auto limit = [&](const char* name, const auto& margin) {
        result.limits.push_back({name, {}});
        collect(result.limits.back().margins, margin);
    };
    constexpr double not_known = -1.0;   // what is not known is not met, as in the study
    if (system.least_airflow) {
        limit("airflow", [&](const Candidate&, const Figures& f) { return f.airflow - system.least_airflow->value(); });
    }
    if (system.greatest_external_static_pressure) {
        limit("external static pressure", [&](const Candidate&, const Figures& f) {
            return system.greatest_external_static_pressure->value() - f.external_pressure;
        });
    }
    if (system.greatest_face_velocity) {
        limit("face velocity", [&](const Candidate& c, const Figures& f) {
            const auto& face = c.prepared.least_face_area;
            return face ? system.greatest_face_velocity->value() - f.airflow / face->value() : not_known;
        });
    }
    if (system.least_pm25_removal) {
        limit("removal of PM2.5", [&](const Candidate& c, const Figures& f) {
            return c.removal ? f.removal - *system.least_pm25_removal : not_known;
        });
    }
    for (std::size_t j = 0; j < result.measurements.size(); ++j) {
        for (const std::size_t i : kept) result.measured.push_back(table.measured[j * table.draws + i]);
    }
    return result;
}

}   // namespace filterflow
