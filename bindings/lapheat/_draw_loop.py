"""The runs of a loop as lines of parts in the order the fluid meets them."""

from __future__ import annotations

import re
from typing import Any, Dict, List, Optional

import numpy as np

from ._style import INK, QUIET, figure, look, roles_of, words, our_style

ZERO = 273.15


def loop(result: Any, name: str, *, time: Optional[float] = None, ax: Optional[Any] = None) -> Any:
    """The temperature of every part of a loop, in the order of the file, at one moment.

    time: s; left out, the moment of the fluid's least margin. Cells of a long line are one part.
    The bar is the range over the whole run, the mark is the moment; flows are written above.
    """
    verdict = next((v for v in result.verdicts if v.loop == name), None)
    if verdict is None:
        raise KeyError(f"no loop is named '{name}'; known: {', '.join(v.loop for v in result.verdicts)}")
    at = verdict.margin_time if time is None else float(time)
    prefix = f"loops/{name}/"
    parts: Dict[str, List[str]] = {}
    flows: List[str] = []
    for path, series in result.series.items():
        if not path.startswith(prefix):
            continue
        if series.name == "temperature":
            part = re.sub(r"_\d+_\d+$", "", path[len(prefix) : -len("/temperature")])
            parts.setdefault(part, []).append(path)
        elif series.name == "mass_flow":
            flow = float(np.interp(at, result.time, series.values))
            flows.append(f"{series.long_name.replace(' mass flow', '')} {flow:.3f} kg/s")
    style = look(name, roles=roles_of(result))
    with our_style():
        fig, ax = figure(9.0, 4.4, ax)
        xs = np.arange(len(parts))
        now = []
        for x, paths in zip(xs, parts.values()):
            lows = min(float(result[p].min()) for p in paths) - ZERO
            highs = max(float(result[p].max()) for p in paths) - ZERO
            ax.plot([x, x], [lows, highs], color="#cccccc", linewidth=7, solid_capstyle="butt", zorder=1)
            now.append(float(np.mean([np.interp(at, result.time, result[p]) for p in paths])) - ZERO)
        ax.plot(xs, now, color=style.colour, linestyle=style.dashes, marker=style.marker, markersize=7, zorder=2)
        for x, t in zip(xs, now):
            ax.annotate(f"{t:.1f}", (x, t), (7, 7), textcoords="offset points", color=INK, weight="bold", fontsize=8.5)
        limit = float(np.interp(at, result.time, result[prefix + "limit"])) - ZERO
        ax.axhline(limit, color=style.colour, linewidth=0.9)
        ax.text(len(parts) - 0.55, limit, f"limit {limit:.0f} °C", color=style.colour, ha="right", va="bottom")
        ax.set_xticks(xs, [words(p).replace(" ", "\n", 1) for p in parts])
        ax.tick_params(axis="x", colors=INK, length=0)
        ax.set_xlim(-0.5, len(parts) - 0.4)
        ax.grid(axis="x", visible=False)
        ax.set_ylabel("temperature [°C]")
        ax.set_title(f"{words(name)}, {result.placement}, {result.cycle} at {at / 60:.1f} min")
        ax.set_xlabel("in the order of the loop; grey: range over the run.  Flows: " + "; ".join(flows))
    return fig
