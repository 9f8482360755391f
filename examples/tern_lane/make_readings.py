#!/usr/bin/env python3
# SPDX-License-Identifier: BSL-1.0
"""Invents the readings of the demo study: what a maintenance crew would have written down at its bench.

    python3 make_readings.py [DIRECTORY]     (default: readings/ beside this script)

Nothing here is a measurement, and no real product stands behind a filter. Six filters are described by fibres,
pleats and dust; the bench by a duct, a fan that gives way under load, an inlet nozzle and a particle counter; the
readings follow from both, with instrument errors and counting noise from a seeded generator. The same seed gives
the same bytes, and a test checks that. The physics is written here a second time, independent of the C++ library,
and simpler: so that the library is not tested against itself.

  medium      permeability after Davies (1953), with an effective fibre diameter
  pleats      medium at the mean media velocity, laminar friction in the channels (two thirds of that of a straight
              channel, as the flow leaves along it), entry and exit loss on the face velocity
  capture     single fibres: diffusion, interception, impaction; charged fibres as a factor that grows with size;
              coarse particles bounce off thick fibres at speed
  dust        growth of the medium's resistance with retained dust: exponential, then straight on
  stand       room -> inlet nozzle -> duct -> filter -> duct -> fan; flow where fan and stand meet
"""

import math
import pathlib
import random
import sys

SEED = 20260417

# ---- Air of the test day: 71.2 degF, 100.9 kPa, 43 % relative humidity (Magnus formula, ideal gases) ----------------
T_AIR = (71.2 + 459.67) / 1.8
P_AIR = 100900.0
VAPOUR = 0.43 * 611.2 * math.exp(17.62 * (T_AIR - 273.15) / (243.12 + T_AIR - 273.15))
RHO = (P_AIR - VAPOUR) / (287.05 * T_AIR) + VAPOUR / (461.5 * T_AIR)
MU = 1.458e-6 * T_AIR ** 1.5 / (T_AIR + 110.4)
MEAN_FREE_PATH = 0.0664e-6 * (101325.0 / P_AIR) * (T_AIR / 293.15)

FACE = 0.6096                      # m, 24 in: the test section and the nominal face of each filter
FACE_AREA = FACE * FACE

# ---- Units as the crew writes them ----------------------------------------------------------------------------------
INH2O = 249.08891
CFM = 0.3048 ** 3 / 60.0


class Noise:
    """Gaussian and Poisson numbers from random.random() alone, which Python keeps the same over versions."""

    def __init__(self, seed):
        self.source = random.Random(seed)

    def normal(self, mean=0.0, deviation=1.0):
        u = max(self.source.random(), 1e-300)
        v = self.source.random()
        return mean + deviation * math.sqrt(-2.0 * math.log(u)) * math.cos(2.0 * math.pi * v)

    def count(self, mean):
        if mean > 60.0:
            return max(0, round(self.normal(mean, math.sqrt(mean))))
        limit, product, n = math.exp(-mean), self.source.random(), 0
        while product > limit:
            product *= self.source.random()
            n += 1
        return n


