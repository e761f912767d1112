"""Rating a core outside a simulation, over arrays, and fitting one to measured points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from . import _native
from ._errors import Error


@dataclass(frozen=True)
class Rating:
    """A core at one point or many. Every array has the shape the arguments broadcast to."""

    heat: Any  #: W, from the first stream to the second
    effectiveness: Any
    ntu: Any
    ua: Any  #: W/K
    first_outlet: Any  #: K
    second_outlet: Any  #: K
    first_pressure_drop: Any  #: Pa
    second_pressure_drop: Any  #: Pa
    first_share: Any  #: of the whole resistance, liquid side
    wall_share: Any
    second_share: Any  #: air side
    wall_temperature: Any  #: K
    flags: Any  #: 0: all within range; else see lapheat.describe_flags()


_UNITS = {"flow": "kg/s", "inlet": "K", "heat": "W", "error": "W", "drop": "Pa"}


def _positive(**given: Any) -> "list[np.ndarray[Any, Any]]":
    """The arguments as arrays of one shape, above zero everywhere."""
    for name, values in given.items():
        if not np.all(np.asarray(values, dtype=float) > 0):
            unit = _UNITS[name.rsplit("_", 1)[-1]]
            raise Error(f"{name} must be above zero everywhere", key=name, expected=f"numbers in {unit}")
    return list(np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in given.values())))


def rate(
    core: "_native.Core",
    *,
    first_flow: Any,
    first_inlet: Any,
    second_flow: Any,
    second_inlet: Any,
    pressure: float = 101325.0,
) -> Rating:
    """Heat and pressure drops of a core at given flows (kg/s) and inlet temperatures (K).

    The four conditions are numbers or arrays that broadcast against each other; numbers in give
    numbers out. pressure: Pa of the air. Properties at the mean temperatures, viscosity at the
    wall's. Raises Error for a flow that is not positive or a temperature that is not.
    """
    m1, t1, m2, t2 = _positive(
        first_flow=first_flow, first_inlet=first_inlet, second_flow=second_flow, second_inlet=second_inlet
    )
    shape = m1.shape
    columns = _native._rate(core, m1.ravel(), t1.ravel(), m2.ravel(), t2.ravel(), pressure)
    return Rating(**{k: v.reshape(shape) if shape else v[0] for k, v in columns.items()})


def fit_core(
    core: "_native.Core",
    *,
    first_flow: Any,
    first_inlet: Any,
    second_flow: Any,
    second_inlet: Any,
    heat: Any,
    heat_error: Any = None,
    first_pressure_drop: Any = None,
    second_pressure_drop: Any = None,
    wall: bool = False,
    first_power: bool = False,
    second_power: bool = False,
    confidence: float = 0.95,
    pressure: float = 101325.0,
) -> "_native.Fit":
    """Fits the resistances of a core to measured points by weighted least squares.

    Points are numbers or arrays that broadcast against each other: flows (kg/s), inlet
    temperatures (K), heat (W) with its standard error (3 % unless given), and pressure drops (Pa)
    where measured. `core` says what law each side follows; the fit finds the level of each side,
    and where asked the wall's resistance and a change of either side's power of flow. The result
    holds the fitted core, each parameter with its confidence interval, and says when the points
    cannot tell the sides apart. Raises Error for points that cannot be.
    """
    m1, t1, m2, t2, q = _positive(
        first_flow=first_flow, first_inlet=first_inlet, second_flow=second_flow, second_inlet=second_inlet, heat=heat
    )

    def given(name: str, values: Any) -> Any:
        if values is None:
            return np.zeros(q.size)
        return np.broadcast_to(_positive(**{name: values})[0], q.shape).ravel()

    return _native._fit(
        core, m1.ravel(), t1.ravel(), m2.ravel(), t2.ravel(), q.ravel(), given("heat_error", heat_error),
        given("first_pressure_drop", first_pressure_drop), given("second_pressure_drop", second_pressure_drop),
        wall, first_power, second_power, confidence, pressure,
    )  # fmt: skip
