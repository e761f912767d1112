#!/usr/bin/env python3
"""The demo car's own right-hand side taken through the first minutes of a cycle by SciPy's solvers.

    measure_scipy.py LIBRARY [PLACEMENT] [CYCLE] [SECONDS]

LIBRARY: liblapheat_reference.so of a build. For each method and tolerance: the worst temperature of all
cells, walls and air at the knots against DOP853 at 1e-9, milliseconds for each simulated hour, and what of
them the right-hand side took (calls times the least time of a call from Python): the rest is SciPy's own,
in Python. Events are located by SciPy, and it starts anew at knots, as it must where a right-hand side jumps.
To be read beside measure_cvode, which drives the same right-hand side from C++.
"""
import argparse
import pathlib
import sys
import time

import numpy

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "model"))
from reference import Car, drive  # noqa: E402


def least_call(car):
    y = numpy.empty(car.size)
    car.c.lapheat_start(car.p, y)
    car.c.lapheat_enter(car.p, 0)
    least = 1e9
    for _ in range(200):
        began = time.perf_counter()
        car.rhs(0.0, y)
        least = min(least, time.perf_counter() - began)
    return least


def main():
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("library")
    for name, usual in (("placement", "under_floor"), ("cycle", "traffic"), ("seconds", "120")):
        words.add_argument(name, nargs="?", default=usual)
    library, placement, cycle, seconds = vars(words.parse_args()).values()
    scenarios = HERE.parents[1] / "scenarios"

    def car():
        return Car(library, str(scenarios / "placements" / f"{placement}.toml"),
                   str(scenarios / "cycles" / f"{cycle}.toml"), float(seconds), 1)

    one = car()
    slack = numpy.empty(one.size)
    one.c.lapheat_slack(one.p, slack)
    temperatures = numpy.isfinite(slack)
    exact, _ = drive(one, rtol=1e-9, atol=1e-9)
    each = least_call(one)
    print(f"{placement}, {cycle}, {seconds} s: worst state and cost; a call takes {1e6 * each:.0f} us from Python")
    for method in ("BDF", "LSODA", "Radau"):
        for kelvin in (2e-2, 2e-3):
            one = car()
            began = time.process_time()
            # Sums are held by their own size: a tolerance too wide is a step of its differences, too.
            rows, _ = drive(one, method=method, rtol=kelvin / 400, atol=kelvin)
            spent = time.process_time() - began
            worst = numpy.abs(rows - exact)[:, 1:][:, temperatures].max()
            hours = (rows[-1, 0] - rows[0, 0]) / 3600
            print(f"{method:6s} {kelvin:.0e} K: {worst:8.4f} K {1e3 * spent / hours:9.0f} ms/h, "
                  f"{1e3 * one.calls * each / hours:9.0f} in {one.calls / hours:9.0f} calls/h")
            one.c.lapheat_free(one.p)


if __name__ == "__main__":
    main()
