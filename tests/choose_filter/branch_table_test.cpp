// SPDX-License-Identifier: BSL-1.0
// The table of branches of the example duct_network: the network it stands for, and what is wrong, shown where it
// stands.

#include <string>
#include <utility>

#include <filterflow/airflow/network.hpp>

#include "choose_filter/data_error.hpp"
#include "choose_filter/file_source.hpp"
#include "duct_network/branch_table.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

const std::string branch_rows =
    "branch,from,to,kind,diameter [mm],coefficient,flow [L/s],pressure [Pa],exponent,viscous share\n"
    "inlet,outdoors,box,fitting,200,1,,,,\n"
    "filter,box,hall,filter,,,100,50,,0.4\n"
    "coil,box,hall,coil,,,100,50,1.8,\n"
    "door,hall,outdoors,leak,,,100,50,0.5,\n";

std::string branches_refused(const std::string& text) {
    choose_filter::MemoryFiles files;
    files.add("branches.csv", text);
    try {
        const duct_network::BranchTable table(files, "branches.csv");
        const AirState air = duct_design_air();
        DuctNetwork network(air);
        table.add_to(network, air);
        table.refuse_loose_ends("outdoors");
        return "nothing";
    } catch (const choose_filter::DataError& error) {
        return error.what();
    }
}

std::string branches_with(const std::string& old, const std::string& now) {
    std::string text = branch_rows;
    text.replace(text.find(old), old.size(), now);
    return text;
}

}   // namespace

TEST_CASE("a table of branches is the network it states", "[own]") {
    // Second method: the same parts stated in code.
    choose_filter::MemoryFiles files;
    files.add("branches.csv", branch_rows);
    const duct_network::BranchTable table(files, "branches.csv");
    const AirState air = duct_design_air();
    DuctNetwork read(air), stated(air);
    table.add_to(read, air);
    table.refuse_loose_ends("outdoors");
    stated.add_branch({.name = "inlet", .from = "outdoors", .to = "box",
                       .part = DuctSegment{.diameter = 200 * mm, .loss_coefficient = 1.0}});
    stated.add_branch({.name = "filter", .from = "box", .to = "hall",
                       .part = ElementCurve{200 * Pa_s_per_m3, 3000 * Pa_s2_per_m6, air}});
    stated.add_branch({.name = "coil", .from = "box", .to = "hall",
                       .part = PowerLawPart{50 * Pa, 100 * L_per_s, 1.8, air}});
    stated.add_branch({.name = "door", .from = "hall", .to = "outdoors",
                       .part = LeakagePath{100 * L_per_s, 50 * Pa, 0.5}});
    for (DuctNetwork* n : {&read, &stated}) {
        n->fix_pressure("outdoors", 0 * Pa);
        n->set_demand("hall", 150 * L_per_s);
    }
    const NetworkSolution a = NetworkSolver(std::move(read)).solve(), b = NetworkSolver(std::move(stated)).solve();
    for (const char* branch : {"inlet", "filter", "coil", "door"}) {
        CHECK(a.flow(branch) / L_per_s == Approx(b.flow(branch) / L_per_s).epsilon(1e-9));
    }
}

TEST_CASE("what is wrong in a table of branches is shown where it stands", "[own]") {
    CHECK(branches_refused(branch_rows) == "nothing");
    CHECK_THAT(branches_refused(branches_with("filter,box", "filter,bocs") + "spare,box,bocs2,fitting,100,1,,,,\n"),
               Contains("branches.csv:3:8: a single branch dangles at the node 'bocs'") &&
                   Contains("there is a node 'bocs2': is one of the two mistyped?"));
    CHECK_THAT(branches_refused(branch_rows + "end,hall,attic,fitting,100,1,,,,\n"),
               Contains("branches.csv:6:10: a single branch dangles at the node 'attic'"));
    CHECK_THAT(branches_refused(branch_rows + "x,shed,barn,fitting,100,1,,,,\ny,barn,shed,fitting,100,1,,,,\n"),
               Contains("branches.csv:6:3: no path leads from the node 'shed' to 'outdoors'"));
    CHECK_THAT(branches_refused("branch,from,to,kind,diameter [mm],coefficient\nx,shed,barn,fitting,100,1\n"),
               Contains("branches.csv") && Contains("no branch reaches 'outdoors'"));
    CHECK_THAT(branches_refused(branches_with("coil,box", "filter,box")),
               Contains("branches.csv:4:1") && Contains("there are two branches 'filter'"));
    CHECK_THAT(branches_refused(branches_with(",,0.4", ",,1.4")),
               Contains("branches.csv:3:") && Contains("the viscous share 1.4 is no share; allowed: 0 to 1"));
    CHECK_THAT(branches_refused(branches_with("fitting", "fiting")), Contains("did you mean 'fitting'?"));
    CHECK_THAT(branches_refused(branches_with("coil,,,100,", "coil,,,,")),
               Contains("branches.csv:4:") && Contains("a branch of kind 'coil' needs a flow"));
}

TEST_CASE("a table of branches is read whole or not at all", "[own]") {
    CHECK_THAT(branches_refused(branches_with("fitting,200,1,,", "fitting,200,1,100,")),
               Contains("branches.csv:2:") && Contains("a branch of kind 'fitting' has no use for a flow"));
    const std::string ducts = "branch,from,to,kind,length [m],diameter [mm],width [mm],height [mm]\n";
    CHECK_THAT(branches_refused(ducts + "a,outdoors,b,duct,,200,,\n"),
               Contains("a branch of kind 'duct' needs a length"));
    CHECK_THAT(branches_refused(ducts + "a,outdoors,b,duct,3,,,\n"),
               Contains("a branch of kind 'duct' needs a diameter, or width and height"));
    CHECK_THAT(branches_refused(ducts + "a,outdoors,b,duct,3,200,300,200\n"),
               Contains("branches.csv:2:25: the branch has a diameter already"));
    for (const char* column : {"pressure", "total pressure", "static pressure", "external static pressure"}) {
        choose_filter::MemoryFiles files;
        files.add("branches.csv", "branch,from,to,kind,table\nfan,outdoors,hall,fan,fan.csv\n");
        files.add("fan.csv", "flow [L/s]," + std::string(column) + " [Pa]\n0,200\n100,150\n200,0\n");
        const duct_network::BranchTable table(files, "branches.csv");
        DuctNetwork network(duct_design_air());
        if (std::string(column) == "pressure") {
            CHECK_THROWS_WITH(table.add_to(network, duct_design_air()),
                              Contains("fan.csv:1") && Contains("does not say which pressure it states"));
        } else {
            table.add_to(network, duct_design_air());
            CHECK(network.branch_count() == 1);
        }
    }
}
