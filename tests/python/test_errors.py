import pathlib
import tempfile
import unittest

import lapheat
from common import SCENARIOS, UNDER_FLOOR, car, short


class Files(unittest.TestCase):
    def test_every_mistake_of_a_file_is_listed_with_its_place(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "mine.toml"
            path.write_text(
                f'extends = "{SCENARIOS / "car.toml"}"\n'
                'placement = "mine"\n'
                "[cores.radiator]\n"
                'width = "600 kg"\n'
                'heigth = "400 mm"\n'
            )
            with self.assertRaises(lapheat.ScenarioError) as caught:
                lapheat.read(path)
        error = caught.exception
        wrong = [p for p in error.problems if p.severity == "error"]
        self.assertEqual([(p.line, p.key) for p in wrong],
                         [(4, "cores.radiator.width"), (5, "cores.radiator.heigth")])  # fmt: skip
        self.assertEqual((error.file, error.line, error.column), (str(path), 4, 9))
        self.assertIn("length", error.expected)
        self.assertIn("height", wrong[1].hint)
        self.assertIn("mass", str(error))
        self.assertIsInstance(error, lapheat.Error)
        self.assertIsInstance(error, ValueError)

    def test_a_file_that_is_not_there_is_named(self):
        with self.assertRaises(lapheat.ScenarioError) as caught:
            lapheat.read("no/such/car.toml")
        self.assertIn("no/such/car.toml", str(caught.exception))


class Values(unittest.TestCase):
    def test_a_changed_value_leaves_the_scenario_it_came_from(self):
        wide = car().with_value("cores.radiator.width", "523 mm")
        self.assertAlmostEqual(lapheat.core(wide, "radiator").width, 0.523)
        self.assertNotAlmostEqual(lapheat.core(car(), "radiator").width, 0.523)

    def test_numbers_and_booleans_need_no_quotes(self):
        slippery = car().with_value("vehicle.drag_coefficient", 0.3)
        self.assertIn(("set vehicle.drag_coefficient"), [name for name, _ in slippery.files])
        open_converter = car().with_value("shift.lockup", False)
        self.assertEqual(open_converter, car().with_value("shift.lockup", "false"))
        cruise = lapheat.cycle("cruise", [0, 30, 120], [0, 25, 25], ambient=300)
        made = [sum(s.joules for s in lapheat.run(c, cycle=cruise).sources if s.source == "transmission")
                for c in (open_converter, car())]  # fmt: skip
        self.assertGreater(made[0], 1.2 * made[1])  # the converter slips all the way

    def test_a_misspelt_path_names_the_near_one(self):
        with self.assertRaises(lapheat.ScenarioError) as caught:
            car().with_value("cores.radiator.widht", "600 mm")
        self.assertEqual(caught.exception.problems[0].key, "cores.radiator.widht")
        self.assertIn("width", caught.exception.problems[0].hint)

    def test_text_in_no_file_is_a_scenario_too(self):
        text = UNDER_FLOOR.read_text().replace('placement = "under the floor"', 'placement = "mine"')
        made = lapheat.parse(text, folder=UNDER_FLOOR.parent)
        self.assertEqual(made.placement, "mine")


class Calls(unittest.TestCase):
    def test_an_unknown_cycle_is_answered_with_the_near_one(self):
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.run(car(), "timed lap")
        self.assertEqual(caught.exception.key, "cycle")
        self.assertIn("timed laps", str(caught.exception))

    def test_one_of_several_cycles_must_be_chosen(self):
        several = lapheat.read(UNDER_FLOOR)
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.run(several)
        for cycle in several.cycles:
            self.assertIn(cycle.name, caught.exception.expected)

    def test_numbers_that_mean_nothing_are_refused(self):
        for wrong in ({"tolerance": 0}, {"tolerance": float("nan")}, {"tolerance": 1e-300}, {"sample_interval": -1},
                      {"sample_interval": 1e-300}, {"sample_interval": float("inf")}):
            with self.subTest(wrong), self.assertRaises(lapheat.Error) as caught:
                lapheat.run(car(), short(), **wrong)
            self.assertEqual(caught.exception.key, next(iter(wrong)))

    def test_none_is_no_scenario(self):
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.compare([car(), None])
        self.assertEqual(caught.exception.key, "scenarios")
        self.assertIn("item 1", str(caught.exception))
        for call in (lambda: lapheat.core(None, "radiator"), lambda: lapheat.run(None), lambda: lapheat.compare(None)):
            with self.assertRaises((TypeError, lapheat.Error)):
                call()

    def test_properties_at_no_temperature_are_an_error(self):
        water = lapheat.fluid("water")
        for name in ("density", "specific_heat", "conductivity", "viscosity", "kinematic_viscosity", "prandtl",
                     "specific_enthalpy", "vapour_pressure", "boiling_temperature"):
            for asked in (float("nan"), [300.0, float("nan")]):
                with self.assertRaises(lapheat.Error, msg=name) as caught:
                    getattr(water, name)(asked)
                self.assertIn(caught.exception.key, ("temperature", "pressure"))
                self.assertIn("not a number", str(caught.exception))
            for asked in (float("inf"), [300.0, float("inf")]):
                with self.assertRaises(lapheat.Error, msg=name) as caught:
                    getattr(water, name)(asked)
                self.assertIn("infinite", str(caught.exception))

    def test_odd_files_raise_errors_of_ours(self):
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            cases = {"latin.toml": 'car = "K\xfchler"\n'.encode("latin-1"), "binary.toml": bytes(range(256)) * 20,
                     "cut.toml": ('car = "' + "ö" * 700).encode()[:-1], "empty.toml": b"",
                     "nul.toml": b'car = "a\0b"\n', "deep.toml": b".".join([b"a"] * 12000) + b" = 1\n"}
            for name, content in cases.items():
                (folder / name).write_bytes(content)
                with self.subTest(name), self.assertRaises(lapheat.Error):
                    lapheat.read(folder / name)
                with self.subTest(name), self.assertRaises(lapheat.Error):
                    lapheat.load(folder / name)
            for path in (folder, "/dev/null", "x" * 5000):
                with self.subTest(path), self.assertRaises(lapheat.Error):
                    lapheat.read(path)

    def test_a_cycle_whose_time_runs_back_is_refused_with_its_row(self):
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.cycle("backwards", [0, 2, 1], [0, 0, 0])
        self.assertEqual(caught.exception.key, "time")
        self.assertIn("row 3", str(caught.exception))

    def test_a_series_that_is_not_there_is_a_key_error(self):
        r = lapheat.run(car(), lapheat.cycle("still", [0, 2], [0, 0]))
        for path in ("nothing", "loops/coolant/nothing", ""):
            with self.assertRaises(KeyError):
                r[path]
            self.assertNotIn(path, r)

    def test_an_unknown_part_or_fluid_or_unit_is_answered_with_what_is_known(self):
        for call, words in (
            (lambda: lapheat.core(car(), "radiatr"), "radiator"),
            (lambda: lapheat.fluid("watr"), "water"),
            (lambda: lapheat.fluid("ethylene_glycol", 0.9), "60 %"),
            (lambda: lapheat.si("8 kg", "length"), "mass"),
            (lambda: lapheat.si("8 mm", "lenght"), "length"),
        ):
            with self.subTest(words), self.assertRaises(lapheat.Error) as caught:
                call()
            self.assertIn(words, str(caught.exception))


if __name__ == "__main__":
    unittest.main()
