"""Sizes, searches and sweeps from Python; a cluster of two processes, one of which is killed."""

import os
import pathlib
import signal
import tempfile
import threading
import time
import unittest

import numpy as np

import lapheat
from common import car, short

try:
    import distributed
except ImportError:  # not installed: a cluster is for those who have one
    distributed = None

OFFERS = "what, width [mm], height [mm], price [EUR], notes\nsmall, 150, 120, 40,\nlarge, 300, 230, 130, heavy\n"


class Sizes(unittest.TestCase):
    def test_a_size_says_its_answer(self):
        size = lapheat.size(car(), "radiator width", cycles=[short()], low=0.05, high=0.9, fluids=["coolant"])
        self.assertEqual(size.answer, "found")
        self.assertTrue(size.least and size.value_low <= size.value <= size.value_high)
        self.assertIn("is the least that holds", str(size))
        with self.assertRaises(lapheat.Error):
            lapheat.size(car(), "radiator colour")

    def test_a_search_finds_the_cheapest(self):
        with tempfile.TemporaryDirectory() as folder:
            offers = pathlib.Path(folder) / "coolers.csv"
            offers.write_text(OFFERS)
            found = lapheat.search([car()], {"cooler": offers}, cycles=[short()], fluids=["transmission"])
            self.assertEqual(found.choices, 2)
            self.assertEqual(found.front[0]["price"], 40)
            offers.write_text(OFFERS.replace("40,", ","))
            with self.assertRaises(lapheat.ScenarioError) as caught:
                lapheat.search([car()], {"cooler": offers})
            self.assertEqual(caught.exception.line, 2)


class Sweeps(unittest.TestCase):
    vary = {"core width": ["200 mm", "320 mm"], "ambient": [300.0, 310.0, 320.0]}

    def test_a_sweep_is_a_labelled_data_set(self):
        data = lapheat.sweep(car(), self.vary, [short()])
        self.assertEqual(data.margin.dims, ("core_width", "ambient", "cycle", "loop"))
        np.testing.assert_array_equal(data.core_width, [0.2, 0.32])
        one = data.margin.sel(core_width=0.32, ambient=310.0, loop="transmission").item()
        changed = car().with_value("cores.cooler.width", "320 mm")
        cycle = lapheat.cycle("five minutes", [0.0, 20.0, 300.0], [0.0, 25.0, 25.0], ambient=310.0)
        run = lapheat.run(changed, cycle)
        self.assertEqual(one, next(v.margin for v in run.verdicts if v.loop == "transmission"))
        self.assertTrue((data.margin.diff("ambient") < 0).sel(loop="transmission").all())

    def test_points_and_a_file_that_is_gone_on_from(self):
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "points.h5"
            seen = []

            def stop(done):
                seen.append(done)
                if done > 0:
                    raise KeyboardInterrupt

            with self.assertRaises(KeyboardInterrupt):
                lapheat.sweep(car(), self.vary, [short()], points=24, file=file, progress=stop, threads=1)
            self.assertFalse(file.exists())
            data = lapheat.sweep(car(), self.vary, [short()], points=24, file=file)
            self.assertEqual(data.margin.sizes["point"], 24)
            self.assertEqual(len(np.unique(data.core_width)), 24)
            with self.assertRaises(lapheat.Error):
                lapheat.sweep(car(), {"core width": [0.2, 0.3]}, [short()], file=file)

    @unittest.skipIf(distributed is None, "python3-distributed is not installed")
    def test_a_cluster_gives_the_same_bits_though_a_worker_is_killed(self):
        here = lapheat.sweep(car(), self.vary, [short()], points=60)
        with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True,
                                      dashboard_address=None) as cluster, distributed.Client(cluster) as client:
            victim = next(iter(client.run(os.getpid).values()))
            killed = threading.Event()

            def kill(done):
                if done > 0.2 and not killed.is_set():
                    killed.set()
                    os.kill(victim, signal.SIGKILL)

            begin = time.perf_counter()
            there = lapheat.sweep(car(), self.vary, [short()], points=60, client=client, progress=kill)
            print(f"60 points on two processes, one killed: {time.perf_counter() - begin:.1f} s")
            self.assertTrue(killed.is_set())
        for name in ("margin", "peak", "flow", "fan_energy", "core_width", "ambient"):
            np.testing.assert_array_equal(here[name], there[name], err_msg=name)


if __name__ == "__main__":
    unittest.main()
