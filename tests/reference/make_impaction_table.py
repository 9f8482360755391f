# SPDX-License-Identifier: BSL-1.0
"""Computes the table of interception and impaction that include/filterflow/capture/single_fibre_trajectories.hpp holds.

Trajectories of a sphere with Stokes drag in Kuwabara's cell (two dimensions, no gravity) that enters the cell with the
uniform velocity U; the outermost that touches the fibre, over the fibre's radius, is the efficiency. Runge-Kutta of
fourth order, bisection on the entry. Own work, unpublished. With the fluid's velocity where the particle enters the
cell, in place of U, the result is lower: how much, impaction_entry.csv says.

  python3 make_impaction_table.py            write impaction_table.csv and impaction_entry.csv beside this script
  python3 make_impaction_table.py --entry    write the latter alone
  python3 make_impaction_table.py --check    compute some rows of both again and compare
"""
import csv
import math
import pathlib
import sys

SOLIDITY = [0.01, 0.02, 0.05, 0.1]
RATIO = [0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.8]
STOKES = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0]
FILE = pathlib.Path(__file__).with_name("impaction_table.csv")
ENTRY_FILE = pathlib.Path(__file__).with_name("impaction_entry.csv")
# Groups of the comparison of entries, and those of the picture docs/images/impaction_ways.svg: solidity, R, Stk.
ENTRY = [(a, ratio, stokes) for a in (0.01, 0.05, 0.1) for ratio in (0.02, 0.1, 0.4)
         for stokes in (0.1, 0.5, 1.0, 2.0, 5.0, 10.0)]


def kuwabara(a):
    return -0.5 * math.log(a) - 0.75 + a - 0.25 * a * a


def interception(a, ratio):
    r = 1.0 + ratio
    return r / (2.0 * kuwabara(a)) * (2.0 * math.log(r) - 1.0 + a + (1.0 - 0.5 * a) / r**2 - 0.5 * a * r**2)


def touches(a, ratio, stokes, entry, with_fluid=False):
    """Whether the particle that enters at this height, over the fibre's radius, touches the fibre."""
    ku2, rim = 2.0 * kuwabara(a), 1.0 / math.sqrt(a)
    rate = 0.5 / stokes   # over the relaxation time, in units of U over the radius

    def fluid(x, y):
        r2 = x * x + y * y
        r = math.sqrt(r2)
        c, s, log = x / r, y / r, math.log(r)
        f = (2.0 * log - 1.0 + a + (1.0 - 0.5 * a) / r2 - 0.5 * a * r2) / ku2   # stream function r f sin
        g = (2.0 - 2.0 * (1.0 - 0.5 * a) / r2 - a * r2) / ku2   # r df/dr
        ur, ut = f * c, -(f + g) * s
        return ur * c - ut * s, ur * s + ut * c

    def slope(x, y, vx, vy):
        ux, uy = fluid(x, y)
        return vx, vy, (ux - vx) * rate, (uy - vy) * rate

    start = (-math.sqrt(rim * rim - entry * entry), entry)
    state = (*start, *(fluid(*start) if with_fluid else (1.0, 0.0)))
    while True:
        r = math.hypot(state[0], state[1])
        h = min(0.02 * max(r - 1.0, ratio) / math.hypot(state[2], state[3]), 0.25 / rate)
        k1 = slope(*state)
        k2 = slope(*(z + 0.5 * h * k for z, k in zip(state, k1)))
        k3 = slope(*(z + 0.5 * h * k for z, k in zip(state, k2)))
        k4 = slope(*(z + h * k for z, k in zip(state, k3)))
        state = tuple(z + h / 6.0 * (p + 2.0 * q + 2.0 * s + t) for z, p, q, s, t in zip(state, k1, k2, k3, k4))
        x, y, vx, vy = state
        r = math.hypot(x, y)
        if r <= 1.0 + ratio:
            return True
        if x > 0.0 and x * vx + y * vy > 0.0:
            return False
        if r > 1.01 * rim:
            return False


def efficiency(a, ratio, stokes, with_fluid=False):
    low, high = 0.0, min(0.999 / math.sqrt(a), 3.0)
    while high - low > 2e-6 * high:
        middle = 0.5 * (low + high)
        if touches(a, ratio, stokes, middle, with_fluid):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def check(path, column, step, with_fluid):
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row in rows[5::step]:
        a, ratio, stokes = (float(row[name]) for name in ("solidity", "R", "Stk_df"))
        again, stored = efficiency(a, ratio, stokes, with_fluid), float(row[column])
        print(a, ratio, stokes, stored, again)
        if abs(again - stored) > 1e-4 * stored:
            sys.exit(f"{path.name} does not come from this script")


def write_entry():
    picture = [(0.06, float(size) / 3.0, float(stokes)) for size, stokes in picture_sizes()]
    with ENTRY_FILE.open("w", encoding="utf-8") as file:
        file.write("solidity,R,Stk_df,E_R_plus_I,E_R_plus_I_fluid_entry,source\n")
        for a, ratio, stokes in ENTRY + picture:
            both = efficiency(a, ratio, stokes), efficiency(a, ratio, stokes, True)
            file.write(f"{a},{ratio:.6g},{stokes},{both[0]:.6g},{both[1]:.6g},\"own trajectories in Kuwabara's cell, "
                       "uniform velocity at entry and that of the fluid\"\n")
            file.flush()


def picture_sizes():
    """Sizes in um with their Stokes numbers at fibres of 3 um, as the example fibre_efficiency prints them."""
    text = FILE.parents[2].joinpath("examples/expected/fibre_efficiency.txt").read_text(encoding="utf-8")
    block = text.split("# size [um], Stokes number;")[1].split("\n\n")[0].splitlines()[1:]
    return [line.split()[:2] for line in block]


def main():
    if "--check" in sys.argv:
        check(FILE, "E_R_plus_I", 67, False)
        check(ENTRY_FILE, "E_R_plus_I_fluid_entry", 23, True)
        return
    if "--entry" in sys.argv:
        write_entry()
        return
    with FILE.open("w", encoding="utf-8") as file:
        file.write("solidity,R,Stk_df,E_R_exact,E_R_plus_I,source\n")
        for a in SOLIDITY:
            for ratio in RATIO:
                for stokes in STOKES:
                    e = efficiency(a, ratio, stokes)
                    file.write(f"{a},{ratio},{stokes},{interception(a, ratio):.6g},{e:.6g},"
                               "\"own trajectories in Kuwabara's cell, uniform velocity at entry\"\n")
                    file.flush()
    write_entry()


if __name__ == "__main__":
    main()
