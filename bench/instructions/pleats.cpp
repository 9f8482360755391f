// SPDX-License-Identifier: BSL-1.0
// Runs the pressure drop of pleated filters so many times, typed or raw; bench/instructions.sh counts instructions.
//   instructions_pleats typed|raw ROUNDS

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "../raw_pleats.hpp"

int main(int argc, char** argv) {
    using namespace raw_pleats;
    if (argc != 3) {
        std::fprintf(stderr, "usage: instructions_pleats typed|raw ROUNDS\n");
        return 2;
    }
    const Cases c = cases(1.2, 0.5, 0.0);
    AirState air = fan_test_air();
    RawAir raw_air = raw_pleats::raw(air);
    keep_in_memory(air);
    keep_in_memory(raw_air);
    std::vector<RawFilter> filters;
    std::vector<double> flows;
    for (std::size_t i = 0; i < count; ++i) {
        filters.push_back(raw_pleats::raw(c.filters[i]));
        flows.push_back(c.flows[i].value());
    }
    const bool typed = std::string(argv[1]) == "typed";
    const long rounds = std::strtol(argv[2], nullptr, 10);
    for (long round = 0; round < rounds; ++round) {
        for (std::size_t i = 0; i < count; ++i) {
            if (typed) {
                PleatedDrop drop = pressure_drop_parts(c.filters[i], c.flows[i], air);
                keep_in_memory(drop);
            } else {
                RawDrop drop = raw_drop(filters[i], flows[i], raw_air);
                keep_in_memory(drop);
            }
        }
    }
}
