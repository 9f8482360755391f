# SPDX-License-Identifier: BSL-1.0
"""The Python module filterflow: units, the main job, errors. Results are compared with NumPy and published conversions
([outside]) and with what the C++ examples print ([own])."""
import pathlib
import re
import sys
import threading
import unittest

import numpy as np

import filterflow as ff

EXPECTED = pathlib.Path(__file__).resolve().parents[2] / "examples" / "expected"
STANDARD = ff.duct_design_air()


def printed(name, pattern):
    """The numbers of the groups of a pattern in the stored output of a C++ example."""
    match = re.search(pattern, (EXPECTED / f"{name}.txt").read_text(encoding="utf-8"), re.S)
    return [float(number) for number in match.groups()]


def table_fan():
    """The fan of examples/first_steps.cpp."""
    return ff.fan_curve(ff.quantity([800, 1200, 1600, 2000], "cfm"), ff.quantity([1.10, 0.95, 0.62, 0.10], "inH2O"),
                        ff.fan_table_air(), power=ff.quantity([560, 640, 700, 720], "W"), kind="external static")


def handler(**changed):
    """The installation of examples/change_interval.cpp."""
    fan = ff.fan_curve(ff.quantity([0.4, 0.7, 1.0, 1.3, 1.6, 1.9], "m3/s"),
                       ff.quantity([540, 520, 470, 370, 220, 40], "Pa"), ff.fan_test_air(),
                       power=ff.quantity([700, 790, 880, 950, 980, 960], "W"))
    ducts = ff.system_from_design_point("1.3 m3/s", "230 Pa", STANDARD)
    clean = ff.element_curve("60 Pa s/m3", "16 Pa s2/m6", STANDARD)
    stage = ff.filter_stage(clean, ff.loading_law("55 g/m2", "70 g/m2"), "3.2 m2", 0.65, efficiency_gain=0.1,
                            gain_scale="60 g/m2", greatest_age="1 year")
    return ff.installation(fan, ducts, [stage], "60 ug/m3", 0.7, STANDARD, "30000 h",
                           **({"running_fraction": 0.4, "least_airflow": "1 m3/s"} | changed))


