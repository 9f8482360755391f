# SPDX-License-Identifier: BSL-1.0
"""Gathers the JSON files of the benchmarks into one and prints medians and the ratios that are goals."""
import json
import pathlib
import sys

# What is compared with what, in one process, and the goal for the flags that bring the speed.
RATIOS = [
    ("operating_point/scalar", "operating_point/toms748_full_range", "at most 0.12"),
    ("operating_point/batch", "operating_point/toms748_full_range", "at most 0.06"),
    ("operating_point/three_sensitivities", "operating_point/scalar", "at most 1.2"),
    ("operating_point/all_sensitivities", "operating_point/scalar", "no goal"),
    ("friction/colebrook_batch", "friction/fixed_point", "at most 0.1"),
    ("typed_vs_raw/polynomial_typed", "typed_vs_raw/polynomial_raw", "1.00 within noise"),
    ("typed_vs_raw/operating_point_typed", "typed_vs_raw/operating_point_raw", "1.00 within noise"),
    ("pleats/linear_closed_form", "pleats/tridiagonal_100_cells", "at most 0.033"),
    ("pleats/general_pressure_drop", "pleats/shooting_1e-9", "at most 0.33"),
    ("pleats/optimum_count", "pleats/thirty_evaluations", "at most 1"),
    ("pleats/optimum_count_general", "pleats/thirty_evaluations_general", "at most 1"),
    ("pleats/parts_typed", "pleats/parts_raw", "1.00 within noise"),
    ("ratings/resampled", "ratings/plain_scalar", "at most 0.1"),
    ("ratings/resampled", "ratings/plain_scalar_weights_kept", "at most 0.1"),
    ("fibres/curve_12_sizes", "fibres/transcendental_calls_alone", "at most 1.5"),
    ("fibres/curves_at_once", "fibres/curve_12_sizes", "at most 0.33"),
    ("networks/grid_1e5", "networks/bare_factorisations_1e5", "at most 1.3"),
    ("networks/grid_of_ducts_1e5", "networks/bare_factorisations_ducts_1e5", "at most 1.3"),
    ("networks/grid_1e5", "networks/bare_in_our_order_1e5", "no goal"),
    ("networks/grid_of_ducts_1e5", "networks/bare_in_our_order_ducts_1e5", "no goal"),
    ("networks/whole_1e4", "networks/whole_1e3", "at most 4.0 (growth by n^1.6)"),
    ("networks/whole_1e5", "networks/whole_1e4", "at most 4.0 (growth by n^1.6)"),
    ("networks/whole_1e6", "networks/whole_1e5", "at most 4.0 (growth by n^1.6)"),
    ("networks/tree_1e5", "networks/sparse_tree_1e5", "no goal"),
    ("networks/tree_1e6", "networks/sparse_tree_1e6", "at most 0.1"),
    ("networks/same_shape", "networks/afresh", "no goal"),
    ("random_streams/words", "random_streams/words_mt19937_64", "no goal"),
    ("random_streams/uniforms", "random_streams/uniforms_standard", "no goal"),
    ("random_streams/normals", "random_streams/normals_standard", "at most 0.3"),
    ("uncertainty/first_order", "uncertainty/one_evaluation", "at most 3"),
    ("uncertainty/year_first_order", "uncertainty/year_evaluation", "at most 3"),
    ("uncertainty/joint_draws", "uncertainty/standard_draws", "no goal"),
    ("monte_carlo_chain/chain", "monte_carlo_chain/plain", "at most 0.1"),
    ("monte_carlo_chain/two_threads_clock/real_time", "monte_carlo_chain/one_thread_clock/real_time",
     "at most 0.625"),
    ("lives/year_in_dose", "lives/toms748_8760_hours", "at most 0.002"),
    ("lives/whole_life", "lives/toms748_8760_hours", "at most 0.002"),
    ("lives/hourly_series", "lives/toms748_8760_hours", "no goal"),
    ("lives/lockstep_three_speeds/0", "lives/toms748_three_speeds/0", "at most 0.0167 a filter"),
    ("lives/lockstep_any_speed/1", "lives/toms748_any_speed/1", "at most 0.0167 a filter"),
    ("change_interval/optimum", "change_interval/one_life", "at most 3"),
    ("portfolio/two_threads", "portfolio/one_thread", "at most 0.625 (1.6 times as fast)"),
]


def main(flags_file, parts, out):
    flags = dict(line.split(" ", 1) for line in pathlib.Path(flags_file).read_text().splitlines())
    merged = {"context": None, "benchmarks": []}
    medians, spreads = {}, {}
    for path in sorted(pathlib.Path(parts).glob("*.json")):
        variant = path.name.split(".")[0]
        if path.stat().st_size == 0:   # nothing matched the filter
            continue
        data = json.loads(path.read_text())
        merged["context"] = merged["context"] or data["context"]
        for entry in data["benchmarks"]:
            if entry.get("error_occurred"):
                sys.exit(f"{entry['name']}: {entry['error_message']}")
            entry["variant"], entry["flags"] = variant, flags[variant]
            merged["benchmarks"].append(entry)
            if entry.get("aggregate_name") == "median":
                medians[variant, entry["run_name"]] = 1e9 / entry["items_per_second"]
            if entry.get("aggregate_name") == "cv":
                spreads[variant, entry["run_name"]] = entry["cpu_time"]
    pathlib.Path(out).write_text(json.dumps(merged, indent=1) + "\n")

    for variant in ("bench", "baseline"):
        rows = [(name, value) for (v, name), value in medians.items() if v == variant]
        if not rows:
            continue
        print(f"\n{variant} flags: {flags[variant]}")
        for name, value in rows:
            print(f"  {name:44s} {value:9.1f} ns an item   +-{100 * spreads[variant, name]:.1f} %")
    print("\nratios (medians of one run)" + f"{flags['bench']:>40s}{flags['baseline']:>12s}   goal")
    for top, bottom, goal in RATIOS:
        cells = []
        for variant in ("bench", "baseline"):
            if (variant, top) in medians and (variant, bottom) in medians:
                cells.append(f"{medians[variant, top] / medians[variant, bottom]:.3f}")
            else:
                cells.append("-")
        label = f"{top} / {bottom.split('/')[1]}"
        print(f"  {label:58s} {cells[0]:>6s}{cells[1]:>12s}   {goal}")
    print(f"\nall figures: {out}")


if __name__ == "__main__":
    main(*sys.argv[1:])
