// SPDX-License-Identifier: BSL-1.0
// A first lesson, for docs/first_lesson.md: from one bench reading to a corrected curve. The bench, the filters and all
// readings are invented (workshop of the Tern Lane Arts Centre).
#include <cstdio>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/atmosphere.hpp>
#include <filterflow/numeric/budget.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/stand/instrument.hpp>
#include <filterflow/stand/tare.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

// Step 1: what was read. One manometer and one flow meter for everything.
const Instrument manometer = instrument(
    ManometerData{.name = "manometer", .gain_uncertainty = 0.005, .zero_uncertainty = 0.5 * Pa, .resolution = 1 * Pa});
const Instrument flow_meter = instrument(
    FlowMeterData{.name = "flow meter", .gain_uncertainty = 0.015, .zero_uncertainty = {}, .resolution = 2 * L_per_s});

ElementReading read(double litres_per_second, double pascals, const AirState& air) {
    return {reading(flow_meter, litres_per_second * L_per_s), reading(manometer, pascals * Pa), air};
}

void print(const char* what, const Uncertain<Pressure>& p) {
    const Interval<Pressure> interval = coverage_interval(p);
    std::printf("%-34s %6.1f Pa, 95 %% from %.1f to %.1f Pa\n", what, p.value / Pa, interval.lower / Pa,
                interval.upper / Pa);
}

}   // namespace

int main() {
    // Step 2: the air of that afternoon.
    const AirState air = moist_air({.temperature = from_celsius(27), .pressure = 983 * hPa, .relative_humidity = 0.40});
    const AirState standard = duct_design_air();
    const ElementReading first = read(560, 138, air);
    std::printf("step 1: the manometer shows %.0f Pa at %.0f L/s\n", first.drop.value / Pa, first.flow.value / L_per_s);
    std::printf("step 2: the air weighs %.3f kg/m3; standard air %.3f kg/m3\n", air.density / kg_per_m3,
                standard.density / kg_per_m3);

    // Step 3: the bench's own resistance, at the flow of the reading.
    const std::vector empty{read(350, 11, air), read(480, 19, air), read(620, 32, air), read(790, 50, air)};
    const ElementFit tare = fit_tare(empty, standard);
    std::printf("step 3: freed of the bench\n");
    print("  bench alone at 560 L/s", pressure_drop(tare, first.flow, air));
    const std::vector net = net_of_tare(std::vector{first}, tare);
    print("  filter alone", net[0].drop);

    // Step 4: one reading does not tell how the drop splits.
    const ElementFit from_one = fit_element(net, standard, between_limits(0.0, 1.0, "share of the inertial part"));
    std::printf("step 4: what the one reading says of standard air\n");
    print("  at the flow that was read", pressure_drop(from_one, 560 * L_per_s, standard));
    print("  at half of it", pressure_drop(from_one, 280 * L_per_s, standard));

    // Step 5: more readings, and the curve through them.
    const std::vector raw{read(300, 54, air), read(390, 79, air), read(475, 106, air), first, read(640, 171, air)};
    const ElementFit filter = fit_element(net_of_tare(raw, tare), standard);
    std::printf("step 5: dp = r Q + s Q^2 in standard air\n");
    std::printf("  r = %.0f +- %.0f Pa s/m3, s = %.0f +- %.0f Pa s2/m6 (standard uncertainty)\n",
                filter.curve.linear / Pa_s_per_m3, filter.linear.standard_uncertainty() / Pa_s_per_m3,
                filter.curve.quadratic / Pa_s2_per_m6, filter.quadratic.standard_uncertainty() / Pa_s2_per_m6);
    std::printf("  the readings %s such a curve\n", filter.lacks_fit ? "do not follow" : "follow");
    print("  at the flow that was read", pressure_drop(filter, 560 * L_per_s, standard));
    print("  at half of it", pressure_drop(filter, 280 * L_per_s, standard));

    // Step 6: the same curve over face velocity, which filters of other sizes share.
    const Area face = Length(24 * inch) * Length(24 * inch);
    std::printf("step 6: over face velocity\n");
    for (const double v : {0.8, 1.2, 1.6, 2.0}) {
        const VolumeFlow flow = Velocity(v * m_per_s) * face;
        char name[64];
        std::snprintf(name, sizeof name, "  %.1f m/s, %3.0f L/s%s", v, flow / L_per_s,
                      extrapolates(filter, flow) ? ", not read" : "");
        print(name, pressure_drop(filter, flow, standard));
    }

    // Step 7: which input matters.
    const Uncertain<Pressure> at_first = pressure_drop(filter, 560 * L_per_s, standard);
    std::printf("step 7: where the uncertainty of %.1f Pa comes from\n", at_first.value / Pa);
    for (const BudgetRow<Pressure>& row : uncertainty_budget(at_first, BudgetRows::by_name).rows) {
        if (row.share < 0.005) continue;
        std::printf("  %-34s %4.1f Pa, %3.0f %% of the variance\n", row.name.c_str(), row.contribution / Pa,
                    100 * row.share);
    }

    // Answers to the exercises.
    std::printf("\nexercise 1: ");
    const Pressure at_790 = pressure_drop(tare, 790 * L_per_s, air).value;
    std::printf("with the tare read at 790 L/s the filter alone would have %.1f Pa\n", (138 * Pa - at_790) / Pa);
    std::printf("exercise 2: ");
    const AirState high = moist_air({.temperature = from_celsius(20), .pressure = standard_pressure_at(1600 * m),
                                     .relative_humidity = 0.0});
    std::printf("at 1600 m %.1f Pa at 560 L/s (density %.3f kg/m3)\n",
                pressure_drop(filter, 560 * L_per_s, high).value / Pa, high.density / kg_per_m3);
    const std::vector other_raw{read(300, 56, air), read(390, 82, air), read(475, 110, air), read(560, 143, air),
                                read(640, 177, air)};
    const ElementFit other = fit_element(net_of_tare(other_raw, tare), standard);
    const Uncertain<Pressure> other_drop = pressure_drop(other, 560 * L_per_s, standard);
    std::printf("exercise 3: the second filter\n");
    print("  at 560 L/s", other_drop);
    print("  second less first", other_drop - at_first);
    std::printf("  %s\n", tied(at_first, other_drop) ? "not told apart" : "told apart");
}
