// SPDX-License-Identifier: BSL-1.0

#include "report_text.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include <filterflow/study/study_words.hpp>

namespace choose_filter {

namespace {

/// Digits in groups of three from five digits on, with a narrow space that does not break.
std::string grouped(std::string digits) {
    const std::size_t point = std::min(digits.find('.'), digits.size());
    if (point < 5) return digits;
    for (std::size_t at = point; at > 3;) {
        at -= 3;
        digits.insert(at, "\u202f");
    }
    return digits;
}

/// A plain decimal number as it is set: its digits in groups, a true minus, never "-0".
std::string set_number(std::string text) {
    if (text.empty() || text[0] != '-') return grouped(std::move(text));
    text = grouped(text.substr(1));
    return text.find_first_of("123456789") == std::string::npos ? text : "−" + text;
}

constexpr double greatest_plain = 1e12;   // beyond it numbers have exponents

/// Without the zeros after the last digit that says something.
std::string without_trailing_zeros(std::string text) {
    if (text.find('.') == std::string::npos || text.find('e') != std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

}   // namespace

Estimate scaled(const Estimate& estimate, double factor) {
    Estimate e{estimate.value * factor, estimate.lower * factor, estimate.upper * factor, estimate.is_share};
    if (factor < 0.0) std::swap(e.lower, e.upper);
    return e;
}

Estimate share(const Estimate& e) {
    if (!(e.lower <= 100.0 && e.upper >= 0.0)) return e;   // readings that contradict themselves are shown as they are
    return {e.value, std::max(e.lower, 0.0), std::min(e.upper, 100.0), true};
}

Estimate not_negative(const Estimate& e) {
    if (!(e.value >= 0.0)) return e;
    return {e.value, std::max(e.lower, 0.0), e.upper, e.is_share};
}

int decimals_for(double half_width) {
    if (!(half_width > 0.0) || !std::isfinite(half_width)) return 0;
    const int exponent = static_cast<int>(std::floor(std::log10(half_width)));
    const double leading = half_width / std::pow(10.0, exponent);
    return leading < 2.95 ? 1 - exponent : -exponent;
}

std::string fixed_text(double value, int decimals) {
    if (!std::isfinite(value)) return "-";
    if (decimals < 0) {
        const double step = std::pow(10.0, -decimals);
        value = std::round(value / step) * step;
        decimals = 0;
    }
    return set_number(fmt::format("{:.{}f}", value, std::min(decimals, 12)));
}

std::string significant_text(double value, int digits) {
    if (!std::isfinite(value)) return "-";
    if (value == 0.0) return "0";
    const double magnitude = std::abs(value);
    if (magnitude < 1e-4 || magnitude >= greatest_plain) return fmt::format("{:.{}e}", value, digits - 1);
    return fixed_text(value, digits - 1 - static_cast<int>(std::floor(std::log10(magnitude))));
}

namespace {

/// Decimals for an estimate and its interval: where the value is an end of it (an age that cuts a life), as many as say
/// that end.
int decimals_of_estimate(const Estimate& e) {
    if (e.is_share || (e.value != e.lower && e.value != e.upper)) return decimals_for(e.half_width());
    return filterflow::detail::decimals_of(e.value, e.lower, e.upper);
}

double rounded_to(double value, int decimals) {
    const double step = std::pow(10.0, -decimals);
    return std::round(value / step) * step;
}

/// "770 to 900"
std::string ends_text(const Estimate& e, int decimals) {
    const auto end = [&](double x) { return fixed_text(x, filterflow::detail::decimals_of_end(x, decimals)); };
    return end(e.lower) + " to " + end(e.upper);
}

/// "812 (770 to 900)". The value by the nominal inputs may lie outside an interval of draws: a little outside, both are
/// rounded until the interval printed holds it; else "812 (outside 820 to 900)".
std::string lopsided_text(const Estimate& e, int more_decimals = 0) {
    int decimals = decimals_of_estimate(e) + more_decimals;
    const bool inside = e.lower <= e.value && e.value <= e.upper;
    const auto holds = [&](int d) {
        const double value = rounded_to(e.value, d);
        return value >= rounded_to(e.lower, d) && value <= rounded_to(e.upper, d);
    };
    constexpr int coarser = 1;
    const bool rounded_inside = inside || holds(decimals) || holds(decimals - coarser);
    if (!inside && rounded_inside && !holds(decimals)) decimals -= coarser;
    return fixed_text(e.value, filterflow::detail::decimals_of_end(e.value, decimals)) +
           (rounded_inside ? " (" : " (outside ") + ends_text(e, decimals) + ")";
}

}   // namespace

std::string estimate_text(const Estimate& e) {
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value))) return without_trailing_zeros(significant_text(e.value, 4));
    const bool cut_share = e.is_share && (e.lower <= 0.0 || e.upper >= 100.0);
    const bool lopsided_share =
        e.is_share && !cut_share && std::abs((e.upper - e.value) - (e.value - e.lower)) > 0.2 * half;
    if (lopsided_share) return lopsided_text(e);
    if (!cut_share && e.is_share) {
        const int decimals = std::min(1, decimals_for(half));
        const double least = std::pow(10.0, -decimals);
        return fixed_text(e.value, decimals) + " ± " +
               fixed_text(std::max(half, decimals == 1 ? least : 0.0), decimals);
    }
    if (cut_share || std::abs((e.upper - e.value) - (e.value - e.lower)) > 1e-6 * half) {
        return e.is_share ? interval_text(e)
                          : lopsided_text(e);
    }
    if (std::abs(e.value) >= greatest_plain || half >= greatest_plain || half < 1e-6) {
        return fmt::format("{:.3e} ± {:.1e}", e.value, half);
    }
    const std::string both = filterflow::detail::rounded_with(e.value, half);
    const std::size_t mark = both.find(" +- ");
    return set_number(both.substr(0, mark)) + " ± " + set_number(both.substr(mark + 4));
}

