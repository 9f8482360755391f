# SPDX-License-Identifier: BSL-1.0
"""Makes fittings.csv: loss coefficients of entries, bends, diffusers and junctions by the Python library fluids (Debian
package python3-fluids).

    python3 tests/reference/make_fittings_table.py            writes the table beside this script
    python3 tests/reference/make_fittings_table.py --check    makes it again and compares: what the test runs
"""
import math
import pathlib

import fluids
from fluids import fittings

import stored_table

TABLE = pathlib.Path(__file__).with_name("fittings.csv")
HEADER = "fitting,ratio,angle,share_or_friction,loss_coefficient,source"
RENNELS = "Rennels and Hudson 2012 by the Python library fluids"
CRANE = "Crane TP-410 by the Python library fluids; on the velocity of the joined flow"
JUNCTIONS = {"converging branch": fittings.K_branch_converging_Crane, "converging run": fittings.K_run_converging_Crane,
             "diverging branch": fittings.K_branch_diverging_Crane, "diverging run": fittings.K_run_diverging_Crane}


def rows():
    for ratio in (0.0, 0.02, 0.06, 0.1, 0.15, 0.2, 0.5, 1.0):
        yield "rounded entry", ratio, "", "", fittings.entrance_rounded(1.0, ratio, method="Rennels"), RENNELS
    for area in (0.9, 0.5, 0.2, 0.05):
        for angle in (4, 8, 14, 20, 21, 30, 45, 60, 61, 90, 140, 180):
            k = fittings.diffuser_conical(math.sqrt(area), 1.0, angle=angle, fd=0.02, method="Rennels")
            yield "conical diffuser", area, angle, 0.02, k, RENNELS
    for angle in (15, 30, 45, 90, 180):
        for radius in (0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 10.0):
            for friction in (0.012, 0.02):
                k = fittings.bend_rounded(1.0, angle, fd=friction, rc=radius, method="Rennels")
                yield "round bend", radius, angle, friction, k, RENNELS
    for angle in (0, 15, 30, 45, 60, 90, 120, 150):
        yield "mitred bend", "", angle, "", fittings.bend_miter(angle, method="Rennels"), RENNELS
    for name, function in JUNCTIONS.items():
        for area in (1.0, 0.5, 0.42, 0.3):
            for angle in (30, 45, 55, 60, 70, 90):
                for share in (0.0, 0.1, 0.4, 0.5, 0.6, 0.9):
                    k = function(1.0, math.sqrt(area), 1.0 - share, share, angle)
                    yield name, area, angle, share, k, CRANE


def lines():
    for fitting, ratio, angle, share, loss, source in rows():
        yield f"{fitting},{ratio},{angle},{share},{loss:.12g},{source} {fluids.__version__}"


stored_table.write_or_check(TABLE, HEADER, lines(), f"fluids {fluids.__version__}", __doc__)
