# SPDX-License-Identifier: BSL-1.0
"""Computes the table of interception and impaction that include/filterflow/capture/single_fibre_trajectories.hpp holds.

Trajectories of a sphere with Stokes drag in Kuwabara's cell (two dimensions, no gravity) that enters the cell with the
uniform velocity U; the outermost that touches the fibre, over the fibre's radius, is the efficiency. Runge-Kutta of
fourth order, bisection on the entry. Own work, unpublished; with the fluid's velocity at entry the result is up to
about 20 % lower.

  python3 make_impaction_table.py            write impaction_table.csv beside this script
  python3 make_impaction_table.py --check    compute some rows again and compare
"""
import csv
import math
import pathlib
import sys

SOLIDITY = [0.01, 0.02, 0.05, 0.1]
RATIO = [0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 0.8]
STOKES = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0]
FILE = pathlib.Path(__file__).with_name("impaction_table.csv")


def kuwabara(a):
    return -0.5 * math.log(a) - 0.75 + a - 0.25 * a * a


def interception(a, ratio):
    r = 1.0 + ratio
    return r / (2.0 * kuwabara(a)) * (2.0 * math.log(r) - 1.0 + a + (1.0 - 0.5 * a) / r**2 - 0.5 * a * r**2)


def touches(a, ratio, stokes, entry):
    """Whether the particle that enters at this height, over the fibre's radius, touches the fibre."""
    ku2, rim = 2.0 * kuwabara(a), 1.0 / math.sqrt(a)
    rate = 0.5 / stokes   # over the relaxation time, in units of U over the radius

    def slope(x, y, vx, vy):
        r2 = x * x + y * y
        r = math.sqrt(r2)
        c, s, log = x / r, y / r, math.log(r)
        f = (2.0 * log - 1.0 + a + (1.0 - 0.5 * a) / r2 - 0.5 * a * r2) / ku2   # stream function r f sin
        g = (2.0 - 2.0 * (1.0 - 0.5 * a) / r2 - a * r2) / ku2   # r df/dr
        ur, ut = f * c, -(f + g) * s
        return vx, vy, (ur * c - ut * s - vx) * rate, (ur * s + ut * c - vy) * rate

    state = (-math.sqrt(rim * rim - entry * entry), entry, 1.0, 0.0)
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


def efficiency(a, ratio, stokes):
    low, high = 0.0, min(0.999 / math.sqrt(a), 3.0)
    while high - low > 2e-6 * high:
        middle = 0.5 * (low + high)
        if touches(a, ratio, stokes, middle):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def main():
    if "--check" in sys.argv:
        with FILE.open(encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        for row in rows[5::67]:
            a, ratio, stokes = (float(row[name]) for name in ("solidity", "R", "Stk_df"))
            again, stored = efficiency(a, ratio, stokes), float(row["E_R_plus_I"])
            print(a, ratio, stokes, stored, again)
            if abs(again - stored) > 1e-4 * stored:
                sys.exit("the stored table does not come from this script")
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


if __name__ == "__main__":
    main()