std::string whole_text(const Estimate& e) {
    if (std::abs(e.value) >= greatest_plain) return significant_text(e.value);
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value)) || e.value == 0.0) return fixed_text(e.value, 0);
    const int least = -static_cast<int>(std::floor(std::log10(std::abs(e.value))));
    return fixed_text(e.value, std::min(0, std::max(decimals_of_estimate(e), least)));
}

std::string interval_text(const Estimate& e) {
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value))) return significant_text(e.value, 4);
    if (e.is_share) {
        const int decimals = std::min(1, decimals_for(half));
        return fixed_text(e.lower, decimals) + " to " + fixed_text(e.upper, decimals);
    }
    return ends_text(e, decimals_of_estimate(e));
}

std::string estimate_text_apart(const Estimate& e, double other) {
    const double half = e.half_width();
    const bool apart = other < e.lower || other > e.upper;
    if (!apart || e.is_share || !(half > 1e-9 * std::abs(e.value)) || half >= greatest_plain) return estimate_text(e);
    const bool lopsided = std::abs((e.upper - e.value) - (e.value - e.lower)) > 1e-6 * half;
    const int usual = decimals_of_estimate(e);
    constexpr int most = 6;
    for (int more = 0; more <= most; ++more) {
        const int decimals = usual + more;
        const double value = rounded_to(e.value, decimals), width = rounded_to(half, decimals);
        const double lower = lopsided ? rounded_to(e.lower, decimals) : value - width;
        const double upper = lopsided ? rounded_to(e.upper, decimals) : value + width;
        const double least = 1e-3 * std::pow(10.0, -decimals);   // of what is told apart at these decimals
        if (other > lower - least && other < upper + least) continue;
        if (more == 0) break;
        return lopsided ? lopsided_text(e, more) : fixed_text(value, decimals) + " ± " + fixed_text(width, decimals);
    }
    return estimate_text(e);
}

std::string exact_text(double value) { return std::isfinite(value) ? fmt::format("{}", value) : std::string(); }

}   // namespace choose_filter
