"""Draws the README's pictures anew: PYTHONPATH=build/release/python /usr/bin/python3 notebooks/pictures/draw.py"""

import pathlib

import lapheat
import lapheat.plot

here = pathlib.Path(__file__).parent
scenarios = here.parent.parent / "scenarios"

SHOWN = ("ahead_of_radiator", "under_floor", "rear", "in_tank", "tank_only")
cars = [lapheat.read(scenarios / "placements" / f"{name}.toml") for name in SHOWN]
lapheat.plot.margins(lapheat.compare(cars)).figure.savefig(here / "comparison.png", dpi=130)
lapheat.plot.certainty(lapheat.compare(cars, draws=64))[0].figure.savefig(here / "how_sure.png", dpi=130)

day = lapheat.read(scenarios / "event_day.toml")
lapheat.plot.temperatures(lapheat.run(day, "event day")).figure.savefig(here / "event_day.png", dpi=130)
