"""What the tests of the Python package share."""

import functools
import os
import pathlib

import lapheat

SCENARIOS = pathlib.Path(os.environ["LAPHEAT_SCENARIOS"])
UNDER_FLOOR = SCENARIOS / "placements" / "under_floor.toml"
LAPS = SCENARIOS / "cycles" / "lap_session.toml"


@functools.lru_cache(maxsize=None)
def car():
    return lapheat.read(UNDER_FLOOR, cycles=[LAPS])


@functools.lru_cache(maxsize=None)
def short():
    """Five minutes at 25 m/s, which every car can do."""
    return lapheat.cycle("five minutes", [0.0, 20.0, 300.0], [0.0, 25.0, 25.0], ambient=303.15)


@functools.lru_cache(maxsize=None)
def result():
    return lapheat.run(car(), short())
