"""The course from above, coloured by the temperature of a fluid along it."""

from __future__ import annotations

from typing import Any, Optional, Tuple

import matplotlib
import numpy as np
from matplotlib.collections import LineCollection

from ._style import INK, QUIET, figure, look, roles_of, words, our_style

ZERO = 273.15


def _shape(course: Any) -> Tuple[Any, Any]:
    """x and y in m from curvature against distance, by the trapezoid rule."""
    s = course.distance
    step = np.diff(s)
    k = course.curvature
    heading = np.concatenate([[0.0], np.cumsum(step * (k[1:] + k[:-1]) / 2)])
    middle = (heading[1:] + heading[:-1]) / 2
    x = np.concatenate([[0.0], np.cumsum(step * np.cos(middle))])
    y = np.concatenate([[0.0], np.cumsum(step * np.sin(middle))])
    return x, y


def _along(result: Any, phase: str, length: float, values: Any) -> Tuple[Any, Any]:
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
    result: Any,
    course: Any,
    *,
    phase: str,
    loop: str = "transmission",
    ax: Optional[Any] = None,
) -> Any:
    """The course from above; colour and width of the line are the watched temperature of `loop`.

    result: a Result with series of a cycle driven on `course`, best with sample_interval=0.2.
    phase: which run, e.g. "run 8" or "lap 1.2"; the names are in result.phases.
    Raises KeyError for a phase or loop that is not there.
    """
    x, y = _shape(course)
    s, t = _along(result, phase, course.length, result[f"loops/{loop}/watched_temperature"] - ZERO)
    here = np.interp(course.distance, s, t)
    lo, hi = float(here.min()), float(here.max())
    with our_style():
        span_x, span_y = float(np.ptp(x)), float(np.ptp(y))
        fig, ax = figure(9.0, float(np.clip(9.0 * span_y / max(span_x, 1.0) + 1.6, 3.0, 8.0)), ax)
        points = np.stack([x, y], axis=1)
        pieces = np.stack([points[:-1], points[1:]], axis=1)
        colours = matplotlib.colors.LinearSegmentedColormap.from_list(
            "warm", ["#cfd8dc", look(loop, roles=roles_of(result)).colour, "#3a1500"]
        )
        share = (here[:-1] - lo) / max(hi - lo, 1e-9)
        lines = LineCollection(pieces, cmap=colours, linewidths=1.5 + 5 * share, capstyle="round")
        lines.set_array(here[:-1])
        ax.add_collection(lines)
        bar = fig.colorbar(lines, ax=ax, shrink=0.8, pad=0.02)
        bar.set_label(f"{words(loop)} fluid [°C]" if loop != "coolant" else "coolant [°C]")
        bar.outline.set_visible(False)
        ax.plot(x[0], y[0], "o", color=INK, markersize=6)
        ax.annotate(f"start {here[0]:.1f} °C", (x[0], y[0]), (8, 8), textcoords="offset points", color=INK)
        if not course.closed:
            ax.plot(x[-1], y[-1], "s", color=INK, markersize=6)
            ax.annotate(f"finish {here[-1]:.1f} °C", (x[-1], y[-1]), (8, -12), textcoords="offset points", color=INK)
        hot = int(np.argmax(here))
        if 0.03 < course.distance[hot] / course.length < 0.97:
            ax.annotate(f"hottest {here[hot]:.1f} °C", (x[hot], y[hot]), (10, 12), textcoords="offset points", color=INK,
                        arrowprops={"arrowstyle": "-", "color": QUIET})  # fmt: skip
        ax.set_aspect("equal")
        ax.margins(0.08)
        ax.set_xlabel("x [m]")
        ax.set_ylabel("y [m]")
        ax.set_title(f"{course.name}, {phase}, {result.placement}")
    return fig
