#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# Builds and runs every benchmark, prints the ratios that are goals, and writes all figures to a JSON file.
#
#   bench/run.sh [--json FILE] [--repetitions N] [--filter REGEX]
#
# A ratio compares two benchmarks of one process; absolute times belong to the machine. Each is shown with the flags
# that bring the speed and, as baseline, with plain ones.
set -euo pipefail
cd "$(dirname "$0")/.."

json=build/bench/results.json
repetitions=9
filter=.
while [ $# -gt 0 ]; do
    case "$1" in
        --json) json=${2:?--json needs a file}; shift 2 ;;
        --repetitions) repetitions=${2:?--repetitions needs a number}; shift 2 ;;
        --filter) filter=${2:?--filter needs a regular expression}; shift 2 ;;
        *) echo "bench/run.sh: unknown option $1" >&2; exit 2 ;;
    esac
done
command -v python3 > /dev/null || { echo "bench/run.sh: python3 is needed to gather the figures" >&2; exit 1; }

build=build/bench
mkdir -p build
cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Release -DFILTERFLOW_BUILD_TESTS=OFF -DFILTERFLOW_BUILD_EXAMPLES=OFF \
      -DFILTERFLOW_BUILD_BENCH=ON > "$build.log" 2>&1 || { cat "$build.log" >&2; exit 1; }
[ -f "$build/bench/flags.txt" ] ||
    { echo "bench/run.sh: Google Benchmark was not found (libbenchmark-dev)" >&2; exit 1; }
cmake --build "$build" -j "$(nproc)" --target benchmarks > "$build.log" 2>&1 || { cat "$build.log" >&2; exit 1; }

parts=$(mktemp -d)
trap 'rm -rf "$parts"' EXIT
for source in bench/*.cpp; do
    name=$(basename "$source" .cpp)
    for variant in bench baseline; do
        echo "running $variant of $name" >&2
        "$build/bench/${variant}_$name" --benchmark_filter="$filter" --benchmark_repetitions="$repetitions" \
            --benchmark_enable_random_interleaving=true --benchmark_out="$parts/$variant.$name.json" \
            --benchmark_out_format=json > "$parts/$variant.$name.txt" 2> "$parts/$variant.$name.err" ||
            { cat "$parts/$variant.$name.err" >&2; exit 1; }
    done
done
mkdir -p "$(dirname "$json")"
python3 bench/gather.py "$build/bench/flags.txt" "$parts" "$json"
