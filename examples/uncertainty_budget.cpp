// SPDX-License-Identifier: BSL-1.0
// From a reading on a bench to a corrected pressure drop and its uncertainty: the budget, first order against Monte
// Carlo, and whether first order was good enough. Twice: the flow element read with a coarse manometer, and with a fine
// one. The bench, the filter and all readings are invented (Tern Lane Arts Centre, which does not exist).
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <span>
#include <string>
#include <type_traits>

#include <filterflow/air.hpp>
#include <filterflow/numeric/budget.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/monte_carlo.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct FlowReading {
    Uncertain<Pressure> displayed;   // drop across the flow nozzle, as shown
    Uncertain<Pressure> zero;        // that nobody took down
};

/// The stage: manometer readings and air of the bench to the drop at the flow and in the air asked for.
/// dp = K mu^(2-n) rho^(n-1) Q^n, the power law with its exponent n between 1 (viscous) and 2 (inertial).
constexpr auto corrected_drop = [](const auto& x) {
    using T = std::remove_cvref_t<decltype(x[0])>;
    using std::pow;
    using std::sqrt;
    const T &with_filter = x[0], &empty = x[1], &scale = x[2], &nozzle_drop = x[3], &coefficient = x[4], &n = x[5];
    const BasicAirState<T> air = moist_air<T>({.temperature = BasicTemperature<T>::from_value(x[6]),
                                               .pressure = BasicPressure<T>::from_value(x[7]),
                                               .relative_humidity = x[8]});
    const AirState stated = duct_design_air();
    const double throat = 0.25 * 3.14159265358979 * 0.16 * 0.16;   // m2
    const T density = air.density.value(), viscosity = air.viscosity.value();
    const T flow = coefficient * T(throat) * sqrt(T(2) * nozzle_drop / density);
    const T drop = (with_filter - empty) * scale;
    return std::array{drop * pow(T(0.070) / flow, n) * pow(T(stated.viscosity.value()) / viscosity, T(2) - n) *
                          pow(T(stated.density.value()) / density, n - T(1)),
                      flow};
};

const char* words(InputShape shape) {
    switch (shape) {
        case InputShape::normal: return "normal";
        case InputShape::rectangular: return "rectangular";
        case InputShape::triangular: return "triangular";
        case InputShape::arcsine: return "arcsine";
        case InputShape::stated: return "as stated";
    }
    return "";
}

struct Evaluation {
    Uncertain<double> first_order;   // Pa
    MonteCarloResult drawn;          // Pa
};

/// What gnuplot draws: draws by the pascal, and the normal density of first order.
void print_densities(const Evaluation& e) {
    const double u = e.first_order.standard_uncertainty(), n = static_cast<double>(e.drawn.values.size());
    const double width = 0.2 * u;
    for (int i = -20; i < 25; ++i) {
        const double from = e.first_order.value + i * width, z = (i + 0.5) * 0.2;
        const auto count = std::lower_bound(e.drawn.values.begin(), e.drawn.values.end(), from + width) -
                           std::lower_bound(e.drawn.values.begin(), e.drawn.values.end(), from);
        std::printf("%7.2f %8.4f %8.4f\n", from + 0.5 * width, static_cast<double>(count) / n / width,
                    std::exp(-0.5 * z * z) / (u * 2.50662827463100));
    }
}

