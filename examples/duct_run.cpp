// SPDX-License-Identifier: BSL-1.0
// The supply run of one air handler, piece by piece: friction and fittings with their uncertainty, what a single design
// point with an exponent makes of it, how friction formulas differ, and what a run may hide. The building, the Tern
// Lane Arts Centre, and its ducts are invented.
#include <cmath>
#include <cstdio>
#include <utility>
#include <vector>

#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/duct_fittings.hpp>
#include <filterflow/airflow/duct_leakage.hpp>
#include <filterflow/airflow/duct_roughness.hpp>
#include <filterflow/airflow/elbow_tables.hpp>
#include <filterflow/airflow/fittings.hpp>
#include <filterflow/airflow/flexible_duct.hpp>
#include <filterflow/airflow/friction_formulas.hpp>
#include <filterflow/airflow/junctions.hpp>
#include <filterflow/airflow/system.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Piece {
    const char* name;
    DuctSegment duct;
    std::vector<LossCoefficient> fittings;   // on the velocity in this piece
};

double dynamic_pressure(double velocity, const AirState& air) {
    return 0.5 * air.density.value() * velocity * velocity;
}

/// Data of docs/images/friction_factor.svg.
void print_picture() {
    std::printf("\n\n# friction factor, for the picture: Re, smooth, eps/D 0.001, eps/D 0.01, Churchill 0.001\n");
    for (int i = 0; i <= 80; ++i) {
        const double r = std::pow(10.0, 2.7 + 0.0425 * i);
        std::printf("%9.1f %8.5f %8.5f %8.5f %8.5f\n", r, darcy_friction_factor(r, 0.0).value,
                    darcy_friction_factor(r, 1e-3).value, darcy_friction_factor(r, 1e-2).value,
                    churchill_friction_factor(r, 1e-3).value);
    }
    for (const double roughness : {0.0, 1e-3}) {
        std::printf(
            "\n\n# per cent above Colebrook at eps/D %g: Re, Serghides, Haaland, Swamee-Jain, Churchill, "
            "Altshul-Tsal\n",
            roughness);
        for (int i = 0; i <= 40; ++i) {
            const double r = 5000.0 * std::pow(10.0, i / 40.0 * 2.3);
            const double exact = colebrook_friction_factor(r, roughness).value;
            std::printf("%9.1f", r);
            for (const DarcyFactor f :
                 {serghides_friction_factor(r, roughness), haaland_friction_factor(r, roughness),
                  swamee_jain_friction_factor(r, roughness), churchill_friction_factor(r, roughness),
                  altshul_tsal_friction_factor(r, roughness)}) {
                std::printf(" %8.4f", 100.0 * (f.value / exact - 1.0) + 0.0);
            }
            std::printf("\n");
        }
    }
}

}   // namespace