# ---- Filters --------------------------------------------------------------------------------------------------------
class Filter:
    def __init__(self, key, *, thickness, solidity, effective_fibre, capture_fibre, media_area, loss, charge=0.0,
                 pleats=0, pleat_depth=0.0, growth=0.0, straight_from=0.0, arrestance=(0.9, 0.0), dust_steps=()):
        self.key = key
        self.thickness, self.solidity = thickness, solidity          # m, -
        self.effective_fibre, self.capture_fibre = effective_fibre, capture_fibre    # m: for pressure, for capture
        self.media_area, self.loss = media_area, loss                # m2; entry and exit loss coefficient
        self.charge = charge                                         # strength of charged capture
        self.pleats, self.pleat_depth = pleats, pleat_depth          # count over the width; m
        self.growth, self.straight_from = growth, straight_from      # kg/m2 of medium: scale of exponential, its end
        self.arrestance = arrestance                                 # of the dust: at first, and gain towards the end
        self.dust_steps = dust_steps                                 # g fed, totals

    def drop(self, flow, dust=0.0):
        """Pressure drop in Pa at a flow in m3/s with dust in kg on the filter."""
        permeability = self.effective_fibre ** 2 / (64.0 * self.solidity ** 1.5 * (1.0 + 56.0 * self.solidity ** 3))
        media_velocity = flow / self.media_area
        medium = MU * self.thickness * media_velocity / permeability
        channels = 0.0
        if self.pleats:
            pitch = FACE / self.pleats
            gap = 0.5 * (pitch - 2.0 * self.thickness)               # mean over a channel, flow on one side
            per_width = flow / FACE_AREA * pitch
            channels = 8.0 * MU * per_width * self.pleat_depth / gap ** 3
        load = dust / self.media_area
        if load <= self.straight_from:
            factor = math.exp(load / self.growth)
        else:
            factor = math.exp(self.straight_from / self.growth) * (1.0 + (load - self.straight_from) / self.growth)
        return (medium + channels) * factor + self.loss * 0.5 * RHO * (flow / FACE_AREA) ** 2

    def penetration(self, diameter, flow, charged=True):
        """Share of particles (diameter in m, density 1500 kg/m3) that passes."""
        velocity = flow / self.media_area
        fibre, a = self.capture_fibre, self.solidity
        kuwabara = -0.5 * math.log(a) - 0.75 + a - 0.25 * a * a
        knudsen = 2.0 * MEAN_FREE_PATH / diameter
        slip = 1.0 + knudsen * (1.165 + 0.483 * math.exp(-0.997 / knudsen))
        diffusivity = 1.380649e-23 * T_AIR * slip / (3.0 * math.pi * MU * diameter)
        peclet = velocity * fibre / diffusivity
        diffusion = 1.6 * ((1.0 - a) / kuwabara) ** (1.0 / 3.0) * peclet ** (-2.0 / 3.0)
        ratio = diameter / fibre
        interception = 0.6 * (1.0 - a) / kuwabara * ratio * ratio / (1.0 + ratio)
        stokes = 1500.0 * diameter ** 2 * slip * velocity / (18.0 * MU * fibre)
        impaction = stokes ** 3 / (stokes ** 3 + 0.77 * stokes ** 2 + 0.22)
        sticking = 1.0 / (1.0 + (diameter * velocity / 3e-6) ** 1.5) # the rest bounces off: momentum decides
        single = diffusion + (interception + impaction) * sticking
        if charged and self.charge:
            single += self.charge * (diameter / 1e-6) ** 0.45 * (0.1 / velocity) ** 0.6
        exponent = 4.0 * a * min(single, 1.0) * self.thickness / (math.pi * fibre * (1.0 - a))
        return math.exp(-exponent)


FILTERS = [
    Filter("flat_pad", thickness=0.018, solidity=0.0075, effective_fibre=31e-6, capture_fibre=50e-6,
           media_area=0.352, loss=1.2, growth=0.155, straight_from=0.26, arrestance=(0.62, 0.10),
           dust_steps=(0, 15, 30, 50, 75, 100, 130, 160)),
    Filter("coarse_pleat", thickness=0.0016, solidity=0.055, effective_fibre=24e-6, capture_fibre=25e-6,
           media_area=0.98, loss=3.4, pleats=26, pleat_depth=0.042, growth=0.092, straight_from=0.088,
           arrestance=(0.86, 0.06), dust_steps=(0, 15, 30, 50, 75, 100, 130, 160, 200)),
    Filter("fine_pleat", thickness=0.0009, solidity=0.070, effective_fibre=11.2e-6, capture_fibre=9.5e-6,
           media_area=1.05, loss=3.6, pleats=28, pleat_depth=0.042, growth=0.160, straight_from=0.080,
           arrestance=(0.95, 0.03), dust_steps=(0, 10, 20, 35, 50, 70, 90, 120, 160, 200)),
    Filter("charged_pleat", thickness=0.0015, solidity=0.055, effective_fibre=20e-6, capture_fibre=23e-6,
           media_area=1.02, loss=3.5, charge=0.28, pleats=27, pleat_depth=0.042, growth=0.090, straight_from=0.075,
           arrestance=(0.93, 0.03), dust_steps=(0, 10, 25, 40, 60, 85, 110, 140, 180)),
    Filter("deep_pleat", thickness=0.0015, solidity=0.055, effective_fibre=20e-6, capture_fibre=23e-6,
           media_area=1.95, loss=3.6, charge=0.165, pleats=25, pleat_depth=0.088, growth=0.090, straight_from=0.075,
           arrestance=(0.94, 0.03), dust_steps=(0, 25, 50, 80, 120, 170, 230, 300, 380, 460, 550)),
    Filter("glass_pack", thickness=0.00042, solidity=0.058, effective_fibre=4.4e-6, capture_fibre=2.1e-6,
           media_area=6.3, loss=4.2, pleats=122, pleat_depth=0.060, growth=0.036, straight_from=0.020,
           arrestance=(0.985, 0.01), dust_steps=(0, 20, 45, 75, 110, 150, 200, 260, 330, 400)),
]

