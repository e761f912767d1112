"""Where the heat goes: the ledger as flows from source to sink."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Dict, List, Optional, Tuple

from matplotlib.patches import PathPatch
from matplotlib.path import Path

from ._style import LIGHT, Theme, canvas, entitle, look, roles_of, spread, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ._native import Result

Flow = Tuple[str, float, str]  # label, joules, colour


def _loop_of(name: str, roles: Dict[str, str]) -> Optional[str]:
    """The fluid that a ledger entry belongs to, from the words of its name."""
    plain = name.replace("_", " ").replace(".", " ")
    for found in sorted(roles, key=len, reverse=True):
        if words(found) in plain:
            return found
    hints = {
        "radiator": "coolant",
        "engine coolant": "coolant",
        "converter": "transmission",
        "gear": "transmission",
        "steering": "steering",
        "tank": "transmission",
    }
    for hint, role in hints.items():
        found_loop = next((loop for loop, of in roles.items() if of == role), None)
        if hint in plain and found_loop is not None:
            return found_loop
    return None


def _sides(result: Result, least: float, theme: Theme = LIGHT) -> Tuple[List[Flow], List[Flow]]:
    roles = roles_of(result)
    left: List[Flow] = []
    right: List[Flow] = []
    for e in result.ledger:
        if e.direction == "within":
            continue
        # What runs against its direction (a line that takes up heat) changes sides.
        to_right = e.direction != "in"
        if e.joules < 0:
            to_right = not to_right
        loop = _loop_of(e.name, roles)
        colour = look(loop, list(roles), roles, theme).colour if loop else theme.quiet
        label = words(e.name).replace("lines and cases of", "lines, cases:").replace("core ", "")
        if e.direction == "stored":
            label = "kept in" if e.joules >= 0 else "given from store"
        (right if to_right else left).append((label, abs(e.joules), colour))
    whole = sum(j for _, j, _ in left)
    for side in (left, right):
        small = [f for f in side if f[1] < least * whole]
        if len(small) > 1:
            side[:] = [f for f in side if f[1] >= least * whole]
            side.append((f"{len(small)} small ones", sum(f[1] for f in small), theme.quiet))
    left.sort(key=lambda f: -f[1])
    right.sort(key=lambda f: -f[1])
    return left, right


def energy(result: Result, *, least: float = 0.01, ax: Optional[Axes] = None) -> Axes:
    """Where the heat came from (left) and where it went (right) over the whole run, in MJ.

    The height of a band is its energy. Bands of less than `least` of the whole are taken together.
    Colours are the fluids'; grey is what belongs to none. ax: axes to draw on. Gives the axes.
    """
    ax, theme, own = canvas(9.0, 5.0, ax)
    left, right = _sides(result, least, theme)
    whole = max(sum(f[1] for f in left), sum(f[1] for f in right))
    ax.set_xlim(0, 1)
    ax.set_ylim(-0.24, 1.36)
    ax.axis("off")
    for side, outer, inner, anchor in ((left, 0.27, 0.47, "right"), (right, 0.73, 0.53, "left")):
        pad = 0.4 / max(len(side), 1) * 0.75
        y_in = 1.0
        y_out = 1.0 + pad * (len(side) - 1) / 2
        spots: List[float] = []
        for label, joules, colour in side:
            h = joules / whole
            _band(ax, (outer, y_out), (inner, y_in), h, colour, theme)
            spots.append(y_out - h / 2)
            y_in -= h
            y_out -= h + pad
        for (label, joules, colour), y, place in zip(side, spots, spread(spots, 0.062)):
            x = outer - 0.03 if anchor == "right" else outer + 0.03
            edge = outer if anchor == "right" else outer
            ax.plot([edge, x], [y, place], color=colour, linewidth=0.6)
            text = f"{label}  {joules / 1e6:.2f} MJ"
            ax.text(x + (-0.005 if anchor == "right" else 0.005), place, text, ha=anchor, va="center", color=theme.ink)
    ax.add_patch(
        PathPatch(Path([(0.47, 0), (0.53, 0), (0.53, 1), (0.47, 1), (0.47, 0)]), facecolor=theme.grid, edgecolor=theme.quiet)
    )
    ax.text(0.5, 0.5, f"fluids and metal\n{whole / 1e6:.1f} MJ", rotation=90, ha="center", va="center", color=theme.ink)
    ax.text(0.27, 1.3, "came from", ha="right", weight="bold", color=theme.quiet)
    ax.text(0.73, 1.3, "went to", ha="left", weight="bold", color=theme.quiet)
    title = ", ".join(t for t in (result.cycle, result.placement) if t)
    entitle(ax, f"Where the heat goes: {title}", own, theme)
    ax.text(0.5, -0.2, f"closes to {result.ledger.closure:.0e}", ha="center", color=theme.quiet, fontsize=8)
    return ax


def _band(
    ax: Axes, begin: Tuple[float, float], end: Tuple[float, float], h: float, colour: str, theme: Theme
) -> None:
    """A band of height h from one (x, y) to the other, tops given, curved between."""
    (x0, y0), (x1, y1) = begin, end
    mid = (x0 + x1) / 2
    verts = [(x0, y0), (mid, y0), (mid, y1), (x1, y1), (x1, y1 - h), (mid, y1 - h), (mid, y0 - h), (x0, y0 - h), (x0, y0)]
    codes = [Path.MOVETO, Path.CURVE4, Path.CURVE4, Path.CURVE4, Path.LINETO, Path.CURVE4, Path.CURVE4, Path.CURVE4, Path.CLOSEPOLY]  # fmt: skip
    ax.add_patch(PathPatch(Path(verts, codes), facecolor=colour, alpha=0.75, edgecolor=theme.paper, linewidth=0.8))
