// SPDX-License-Identifier: BSL-1.0
#pragma once

// The limits within which the standards' coefficients of flow elements hold, each crossed limit in words, and
// the uncertainty that the standards give the coefficient inside them. A home-made stand may cross them: that is
// a flag, not an error.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/stand/discharge_coefficient.hpp>
#include <filterflow/stand/flag_words.hpp>

namespace filterflow {

/// How a flow element is run and installed.
struct FlowElementConditions {
    double reynolds_number = 0.0;              ///< of the pipe, of the throat for chamber nozzles, > 0
    double pressure_ratio = 1.0;               ///< absolute pressures, downstream tap over upstream tap
    std::optional<Length> straight_upstream{};   ///< straight pipe before it; none: not stated, not judged
    std::optional<Length> straight_downstream{}; ///< straight pipe behind it; none: not stated, not judged
};

namespace detail {

struct ElementLimits {
    double least_pipe = 0.0, greatest_pipe = std::numeric_limits<double>::infinity();   // m
    double least_throat = 0.0;                                                          // m
    double least_beta = 0.0, greatest_beta = 1.0;
    double least_re = 0.0, greatest_re = std::numeric_limits<double>::infinity();
    const char* source = "";
};

template <Deferred...>
inline ElementLimits element_limits(FlowElementKind kind, double pipe, double beta) {
    constexpr double none = std::numeric_limits<double>::infinity();
    switch (kind) {
        case FlowElementKind::orifice_corner_taps:
        case FlowElementKind::orifice_diameter_taps:
            return {0.050, 1.000,       0.0125, 0.10, 0.75, beta <= 0.56 ? 5000.0 : 16000.0 * beta * beta,
                    none,  "ISO 5167-2"};
        case FlowElementKind::orifice_flange_taps:
            return {0.050, 1.000, 0.0125, 0.10, 0.75, std::max(5000.0, 170.0 * beta * beta * pipe * 1000.0), none,
                    "ISO 5167-2"};
        case FlowElementKind::isa_1932_nozzle:
            return {0.050, 0.500, 0.0, 0.30, 0.80, beta < 0.44 ? 7e4 : 2e4, 1e7, "ISO 5167-3"};
        case FlowElementKind::long_radius_nozzle: return {0.050, 0.630, 0.0, 0.20, 0.80, 1e4, 1e7, "ISO 5167-3"};
        case FlowElementKind::venturi_nozzle: return {0.065, 0.500, 0.050, 0.316, 0.775, 1.5e5, 2e6, "ISO 5167-3"};
        case FlowElementKind::classical_venturi_as_cast:
            return {0.100, 0.800, 0.0, 0.30, 0.75, 2e5, 2e6, "ISO 5167-4"};
        case FlowElementKind::classical_venturi_machined:
            return {0.050, 0.250, 0.0, 0.40, 0.75, 2e5, 1e6, "ISO 5167-4"};
        case FlowElementKind::classical_venturi_welded_sheet:
            return {0.200, 1.200, 0.0, 0.40, 0.70, 2e5, 2e6, "ISO 5167-4"};
        case FlowElementKind::chamber_nozzle_long_throat:
        case FlowElementKind::chamber_nozzle_short_throat:
            return {0.0, none, 0.0, 0.0, 0.525, 12000.0, none, "ANSI/ASHRAE 51 and ISO 5801"};
        case FlowElementKind::stated_nozzle: break;
    }
    return {};
}

/// Straight pipe behind a single 90 degree bend, in pipe diameters, at a diameter ratio. From memory.
struct StraightLength {
    double beta, upstream, downstream;
};
inline constexpr std::array<StraightLength, 6> orifice_straight_lengths{
    {{0.20, 6, 4}, {0.40, 16, 6}, {0.50, 22, 6}, {0.60, 42, 7}, {0.67, 44, 7}, {0.75, 44, 8}}};
inline constexpr std::array<StraightLength, 8> nozzle_straight_lengths{{{0.20, 10, 4},
                                                                        {0.30, 10, 5},
                                                                        {0.40, 14, 6},
                                                                        {0.50, 14, 6},
                                                                        {0.60, 18, 7},
                                                                        {0.70, 28, 7},
                                                                        {0.75, 36, 8},
                                                                        {0.80, 46, 8}}};
// Venturi tubes: the downstream length is four throat diameters and is judged as such.
inline constexpr std::array<StraightLength, 5> venturi_straight_lengths{
    {{0.40, 8, 0}, {0.50, 9, 0}, {0.60, 10, 0}, {0.70, 14, 0}, {0.75, 16, 0}}};

/// Interpolated between the rows; beyond the rows the nearest one, as the crossed diameter ratio has its own flag.
template <std::size_t N>
StraightLength straight_length(const std::array<StraightLength, N>& table, double beta) {
    if (beta <= table.front().beta) return table.front();
    for (std::size_t i = 1; i < N; ++i) {
        if (beta > table[i].beta) continue;
        const double part = (beta - table[i - 1].beta) / (table[i].beta - table[i - 1].beta);
        return {beta, table[i - 1].upstream + part * (table[i].upstream - table[i - 1].upstream),
                table[i - 1].downstream + part * (table[i].downstream - table[i - 1].downstream)};
    }
    return table.back();
}

template <Deferred...>
inline StraightLength needed_straight_length(FlowElementKind kind, double beta) {
    if (is_orifice(kind)) return straight_length(orifice_straight_lengths, beta);
    if (is_classical_venturi(kind)) {
        StraightLength needed = straight_length(venturi_straight_lengths, beta);
        needed.downstream = 4.0 * beta;
        return needed;
    }
    return straight_length(nozzle_straight_lengths, beta);
}

/// "pipe diameter 40 mm is below 50 mm (ISO 5167-2)" where the limit is crossed.
template <Deferred...>
inline void flag_range(std::vector<std::string>& flags, const std::string& what, double value, double least,
                       double greatest, double unit, const std::string& unit_name, const std::string& source) {
    const std::string behind = unit_name.empty() ? "" : " " + unit_name;
    const auto says = [&](const char* crosses, double limit) {
        flags.push_back(what + " " + crossing_text(value / unit, limit / unit) + behind + crosses +
                        number_text(limit / unit) + behind + " (" + source + ")");
    };
    if (value < least) says(" is below ", least);
    if (value > greatest) says(" is above ", greatest);
}

template <Deferred...>
inline void flag_straight(std::vector<std::string>& flags, const std::string& where, double length, double pipe,
                          double needed) {
    if (length >= needed * pipe * (1.0 - 1e-9)) return;   // exactly enough is enough, whatever the rounding
    flags.push_back("straight pipe " + where + " " + crossing_text(length / pipe, needed) + " diameters is below " +
                    number_text(needed) + " (behind a single bend at this diameter ratio, from memory of ISO 5167; "
                                          "other fittings need more)");
}

}   // namespace detail

/// The limits of its standard that a flow element crosses, in words, each with the value and the limit.
///
/// Equation: none; ranges of pipe and throat diameter, diameter ratio, Reynolds number, pressure ratio (0.75) and
///           straight length of pipe
/// Symbols:  none
/// Validity: straight lengths are those behind a single bend, since the fitting upstream is not stated
/// @param  bore  kind and diameters
/// @param  conditions  Reynolds number > 0, pressure ratio > 0 and <= 1, straight lengths if stated, >= 0
/// @return crossed limits; empty if the element is inside all that could be judged
/// @throws DomainError for an impossible bore or condition
/// @source ISO 5167-2, -3 and -4:2003, ANSI/ASHRAE 51 and ISO 5801 (orifice limits as transcribed in the
///         documentation of an open-source fluid mechanics library; the others and the straight lengths from
///         memory); test: stand/flow_element_test.cpp
template <Deferred...>
inline std::vector<std::string> flow_element_flags(const FlowElementBore& bore,
                                                   const FlowElementConditions& conditions) {
    constexpr auto where = "flow_element_flags";
    const double beta = detail::checked_diameter_ratio(bore, where);
    const double re = detail::require_positive(where, "reynolds_number", conditions.reynolds_number, "-");
    detail::require_positive(where, "pressure_ratio", conditions.pressure_ratio, "-");
    const double pipe = bore.pipe_diameter ? bore.pipe_diameter->value() : 0.0;
    const detail::ElementLimits limits = detail::element_limits(bore.kind, pipe, beta);
    std::vector<std::string> flags;
    if (bore.pipe_diameter) {
        detail::flag_range(flags, "pipe diameter", pipe, limits.least_pipe, limits.greatest_pipe, 1e-3, "mm",
                           limits.source);
        detail::flag_range(flags, "diameter ratio", beta, limits.least_beta, limits.greatest_beta, 1.0, "",
                           limits.source);
    }
    detail::flag_range(flags, "throat diameter", bore.throat_diameter.value(), limits.least_throat,
                       std::numeric_limits<double>::infinity(), 1e-3, "mm", limits.source);
    detail::flag_range(flags, detail::needs_pipe(bore.kind) ? "pipe Reynolds number" : "throat Reynolds number", re,
                       limits.least_re, limits.greatest_re, 1.0, "", limits.source);
    detail::flag_range(flags, "pressure ratio", conditions.pressure_ratio, 0.75, 1.0, 1.0, "",
                       "ISO 5167-1 to -3, expansibility");
    const auto check_length = [&](const std::optional<Length>& length, const char* name) {
        if (length) detail::require_non_negative(where, name, length->value(), "m");
        return length && bore.pipe_diameter && detail::needs_pipe(bore.kind);
    };
    if (check_length(conditions.straight_upstream, "straight_upstream")) {
        detail::flag_straight(flags, "upstream", conditions.straight_upstream->value(), pipe,
                              detail::needed_straight_length(bore.kind, beta).upstream);
    }
    if (check_length(conditions.straight_downstream, "straight_downstream")) {
        detail::flag_straight(flags, "downstream", conditions.straight_downstream->value(), pipe,
                              detail::needed_straight_length(bore.kind, beta).downstream);
    }
    return flags;
}

/// Standard uncertainty of the standard's discharge coefficient, relative: half of the expanded one.
///
/// Equation: orifice U = 0.7 - beta (below 0.2), 0.5 (to 0.6), 1.667 beta - 0.5 (above) per cent, plus
///           0.9 (0.75 - beta)(2.8 - D/25.4 mm) for D < 71.12 mm, plus 0.5 for beta > 0.5 and Re < 10000;
///           ISA 1932 nozzle 0.8 (to 0.6), 2 beta - 0.4; long-radius nozzle 2.0; Venturi nozzle 1.2 + 1.5 beta^4;
///           classical Venturi 0.7 as cast, 1.0 machined, 1.5 welded sheet; chamber nozzle 1.2; u = U/2
/// Symbols:  U expanded uncertainty [%], u standard uncertainty, beta diameter ratio, D pipe diameter
/// Validity: inside the standard's limits; outside them, or with a damaged edge, the standard says nothing, the
///           value of the nearest diameter ratio is returned and flow_element_flags tells
/// @param  bore  kind with a law, and diameters
/// @param  reynolds_number  as discharge_coefficient, > 0
/// @return relative standard uncertainty [-]
/// @throws DomainError for an impossible bore or Reynolds number, or a stated nozzle
/// @source ISO 5167-2, -3 and -4:2003, ANSI/ASHRAE 51, all from memory; test: stand/flow_element_test.cpp
template <Deferred...>
inline double relative_coefficient_uncertainty(const FlowElementBore& bore, double reynolds_number) {
    constexpr auto where = "relative_coefficient_uncertainty";
    const double ratio = detail::checked_diameter_ratio(bore, where);
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    const double pipe = bore.pipe_diameter ? bore.pipe_diameter->value() : 0.0;
    const detail::ElementLimits limits = detail::element_limits(bore.kind, pipe, ratio);
    const double beta = std::min(std::max(ratio, limits.least_beta), limits.greatest_beta);
    double percent = 0.0;   // expanded
    switch (bore.kind) {
        case FlowElementKind::orifice_corner_taps:
        case FlowElementKind::orifice_diameter_taps:
        case FlowElementKind::orifice_flange_taps:
            percent = beta < 0.2 ? 0.7 - beta : beta <= 0.6 ? 0.5 : 1.667 * beta - 0.5;
            if (pipe < 0.07112) percent += 0.9 * (0.75 - beta) * (2.8 - pipe / 0.0254);
            if (beta > 0.5 && reynolds_number < 10000.0) percent += 0.5;
            break;
        case FlowElementKind::isa_1932_nozzle: percent = beta <= 0.6 ? 0.8 : 2.0 * beta - 0.4; break;
        case FlowElementKind::long_radius_nozzle: percent = 2.0; break;
        case FlowElementKind::venturi_nozzle: percent = 1.2 + 1.5 * beta * beta * beta * beta; break;
        case FlowElementKind::classical_venturi_as_cast: percent = 0.7; break;
        case FlowElementKind::classical_venturi_machined: percent = 1.0; break;
        case FlowElementKind::classical_venturi_welded_sheet: percent = 1.5; break;
        case FlowElementKind::chamber_nozzle_long_throat:
        case FlowElementKind::chamber_nozzle_short_throat: percent = 1.2; break;
        case FlowElementKind::stated_nozzle:
            throw DomainError(std::string(where) + ": a stated nozzle has the uncertainty that its user states; "
                                                   "required: a kind with a law");
    }
    return 0.5 * percent / 100.0;
}

}   // namespace filterflow
