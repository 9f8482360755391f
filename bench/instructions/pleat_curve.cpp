// SPDX-License-Identifier: BSL-1.0
// Runs the pressure drops of one pleated filter at 256 flows so many times, typed or raw, filter and air checked once;
// bench/instructions.sh counts instructions.
//   instructions_pleat_curve typed|raw ROUNDS

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "../raw_pleats.hpp"

int main(int argc, char** argv) {
    using namespace raw_pleats;
    if (argc != 3) {
        std::fprintf(stderr, "usage: instructions_pleat_curve typed|raw ROUNDS\n");
        return 2;
    }
    const Cases c = cases(1.2, 0.5, 0.0);
    AirState air = fan_test_air();
    RawAir raw_air = raw_pleats::raw(air);
    keep_in_memory(air);
    keep_in_memory(raw_air);
    const RawFilter filter = raw_pleats::raw(c.filters[0]);
    std::vector<double> flows, raw_result(count);
    for (const VolumeFlow& flow : c.flows) flows.push_back(flow.value());
    std::vector<Pressure> result(count);
    const bool typed = std::string(argv[1]) == "typed";
    const long rounds = std::strtol(argv[2], nullptr, 10);
    for (long round = 0; round < rounds; ++round) {
        if (typed) {
            pressure_drops(c.filters[0], c.flows, air, result);
            keep_in_memory(result);
        } else {
            raw_drops(filter, flows, raw_air, raw_result);
            keep_in_memory(raw_result);
        }
    }
}
