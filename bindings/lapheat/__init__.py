"""lapheat: will coolant, transmission and steering fluid stay inside their limits?

    import lapheat
    car = lapheat.read("scenarios/placements/under_floor.toml")
    result = lapheat.run(car, "timed laps")
    print(result)
    result["loops/transmission/sump/temperature"]      # K, a NumPy view against result.time

Everything is in SI units; si() and text() translate. lapheat.plot draws.
"""

from typing import TYPE_CHECKING, List

from ._missing import told_by_name

with told_by_name():
    from . import _native as _native

from . import _display, _logs
from ._buying import Search, Size, search, size, sweep
from ._errors import Error, Problem, ScenarioError
from ._native import (
    CarFit,
    Certainty,
    Channel,
    Comparison,
    Core,
    Course,
    Cycle,
    CycleCertainty,
    Driver,
    Event,
    Fit,
    FitParameter,
    FitScore,
    FittedNumber,
    FittedSignal,
    Fluid,
    FluidCertainty,
    GaugeReading,
    HeatSource,
    Lap,
    Ledger,
    LedgerEntry,
    Lever,
    LineState,
    Log,
    Measurement,
    Outcome,
    PlacementCertainty,
    AssumedNumber,
    FanState,
    PumpState,
    Ranked,
    Result,
    Retrace,
    RunCost,
    Scenario,
    Series,
    TracedFluid,
    Verdict,
    __version__,
    compare,
    cone_course,
    core,
    core_names,
    course,
    cycle,
    describe_flags,
    fit,
    fluid,
    hottest_ambient,
    lap,
    lap_session,
    line_costs,
    load,
    parse,
    plumbing,
    read,
    read_cores,
    read_log,
    retrace,
    road_circuit,
    run,
    si,
    text,
    write,
)
from ._examples import examples
from ._rating import Rating, fit_core, rate

_display.install(Result, Comparison)
_logs.install(Log, Retrace, CarFit)

__all__ = [
    "AssumedNumber", "CarFit", "Certainty", "Channel", "Comparison", "Core", "Course", "Cycle",
    "CycleCertainty", "Driver", "Error", "Event", "FanState", "Fit", "FitParameter", "FitScore",
    "FittedNumber", "FittedSignal", "Fluid", "FluidCertainty", "GaugeReading", "HeatSource",
    "Lap", "Ledger", "LedgerEntry", "Lever", "LineState", "Log", "Measurement", "Outcome", "PlacementCertainty", "Problem", "PumpState", "Ranked",
    "Rating", "Result", "Retrace", "RunCost", "Scenario", "ScenarioError", "Search", "Series", "Size", "TracedFluid",
    "Verdict", "compare", "cone_course", "core", "core_names", "course", "cycle", "describe_flags", "examples", "fit",
    "fit_core", "fluid", "hottest_ambient", "lap", "lap_session", "line_costs", "load", "parse", "plot",
    "plumbing", "rate", "read", "read_cores", "read_log", "retrace", "road_circuit", "run", "search", "si",
    "size", "sweep", "text", "write",
]  # fmt: skip


if TYPE_CHECKING:
    from . import plot as plot


def __getattr__(name: str) -> object:
    # matplotlib is slow to import, and only the plots need it.
    if name == "plot":
        import importlib

        return importlib.import_module(".plot", __name__)
    raise AttributeError(f"module 'lapheat' has no attribute '{name}'")


def __dir__() -> List[str]:
    return sorted(__all__ + ["__version__", "__doc__"])