# ---- The bench ------------------------------------------------------------------------------------------------------
NOZZLE_THROAT = 0.350              # m, inlet nozzle drawing from the room
NOZZLE_COEFFICIENT = 0.980 * 1.004           # as stated on its drawing, and what it really has
STAND_TARE = (4.0, 16.0)           # Pa per m3/s, Pa per (m3/s)2: bare test section between the two taps
STAND_REST = 40.0                  # Pa per (m3/s)2: mixing baffle, bends, exhaust filter
SPEEDS = (1.00, 0.86, 0.72, 0.58, 0.45)      # of the fan's knob, with a filter
EMPTY_SPEEDS = (1.00, 0.85, 0.70, 0.55, 0.40, 0.30, 0.22)   # without one: down to the flows that filters leave


def fan_pressure(flow, speed):
    """The stand's in-line fan; its motor slips under load, so that the curve falls early."""
    full = flow / speed
    return speed ** 2 * (376.0 - 206.0 * full - 20.0 * full ** 2)


def nozzle_pressure(flow):
    area = 0.25 * math.pi * NOZZLE_THROAT ** 2
    return 0.5 * RHO * (flow / (NOZZLE_COEFFICIENT * area)) ** 2


def stand_flow(speed, tested=None, dust=0.0):
    """Flow where the fan meets nozzle, stand and filter, by bisection."""
    low, high = 1e-3, 2.0
    for _ in range(80):
        flow = 0.5 * (low + high)
        against = nozzle_pressure(flow) + STAND_REST * flow ** 2 + place_pressure(flow, tested, dust)
        if fan_pressure(flow, speed) > against:
            low = flow
        else:
            high = flow
    return 0.5 * (low + high)


def place_pressure(flow, tested, dust=0.0):
    bare = STAND_TARE[0] * flow + STAND_TARE[1] * flow ** 2
    return bare + (tested.drop(flow, dust) if tested else 0.0)


class Manometer:
    """Reads to 0.5 Pa, with one error of scale and one of zero for the whole campaign."""

    def __init__(self, noise, gain, zero, flutter):
        self.noise = noise
        self.gain = 1.0 + noise.normal(0.0, gain)
        self.zero = noise.normal(0.0, zero)
        self.flutter = flutter

    def read(self, pressure):
        shown = pressure * self.gain + self.zero + self.noise.normal(0.0, self.flutter)
        return max(0.0, round(2.0 * shown) / 2.0)


# ---- The counter ----------------------------------------------------------------------------------------------------
EDGES = (0.3, 0.4, 0.55, 0.7, 1.0, 1.3, 1.6, 2.2, 3.0, 4.0, 5.5, 7.0, 10.0)      # um
AEROSOL = (41000, 38000, 21000, 19500, 9800, 6100, 7200, 5200, 3300, 2300, 1100, 760)    # upstream, a one-minute sample
ROOM = (260, 150, 60, 42, 20, 11, 12, 8, 5, 3, 1.5, 1.0)                                  # without aerosol
LINE_LOSS = (0.99, 0.99, 0.985, 0.98, 0.975, 0.97, 0.96, 0.95, 0.94, 0.92, 0.90, 0.87)   # downstream line over upstream
COUNT_FLOW = 1.5 * FACE_AREA       # counts are taken at 1.5 m/s


def count_rows(noise, tested, charged=True):
    sizes = [math.sqrt(a * b) * 1e-6 for a, b in zip(EDGES, EDGES[1:])]
    passing = [tested.penetration(d, COUNT_FLOW, charged) if tested else 1.0 for d in sizes]
    rows = []

    def sample(place, counts):
        rows.append([place] + [str(n) for n in counts])

    def up(drift):
        return [noise.count(drift * (n + b)) for n, b in zip(AEROSOL, ROOM)]

    def down(drift):
        return [noise.count(drift * loss * p * (n + b)) for n, b, p, loss in zip(AEROSOL, ROOM, passing, LINE_LOSS)]

    prefix = "" if tested else "correlation "
    if tested:
        for _ in range(2):
            sample("upstream background", [noise.count(b) for b in ROOM])
            sample("downstream background", [noise.count(b * p * loss) for b, p, loss in zip(ROOM, passing, LINE_LOSS)])
    drift = 1.0
    for _ in range(5):
        sample(prefix + "upstream", up(drift))
        drift *= 1.0 + noise.normal(0.0, 0.004)
        sample(prefix + "downstream", down(drift))
        drift *= 1.0 + noise.normal(0.0, 0.004)
    sample(prefix + "upstream", up(drift))
    return rows


# ---- Writing --------------------------------------------------------------------------------------------------------
HEADER = "# Invented readings of the Tern Lane Arts Centre, written by make_readings.py: no measurement, no product."


