"""The course from above, coloured by the temperature of a fluid along it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Optional, Tuple

import matplotlib
import numpy as np
from matplotlib.collections import LineCollection

from ._style import DARK, canvas, entitle, look, roles_of, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ._native import Course, Result

ZERO = 273.15


def _shape(course: Course) -> Tuple[Any, Any]:
    """x and y in m from curvature against distance, by the trapezoid rule."""
    s = course.distance
    step = np.diff(s)
    k = course.curvature
    heading = np.concatenate([[0.0], np.cumsum(step * (k[1:] + k[:-1]) / 2)])
    middle = (heading[1:] + heading[:-1]) / 2
    x = np.concatenate([[0.0], np.cumsum(step * np.cos(middle))])
    y = np.concatenate([[0.0], np.cumsum(step * np.sin(middle))])
    return x, y


def _along(result: Result, phase: str, length: float, values: Any) -> Tuple[Any, Any]:
    """Distance from the start of a phase, and the values there."""
    starts = {name: start for start, name in result.phases}
    if phase not in starts:
        known = ", ".join(starts)
        raise KeyError(f"no phase is named '{phase}'; known: {known}")
    later = [start for start, _ in result.phases if start > starts[phase]]
    end = min(later) if later else float(result.time[-1])
    # The run's own ends are between two records.
    t = result.time[(result.time > starts[phase]) & (result.time < end)]
    t = np.concatenate([[starts[phase]], t, [end]])
    v = np.interp(t, result.time, result["car/speed"])
    s = np.concatenate([[0.0], np.cumsum(np.diff(t) * (v[1:] + v[:-1]) / 2)])
    # Records are coarser than the lap's knots: the sum is scaled to the course's own length.
    if s[-1] > 0:
        s *= length / s[-1]
    return s, np.interp(t, result.time, values)


def course(
    result: Result,
    course: Course,
    *,
    phase: str,
    loop: str = "transmission",
    ax: Optional[Axes] = None,
) -> Axes:
    """The course from above; colour and width of the line are the watched temperature of `loop`.

    result: a Result with series of a cycle driven on `course`, best with sample_interval=0.2.
    course: the Course it was. phase: which run, e.g. "run 8" or "lap 1.2"; the names are in result.phases.
    ax: axes to draw on, kept as they look. Gives the axes.
    Raises KeyError for a phase or loop that is not there.
    """
    x, y = _shape(course)
    s, t = _along(result, phase, course.length, result[f"loops/{loop}/watched_temperature"] - ZERO)
    here = np.interp(course.distance, s, t)
    lo, hi = float(here.min()), float(here.max())
    span_x, span_y = float(np.ptp(x)), float(np.ptp(y))
    ax, theme, own = canvas(9.0, float(np.clip(9.0 * span_y / max(span_x, 1.0) + 1.6, 3.0, 8.0)), ax)
    ends = ["#4a5560", "#fff1e5"] if theme is DARK else ["#cfd8dc", "#3a1500"]
    points = np.stack([x, y], axis=1)
    pieces = np.stack([points[:-1], points[1:]], axis=1)
    colours = matplotlib.colors.LinearSegmentedColormap.from_list(
        "warm", [ends[0], look(loop, roles=roles_of(result), theme=theme).colour, ends[1]]
    )
    share = (here[:-1] - lo) / max(hi - lo, 1e-9)
    lines = LineCollection(pieces, cmap=colours, linewidths=1.5 + 5 * share, capstyle="round")
    lines.set_array(here[:-1])
    ax.add_collection(lines)
    bar = ax.figure.colorbar(lines, ax=ax, shrink=0.8, pad=0.02)
    bar.set_label(f"{words(loop)} fluid [°C]" if loop != "coolant" else "coolant [°C]")
    bar.outline.set_visible(False)
    bar.ax.tick_params(colors=theme.quiet)
    bar.ax.yaxis.label.set_color(theme.ink)
    ax.plot(x[0], y[0], "o", color=theme.ink, markersize=6)
    ax.annotate(f"start {here[0]:.1f} °C", (x[0], y[0]), (8, 8), textcoords="offset points", color=theme.ink)
    if not course.closed:
        ax.plot(x[-1], y[-1], "s", color=theme.ink, markersize=6)
        ax.annotate(f"finish {here[-1]:.1f} °C", (x[-1], y[-1]), (8, -12), textcoords="offset points", color=theme.ink)
    hot = int(np.argmax(here))
    if 0.03 < course.distance[hot] / course.length < 0.97:
        ax.annotate(f"hottest {here[hot]:.1f} °C", (x[hot], y[hot]), (10, 12), textcoords="offset points", color=theme.ink,
                    arrowprops={"arrowstyle": "-", "color": theme.quiet})  # fmt: skip
    ax.set_aspect("equal")
    ax.margins(0.08)
    ax.set_xlabel("x [m]")
    ax.set_ylabel("y [m]")
    entitle(ax, f"{course.name}, {phase}, {result.placement}", own, theme)
    return ax
