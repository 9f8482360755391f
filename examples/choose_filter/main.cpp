// SPDX-License-Identifier: BSL-1.0

// choose_filter: a study of filters, from bench readings to a recommendation.
//   choose_filter STUDY.toml [--out DIR]   reads a study, prints the comparison, writes the report into DIR
//     [--draws N] [--seed S]               and draws it N times: how sure the choice is
//   choose_filter --start DIR              writes a commented study to begin from
// Ends with 0 if all went well, 1 for input that cannot be used (the message says where), 2 for wrong usage.

#include <iostream>

#include "program.hpp"

int main(int argc, char** argv) { return choose_filter::run_program(argc, argv, std::cout, std::cerr); }
