"""Pictures of results: lapheat.plot.temperatures(result) and its companions.

Every function draws on axes that are handed in, which keep their look, or on new ones in ours, and gives
the axes: ``lapheat.plot.energy(result).figure.savefig("energy.png")``. The ground decides whether colours
are for light or dark. STYLE and DARK_STYLE are our look as settings of matplotlib's, for pictures beside
these. Nothing global is changed, so threads may draw at once. Temperatures are drawn in °C.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Dict, List, Optional, Sequence, Tuple, Union

import numpy as np
from matplotlib.ticker import MaxNLocator

from ._draw_buying import front, hottest
from ._draw_certainty import certainty
from ._draw_course import course
from ._draw_energy import energy
from ._draw_log import logged
from ._draw_loop import loop
from ._style import DARK_STYLE, STYLE, Theme, canvas, entitle, look, roles_of, span, spread, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import ArrayLike

    from ._native import Comparison, Core, Result

__all__ = [
    "DARK_STYLE", "STYLE", "certainty", "core_map", "course", "energy", "front", "hottest", "logged", "look", "loop",
    "margins", "temperatures",
]  # fmt: skip

ZERO = 273.15


def temperatures(
    result: Result,
    loops: Optional[Sequence[str]] = None,
    *,
    bands: Optional[Dict[str, Tuple[ArrayLike, ArrayLike]]] = None,
    ax: Optional[Axes] = None,
) -> Axes:
    """The watched temperature of each fluid over the cycle, with its limit as a thin line.

    result: a Result with series. loops: names, all if left out. bands: loop → (low, high), two
    arrays in K over result.time, drawn behind as the range of uncertainty. The ring marks each fluid's
    least margin, which its label tells; times are in hours where the cycle is longer than two. ax: axes to
    draw on, kept as they look. Gives the axes.
    Raises ValueError for a result without series, KeyError for a loop that is not there.
    """
    if len(result) == 0:
        raise ValueError("the result has no series; run with keep_series=True")
    shown = list(loops) if loops is not None else [v.loop for v in result.verdicts]
    scale, unit = span(float(result.time[-1] - result.time[0]))
    times = result.time / scale
    roles = roles_of(result)
    ax, theme, own = canvas(9.5, 5.2, ax)
    _shade_phases(ax, result, scale, theme)
    ends: List[Any] = []
    for name in shown:
        style = look(name, shown, roles, theme)
        t = result[f"loops/{name}/watched_temperature"] - ZERO
        limit = result[f"loops/{name}/limit"] - ZERO
        if bands and name in bands:
            low, high = (np.asarray(b, dtype=float) - ZERO for b in bands[name])
            ax.fill_between(times, low, high, color=style.colour, alpha=0.18, linewidth=0)
        ax.plot(times, limit, color=style.colour, linewidth=0.9, linestyle=style.dashes)
        ax.plot(times, t, color=style.colour, linestyle=style.dashes, linewidth=1.8)
        over = np.where(t > limit, t, np.nan)
        ax.plot(times, over, color=style.colour, linewidth=4.5, solid_capstyle="butt")
        tightest = int(np.argmin(limit - t))
        margin = next((v.margin for v in result.verdicts if v.loop == name), float(limit[tightest] - t[tightest]))
        ax.plot(times[tightest], t[tightest], "o", markersize=9, markerfacecolor="none", markeredgecolor=style.colour,
                markeredgewidth=1.5, zorder=4)  # fmt: skip
        ends.append((limit[-1], f"{words(name)} limit {limit[-1]:.0f}", style.colour, "normal"))
        ends.append((t[-1], f"{words(name)}, least margin {margin:.0f} K", style.colour, "bold"))
    outside = result["air/ambient_temperature"] - ZERO
    ax.plot(times, outside, color=theme.air, linewidth=1.2)
    ends.append((outside[-1], "outside air", theme.air, "normal"))
    ax.set_xlim(times[0], times[-1])
    low, high = ax.get_ylim()
    ax.set_ylim(low, high)
    gap = (high - low) * 0.045
    for (y, text, colour, weight), place in zip(ends, spread([float(e[0]) for e in ends], float(gap))):
        ax.annotate(
            text,
            (1.0, y),
            (1.015, place),
            xycoords=("axes fraction", "data"),
            textcoords=("axes fraction", "data"),
            color=colour,
            weight=weight,
            fontsize=9,
            va="center",
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 0},
        )
    ax.set_xlabel(f"time [{unit}]")
    ax.set_ylabel("temperature [°C]")
    entitle(ax, ", ".join(t for t in (result.cycle, result.placement) if t), own, theme)
    return ax


def _shade_phases(ax: Axes, result: Result, scale: float, theme: Theme) -> None:
    """Phases in which the car moves, shaded, named where there is room.

    "session 2, run 3" and its neighbours of the same session are one.
    """
    phases: List[Any] = []
    for start, name in result.phases:
        name = name.split(", ")[0]
        if not phases or phases[-1][1] != name:
            phases.append((start, name))
    starts = [start for start, _ in phases] + [float(result.time[-1])]
    whole = starts[-1] - starts[0]
    if len(starts) < 3 or whole <= 0:
        return
    speed = result["car/speed"]
    for start, end, name in zip(starts, starts[1:], (name for _, name in phases)):
        inside = (result.time >= start) & (result.time < end)
        if inside.any() and speed[inside].mean() > 0.5:
            ax.axvspan(start / scale, end / scale, color=theme.band, linewidth=0, zorder=0)
        share = (end - start) / whole
        if share < 0.016:
            continue
        upright = share < 0.011 * len(name)
        ax.text((start + end) / (2 * scale), 0.985 if not upright else 0.02, name, transform=ax.get_xaxis_transform(),
                ha="center", va="bottom" if upright else "top", rotation=90 if upright else 0,
                fontsize=7.5, color=theme.quiet)  # fmt: skip


def margins(comparison: Union[Comparison, Sequence[Result]], *, ax: Optional[Axes] = None) -> Axes:
    """The margin of every fluid in every cycle, placement by placement, best placement on top.

    comparison: a Comparison, or a sequence of Result. Left of the line at zero a fluid is too hot. ax: axes
    to draw on, kept as they look. Gives the axes.
    """
    ranking = getattr(comparison, "ranking", None)
    if ranking is not None:
        order = [r.placement for r in ranking]
        rows = [(o.placement, o.result) for o in getattr(comparison, "outcomes")]
    else:
        rows = [(r.placement or r.car, r) for r in comparison]  # type: ignore[union-attr]
        order = list(dict.fromkeys(p for p, _ in rows))
        order.sort(key=lambda p: -min(float(v.margin) for q, r in rows if q == p for v in r.verdicts))
    loops = list(dict.fromkeys(v.loop for _, r in rows for v in r.verdicts))
    roles = roles_of(*(r for _, r in rows))
    ax, theme, own = canvas(9.5, 0.9 + 0.95 * len(order), ax)
    values = [v.margin for _, r in rows for v in r.verdicts]
    left = min(0.0, min(values))
    right = max(values)
    ax.set_xlim(left - 0.06 * (right - left), right + 0.09 * (right - left))
    ax.axvspan(ax.get_xlim()[0], 0, color=theme.band, zorder=0, linewidth=0)
    ax.axvline(0, color=theme.ink, linewidth=1.4)
    tops: Dict[str, Any] = {}
    for i, placement in enumerate(order):
        least = min((float(v.margin), str(v.loop)) for p, r in rows if p == placement for v in r.verdicts)
        for j, name in enumerate(loops):
            style = look(name, loops, roles, theme)
            y = i + (j - (len(loops) - 1) / 2) * 0.18
            found = [v.margin for p, r in rows if p == placement for v in r.verdicts if v.loop == name]
            if not found:
                continue
            ax.plot([min(found), max(found)], [y, y], color=style.colour, linewidth=1.0)
            ax.plot(found, [y] * len(found), linestyle="none", marker=style.marker, markersize=5.5,
                    color=style.colour, markeredgecolor=theme.paper, markeredgewidth=0.5)  # fmt: skip
            tops.setdefault(name, (max(found), y, style.colour))
        y = i + (loops.index(least[1]) - (len(loops) - 1) / 2) * 0.18
        ax.plot(least[0], y, "o", markersize=11, markerfacecolor="none", color=theme.ink, markeredgewidth=1)
        ax.annotate(f"{least[0]:.0f} K", (least[0], y), (0, 7), textcoords="offset points", ha="center", fontsize=8,
                    weight="bold", color=theme.ink)  # fmt: skip
        if i:
            ax.axhline(i - 0.5, color=theme.grid, linewidth=0.8)
    for name, (x, y, colour) in tops.items():
        ax.annotate(words(name), (x, y), (7, 0), textcoords="offset points", color=colour, va="center",
                    weight="bold", fontsize=8.5)  # fmt: skip
    ax.set_yticks(range(len(order)), order)
    ax.tick_params(axis="y", colors=theme.ink, length=0)
    ax.set_ylim(len(order) - 0.5, -0.5)
    ax.grid(axis="y", visible=False)
    ax.set_xlabel("margin to the limit [K]: one mark for each cycle, the least ringed")
    entitle(ax, "Margins of placements", own, theme)
    for x, side, text in ((-0.006, "right", "too hot"), (0.006, "left", "holds")):
        ax.text(x * (right - left), len(order) - 0.53, text, ha=side, va="bottom", fontsize=8.5, color=theme.quiet)
    return ax


def core_map(
    core: Core,
    *,
    first_flow: ArrayLike,
    second_flow: ArrayLike,
    first_inlet: float,
    second_inlet: float,
    point: Optional[Sequence[float]] = None,
    ax: Optional[Axes] = None,
) -> Axes:
    """Heat of a core over the flows of both streams, as lines of equal heat.

    core: a Core. first_flow, second_flow: (n,) and (m,) kg/s. first_inlet, second_inlet: K.
    point: (first_flow, second_flow) of a working point to mark. A line parts what is within the range of
    the correlations from what is beyond it. ax: axes to draw on, kept as they look. Gives the axes.
    Raises Error as rate() does.
    """
    from ._rating import rate

    x, y = np.asarray(second_flow, dtype=float), np.asarray(first_flow, dtype=float)
    r = rate(core, first_flow=y[:, None], first_inlet=first_inlet, second_flow=x[None, :],
             second_inlet=second_inlet)  # fmt: skip
    side = "air" if core.second is None else "second"
    ax, theme, own = canvas(7.2, 5.0, ax)
    heat = r.heat / 1e3
    outside = np.asarray(r.flags) != 0
    levels = MaxNLocator(10).tick_values(float(heat.min()), float(heat.max()))
    tone = look("coolant", theme=theme).colour
    lines = ax.contour(x, y, heat, levels=levels, colors=tone, linewidths=np.linspace(0.7, 2.4, len(levels)))
    ax.clabel(lines, fmt=lambda v: f"{v:.3g} kW", fontsize=8, colors=theme.ink)
    share = ax.contour(x, y, r.second_share, levels=[0.5, 0.7, 0.8, 0.9], colors=theme.quiet, linewidths=0.9,
                       linestyles="dotted")  # fmt: skip
    ax.clabel(share, fmt=lambda v: f"{v:.0%} {side} side", fontsize=7.5, colors=theme.quiet)
    note = f"dotted: share of the resistance on the {side} side"
    if outside.all():
        note += "; all of it beyond the range of the correlations"
    elif outside.any():
        ax.contour(x, y, outside.astype(float), levels=[0.5], colors=theme.gain, linewidths=1.6, linestyles="dashed")
        beyond = float(outside.mean())
        note += f"; dashed: edge of the correlations' range ({beyond:.0%} is beyond it)"
    if point is not None:
        ax.plot(point[1], point[0], "o", color=theme.ink, markersize=7)
        at = rate(core, first_flow=point[0], first_inlet=first_inlet, second_flow=point[1], second_inlet=second_inlet)
        ax.annotate(f"{at.heat / 1e3:.1f} kW", (point[1], point[0]), (8, 6), textcoords="offset points",
                    weight="bold", color=theme.ink, bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1})  # fmt: skip
    second = "air" if core.second is None else core.second.name
    ax.set_xlabel(f"{second} flow [kg/s], entering at {second_inlet - ZERO:.0f} °C")
    ax.set_ylabel(f"{core.first.name} flow [kg/s], entering at {first_inlet - ZERO:.0f} °C")
    entitle(ax, f"Heat of the core {core.name}\n", own, theme)
    ax.text(0, 1.015, note, transform=ax.transAxes, color=theme.quiet, fontsize=8.5)
    return ax
