"""How logs, retraced drives and fits become tables of other libraries."""

from __future__ import annotations

import pathlib
from typing import Any, Dict, List

import numpy as np


def _times(log: Any, step: float) -> Any:
    if not step > 0:
        raise ValueError("step must be positive")
    return np.arange(0.0, log.duration + 0.5 * step, step)


def log_to_pandas(log: Any, step: float = 1.0) -> Any:
    """A DataFrame on common times ``step`` s apart: one column for each signal, SI, NaN in gaps over 30 s.

    ``frame.attrs["column"]`` maps signals to the file's own headings. Needs pandas.
    """
    import pandas

    times = _times(log, step)
    frame = pandas.DataFrame(
        {name: channel.at(times, 30.0) for name, channel in log.channels.items()},
        index=pandas.Index(times, name="time"),
    )
    frame.attrs["column"] = {name: channel.column for name, channel in log.channels.items()}
    frame.attrs["file"] = log.file
    return frame


def retrace_to_pandas(retrace: Any) -> Any:
    """A DataFrame over time (s): ``coolant logged``, ``coolant model``, with draws ``coolant low`` and
    ``coolant high`` (5 and 95 %) and so on, K. Needs pandas."""
    import pandas

    columns: Dict[str, Any] = {}
    for fluid in retrace.fluids:
        columns[f"{fluid.signal} logged"] = fluid.logged
        columns[f"{fluid.signal} model"] = fluid.model
        if retrace.drawn > 0:
            columns[f"{fluid.signal} low"] = fluid.low
            columns[f"{fluid.signal} high"] = fluid.high
    frame = pandas.DataFrame(columns, index=pandas.Index(retrace.fluids[0].time, name="time"))
    frame.attrs["log"] = retrace.log
    return frame


def _kelvin(name: str) -> Dict[str, str]:
    return {"units": "K", "units_metadata": "temperature: on_scale", "long_name": name}


def retrace_to_xarray(retrace: Any) -> Any:
    """A Dataset of ``logged``, ``model`` and, with draws, ``low`` and ``high`` (5 and 95 %), all K, over
    ``fluid`` and ``time`` (s). Needs xarray."""
    import xarray

    fluids = retrace.fluids
    kept = [("logged", "as logged"), ("model", "by the model")]
    if retrace.drawn > 0:
        kept += [("low", "5 % of cars of the file's doubts"), ("high", "95 % of cars of the file's doubts")]
    return xarray.Dataset(
        {name: (("fluid", "time"), np.stack([getattr(f, name) for f in fluids]), _kelvin(long)) for name, long in kept},
        coords={
            "fluid": ("fluid", np.asarray([f.signal for f in fluids], dtype=object)),
            "time": ("time", fluids[0].time, {"units": "s", "long_name": "time since the log began"}),
        },
        attrs={"log": retrace.log, "notes": "\n".join(retrace.notes + retrace.looks)},
    )


def fit_to_pandas(fit: Any) -> Any:
    """A DataFrame of the numbers, told best first: before and after (5, 50, 95 %, SI) and what the
    logs told. Needs pandas."""
    import pandas

    rows: List[Dict[str, Any]] = []
    for n in fit.numbers:
        row: Dict[str, Any] = {"number": n.name, "log": n.log, "fitted": n.fitted, "told": n.told}
        for when, values in (("before", n.before), ("after", n.after)):
            row.update({f"{when} {share}": value for share, value in zip(("5", "50", "95"), values)})
        rows.append(row)
    return pandas.DataFrame(rows).set_index(["number", "log"])


def fit_scores(fit: Any) -> Any:
    """A DataFrame of how each log comes out: rms and bias (K) and share inside the band. Needs pandas."""
    import pandas

    names = ("signal", "held_back", "samples", "rms_before", "rms_after", "bias_before", "bias_after",
             "inside_before", "inside_after")  # fmt: skip
    frame = pandas.DataFrame([{name: getattr(s, name) for name in names} for s in fit.scores])
    frame.index = pandas.Index([pathlib.Path(s.log).name for s in fit.scores], name="log")
    return frame


def fit_to_xarray(fit: Any) -> Any:
    """A Dataset over ``trace`` (a fluid of a log) and ``time`` (s, NaN beyond the log's end): ``logged``, ``before``,
    ``after``, ``low`` and ``high``, K. Needs xarray."""
    import xarray

    scores = fit.scores
    longest = max((s.after.time for s in scores), key=len)

    def padded(values: Any) -> Any:
        return np.pad(np.asarray(values, dtype=float), (0, len(longest) - len(values)), constant_values=np.nan)

    def stacked(pick: Any, name: str) -> Any:
        return (("trace", "time"), np.stack([padded(pick(s)) for s in scores]), _kelvin(name))

    return xarray.Dataset(
        {
            "logged": stacked(lambda s: s.after.logged, "as logged"),
            "before": stacked(lambda s: s.before.model, "by the car as it stood"),
            "after": stacked(lambda s: s.after.model, "by the car as fitted"),
            "low": stacked(lambda s: s.low, "5 % of the fitted car"),
            "high": stacked(lambda s: s.high, "95 % of the fitted car"),
        },
        coords={
            "log": ("trace", np.asarray([pathlib.Path(s.log).name for s in scores], dtype=object)),
            "signal": ("trace", np.asarray([s.signal for s in scores], dtype=object)),
            "held_back": ("trace", np.asarray([s.held_back for s in scores])),
            "time": ("time", longest, {"units": "s", "long_name": "time since the log began"}),
        },
        attrs={"notes": "\n".join(fit.notes)},
    )


def install(log: Any, retrace: Any, fit: Any) -> None:
    """Gives the compiled classes the methods that are easier said in Python."""
    log.to_pandas = log_to_pandas
    retrace.to_pandas = retrace_to_pandas
    retrace.to_xarray = retrace_to_xarray
    fit.to_pandas = fit_to_pandas
    fit.to_xarray = fit_to_xarray
    fit.score_table = fit_scores
