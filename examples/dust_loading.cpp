// SPDX-License-Identifier: BSL-1.0
// A loading test: dust fed and passed, pressure at each step with the flow it was read at. The law that fits, what the
// readings reach, and how much dust the filter holds at a final resistance. Then growth laws side by side, and how the
// efficiency of a charged medium goes under load. All readings and media are invented.
// Loading dust is respirable and partly quartz, and organic dusts burn: gram quantities of mineral dust, exhaust
// through a filter, respirator.
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/loading.hpp>
#include <filterflow/numeric/coverage.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Row {
    double fed, passed, flow, drop;   // g, g, m3/s, Pa
};
const std::vector<Row> rows{{0, 0, 0.902, 62.9},     {40, 9, 0.899, 73.6},    {80, 17, 0.893, 87.4},
                            {120, 24, 0.886, 103.2}, {170, 32, 0.873, 127.6}, {220, 39.5, 0.861, 154.9},
                            {270, 46, 0.846, 179.0}, {320, 52, 0.832, 203.0}};

LoadingFit fit_first(std::size_t count, const ElementFit& clean, const AirState& air) {
    LoadingFitInput input;
    input.clean = clean;
    input.area = 2.4 * m2;
    input.reference = ReferenceArea::media;
    for (std::size_t i = 0; i < count; ++i) {
        const Row& row = rows[i];
        LoadingTestReading reading;
        reading.dust_fed = Mass(row.fed * g);
        reading.dust_passed = Uncertain<Mass>(row.passed * g);
        reading.flow = uncertain(row.flow * m3_per_s, 0.003 * row.flow * m3_per_s, "flow flutter");
        reading.drop = uncertain(row.drop * Pa, 0.8 * Pa, "pressure flutter");
        reading.air = air;
        input.readings.push_back(reading);
    }
    return fit_loading(input);
}

}   // namespace

int main() {
    const AirState air = duct_design_air();
    std::vector<ElementReading> clean_readings;
    for (const auto& [flow, drop] : {std::pair{0.45, 26.9}, {0.60, 38.2}, {0.75, 50.0}, {0.90, 63.4}}) {
        clean_readings.push_back({uncertain(flow * m3_per_s, 0.003 * flow * m3_per_s, "flow flutter"),
                                  uncertain(drop * Pa, 0.8 * Pa, "pressure flutter"), air});
    }
    const ElementFit clean = fit_element(clean_readings, air);
    std::printf("clean: r = %.1f Pa s/m3, s = %.1f Pa s2/m6\n", clean.curve.linear / Pa_s_per_m3,
                clean.curve.quadratic / Pa_s2_per_m6);

    for (const std::size_t count : {std::size_t(4), rows.size()}) {
        const LoadingFit fit = fit_first(count, clean, air);
        std::printf("\nfirst %zu readings: %s\n", count, fit.verdict.c_str());
        const auto print = [](const char* name, const Uncertain<double>& x) {
            const Interval<double> i = coverage_interval(x);
            std::printf("  %-13s %5.1f g/m2, 95 %% from %.1f to %.1f\n", name, 1e3 * x.value, 1e3 * i.lower,
                        1e3 * i.upper);
        };
        print("growth scale", fit.parameters[0]);
        if (fit.law.form != LoadingForm::exponential) print("transition", fit.parameters[1]);
        std::printf("  average arrestance %.1f %%\n", 100 * fit.average_arrestance->value);
        const DustHoldingCapacity capacity =
            dust_holding_capacity(fit, clean, {.pressure = 200 * Pa, .flow = 0.9 * m3_per_s}, air);
        const Interval<Mass> interval = coverage_interval(capacity.retained);
        std::printf("  holds %.0f g at 200 Pa and 0.9 m3/s, 95 %% from %.0f to %.0f, %.0f g fed%s\n",
                    capacity.retained.value / g, interval.lower / g, interval.upper / g, capacity.fed->value / g,
                    capacity.beyond_readings ? " (beyond the readings: the law is a guess there)" : "");
    }

    const LoadingFit fit = fit_first(rows.size(), clean, air);
    std::printf("\n\n# dust on medium [g/m2], pressure drop read and fitted at 0.9 m3/s [Pa]\n");
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const MassPerArea w = MassPerArea::from_value(fit.retained[i].value.value() / 2.4);
        const ElementCurve loaded = loaded_curve(clean.curve, fit.law, w);
        const Pressure fitted = pressure_drop(loaded, 0.9 * m3_per_s, air);
        // The reading moved to 0.9 m3/s along the fitted curve.
        const Pressure moved = fitted + fit.residuals[i];
        std::printf("%6.1f %7.1f %7.1f\n", w / g_per_m2, moved / Pa, fitted / Pa);
    }

    // Growth laws side by side.
    const LoadingLaw linear{.form = LoadingForm::linear, .cake_slope = 0.02 * m2_per_g};
    const LoadingLaw exponential = exponential_depth_law(91 * g_per_m2);
    const LoadingLaw quadratic{
        .form = LoadingForm::quadratic, .cake_slope = 0.004 * m2_per_g, .curvature = 160 * m4_per_kg2};
    const LoadingLaw smooth = smooth_two_stage_law({60 * g_per_m2, 45 * g_per_m2});
    const LoadingLaw kinked{.form = LoadingForm::kinked,
                            .growth_scale = 60 * g_per_m2,
                            .transition = 45 * g_per_m2,
                            .cake_slope = 0.05 * m2_per_g};
    std::printf("\n\n# dust on medium [g/m2], factor on the viscous resistance: linear, exponential, smooth, kinked, "
                "quadratic\n");
    for (int grams = 0; grams <= 120; grams += 5) {
        std::printf("%4d", grams);
        for (const LoadingLaw& law : {linear, exponential, smooth, kinked, quadratic}) {
            std::printf(" %6.3f", resistance_factor(law, grams * g_per_m2));
        }
        std::printf("\n");
    }

    // Efficiency at 0.4 um under load: a charged medium, the same without its charge, and a mechanical one.
    const SizeLoading charged{0.45, 1.4, 9.0 * m2_per_kg, 12 * g_per_m2};
    const SizeLoading discharged{0.45, 0.0, 9.0 * m2_per_kg}, mechanical{1.1, 0.0, 9.0 * m2_per_kg};
    const auto lowest = least_efficiency(charged);
    std::printf("\n\n# charged medium: lowest %.1f %% at %.0f g/m2\n# dust [g/m2], efficiency charged, without its "
                "charge, mechanical medium [%%]\n",
                100.0 * lowest.efficiency, *lowest.retained / g_per_m2);
    for (int grams = 0; grams <= 120; grams += 4) {
        const MassPerArea w = grams * g_per_m2;
        std::printf("%4d %5.1f %5.1f %5.1f\n", grams, 100.0 * efficiency_at(charged, w),
                    100.0 * efficiency_at(discharged, w), 100.0 * efficiency_at(mechanical, w));
    }
}