Evaluation evaluate(const char* title, const FlowReading& nozzle) {
    // The manometer of the filter: five readings with and five without it, one certificate for all of them.
    const std::array<Pressure, 5> with{62 * Pa, 63 * Pa, 62 * Pa, 64 * Pa, 63 * Pa};
    const std::array<Pressure, 5> without{7 * Pa, 7 * Pa, 8 * Pa, 7 * Pa, 8 * Pa};
    const Uncertain<Pressure> zero = certified(
        0 * Pa, {.correction = 0.6 * Pa, .expanded_uncertainty = 1.0 * Pa, .coverage_factor = 2}, "manometer, zero");
    // Made one after the other: the order names the random streams, and operands are evaluated in any order.
    const auto mean_with = repeated(std::span<const Pressure>(with), "scatter with filter");
    const auto mean_without = repeated(std::span<const Pressure>(without), "scatter of empty bench");
    const auto step_with = displayed(0 * Pa, 1 * Pa, "manometer, steps of 1 Pa");
    const auto step_without = displayed(0 * Pa, 1 * Pa, "manometer, steps of 1 Pa");
    const std::array inputs{
        to_si(mean_with + step_with + zero),
        to_si(mean_without + step_without + zero),
        plus_minus(1.0, 0.01, StatedMeaning::rectangular, "manometer, scale"),
        to_si(nozzle.displayed + nozzle.zero),
        plus_minus(0.975, 0.015, StatedMeaning::twice_standard, "nozzle coefficient"),
        plus_minus(1.4, 0.15, StatedMeaning::rectangular, "exponent"),
        to_si(plus_minus(from_celsius(24), 0.5 * K, StatedMeaning::rectangular, "thermometer")),
        to_si(plus_minus(99.2 * kPa, 0.2 * kPa, StatedMeaning::twice_standard, "barometer")),
        plus_minus(0.40, 0.05, StatedMeaning::rectangular, "humidity")};

    const auto [drop, flow] = propagate<9>(corrected_drop, inputs);
    std::printf("%s\n", title);
    std::printf("  flow on the bench %.3f m3/s +- %.3f (standard uncertainty)\n", flow.value,
                flow.standard_uncertainty());
    std::printf("  budget of the drop at 0.070 m3/s, 1.204 kg/m3\n");
    for (const BudgetRow<double>& row : uncertainty_budget(drop, BudgetRows::by_name).rows) {
        std::printf("    %-26s %-11s %5.2f Pa %5.1f %%\n", row.name.c_str(), words(row.shape), row.contribution,
                    100.0 * row.share);
    }
    const ExpandedUncertainty<double> expanded = expanded_uncertainty(drop);
    std::printf("  first order: %.1f Pa, standard uncertainty %.1f Pa, k = %.2f (%.0f degrees of freedom)\n",
                drop.value, drop.standard_uncertainty(), expanded.coverage_factor, expanded.degrees_of_freedom);

    const int digits = 1;
    const MonteCarloResult drawn = monte_carlo(corrected_drop, inputs, {.seed = 2026, .significant_digits = digits,
                                                                        .part_of_tolerance = 0.2})[0];
    const FirstOrderCheck check = check_first_order(drop, drawn, digits);
    std::printf("  Monte Carlo: %.1f Pa, standard uncertainty %.1f Pa, %zu draws\n", drawn.estimate,
                drawn.standard_uncertainty, drawn.values.size());
    const auto print = [](const char* what, const Interval<double>& interval) {
        std::printf("    95 %% by %-24s %5.1f to %5.1f Pa\n", what, interval.lower, interval.upper);
    };
    print("first order", check.first_order);
    print("Monte Carlo, symmetric", drawn.symmetric);
    print("Monte Carlo, shortest", drawn.shortest);
    std::printf("  ends differ by %.2f and %.2f Pa, tolerance %.2f Pa\n  %s\n\n", check.lower_difference,
                check.upper_difference, check.tolerance, std::string(description(check.status)).c_str());
    return {drop, drawn};
}

}   // namespace

int main() {
    std::printf("Invented readings: no bench and no filter stand behind them.\n\n");
    const auto flow_reading = [](Pressure shown, Pressure step, Pressure zero) {
        return FlowReading{displayed(shown, step, "nozzle drop, step"),
                           plus_minus(0 * Pa, zero, StatedMeaning::rectangular, "nozzle drop, zero")};
    };
    const Evaluation coarse = evaluate("nozzle read in steps of 1 Pa", flow_reading(6 * Pa, 1 * Pa, 1 * Pa));
    const Evaluation fine = evaluate("nozzle read in steps of 0.1 Pa", flow_reading(6.2 * Pa, 0.1 * Pa, 0.1 * Pa));

    std::printf("density of the corrected drop by both, first with the coarse, then with the fine manometer\n"
                "drop [Pa] | Monte Carlo [1/Pa] | first order [1/Pa]\n\n\n");
    print_densities(coarse);
    std::printf("\n\n");
    print_densities(fine);
    return 0;
}
