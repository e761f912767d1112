"""Rating a core outside a simulation, over arrays, and fitting one to measured points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, List, Optional, Sequence, TypeVar, Union, overload

import numpy as np

from . import _native
from ._errors import Error

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Given = Union[float, Sequence[float], "NDArray[Any]"]

Number = TypeVar("Number", float, "Floats")


@dataclass(frozen=True)
class Rating(Generic[Number]):
    """A core at one point or many. Every member has the shape the arguments broadcast to; SI units."""

    heat: Number
    """W, from the first stream to the second."""
    effectiveness: Number
    """Share of the most heat that could pass, 0 to 1."""
    ntu: Number
    """Number of transfer units, a ratio."""
    ua: Number
    """W/K, conductance of the whole core."""
    first_outlet: Number
    """K, of the stream that is cooled."""
    second_outlet: Number
    """K, of the stream that takes the heat."""
    first_pressure_drop: Number
    """Pa."""
    second_pressure_drop: Number
    """Pa."""
    first_share: Number
    """Share of the whole resistance on the first side, the liquid's."""
    wall_share: Number
    """Share of the whole resistance in the wall."""
    second_share: Number
    """Share of the whole resistance on the second side, the air's."""
    wall_temperature: Number
    """K, mean over the core."""
    flags: Any
    """0: all within range; else see lapheat.describe_flags(). Whole numbers of the same shape."""


_UNITS = {"flow": "kg/s", "inlet": "K", "heat": "W", "error": "W", "drop": "Pa"}

#: No core of a car passes more, and no air of one is thinner: numbers beyond were meant in other units.
_MOST_FLOW = 100.0
_LEAST_PRESSURE = 2e4


def _questioned(name: str, values: Floats) -> None:
    """Raises Error for numbers that look like another unit than SI."""
    if name.endswith("inlet") and bool(np.any(values < 150)):
        first = float(values[values < 150].flat[0])
        raise Error(
            f"{name} is {first:g} K, that is {first - 273.15:g} degC",
            key=name,
            expected=f"kelvin; {first:g} degC are {first + 273.15:g}",
        )
    if name.endswith("flow") and bool(np.any(values > _MOST_FLOW)):
        first = float(values[values > _MOST_FLOW].flat[0])
        raise Error(
            f"{name} is {first:g} kg/s, more than any core of a car passes",
            key=name,
            expected=f"kg/s; {first:g} L/min of water are {first / 60:g}",
        )


def _positive(**given: Any) -> List[Floats]:
    """The arguments as arrays of one shape, above zero everywhere."""
    for name, values in given.items():
        numbers = np.asarray(values, dtype=float)
        if not np.all(numbers > 0):
            unit = _UNITS[name.rsplit("_", 1)[-1]]
            raise Error(f"{name} must be above zero everywhere", key=name, expected=f"numbers in {unit}")
        _questioned(name, numbers)
    return list(np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in given.values())))


def _air(pressure: float) -> float:
    if pressure < _LEAST_PRESSURE:
        raise Error(
            f"pressure is {pressure:g} Pa, thinner air than on any mountain",
            key="pressure",
            expected=f"pascals; {pressure:g} bar are {pressure * 1e5:.6g}",
        )
    return pressure


@overload
def rate(  # type: ignore[misc]  # a float is a Given too: the first that fits is meant
    core: _native.Core, *, first_flow: float, first_inlet: float, second_flow: float, second_inlet: float,
    pressure: float = ...
) -> Rating[float]: ...
@overload
def rate(
    core: _native.Core, *, first_flow: Given, first_inlet: Given, second_flow: Given, second_inlet: Given,
    pressure: float = ...
) -> Rating[Floats]: ...
def rate(
    core: _native.Core,
    *,
    first_flow: Given,
    first_inlet: Given,
    second_flow: Given,
    second_inlet: Given,
    pressure: float = 101325.0,
) -> Any:
    """Heat and pressure drops of a core at given flows (kg/s) and inlet temperatures (K).

    first_flow, first_inlet: of the stream that is cooled; second_flow, second_inlet: of the one that
    takes the heat. The four are numbers or arrays that broadcast against each other; numbers in give
    numbers out. pressure: Pa of the air. Properties at the mean temperatures, viscosity at the
    wall's. Raises Error for a flow that is not positive, a temperature that is not, and for numbers
    that look like another unit.
    """
    m1, t1, m2, t2 = _positive(
        first_flow=first_flow, first_inlet=first_inlet, second_flow=second_flow, second_inlet=second_inlet
    )
    shape = m1.shape
    columns = _native._rate(core, m1.ravel(), t1.ravel(), m2.ravel(), t2.ravel(), _air(pressure))
    return Rating(**{k: v.reshape(shape) if shape else v[0] for k, v in columns.items()})


def fit_core(
    core: _native.Core,
    *,
    first_flow: Given,
    first_inlet: Given,
    second_flow: Given,
    second_inlet: Given,
    heat: Given,
    heat_error: Optional[Given] = None,
    first_pressure_drop: Optional[Given] = None,
    second_pressure_drop: Optional[Given] = None,
    wall: bool = False,
    first_power: bool = False,
    second_power: bool = False,
    confidence: float = 0.95,
    pressure: float = 101325.0,
) -> _native.Fit:
    """Fits the resistances of a core to measured points by weighted least squares.

    Points are numbers or arrays that broadcast against each other: first_flow and second_flow (kg/s),
    first_inlet and second_inlet (K), heat (W) with its standard error heat_error (3 % unless given),
    first_pressure_drop and second_pressure_drop (Pa) where measured. first_power, second_power: fit the
    power of flow of that side too. `core` says what law each side follows; the fit finds the level of
    each side, and where asked the wall's resistance. The result holds the fitted core, each parameter
    with its confidence interval, and says when the points cannot tell the sides apart. pressure: Pa of
    the air. Raises Error for points that cannot be, and as rate() does.
    """
    m1, t1, m2, t2, q = _positive(
        first_flow=first_flow, first_inlet=first_inlet, second_flow=second_flow, second_inlet=second_inlet, heat=heat
    )

    def given(name: str, values: Optional[Given]) -> Floats:
        if values is None:
            return np.zeros(q.size)
        return np.broadcast_to(_positive(**{name: values})[0], q.shape).ravel()

    return _native._fit(
        core, m1.ravel(), t1.ravel(), m2.ravel(), t2.ravel(), q.ravel(), given("heat_error", heat_error),
        given("first_pressure_drop", first_pressure_drop), given("second_pressure_drop", second_pressure_drop),
        wall, first_power, second_power, confidence, _air(pressure),
    )  # fmt: skip
