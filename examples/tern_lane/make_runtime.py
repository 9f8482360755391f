#!/usr/bin/env python3
# SPDX-License-Identifier: BSL-1.0
"""Invents a year of the hall's air handler, hour by hour, for the example filter_life.

    python3 make_runtime.py [FILE]     (default: runtime.csv beside this script)

Nothing here is a measurement. A house of culture: closed on Mondays but for the office, rehearsals by day and
performances in the evening from September to June, a quiet July, three weeks closed in August, the fan on by night in
winter against frost. Outdoor dust is higher in winter and with the traffic of working days. A year of 365 days that
begins on a Monday. The same bytes at each run: the noise comes from a congruential generator of its own.
"""

import math
import pathlib
import sys

DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
MONTH = [m for m, days in enumerate(DAYS, 1) for _ in range(days)]   # of each day
CLOSED = range(213, 234)                                             # the first three weeks of August


def noise():
    """Even between 0 and 1: a linear congruential generator modulo 2^32."""
    state = 20260417
    while True:
        state = (1664525 * state + 1013904223) % 2**32
        yield state / 2**32


def running(day, hour):
    """Share of the hour that the fan runs."""
    weekday, month = day % 7, MONTH[day]
    if day in CLOSED:
        return 0.0
    frost = 0.25 if month in (12, 1, 2) and hour < 6 else 0.0
    if weekday == 0:
        return max(frost, 0.3 if 9 <= hour < 16 else 0.0)
    if month == 7:
        return 0.4 if 10 <= hour < 17 else 0.0
    if 9 <= hour < 18:
        return 0.6
    if 18 <= hour < 23:
        return 1.0 if weekday >= 3 else 0.5
    return frost


def concentration(day, hour, chance):
    """Dust outdoors, ug/m3."""
    season = 26.0 + 12.0 * math.cos(2.0 * math.pi * (day - 15) / 365.0)
    traffic = 1.3 if day % 7 < 5 and hour in (7, 8, 9, 16, 17, 18) else 1.0
    return season * traffic * (0.6 + 0.8 * chance)


def main():
    here = pathlib.Path(__file__).resolve().parent
    target = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else here / "runtime.csv"
    lines = ["# Invented by make_runtime.py: a year of the air handler of the Tern Lane Arts Centre, which is "
             "invented, too.",
             "hour,running,dust [ug/m3]"]
    chance = noise()
    for day in range(365):
        for hour in range(24):
            lines.append(f"{24 * day + hour},{running(day, hour):g},{concentration(day, hour, next(chance)):.1f}")
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