class Quantities(unittest.TestCase):
    def test_published_conversions(self):
        """[outside] NIST SP 811 (2008), appendix B: to the seven digits printed there."""
        for text, unit, value in [("1 cfm", "m3/s", 4.719474e-4), ("1 inH2O", "Pa", 249.0889),
                                  ("1 psi", "Pa", 6894.757), ("1 in", "m", 0.0254), ("1 fpm", "m/s", 5.08e-3),
                                  ("1 lb/ft3", "kg/m3", 16.01846)]:
            self.assertAlmostEqual(ff.quantity(text).to(unit) / value, 1.0, delta=5e-7, msg=text)
        self.assertAlmostEqual(ff.quantity(32.0, "degF").to("degC"), 0.0, delta=1e-12)
        self.assertAlmostEqual(ff.quantity(212.0, "degF").to("K"), 373.15, delta=1e-12)

    def test_shapes(self):
        self.assertIsInstance(ff.quantity(3, "cfm").to("cfm"), float)
        self.assertEqual(ff.quantity([1, 2], "cfm").shape, (2,))
        grid = np.arange(12.0).reshape(3, 4)
        self.assertTrue(np.array_equal(ff.quantity(grid.T, "m").to("mm"), 1000.0 * grid.T))   # not contiguous
        self.assertTrue(np.array_equal(ff.quantity(grid, "m")[1, ::2].to("m"), grid[1, ::2]))
        self.assertTrue(np.array_equal(ff.quantity(grid, "m")[grid > 5].to("m"), grid[grid > 5]))
        self.assertEqual(ff.quantity([], "m").size, 0)
        for numbers in (np.float32([1, 2]), np.array([1, 2], dtype=">i4"), range(1, 3), (1, 2.0)):
            self.assertTrue(np.array_equal(ff.quantity(numbers, "m").to("m"), [1.0, 2.0]))

    def test_values_are_its_own(self):
        values = np.array([1.0, 2.0])
        q = ff.quantity(values, "Pa")
        values[0] = 5.0
        q.to("Pa")[1] = 7.0
        self.assertTrue(np.array_equal(q.to("Pa"), [1.0, 2.0]))

    def test_arithmetic(self):
        q = ff.quantity([10.0, 20.0], "Pa")
        self.assertTrue(np.array_equal((q + ff.quantity("1 hPa")).to("Pa"), [110.0, 120.0]))
        self.assertTrue(np.array_equal((q - q).to("Pa"), [0.0, 0.0]))
        self.assertTrue(np.array_equal((np.array([1.0, 3.0]) * q * 2).to("Pa"), [20.0, 120.0]))
        self.assertTrue(np.array_equal((q / 4).to("Pa"), [2.5, 5.0]))
        self.assertTrue(np.array_equal(q / ff.quantity("1 hPa"), [0.1, 0.2]))
        self.assertTrue(np.array_equal(q > ff.quantity("15 Pa"), [False, True]))
        self.assertTrue(np.array_equal(q < ff.quantity("15 Pa"), [True, False]))
        self.assertIn("10", repr(q))

    def test_refusals(self):
        pressure, flow = ff.quantity("1 Pa"), ff.quantity("1 cfm")
        for wrong, text in [(lambda: flow.to("Pa"), 'unit "Pa" is one of pressure; the quantity measures volume flow'),
                            (lambda: ff.quantity(1, "furlong"), 'unknown unit "furlong"'),
                            (lambda: ff.quantity("12"), "the unit is missing"),
                            (lambda: ff.quantity("0,5 Pa"), "unknown unit"),
                            (lambda: pressure + flow, "sum of pressure and volume flow"),
                            (lambda: pressure > flow, "comparison of pressure and volume flow"),
                            (lambda: pressure / flow, "ratio of pressure and volume flow"),
                            (lambda: ff.quantity("1 degC") * 2, "a reading and a difference would look the same")]:
            with self.assertRaisesRegex(ff.UnitError, re.escape(text)) as caught:
                wrong()
            self.assertIsInstance(caught.exception, ValueError)
            self.assertIsInstance(caught.exception, ff.Error)
        with self.assertRaisesRegex(ff.DomainError, "value number 2 = nan; required: a finite number"):
            ff.quantity([1.0, np.nan], "Pa")
        with self.assertRaisesRegex(ff.DomainError, "value = inf"):
            ff.quantity(np.inf, "Pa")
        for wrong in (["a"], ["1.5"], 1j, np.array([1 + 2j]), True, [[1, 2], [3]]):
            with self.assertRaisesRegex(TypeError, "no real numbers"):
                ff.quantity(wrong, "Pa")
        for missing in (None, [1, None]):
            with self.assertRaisesRegex(ff.DomainError, "= nan; required: a finite number"):
                ff.quantity(missing, "Pa")
        with self.assertRaisesRegex(TypeError, "masked array"):
            ff.quantity(np.ma.array([1.0, 2.0], mask=[False, True]), "Pa")
        with self.assertRaises(TypeError):
            pressure + 1
        with self.assertRaisesRegex(TypeError, "product of two quantities"):
            pressure * flow
        with self.assertRaisesRegex(TypeError, "no real numbers"):
            pressure * "2"


