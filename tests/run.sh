#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# bash tests/run.sh [--fast] [--long] [--no-install]
# Installs missing packages, builds and runs all tests: g++ -O2 with warnings as errors, then clang++ with address
# and undefined sanitizers, then a minute of fuzzing for each parser.
#   --fast        g++ only: no sanitizers, no fuzzing
#   --long        ten minutes of fuzzing for each parser, other inputs each time; sweeps ten times as long
#   --no-install  install nothing
set -u
cd "$(dirname "${BASH_SOURCE[0]}")/.."

fast=0
install=1
fuzz_seconds=60
fuzz_seed=1   # the same inputs for every change; --long draws others
release_sweep=1
sanitizer_sweep=0.1
for option in "$@"; do
    case "$option" in
        --fast) fast=1 ;;
        --long) fuzz_seconds=600; fuzz_seed=0; release_sweep=10; sanitizer_sweep=1 ;;
        --no-install) install=0 ;;
        -h|--help) sed -n '3,8s/^# \{0,1\}//p' tests/run.sh; exit 0 ;;
        *) echo "tests/run.sh: unknown option $option (try --help)" >&2; exit 2 ;;
    esac
done

passed=0
failed=0
failures=()
result() {   # result NAME STATUS: counts one step
    if [[ "$2" == 0 ]]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        failures+=("$1")
    fi
}
finish() {
    echo
    if [[ ${#failures[@]} -gt 0 ]]; then printf 'Failed: %s\n' "${failures[@]}"; fi
    echo "Took $((SECONDS / 60)) min $((SECONDS % 60)) s."
    echo "$passed passed, $failed failed"
    [[ $failed == 0 && $passed -gt 0 ]]
    exit
}
headline() { printf '\n== %s (%d s)\n' "$1" "$SECONDS"; }

if [[ $install == 1 ]]; then
    headline "Packages"
    bash scripts/install_packages.sh build examples tests python bench cluster ||
        { result "installing packages" 1; finish; }
fi
if ! command -v ccache >/dev/null; then launcher=(); else launcher=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
export CCACHE_SLOPPINESS="${CCACHE_SLOPPINESS-pch_defines,time_macros}"

# configuration PRESET TARGET...: configures, builds, runs ctest and counts its test cases.
configuration() {
    local preset="$1" report status
    shift
    report="$PWD/build/$preset/results.xml"
    mkdir -p "build/$preset"
    headline "$preset: configure and build"
    if ! cmake --preset "$preset" "${launcher[@]}" >"build/$preset/configure.log" 2>&1; then
        cat "build/$preset/configure.log"
        result "$preset: configure" 1
        return
    fi
    cmake --build "build/$preset" --parallel 2 --target "$@" -- -k 0 >"build/$preset/build.log" 2>&1
    status=$?
    if [[ $status != 0 ]]; then grep -vE '^\[[0-9]+/[0-9]+\] ' "build/$preset/build.log" | head -n 100; fi
    result "$preset: build without warnings (build/$preset/build.log)" $status
    headline "$preset: tests"
    rm -f "$report"
    ctest --test-dir "build/$preset" --parallel 2 --output-on-failure --no-tests=error \
        --output-junit "$report" --test-output-size-passed 1000000 >"build/$preset/ctest.log" 2>&1
    status=$?
    if [[ $status == 0 ]]; then
        grep -E '^ *[0-9]+/[0-9]+ Test' "build/$preset/ctest.log"
    else
        cat "build/$preset/ctest.log"
    fi
    local counts
    if counts="$(python3 tests/count_results.py "$report" "$status")"; then
        read -r new_passed new_failed <<<"$counts"
        passed=$((passed + new_passed))
        failed=$((failed + new_failed))
        if [[ $new_failed != 0 ]]; then failures+=("$preset: $new_failed in ctest (build/$preset/ctest.log)"); fi
    else
        result "$preset: ctest gave no results" 1
    fi
}

FILTERFLOW_SWEEP_FACTOR="$release_sweep" configuration release all

if [[ $fast == 0 ]]; then
    export FILTERFLOW_SWEEP_FACTOR="$sanitizer_sweep"
    export UBSAN_OPTIONS=print_stacktrace=1
    configuration asan-ubsan all
    unset FILTERFLOW_SWEEP_FACTOR

    headline "Fuzzing, $fuzz_seconds s each, two at a time"
    fuzz() {   # fuzz NAME: what is tried and found goes to its log
        local work="build/asan-ubsan/fuzz/$1" corpora dictionary=()
        mkdir -p "$work/corpus"
        corpora=("$work/corpus")
        if [[ -d "tests/fuzz/${1%_fuzz}_corpus" ]]; then corpora+=("tests/fuzz/${1%_fuzz}_corpus"); fi
        if [[ -f "tests/fuzz/${1%_fuzz}.dict" ]]; then dictionary=("-dict=tests/fuzz/${1%_fuzz}.dict"); fi
        "build/asan-ubsan/tests/fuzz/$1" "-max_total_time=$fuzz_seconds" "-seed=$fuzz_seed" -max_len=8192 -timeout=20 \
            -print_final_stats=1 "-artifact_prefix=$work/" "${dictionary[@]}" "${corpora[@]}" >"$work/log" 2>&1
    }
    names=()
    for source in tests/fuzz/*_fuzz.cpp; do
        [[ -e "$source" ]] || { result "no fuzz target found" 1; break; }
        names+=("$(basename "$source" .cpp)")
    done
    for ((i = 0; i < ${#names[@]}; i += 2)); do
        running=()
        for name in "${names[@]:i:2}"; do
            mkdir -p "build/asan-ubsan/fuzz/$name"
            fuzz "$name" &
            running+=("$name" "$!")
        done
        for ((k = 0; k < ${#running[@]}; k += 2)); do
            name="${running[k]}"
            log="build/asan-ubsan/fuzz/$name/log"
            wait "${running[k + 1]}"
            status=$?
            if [[ $status != 0 ]]; then tail -n 40 "$log"; fi
            echo "$name: $(sed -n 's/^stat::number_of_executed_units: *//p' "$log") inputs tried"
            result "fuzzing $name ($log)" $status
        done
    done
fi
finish
