import os
import pickle
import signal
import threading
import unittest

import matplotlib

matplotlib.use("Agg")
import numpy as np

import lapheat
from common import LAPS, SCENARIOS


def placements():
    names = ("ahead_of_radiator", "under_floor")
    return [lapheat.read(SCENARIOS / "placements" / f"{n}.toml", cycles=[LAPS]) for n in names]


class Comparing(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.cars = placements()
        cls.found = lapheat.compare(cls.cars)

    def test_the_ranking_is_of_all_placements_from_the_best_margin_down(self):
        self.assertEqual({r.placement for r in self.found.ranking}, {c.placement for c in self.cars})
        first, last = self.found.ranking[0], self.found.ranking[-1]
        self.assertTrue(first.holds or not last.holds)
        if first.holds == last.holds:
            self.assertGreaterEqual(first.worst_margin, last.worst_margin - self.found.doubt)
        self.assertIn("judged by", self.found.rule)
        # it may begin the sentence
        self.assertIn(first.placement, self.found.verdict[0].lower() + self.found.verdict[1:])

    def test_an_outcome_is_the_run_of_its_scenario(self):
        for c in self.cars:
            alone = lapheat.run(c)
            outcome = self.found[c.placement, "timed laps"]
            self.assertEqual([v.margin for v in outcome.result.verdicts], [v.margin for v in alone.verdicts])
            ranked = [v.margin for v in alone.verdicts if v.loop not in self.found.left_out]
            self.assertEqual(outcome.worst_margin, min(ranked))

    def test_series_outlive_the_comparison(self):
        series = lapheat.compare(self.cars[:1]).outcomes[0].result["car/speed"]
        self.assertEqual(series[0], self.found.outcomes[0].result["car/speed"][0])
        self.assertGreater(series.max(), 5.0)

    def test_levers_say_what_would_make_a_failed_place_hold(self):
        self.assertEqual(self.found.levers, [])
        hot = [c.with_value("cores.cooler.width", "40 mm") for c in self.cars]
        found = lapheat.compare(hot, levers=True, keep_series=False)
        failed = {r.placement for r in found.ranking if not r.holds}
        self.assertTrue(failed)
        self.assertEqual({lever.placement for lever in found.levers}, failed)
        holding = [lever for lever in found.levers if lever.holds and lever.what == "cooler width"]
        self.assertTrue(holding)
        for lever in holding:
            self.assertIn("makes it hold", lever.words())
            self.assertIn("inch", lever.words(units="us"))
            car = next(c for c in hot if c.placement == lever.placement)
            self.assertAlmostEqual(lever.stands, 0.04)
            margins = {v.loop: v.margin for v in lapheat.run(car.with_value("cores.cooler.width", lever.to)).verdicts}
            self.assertGreaterEqual(min(margins[loop] for loop in found.served), -0.05)
        self.assertEqual(pickle.loads(pickle.dumps(found)).levers[0].words(), found.levers[0].words())

    def test_ctrl_c_stops_a_comparison(self):
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()
        with self.assertRaises(KeyboardInterrupt):
            lapheat.compare(self.cars * 20, keep_series=False)

    def test_a_comparison_shows_its_verdict(self):
        self.assertIn(self.found.verdict, repr(self.found))
        self.assertIn("<table>", self.found._repr_html_())
        self.assertIn("<html", self.found.page())

    def test_pandas_has_a_row_for_every_placement_cycle_and_fluid(self):
        frame = self.found.to_pandas()
        for o in self.found.outcomes:
            for v in o.result.verdicts:
                self.assertEqual(frame.loc[(o.placement, o.cycle, v.loop), "margin"], v.margin)
        self.assertEqual(frame.attrs["units"]["margin"], "K")
        self.assertEqual(frame.attrs["ranking"][0], self.found.ranking[0].placement)

    def test_xarray_has_placements_cycles_and_fluids_as_dimensions_and_saves(self):
        import tempfile

        import xarray

        data = self.found.to_xarray()
        margin = data["verdict.margin"]
        self.assertEqual(margin.dims, ("placement", "cycle", "loop"))
        self.assertEqual(margin.attrs["units_metadata"], "temperature: difference")
        for o in self.found.outcomes:
            for v in o.result.verdicts:
                self.assertEqual(float(margin.sel(placement=o.placement, cycle=o.cycle, loop=v.loop)), v.margin)
        first = self.found.ranking[0]
        self.assertEqual(int(data["rank"].sel(placement=first.placement)), 1)
        self.assertEqual(float(data["worst_margin"].sel(placement=first.placement)), first.worst_margin)
        with tempfile.TemporaryDirectory() as folder:
            data.to_netcdf(folder + "/compared.nc", engine="h5netcdf")
            with xarray.open_dataset(folder + "/compared.nc", engine="h5netcdf") as back:
                np.testing.assert_array_equal(back["verdict.margin"], margin)

    def test_variants_of_one_car_are_told_apart_by_what_was_changed(self):
        car = self.cars[0]
        heavy = car.with_values({"vehicle.mass": "1800 kg"})
        found = lapheat.compare([car, heavy], keep_series=False)
        self.assertEqual(found.placements, [car.placement, car.placement + ", vehicle.mass = 1800 kg"])
        named = lapheat.compare([car, heavy], labels=["light", "heavy"], keep_series=False)
        self.assertEqual(named.placements, ["light", "heavy"])
        self.assertEqual(named["heavy", "timed laps"].worst_margin, found.outcomes[1].worst_margin)
        with self.assertRaises(lapheat.Error):
            lapheat.compare([car, heavy], labels=["one"])

    def test_a_comparison_comes_back_from_a_pickle_to_the_same_bits(self):
        import copy
        import pickle

        back = pickle.loads(pickle.dumps(self.found))
        self.assertEqual(back, self.found)
        self.assertEqual(hash(back), hash(self.found))
        for ours, theirs in zip(self.found.outcomes, back.outcomes):
            self.assertEqual(ours.result.verdicts, theirs.result.verdicts)
            for path in ours.result:
                np.testing.assert_array_equal(theirs.result[path], ours.result[path])
        self.assertEqual(back.verdict, self.found.verdict)
        self.assertEqual(copy.deepcopy(self.found), self.found)
        self.assertNotEqual(back, lapheat.compare(self.cars[:1], keep_series=False))


class Drawing(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cars = [lapheat.read(SCENARIOS / "placements" / f"{n}.toml", cycles=[LAPS]) for n in ("rear", "in_tank")]
        cls.found = lapheat.compare(cars, draws=20, sample_interval=5.0)
        cls.sure = cls.found.certainty

    def test_margins_of_the_draws_are_what_the_shares_and_quantiles_say(self):
        self.assertEqual((self.sure.draws, self.sure.runs), (20, 40))
        for p in self.sure.placements:
            margins = self.found.drawn_margins[p.placement]
            self.assertEqual(len(margins), 20 - self.sure.failed)
            if not self.sure.failed:
                self.assertAlmostEqual(p.holds, float(np.mean(margins >= 0)))
                self.assertAlmostEqual(p.margin_50, float(np.median(margins)), places=6)

    def test_no_fluid_has_less_margin_than_the_placement_that_serves_it(self):
        for p in self.sure.placements:
            for f in self.sure.fluids:
                if f.placement == p.placement and f.loop in self.found.served:
                    self.assertGreaterEqual(f.margin_50, p.margin_50 - 1e-4)
        self.assertEqual({f.loop for f in self.sure.fluids}, {"coolant", "transmission", "steering", "engine_oil"})

    def test_gauges_stay_within_the_bands_of_the_draws(self):
        name = self.sure.about
        outcome = self.found[name, "timed laps"]
        bands = self.sure.bands(outcome.result)
        readings = {g.loop: g for g in self.found.gauges(name)}
        self.assertEqual(set(readings), set(bands))
        for loop, g in readings.items():
            self.assertTrue(g.drawn)
            low, high = bands[loop]
            self.assertTrue(low.min() <= g.low <= g.high <= g.most)
            self.assertGreaterEqual(g.most, high.max() - 0.01)
        with self.assertRaises(KeyError):
            self.found.gauges("on the roof")

    def test_draws_travel_and_stand_in_the_table(self):
        import pickle

        back = pickle.loads(pickle.dumps(self.found))
        for name, margins in self.found.drawn_margins.items():
            np.testing.assert_array_equal(back.drawn_margins[name], margins)
            np.testing.assert_array_equal(back.to_xarray()["drawn_margin"].sel(placement=name), margins)
        self.assertEqual(back.certainty.values.keys(), self.sure.values.keys())
        self.assertEqual(back, self.found)

    def test_the_picture_shows_each_draw_and_says_in_how_many_it_holds(self):
        axes = lapheat.plot.certainty(self.found)
        words = [t.get_text() for ax in axes for t in ax.texts]
        for p in self.sure.placements:
            share = "all" if p.holds >= 1 else "none" if p.holds <= 0 else f"{p.holds * 20:.0f} of 20"
            self.assertIn(share, words)
        dots = [len(line.get_xdata()) for line in axes[0].lines if line.get_marker() == "."]
        self.assertEqual(dots, [len(self.found.drawn_margins[r.placement]) for r in self.found.ranking])
        with self.assertRaises(ValueError):
            lapheat.plot.certainty(lapheat.compare(placements()[:1]))


if __name__ == "__main__":
    unittest.main()
