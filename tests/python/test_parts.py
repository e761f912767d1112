import pathlib
import tempfile
import unittest

import numpy as np

import lapheat
from common import car


class Fluids(unittest.TestCase):
    def test_properties_keep_the_shape_of_the_temperatures(self):
        water = lapheat.fluid("water")
        grid = np.linspace(280.0, 370.0, 6).reshape(2, 3)
        self.assertEqual(water.density(grid).shape, (2, 3))
        self.assertIsInstance(water.density(300.0), float)
        np.testing.assert_array_equal(water.viscosity(grid).ravel(), [water.viscosity(t) for t in grid.ravel()])

    def test_water_agrees_with_the_iapws_release(self):
        # IAPWS R7-97, R12-08 and R15-11 by the iapws library, at 0.1 MPa.
        import iapws

        t = np.array([283.15, 313.15, 363.15])
        water = lapheat.fluid("water")
        states = [iapws.IAPWS97(T=x, P=0.1) for x in t]
        np.testing.assert_allclose(water.density(t), [s.rho for s in states], rtol=5e-4)
        np.testing.assert_allclose(water.specific_heat(t), [s.cp * 1e3 for s in states], rtol=1e-3)
        np.testing.assert_allclose(water.viscosity(t), [s.mu for s in states], rtol=1e-3)
        np.testing.assert_allclose(water.conductivity(t), [s.k for s in states], rtol=1e-3)

    def test_water_boils_at_a_hundred_degrees_at_sea_level(self):
        self.assertAlmostEqual(lapheat.fluid("water").boiling_temperature(101325.0), 373.12, delta=0.05)

    def test_more_glycol_freezes_later(self):
        points = [lapheat.fluid("ethylene_glycol", f).freezing_temperature for f in (0.0, 0.2, 0.4, 0.6)]
        self.assertEqual(points, sorted(points, reverse=True))

    def test_every_property_names_its_source(self):
        for name in ("water", "ethylene_glycol", "propylene_glycol"):
            for prop, source in lapheat.fluid(name).sources.items():
                # A release, a handbook's year, or that it is from memory.
                self.assertRegex(source, r"IAPWS|(19|20)\d\d|from memory|^ice point$", f"{name} {prop}")


class Cores(unittest.TestCase):
    def setUp(self):
        self.core = lapheat.core(car(), "cooler.transmission")

    def rate(self, **changed):
        at = dict(first_flow=0.1, first_inlet=390.0, second_flow=0.3, second_inlet=310.0)
        return lapheat.rate(self.core, **{**at, **changed})

    def test_conditions_broadcast_against_each_other(self):
        r = self.rate(first_flow=np.linspace(0.05, 0.2, 4)[:, None], second_flow=np.linspace(0.1, 0.5, 3))
        self.assertEqual(r.heat.shape, (4, 3))
        self.assertEqual(r.flags.shape, (4, 3))
        self.assertAlmostEqual(self.rate(first_flow=0.05, second_flow=0.5).heat, r.heat[0, 2], places=9)

    def test_the_heat_is_what_the_liquid_loses_and_what_the_air_gains(self):
        r = self.rate()
        mean = (390.0 + r.first_outlet) / 2
        lost = 0.1 * self.core.first.specific_heat(mean) * (390.0 - r.first_outlet)
        self.assertAlmostEqual(lost / r.heat, 1.0, delta=1e-3)
        self.assertAlmostEqual(0.3 * 1007.0 * (r.second_outlet - 310.0) / r.heat, 1.0, delta=0.02)

    def test_effectiveness_is_the_heat_over_the_most_there_could_be(self):
        r = self.rate()
        least = min(0.1 * self.core.first.specific_heat((390.0 + r.first_outlet) / 2), 0.3 * 1007.0)
        self.assertAlmostEqual(r.effectiveness, r.heat / (least * 80.0), delta=0.01)

    def test_more_air_never_takes_less_heat(self):
        heat = self.rate(second_flow=np.linspace(0.05, 1.0, 40)).heat
        self.assertTrue(np.all(np.diff(heat) > 0))

    def test_the_shares_of_resistance_are_a_whole(self):
        r = self.rate(second_flow=np.linspace(0.05, 1.0, 5))
        np.testing.assert_allclose(r.first_share + r.wall_share + r.second_share, 1.0)

    def test_flags_come_with_a_sentence(self):
        r = self.rate(second_flow=1e-5)
        self.assertNotEqual(r.flags, 0)
        self.assertIn("air", lapheat.describe_flags(r.flags).lower())
        self.assertNotIn("air", lapheat.describe_flags(self.rate().flags).lower())

    def test_flows_and_temperatures_must_be_positive(self):
        for wrong in ({"first_flow": 0.0}, {"second_inlet": -20.0}, {"second_flow": [0.1, np.nan]}):
            with self.assertRaises(lapheat.Error) as caught:
                self.rate(**wrong)
            self.assertEqual(caught.exception.key, next(iter(wrong)))


