// SPDX-License-Identifier: BSL-1.0
// The supply run of one air handler, segment by segment: friction, fittings, leakage, and what a single design point
// with an exponent makes of it. The building, the Tern Lane Arts Centre, and its ducts are invented.
#include <cmath>
#include <cstdio>
#include <utility>
#include <vector>

#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/fittings.hpp>
#include <filterflow/airflow/system.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air =
        moist_air({.temperature = from_celsius(18), .pressure = 100.9 * kPa, .relative_humidity = 0.5});
    const VolumeFlow flow = 1.2 * m3_per_s;

    // Loss coefficients refer to the velocity in the segment they stand in; those of elbows scatter by about 30 %.
    const std::vector<std::pair<const char*, DuctSegment>> run{
        {"return, 700 x 450", {.length = 14 * m, .width = 700 * mm, .height = 450 * mm, .loss_coefficient = 0.9}},
        {"riser, round 500", {.length = 9 * m, .diameter = 500 * mm, .loss_coefficient = 0.44}},
        {"main, 600 x 350", {.length = 22 * m, .width = 600 * mm, .height = 350 * mm, .loss_coefficient = 0.66}},
        {"old brick shaft, 600 x 600",
         {.length = 6 * m,
          .width = 600 * mm,
          .height = 600 * mm,
          .roughness = 3 * mm,
          .loss_coefficient = sudden_expansion_loss_coefficient(0.0)}}};   // ends in the stage plenum

    std::printf("invented data: %.2f m3/s of air of %.3f kg/m3\n\n", flow / m3_per_s, air.density.value());
    std::printf("%-27s %6s %5s %7s %7s %6s %8s %6s\n", "segment", "D_h mm", "m/s", "Re", "f", "Pa/m", "fittings", "Pa");
    SystemCurve system;
    for (const auto& [name, duct] : run) {
        const Length diameter = hydraulic_diameter(duct);
        const double area = duct.diameter.value() > 0.0 ? std::acos(-1.0) / 4 * std::pow(duct.diameter / m, 2)
                                                        : (duct.width / m) * (duct.height / m);
        const double velocity = flow / m3_per_s / area;
        const double re = reynolds_number(duct, flow, air);
        const double f = darcy_friction_factor(re, duct.roughness / m / (diameter / m));
        const double dynamic = 0.5 * air.density.value() * velocity * velocity;
        const Pressure drop = pressure_drop(duct, flow, air);
        std::printf("%-27s %6.0f %5.2f %7.0f %7.5f %6.3f %8.2f %6.2f\n", name, diameter / mm, velocity, re, f,
                    f * dynamic / (diameter / m), duct.loss_coefficient * dynamic, drop / Pa);
        system = in_series(system, duct);
    }
    std::printf("%-27s %57.2f\n\n", "together", pressure_drop(system, flow, air) / Pa);

    // A design point with an exponent stands for the run near that point only.
    const auto slope_at = [&](double q) {
        return std::log(pressure_drop(system, 1.01 * q * m3_per_s, air) /
                        pressure_drop(system, 0.99 * q * m3_per_s, air)) /
               std::log(1.01 / 0.99);
    };
    const double exponent = slope_at(1.2);
    const SystemCurve point = system_from_design_point(
        {.flow = flow, .pressure = pressure_drop(system, flow, air), .exponent = exponent, .air = air});
    std::printf("exponent at the design point %.3f\n%8s %10s %14s\n", exponent, "m3/s", "run, Pa", "its point, Pa");
    for (const double q : {0.15, 0.3, 0.6, 0.9, 1.2, 1.5}) {
        std::printf("%8.2f %10.3f %14.3f\n", q, pressure_drop(system, q * m3_per_s, air) / Pa,
                    pressure_drop(point, q * m3_per_s, air) / Pa);
    }

    std::printf("\nwhat else a run may hide\n");
    const VolumeFlow leak = duct_leakage_flow({.leakage_class = 48, .surface = 84 * m2}, 100 * Pa);
    std::printf("  unsealed seams, class 48, 84 m2 at 100 Pa: %.0f L/s, %.1f %% of the flow\n", leak / L_per_s,
                100 * (leak / flow));
    for (const double stretched : {1.0, 0.96, 0.85}) {
        const DuctSegment flexible{.length = 3 * m, .diameter = 200 * mm, .roughness = 0.9 * mm};
        const double factor = flexible_duct_factor({.diameter = 200 * mm, .length_over_stretched = stretched});
        std::printf("  3 m of flexible duct 200 mm at 90 L/s, pulled to %3.0f %%: %.1f Pa\n", 100 * stretched,
                    factor * (pressure_drop(flexible, 90 * L_per_s, air) / Pa));
    }
    const VelocityChange widening{.before = 5.7 * m_per_s, .after = 3.3 * m_per_s};
    std::printf("  a widening from 5.7 to 3.3 m/s gives back %.1f Pa of static pressure at a recovery of 0.7\n",
                static_regain(widening, 0.7, air) / Pa);
    for (const double share : {0.2, 0.5, 0.8}) {
        const TeeCoefficients tee = converging_tee_loss_coefficients(share);
        std::printf("  tee where %2.0f %% of the flow joins from the branch: K branch %+.3f, K run %+.3f\n",
                    100 * share, tee.branch, tee.run);
    }
    return 0;
}
