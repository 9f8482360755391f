#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# Counts the instructions of typed functions and of their raw twins with callgrind, and prints the ratios. Instructions
# do not depend on what else the machine does. Needs valgrind.
#
#   bench/instructions.sh
set -euo pipefail
cd "$(dirname "$0")/.."
command -v valgrind > /dev/null || { echo "bench/instructions.sh: valgrind is needed" >&2; exit 1; }

build=build/bench
mkdir -p build
cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Release -DFILTERFLOW_BUILD_TESTS=OFF -DFILTERFLOW_BUILD_EXAMPLES=OFF \
      -DFILTERFLOW_BUILD_BENCH=ON > "$build.log" 2>&1 || { cat "$build.log" >&2; exit 1; }
cmake --build "$build" -j "$(nproc)" --target instructions > "$build.log" 2>&1 || { cat "$build.log" >&2; exit 1; }

# Instructions of a run with so many rounds of 256 items.
instructions() {
    valgrind --tool=callgrind --callgrind-out-file=/dev/null "$1" "$2" "$3" 2>&1 |
        sed -n 's/.*Collected : //p'
}
# Instructions of one item: the difference of two runs, free of what comes before the rounds.
per_item() {
    local few many
    few=$(instructions "$1" "$2" 10)
    many=$(instructions "$1" "$2" 110)
    echo $(((many - few) / (100 * 256)))
}

printf '%-48s %8s %8s %8s\n' "instructions an item" typed raw ratio
for program in "$build"/bench/*_instructions_*; do
    typed=$(per_item "$program" typed)
    raw=$(per_item "$program" raw)
    printf '%-48s %8d %8d %8s\n' "$(basename "$program")" "$typed" "$raw" \
        "$(awk "BEGIN {printf \"%.3f\", $typed / $raw}")"
done
