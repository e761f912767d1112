"""How sure a comparison is, as one picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, List, Optional, Sequence

import numpy as np

from ._style import Theme, dress, entitle, new_figure, theme_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from ._native import Certainty, Comparison


def of_hundred(share: float, draws: int = 100) -> str:
    """ "93 of 100", "61 of 64" where there are fewer; never 0 or 100 of 100 for what is neither."""
    if share >= 1:
        return "all"
    if share <= 0:
        return "none"
    if draws < 100:
        return f"{share * draws:.0f} of {draws}"
    return "over 99 of 100" if share > 0.995 else "under 1 of 100" if share < 0.005 else f"{100 * share:.0f} of 100"


def certainty(comparison: Comparison, *, axes: Optional[Sequence[Axes]] = None) -> NDArray[np.object_]:
    """How often each placement holds and its margins; what the doubt is made of; what to measure.

    comparison: a Comparison with draws. On the left every draw's least margin, its middle and where
    nine of ten lie; on the right the numbers that carry most of the doubt about the placement put
    first, and the measurements that would settle most of it, with where nine of ten estimates lie.
    axes: three to draw on, in that order, kept as they look. Gives the three.
    Raises ValueError for a comparison without draws.
    """
    sure = comparison.certainty
    if sure is None:
        raise ValueError("the comparison has no draws; compare(..., draws=500)")
    own = axes is None
    if axes is None:
        fig = new_figure(11.5, max(4.6, 1.4 + 0.55 * len(sure.placements)))
        grid = fig.add_gridspec(2, 2, width_ratios=(1.15, 1))
        axes = [fig.add_subplot(grid[:, 0]), fig.add_subplot(grid[0, 1]), fig.add_subplot(grid[1, 1])]
        for ax in axes:
            dress(ax, theme_of(ax))
    margins, drivers, measures = axes
    theme = theme_of(margins)
    _margins(margins, comparison, sure, theme, own)
    told = [d for d in sure.drivers if d.share >= 0.02][:5]
    _parts(drivers, [_short(d.number) for d in told], [(d.share, d.share_low, d.share_high) for d in told],
           f"The doubt is made of ({sure.about})", theme.doubt, theme, own)  # fmt: skip
    found = [m for m in sure.measure if m.settles >= 0.02 or m.worth >= 0.05][:4]
    _parts(measures, [_short(m.what) for m in found], [(m.settles, m.settles_low, m.settles_high) for m in found],
           "Measured, this settles", theme.gain, theme, own)  # fmt: skip
    return np.asarray([margins, drivers, measures], dtype=object)


def _short(text: str, most: int = 34) -> str:
    """In two lines where it is long."""
    if len(text) <= most:
        return text
    cut = max(text.rfind(" ", 0, most), text.rfind("(", 0, most))
    rest = text[cut:].strip()
    return text[:cut].rstrip() + "\n" + (rest if len(rest) <= most + 6 else rest[: most + 5].rstrip() + "…")


def _margins(ax: Axes, comparison: Comparison, sure: Certainty, theme: Theme, own: bool) -> None:
    drawn = comparison.drawn_margins
    by_name = {p.placement: p for p in sure.placements}
    order = [r.placement for r in comparison.ranking]
    low = min(min(float(np.min(drawn[name])) for name in order), 0.0)
    high = max(float(np.max(drawn[name])) for name in order)
    wide = high - low
    ax.set_xlim(low - 0.05 * wide, high + 0.22 * wide)
    ax.axvspan(ax.get_xlim()[0], 0, color=theme.band, zorder=0, linewidth=0)
    ax.axvline(0, color=theme.ink, linewidth=1.4)
    for y, name in enumerate(order):
        p, margins = by_name[name], np.asarray(drawn[name])
        # A fixed scatter, so that the same draws make the same picture.
        lift = ((np.arange(len(margins)) * 0.6180339887) % 1 - 0.5) * 0.5
        ax.plot(margins, y + lift, ".", color=theme.doubt, markersize=2.2, alpha=min(1.0, 90 / len(margins)), zorder=2)
        ax.plot([p.margin_5, p.margin_95], [y, y], color=theme.ink, linewidth=2.6, solid_capstyle="butt", zorder=3)
        ax.plot([p.margin_50, p.margin_50], [y - 0.22, y + 0.22], color=theme.ink, linewidth=2.6, zorder=3)
        ax.text(high + 0.03 * wide, y, of_hundred(p.holds, sure.draws), va="center", weight="bold", color=theme.ink)
        if y:
            ax.axhline(y - 0.5, color=theme.grid, linewidth=0.8)
    ax.text(high + 0.03 * wide, -0.62, "holds in", va="bottom", fontsize=8.5, color=theme.quiet)
    ax.set_yticks(range(len(order)), order)
    ax.tick_params(axis="y", colors=theme.ink, length=0)
    ax.set_ylim(len(order) - 0.5, -0.65)
    ax.grid(axis="y", visible=False)
    ax.set_xlabel("least margin [K]: a dot each draw, the bar holds nine of ten")
    entitle(ax, f"{sure.draws} cars like yours", own, theme)


def _parts(
    ax: Axes, names: List[str], values: List[Any], title: str, colour: str, theme: Theme, own: bool
) -> None:
    entitle(ax, title, own, theme)
    if not names:
        ax.set_axis_off()
        ax.text(0, 0.5, "nothing by itself", transform=ax.transAxes, color=theme.quiet)
        return
    for y, (value, low, high) in enumerate(values):
        ax.barh(y, 100 * value, height=0.55, color=colour, alpha=0.55)
        ax.plot([100 * low, 100 * high], [y, y], color=theme.ink, linewidth=1.2)
        ax.text(100 * max(value, high) + 1.5, y, f"{100 * value:.0f} %", va="center", fontsize=8.5, color=theme.ink)
    ax.set_yticks(range(len(names)), names, fontsize=8.5)
    ax.tick_params(axis="y", colors=theme.ink, length=0)
    ax.set_xlim(0, max(20.0, 118 * max(max(v[0], v[2]) for v in values)))
    ax.set_ylim(max(len(names), 3) - 0.5, -0.5)
    ax.grid(axis="y", visible=False)
    ax.set_xlabel("of the doubt [%]")
