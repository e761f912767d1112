"""What to buy and where it still holds: price against margin, and the hottest day over what varies."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, List, Optional, Tuple

import numpy as np
from matplotlib import colors as matplotlib_colors

from ._style import Theme, canvas, entitle, spread

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from xarray import DataArray, Dataset

    from ._buying import Search

ZERO = 273.15
_ON_MAP = "#1b1b25"  # lines and words on the map's own colours, whatever the ground
HOTTEST_TRIED = 59.8  # °C, beyond which the hottest day is not looked for
BLUE, ORANGE = "#0072b2", "#d55e00"
_LINES = ["#0072b2", "#d55e00", "#007a5a", "#8a5a2b", "#cc79a7", "#777777"]
_DASHES: List[Any] = ["solid", (0, (6, 1.5)), (0, (2, 1.2)), (0, (7, 1.5, 1.5, 1.5)), (0, (1, 1)), (0, (4, 1, 1, 1))]
# Light to dark, readable in grey: the hotter the day it takes, the lighter.
_MAP = matplotlib_colors.LinearSegmentedColormap.from_list("hottest day", ["#123b5d", "#2f7fb5", "#9ccbe3", "#f4f5f2"])


def front(search: Search, *, ax: Optional[Axes] = None) -> Axes:
    """Price against margin: the choices that none beats for less, the one chosen filled.

    search: a Search; with draws the margin is that which nine of ten cars reach, with the 95 % interval that so
    many draws leave. ax: axes to draw on, kept as they look. Gives the axes. Raises ValueError for one that was stopped before anything was known.
    """
    choices = search.front
    if not choices:
        raise ValueError("the search found no choice to draw")
    axes, theme, own = canvas(8.5, 4.6, ax)
    price = np.array([c["price"] for c in choices])
    margin = np.array([c["margin"] for c in choices])
    low = np.array([c["margin_low"] for c in choices], dtype=float)  # None: no end is known
    high = np.array([c["margin_high"] for c in choices], dtype=float)
    axes.step(price, margin, where="post", color=theme.quiet, linewidth=1.2, zorder=1)
    axes.vlines(price, low, high, color=theme.quiet, linewidth=1.2, zorder=1)
    axes.plot(price, margin, "o", color=theme.ink, markerfacecolor=axes.get_facecolor(), markersize=6, zorder=2)
    if search.answer is not None:
        axes.plot(price[search.answer], margin[search.answer], "o", color=BLUE, markersize=8, zorder=3)
    axes.axhline(0, color=theme.ink, linewidth=1.4)
    axes.set_xlim(0, 1.06 * float(price.max()))
    bottom, top = min(0.0, float(np.nanmin([margin, low]))), max(0.0, float(np.nanmax([margin, high])))
    axes.set_ylim(bottom - 0.08 * (top - bottom) - 0.5, top + 0.12 * (top - bottom) + 0.5)
    gap = 0.055 * (axes.get_ylim()[1] - axes.get_ylim()[0])
    # Beside the axes, each with a line to its point: the points of a front stand close.
    for i, (y, choice) in enumerate(zip(spread([float(m) for m in margin], gap), choices)):
        chosen = i == search.answer
        axes.annotate(choice["choice"], (price[i], margin[i]), (1.03, y), textcoords=("axes fraction", "data"), va="center",
                      fontsize=8.5, weight="bold" if chosen else "normal", color=BLUE if chosen else theme.ink,
                      annotation_clip=False,
                      arrowprops={"arrowstyle": "-", "color": theme.quiet, "linewidth": 0.5, "shrinkA": 2, "shrinkB": 4,
                                  "relpos": (0.0, 0.5)})  # fmt: skip
    axes.set_xlabel(f"price [{search.currency}]" if search.currency else "price [as in the lists]")
    axes.set_ylabel("least margin [K]")
    entitle(axes, "What each price buys", own, theme)
    return axes


def _shown(axis: DataArray) -> Tuple[Any, str]:
    """An axis of a sweep in the unit that a builder reads it in, and its label."""
    values, unit = np.asarray(axis.values, dtype=float), str(axis.attrs.get("units", ""))
    name = str(axis.attrs.get("long_name", axis.name))
    if unit == "K":
        return values - ZERO, f"{name} [°C]"
    if unit == "m" and np.abs(values).max() < 5:
        return 1000 * values, f"{name} [mm]"
    if unit == "s":
        return values / 60, f"{name} [min]"
    if unit == "1":
        return 100 * values, f"{name} [%]"
    return values, f"{name} [{unit}]"


def hottest(data: Dataset, *, cycle: Optional[str] = None, ax: Optional[Axes] = None) -> Axes:
    """The hottest day that still holds, over what a sweep varied: lines over one thing, a map over two.

    data: of lapheat.sweep(..., hottest=True), a grid over one or two things; fix others with ``.sel()``. Over one
    thing a line a cycle; over two the least of all cycles, or of `cycle`, with lines of equal temperature
    to be read like heights on a map, crosses where the car could not be built or driven. Values are the highest air
    temperature of the cycle, °C; nothing is known between the grid's points but by straight lines. No hotter air than
    59.8 °C is looked at: a car that holds there is drawn there, and the picture says so.
    ax: axes to draw on, kept as they look. Gives the axes.
    Raises ValueError for a sweep without hottest=True, of scattered points, and over more than two things.
    """
    if "hottest" not in data or not np.isfinite(data.hottest.values).any():
        raise ValueError("the sweep holds no hottest day; lapheat.sweep(..., hottest=True)")
    if "point" in data.hottest.dims:
        raise ValueError("the sweep's points are scattered; a grid can be drawn")
    over = [str(d) for d in data.hottest.dims if d != "cycle"]
    if len(over) not in (1, 2):
        raise ValueError(f"the sweep varies {', '.join(over) or 'nothing'}; one or two things can be drawn")
    days = data.hottest - ZERO
    if cycle is not None:
        if cycle not in data.cycle.values:
            raise ValueError(f"no cycle '{cycle}': {', '.join(map(str, data.cycle.values))}")
        days = days.sel(cycle=[cycle])
    axes, theme, own = canvas(8.5, 4.6, ax)
    if len(over) == 1:
        _along(axes, days, data[over[0]], own, theme)
    else:
        _map(axes, days, data[over[0]], data[over[1]], own, theme)
    if np.nanmax(days.values) > HOTTEST_TRIED - 0.05:
        axes.annotate(f"{HOTTEST_TRIED:g} °C is the hottest air that is looked at: there it may hold in hotter air too",
                      (0, 1), (0, 3), xycoords="axes fraction", textcoords="offset points", fontsize=8, color=theme.quiet)  # fmt: skip
    return axes


def _along(axes: Axes, days: DataArray, axis: DataArray, own: bool, theme: Theme) -> None:
    x, label = _shown(axis)
    ends = []
    for i, name in enumerate(days.cycle.values):
        y = days.sel(cycle=name).values
        axes.plot(x, y, color=_LINES[i % 6], linestyle=_DASHES[i % 6], marker="o", markersize=3.5)
        good = np.flatnonzero(np.isfinite(y))
        if len(good):
            ends.append((float(y[good[-1]]), str(name), _LINES[i % 6]))
    low, high = axes.get_ylim()
    low = min(low, high - 10)  # less than ten kelvin is no slope to look at
    axes.set_ylim(low, high)
    for place, (_, name, colour) in zip(spread([e[0] for e in ends], 0.055 * (high - low)), ends):
        axes.annotate(name, (x[-1], place), (7, 0), textcoords="offset points", color=colour, va="center", weight="bold")
    axes.set_xlim(x[0] - 0.02 * (x[-1] - x[0]), x[-1] + 0.3 * (x[-1] - x[0]))
    axes.set_xlabel(label)
    axes.set_ylabel("hottest air that holds [°C]")
    entitle(axes, "The hottest day that still holds\n", own, theme)


def _map(axes: Axes, days: DataArray, across: DataArray, up: DataArray, own: bool, theme: Theme) -> None:
    x, x_label = _shown(across)
    y, y_label = _shown(up)
    # Where one cycle could not be driven nothing is known of the least.
    worst = days.min("cycle", skipna=False).transpose(up.name, across.name).values
    lacking = ~np.isfinite(worst)
    known = worst[~lacking]
    if known.size == 0:
        raise ValueError("no point of the sweep could be driven")
    low, high = 5 * np.floor(known.min() / 5), 5 * np.ceil(known.max() / 5 + 1e-9)
    step = 5 if high - low > 10 else 1 if high - low > 5 else 0.5
    if step < 5:
        low, high = step * np.floor(known.min() / step), step * np.ceil(known.max() / step + 1e-9)
    levels = np.arange(low, high + 0.5 * step, step)
    axes.grid(False)
    filled = axes.contourf(x, y, worst, levels, cmap=_MAP, extend="both")
    lines = axes.contour(x, y, worst, levels, colors=_ON_MAP, linewidths=0.9)
    axes.clabel(lines, fmt="%g °C", fontsize=8.5, colors=_ON_MAP)
    for text in axes.texts:
        text.set_bbox({"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.6})
    grid_x, grid_y = np.meshgrid(x, y)
    axes.plot(grid_x[~lacking], grid_y[~lacking], ".", color=_ON_MAP, markersize=2.5)
    if lacking.any():
        axes.plot(grid_x[lacking], grid_y[lacking], "x", color=ORANGE, markersize=6)
    axes.figure.colorbar(filled, ax=axes, label="hottest air that holds [°C]")
    axes.set_xlabel(x_label)
    axes.set_ylabel(y_label)
    which = str(days.cycle.values[0]) if days.sizes["cycle"] == 1 else "the worst of its cycles"
    entitle(axes, f"The hottest day that still holds: {which}\n", own, theme)
