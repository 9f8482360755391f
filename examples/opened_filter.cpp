// SPDX-License-Identifier: BSL-1.0
// Two filters of the Tern Lane Arts Centre, read clean on a bench and then opened: does the curve fit, what is the
// medium's permeability, what do the channels cost, and what would a frame, a grille and a screen add? The filters and
// all readings are invented.
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

using Rows = std::vector<std::pair<double, double>>;   // L/s, Pa

/// What both filters share: one manometer, one flow scale, one ruler, one channel model.
struct Bench {
    AirState air = moist_air({.temperature = from_celsius(22), .pressure = 99.6 * kPa, .relative_humidity = 0.4});
    InputHandle offset = elementary_input("manometer offset [Pa]", 0.8);
    InputHandle scale = elementary_input("flow scale, relative", 0.015);
    Uncertain<double> friction = uncertain(1.0, 0.12, "friction of the channels");
    Uncertain<double> momentum = uncertain(1.2, 0.12, "momentum factor of the channels");
    Uncertain<double> development = uncertain(0.0, 1.0, "late development of the flow");
};

ElementFit fitted(const Bench& bench, const Rows& rows) {
    std::vector<ElementReading> readings;
    for (const auto& [litres, pascals] : rows) {
        ElementReading r{uncertain(litres * L_per_s, 0.003 * litres * L_per_s, "flow flutter"),
                         uncertain(pascals * Pa, 0.4 * Pa, "pressure flutter"), bench.air};
        r.flow.gradient.add(Gradient(bench.scale), r.flow.value.value());
        r.drop.gradient.add(Gradient(bench.offset), 1.0);
        readings.push_back(r);
    }
    return fit_element(readings, duct_design_air());
}

void print(const char* name, const ElementFit& fit) {
    std::printf("# %s: flow [L/s], fitted [Pa], residual [Pa], standardised residual, leverage\n", name);
    for (const FitResidual& point : fit.residual_points) {
        std::printf("%.0f %.2f %+.2f %+.2f %.2f\n", point.flow / L_per_s, point.fitted / Pa, point.residual / Pa,
                    point.standardised, point.leverage);
    }
    std::printf("# r = %.1f +- %.1f Pa s/m3, s = %.1f +- %.1f Pa s2/m6, correlation %.3f\n",
                fit.curve.linear / Pa_s_per_m3, fit.linear.standard_uncertainty() / Pa_s_per_m3,
                fit.curve.quadratic / Pa_s2_per_m6, fit.quadratic.standard_uncertainty() / Pa_s2_per_m6,
                parameter_covariance(fit).correlation);
    std::printf("# chi-squared %.2f where %zu is expected, probability %.2g; bend %+.1f, probability %.2g\n",
                fit.chi_squared, fit.degrees_of_freedom, fit.check.probability, fit.check.bend,
                fit.check.bend_probability);
    std::printf("# %s\n\n\n", std::string(description(fit.check.verdict)).c_str());
}

OpenedFilter opened(const Bench& bench, double count, Length thickness, Length thickness_uncertainty) {
    return {.count = uncertain(count, 0.3, "count"),
            .depth = uncertain(45 * mm, 0.5 * mm, "depth"),
            .width = uncertain(570 * mm, 1 * mm, "width"),
            .length = uncertain(562 * mm, 1 * mm, "length of a fold"),
            .thickness = uncertain(thickness, thickness_uncertainty, "thickness"),
            .friction_factor = bench.friction,
            .momentum_factor = bench.momentum,
            .entry_length_effect = bench.development};
}

