"""One look for every picture: fixed colours, direct labels, limits as lines.

Colours are of M. Okabe & K. Ito, Color Universal Design (2002), which colour-blind readers tell
apart; each fluid has a dash pattern and a marker of its own too, for printing in grey.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import Any, Dict, Iterator, List, NamedTuple, Optional, Tuple

import matplotlib
from matplotlib import pyplot as plt

INK = "#222222"
QUIET = "#6b6b6b"
GRID = "#dddddd"
AIR = "#56b4e9"
BAND = "#f0f0f0"


class Look(NamedTuple):
    """How one quantity is drawn everywhere."""

    colour: str
    dashes: Any
    marker: str


FLUIDS: Dict[str, Look] = {
    "coolant": Look("#0072b2", "solid", "o"),
    "transmission": Look("#d55e00", (0, (6, 1.5)), "s"),
    "steering": Look("#007a5a", (0, (2, 1.2)), "^"),
    "engine_oil": Look("#8a5a2b", (0, (7, 1.5, 1.5, 1.5)), "D"),
}
OTHERS = [Look("#cc79a7", (0, (1, 1)), "v"), Look("#777777", (0, (4, 1, 1, 1, 1, 1)), "P")]

RC = {
    "figure.facecolor": "white",
    "figure.dpi": 100,
    "savefig.dpi": 150,
    "font.size": 9.5,
    "font.family": "sans-serif",
    "text.color": INK,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.titlesize": 11,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": GRID,
    "grid.linewidth": 0.6,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "lines.linewidth": 1.8,
}


@contextmanager
def our_style() -> Iterator[None]:
    """Our settings for as long as a picture is made; only these are put back after it.

    matplotlib.rc_context puts back everything, also what a notebook's backend sets when the first
    picture loads it, and later pictures are not shown.
    """
    before = {key: matplotlib.rcParams[key] for key in RC}
    matplotlib.rcParams.update(RC)
    try:
        yield
    finally:
        matplotlib.rcParams.update(before)


def roles_of(*results: Any) -> Dict[str, str]:
    """What each loop of the results is for: "coolant", "transmission" …, "other"."""
    return {str(v.loop): str(v.role) for result in results for v in result.verdicts}


def look(loop: str, known: Optional[List[str]] = None, roles: Optional[Dict[str, str]] = None) -> Look:
    """The fixed look of a fluid, by its loop's role; loops of other roles take the spare ones in order.

    roles: loop → role; a loop that is not in it has the role of its name.
    """
    roles = roles or {}
    fluid = FLUIDS.get(roles.get(loop, loop))
    if fluid is not None:
        return fluid
    others = [name for name in (known or [loop]) if roles.get(name, name) not in FLUIDS]
    return OTHERS[others.index(loop) % len(OTHERS)]


def words(name: str) -> str:
    return name.replace("_", " ")


def figure(width: float, height: float, ax: Optional[Any] = None) -> Tuple[Any, Any]:
    """A figure with one pair of axes in our look, or the axes given."""
    if ax is not None:
        return ax.figure, ax
    with our_style():
        fig, made = plt.subplots(figsize=(width, height), constrained_layout=True)
    return fig, made


def spread(positions: List[float], gap: float) -> List[float]:
    """Moves labels apart along one axis until each pair is `gap` apart, as little as can be."""
    order = sorted(range(len(positions)), key=lambda i: positions[i])
    groups: List[List[Any]] = []  # [indices, centre]
    for i in order:
        groups.append([[i], positions[i]])
        while len(groups) > 1:
            (a, ca), (b, cb) = groups[-2], groups[-1]
            if cb - ca >= gap * (len(a) + len(b)) / 2:
                break
            merged = a + b
            groups[-2:] = [[merged, sum(positions[j] for j in merged) / len(merged)]]
    placed = list(positions)
    for members, centre in groups:
        for rank, j in enumerate(members):
            placed[j] = centre + (rank - (len(members) - 1) / 2) * gap
    return placed
