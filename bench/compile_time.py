# SPDX-License-Identifier: BSL-1.0
"""Measures CPU seconds and memory of a compiler on translation units of a few includes. Called by compile_time.sh."""
import argparse
import os
import pathlib
import statistics
import sys
import tempfile

STANDARD = ["vector", "span", "string"]
UNITS = STANDARD + ["boost/units/systems/si.hpp"]
NUMERICS = ["Eigen/Sparse", "boost/math/distributions/normal.hpp"]

# What a header is compared with, and the greatest ratio of CPU seconds.
GOALS = [
    ("filterflow/airflow/operating_point.hpp", UNITS, 1.4),
    ("filterflow/filterflow.hpp", NUMERICS, 1.5),
]


def compile_once(command, source):
    """CPU seconds and peak memory [MB] of the compiler and its children."""
    pid = os.posix_spawnp(command[0], command + ["-c", source, "-o", os.devnull], os.environ)
    _, status, usage = os.wait4(pid, 0)
    if status != 0:
        sys.exit(f"{source} does not compile")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--goals-only", action="store_true")
    parser.add_argument("--include", required=True)
    parser.add_argument("--system-include", required=True)
    parser.add_argument("compiler", nargs="+")
    options = parser.parse_args()
    if options.runs < 1:
        parser.error("--runs must be at least 1")
    command = options.compiler + ["-I" + options.include, "-isystem", options.system_include]

    root = pathlib.Path(options.include)
    rooms = [str(path.relative_to(root)) for path in sorted(root.rglob("*.hpp"))]
    if options.goals_only:
        rooms = [header for header, _, _ in GOALS]
    units = [tuple(STANDARD), tuple(UNITS), tuple(NUMERICS)] + [(header,) for header in rooms]
    samples = {unit: [] for unit in units}
    with tempfile.TemporaryDirectory() as directory:
        sources = {}
        for number, unit in enumerate(units):
            source = pathlib.Path(directory, f"unit_{number}.cpp")
            source.write_text("".join(f"#include <{header}>\n" for header in unit))
            sources[unit] = str(source)
        for run in range(options.runs):
            print(f"run {run + 1} of {options.runs}", file=sys.stderr)
            for unit in units:
                samples[unit].append(compile_once(command, sources[unit]))

    seconds = {unit: statistics.median(s for s, _ in values) for unit, values in samples.items()}
    memory = {unit: statistics.median(m for _, m in values) for unit, values in samples.items()}
    print(f"# {' '.join(options.compiler)}; medians of {options.runs}")
    print(f"# {'included':78s} {'CPU s':>6s} {'MB':>5s}")
    for unit in units:
        print(f"{', '.join(unit):80s} {seconds[unit]:6.2f} {memory[unit]:5.0f}")

    print(f"\n# {'ratio':96s} {'CPU s':>6s} {'MB':>6s}")
    missed = False
    for header, baseline, limit in GOALS:
        ratio = seconds[(header,)] / seconds[tuple(baseline)]
        missed = missed or ratio > limit
        label = f"{header} / ({', '.join(baseline)})"
        print(f"{label:98s} {ratio:6.2f} {memory[(header,)] / memory[tuple(baseline)]:6.2f}   "
              f"at most {limit}: {'missed' if ratio > limit else 'met'}")
    sys.exit(1 if missed else 0)


main()
