#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# What including each public header costs: CPU seconds and memory of the compiler, beside what programs of the kind
# include anyway. Exits with 1 if a ratio that is a goal is exceeded.
#
#   bench/compile_time.sh [--runs N] [--goals-only]
#
# Each header is a translation unit of one include. The runs go round all of them in turn, so that a busy machine is
# felt by all; the median of each is taken. CXX names the compiler (g++ if unset), CXXFLAGS its flags (-O2).
set -euo pipefail
cd "$(dirname "$0")/.."

runs=3
goals_only=
while [ $# -gt 0 ]; do
    case "$1" in
        --runs) runs=${2:?--runs needs a number}; shift 2 ;;
        --goals-only) goals_only=yes; shift ;;
        *) echo "bench/compile_time.sh: unknown option $1" >&2; exit 2 ;;
    esac
done
command -v python3 > /dev/null || { echo "bench/compile_time.sh: python3 is needed to measure" >&2; exit 1; }
compiler=${CXX:-g++}
command -v "${compiler%% *}" > /dev/null || { echo "bench/compile_time.sh: no compiler $compiler" >&2; exit 1; }
eigen=/usr/include/eigen3
if command -v pkg-config > /dev/null && pkg-config --exists eigen3; then
    eigen=$(pkg-config --cflags-only-I eigen3 | sed 's/^-I//; s/ *$//')
fi
CCACHE_DISABLE=1 exec python3 bench/compile_time.py --runs "$runs" ${goals_only:+--goals-only} \
    --include include --system-include "$eigen" -- $compiler -std=c++20 ${CXXFLAGS:--O2}
