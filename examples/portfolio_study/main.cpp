// SPDX-License-Identifier: BSL-1.0

// portfolio_study: the best filter for each of many systems.
//   portfolio_study SYSTEMS.csv --candidates FILE --out DIR [--threads N] [--shard I/N] [--draws N] [--seed S]
//   [--netcdf] portfolio_study --scenario N --candidates FILE --out DIR ...   an invented portfolio portfolio_study
//   --merge DIR... --out DIR                        puts shards together portfolio_study --candidates-of STUDY.toml
//   --out FILE           a table of candidates from a study
// Ends with 0 if all went well, 1 for input that cannot be used (the message says where), 2 for wrong usage.

#include <iostream>

#include <unistd.h>

#include "program.hpp"

int main(int argc, char** argv) {
    return portfolio_study::run_program(argc, argv, std::cout, std::cerr, ::isatty(STDERR_FILENO) == 1);
}
