"""How results show themselves, and how they become tables of other libraries."""

from __future__ import annotations

import html
from typing import Any, List

ABSOLUTE_ZERO = -273.15


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.1f} min" if seconds >= 60 else f"{seconds:.0f} s"


def _rows(result: Any) -> List[List[str]]:
    return [
        [
            v.loop.replace("_", " "),
            f"{v.peak + ABSOLUTE_ZERO:.1f} °C",
            f"{v.limit + ABSOLUTE_ZERO:.0f} °C",
            f"{v.margin:+.1f} K",
            _minutes(v.time_over) if v.time_over > 0 else "never",
            f"{v.flow * 6e4:.1f} L/min",
        ]
        for v in result.verdicts
    ]


HEAD = ["fluid", "peak", "limit", "margin", "over the limit", "flow"]


def _title(result: Any) -> str:
    return ", ".join(t for t in (result.cycle, result.placement or result.car) if t)


def _facts(result: Any) -> str:
    return (
        f"{_minutes(result.cost.simulated_seconds)} in {result.cost.wall_seconds * 1e3:.0f} ms, "
        f"{len(result.events)} events, energy closes to {result.ledger.closure:.0e}"
    )


def _columns(rows: List[List[str]]) -> List[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.ljust(w) for cell, w in zip(row, widths)).rstrip() for row in rows]


def _table(caption: str, head: List[str], rows: List[List[str]]) -> str:
    def line(cells: List[str], tag: str) -> str:
        return "<tr>" + "".join(f"<{tag}>{html.escape(c)}</{tag}>" for c in cells) + "</tr>"

    body = "".join(line(row, "td") for row in rows)
    return (
        f"<table><caption>{html.escape(caption)}</caption><thead>{line(head, 'th')}</thead>"
        f"<tbody>{body}</tbody></table>"
    )


def _repr(result: Any) -> str:
    lines = _columns([HEAD] + _rows(result))
    return "\n".join([f"lapheat.Result: {_title(result)}"] + lines + [_facts(result)])


def _repr_html_(result: Any) -> str:
    return _table(_title(result), HEAD, _rows(result)) + f"<p>{html.escape(_facts(result))}</p>"


def to_pandas(result: Any) -> Any:
    """A DataFrame: one column for each series by its path, index "time" in s.

    ``frame.attrs["units"]`` maps columns to units. Needs pandas.
    """
    import pandas

    series = result.series
    frame = pandas.DataFrame(
        {path: s.values for path, s in series.items()},
        index=pandas.Index(result.time, name="time"),
    )
    frame.attrs["units"] = {path: s.units for path, s in series.items()}
    frame.attrs["title"] = _title(result)
    return frame


def to_xarray(result: Any) -> Any:
    """A Dataset over "time", variables named by their paths, with units and long_name. Needs xarray."""
    import xarray

    return xarray.Dataset(
        {
            path: ("time", s.values, {"units": s.units, "long_name": s.long_name})
            for path, s in result.series.items()
        },
        coords={"time": ("time", result.time, {"units": "s", "long_name": "time"})},
        attrs={"car": result.car, "placement": result.placement, "cycle": result.cycle},
    )


def _comparison_rows(comparison: Any) -> List[List[str]]:
    return [
        [
            str(place),
            r.placement,
            f"{r.worst_margin:+.1f} K",
            f"{r.worst_loop.replace('_', ' ')}, {r.worst_cycle}",
            _minutes(r.time_over) if r.time_over > 0 else "never",
            f"{r.fan_energy / 1e3:.0f} kJ",
            f"{r.line_length:.1f} m",
        ]
        for place, r in enumerate(comparison.ranking, 1)
    ]


COMPARISON_HEAD = ["", "placement", "least margin", "of", "over a limit", "fans", "lines"]


def _comparison_repr(comparison: Any) -> str:
    lines = _columns([COMPARISON_HEAD] + _comparison_rows(comparison))
    return "\n".join(["lapheat.Comparison"] + lines + [comparison.verdict])


def _comparison_html(comparison: Any) -> str:
    return (
        _table("Placements, best first", COMPARISON_HEAD, _comparison_rows(comparison))
        + f"<p>{html.escape(comparison.verdict)}</p>"
    )


def install(result: Any, comparison: Any) -> None:
    """Gives the compiled classes the methods that are easier said in Python."""
    result.__repr__ = _repr
    result._repr_html_ = _repr_html_
    result.to_pandas = to_pandas
    result.to_xarray = to_xarray
    comparison.__repr__ = _comparison_repr
    comparison._repr_html_ = _comparison_html