int main() {
    const AirState air =
        moist_air({.temperature = from_celsius(18), .pressure = 100.9 * kPa, .relative_humidity = 0.5});
    const VolumeFlow flow = 1.2 * m3_per_s;

    const LossCoefficient elbow = sheet_metal_elbow_loss_coefficient(SheetMetalElbow::rectangular_radius, 1.0);
    const LossCoefficient bend = sheet_metal_elbow_loss_coefficient(SheetMetalElbow::round_five_pieces, 1.5);
    const DuctSegment riser{.length = 9 * m, .diameter = 500 * mm};
    const DuctSegment main_duct{.length = 22 * m, .width = 600 * mm, .height = 350 * mm};
    const DuctSegment oval{.length = 8 * m, .width = 650 * mm, .height = 300 * mm, .section = DuctSection::flat_oval};
    // Where the riser (smaller) meets the main duct the coefficient is on the riser's velocity: carried over.
    const LossCoefficient widening = on_velocity_in_duct(
        sudden_expansion_loss_coefficient(section_area(riser) / section_area(main_duct)),
        SectionAreas{.basis = section_area(riser), .duct = section_area(main_duct)});
    const std::vector<Piece> run{
        {"return, 700 x 450", {.length = 14 * m, .width = 700 * mm, .height = 450 * mm},
         {flush_entry_loss_coefficient(), elbow}},
        {"riser, round 500", riser, {bend, bend}},
        {"main, 600 x 350", main_duct, {widening, elbow, elbow}},
        {"over the stage, oval 650 x 300", oval, {mitred_bend_loss_coefficient(30.0)}},
        {"old brick shaft, 600 x 600",
         {.length = 6 * m, .width = 600 * mm, .height = 600 * mm, .roughness = 3 * mm},
         {exit_loss_coefficient()}}};   // ends in the stage plenum

    std::printf("invented data: %.2f m3/s of air of %.3f kg/m3\n\n", flow / m3_per_s, air.density.value());
    std::printf("%-31s %6s %5s %7s %7s %6s %5s %6s %14s %6s\n", "piece", "D_h mm", "m/s", "Re", "f", "Pa/m", "K", "Pa",
                "range of K, Pa", "all Pa");
    SystemCurve system;
    double least = 0.0, greatest = 0.0;
    for (const Piece& piece : run) {
        DuctSegment duct = piece.duct;
        const Length diameter = hydraulic_diameter(duct);
        const double velocity = flow / m3_per_s / (section_area(duct) / m2);
        const double re = reynolds_number(duct, flow, air);
        const DarcyFactor f = darcy_friction_factor(re, duct.roughness / m / (diameter / m));
        const double dynamic = dynamic_pressure(velocity, air);
        double low = 0.0, high = 0.0;   // a run's elbows are of one make and err together
        for (const LossCoefficient& k : piece.fittings) {
            duct = with_fitting(duct, k);
            low += loss_coefficient_range(k).least * dynamic;
            high += loss_coefficient_range(k).greatest * dynamic;
        }
        least += low - duct.loss_coefficient * dynamic;
        greatest += high - duct.loss_coefficient * dynamic;
        std::printf("%-31s %6.0f %5.2f %7.0f %7.5f %6.3f %5.2f %6.2f %5.2f to %5.2f %6.2f\n", piece.name, diameter / mm,
                    velocity, re, f.value, f.value * dynamic / (diameter / m), duct.loss_coefficient,
                    duct.loss_coefficient * dynamic, low, high, pressure_drop(duct, flow, air) / Pa);
        system = in_series(system, duct);
    }
    const double together = pressure_drop(system, flow, air) / Pa;
    std::printf("%-31s %64.2f\n", "together", together);
    std::printf(
        "between %.0f and %.0f Pa by how far published coefficients of such fittings lie apart, +-30 %% for elbows\n",
        together + least, together + greatest);

    // A design point with an exponent stands for the run near that point only.
    const auto slope_at = [&](double q) {
        return std::log(pressure_drop(system, 1.01 * q * m3_per_s, air) /
                        pressure_drop(system, 0.99 * q * m3_per_s, air)) /
               std::log(1.01 / 0.99);
    };
    const double exponent = slope_at(1.2);
    const SystemCurve point = system_from_design_point(
        {.flow = flow, .pressure = pressure_drop(system, flow, air), .exponent = exponent, .air = air});
    std::printf("\nexponent at the design point %.3f\n%8s %10s %14s\n", exponent, "m3/s", "run, Pa", "its point, Pa");
    for (const double q : {0.15, 0.3, 0.6, 0.9, 1.2, 1.5}) {
        std::printf("%8.2f %10.3f %14.3f\n", q, pressure_drop(system, q * m3_per_s, air) / Pa,
                    pressure_drop(point, q * m3_per_s, air) / Pa);
    }

    std::printf("\nthe main duct by other diameters and other walls, friction alone\n");
    DuctSegment main_friction = main_duct;
    std::printf("  hydraulic diameter %.0f mm: %.2f Pa", hydraulic_diameter(main_duct) / mm,
                pressure_drop(main_friction, flow, air) / Pa);
    main_friction.friction_diameter = FrictionDiameter::equivalent;
    std::printf("; equivalent diameter %.0f mm, as sizing tables have it: %.2f Pa\n",
                equivalent_diameter(main_duct) / mm, pressure_drop(main_friction, flow, air) / Pa);
    for (const auto& [name, surface] : std::vector<std::pair<const char*, DuctSurface>>{
             {"plastic", DuctSurface::plastic_pipe}, {"galvanised, rectangular", DuctSurface::galvanised_rectangular},
             {"lined with faced glass fibre", DuctSurface::glass_liner_faced}}) {
        DuctSegment duct = main_duct;
        duct.roughness = *duct_roughness(surface).design;
        std::printf("  %-29s %.3f mm: %5.2f Pa%s\n", name, duct.roughness / mm, pressure_drop(duct, flow, air) / Pa,
                    duct_roughness(surface).from_memory ? " (roughness from memory)" : "");
    }

    std::printf("\nfriction factor of the riser by author, at %.2f m3/s\n", flow / m3_per_s);
    const double re = reynolds_number(riser, flow, air), roughness = riser.roughness / m / (riser.diameter / m);
    const DarcyFactor exact = colebrook_friction_factor(re, roughness);
    std::printf("  Colebrook    %.6f (Fanning's factor %.6f)\n", exact.value, fanning_factor(exact).value);
    for (const auto& [name, f] : std::vector<std::pair<const char*, DarcyFactor>>{
             {"Serghides", serghides_friction_factor(re, roughness)},
             {"Haaland", haaland_friction_factor(re, roughness)},
             {"Swamee-Jain", swamee_jain_friction_factor(re, roughness)},
             {"Churchill", churchill_friction_factor(re, roughness)},
             {"Altshul-Tsal", altshul_tsal_friction_factor(re, roughness)}}) {
        std::printf("  %-12s %.6f %+6.2f %%\n", name, f.value, 100 * (f.value / exact.value - 1));
    }

    std::printf("\nwhat else a run may hide\n");
    const VolumeFlow leak = duct_leakage_flow({.leakage_class = 48, .surface = 84 * m2}, 100 * Pa);
    std::printf("  unsealed seams, class 48, 84 m2 at 100 Pa: %.0f L/s, %.1f %% of the flow\n", leak / L_per_s,
                100 * (leak / flow));
    const FlexibleDuctSegments flexible = flexible_duct_segments({.diameter = 200 * mm,
                                                                  .least_length_over_stretched = 0.85,
                                                                  .greatest_length_over_stretched = 0.96,
                                                                  .installed_length = 3 * m});
    std::printf(
        "  3 m of flexible duct 200 mm at 90 L/s, pulled to between 85 and 96 %%: %.1f to %.1f Pa (stretched %.1f)\n",
        pressure_drop(flexible.least, 90 * L_per_s, air) / Pa, pressure_drop(flexible.greatest, 90 * L_per_s, air) / Pa,
        pressure_drop(DuctSegment{.length = 3 * m, .diameter = 200 * mm, .roughness = 0.9 * mm}, 90 * L_per_s, air) /
            Pa);
    const LossCoefficient inlet = inlet_elbow_system_effect({.radius_over_width = 0.75});
    const LossCoefficient vaned = inlet_elbow_system_effect({.radius_over_width = 0.75, .vanes = true});
    const Area inlet_area = 0.16 * m2;
    std::printf("  an elbow right before the fan's inlet of 0.16 m2: %.0f Pa, %.0f with vanes\n",
                pressure_drop(fitting_in(inlet, inlet_area), flow, air) / Pa,
                pressure_drop(fitting_in(vaned, inlet_area), flow, air) / Pa);
    const VelocityChange change{.before = 5.7 * m_per_s, .after = 3.3 * m_per_s};
    std::printf("  a widening from 5.7 to 3.3 m/s gives back %.1f Pa of static pressure at a recovery of 0.7\n",
                static_regain(change, 0.7, air) / Pa);

    std::printf(
        "\njunctions: coefficients on the velocity of the whole flow, negative where one stream drags the other\n");
    std::printf("%14s %27s   %33s\n", "", "tee, joins: branch, run", "45 degrees, leaves: branch, run");
    for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
        const JunctionCoefficients tee = converging_loss_coefficients({.branch_flow_share = share});
        const JunctionCoefficients wye = diverging_loss_coefficients({.branch_flow_share = share, .angle = 45.0});
        std::printf("  share %5.1f %% %19.3f %9.3f %19.3f %9.3f\n", 100 * share, tee.branch.value, tee.run.value,
                    wye.branch.value, wye.run.value);
    }

    print_picture();
    return 0;
}
