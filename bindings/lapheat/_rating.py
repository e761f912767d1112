"""Rating a core outside a simulation, over arrays."""

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
    given = {
        "first_flow": first_flow,
        "first_inlet": first_inlet,
        "second_flow": second_flow,
        "second_inlet": second_inlet,
    }
    for name, values in given.items():
        if not np.all(np.asarray(values, dtype=float) > 0):
            unit = "kg/s" if name.endswith("flow") else "K"
            raise Error(f"{name} must be above zero everywhere", key=name, expected=f"numbers in {unit}")
    m1, t1, m2, t2 = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in given.values()))
    shape = m1.shape
    columns = _native._rate(core, m1.ravel(), t1.ravel(), m2.ravel(), t2.ravel(), pressure)
    return Rating(**{k: v.reshape(shape) if shape else v[0] for k, v in columns.items()})
