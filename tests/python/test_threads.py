import os
import signal
import threading
import time
import unittest

import numpy as np

import lapheat
from common import car, short

# Sixty hours: minutes of work, which nobody waits for.
LONG = lapheat.cycle("sixty hours", np.arange(0.0, 216000.0, 10.0), 15 + 10 * np.sin(np.arange(21600.0)) ** 2)


class Interrupting(unittest.TestCase):
    def test_ctrl_c_stops_a_long_run(self):
        threading.Timer(0.5, os.kill, (os.getpid(), signal.SIGINT)).start()
        began = time.monotonic()
        with self.assertRaises(KeyboardInterrupt):
            lapheat.run(car(), LONG, keep_series=False)
        self.assertLess(time.monotonic() - began, 10.0)

    def test_an_exception_in_the_progress_function_stops_the_run_and_comes_out(self):
        class Enough(Exception):
            pass

        def progress(fraction):
            if fraction > 0:
                raise Enough(fraction)

        with self.assertRaises(Enough) as caught:
            lapheat.run(car(), LONG, keep_series=False, progress=progress)
        self.assertLess(caught.exception.args[0], 1.0)

    def test_progress_rises(self):
        told = []

        def progress(fraction):
            told.append(fraction)
            if len(told) == 5:
                raise StopIteration

        with self.assertRaises(StopIteration):
            lapheat.run(car(), LONG, keep_series=False, progress=progress)
        self.assertEqual(told, sorted(told))
        self.assertTrue(all(0 <= f <= 1 for f in told))


class Threads(unittest.TestCase):
    def test_python_runs_on_while_a_car_is_simulated(self):
        # The run is stopped from another thread by what that thread alone can set: with the GIL
        # held throughout, the flag would never come.
        flag = threading.Event()
        counted = []

        def work():
            for i in range(50):
                time.sleep(0.01)
                counted.append(i)
            flag.set()

        class Done(Exception):
            pass

        def progress(_):
            if flag.is_set():
                raise Done

        threading.Thread(target=work).start()
        with self.assertRaises(Done):
            lapheat.run(car(), LONG, keep_series=False, progress=progress)
        self.assertEqual(len(counted), 50)

    def test_runs_on_four_threads_give_the_bits_of_one(self):
        alone = lapheat.run(car(), short())
        found = [None] * 4

        def work(i):
            found[i] = lapheat.run(car(), short())

        threads = [threading.Thread(target=work, args=(i,)) for i in range(4)]
        for t in threads:
            t.start()
        for t in threads:
            t.join()
        for r in found:
            for path in alone:
                np.testing.assert_array_equal(r[path], alone[path])


if __name__ == "__main__":
    unittest.main()
