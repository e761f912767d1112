"""Logs from Python: read, retraced, fitted."""

import os
import pathlib
import tempfile
import unittest

import h5py
import numpy as np

import lapheat

SCENARIOS = pathlib.Path(os.environ["LAPHEAT_SCENARIOS"])
DRIVE = SCENARIOS.parent / "validation" / "drives" / "drive_7.csv"
DIESEL = SCENARIOS.parent / "validation" / "drives" / "invented_diesel.toml"


def ten_minutes(folder):
    """A warm-up as a phone would write it: odd headings, decimal commas, whole kelvins."""
    time = np.arange(0.0, 601.0)
    speed = np.where(time % 100 < 70, 14.0, 0.0)
    path = pathlib.Path(folder) / "phone.csv"
    coolant = 20 + 60 * (1 - np.exp(-time / 250))
    with open(path, "w", encoding="utf-8") as file:
        file.write("Zeit;ECT [°C];Geschw. (km/h);Motordrehzahl [1/min];Außentemperatur [°C];Notiz\n")
        for t, v, c in zip(time, speed, coolant):
            file.write(f"{t:.0f};{c:.0f};{3.6 * v:.0f};1500;20;x\n".replace(".", ","))
    return path


class Logs(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.log = lapheat.read_log(DRIVE)
        cls.car = lapheat.read(DIESEL)

    def test_a_log_shows_its_signals_and_what_it_left_out(self):
        self.assertIn("coolant", self.log.channels)
        coolant = self.log.channels["coolant"]
        self.assertEqual(coolant.step, 1.0)
        self.assertEqual(len(coolant.time), len(coolant.value))
        self.assertTrue(np.all(coolant.value > 250))
        with self.assertRaises(ValueError):
            coolant.value[0] = 1.0
        self.assertIsInstance(self.log.left_out, dict)
        self.assertIn("coolant", repr(coolant))

    def test_a_phones_headings_are_understood_or_mapped(self):
        with tempfile.TemporaryDirectory() as folder:
            path = ten_minutes(folder)
            log = lapheat.read_log(path)
            self.assertIn("Notiz", log.left_out)
            mapped = lapheat.read_log(path, map={"coolant": "ECT [°C]"})
            self.assertEqual(mapped.channels["coolant"].column.split(" ")[0], "ECT")
            with self.assertRaises(lapheat.Error):
                lapheat.read_log(path, map={"coolant": "no such column"})

    def test_a_log_becomes_a_frame(self):
        frame = self.log.to_pandas(step=5)
        self.assertEqual(frame.index.name, "time")
        self.assertAlmostEqual(frame["coolant"].iloc[0], self.log.channels["coolant"].value[0])
        self.assertEqual(set(frame.attrs["column"]), set(self.log.channels))

    def test_a_retraced_drive_lies_beside_the_log(self):
        traced = lapheat.retrace(self.car, self.log)
        (fluid,) = traced.fluids
        self.assertEqual(fluid.signal, "coolant")
        off = fluid.model - fluid.logged
        off = off[np.isfinite(off)]
        self.assertAlmostEqual(fluid.bias, off.mean(), places=6)
        self.assertAlmostEqual(fluid.rms, np.sqrt((off**2).mean()), places=6)
        data = traced.to_xarray()
        np.testing.assert_array_equal(data["model"].sel(fluid="coolant"), fluid.model)
        self.assertEqual(traced.drawn, 32)
        self.assertTrue(bool((fluid.low < fluid.high).all()))
        within = (fluid.logged >= fluid.low) & (fluid.logged <= fluid.high)
        self.assertAlmostEqual(fluid.inside, within[np.isfinite(fluid.logged)].mean(), places=6)
        np.testing.assert_array_equal(data["high"].sel(fluid="coolant"), fluid.high)
        self.assertEqual(list(traced.to_pandas().columns),
                         ["coolant logged", "coolant model", "coolant low", "coolant high"])  # fmt: skip
        bare = lapheat.retrace(self.car, self.log, draws=0)
        self.assertEqual((bare.drawn, len(bare.fluids[0].low)), (0, 0))
        self.assertEqual(set(bare.to_xarray().data_vars), {"logged", "model"})

    def test_a_fit_of_one_number_moves_it_and_writes_a_car(self):
        fit = lapheat.fit(self.car, [self.log], free=["heat to coolant and oil (engine)"], draws=8)
        self.assertTrue(fit.numbers[0].fitted)
        self.assertLess(fit.numbers[0].after[2] - fit.numbers[0].after[0],
                        fit.numbers[0].before[2] - fit.numbers[0].before[0])
        self.assertEqual(fit.correlation.shape, (1, 1))
        self.assertGreater(fit.runs, 0)
        (score,) = fit.scores
        self.assertFalse(score.held_back)
        self.assertLessEqual(score.rms_after, score.rms_before + 0.2)
        self.assertIn("[fitted]", fit.overlay(str(DIESEL)))
        self.assertEqual(fit.draws.shape, (256, 1))
        low, _, high = fit.numbers[0].after
        inside = ((fit.draws[:, 0] >= low) & (fit.draws[:, 0] <= high)).mean()
        self.assertAlmostEqual(inside, 0.9, delta=0.02)
        self.assertIn("What the logs say", fit.page("a car", units="us"))
        with self.assertRaises(lapheat.Error):
            fit.page(units="furlongs")
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "fit.h5"
            fit.write(path)
            with h5py.File(path) as file:
                np.testing.assert_array_equal(file["value"][:], fit.draws)
                np.testing.assert_array_equal(file["log_1/coolant/after"][:], fit.scores[0].after.model)
                self.assertEqual(file["held_back"][0], 0)
        table = fit.to_pandas()
        self.assertEqual(len(table), len(fit.numbers))
        self.assertEqual(fit.score_table()["samples"].iloc[0], score.samples)
        data = fit.to_xarray()
        self.assertTrue(bool((data["low"] <= data["high"]).where(data["low"].notnull(), True).all()))

    def test_a_wrong_name_is_told_with_one_that_is_near(self):
        with self.assertRaises(lapheat.Error) as caught:
            lapheat.fit(self.car, [self.log], free=["heat to coolant and oil (engin)"])
        self.assertIn("heat to coolant and oil (engine)", str(caught.exception))


if __name__ == "__main__":
    unittest.main()
