import gc
import unittest

import numpy as np

import lapheat
from common import car, result, short


class Arrays(unittest.TestCase):
    def test_a_series_is_a_view_of_the_results_own_memory(self):
        r = result()
        first = r["loops/coolant/jacket/temperature"]
        second = r["loops/coolant/jacket/temperature"]
        self.assertFalse(first.flags.owndata)
        self.assertTrue(np.shares_memory(first, second))
        self.assertTrue(np.shares_memory(first, r.series["loops/coolant/jacket/temperature"].values))
        self.assertTrue(np.shares_memory(first, np.asarray(r.series["loops/coolant/jacket/temperature"])))
        self.assertTrue(np.shares_memory(r.time, r["time"]))
        self.assertEqual(first.shape, r.time.shape)

    def test_a_view_outlives_the_name_of_its_result(self):
        r = lapheat.run(car(), short())
        kept = r["loops/transmission/sump/temperature"]
        series = r.series["car/speed"]
        before = kept.copy()
        del r
        gc.collect()
        lapheat.run(car(), short())  # would reuse freed memory
        np.testing.assert_array_equal(kept, before)
        self.assertEqual(series.values[-1], 25.0)

    def test_a_view_cannot_be_written_to(self):
        with self.assertRaises(ValueError):
            result()["car/speed"][0] = 1.0

    def test_the_speed_recorded_is_the_speed_asked_for(self):
        # Between two knots, here a second apart, the model holds the mean: half a step of the ramp.
        r, c = result(), short()
        ramp = 25.0 / 20.0
        np.testing.assert_allclose(r["car/speed"], np.interp(r.time, c.time, c.speed), atol=0.51 * ramp)

    def test_the_distance_is_the_integral_of_the_speed(self):
        self.assertAlmostEqual(result().distance, 25.0 * 280 + 0.5 * 25.0 * 20, delta=1.0)

    def test_records_come_at_the_interval_asked_for(self):
        r = lapheat.run(car(), short(), sample_interval=2.5)
        np.testing.assert_allclose(np.diff(r.time), 2.5)
        self.assertEqual(r.time[-1], 300.0)

    def test_a_run_without_series_has_the_same_verdicts(self):
        lean = lapheat.run(car(), short(), keep_series=False)
        self.assertEqual(len(lean), 0)
        self.assertEqual([v.peak for v in lean.verdicts], [v.peak for v in result().verdicts])


class Meaning(unittest.TestCase):
    def test_energy_is_accounted_for_to_a_millionth(self):
        ledger = result().ledger
        self.assertLess(ledger.closure, 1e-6)
        sums = {d: sum(e.joules for e in ledger if e.direction == d) for d in ("in", "out", "stored")}
        self.assertEqual(sums["in"], ledger.total_in)
        self.assertLess(abs(sums["in"] - sums["out"] - sums["stored"]) / ledger.moved, 1e-6)

    def test_the_ledgers_heat_is_the_integral_of_the_recorded_heat(self):
        r, compared = result(), 0
        for entry in r.ledger:
            path = f"heat/{entry.name}"
            if path in r and entry.joules > 1e5:
                total = np.trapz(r[path], r.time)
                # Records once a second against the integrator's own quadrature.
                self.assertAlmostEqual(total / entry.joules, 1.0, delta=0.03, msg=path)
                compared += 1
        self.assertGreaterEqual(compared, 3)

    def test_the_heat_of_every_core_is_in_the_ledger(self):
        r, compared = result(), set()
        for entry in r.ledger:
            if entry.name.startswith("core ") and abs(entry.joules) > 1e5:
                total = np.trapz(r[f"cores/{entry.name[5:]}/heat"], r.time)
                self.assertAlmostEqual(total / entry.joules, 1.0, delta=0.03, msg=entry.name)
                compared.add(entry.name[5:])
        self.assertLessEqual({"radiator", "cooler.transmission"}, compared)

    def test_a_peak_is_the_highest_of_its_series(self):
        r = result()
        for v in r.verdicts:
            watched = r[f"loops/{v.loop}/watched_temperature"]
            self.assertGreaterEqual(v.peak, watched.max() - 1e-9)
            self.assertLess(v.peak - watched.max(), 0.5)
            self.assertLess(abs(np.min(r[f"loops/{v.loop}/limit"] - watched) - v.margin), 0.5)

    def test_an_idling_car_keeps_less_heat_than_it_makes(self):
        r = lapheat.run(car(), lapheat.cycle("idle", [0.0, 120.0], [0.0, 0.0], ambient=283.15))
        self.assertGreater(r.ledger.total_in, 0)
        self.assertLess(r.ledger.total_stored, r.ledger.total_in)

    def test_two_runs_give_the_same_bits(self):
        again = lapheat.run(car(), short())
        for path in result():
            np.testing.assert_array_equal(again[path], result()[path])

    def test_a_tighter_tolerance_moves_no_temperature_by_a_twentieth_of_a_kelvin(self):
        tight = lapheat.run(car(), short(), tolerance=1e-6)
        for path, series in result().series.items():
            if series.name == "watched_temperature":
                self.assertLess(np.abs(tight[path] - series.values).max(), 0.05, path)


