"""What goes in from other libraries, and what must not change behind one's back."""

import os
import pathlib
import tempfile
import unittest

import numpy as np

import lapheat
from common import SCENARIOS, car, short


class Labelled:
    """As a pandas Series whose index is not in order: [] goes by label, numpy.asarray by order."""

    def __init__(self, values, labels):
        self.values = np.asarray(values)
        self.labels = list(labels)

    def __len__(self):
        return len(self.values)

    def __getitem__(self, label):
        return self.values[self.labels.index(label)]

    def __array__(self, dtype=None):
        return self.values if dtype is None else self.values.astype(dtype)


class Columns(unittest.TestCase):
    time = [0.0, 10.0, 20.0, 30.0]
    speed = [0.0, 5.0, 10.0, 20.0]

    def test_rows_are_read_by_order_and_not_by_label(self):
        shuffled = Labelled(self.speed, [3, 2, 1, 0])
        c = lapheat.cycle("a log", Labelled(self.time, [3, 2, 1, 0]), shuffled, step=0)
        np.testing.assert_array_equal(c.speed, self.speed)
        np.testing.assert_array_equal(c.time, self.time)

    def test_a_course_follows_the_order_of_its_points(self):
        angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
        x, y = 66 * np.cos(angle), 66 * np.sin(angle)
        labels = list(range(0, 60, 2)) + list(range(1, 60, 2))
        course = lapheat.course("circle", Labelled(x, labels), Labelled(y, labels))
        self.assertAlmostEqual(course.length, 2 * np.pi * 66, delta=1)

    def test_a_pandas_series_with_a_shuffled_index(self):
        try:
            import pandas
        except ImportError:
            self.skipTest("pandas is not installed")
        log = pandas.DataFrame({"t": self.time, "v": self.speed}, index=[7, 3, 0, 1])
        c = lapheat.cycle("a log", log["t"], log["v"], step=0, grade=log["v"] * 0.001)
        np.testing.assert_array_equal(c.speed, self.speed)
        np.testing.assert_allclose(c.grade, np.asarray(self.speed) * 0.001)

    def test_missing_values_text_and_wrong_lengths_are_errors_with_the_column(self):
        masked = np.ma.masked_array(self.speed, [False, True, False, False])
        for key, values in [
            ("speed", [0.0, float("nan"), 1.0, 2.0]),
            ("speed", masked),
            ("speed", ["0", "1", "2", "3"]),
            ("speed", np.array(["2026-01-01"] * 4, dtype="datetime64[D]")),
            ("speed", [[0.0, 1.0], [2.0, 3.0]]),
            ("speed", [0.0, 1.0, 2.0]),
            ("grade", [0.0, 0.01]),
            ("sun", [None, 1, 2, 3]),
        ]:
            given = {"speed": self.speed, key: values}
            with self.subTest(key=key, values=values), self.assertRaises(lapheat.Error) as caught:
                lapheat.cycle("wrong", self.time, given.pop("speed"), **given)
            self.assertEqual(caught.exception.key, key)


class Replaced(unittest.TestCase):
    def test_every_column_can_be_seen_and_set(self):
        before = short()
        after = before.replace(ambient=311.15, sun=900, humidity=0.2, wind=-3, ac_demand=1, gear=3, selector="neutral")
        self.assertEqual(set(after.ambient), {311.15})
        self.assertEqual(set(after.sun), {900.0})
        self.assertEqual(set(after.humidity), {0.2})
        self.assertEqual(set(after.wind), {-3.0})
        self.assertEqual(set(after.ac_demand), {1.0})
        self.assertEqual(set(after.gear), {3})
        self.assertEqual(set(after.selector), {2})
        np.testing.assert_array_equal(after.speed, before.speed)
        self.assertEqual(after.phases, before.phases)
        self.assertEqual(set(before.sun), {0.0})

    def test_a_column_that_cycles_have_not_is_an_error(self):
        with self.assertRaises(lapheat.Error):
            short().replace(ambiant=300)
        with self.assertRaises(lapheat.Error):
            short().replace(ambient=[300, 301])
        with self.assertRaises(lapheat.Error):
            short().replace(selector="first")

    def test_a_hot_day_and_air_conditioning_are_driven_as_they_are_set(self):
        def driven(cycle):
            r = lapheat.run(car(), cycle, keep_series=False)
            return {v.loop: v.margin for v in r.verdicts}, r.fan_energy

        margins, fans = driven(short())
        hot, _ = driven(short().replace(ambient=318.15))
        _, cooled = driven(short().replace(ac_demand=1))
        self.assertLess(hot["transmission"], margins["transmission"] - 2)
        self.assertGreater(cooled, fans)

    def test_a_lap_session_has_its_weather(self):
        session = lapheat.lap_session(car(), lapheat.cone_course(), sun=850, wind=2, humidity=0.3, ac_demand=0.5)
        self.assertEqual(set(session.sun), {850.0})
        self.assertEqual(set(session.wind), {2.0})
        self.assertEqual(set(session.ac_demand), {0.5})


class Kept(unittest.TestCase):
    def test_a_variant_keeps_what_was_read_though_the_files_have_changed(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            text = 'name = "walk"\n[[segments]]\nkind = "steady"\nspeed = "20 km/h"\nduration = "60 s"\n'
            (folder / "walk.toml").write_text(text)
            (folder / "place.toml").write_text(
                f'extends = "{SCENARIOS / "placements" / "under_floor.toml"}"\ncycles = ["walk.toml"]\n'
            )
            before = os.getcwd()
            os.chdir(folder)
            try:
                scenario = lapheat.read("place.toml")
                (folder / "walk.toml").write_text(text.replace("20 km/h", "90 km/h"))
            finally:
                os.chdir(before)
            variant = scenario.with_value("vehicle.mass", "1700 kg")
            self.assertEqual(variant.cycles[0].speed.max(), scenario.cycles[0].speed.max())


if __name__ == "__main__":
    unittest.main()
