# SPDX-License-Identifier: BSL-1.0
"""The main job in Python: from bench readings to airflow, class, life and cost. All data are invented (Tern Lane Arts
Centre). Starved airflow overheats furnaces (carbon monoxide) and motors and ices coils: the nameplate goes first."""
import numpy as np
import filterflow as ff

# What was read on the bench, and with what.
air = ff.moist_air("24 degC", "992 hPa", "35 %")
manometer = ff.manometer(gain_uncertainty=0.005, zero_uncertainty="0.5 Pa", resolution="1 Pa")
flow_meter = ff.flow_meter(gain_uncertainty=0.015, resolution="2 L/s")


def fit(flow, drop, **options):
    return ff.fit_element(ff.quantity(flow, "L/s"), ff.quantity(drop, "Pa"), air, ff.duct_design_air(),
                          flow_meter=flow_meter, manometer=manometer, **options)


tare = fit([350, 480, 620, 790], [9, 17, 28, 45])
filters = {"coarse": fit([450, 600, 750, 900], [42, 64, 90, 120], tare=tare),
           "fine": fit([420, 560, 700, 830], [72, 106, 145, 185], tare=tare)}

flow = ff.quantity(np.linspace(500, 800, 4), "L/s")
print("L/s        ", flow.to("L/s"))
for name, curve in filters.items():
    drop = ff.pressure_drop(curve, flow, ff.duct_design_air()).to("Pa")
    doubt = ff.pressure_drop_uncertainty(curve, flow, ff.duct_design_air()).to("Pa")
    print(f"{name:11}", np.round(drop, 1), "Pa, standard uncertainties", np.round(doubt, 1))
difference, doubt = ff.pressure_drop_difference(filters["fine"], filters["coarse"], flow, ff.duct_design_air())
print("difference ", np.round(difference.to("Pa"), 1), "Pa, standard uncertainties", np.round(doubt.to("Pa"), 1))

# Where each runs in the building's air handler, and from which resistance on the airflow is too little.
fan = ff.fan_curve(flow=ff.quantity([800, 1200, 1600, 2000], "cfm"),
                   pressure=ff.quantity([1.10, 0.95, 0.62, 0.10], "inH2O"),
                   power=ff.quantity([560, 640, 700, 720], "W"), stated_air=ff.fan_table_air(), kind="external static")
ducts = ff.system_from_design_point("1500 cfm", "0.4 inH2O", ff.fan_table_air())
least_airflow = ff.quantity("1350 cfm")
for name, curve in filters.items():
    point = ff.operating_point(fan, ff.in_series(ducts, curve), air)
    print(f"{name:11} {point.status}: {point.flow.to('cfm'):.0f} cfm at {point.pressure.to('inH2O'):.2f} inH2O, "
          f"{point.power.to('W'):.0f} W")
fouling = np.linspace(1, 4, 301)
many = ff.operating_flows(fan, ducts, filters["fine"].linear * fouling, filters["fine"].quadratic, air)
enough = many.found & (many.flow > least_airflow)
print(f"fine: the airflow is enough until dust has multiplied r by {fouling[enough].max():.2f}")

# Efficiency by size from counts, and the class that it allows.
up = [[2310, 2281, 2344, 2302], [1904, 1871, 1933, 1887], [1120, 1151, 1138, 1109], [872, 901, 858, 880],
      [410, 428, 397, 415], [288, 301, 279, 293], [231, 240, 222, 236], [170, 166, 181, 173],
      [118, 125, 111, 120], [84, 79, 88, 81], [46, 51, 43, 48], [20, 17, 22, 19]]
down = [[1452, 1498, 1467], [1061, 1088, 1049], [542, 569, 551], [351, 339, 362], [112, 104, 118], [60, 67, 59],
        [35, 40, 33], [19, 16, 22], [10, 12, 8], [5, 4, 5], [2, 1, 2], [0, 1, 0]]
efficiency = ff.fractional_efficiency(ff.minimum_efficiency_size_edges(), up, down)
print("efficiency ", np.round(100 * efficiency.efficiency[:6], 1), "% in the six finest ranges")
rating = ff.minimum_efficiency_rating(efficiency)
print(rating.text("1.5 m/s"))
print({value: round(p, 3) for value, p in rating.probabilities.items() if p > 0.001})

# Its life in that air handler, and when to change it.
stage = ff.filter_stage(filters["fine"], ff.loading_law("55 g/m2", "70 g/m2"), area="3.2 m2", efficiency=0.65,
                        greatest_age="1 year")
installation = ff.installation(fan, ducts, [stage], dust_concentration="60 ug/m3", dust_equivalence=0.7, air=air,
                               horizon="30000 h", running_fraction=0.4, least_airflow=least_airflow)
life = ff.filter_life(installation)
print(f"{life.reason} after {life.time.to('h'):.0f} running hours")
prices = dict(filters="24 money", labour="15 money", electricity="0.24 money/kWh", annual_volume="8e6 m3")
change = ff.find_change_interval(installation, **prices)
print(f"{change.reason}: change every {change.interval.to('h'):.0f} h, "
      f"{change.annual_cost.to('money'):.0f} money a year")
dust = ff.quantity([20, 40, 60, 80, 100], "ug/m3")
swept = ff.find_change_intervals(installation, dust_concentration=dust, **prices)
print("change after", np.round(swept.interval.to("h")), "h in dust of", dust.to("ug/m3"), "ug/m3")