class Tables(unittest.TestCase):
    def test_pandas_has_a_column_for_every_series(self):
        r = result()
        frame = r.to_pandas()
        self.assertEqual(frame.shape, (len(r.time), len(r)))
        np.testing.assert_array_equal(frame["car/speed"].to_numpy(), r["car/speed"])
        self.assertEqual(frame.attrs["units"]["car/speed"], "m s-1")

    def test_xarray_has_units_on_every_variable(self):
        r = result()
        data = r.to_xarray()
        series = {name: v for name, v in data.data_vars.items() if not name.startswith("verdict.")}
        self.assertEqual({v.attrs["path"] for v in series.values()}, set(r))
        for name, variable in series.items():
            path = variable.attrs["path"]
            self.assertEqual(name, path.replace("/", "."))
            self.assertEqual(variable.attrs["units"], r.series[path].units)
            self.assertTrue(variable.attrs["long_name"])
        self.assertTrue(np.shares_memory(data["car.speed"].values, r["car/speed"]))

    def test_xarray_tells_margins_from_temperatures_and_never_from_a_moment(self):
        r = result()
        data = r.to_xarray()
        margin, peak = data["verdict.margin"], data["verdict.peak"]
        self.assertEqual((margin.attrs["units"], margin.attrs["units_metadata"]), ("K", "temperature: difference"))
        self.assertEqual((peak.attrs["units"], peak.attrs["units_metadata"]), ("K", "temperature: on_scale"))
        for v in r.verdicts:
            self.assertEqual(float(margin.sel(loop=v.loop)), v.margin)
            first = float(data["verdict.first_over"].sel(loop=v.loop))
            self.assertEqual(np.isnan(first), v.first_over < 0)

    def test_xarray_saves_to_netcdf_and_comes_back(self):
        import pathlib
        import tempfile

        import xarray

        data = result().to_xarray()
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "run.nc"
            data.to_netcdf(path, engine="h5netcdf")
            with xarray.open_dataset(path, engine="h5netcdf", decode_times=False) as back:
                np.testing.assert_array_equal(back["car.speed"], data["car.speed"])
                np.testing.assert_array_equal(back["verdict.margin"], data["verdict.margin"])
                self.assertEqual(list(back["loop"].values), list(data["loop"].values))

    def test_every_moment_of_a_record_knows_its_phase(self):
        r = lapheat.run(car(), lapheat.lap_session(car(), lapheat.cone_course(), wait=60))
        data = r.to_xarray()
        for (start, name), (end, _) in zip(r.phases, r.phases[1:] + [(r.time[-1], "")]):
            middle = data["phase"].sel(time=0.5 * (start + end), method="nearest")
            self.assertEqual(str(middle.values), name)

    def test_a_result_shows_every_fluid_in_text_and_in_html(self):
        r = result()
        for v in r.verdicts:
            self.assertIn(v.loop.replace("_", " "), repr(r))
            self.assertIn(f"{v.margin:+.1f} K", r._repr_html_())

    def test_markup_in_a_name_is_shown_as_text(self):
        r = lapheat.run(car(), lapheat.cycle("<script>x</script>", [0, 5], [0, 0]))
        self.assertNotIn("<script>", r._repr_html_())

    def test_what_is_written_as_hdf5_reads_back_to_one_in_eight_thousand(self):
        import pathlib
        import tempfile

        r = result()
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "run.h5"
            lapheat.write(r, path, car())
            (back,) = lapheat.load(path)
        self.assertEqual(set(back), set(r))
        for name in r:
            np.testing.assert_allclose(back[name], r[name], rtol=2.0**-13)
        self.assertEqual([v.margin for v in back.verdicts], [v.margin for v in r.verdicts])


if __name__ == "__main__":
    unittest.main()
