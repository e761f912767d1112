"""A log and the model beside it, before and after a fit."""

from __future__ import annotations

import pathlib
from typing import Any, List

import numpy as np
from matplotlib import pyplot as plt

from ._style import INK, QUIET, look, our_style, words

ZERO = 273.15


def _degrees(values: Any) -> Any:
    return np.asarray(values, dtype=float) - ZERO


def _label(ax: Any, time: Any, values: Any, text: str, colour: str, above: bool) -> None:
    """Written at the line itself, a fifth of the way from its end."""
    good = np.flatnonzero(np.isfinite(values))
    if len(good) == 0:
        return
    at = good[int(0.8 * (len(good) - 1))]
    ax.annotate(text, (time[at], values[at]), (0, 9 if above else -9), textcoords="offset points",
                ha="center", va="bottom" if above else "top", color=colour, weight="bold")  # fmt: skip


def _trace(ax: Any, fluid: Any) -> None:
    style = look(fluid.signal)
    minutes = fluid.time / 60
    logged, model = _degrees(fluid.logged), _degrees(fluid.model)
    ax.plot(minutes, logged, color=INK, linewidth=1.0, marker=".", markersize=3, linestyle="none")
    ax.plot(minutes, model, color=style.colour, linestyle=style.dashes)
    high = bool(np.nanmean(model) > np.nanmean(logged))
    _label(ax, minutes, model, f"{words(fluid.signal)}, model", style.colour, high)
    _label(ax, minutes, logged, "logged", INK, not high)


def _score(ax: Any, score: Any) -> None:
    style = look(score.signal)
    minutes = score.after.time / 60
    before, after = _degrees(score.before.model), _degrees(score.after.model)
    logged = _degrees(score.after.logged)
    ax.fill_between(minutes, _degrees(score.low), _degrees(score.high), color=style.colour, alpha=0.18, linewidth=0)
    ax.plot(minutes, before, color=QUIET, linewidth=1.0, linestyle=(0, (4, 2)))
    ax.plot(minutes, after, color=style.colour)
    ax.plot(minutes, logged, color=INK, marker=".", markersize=3, linestyle="none")
    what = "held back" if score.held_back else "fitted"
    ax.set_title(
        f"{pathlib.Path(score.log).name}, {words(score.signal)}: {what}\n"
        f"{score.rms_before:.1f} → {score.rms_after:.1f} K rms, {score.inside_after:.0%} in the band",
        fontsize=9.5,
    )


def logged(of: Any) -> Any:
    """The temperatures of a log (dots) and of the model (lines), °C.

    of: a Retrace, one picture for each fluid; or a CarFit, one for each fluid of each log: the car as it stood
    (dashed grey), as fitted (in colour) and the band that should hold nine of ten readings.
    Raises ValueError where there is nothing to draw.
    """
    scores: List[Any] = list(getattr(of, "scores", []))
    fluids: List[Any] = [] if scores else list(getattr(of, "fluids", []))
    count = len(scores) or len(fluids)
    if count == 0:
        raise ValueError("nothing was compared")
    columns = 1 if count == 1 else 2
    rows = (count + columns - 1) // columns
    with our_style():
        fig, axes = plt.subplots(rows, columns, figsize=(6.0 * columns if columns > 1 else 9.5, 3.4 * rows + 0.4),
                                 squeeze=False, constrained_layout=True)  # fmt: skip
        flat = list(axes.flat)
        for ax, score in zip(flat, scores):
            _score(ax, score)
        for ax, fluid in zip(flat, fluids):
            _trace(ax, fluid)
            ax.set_title(f"{words(fluid.signal)}: {fluid.bias:+.1f} K mean, {fluid.rms:.1f} K rms")
        for ax in flat[:count]:
            ax.set_xlabel("time [min]")
            ax.set_ylabel("temperature [°C]")
        for ax in flat[count:]:
            ax.remove()
        if scores:
            fig.supxlabel("dots: logged · dashed: as it stood · line and band: as fitted, 90 %", fontsize=9, color=QUIET)
    return fig
