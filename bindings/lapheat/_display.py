"""How results show themselves, and how they become tables of other libraries."""

from __future__ import annotations

import html
from typing import Any, Dict, List

import numpy as np

ABSOLUTE_ZERO = -273.15


def _minutes(seconds: float) -> str:
    if seconds > 7200:
        return f"{seconds / 3600:.1f} h"
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


#: Where a verdict says "never" or "none" by a number that no one should compute with.
_NEVER = {"first_over", "boils", "ruined"}
_NONE_WITHOUT_CORE = {
    "core_heat", "air_flow", "air_inlet", "effectiveness", "share_air", "share_wall", "share_liquid",
}  # fmt: skip


def _verdict_value(verdict: Any, name: str) -> Any:
    value = getattr(verdict, name)
    if (
        (name in _NEVER and value < 0)
        or (name in _NONE_WITHOUT_CORE and not verdict.core)
        or (name == "heading" and value == 0)
    ):
        return float("nan")
    return value


def _verdict_variables(result: Any) -> Dict[str, Any]:
    variables: Dict[str, Any] = {}
    if not result.verdicts:
        return variables
    for name, meaning in type(result.verdicts[0])._meanings.items():
        if name != "loop":
            values = np.asarray([_verdict_value(v, name) for v in result.verdicts])
            variables["verdict." + name] = ("loop", values, dict(meaning))
    return variables


def _phase_of_each(result: Any) -> Any:
    """The name of the phase at every moment of the record."""
    starts = np.asarray([start for start, _ in result.phases])
    names = np.asarray([name for _, name in result.phases])
    return names[np.maximum(np.searchsorted(starts, result.time, side="right") - 1, 0)]


def _series_attributes(path: str, series: Any) -> Dict[str, str]:
    about = {"units": series.units, "long_name": series.long_name, "path": path}
    if series.units == "K":
        about["units_metadata"] = "temperature: on_scale"
    return about


def _root_attributes(result: Any) -> Dict[str, str]:
    return {
        "Conventions": "CF-1.11",
        "title": _title(result),
        "source": "lapheat, a model of a car's cooling: an estimate",
        "car": result.car,
        "placement": result.placement,
        "cycle": result.cycle,
    }


def to_xarray(result: Any) -> Any:
    """A Dataset over "time" and "loop" that ``to_netcdf()`` can save. Needs xarray.

    Series are named by their paths with dots, ``data["loops.coolant.jacket.temperature"]``; the path
    as it was is in the attribute ``path``. What a verdict says of each loop stands in
    ``verdict.margin`` and so on, NaN where it says never or none. ``phase`` names the part of the
    cycle at each moment. Units are UDUNITS text; kelvins that are differences, such as margins, are
    marked by ``units_metadata`` as CF 1.11 has it.
    """
    import xarray

    variables: Dict[str, Any] = {
        path.replace("/", "."): ("time", s.values, _series_attributes(path, s)) for path, s in result.series.items()
    }
    variables.update(_verdict_variables(result))
    coordinates: Dict[str, Any] = {
        "time": ("time", result.time, {"units": "s", "long_name": "time since the start of the cycle"}),
        "loop": ("loop", np.asarray([v.loop for v in result.verdicts], dtype=object)),
    }
    if result.phases:
        coordinates["phase"] = ("time", _phase_of_each(result), {"long_name": "part of the cycle"})
    return xarray.Dataset(variables, coords=coordinates, attrs=_root_attributes(result))


def _loops_of(comparison: Any) -> List[str]:
    return list(dict.fromkeys(v.loop for o in comparison.outcomes for v in o.result.verdicts))


def comparison_to_pandas(comparison: Any) -> Any:
    """A DataFrame of every verdict, one row for each placement, cycle and loop (its index); SI units.

    Columns are the members of Verdict: margin (K), peak (K), time_over (s), …; ``frame.attrs["units"]``
    maps them to units, ``frame.attrs["ranking"]`` lists the placements, best first. Needs pandas.
    """
    import pandas

    rows: List[Dict[str, Any]] = []
    meanings: Dict[str, Any] = {}
    for o in comparison.outcomes:
        for v in o.result.verdicts:
            meanings = type(v)._meanings
            row: Dict[str, Any] = {"placement": o.placement, "cycle": o.cycle}
            row.update({name: _verdict_value(v, name) for name in meanings})
            rows.append(row)
    frame = pandas.DataFrame(rows).set_index(["placement", "cycle", "loop"])
    frame.attrs["units"] = {name: m["units"] for name, m in meanings.items() if "units" in m}
    frame.attrs["ranking"] = [r.placement for r in comparison.ranking]
    return frame


def comparison_to_xarray(comparison: Any) -> Any:
    """A Dataset over ``placement``, ``cycle`` and ``loop`` that ``to_netcdf()`` can save; SI units.

    ``verdict.margin`` and so on are what each verdict says, NaN (text: "") for a loop that a placement
    has not; ``rank`` counts from 1, ``holds`` and ``worst_margin`` are each placement's. With draws
    ``drawn_margin`` is the least margin over ``placement`` and ``draw``. Needs xarray.
    """
    import xarray

    loops = _loops_of(comparison)
    shape = (len(comparison.placements), len(comparison.cycles), len(loops))
    variables: Dict[str, Any] = {}
    for i, o in enumerate(comparison.outcomes):
        at = divmod(i, len(comparison.cycles))
        for v in o.result.verdicts:
            for name, meaning in type(v)._meanings.items():
                if name == "loop":
                    continue
                value = _verdict_value(v, name)
                if "verdict." + name not in variables:
                    empty: Any = np.full(shape, "", dtype=object) if isinstance(value, str) else np.full(shape, np.nan)
                    variables["verdict." + name] = (("placement", "cycle", "loop"), empty, dict(meaning))
                variables["verdict." + name][1][at + (loops.index(v.loop),)] = value
    ranks = {r.placement: (place, r) for place, r in enumerate(comparison.ranking, 1)}
    ranked = [ranks[p] for p in comparison.placements]
    meanings = type(comparison.ranking[0])._meanings
    variables["rank"] = ("placement", [place for place, _ in ranked], {"long_name": "1: the best"})
    for name in ("holds", "worst_margin", "time_over", "fan_energy", "line_length", "peak_current"):
        variables[name] = ("placement", np.asarray([getattr(r, name) for _, r in ranked]), dict(meanings[name]))
    drawn = comparison.drawn_margins
    if drawn:
        about = {"units": "K", "units_metadata": "temperature: difference", "long_name": "least margin in each draw"}
        variables["drawn_margin"] = (
            ("placement", "draw"), np.stack([drawn[p] for p in comparison.placements]), about)  # fmt: skip
    return xarray.Dataset(
        variables,
        coords={
            "placement": ("placement", np.asarray(comparison.placements, dtype=object)),
            "cycle": ("cycle", np.asarray(comparison.cycles, dtype=object)),
            "loop": ("loop", np.asarray(loops, dtype=object)),
        },
        attrs={
            "Conventions": "CF-1.11",
            "title": "placements side by side",
            "source": "lapheat, a model of a car's cooling: an estimate",
            "rule": comparison.rule,
        },
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
    comparison._ipython_key_completions_ = lambda self: [(o.placement, o.cycle) for o in self.outcomes]
    comparison.to_pandas = comparison_to_pandas
    comparison.to_xarray = comparison_to_xarray
