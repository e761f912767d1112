"""One look for every picture: fixed colours, direct labels, limits as lines.

Colours are of M. Okabe & K. Ito, Color Universal Design (2002), which colour-blind readers tell
apart, and lighter ones of the same hues on a dark ground; each fluid has a dash pattern and a marker
of its own too, for printing in grey. No setting of matplotlib's is changed while a picture is made.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any, Dict, Iterable, List, NamedTuple, Optional, Tuple

import matplotlib
from matplotlib import colors

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


class Theme(NamedTuple):
    """Colours of all that is no fluid."""

    ink: str
    quiet: str
    grid: str
    band: str
    air: str
    paper: str
    doubt: str
    gain: str


LIGHT = Theme("#222222", "#6b6b6b", "#dddddd", "#f0f0f0", "#2f7fb0", "#ffffff", "#0072b2", "#d55e00")
DARK = Theme("#eeeeee", "#a8a8a8", "#444444", "#2c2c2c", "#9adcff", "#111111", "#5cb3e6", "#ff9150")


class Look(NamedTuple):
    """How one quantity is drawn everywhere."""

    colour: str
    dashes: Any
    marker: str


FLUIDS: Dict[str, Look] = {
    "coolant": Look("#0072b2", "solid", "o"),
    "transmission": Look("#d55e00", (0, (6, 1.5)), "s"),
    "steering": Look("#007a5a", (0, (2, 1.2)), "^"),
    "engine_oil": Look("#8a5a2b", (0, (7, 1.5, 1.5, 1.5)), "D"),
}
OTHERS = [Look("#cc79a7", (0, (1, 1)), "v"), Look("#777777", (0, (4, 1, 1, 1, 1, 1)), "P")]
_ON_DARK = {
    "#0072b2": "#5cb3e6", "#d55e00": "#ff9150", "#007a5a": "#3fcf9f", "#8a5a2b": "#d3a06a", "#cc79a7": "#e5a3c8",
    "#777777": "#aaaaaa",
}  # fmt: skip


def _style(theme: Theme) -> Dict[str, Any]:
    return {
        "figure.facecolor": theme.paper,
        "axes.facecolor": theme.paper,
        "savefig.facecolor": theme.paper,
        "font.size": 9.5,
        "text.color": theme.ink,
        "axes.edgecolor": theme.quiet,
        "axes.labelcolor": theme.ink,
        "axes.titlecolor": theme.ink,
        "axes.titlesize": 11,
        "axes.titleweight": "bold",
        "axes.titlelocation": "left",
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.grid": True,
        "axes.axisbelow": True,
        "grid.color": theme.grid,
        "grid.linewidth": 0.6,
        "xtick.color": theme.quiet,
        "ytick.color": theme.quiet,
        "lines.linewidth": 1.8,
    }


#: Settings for pictures of your own beside these: ``matplotlib.rc_context(lapheat.plot.STYLE)``.
STYLE: Dict[str, Any] = _style(LIGHT)
#: The same on a dark ground.
DARK_STYLE: Dict[str, Any] = _style(DARK)


def _dark(colour: Any) -> bool:
    red, green, blue, _ = colors.to_rgba(colour)
    return bool(0.299 * red + 0.587 * green + 0.114 * blue < 0.5)


def theme_of(ax: Optional[Axes] = None) -> Theme:
    """Dark where the ground is: that of the axes, else that which a new figure would have."""
    ground: Any = matplotlib.rcParams["axes.facecolor"]
    if ax is not None:
        ground = ax.get_facecolor()
        if colors.to_rgba(ground)[3] < 0.5:
            ground = ax.figure.get_facecolor()
    return DARK if _dark(ground) else LIGHT


def roles_of(*results: Any) -> Dict[str, str]:
    """What each loop of the results is for: "coolant", "transmission" …, "other"."""
    return {str(v.loop): str(v.role) for result in results for v in result.verdicts}


def look(
    loop: str,
    known: Optional[List[str]] = None,
    roles: Optional[Dict[str, str]] = None,
    theme: Theme = LIGHT,
) -> Look:
    """The fixed look of a fluid, by its loop's role; loops of other roles take the spare ones in order.

    loop: its name. known: all that are drawn. roles: loop → role; a loop that is not in it has the role
    of its name. theme: for a dark ground. Gives colour, dashes and marker, as matplotlib takes them.
    """
    roles = roles or {}
    fluid = FLUIDS.get(roles.get(loop, loop))
    if fluid is None:
        others = [name for name in (known or [loop]) if roles.get(name, name) not in FLUIDS]
        fluid = OTHERS[others.index(loop) % len(OTHERS)]
    return fluid._replace(colour=_ON_DARK[fluid.colour]) if theme is DARK else fluid


def words(name: str) -> str:
    return name.replace("_", " ")


def new_figure(width: float, height: float) -> Figure:
    """A figure that a notebook shows; off the main thread one that pyplot, which is for one, never sees."""
    if threading.current_thread() is threading.main_thread():
        from matplotlib import pyplot

        return pyplot.figure(figsize=(width, height), layout="constrained")
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    made = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(made)
    return made


def canvas(width: float, height: float, ax: Optional[Axes]) -> Tuple[Axes, Theme, bool]:
    """(axes, theme, own): the axes given, as they look, or new ones in our look."""
    if ax is not None:
        return ax, theme_of(ax), False
    made = new_figure(width, height).add_subplot()
    theme = theme_of(made)
    dress(made, theme)
    return made, theme, True


def dress(ax: Axes, theme: Theme) -> None:
    """Our look, on these axes alone."""
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    for side in ("bottom", "left"):
        ax.spines[side].set_color(theme.quiet)
    ax.set_axisbelow(True)
    ax.grid(True, color=theme.grid, linewidth=0.6)
    ax.tick_params(colors=theme.quiet, labelsize=9)
    for label in (ax.xaxis.label, ax.yaxis.label):
        label.set_color(theme.ink)
        label.set_fontsize(9.5)


def entitle(ax: Axes, text: str, own: bool, theme: Theme) -> None:
    """The title: ours on axes of ours, else as the axes have theirs."""
    if own:
        ax.set_title(text, loc="left", weight="bold", fontsize=11, color=theme.ink)
    else:
        ax.set_title(text)


def span(seconds: float) -> Tuple[float, str]:
    """(s to one of it, unit) of a time axis so long: minutes up to two hours."""
    return (60.0, "min") if seconds <= 7200 else (3600.0, "h")


def spread(positions: Iterable[float], gap: float) -> List[float]:
    """Moves labels apart along one axis until each pair is `gap` apart, as little as can be."""
    placed = list(positions)
    order = sorted(range(len(placed)), key=lambda i: placed[i])
    groups: List[List[Any]] = []  # [indices, centre]
    for i in order:
        groups.append([[i], placed[i]])
        while len(groups) > 1:
            (a, ca), (b, cb) = groups[-2], groups[-1]
            if cb - ca >= gap * (len(a) + len(b)) / 2:
                break
            merged = a + b
            groups[-2:] = [[merged, sum(placed[j] for j in merged) / len(merged)]]
    for members, centre in groups:
        for rank, j in enumerate(members):
            placed[j] = centre + (rank - (len(members) - 1) / 2) * gap
    return placed
