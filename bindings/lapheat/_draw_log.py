"""A log and the model beside it, before and after a fit."""

from __future__ import annotations

import pathlib
from typing import TYPE_CHECKING, Any, List, Optional, Sequence, Union

import numpy as np

from ._style import Theme, dress, entitle, look, new_figure, span, theme_of, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from ._native import CarFit, FitScore, Retrace, TracedFluid

ZERO = 273.15


def _degrees(values: Any) -> Any:
    return np.asarray(values, dtype=float) - ZERO


def _label(ax: Axes, time: Any, values: Any, text: str, colour: str, above: bool) -> None:
    """Written at the line itself, a fifth of the way from its end."""
    good = np.flatnonzero(np.isfinite(values))
    if len(good) == 0:
        return
    at = good[int(0.8 * (len(good) - 1))]
    ax.annotate(text, (time[at], values[at]), (0, 9 if above else -9), textcoords="offset points",
                ha="center", va="bottom" if above else "top", color=colour, weight="bold")  # fmt: skip


def _trace(ax: Axes, fluid: TracedFluid, scale: float, theme: Theme) -> None:
    style = look(fluid.signal, theme=theme)
    minutes = fluid.time / scale
    logged, model = _degrees(fluid.logged), _degrees(fluid.model)
    if len(fluid.low) > 0:
        ax.fill_between(minutes, _degrees(fluid.low), _degrees(fluid.high), color=style.colour, alpha=0.18, linewidth=0)
    ax.plot(minutes, logged, color=theme.ink, linewidth=1.0, marker=".", markersize=3, linestyle="none")
    ax.plot(minutes, model, color=style.colour, linestyle=style.dashes)
    high = bool(np.nanmean(model) > np.nanmean(logged))
    _label(ax, minutes, model, f"{words(fluid.signal)}, model", style.colour, high)
    _label(ax, minutes, logged, "logged", theme.ink, not high)


def _score(ax: Axes, score: FitScore, scale: float, theme: Theme, own: bool) -> None:
    style = look(score.signal, theme=theme)
    minutes = score.after.time / scale
    before, after = _degrees(score.before.model), _degrees(score.after.model)
    logged = _degrees(score.after.logged)
    ax.fill_between(minutes, _degrees(score.low), _degrees(score.high), color=style.colour, alpha=0.18, linewidth=0)
    ax.plot(minutes, before, color=theme.quiet, linewidth=1.0, linestyle=(0, (4, 2)))
    ax.plot(minutes, after, color=style.colour)
    ax.plot(minutes, logged, color=theme.ink, marker=".", markersize=3, linestyle="none")
    what = "held back" if score.held_back else "fitted"
    text = (
        f"{pathlib.Path(score.log).name}, {words(score.signal)}: {what}\n"
        f"{score.rms_before:.1f} → {score.rms_after:.1f} K rms, {score.inside_after:.0%} in the band"
    )
    entitle(ax, text, own, theme)


def logged(of: Union[Retrace, CarFit], *, axes: Optional[Sequence[Axes]] = None) -> NDArray[np.object_]:
    """The temperatures of a log (dots) and of the model (lines), °C.

    of: a Retrace, one picture for each fluid, with the band of nine in ten cars of the file's doubts; or a CarFit, one for each fluid of each log: the car as it stood
    (dashed grey), as fitted (in colour) and the band that should hold nine of ten readings. axes: so many to
    draw on, kept as they look. Gives the axes, an array.
    Raises ValueError where there is nothing to draw, and for another number of axes.
    """
    scores: List[Any] = list(getattr(of, "scores", []))
    fluids: List[Any] = [] if scores else list(getattr(of, "fluids", []))
    count = len(scores) or len(fluids)
    if count == 0:
        raise ValueError("nothing was compared")
    own = axes is None
    if axes is None:
        columns = 1 if count == 1 else 2
        rows = (count + columns - 1) // columns
        fig = new_figure(6.0 * columns if columns > 1 else 9.5, 3.4 * rows + 0.4)
        axes = [fig.add_subplot(rows, columns, i + 1) for i in range(count)]
        theme = theme_of(axes[0])
        for ax in axes:
            dress(ax, theme)
        if scores:
            fig.supxlabel("dots: logged · dashed: as it stood · line and band: as fitted, 90 %", fontsize=9,
                          color=theme.quiet)  # fmt: skip
    if len(axes) != count:
        raise ValueError(f"{count} axes are needed, {len(axes)} were given")
    longest = max(float((s.after.time if scores else s.time)[-1]) for s in (scores or fluids))
    scale, unit = span(longest)
    for ax, what in zip(axes, scores or fluids):
        theme = theme_of(ax)
        if scores:
            _score(ax, what, scale, theme, own)
        else:
            _trace(ax, what, scale, theme)
            inside = f", {what.inside:.0%} in the band" if len(what.low) > 0 else ""
            entitle(ax, f"{words(what.signal)}: {what.bias:+.1f} K mean, {what.rms:.1f} K rms{inside}", own, theme)
        ax.set_xlabel(f"time [{unit}]")
        ax.set_ylabel("temperature [°C]")
    return np.asarray(list(axes), dtype=object)
