// SPDX-License-Identifier: BSL-1.0
// The supply and return of a two-storey building from a table of its branches: who gets how much air, what the filter
// and the fan have to do with it, and how that changes as the filter loads. The building, the Tern Lane Arts Centre,
// its ducts and its filter are invented.
//     duct_network          what the centre's rooms get, and what the filter does to it
//     duct_network TABLE    every flow and pressure of another table of branches, with the node 'outdoors' at 0 Pa
#include <algorithm>
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/network.hpp>

#include "branch_table.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Room {
    const char* name;
    const char* outlet;
    const char* grille;
    double design;   // L/s
};
const Room rooms[] = {
    {"foyer", "foyer outlet", "foyer grille", 80},    {"gallery", "gallery outlet", "gallery grille", 260},
    {"cafe", "cafe outlet", "cafe exhaust", 80},      {"studio", "studio outlet", "studio grille", 130},
    {"office", "office outlet", "office grille", 50}, {"rehearsal room", "rehearsal outlet", "rehearsal grille", 130}};

/// What to know of a solution. `plenum`: the fan blows into one, so that its static pressure is what the ducts get.
void print_limits(const NetworkSolution& solution, bool plenum) {
    if (!solution.found()) std::printf("not solved: %s\n", std::string(status_text(solution.status())).c_str());
    for (const NetworkLimit& limit : solution.limits()) {
        if (plenum && limit.kind == NetworkLimitKind::fan_pressure_kind) continue;   // its velocity is lost in there
        std::printf("watch: %s\n", limit.text.c_str());
    }
}

void print_rooms(const NetworkSolution& solution) {
    std::printf("%-15s %7s %7s %7s %9s\n", "room", "supply", "design", "return", "pressure");
    std::printf("%-15s %7s %7s %7s %9s\n", "", "L/s", "L/s", "L/s", "Pa");
    for (const Room& r : rooms) {
        std::printf("%-15s %7.1f %7.0f %7.1f %9.2f\n", r.name, solution.flow(r.outlet) / L_per_s, r.design,
                    solution.flow(r.grille) / L_per_s, solution.pressure(r.name) / Pa);
    }
}

/// Total pressure along the way of the air, out to the farthest room and back.
void print_way(const NetworkSolution& clean, const NetworkSolution& loaded) {
    const std::vector<const char*> way{"outdoors",       "mixing box",   "behind filter", "fan inlet", "plenum",
                                       "ground 1",       "upper 1",      "upper 2",       "upper 3",   "rehearsal box",
                                       "rehearsal room", "return upper", "return ground", "mixing box"};
    std::printf("# place along the way, total pressure with the clean and the loaded filter [Pa]\n");
    for (std::size_t i = 0; i < way.size(); ++i) {
        std::printf("%2zu %-16s %8.2f %8.2f\n", i, ("\"" + std::string(way[i]) + "\"").c_str(),
                    clean.pressure(way[i]) / Pa, loaded.pressure(way[i]) / Pa);
    }
}

/// Every branch and node of a network as it is.
int print_all(const DuctNetwork& network) {
    const NetworkSolution solution = NetworkSolver(network).solve();
    std::printf("air in the ducts: 20 degC, 100.9 kPa, 40 %% (%.3f kg/m3); fan tables: for air of %.3f kg/m3\n\n",
                network.air().density / kg_per_m3, fan_table_air().density / kg_per_m3);
    print_limits(solution, false);
    if (!solution.found()) return 1;
    const auto width = [](std::size_t count, const auto& name) {
        std::size_t most = 6;
        for (std::size_t i = 0; i < count; ++i) most = std::max(most, name(i).size());
        return static_cast<int>(most);
    };
    const auto branch = [&](std::size_t k) { return std::string(network.branch_name(k)); };
    const auto node = [&](std::size_t i) { return std::string(network.node_name(i)); };
    const int branches = width(network.branch_count(), branch), nodes = width(network.node_count(), node);
    std::printf("%-*s %10s %10s\n%-*s %10s %10s\n", branches, "branch", "flow", "drop", branches, "", "L/s", "Pa");
    for (std::size_t k = 0; k < network.branch_count(); ++k) {
        std::printf("%-*s %10.1f %10.2f\n", branches, branch(k).c_str(), solution.flow(k) / L_per_s,
                    solution.pressure_drop(k) / Pa);
    }
    std::printf("\n%-*s %10s\n%-*s %10s\n", nodes, "node", "pressure", nodes, "", "Pa");
    for (std::size_t i = 0; i < network.node_count(); ++i) {
        std::printf("%-*s %10.2f\n", nodes, node(i).c_str(), solution.pressure(i) / Pa);
    }
    std::printf("\nAirflow below the equipment's least overheats heaters and ices coils: its nameplate comes first.\n");
    return 0;
}

}   // namespace

