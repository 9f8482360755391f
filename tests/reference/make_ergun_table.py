# SPDX-License-Identifier: BSL-1.0
"""Makes ergun_drops.csv: the pressure drop of beds of spheres by the Ergun function of the Python library fluids
(Debian package python3-fluids).

    python3 tests/reference/make_ergun_table.py            writes the table beside this script
    python3 tests/reference/make_ergun_table.py --check    makes it again and compares: what the test runs
"""
import pathlib

import fluids
from fluids.packed_bed import Ergun

import stored_table

TABLE = pathlib.Path(__file__).with_name("ergun_drops.csv")
HEADER = "grain_diameter_m,voidage,velocity_m_s,density_kg_m3,viscosity_Pa_s,thickness_m,drop_Pa,source"


def rows():
    cases = [(d, e, v, 1.204, 1.8134e-5, 0.025)
             for d in (5e-5, 1e-3, 4e-3) for e in (0.3, 0.35, 0.4, 0.5, 0.6) for v in (0.01, 0.3, 2.0)]
    cases.append((8e-4, 0.4, 1e-3, 1e3, 1e-3, 1.0))   # water
    for d, e, v, density, viscosity, thickness in cases:
        yield (d, e, v, density, viscosity, thickness,
               Ergun(dp=d, voidage=e, vs=v, rho=density, mu=viscosity, L=thickness))


def lines():
    for row in rows():
        source = f"Ergun 1952 by the Python library fluids {fluids.__version__}"
        yield ",".join([*(format(x, ".12g") for x in row), source])


stored_table.write_or_check(TABLE, HEADER, lines(), f"fluids {fluids.__version__}", __doc__)
