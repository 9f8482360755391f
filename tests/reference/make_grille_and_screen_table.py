# SPDX-License-Identifier: BSL-1.0
"""Makes grille_and_screen.csv: loss coefficients of perforated plates, wire screens and sharp contractions by the
Python library fluids (Debian package python3-fluids).

    python3 tests/reference/make_grille_and_screen_table.py            writes the table beside this script
    python3 tests/reference/make_grille_and_screen_table.py --check    makes it again and compares: what the test runs
"""
import pathlib

import fluids
from fluids.filters import round_edge_screen, square_edge_screen
from fluids.fittings import contraction_sharp

import stored_table

TABLE = pathlib.Path(__file__).with_name("grille_and_screen.csv")
HEADER = "part,open_share,wire_reynolds_number,loss_coefficient,source"
BLEVINS = "Blevins 1984 (Applied Fluid Dynamics Handbook) as held by the Python library fluids"
RENNELS = "Rennels and Hudson 2012 by the Python library fluids; on the velocity in the opening"


def rows():
    for share in (0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.8):
        yield "perforated plate", share, None, square_edge_screen(share), BLEVINS
    for share in (0.3, 0.4, 0.5, 0.6, 0.7):
        for reynolds in (20, 40, 60, 100, 200, 400):
            yield "wire screen", share, reynolds, round_edge_screen(share, reynolds), BLEVINS
    for diameter in (0.9, 0.8, 0.7, 0.6, 0.5):
        yield "contraction", diameter ** 2, None, contraction_sharp(1.0, diameter, method="Rennels"), RENNELS


def lines():
    for part, share, reynolds, loss, source in rows():
        yield f"{part},{share:.12g},{'' if reynolds is None else reynolds},{loss:.12g},{source} {fluids.__version__}"


stored_table.write_or_check(TABLE, HEADER, lines(), f"fluids {fluids.__version__}", __doc__)