int main(int argc, char** argv) {
    if (argc > 2 || (argc == 2 && argv[1][0] == '-')) {
        std::fprintf(stderr, "usage: duct_network [TABLE]\n");
        return 2;
    }
    try {
        const choose_filter::DiskFiles files;
        const duct_network::BranchTable table(files, argc > 1 ? argv[1] : "examples/tern_lane/duct_network.csv");
        const AirState air =
            moist_air({.temperature = from_celsius(20), .pressure = 100.9 * kPa, .relative_humidity = 0.4});
        DuctNetwork network(air);
        table.add_to(network, air);
        table.refuse_loose_ends("outdoors");
        network.fix_pressure("outdoors", 0 * Pa);
        if (argc > 1) return print_all(network);
        std::printf("invented data: %zu branches, %zu nodes\n", network.branch_count(), network.node_count());

        NetworkSolver solver(std::move(network));
        const NetworkSolution clean = solver.solve();
        print_limits(clean, true);
        std::printf("%.0f L/s through the filter at %.1f Pa, %.0f L/s from outdoors, the fan lifts %.1f Pa\n\n",
                    clean.flow("filter") / L_per_s, clean.pressure_drop("filter") / Pa,
                    clean.flow("outdoor intake") / L_per_s, -(clean.pressure_drop("fan") / Pa));
        print_rooms(clean);
        double least = 1e9, greatest = 0.0;
        for (const Room& r : rooms) {
            const double share = clean.flow(r.outlet) / L_per_s / r.design;
            least = std::min(least, share);
            greatest = std::max(greatest, share);
        }
        std::printf(
            "clean, the fan gives %.2f to %.2f times the design: its belt is set with a loaded filter in mind\n", least,
            greatest);

        // The second riser joins the two storeys: which way it runs is for the network to say.
        std::printf("\nsecond riser: %.1f L/s %s\n", clean.flow("second riser") / L_per_s,
                    clean.flow("second riser").value() > 0 ? "upwards" : "(downwards)");

        // A filter that loads: one shape, analysed once; each solution starts from the one before.
        std::printf("\n\n# filter's viscous resistance over clean, its drop [Pa], flow [L/s], then L/s to each room\n");
        const ElementCurve filter = table.filter("filter", air);
        NetworkSolution solution = clean;
        for (int step = 0; step <= 10; ++step) {
            const double factor = 1.0 + 0.5 * step;
            solver.set_part("filter", ElementCurve{factor * filter.linear, filter.quadratic, filter.stated_air});
            solution = solver.solve_from(solution.last_flows());
            print_limits(solution, true);
            std::printf("%4.1f %6.1f %6.1f ", factor, solution.pressure_drop("filter") / Pa,
                        solution.flow("filter") / L_per_s);
            for (const Room& r : rooms) std::printf(" %6.1f", solution.flow(r.outlet) / L_per_s);
            std::printf("\n");
        }

        std::printf("\n\n");
        print_way(clean, solution);

        std::printf("\n\n# the same with the foyer's damper shut to 60 degrees, clean filter\n# ");
        solver.set_part("filter", filter);
        solver.set_part("foyer damper", ButterflyDamper{200 * mm, 60.0});
        const NetworkSolution shut = solver.solve_from(clean.last_flows());
        for (const Room& r : rooms) {
            std::printf("%s %+.1f L/s%s", r.name, (shut.flow(r.outlet) - clean.flow(r.outlet)) / L_per_s,
                        &r == &rooms[5] ? "\n" : ", ");
        }
        std::printf(
            "# Airflow below the equipment's least overheats heaters and ices coils: its nameplate comes first.\n");
    } catch (const std::exception& error) {
        std::fprintf(stderr, "duct_network: %s\n", error.what());
        return 1;
    }
    return 0;
}
