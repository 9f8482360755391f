// SPDX-License-Identifier: BSL-1.0
// Two filters read with one manometer: element curves with their uncertainty, whether the two differ, and what the
// first, opened, says about its medium. All readings are invented.
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState bench =
        moist_air({.temperature = from_celsius(24), .pressure = 99.2 * kPa, .relative_humidity = 0.35});
    const AirState stated = duct_design_air();
    // One manometer and one flow scale for both filters: shared inputs. Each reading adds its own flutter.
    const InputHandle offset = elementary_input("manometer offset [Pa]", 1.5);
    const InputHandle gain = elementary_input("flow scale, relative", 0.02);
    const auto fit = [&](const std::vector<std::pair<double, double>>& rows) {
        std::vector<ElementReading> readings;
        for (const auto& [litres, pascals] : rows) {
            ElementReading r{uncertain(litres * L_per_s, 0.003 * litres * L_per_s, "flow flutter"),
                             uncertain(pascals * Pa, 0.6 * Pa, "pressure flutter"), bench};
            r.flow.gradient.add(Gradient(gain), r.flow.value.value());
            r.drop.gradient.add(Gradient(offset), 1.0);
            readings.push_back(r);
        }
        return fit_element(readings, stated);
    };
    const ElementFit first = fit({{210, 24.1}, {330, 41.2}, {450, 61.6}, {560, 81.9}, {690, 109.3}});
    const ElementFit second = fit({{205, 25.6}, {325, 44.4}, {445, 65.7}, {555, 88.0}, {680, 115.6}});
    int number = 1;
    for (const ElementFit* f : {&first, &second}) {
        std::printf("filter %d: r = %.1f +- %.1f Pa s/m3, s = %.1f +- %.1f Pa s2/m6 (standard uncertainty)\n", number++,
                    f->curve.linear / Pa_s_per_m3, f->linear.standard_uncertainty() / Pa_s_per_m3,
                    f->curve.quadratic / Pa_s2_per_m6, f->quadratic.standard_uncertainty() / Pa_s2_per_m6);
        std::printf("  chi-squared %.2f on %zu degrees of freedom, %s\n", f->chi_squared, f->degrees_of_freedom,
                    f->lacks_fit ? "the curve does not fit" : "the curve fits");
    }
    const VolumeFlow flow = 472 * L_per_s;
    const Uncertain<Pressure> a = pressure_drop(first, flow, stated), b = pressure_drop(second, flow, stated);
    const auto print = [](const char* what, const Uncertain<Pressure>& p) {
        const Interval<Pressure> interval = coverage_interval(p);
        std::printf("%s: %.2f Pa, 95 %% from %.2f to %.2f Pa\n", what, p.value / Pa, interval.lower / Pa,
                    interval.upper / Pa);
    };
    std::printf("\nat 472 L/s in standard air\n");
    print("  first", a);
    print("  second", b);
    print("  second less first", b - a);
    std::printf("  the intervals overlap; the two are %s\n", tied(a, b) ? "tied" : "told apart");

    const OpenedMedium medium =
        opened_medium(first, {.count = 48, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm}, 1.2 * mm);
    std::printf("\nfirst, opened: 48 pleats, 44 mm deep, medium 1.2 mm\n");
    if (!medium.permeability || !medium.medium_share) {
        std::printf("  nothing of the medium can be told: %s\n", std::string(description(medium.verdict)).c_str());
        return 0;
    }
    std::printf("  permeability %.3g +- %.2g m2 (standard uncertainty), %.1f %% of the viscous part is the medium's\n",
                medium.permeability->value / m2, medium.permeability->standard_uncertainty() / m2,
                100 * medium.medium_share->value);
}