class Elements(unittest.TestCase):
    def test_fit_is_the_least_squares_of_numpy(self):
        """[outside] numpy.linalg.lstsq."""
        flow, drop = np.array([0.2, 0.35, 0.5, 0.7]), np.array([22.0, 44.0, 71.0, 115.0])
        fit = ff.fit_element(ff.quantity(flow, "m3/s"), ff.quantity(drop, "Pa"), STANDARD, STANDARD)
        (r, s), *_ = np.linalg.lstsq(np.column_stack([flow, flow**2]), drop, rcond=None)
        self.assertAlmostEqual(fit.linear.to("Pa s/m3") / r, 1.0, delta=1e-10)
        self.assertAlmostEqual(fit.quadratic.to("Pa s2/m6") / s, 1.0, delta=1e-10)
        self.assertTrue(np.allclose(fit.residuals.to("Pa"), drop - r * flow - s * flow**2, atol=1e-9))
        self.assertEqual(fit.form, "viscous and inertial")
        self.assertTrue(np.array_equal(fit.extrapolates(ff.quantity([0.1, 0.3, 0.8], "m3/s")), [True, False, True]))

    def test_drops_and_flows_are_inverse(self):
        curve = ff.element_curve("60 Pa s/m3", "16 Pa s2/m6", STANDARD)
        flow = ff.quantity(np.linspace(0.1, 2.0, 50).reshape(5, 10), "m3/s")
        drop = ff.pressure_drop(curve, flow, STANDARD)
        self.assertTrue(np.allclose(drop.to("Pa"), 60 * flow.to("m3/s") + 16 * flow.to("m3/s") ** 2, rtol=1e-14))
        self.assertTrue(np.allclose(ff.volume_flow(curve, drop, STANDARD) / flow, 1.0, rtol=1e-13))

    def test_lesson(self):
        """[own] The readings of examples/first_lesson.cpp give what it prints."""
        air = ff.moist_air("27 degC", "983 hPa", 0.40)
        shared = dict(flow_meter=ff.flow_meter(gain_uncertainty=0.015, resolution="2 L/s"),
                      manometer=ff.manometer(gain_uncertainty=0.005, zero_uncertainty="0.5 Pa", resolution="1 Pa"))

        def fit(flow, drop, **more):
            return ff.fit_element(ff.quantity(flow, "L/s"), ff.quantity(drop, "Pa"), air, STANDARD, **shared, **more)

        tare = fit([350, 480, 620, 790], [11, 19, 32, 50])
        first = fit([300, 390, 475, 560, 640], [54, 79, 106, 138, 171], tare=tare)
        second = fit([300, 390, 475, 560, 640], [56, 82, 110, 143, 177], tare=tare)
        r, ur, s, us = printed("first_lesson", r"r = (\d+) \+- (\d+) Pa s/m3, s = (\d+) \+- (\d+) ")
        self.assertAlmostEqual(first.linear.to("Pa s/m3"), r, delta=0.5)
        self.assertAlmostEqual(first.linear_uncertainty.to("Pa s/m3"), ur, delta=0.5)
        self.assertAlmostEqual(first.quadratic.to("Pa s2/m6"), s, delta=0.5)
        self.assertAlmostEqual(first.quadratic_uncertainty.to("Pa s2/m6"), us, delta=0.5)
        difference, uncertainty = ff.pressure_drop_difference(second, first, "560 L/s", STANDARD)
        value, lower, upper = printed("first_lesson", r"second less first +(\S+) Pa, 95 % from (\S+) to (\S+) Pa")
        self.assertAlmostEqual(difference.to("Pa"), value, delta=0.051)
        self.assertAlmostEqual(uncertainty.to("Pa"), (upper - lower) / 2 / 1.96, delta=0.06)
        self.assertLess(uncertainty.to("Pa"), 0.3 * ff.pressure_drop_uncertainty(first, "560 L/s", STANDARD).to("Pa"))

    def test_each_reading_may_have_its_own_air(self):
        airs = [ff.moist_air("15 degC", "1000 hPa", 0.5), ff.moist_air("30 degC", "950 hPa", 0.5)]
        flow = ff.quantity([0.3, 0.6], "m3/s")
        curve = ff.element_curve("60 Pa s/m3", "80 Pa s2/m6", STANDARD)
        drop = [ff.pressure_drop(curve, flow[i], airs[i]).to("Pa") for i in range(2)]
        fit = ff.fit_element(flow, ff.quantity(drop, "Pa"), airs, STANDARD)
        self.assertAlmostEqual(fit.linear.to("Pa s/m3"), 60, delta=1e-9)
        with self.assertRaisesRegex(ff.DomainError, "air has 1 values; required: 2"):
            ff.fit_element(flow, ff.quantity(drop, "Pa"), airs[:1], STANDARD)

    def test_refusals(self):
        flow, drop = ff.quantity([0.3, 0.6], "m3/s"), ff.quantity([30, 80], "Pa")
        with self.assertRaisesRegex(ff.UnitError, "fit_element: flow measures pressure; required: volume flow"):
            ff.fit_element(drop, flow, STANDARD, STANDARD)
        with self.assertRaisesRegex(TypeError, r"fit_element: drop = \[30, 80\] has no unit"):
            ff.fit_element(flow, [30, 80], STANDARD, STANDARD)
        with self.assertRaisesRegex(ff.DomainError, "drop has 1 values; required: one a flow, 2"):
            ff.fit_element(flow, drop[:1], STANDARD, STANDARD)
        with self.assertRaisesRegex(ff.DomainError, "flow of reading 2 = -0.6 m3/s; required: > 0"):
            ff.fit_element(ff.quantity([0.3, -0.6], "m3/s"), drop, STANDARD, STANDARD)
        with self.assertRaisesRegex(ff.DomainError, "temperature = 21 K; required: from 173.15 to 473.15 K"):
            ff.moist_air("21 K", "1000 hPa", 0.5)
        with self.assertRaisesRegex(ff.DomainError, "temperature has 2 values; required: one"):
            ff.moist_air(ff.quantity([20, 21], "degC"), "1000 hPa", 0.5)
        with self.assertRaisesRegex(ff.UnitError, "moist_air: pressure: not a number"):
            ff.moist_air("20 degC", "high", 0.5)

    def test_arrays_cost_no_python_per_element(self):
        """As many calls that the interpreter sees for a hundred thousand flows as for one."""
        curve = ff.element_curve("60 Pa s/m3", "16 Pa s2/m6", STANDARD)

        def calls(flow):
            seen = []
            sys.setprofile(lambda frame, event, what: seen.append(event))
            try:
                ff.pressure_drop(curve, flow, STANDARD)
            finally:
                sys.setprofile(None)
            return len(seen)

        many = ff.quantity(np.linspace(0.1, 2.0, 100000), "m3/s")
        self.assertGreater(calls(many[0]), 0)
        self.assertEqual(calls(many), calls(many[0]))

    def test_threads(self):
        curve = ff.element_curve("60 Pa s/m3", "16 Pa s2/m6", STANDARD)
        flow = ff.quantity(np.linspace(0.1, 2.0, 100000), "m3/s")
        wanted = ff.pressure_drop(curve, flow, STANDARD).to("Pa")
        right = []

        def work():
            right.append(np.array_equal(ff.pressure_drop(curve, flow, STANDARD).to("Pa"), wanted))

        threads = [threading.Thread(target=work) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(right, [True] * 4)


class Fans(unittest.TestCase):
    def setUp(self):
        self.air = ff.moist_air("21 degC", "990 hPa", "45 %")
        self.filter = ff.fit_element(ff.quantity([800, 1600], "cfm"), ff.quantity([35, 82], "Pa"), self.air,
                                     ff.fan_table_air())
        self.ducts = ff.system_from_design_point("1500 cfm", "0.4 inH2O", self.air)

    def test_first_steps(self):
        """[own] What examples/first_steps.cpp prints."""
        point = ff.operating_point(table_fan(), ff.in_series(self.ducts, self.filter), self.air)
        flow, power, pressure = printed("first_steps", r"airflow (\d+) cfm, fan power (\d+) W; of (\S+) inH2O")
        self.assertTrue(point.found)
        self.assertAlmostEqual(point.flow.to("cfm"), flow, delta=0.5)
        self.assertAlmostEqual(point.pressure.to("inH2O"), pressure, delta=0.005)
        self.assertAlmostEqual(point.power.to("W"), power, delta=0.5)
        self.assertEqual(len(point.crossings), 1)
        self.assertTrue(point.crossings[0].stable)
        self.assertAlmostEqual(ff.fan_power(table_fan(), point.flow, self.air) / point.power, 1.0, delta=1e-12)
        self.assertAlmostEqual(ff.fan_pressure(table_fan(), point.flow, self.air) / point.pressure, 1.0, delta=1e-12)
        whole = ff.pressure_drop(ff.in_series(self.ducts, self.filter), point.flow, self.air)
        self.assertAlmostEqual(whole / point.pressure, 1.0, delta=1e-9)

    def test_many_filters_are_each_as_one(self):
        linear = ff.quantity([30.0, 60.0, 1e6], "Pa s/m3")
        quadratic = ff.quantity("16 Pa s2/m6")
        many = ff.operating_flows(table_fan(), self.ducts, linear, quadratic, self.air)
        self.assertEqual(many.found.tolist(), [True, True, False])
        self.assertEqual(many.flow.to("m3/s")[2], 0.0)
        for i in range(3):
            system = ff.in_series(self.ducts, ff.element_curve(linear[i], quadratic, self.air))
            one = ff.operating_point(table_fan(), system, self.air)
            self.assertEqual(one.status, many.status[i])
            if one.found:
                self.assertAlmostEqual(one.flow / many.flow[i], 1.0, delta=1e-10)

    def test_flow_holding(self):
        fan = ff.flow_holding_fan(ff.quantity([1.3, 1.3, 1.3, 1.1], "m3/s"), ff.quantity([100, 250, 550, 620], "Pa"),
                                  ff.fan_test_air())
        self.assertAlmostEqual(fan.held_flow.to("m3/s"), 1.3, delta=1e-12)
        system = ff.system_from_design_point("1.3 m3/s", "300 Pa", ff.fan_test_air())
        point = ff.operating_point(fan, system, ff.fan_test_air())
        self.assertAlmostEqual(point.flow.to("m3/s"), 1.3, delta=1e-9)
        self.assertIsNone(point.power)

    def test_refusals(self):
        blocked = ff.operating_point(table_fan(), ff.system_from_design_point("100 cfm", "4 inH2O", self.air), self.air)
        self.assertFalse(blocked.found)
        with self.assertRaisesRegex(ff.NoSolution, "less flow than the fan table has") as caught:
            blocked.flow
        self.assertNotIsInstance(caught.exception, ValueError)
        with self.assertRaisesRegex(ff.DomainError, "kind = 'loud'; required: one of 'external static'"):
            ff.fan_curve(ff.quantity([1, 2], "m3/s"), ff.quantity([2, 1], "Pa"), self.air, kind="loud")
        with self.assertRaisesRegex(TypeError, "part = 3; required: ElementFit, ElementCurve or SystemCurve"):
            ff.in_series(self.ducts, 3)
        with self.assertRaisesRegex(ff.DomainError, "quadratic has 2 values; required: 3, or one for all"):
            ff.operating_flows(table_fan(), self.ducts, ff.quantity([1, 2, 3], "Pa s/m3"),
                               ff.quantity([1, 2], "Pa s2/m6"), self.air)
        without = ff.fan_curve(ff.quantity([1, 2], "m3/s"), ff.quantity([2, 1], "Pa"), self.air)
        with self.assertRaisesRegex(ff.DomainError, "the fan's table has no power"):
            ff.fan_power(without, "1.5 m3/s", self.air)


class Efficiencies(unittest.TestCase):
    UP = [[2310, 2281, 2344, 2302], [1904, 1871, 1933, 1887], [1120, 1151, 1138, 1109], [872, 901, 858, 880],
          [410, 428, 397, 415], [288, 301, 279, 293], [231, 240, 222, 236], [170, 166, 181, 173], [118, 125, 111, 120],
          [84, 79, 88, 81], [46, 51, 43, 48], [20, 17, 22, 19]]
    DOWN = [[1452, 1498, 1467], [1061, 1088, 1049], [542, 569, 551], [351, 339, 362], [112, 104, 118], [60, 67, 59],
            [35, 40, 33], [19, 16, 22], [10, 12, 8], [5, 4, 5], [2, 1, 2], [0, 1, 0]]
    UP_BACKGROUND = np.array([[6, 4, 2, 2, 1, 0, 1, 0, 0, 0, 0, 0]]).T
    DOWN_BACKGROUND = np.array([[2, 2, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0]]).T
    CORRELATION = [0.99, 0.98, 0.98, 0.97, 0.96, 0.95, 0.93, 0.92, 0.90, 0.88, 0.86, 0.80]

    def from_example(self):
        return ff.fractional_efficiency(ff.minimum_efficiency_size_edges(), self.UP, self.DOWN,
                                        upstream_background=self.UP_BACKGROUND,
                                        downstream_background=self.DOWN_BACKGROUND, background_time_ratio=3,
                                        correlation=self.CORRELATION, correlation_uncertainty=0.02)

    def test_background_without_a_filter(self):
        """[own] The samples without a filter have a background of their own, which is judged where it is given."""
        def without(background):
            e = ff.fractional_efficiency(ff.minimum_efficiency_size_edges(), self.UP, self.DOWN,
                                         correlation_upstream=self.UP, correlation_downstream=self.DOWN, **background)
            return [v for v in e.quality if "no background measured" in v and "without a filter" in v]
        self.assertTrue(without({}))
        self.assertEqual(without({"correlation_upstream_background": self.UP_BACKGROUND,
                                  "correlation_downstream_background": self.DOWN_BACKGROUND}), [])

    def test_counts_to_rating(self):
        """[own] What examples/counts_to_rating.cpp prints."""
        e = self.from_example()
        text = (EXPECTED / "counts_to_rating.txt").read_text(encoding="utf-8")
        rows = np.array([[float(x) for x in line.split()] for line in text.split("\n") if line.startswith(" ")])
        self.assertEqual(rows.shape, (12, 4))
        self.assertTrue(np.allclose(e.size.to("um"), rows[:, 0], atol=5.1e-4))
        ours = np.column_stack([e.efficiency, e.efficiency_lower, e.efficiency_upper])
        self.assertTrue(np.allclose(100 * ours, rows[:, 1:], atol=0.0501))
        for verdict in e.quality:
            self.assertIn("# " + verdict + "\n", text)
        self.assertEqual(e.undetermined, [])
        rating = ff.minimum_efficiency_rating(e)
        self.assertIn("# " + rating.text("1.5 m/s") + "\n", text)
        self.assertEqual((rating.lowest, rating.estimate, rating.highest), (11, 12, 12))
        self.assertIn(f"# probability of 12: {rating.probabilities['12']:.3f}\n", text)
        self.assertAlmostEqual(sum(rating.probabilities.values()), 1.0, delta=1e-9)
        lower, upper = rating.E1_interval
        self.assertIn(f" {100 * rating.E1:.1f} % (95 %: {100 * lower:.1f} to {100 * upper:.1f})\n", text)
        older = ff.minimum_efficiency_rating(e, edition="1999 to 2012")
        self.assertIn("# " + older.text("1.5 m/s") + "\n", text)
        self.assertIn("# " + ff.particulate_matter_class(e).text("1.5 m/s") + "\n", text)

    def test_stages_and_bypass(self):
        edges = ff.quantity([0.3, 1.0, 3.0], "um")
        a, b = ff.stated_efficiency(edges, [0.5, 0.8]), ff.stated_efficiency(edges, [0.4, 0.9])
        self.assertTrue(np.allclose(ff.in_series([a, b]).efficiency, [0.7, 0.98], atol=1e-14))
        self.assertTrue(np.allclose(ff.with_bypass(a, 0.1).efficiency, [0.45, 0.72], atol=1e-14))
        self.assertTrue(np.allclose(ff.with_bypass(a, "10 %").efficiency, [0.45, 0.72], atol=1e-14))

    def test_complete_class(self):
        """[own] A curve of one efficiency has it as every average."""
        e = ff.stated_efficiency(ff.minimum_efficiency_size_edges(), 0.72)
        c = ff.particulate_matter_class(e, e)
        self.assertEqual(c.class_text, "ISO ePM1 70 %")
        for average in (c.ePM1, c.ePM1_min, c.ePM25, c.ePM10):
            self.assertAlmostEqual(average, 0.72, delta=1e-3)

    def test_refusals(self):
        edges = ff.minimum_efficiency_size_edges()
        with self.assertRaisesRegex(ff.DomainError, r"upstream has the shape \(11, 4\); required: a row of samples"):
            ff.fractional_efficiency(edges, self.UP[1:], self.DOWN)
        with self.assertRaisesRegex(ff.DomainError, "required: > 0"):
            ff.fractional_efficiency(edges, self.UP, self.DOWN, correlation=0.0)
        with self.assertRaisesRegex(ff.DomainError, "efficiency"):
            ff.stated_efficiency(edges, 72)
        with self.assertRaisesRegex(ff.DomainError, "edition = '2030'; required: one of '2017', '1999 to 2012'"):
            ff.minimum_efficiency_rating(self.from_example(), edition="2030")
        open_range = ff.fractional_efficiency(ff.quantity([0.5, 5.0], "um"), [[1000, 1010], [50, 60]], [[300], [10]],
                                              open_above=True)
        self.assertEqual(len(open_range.efficiency), 2)
        with self.assertRaisesRegex(ff.DomainError, "above 5 um"):
            open_range.upper


class LifeAndCost(unittest.TestCase):
    PRICES = dict(filters="24 money", labour="15 money", disposal="2 money",
                  annual_volume=ff.quantity(1.3 * 3504 * 3600, "m3"))

    def test_loading_law(self):
        """[own] exp(W/W*) up to the transition, its tangent beyond."""
        law = ff.loading_law("55 g/m2", "70 g/m2")
        dust = np.array([0.0, 35.0, 70.0, 140.0])
        end = np.exp(70 / 55)
        wanted = [1.0, np.exp(35 / 55), end, end * (1 + 70 / 55)]
        self.assertTrue(np.allclose(ff.resistance_factor(law, ff.quantity(dust, "g/m2")), wanted, rtol=1e-12))

    def test_fit_of_a_loading_test_finds_its_law(self):
        flow = np.array([0.3, 0.6, 0.9])
        drop = ff.quantity(60 * flow + 16 * flow**2, "Pa")
        clean = ff.fit_element(ff.quantity(flow, "m3/s"), drop, STANDARD, STANDARD)
        law = ff.loading_law("55 g/m2", "70 g/m2", reference="face")
        fed = np.array([0.0, 20, 40, 60, 80, 100, 120, 140])   # g on 1 m2, all caught
        drop = ff.resistance_factor(law, ff.quantity(fed, "g/m2")) * 60 * 0.9 + 16 * 0.9**2
        fit = ff.fit_loading(ff.quantity(fed, "g"), "0.9 m3/s", ff.quantity(drop, "Pa"), STANDARD, clean, "1 m2",
                             dust_passed=ff.quantity(0 * fed, "g"))
        self.assertEqual(fit.law.form, "smooth")
        self.assertAlmostEqual(fit.law.growth_scale.to("g/m2"), 55.0, delta=0.01)
        self.assertAlmostEqual(fit.law.transition.to("g/m2"), 70.0, delta=0.05)
        self.assertAlmostEqual(fit.average_arrestance, 1.0, delta=1e-12)
        self.assertAlmostEqual(fit.greatest_retained.to("g/m2"), 140.0, delta=1e-9)

    def test_change_interval(self):
        """[own] What examples/change_interval.cpp prints."""
        price, = printed("change_interval", r"the fan runs: (\S+) per kWh")
        change = ff.find_change_interval(handler(), electricity=ff.quantity(price, "money/kWh"), **self.PRICES)
        hours, = printed("change_interval", r"fixed speed: .*?change after (\d+) running hours")
        total, energy, filters, runs = printed(
            "change_interval", r"service costs (\S+): energy (\S+), filters and labour (\S+); the fan runs (\S+) h")
        self.assertEqual(change.reason, "cost optimum")
        self.assertAlmostEqual(change.interval.to("h"), hours, delta=1.0)   # the price is printed with four digits
        self.assertAlmostEqual(change.annual_cost.to("money"), total, delta=0.2)
        self.assertAlmostEqual(change.annual_energy_cost.to("money"), energy, delta=0.2)
        self.assertAlmostEqual(change.annual_filter_cost.to("money"), filters, delta=0.1)
        self.assertAlmostEqual(change.annual_running_time.to("h"), runs, delta=0.5)
        self.assertTrue(change.power_falls)
        nearest = np.abs(change.intervals.to("h") - hours).argmin()
        self.assertGreaterEqual(change.annual_costs.to("money")[nearest], change.annual_cost.to("money") - 1e-6)

    def test_sweep_is_each_as_one(self):
        dust = ff.quantity([40.0, 60.0], "ug/m3")
        swept = ff.find_change_intervals(handler(), electricity="0.24 money/kWh", dust_concentration=dust,
                                         **self.PRICES)
        one = ff.find_change_interval(handler(), electricity="0.24 money/kWh", **self.PRICES)
        self.assertEqual(swept.found.tolist(), [True, True])
        self.assertEqual(swept.interval[1].to("h"), one.interval.to("h"))
        self.assertEqual(swept.annual_cost[1].to("money"), one.annual_cost.to("money"))
        self.assertEqual(swept.reason[1], one.reason)

    def test_life(self):
        hours, = printed("change_interval", r"limit at (\d+) h: the airflow falls")
        life = ff.filter_life(handler())
        self.assertTrue(life.limit_met)
        self.assertIn("airflow", life.reason)
        self.assertAlmostEqual(life.time.to("h"), hours, delta=0.5)
        self.assertAlmostEqual(life.age.to("h"), life.time.to("h") / 0.4, delta=1e-6)
        self.assertAlmostEqual((life.dust_caught + life.dust_delivered) / life.dust_arrived, 1.0, delta=1e-9)
        self.assertEqual(life.times.shape, life.flows.shape)
        self.assertTrue(np.all(np.diff(life.flows.to("m3/s")) < 0))
        self.assertTrue(np.all(np.diff(life.filter_drops.to("Pa")) > 0))
        self.assertGreater(life.powers.to("W").max(), life.mean_power.to("W"))
        lives = ff.filter_lives(handler(), ff.quantity([[60.0, 30.0]], "ug/m3"))
        self.assertEqual(lives.shape, (1, 2))
        self.assertAlmostEqual(lives[0, 0] / life.time, 1.0, delta=1e-9)

    def test_refusals(self):
        with self.assertRaisesRegex(ff.DomainError, "running_fraction"):
            ff.filter_life(handler(running_fraction=4))
        ducts = ff.system_from_design_point("1 m3/s", "100 Pa", STANDARD)
        with self.assertRaisesRegex(TypeError, "installation: fan = None; required: FanCurve or FlowHoldingFan"):
            ff.installation(None, ducts, [], "60 ug/m3", 0.7, STANDARD, "1 h")
        with self.assertRaisesRegex(ff.UnitError, "electricity measures money; required: energy price"):
            ff.find_change_interval(handler(), electricity="0.24 money", **self.PRICES)


class Documentation(unittest.TestCase):
    def test_every_function_says_something(self):
        for name in dir(ff):
            if not name.startswith("_"):
                text = (getattr(ff, name).__doc__ or "").strip()
                self.assertGreater(len(text.split("\n\n")[-1]), 10, name)


if __name__ == "__main__":
    print(sys.version)
    unittest.main()
