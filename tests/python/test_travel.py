"""Scenarios, cycles and results go to other processes, and know themselves when they come back."""

import copy
import pickle
import tempfile
import unittest
from concurrent.futures import ProcessPoolExecutor

import numpy as np

import lapheat
from common import car, result, short


def there_and_back(thing):
    return pickle.loads(pickle.dumps(thing))


def least_margin(scenario, cycle):
    return min(v.margin for v in lapheat.run(scenario, cycle, keep_series=False).verdicts)


class Pickled(unittest.TestCase):
    def test_a_cycle_is_the_same_to_the_bit_and_to_its_hash(self):
        for cycle in car().cycles + [short()]:
            back = there_and_back(cycle)
            self.assertEqual(back, cycle)
            self.assertEqual(hash(back), hash(cycle))
            self.assertEqual(back.phases, cycle.phases)
            np.testing.assert_array_equal(back.selector, cycle.selector)
        self.assertNotEqual(short(), short().replace(ambient=300))
        self.assertNotEqual(short(), short().replace("another name"))

    def test_a_scenario_runs_to_the_same_bits_and_keeps_its_changes(self):
        heavy = car().with_value("vehicle.mass", "1800 kg")
        back = there_and_back(heavy)
        self.assertEqual(back, heavy)
        self.assertEqual(hash(back), hash(heavy))
        self.assertNotEqual(back, car())
        self.assertEqual(least_margin(back, short()), least_margin(heavy, short()))

    def test_a_scenario_needs_no_file_where_it_arrives(self):
        import os

        bytes_of_it = pickle.dumps(car())
        before = os.getcwd()
        with tempfile.TemporaryDirectory() as elsewhere:
            os.chdir(elsewhere)
            try:
                self.assertEqual(pickle.loads(bytes_of_it).car, car().car)
            finally:
                os.chdir(before)

    def test_a_result_is_the_same_to_the_bit(self):
        r = result()
        back = there_and_back(r)
        self.assertEqual(back, r)
        self.assertEqual(hash(back), hash(r))
        for path in r:
            np.testing.assert_array_equal(back[path], r[path])
        self.assertNotEqual(back, lapheat.run(car(), short().replace(ambient=300)))

    def test_rows_of_a_result_keep_what_they_say(self):
        r = result()
        for row in [*r.verdicts, *r.events, *r.ledger, *r.sources, *r.lines, *r.pumps, r.cost]:
            back = there_and_back(row)
            self.assertEqual(back, row)
            self.assertEqual(hash(back), hash(row))
            for name in type(row)._meanings:
                np.testing.assert_equal(getattr(back, name), getattr(row, name), name)
        self.assertNotEqual(r.verdicts[0], r.verdicts[1])

    def test_a_core_rates_as_before(self):
        core = lapheat.core(car(), "cooler.transmission")
        at = dict(first_flow=0.1, first_inlet=390.0, second_flow=0.3, second_inlet=310.0)
        self.assertEqual(lapheat.rate(there_and_back(core), **at).heat, lapheat.rate(core, **at).heat)

    def test_a_copy_is_equal(self):
        for thing in (car(), short(), result(), result().verdicts[0]):
            self.assertEqual(copy.copy(thing), thing)
            self.assertEqual(copy.deepcopy(thing), thing)

    def test_another_process_gives_the_same_bits(self):
        cars = [car(), car().with_value("vehicle.mass", "1800 kg")]
        with ProcessPoolExecutor(2) as pool:
            theirs = list(pool.map(least_margin, cars, [short()] * 2))
        self.assertEqual(theirs, [least_margin(c, short()) for c in cars])


class Values(unittest.TestCase):
    def test_several_values_change_at_once_or_not_at_all(self):
        # Alone either end of the range would pass the other.
        both = car().with_values({"vehicle.mass": "1800 kg", "vehicle.drag_coefficient": np.float64(0.5)})
        one_by_one = car().with_value("vehicle.mass", "1800 kg").with_value("vehicle.drag_coefficient", 0.5)
        self.assertEqual(least_margin(both, short()), least_margin(one_by_one, short()))
        with self.assertRaises(lapheat.ScenarioError):
            car().with_values({"vehicle.mass": "1800 kg", "vehicle.drag_coefficient": "fast"})

    def test_numpy_scalars_and_truth(self):
        self.assertEqual(
            car().with_values({"shift.lockup": np.bool_(False), "shift.lockup_gear": np.int64(3)}),
            car().with_values({"shift.lockup": False, "shift.lockup_gear": 3}),
        )

    def test_numbers_are_si_where_the_scenario_has_a_quantity(self):
        for number in (0.6, np.float64(0.6), 6e-1):
            wide = car().with_value("cores.radiator.width", number)
            self.assertEqual(lapheat.core(wide, "radiator").width, 0.6)
        both = car().with_values({"cores.radiator.width": np.float32(0.5), "vehicle.drag_coefficient": 0.5,
                                  'loops.transmission.runs.cooler.parts."supply hose".length': 2})
        self.assertAlmostEqual(lapheat.core(both, "radiator").width, 0.5)
        hose = 'loops.transmission.runs.cooler.parts."supply hose".length'
        self.assertEqual(least_margin(both, short()), least_margin(car().with_values(
            {"cores.radiator.width": "500 mm", "vehicle.drag_coefficient": 0.5, hose: "2 m"}), short()))  # fmt: skip
        self.assertAlmostEqual(car().with_value("cores.radiator.width", 0.6).with_value("vehicle.mass", 1700.0)
                               .limits["steering"]["limit"], car().limits["steering"]["limit"])  # fmt: skip
        with self.assertRaises(lapheat.ScenarioError):
            car().with_value("cores.radiator.width", -0.6)

    def test_cores_are_equal_by_content(self):
        radiator = lapheat.core(car(), "radiator")
        back = there_and_back(radiator)
        self.assertEqual(back, radiator)
        self.assertEqual(hash(back), hash(radiator))
        self.assertEqual(copy.deepcopy(radiator), radiator)
        self.assertNotEqual(radiator, lapheat.core(car().with_value("cores.radiator.width", 0.6), "radiator"))
        self.assertNotEqual(radiator, lapheat.core(car(), "cooler.transmission"))

    def test_quantities_of_pint(self):
        try:
            import pint
        except ImportError:
            self.skipTest("pint is not installed")
        registry = pint.UnitRegistry()
        metric = car().with_values({"cores.radiator.width": registry.Quantity(600, "mm")})
        self.assertAlmostEqual(lapheat.core(metric, "radiator").width, 0.6, places=12)


if __name__ == "__main__":
    unittest.main()
