"""Pictures of results: lapheat.plot.temperatures(result) and its companions.

Every function gives the matplotlib Figure, and draws on `ax` if one is handed in.
Temperatures are drawn in °C.
"""

from __future__ import annotations

from typing import Any, Dict, List, Optional, Sequence

import numpy as np
from matplotlib.ticker import MaxNLocator

from ._draw_certainty import certainty
from ._draw_course import course
from ._draw_energy import energy
from ._draw_log import logged
from ._draw_loop import loop
from ._style import AIR, BAND, GRID, INK, QUIET, figure, look, roles_of, spread, words, our_style

__all__ = ["temperatures", "margins", "certainty", "core_map", "energy", "course", "loop", "logged", "look"]

ZERO = 273.15


def temperatures(
    result: Any,
    loops: Optional[Sequence[str]] = None,
    *,
    bands: Optional[Dict[str, Any]] = None,
    ax: Optional[Any] = None,
) -> Any:
    """The watched temperature of each fluid over the cycle, with its limit as a thin line.

    result: a Result with series. loops: names, all if left out. bands: loop → (low, high), two
    arrays in K over result.time, drawn behind as the range of uncertainty.
    Raises ValueError for a result without series, KeyError for a loop that is not there.
    """
    if len(result) == 0:
        raise ValueError("the result has no series; run with keep_series=True")
    shown = list(loops) if loops is not None else [v.loop for v in result.verdicts]
    minutes = result.time / 60
    roles = roles_of(result)
    with our_style():
        fig, ax = figure(9.5, 5.2, ax)
        _shade_phases(ax, result)
        ends: List[Any] = []
        for name in shown:
            style = look(name, shown, roles)
            t = result[f"loops/{name}/watched_temperature"] - ZERO
            limit = result[f"loops/{name}/limit"] - ZERO
            if bands and name in bands:
                low, high = (np.asarray(b) - ZERO for b in bands[name])
                ax.fill_between(minutes, low, high, color=style.colour, alpha=0.18, linewidth=0)
            ax.plot(minutes, limit, color=style.colour, linewidth=0.9, linestyle=style.dashes)
            ax.plot(minutes, t, color=style.colour, linestyle=style.dashes)
            over = np.where(t > limit, t, np.nan)
            ax.plot(minutes, over, color=style.colour, linewidth=4.5, solid_capstyle="butt")
            ends.append((limit[-1], f"{words(name)} limit {limit[-1]:.0f}", style.colour, "normal"))
            ends.append((t[-1], f"{words(name)} {t[-1]:.0f}", style.colour, "bold"))
        ax.plot(minutes, result["air/ambient_temperature"] - ZERO, color=AIR, linewidth=1.2)
        air = result["air/ambient_temperature"][-1] - ZERO
        ends.append((air, f"outside air {air:.0f}", "#2f7fb0", "normal"))
        ax.set_xlim(minutes[0], minutes[-1])
        low, high = ax.get_ylim()
        ax.set_ylim(low, high)
        gap = (high - low) * 0.042
        for (y, text, colour, weight), place in zip(ends, spread([float(e[0]) for e in ends], float(gap))):
            ax.annotate(
                text,
                (1.0, y),
                (1.015, place),
                xycoords=("axes fraction", "data"),
                textcoords=("axes fraction", "data"),
                color=colour,
                weight=weight,
                va="center",
                annotation_clip=False,
                arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 0},
            )
        ax.set_xlabel("time [min]")
        ax.set_ylabel("temperature [°C]")
        ax.set_title(", ".join(t for t in (result.cycle, result.placement) if t))
    return fig