void print(const char* name, const ElementFit& fit, const OpenedFilter& filter) {
    const OpenedMedium medium = opened_medium(fit, filter);
    std::printf("# %s, opened: %.0f pleats, %.0f mm deep, medium %.1f +- %.2f mm\n", name, filter.count.value,
                filter.depth.value / mm, filter.thickness.value / mm, filter.thickness.standard_uncertainty() / mm);
    const auto square_microns = [](const Permeability& k) { return 1e12 * (k / m2); };
    std::printf("by the model of its pleats %s\n", std::string(description(medium.check.verdict)).c_str());
    std::printf("at the greatest flow the air needs %.1f depths to develop between the pleats%s\n",
                medium.entry_length_share,
                medium.channel_flow == ChannelFlow::not_laminar ? " and is not laminar" : "");
    if (!medium.permeability) {
        std::printf("no permeability, but at 97.5 %% above %.1f um2; %s\n\n\n",
                    square_microns(medium.least_permeability), std::string(description(medium.verdict)).c_str());
        return;
    }
    std::printf("permeability %.1f +- %.1f um2 (%.0f %% by the readings, %.0f %% by ruler and model)\n",
                square_microns(medium.permeability->value), square_microns(medium.permeability->standard_uncertainty()),
                100 * medium.uncertainty_of_readings, 100 * medium.uncertainty_of_geometry);
    if (medium.permeability_interval) {
        std::printf("95 %% from %.1f to %.1f um2\n", square_microns(medium.permeability_interval->lower),
                    square_microns(medium.permeability_interval->upper));
    } else {
        std::printf("at 97.5 %% above %.1f um2; within 95 %% the channels alone may cost all of it\n",
                    square_microns(medium.least_permeability));
    }
    std::printf("channels' share of the viscous part %.0f %%, 95 %% from %.0f to %.0f %%\n",
                100 * medium.channel_share->value, 100 * medium.channel_share_interval.lower,
                100 * medium.channel_share_interval.upper);
    std::printf("%s%s\n", std::string(description(medium.verdict)).c_str(),
                medium.model_contradicts ? "; the pack computed costs more than the filter read" : "");
    const VolumeFlow flow = 600 * L_per_s;
    const OpenedDrop drop = opened_drop(fit, filter, *medium.permeability, flow, duct_design_air());
    const auto part = [](const char* what, const Uncertain<Pressure>& p) {
        std::printf("  %-22s %6.1f +- %.1f Pa\n", what, p.value / Pa, p.standard_uncertainty() / Pa);
    };
    std::printf("at %.0f L/s in standard air (standard uncertainties):\n", flow / L_per_s);
    part("medium", drop.medium);
    part("channels", drop.channels);
    part("entry and exit", drop.mouths);
    part("frame and what is left", drop.unassigned);
    part("together", drop.total);
    std::printf("the channels cost %.0f +- %.0f %% of the drop\n\n\n", 100 * drop.channel_share.value,
                100 * drop.channel_share.standard_uncertainty());
}

}   // namespace

int main() {
    const Bench bench;
    const Rows paper{{220, 25.3}, {320, 38.7}, {430, 56.0}, {540, 75.8}, {650, 97.3}, {760, 122.1},
                     {870, 148.2}, {980, 178.6}};
    const Rows felt{{220, 27.7}, {320, 49.5}, {430, 82.3}, {540, 122.9}, {650, 173.5}, {760, 232.4}, {870, 298.9},
                    {980, 378.4}};
    Rows not_zeroed = paper;   // the same filter with a manometer that nobody set to zero
    for (auto& row : not_zeroed) row.second += 8.0;

    const ElementFit paper_fit = fitted(bench, paper), felt_fit = fitted(bench, felt);
    print("paper filter", paper_fit);
    print("paper filter, manometer not zeroed", fitted(bench, not_zeroed));
    print("felt filter", felt_fit);

    print("paper filter", paper_fit, opened(bench, 76, 0.6 * mm, 0.03 * mm));
    print("felt filter", felt_fit, opened(bench, 108, 1.3 * mm, 0.15 * mm));

    try {
        static_cast<void>(fitted(bench, {{540, 63.4}, {550, 64.6}}));
    } catch (const DomainError& error) {
        std::printf("# two readings at one flow\n%s\n\n\n", error.what());
    }

    // A pack of the paper as designed, and what goes around it.
    const AirState air = duct_design_air();
    const PleatedFilter pack{.medium = {.thickness = 0.6 * mm, .permeability = 3e-11 * m2},
                             .pack = {.count = 76, .depth = 45 * mm, .width = 570 * mm, .length = 562 * mm}};
    const PackCurve curve = pack_curve(pack, {200 * L_per_s, 1000 * L_per_s}, air);
    const ElementAssembly element{.pack = curve.curve,
                                  .face_area = 0.610 * 0.610 * m2,
                                  .pack_open_share = 0.96,
                                  .frame_open_share = 0.86,
                                  .downstream_grille = PerforatedPlate{.open_share = 0.63, .hole_diameter = 12 * mm},
                                  .screen = WireScreen{.wire_diameter = 0.5 * mm, .pitch = 1.7 * mm}};
    const AssemblyDrop drop = pressure_drop_parts(element, 600 * L_per_s, air);
    const ElementCurve whole = element_curve(element);
    std::printf("# an element around that paper: parts at 600 L/s [Pa]\n");
    std::printf("pack %.1f, frame %.1f, grille %.1f, screen %.1f, together %.1f\n", drop.pack / Pa, drop.frame / Pa,
                drop.grilles / Pa, drop.screen / Pa, drop.total / Pa);
    std::printf("r Q + s Q^2 is within %.1f %% of the pack's model\n", 100 * curve.greatest_deviation);
    std::printf("r = %.1f Pa s/m3, s = %.1f Pa s2/m6; grille %s, screen %s of its correlation\n",
                whole.linear / Pa_s_per_m3, whole.quadratic / Pa_s2_per_m6,
                drop.grilles_in_range ? "in the range" : "out of the range",
                drop.screen_in_range ? "in the range" : "out of the range");
}
