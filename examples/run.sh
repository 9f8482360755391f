#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# bash examples/run.sh [OUT]
# Builds choose_filter and runs it on the invented study of the Tern Lane Arts Centre: prints the ranked table and
# leaves report.html, results.csv, filters.csv and results.json in OUT (default build/demo).
set -eu
start="$PWD"
cd "$(dirname "${BASH_SOURCE[0]}")/.."
case "${1-}" in
    -h|--help) sed -n '3,5s/^# //p' examples/run.sh; exit 0 ;;
    "") out=build/demo ;;
    /*) out="$1" ;;
    *) out="$start/$1" ;;
esac

bash scripts/install_packages.sh build examples
mkdir -p build
log=build/demo-build.log
echo "Building choose_filter (two to three minutes; log in $log)"
if ! { cmake -S . -B build/demo-build -G Ninja -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_FLAGS_RELEASE=-O2 \
           -DFILTERFLOW_BUILD_TESTS=OFF -DFILTERFLOW_BUILD_BENCH=OFF -DFILTERFLOW_JOIN_SOURCES=ON &&
       cmake --build build/demo-build --target choose_filter --parallel 2; } >"$log" 2>&1; then
    tail -n 40 "$log" >&2
    echo "examples/run.sh: the build failed; its whole log is $log" >&2
    exit 1
fi
build/demo-build/examples/choose_filter examples/tern_lane/study.toml --out "$out"