def _shade_phases(ax: Any, result: Any) -> None:
    """Phases in which the car moves, in light grey, named where there is room.

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
            ax.axvspan(start / 60, end / 60, color=BAND, linewidth=0, zorder=0)
        share = (end - start) / whole
        if share < 0.016:
            continue
        upright = share < 0.011 * len(name)
        ax.text((start + end) / 120, 0.985 if not upright else 0.02, name, transform=ax.get_xaxis_transform(),
                ha="center", va="bottom" if upright else "top", rotation=90 if upright else 0,
                fontsize=7.5, color=QUIET)  # fmt: skip


def margins(comparison: Any, *, ax: Optional[Any] = None) -> Any:
    """The margin of every fluid in every cycle, placement by placement, best placement on top.

    comparison: a Comparison, or a sequence of Result. Left of the line at zero a fluid is too hot.
    """
    if hasattr(comparison, "ranking"):
        order = [r.placement for r in comparison.ranking]
        rows = [(o.placement, o.result) for o in comparison.outcomes]
    else:
        rows = [(r.placement or r.car, r) for r in comparison]
        order = list(dict.fromkeys(p for p, _ in rows))
        order.sort(key=lambda p: -min(float(v.margin) for q, r in rows if q == p for v in r.verdicts))
    loops = list(dict.fromkeys(v.loop for _, r in rows for v in r.verdicts))
    roles = roles_of(*(r for _, r in rows))
    with our_style():
        fig, ax = figure(9.5, 0.9 + 0.95 * len(order), ax)
        values = [v.margin for _, r in rows for v in r.verdicts]
        left = min(0.0, min(values))
        right = max(values)
        ax.set_xlim(left - 0.06 * (right - left), right + 0.09 * (right - left))
        ax.axvspan(ax.get_xlim()[0], 0, color="#ececec", zorder=0, linewidth=0)
        ax.axvline(0, color=INK, linewidth=1.4)
        tops: Dict[str, Any] = {}
        for i, placement in enumerate(order):
            least = min((float(v.margin), str(v.loop)) for p, r in rows if p == placement for v in r.verdicts)
            for j, name in enumerate(loops):
                style = look(name, loops, roles)
                y = i + (j - (len(loops) - 1) / 2) * 0.18
                found = [v.margin for p, r in rows if p == placement for v in r.verdicts if v.loop == name]
                ax.plot([min(found), max(found)], [y, y], color=style.colour, linewidth=1.0)
                ax.plot(found, [y] * len(found), linestyle="none", marker=style.marker, markersize=5.5,
                        color=style.colour, markeredgecolor="white", markeredgewidth=0.5)  # fmt: skip
                tops.setdefault(name, (max(found), y, style.colour))
            y = i + (loops.index(least[1]) - (len(loops) - 1) / 2) * 0.18
            ax.plot(least[0], y, "o", markersize=11, markerfacecolor="none", color=INK, markeredgewidth=1)
            if i:
                ax.axhline(i - 0.5, color=GRID, linewidth=0.8)
        for name, (x, y, colour) in tops.items():
            ax.annotate(words(name), (x, y), (7, 0), textcoords="offset points", color=colour, va="center",
                        weight="bold", fontsize=8.5)  # fmt: skip
        ax.set_yticks(range(len(order)), order)
        ax.tick_params(axis="y", colors=INK, length=0)
        ax.set_ylim(len(order) - 0.5, -0.5)
        ax.grid(axis="y", visible=False)
        ax.set_xlabel("margin to the limit [K]: one mark for each cycle, the least ringed")
        ax.set_title("Margins of placements")
        for x, side, text in ((-0.006, "right", "too hot"), (0.006, "left", "holds")):
            ax.text(x * (right - left), len(order) - 0.53, text, ha=side, va="bottom", fontsize=8.5, color=QUIET)
    return fig


def core_map(
    core: Any,
    *,
    first_flow: Any,
    second_flow: Any,
    first_inlet: float,
    second_inlet: float,
    point: Optional[Sequence[float]] = None,
    ax: Optional[Any] = None,
) -> Any:
    """Heat of a core over the flows of both streams, as lines of equal heat.

    core: a Core. first_flow, second_flow: (n,) and (m,) kg/s. first_inlet, second_inlet: K.
    point: (first_flow, second_flow) of a working point to mark. Grey: outside the range of the
    correlations. Raises Error as rate() does.
    """
    from ._rating import rate

    x, y = np.asarray(second_flow, dtype=float), np.asarray(first_flow, dtype=float)
    r = rate(core, first_flow=y[:, None], first_inlet=first_inlet, second_flow=x[None, :],
             second_inlet=second_inlet)  # fmt: skip
    side = "air" if core.second is None else "second"
    with our_style():
        fig, ax = figure(7.2, 5.0, ax)
        heat = r.heat / 1e3
        outside = r.flags != 0
        if outside.any() and not outside.all():
            ax.contourf(x, y, outside.astype(float), levels=[0.5, 1.5], colors=[BAND])
        levels = MaxNLocator(10).tick_values(float(heat.min()), float(heat.max()))
        tone = look("coolant").colour
        lines = ax.contour(x, y, heat, levels=levels, colors=tone, linewidths=np.linspace(0.7, 2.4, len(levels)))
        ax.clabel(lines, fmt=lambda v: f"{v:.3g} kW", fontsize=8, colors=INK)
        share = ax.contour(x, y, r.second_share, levels=[0.5, 0.7, 0.8, 0.9], colors=QUIET, linewidths=0.9,
                           linestyles="dotted")  # fmt: skip
        ax.clabel(share, fmt=lambda v: f"{v:.0%} {side} side", fontsize=7.5, colors=QUIET)
        if point is not None:
            ax.plot(point[1], point[0], "o", color=INK, markersize=7)
            at = rate(core, first_flow=point[0], first_inlet=first_inlet, second_flow=point[1],
                      second_inlet=second_inlet)  # fmt: skip
            ax.annotate(f"{at.heat / 1e3:.1f} kW", (point[1], point[0]), (8, 6), textcoords="offset points",
                        weight="bold", color=INK, bbox={"facecolor": "white", "edgecolor": "none", "pad": 1})  # fmt: skip
        second = "air" if core.second is None else core.second.name
        ax.set_xlabel(f"{second} flow [kg/s], entering at {second_inlet - ZERO:.0f} °C")
        ax.set_ylabel(f"{core.first.name} flow [kg/s], entering at {first_inlet - ZERO:.0f} °C")
        ax.set_title(f"Heat of the core {core.name}\n", fontsize=11)
        note = f"dotted: share of the resistance on the {side} side"
        if outside.all():
            note += "; all of it outside the range of the correlations"
        elif outside.any():
            note += "; grey: outside the range of the correlations"
        ax.text(0, 1.015, note, transform=ax.transAxes, color=QUIET, fontsize=8.5)
    return fig