def number(value):
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def write(directory, name, about, header, rows):
    lines = [HEADER, "# " + about, ",".join(header)]
    lines += [",".join(row) for row in rows]
    (directory / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def pressure_rows(manometer, nozzle, tested):
    rows = []
    for speed in SPEEDS if tested else EMPTY_SPEEDS:
        flow = stand_flow(speed, tested)
        rows.append([number(nozzle.read(nozzle_pressure(flow))), number(manometer.read(place_pressure(flow, tested)))])
    return rows


def loading_rows(noise, manometer, nozzle, tested):
    rows = []
    passed, held, before = 0.0, 0.0, 0.0
    last = tested.dust_steps[-1]
    for fed in tested.dust_steps:
        increment = fed - before
        share = tested.arrestance[0] + tested.arrestance[1] * fed / last
        passed += increment * (1.0 - share)
        held += increment * share
        before = fed
        flow = stand_flow(1.0, tested, held * 1e-3)
        weighed = passed + noise.normal(0.0, 0.05) if fed else 0.0
        rows.append([number(fed), number(max(0.0, weighed)), number(nozzle.read(nozzle_pressure(flow))),
                     number(manometer.read(place_pressure(flow, tested, held * 1e-3)))])
    for i in range(1, len(rows)):      # a running total never falls
        rows[i][1] = number(max(float(rows[i][1]), float(rows[i - 1][1])))
    return rows


def belt_fan_rows():
    """Forward-curved fan, belt at one speed, induction motor: power falls as the flow is throttled."""
    rows = []
    for cfm in range(800, 2401, 200):
        x = cfm / 1600.0
        pressure = 1.06 + 0.40 * x - 0.34 * x ** 2 - 0.06 * x ** 4
        power = 140.0 + 100.0 * x + 225.0 * x ** 2
        rows.append([str(cfm), f"{pressure:.2f}", str(round(power / 5.0) * 5)])
    return rows


def drive_fan_rows():
    """The same fan under a speed drive that holds 1600 cfm until it is at full speed."""
    rows = []
    for hundredths in range(60, 281, 20):
        pressure = hundredths / 100.0
        flow = 1600.0 if pressure <= 2.2 else 1600.0 - 700.0 * (pressure - 2.2)
        air_power = flow * CFM * pressure * INH2O
        efficiency = 0.44 + 0.10 * min(pressure, 2.2) / 2.2
        rows.append([str(round(flow)), f"{pressure:.1f}", str(round(air_power / efficiency / 5.0) * 5)])
    return rows


def main():
    default = pathlib.Path(__file__).resolve().parent / "readings"
    directory = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else default
    directory.mkdir(parents=True, exist_ok=True)
    noise = Noise(SEED)
    manometer = Manometer(noise, 0.004, 0.2, 0.1)
    nozzle = Manometer(noise, 0.004, 0.2, 0.1)
    bench = ["nozzle pressure [Pa]", "pressure [Pa]"]
    channels = [f"{a:g}-{b:g} [um]" for a, b in zip(EDGES, EDGES[1:])]

    write(directory, "empty_stand.csv", "Bare test section, fan knob turned down in seven steps.", bench,
          pressure_rows(manometer, nozzle, None))
    write(directory, "correlation_counts.csv",
          "No filter in place: how the downstream line counts beside the upstream one.",
          ["place", "duration [s]"] + channels, [[r[0], "60"] + r[1:] for r in count_rows(noise, None)])
    for tested in FILTERS:
        write(directory, tested.key + "_pressure.csv", "Clean, fan knob turned down in five steps.", bench,
              pressure_rows(manometer, nozzle, tested))
        write(directory, tested.key + "_counts.csv", "Clean, one-minute samples in turn, at 1.5 m/s.",
              ["place", "duration [s]"] + channels, [[r[0], "60"] + r[1:] for r in count_rows(noise, tested)])
        if tested.key != "flat_pad":
            write(directory, tested.key + "_discharged_counts.csv",
                  "A second specimen, discharged first; samples as before.",
                  ["place", "duration [s]"] + channels,
                  [[r[0], "60"] + r[1:] for r in count_rows(noise, tested, charged=False)])
        write(directory, tested.key + "_loading.csv",
              "Mineral test dust fed in steps at full fan speed; dust behind the filter weighed.",
              ["dust fed [g]", "dust passed [g]"] + bench, loading_rows(noise, manometer, nozzle, tested))
    table = ["flow [cfm]", "static pressure [inH2O]", "power [W]"]
    write(directory, "fan_belt.csv", "Fan table, one belt speed, electric power at the plug.", table, belt_fan_rows())
    write(directory, "fan_drive.csv", "Fan table under a speed drive that holds 1600 cfm up to 2.2 inH2O.", table,
          drive_fan_rows())


if __name__ == "__main__":
    main()
