"""The runs of a loop as lines of parts in the order the fluid meets them, parallel ones side by side."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Dict, List, NamedTuple, Optional, Tuple

import numpy as np

from ._style import canvas, entitle, look, roles_of, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from ._native import Result, Scenario

ZERO = 273.15


class _Way(NamedTuple):
    """A run; level: how many others the fluid has been through before it."""

    name: str
    parts: List[str]
    level: int


def _word(name: str) -> str:
    """A part's name as paths of series have it."""
    return re.sub(r"(?:[^\w.+-]|_)+", "_", name.lower()).strip("_")


def _ways(scenario: Optional[Scenario], name: str, known: List[str]) -> List[_Way]:
    """The runs that hold parts with a temperature, each with its level; without a scenario one of all."""
    runs = scenario.loops.get(name, []) if scenario is not None else []
    if not runs:
        return [_Way("", known, 0)]
    level_of: Dict[str, int] = {runs[0]["begin"]: 0}
    ways: List[_Way] = []
    left = list(runs)
    while left:
        run = next((r for r in left if r["begin"] in level_of), left[0])
        left.remove(run)
        level = level_of.setdefault(run["begin"], 0)
        level_of.setdefault(run["end"], level + 1)
        parts = [_word(p) for p in run["parts"] if _word(p) in known]
        if parts:
            ways.append(_Way(run["run"], parts, level))
    there = {p for way in ways for p in way.parts}
    rest = [p for p in known if p not in there]
    return ways + ([_Way("", rest, max(w.level for w in ways) + 1)] if rest else [])


def _flow(result: Result, name: str, run: str, at: float) -> Optional[float]:
    """kg/s; None where the record has none of that run."""
    for path, series in result.series.items():
        group, _, last = path.rpartition("/")
        if last == "mass_flow" and group.startswith(f"loops/{name}/") and _word(group.rpartition("/")[2]) == _word(run):
            return float(np.interp(at, result.time, series.values))
    return None


def _positions(ways: List[_Way]) -> List[List[float]]:
    """Where each way's parts stand: ways of one level share a stretch, each part in a place of its own."""
    places: List[List[float]] = [[0.0] * len(way.parts) for way in ways]
    start = 0
    for level in sorted({way.level for way in ways}):
        here = [
            ((i + 0.5) / len(way.parts), w, i)
            for w, way in enumerate(ways)
            if way.level == level
            for i in range(len(way.parts))
        ]
        for slot, (_, w, i) in enumerate(sorted(here)):
            places[w][i] = float(start + slot)
        start += len(here)
    return places


def loop(
    result: Result,
    name: str,
    scenario: Optional[Scenario] = None,
    *,
    time: Optional[float] = None,
    ax: Optional[Axes] = None,
) -> Axes:
    """The temperature of every part of a loop at one moment, in the order the fluid meets them; °C.

    result: a Result with series. name: of the loop. scenario: the car that was run; with it branches that
    are parallel stand over the same stretch, each with its flow, without it all parts follow each other.
    time: s; left out, the moment of the fluid's least margin. Cells of a long line are one part. The bar
    is the range over the whole run, the mark is the moment; the limit is drawn where it holds, at the part
    that is watched. ax: axes to draw on, kept as they look. Gives the axes. Raises KeyError for a loop
    that is not there.
    """
    verdict = next((v for v in result.verdicts if v.loop == name), None)
    if verdict is None:
        raise KeyError(f"no loop is named '{name}'; known: {', '.join(v.loop for v in result.verdicts)}")
    at = verdict.margin_time if time is None else float(time)
    prefix = f"loops/{name}/"
    parts: Dict[str, List[str]] = {}
    for path, series in result.series.items():
        if path.startswith(prefix) and series.name == "temperature":
            part = re.sub(r"_\d+_\d+$", "", path[len(prefix) : -len("/temperature")])
            parts.setdefault(part, []).append(path)
    ways = _ways(scenario, name, list(parts))
    where = _positions(ways)
    ax, theme, own = canvas(max(9.0, 0.95 * len(parts) + 2), 4.6, ax)
    style = look(name, roles=roles_of(result), theme=theme)

    def now(part: str) -> float:
        return float(np.mean([np.interp(at, result.time, result[p]) for p in parts[part]])) - ZERO

    dashes: List[Any] = ["solid", (0, (5, 2)), (0, (2, 1.5)), (0, (6, 2, 1, 2))]
    shared: Dict[int, int] = {}
    ticks: Dict[float, str] = {}
    ends: Dict[int, Tuple[float, float]] = {}
    for way, xs in zip(ways, where):
        rank = shared.setdefault(way.level, 0)
        shared[way.level] += 1
        ts = [now(p) for p in way.parts]
        if way.level - 1 in ends:
            ax.plot([ends[way.level - 1][0], xs[0]], [ends[way.level - 1][1], ts[0]], color=theme.quiet, linewidth=0.7,
                    linestyle=":", zorder=1)  # fmt: skip
        for x, part in zip(xs, way.parts):
            lows = min(float(result[p].min()) for p in parts[part]) - ZERO
            highs = max(float(result[p].max()) for p in parts[part]) - ZERO
            ax.plot([x, x], [lows, highs], color=theme.grid, linewidth=7, solid_capstyle="butt", zorder=1)
            ticks[x] = words(part).replace(" ", "\n")
        ax.plot(xs, ts, color=style.colour, linestyle=dashes[rank % len(dashes)], marker=style.marker, markersize=7, zorder=2)
        for x, t in zip(xs, ts):
            ax.annotate(f"{t:.1f}", (x, t), (7, 7), textcoords="offset points", color=theme.ink, weight="bold", fontsize=8.5)
        flow = _flow(result, name, way.name, at) if way.name else None
        if way.name:
            told = words(way.name).replace(", ", ",\n") + ("" if flow is None else f"\n{flow:.3f} kg/s")
            middle = len(xs) // 2
            ax.annotate(told, (xs[middle], ts[middle]), (0, -10), textcoords="offset points", color=style.colour,
                        fontsize=8, ha="center", va="top")  # fmt: skip
        if rank == 0:
            ends[way.level] = (float(xs[-1]), ts[-1])
    watched = _word(verdict.part)
    limit = float(np.interp(at, result.time, result[prefix + "limit"])) - ZERO
    for way, xs in zip(ways, where):
        for x, part in zip(xs, way.parts):
            if part == watched:
                ax.plot([x - 0.35, x + 0.35], [limit] * 2, color=style.colour, linewidth=1.6)
                ax.text(x, limit, f"limit {limit:.0f} °C", color=style.colour, ha="center", va="bottom", fontsize=8.5)
    ax.margins(y=0.12)
    ax.margins(x=0.06)
    ax.set_xticks(list(ticks), list(ticks.values()), fontsize=8.5)
    ax.tick_params(axis="x", colors=theme.ink, length=0)
    ax.grid(axis="x", visible=False)
    ax.set_ylabel("temperature [°C]")
    ax.set_xlabel("in the order of the loop; grey: range over the run")
    scale, unit = (60.0, "min") if result.time[-1] <= 7200 else (3600.0, "h")
    entitle(ax, f"{words(name)}, {result.placement}, {result.cycle} at {at / scale:.1f} {unit}", own, theme)
    return ax
