# SPDX-License-Identifier: BSL-1.0
"""Makes friction_grid.csv: Darcy friction factors by the equations of several authors, from the Python library fluids
(Debian package python3-fluids).

    python3 tests/reference/make_friction_table.py            writes the table beside this script
    python3 tests/reference/make_friction_table.py --check    makes it again and compares: what the test runs
"""
import pathlib

import fluids
from fluids import friction

import stored_table

TABLE = pathlib.Path(__file__).with_name("friction_grid.csv")
HEADER = "Re,eps_over_D,Colebrook,Swamee_Jain,Haaland,Serghides,Altshul_Tsal,Churchill,laminar,source"
TURBULENT = (friction.Colebrook, friction.Swamee_Jain_1976, friction.Haaland, friction.Serghides_1, friction.Tsal_1989)


def lines():
    for reynolds in (500, 2000, 4000, 10000, 30000, 100000, 300000, 1000000):
        for roughness in (1e-5, 3e-4, 1e-3, 1e-2):
            turbulent = reynolds >= 4000
            cells = [f"{f(Re=reynolds, eD=roughness):.12g}" if turbulent else "" for f in TURBULENT]
            cells.append(f"{friction.Churchill_1977(Re=reynolds, eD=roughness):.12g}")
            cells.append("" if turbulent else f"{friction.friction_laminar(reynolds):.12g}")
            yield (f"{reynolds},{roughness:g},{','.join(cells)},"
                   f"equations as held by the Python library fluids {fluids.__version__}")


stored_table.write_or_check(TABLE, HEADER, lines(), f"fluids {fluids.__version__}", __doc__)
