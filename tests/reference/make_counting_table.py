# SPDX-License-Identifier: BSL-1.0
"""Makes counting_limits.csv: limits of counts and corrections for coincidence by SciPy (Debian package python3-scipy).
Of SciPy's ways to each number it takes the one that does not call Boost.Math, on which the library rests: Cephes'
inverses of the Poisson and binomial distributions, and SciPy's own Lambert W.

    python3 tests/reference/make_counting_table.py            writes the table beside this script
    python3 tests/reference/make_counting_table.py --check    makes it again and compares: what the test runs
"""
import math
import pathlib

import scipy
from scipy import special

import stored_table

TABLE = pathlib.Path(__file__).with_name("counting_limits.csv")
HEADER = "kind,count,of,probability,lower,upper,source"


def poisson(count, probability):
    """Limits of a Poisson mean; pdtri(k, y) is the mean at which k or fewer have probability y."""
    tail = 0.5 * (1 - probability)
    return special.pdtri(count - 1, 1 - tail) if count else 0.0, special.pdtri(count, tail)


def binomial(count, trials, probability):
    """Limits of a share; bdtri(k, n, y) is the share at which k or fewer of n have probability y."""
    tail = 0.5 * (1 - probability)
    return (special.bdtri(count - 1, trials, 1 - tail) if count else 0.0,
            special.bdtri(count, trials, tail) if count < trials else 1.0)


def ratio(downstream, upstream, probability):
    """Limits of a ratio of two Poisson means: given the sum, one of the counts is binomial."""
    lower, upper = binomial(downstream, downstream + upstream, probability)
    return lower / (1 - lower), upper / (1 - upper)


def rows():
    for probability in (0.9, 0.95, 0.99, 0.6826):   # the last: one standard deviation, 0.8413 on one side
        for count in (0, 1, 2, 5, 17, 100, 2500):
            yield "poisson", count, "", probability, *poisson(count, probability)
        for count, trials in ((0, 10), (1, 10), (2, 20), (4, 20), (30, 100), (100, 100), (900, 5000)):
            yield "binomial", count, trials, probability, *binomial(count, trials, probability)
        for downstream, upstream in ((0, 500), (3, 45), (40, 820), (600, 2000), (1000, 1000)):
            yield "ratio", downstream, upstream, probability, *ratio(downstream, upstream, probability)
    # Rate shown, dead time in microseconds, nothing; both arrival rates that show it.
    for shown, dead_time in ((10.0, 5.0), (9000.0, 5.0), (40000.0, 5.0), (73000.0, 5.0), (300.0, 1000.0), (36.0, 1e4)):
        share = -shown * dead_time * 1e-6
        assert share > -math.exp(-1)
        yield ("coincidence", shown, dead_time, "", *(-special.lambertw(share, branch).real / (dead_time * 1e-6)
                                                      for branch in (0, -1)))


def lines():
    for kind, *numbers in rows():
        cells = (x if x == "" else format(x, ".12g") for x in numbers)
        yield ",".join([kind, *cells, f"SciPy {scipy.__version__}"])


stored_table.write_or_check(TABLE, HEADER, lines(), f"SciPy {scipy.__version__}", __doc__)
