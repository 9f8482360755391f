# SPDX-License-Identifier: BSL-1.0
"""Runs portfolio_study as its users do, where a test inside one process cannot: over the ranks of MPI, and its netCDF
file read by SciPy, its CSV file by pandas and R where they are there.

    check_program.py ranks PROGRAM MPIRUN       two and three processes give the bytes of one
    check_program.py columns PROGRAM            results.nc holds what results.csv does
    check_program.py r PROGRAM RSCRIPT          R reads results.csv as docs/portfolio.md says, and results.nc by ncdf4
"""
import csv
import math
import os
import pathlib
import signal
import subprocess
import sys
import tempfile
import time

CANDIDATES = "examples/tern_lane/portfolio_candidates.csv"
ENVIRONMENT = dict(os.environ, OMPI_ALLOW_RUN_AS_ROOT="1", OMPI_ALLOW_RUN_AS_ROOT_CONFIRM="1",
                   OMPI_MCA_rmaps_base_oversubscribe="1", OMPI_MCA_btl_vader_single_copy_mechanism="none")

LEFT_OUT = 77   # the status by which ctest knows it


def run(*command, status=0):
    done = subprocess.run([str(part) for part in command], env=ENVIRONMENT, capture_output=True, text=True, timeout=100)
    if done.returncode != status:
        sys.exit(f"{command} ended with {done.returncode} instead of {status}\n{done.stdout}\n{done.stderr}")
    return done


def scenario(out, systems=14):
    return ["--scenario", str(systems), "--candidates", CANDIDATES, "--block", "3", "--draws", "3", "--out", str(out)]


def require(holds, what):
    if not holds:
        sys.exit(f"failed: {what}")
    print(f"passed: {what}")