class Fits(unittest.TestCase):
    def setUp(self):
        self.core = lapheat.core(car(), "cooler.transmission")

    def measured(self, first_flow, second_flow, wrong=0.85):
        """Points of a core whose air side is worse than the correlation says, by about `wrong`."""
        points = dict(first_flow=first_flow, first_inlet=385.0, second_flow=second_flow, second_inlet=310.0)
        return {**points, "heat": wrong * lapheat.rate(self.core, **points).heat}

    def test_a_fit_gives_the_measured_heat_and_intervals_around_each_conductance(self):
        points = self.measured(np.array([0.05, 0.1, 0.2])[:, None], np.array([0.1, 0.25, 0.6]))
        fit = lapheat.fit_core(self.core, **points, heat_error=0.02 * points["heat"])
        self.assertTrue(fit.separable)
        self.assertEqual([p.name for p in fit.parameters],
                         ["total conductance", "liquid-side conductance", "air-side conductance"])
        for p in fit.parameters:
            self.assertTrue(p.determined)
            self.assertLess(p.lower, p.value)
            self.assertLess(p.value, p.upper)
        self.assertLess(fit.rms, 0.05)
        heat = points.pop("heat")
        np.testing.assert_allclose(lapheat.rate(fit.core, **points).heat, heat, rtol=0.1)
        self.assertIn("95 % interval", str(fit))

    def test_points_at_one_pair_of_flows_cannot_tell_the_sides_apart(self):
        points = self.measured(0.1, np.full(4, 0.3))
        fit = lapheat.fit_core(self.core, **points)
        self.assertFalse(fit.separable)
        self.assertTrue(any("cannot tell" in s for s in fit.findings), fit.findings)
        self.assertLess(fit.worst, 1e-6)

    def test_heat_beyond_the_second_law_is_refused_by_the_point(self):
        points = self.measured(np.array([0.05, 0.1]), 0.3)
        points["heat"] = points["heat"] * [1.0, 50.0]
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.fit_core(self.core, **points)
        self.assertIn("point 2", str(caught.exception))

    def test_cores_are_read_from_a_file_without_a_car(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "cores.toml"
            path.write_text(
                '[fluids.atf]\nkind = "transmission_fluid"\n[cores.cooler]\nkind = "weight_class"\n'
                'fluid = "atf"\nwidth = "280 mm"\nheight = "200 mm"\ndepth = "19 mm"\n'
                'gross_vehicle_weight = "10000 lb"\n'
            )
            core = lapheat.read_cores(path)["cooler"]
            self.assertGreaterEqual(core.uncertainty, 0.5)
            self.assertTrue(any("±50 %" in s for s in core.assumptions))
            path.write_text('[cores.cooler]\nkind = "weight_class"\nfluid = "atf"\n')
            with self.assertRaises(lapheat.ScenarioError):
                lapheat.read_cores(path)


class Driving(unittest.TestCase):
    def test_a_lap_holds_its_friction_ellipse_and_its_own_kinematics(self):
        lap = lapheat.lap(car(), lapheat.cone_course())
        self.assertTrue(lap.settled)
        self.assertGreater(lap.lap_time, 40.0)
        self.assertLess(lap.lap_time, 65.0)
        np.testing.assert_allclose(
            lap.lateral_acceleration, lap.speed**2 * lapheat.cone_course().curvature, atol=0.4
        )
        seconds = np.sum(np.diff(lap.distance) * 2 / np.maximum(lap.speed[1:] + lap.speed[:-1], 1e-9))
        self.assertAlmostEqual(seconds, lap.lap_time, delta=0.02 * lap.lap_time)

    def test_less_effort_takes_longer(self):
        times = [lapheat.lap(car(), lapheat.cone_course(), effort=e).lap_time for e in (1.0, 0.8, 0.6)]
        self.assertEqual(times, sorted(times))

    def test_a_circle_through_points_has_the_curvature_of_its_radius(self):
        angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
        circle = lapheat.course("circle", 50 * np.cos(angle), 50 * np.sin(angle))
        np.testing.assert_allclose(circle.curvature, 1 / 50, rtol=1e-3)
        self.assertAlmostEqual(circle.length, 2 * np.pi * 50, delta=0.5)

    def test_a_session_has_a_wait_and_a_run_for_each_run(self):
        session = lapheat.lap_session(car(), lapheat.cone_course(), runs=3, wait=60.0)
        names = [name for name, _, _ in session.phases]
        for i in (1, 2, 3):
            self.assertIn(f"wait {i}", names)
            self.assertIn(f"run {i}", names)


class Units(unittest.TestCase):
    def test_text_goes_to_si_and_back(self):
        self.assertAlmostEqual(lapheat.si("195 degF", "temperature"), 363.7056, places=3)
        self.assertAlmostEqual(lapheat.si("10 degF", "temperature_difference"), 5.5556, places=3)
        self.assertEqual(lapheat.text(lapheat.si("195 degF", "temperature"), "temperature", "us"), "195.0 degF")


class Back(unittest.TestCase):
    """A fitted core goes back into a car."""

    def test_the_cars_core_then_rates_as_the_fitted_one(self):
        name = next(n for n in lapheat.core_names(car()) if "." not in n)
        core = lapheat.core(car(), name)
        first, second = np.array([0.5, 1.0, 1.5, 1.0]), np.array([0.8, 1.0, 1.5, 2.0])
        at = dict(first_flow=first, first_inlet=370.0, second_flow=second, second_inlet=308.0)
        fit = lapheat.fit_core(core, **at, heat=0.8 * lapheat.rate(core, **at).heat)
        changed = fit.into(car())
        back = lapheat.core(changed, name)
        np.testing.assert_allclose(lapheat.rate(back, **at).heat, lapheat.rate(fit.core, **at).heat, rtol=1e-6)
        self.assertLess(float(np.max(lapheat.rate(back, **at).heat / lapheat.rate(core, **at).heat)), 0.85)
        hot = lapheat.run(changed, lapheat.cycle("fast", [0, 30, 600], [0, 30, 30], ambient=310))
        as_it_was = lapheat.run(car(), lapheat.cycle("fast", [0, 30, 600], [0, 30, 30], ambient=310))
        self.assertLess(min(v.margin for v in hot.verdicts), min(v.margin for v in as_it_was.verdicts) + 1e-6)

    def test_a_fit_that_no_file_can_say_is_refused(self):
        name = next(n for n in lapheat.core_names(car()) if "." not in n)
        core = lapheat.core(car(), name)
        first, second = np.array([0.5, 1.0, 1.5, 1.0, 2.0]), np.array([0.8, 1.0, 1.5, 2.0, 3.0])
        at = dict(first_flow=first, first_inlet=370.0, second_flow=second, second_inlet=308.0)
        fit = lapheat.fit_core(core, **at, heat=lapheat.rate(core, **at).heat, second_power=True)
        with self.assertRaises(lapheat.Error):
            fit.into(car())


if __name__ == "__main__":
    unittest.main()
