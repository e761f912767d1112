"""lapheat: will coolant, transmission and steering fluid stay inside their limits?

    import lapheat
    car = lapheat.read("scenarios/placements/under_floor.toml")
    result = lapheat.run(car, "timed laps")
    print(result)
    result["loops/transmission/sump/temperature"]      # K, a NumPy view against result.time

Everything is in SI units; si() and text() translate. lapheat.plot draws.
"""

from ._errors import Error, Problem, ScenarioError
from ._native import (
    Core,
    Cost,
    Course,
    Cycle,
    Event,
    Fluid,
    Lap,
    Ledger,
    LedgerEntry,
    Result,
    Scenario,
    Series,
    Verdict,
    __version__,
    cone_course,
    core,
    core_names,
    course,
    cycle,
    describe_flags,
    fluid,
    lap,
    lap_session,
    parse,
    read,
    road_circuit,
    run,
    si,
    text,
)
from ._rating import Rating, rate
from . import _display

_display.install(Result)

__all__ = [name for name in dir() if not name.startswith("_")] + ["plot"]


def __getattr__(name):
    # matplotlib is slow to import, and only the plots need it.
    if name == "plot":
        import importlib

        return importlib.import_module(".plot", __name__)
    raise AttributeError(f"module 'lapheat' has no attribute '{name}'")
