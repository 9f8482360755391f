# SPDX-License-Identifier: BSL-1.0
"""Makes single_fibre_terms.csv: each term of single-fibre theory at some groups, coded a second time from its published
formula. The formulas are from memory where docs/capture.md says so: what the table guards is the coding of the library,
not their constants. All groups are on the fibre's diameter and the superficial velocity.

    python3 tests/reference/make_single_fibre_terms_table.py            writes the table beside this script
    python3 tests/reference/make_single_fibre_terms_table.py --check    makes it again and compares: what the test runs
"""
import itertools
import math
import pathlib

import stored_table

TABLE = pathlib.Path(__file__).with_name("single_fibre_terms.csv")
HEADER = "term,solidity,Pe,R,Stk,Kn_f,G,value,source"
OF_MEMORY = "formula from memory"


def kuwabara(a):
    """-ln(a)/2 - 3/4 + a - a^2/4."""
    return (-2 * math.log(a) - 3 + 4 * a - a * a) / 4


def stream(a, radius):
    """Stream function of Kuwabara's cell over U d_f/2 at right angles to the flow, radius over that of the fibre."""
    inverse, square = 1 / radius, radius * radius
    outward = 2 * radius * math.log(radius) - radius * (1 - a) + inverse * (1 - a / 2) - a / 2 * radius * square
    return outward / (2 * kuwabara(a))


def stechkina(a, ratio, stokes):
    factor = (29.6 - 28 * a**0.62) * ratio**2 - 27.5 * ratio**2.8 if ratio < 0.4 else 2.0
    return min(1.0, factor * stokes / (2 * kuwabara(a) ** 2))


# name -> (value of a, Pe, R, Stk, Kn, G; source)
TERMS = {
    "lee_liu_diffusion": (lambda a, pe, r, s, kn, g: 1.6 * ((1 - a) / kuwabara(a) / pe**2) ** (1 / 3),
                          "Lee and Liu 1982, read in other works"),
    "boundary_layer_diffusion": (lambda a, pe, r, s, kn, g: 2.892 * ((1 - a) / kuwabara(a) / pe**2) ** (1 / 3),
                                 "published with 2.9, formula from memory, digits derived"),
    "stechkina_fuchs_diffusion": (lambda a, pe, r, s, kn, g: 2.9 / (kuwabara(a) * pe**2) ** (1 / 3) + 0.624 / pe,
                                  "Stechkina and Fuchs 1966, " + OF_MEMORY),
    "fan_model_diffusion": (lambda a, pe, r, s, kn, g: 2.7 * math.exp(-2 / 3 * math.log(pe)),
                            "Kirsch and Fuchs 1968, " + OF_MEMORY),
    "hinds_diffusion": (lambda a, pe, r, s, kn, g: 2 * math.exp(-2 / 3 * math.log(pe)), "Hinds 1999, " + OF_MEMORY),
    "kanaoka_diffusion": (lambda a, pe, r, s, kn, g: 0.54 * math.exp(-2 / 3 * math.log(pe)),
                          "Kanaoka and others 1987, form read in the abstract, number from memory"),
    "diffusion_interception": (lambda a, pe, r, s, kn, g: 1.24 * r ** (2 / 3) / (kuwabara(a) * pe) ** 0.5,
                               "Hinds 1999, " + OF_MEMORY),
    "diffusion_slip_factor": (lambda a, pe, r, s, kn, g: 1 + 0.388 * kn * ((1 - a) * pe / kuwabara(a)) ** (1 / 3),
                              "Liu and Rubow 1990, " + OF_MEMORY),
    "streamline_interception": (lambda a, pe, r, s, kn, g: stream(a, 1 + r) if (1 + r) ** 2 * a <= 1 else 1 + r,
                                "stream function of Kuwabara 1959"),
    "lee_liu_interception": (lambda a, pe, r, s, kn, g: 0.6 * (1 - a) / kuwabara(a) * r * r / (1 + r),
                             "Lee and Liu 1982, read in other works"),
    "interception_slip_factor": (lambda a, pe, r, s, kn, g: 1 + 2 * 0.998 * kn / r, "Liu and Rubow 1990, " + OF_MEMORY),
    "stechkina_impaction": (lambda a, pe, r, s, kn, g: stechkina(a, r, s),
                            "Stechkina, Kirsch and Fuchs 1969 as Hinds 1999, " + OF_MEMORY),
    "landahl_herrmann_impaction": (lambda a, pe, r, s, kn, g: 1 / (1 + 0.77 / s + 0.22 / s**3),
                                   "Landahl and Herrmann 1949, " + OF_MEMORY),
    "gravity_downward": (lambda a, pe, r, s, kn, g: g + g * r, "Hinds 1999, " + OF_MEMORY),
}
GROUPS = itertools.product((0.01, 0.06, 0.2), ((4.0, 0.02, 3.0, 0.4, 0.02), (150.0, 0.1, 0.05, 0.05, 1e-4),
                                               (1e4, 0.35, 0.4, 0.01, 2e-3), (3e6, 1.5, 2.5, 0.002, 0.05)))


def lines():
    for a, others in GROUPS:
        for name, (term, source) in TERMS.items():
            cells = (format(x, ".12g") for x in (a, *others, term(a, *others)))
            yield f'{name},{",".join(cells)},"{source}; computed by a second coding"'


stored_table.write_or_check(TABLE, HEADER, lines(), "Python", __doc__)
