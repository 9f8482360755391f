# SPDX-License-Identifier: BSL-1.0
"""Makes joint_normal.csv: shares of three joint normal variables below limits, as the definite integral
phi(x) phi(y | x) Phi(z | x, y) by the Python library SciPy (Debian package python3-scipy): adaptive quadrature of the
inner and the outer integral.

    python3 tests/reference/make_joint_normal_table.py            writes the table beside this script
    python3 tests/reference/make_joint_normal_table.py --check    makes it again and compares: what the test runs
"""
import math
import pathlib

import scipy
from scipy.integrate import quad
from scipy.special import ndtr

import stored_table

TABLE = pathlib.Path(__file__).with_name("joint_normal.csv")
HEADER = "z1,z2,z3,r12,r13,r23,share,source"
CASES = [
    (0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    (0.0, 0.0, 0.0, 0.5, 0.5, 0.5),
    (0.0, 0.0, 0.0, -0.4, 0.3, -0.6),
    (1.0, 0.5, -0.5, 0.5, 0.2, 0.7),
    (1.0, 0.5, -0.5, -0.5, 0.2, -0.7),
    (-1.0, 2.0, 0.3, 0.9, 0.8, 0.7),
    (-1.0, -0.9, -1.1, 0.95, 0.97, 0.96),
    (0.4, 0.5, 0.45, 0.99, 0.985, 0.98),
    (2.5, -2.0, 0.1, -0.9, 0.1, -0.3),
    (2.0, 2.0, 2.0, -0.45, -0.45, -0.45),
    (-2.0, -1.5, -1.8, 0.3, 0.4, 0.5),
    (0.7, -0.3, 1.4, 0.0, 0.0, 0.8),
    (0.7, -0.3, 1.4, 0.0, -0.8, 0.0),
    (0.7, -0.3, 1.4, 0.6, 0.0, 0.0),
    (3.5, 0.2, 0.1, 0.6, 0.5, 0.9),
    (0.1, 0.2, 0.15, -0.98, 0.97, -0.99),
]


def density(x):
    return math.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi)


def share(z1, z2, z3, r12, r13, r23):
    """By the Cholesky factor of the correlations: x, then y given x, then z given both."""
    l22 = math.sqrt(1.0 - r12 * r12)
    l32 = (r23 - r12 * r13) / l22
    l33 = math.sqrt(1.0 - r13 * r13 - l32 * l32)

    def inner(x):
        end = (z2 - r12 * x) / l22
        return quad(lambda y: density(y) * ndtr((z3 - r13 * x - l32 * y) / l33), -9.0, max(-9.0, min(end, 9.0)),
                    epsabs=1e-13, epsrel=1e-12, limit=400)[0]

    return quad(lambda x: density(x) * inner(x), -9.0, z1, epsabs=1e-12, epsrel=1e-11, limit=400)[0]


def lines():
    for case in CASES:
        source = f"adaptive quadrature by SciPy {scipy.__version__}"
        yield ",".join(f"{v:g}" for v in case) + f",{share(*case):.10g},{source}"


stored_table.write_or_check(TABLE, HEADER, lines(), f"SciPy {scipy.__version__}", __doc__)