def check_ranks(folder, program, mpirun):
    starts = subprocess.run([mpirun, "-n", "2", "true"], env=ENVIRONMENT, capture_output=True, text=True, timeout=100)
    if starts.returncode != 0:   # as where a machine lets no process open a socket
        print(f"left out: {mpirun} cannot start two processes here\n{starts.stderr}")
        sys.exit(LEFT_OUT)
    alone = run(program, *scenario(folder / "alone"), "--threads", "1")
    expected = (folder / "alone" / "results.csv").read_bytes()
    for ranks in ("2", "3"):
        out = folder / f"ranks {ranks}"
        together = run(mpirun, "-n", ranks, program, *scenario(out))
        require((out / "results.csv").read_bytes() == expected, f"{ranks} ranks give the bytes of one process")
        require(together.stdout == alone.stdout.replace(str(folder / "alone"), str(out)),
                "and the summary is printed once")
    out = folder / "two ranks of two threads"
    run(mpirun, "-n", "2", program, *scenario(out), "--threads", "2")
    require((out / "results.csv").read_bytes() == expected, "two ranks of two threads, too")

    out = folder / "killed"
    systems = 600
    process = subprocess.Popen([mpirun, "-n", "2", program, *scenario(out, systems)], env=ENVIRONMENT,
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while process.poll() is None and len(list(out.glob("blocks/block_*.csv"))) < 3:
        time.sleep(0.002)
    process.send_signal(signal.SIGTERM)   # mpirun ends its ranks
    process.wait(timeout=60)
    kept = {path.name: path.stat().st_ino for path in out.glob("blocks/block_*.csv")}
    require(3 <= len(kept) < systems // 3 and not (out / "results.csv").exists(), "ranks are killed at work")
    run(program, *scenario(out, systems))
    run(program, *scenario(folder / "alone longer", systems))
    require((out / "results.csv").read_bytes() == (folder / "alone longer" / "results.csv").read_bytes(),
            "one process goes on where two ranks were killed")
    require(all((out / "blocks" / name).stat().st_ino == inode for name, inode in kept.items()),
            "and computes nothing twice")

    wrong = folder / "wrong.csv"
    wrong.write_text("candidate,linear [Pa s/m3]\npad,40\n")
    refused = run(mpirun, "-n", "2", program, "--scenario", "9", "--candidates", wrong,
                  "--out", folder / "none", status=1)
    require(refused.stderr.count("the column 'quadratic' is missing") == 1 and not (folder / "none").exists(),
            "an error is told by one rank, nothing is written, none waits for the other")


def check_columns(folder, program):
    import scipy.io
    run(program, *scenario(folder, 14), "--netcdf")
    with open(folder / "results.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    with scipy.io.netcdf_file(folder / "results.nc", "r", mmap=False) as file:
        dimensions, variables = file.dimensions, file.variables
        require(dimensions["system"] == 14 and dimensions["candidate"] == 6,
                "its dimensions are systems and candidates")

        def text(name, index):
            return b"".join(variables[name][index]).rstrip(b"\0").decode()

        figures = [column for column in rows[0] if column.split(" ")[0] in variables and column not in
                   ("status", "changed_by", "failed_limits", "present", "best", "extrapolated")]
        require(len(figures) == 13, "every figure is a variable")
        compared = 0
        for i, row in enumerate(rows):
            at = divmod(i, 6)
            same = text("system_name", at[0]) == row["system"] and text("candidate_name", at[1]) == row["candidate"]
            for column in figures:
                variable = variables[column.split(" ")[0]]
                unit = column.split("[")[1][:-1] if "[" in column else "1"
                value = variable[at]
                missing = value == variable._FillValue
                same = same and variable.units.decode() == unit and missing == (row[column] == "")
                same = same and (missing or value == float(row[column]))
                compared += 1
            for column in ("status", "changed_by", "present", "best", "extrapolated"):
                meanings = variables[column].flag_meanings.decode().split(" ")
                same = same and meanings[variables[column][at]] == (row[column] or "none").replace(" ", "_")
            limits = variables["failed_limits"]
            masks = zip(limits.flag_masks, limits.flag_meanings.decode().split(" "))
            failed = [meaning for mask, meaning in masks if limits[at] & mask]
            same = same and failed == [name.replace(" ", "_") for name in row["failed_limits"].split("; ") if name]
            if not same:
                sys.exit(f"failed: row {i + 1} differs")
        require(compared == 14 * 6 * 13, f"{compared} figures are equal to the last digit")
    try:
        import pandas
    except ImportError:
        print("pandas is not there")
        return
    frame = pandas.read_csv(folder / "results.csv")
    require(len(frame) == len(rows) and frame["annual_cost [money]"].dtype == "float64" and
            frame["best"].value_counts().get("yes", 0) == sum(row["best"] == "yes" for row in rows),
            "pandas reads results.csv as columns")


R_COLUMNS = """
setwd(commandArgs(TRUE)[1])
table <- read.csv("results.csv", check.names = FALSE)
for (name in names(table)) {
    column <- table[[name]]
    number <- is.numeric(column)
    cat(name, class(column), sum(is.na(column)), if (number) sprintf("%.17g", sum(column, na.rm = TRUE)) else "",
        sum(column == "yes", na.rm = TRUE), sep = "\\t")
    cat("\\n")
}
if (file.exists("results.nc") && requireNamespace("ncdf4", quietly = TRUE)) {
    file <- ncdf4::nc_open("results.nc")
    cost <- as.vector(ncdf4::ncvar_get(file, "annual_cost"))
    same <- isTRUE(all.equal(cost, table[["annual_cost [money]"]], tolerance = 1e-14)) && sum(!is.na(cost)) > 0
    cat("ncdf4", same, sep = "\\t")
    cat("\\n")
}
"""


def check_r(folder, program, rscript):
    has_netcdf = subprocess.run([program, *scenario(folder, 14), "--netcdf"], capture_output=True).returncode == 0
    if not has_netcdf:
        run(program, *scenario(folder, 14))
    with open(folder / "results.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    script = folder / "columns.R"
    script.write_text(R_COLUMNS)
    lines = [line.split("\t") for line in run(rscript, "--vanilla", script, folder).stdout.splitlines()]
    columns = {line[0]: line[1:] for line in lines if line[0] != "ncdf4"}
    require(list(columns) == list(rows[0]), "R reads the names of the columns with their units")
    numbers = 0
    for name, (kind, missing, total, yes) in columns.items():
        cells = [row[name] for row in rows]
        if kind in ("numeric", "integer"):
            values = [float(cell) for cell in cells if cell]
            same = int(missing) == cells.count("") and math.isclose(float(total), math.fsum(values), rel_tol=1e-12)
            numbers += 1
        else:
            same = int(yes) == cells.count("yes")
        if not same:
            sys.exit(f"failed: R reads the column '{name}' as {kind}, {missing} missing, sum {total}, {yes} yes")
    require(numbers == 14, "13 figures and the system's number are numbers, with the sums and gaps of the file")
    for line in lines:
        if line[0] == "ncdf4":
            require(line[1] == "TRUE", "ncdf4 reads the yearly costs of results.nc in the order of results.csv")


with tempfile.TemporaryDirectory() as name:
    if sys.argv[1] == "ranks":
        check_ranks(pathlib.Path(name), pathlib.Path(sys.argv[2]), sys.argv[3])
    elif sys.argv[1] == "r":
        check_r(pathlib.Path(name), pathlib.Path(sys.argv[2]), sys.argv[3])
    else:
        check_columns(pathlib.Path(name), pathlib.Path(sys.argv[2]))
