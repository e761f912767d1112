"""What should I buy: sizes, searches, and sweeps on one machine or a cluster."""

import dataclasses
import json
import os
import pathlib
import tempfile
import time
from typing import (
    TYPE_CHECKING,
    Any,
    Callable,
    Iterable,
    List,
    Mapping,
    Optional,
    Sequence,
    Tuple,
    Type,
    TypedDict,
    TypeVar,
    Union,
)

from . import _native
from ._native import Cycle, Scenario

if TYPE_CHECKING:
    import distributed
    import xarray

Values = Union[Sequence[float], Sequence[str]]
Progress = Optional[Callable[[float], object]]

# A batch on a cluster should take so long that scheduling it, about a millisecond, is nothing.
_BATCH_SECONDS = 2.0
# Batches in flight for each thread of the cluster.
_AHEAD = 3


class Tried(TypedDict):
    """One value that size() looked at."""

    value: float
    """SI; see Size.unit."""
    margin: float
    """K, least; with draws what the asked share reaches."""
    margin_low: float
    """K, low end of its 95 % interval."""
    margin_high: float
    """K, high end of it."""
    holds: float
    """Share of the draws that reach the target (1)."""
    loop: str
    """The fluid that has the margin."""
    cycle: str
    """The cycle that has it."""
    failed: str
    """Why there is none; "" there is."""
    unfinished: float
    """Draws without an answer, share (1)."""


class Choice(TypedDict):
    """One set of parts that search() found worth its price."""

    placement: str
    """The scenario that it is for."""
    offers: List[Optional[int]]
    """Of each list the row that is bought, from 0; None: nothing of it."""
    choice: str
    """The offers in words."""
    price: float
    """Of all parts, in Search.currency."""
    margin: float
    """K, least; with draws what the asked share reaches."""
    margin_low: float
    """K, low end of its 95 % interval."""
    margin_high: float
    """K, high end of it."""
    holds: float
    """Share of the draws that reach the target (1)."""
    current: float
    """A of its fans together."""
    loop: str
    """The fluid that has the margin."""
    cycle: str
    """The cycle that has it."""
    failed: str
    """Why there is none; "" there is."""


class Bought(TypedDict):
    """A line of what to buy."""

    part: str
    """What it is for, as the lists were given."""
    what: str
    """The offer, as its list calls it."""
    price: float
    """Of one, or of a metre."""
    amount: float
    """How many, or m."""
    per_metre: bool
    """The price is of a metre."""
    sum: float
    """Price times amount."""
    notes: str
    """What its list says beside."""


class Caution(TypedDict):
    """What to be careful with."""

    about: str
    """What it is about."""
    text: str
    """The sentence."""


@dataclasses.dataclass(frozen=True)
class Size:
    """The answer of size(). SI units; ``print(size)`` says it in words."""

    of: str
    """What was sized, in words."""
    answer: str
    """"found", "all_hold", "none_holds" or "stopped"."""
    value: float
    """The answer, SI; see unit."""
    value_low: float
    """Low end of where the answer lies, SI."""
    value_high: float
    """High end of it, SI."""
    next_as_sold: Optional[float]
    """The next size that is sold, SI; None: sizes of it are not known."""
    least: bool
    """The smallest that holds; False: the largest."""
    margin: float
    """K, least there."""
    loop: str
    """The fluid that has it."""
    cycle: str
    """The cycle that has it."""
    monotone: bool
    """False: a larger one held less well somewhere."""
    holds: List[List[float]]
    """Ranges that hold, [low, high] in SI each."""
    tried: List[Tried]
    """What was run: value, margin (K) and so on of each."""
    unit: str
    """UDUNITS text of value."""
    runs: int
    """How many runs it took."""
    words: List[str]
    """The answer in sentences."""

    def __str__(self) -> str:
        return "\n".join(self.words)


@dataclasses.dataclass(frozen=True)
class Search:
    """The answer of search(). ``print(search)`` says it in words."""

    front: List[Choice]
    """Choices that none beats for less: choice, placement, price, margin (K), holds, …"""
    answer: Optional[int]
    """Which of the front is the cheapest that reaches the margin."""
    shopping: List[Bought]
    """What to buy for the answer: part, what, price and so on of each."""
    currency: str
    """Of all prices, as the lists have it."""
    choices: int
    """How many there were."""
    runs: int
    """How many runs it took."""
    runs_of_all: int
    """How many it would take to run all of them."""
    cautions: List[Caution]
    """What to be careful with: about, text."""
    words: List[str]
    """The answer in sentences."""

    def __str__(self) -> str:
        return "\n".join(self.words)


_Made = TypeVar("_Made")


def _made(kind: Type[_Made], text: str) -> _Made:
    report = json.loads(text)
    return kind(**{f.name: report[f.name] for f in dataclasses.fields(kind)})


def size(
    car: Scenario,
    of: str,
    *,
    low: Optional[float] = None,
    high: Optional[float] = None,
    margin: float = 0.0,
    fluids: Sequence[str] = (),
    cycles: Optional[Sequence[Cycle]] = None,
    draws: int = 0,
    share: float = 0.9,
    series: int = 1,
    threads: int = 0,
    progress: Progress = None,
) -> Size:
    """The smallest that holds, of one thing: ``size(car, "core width", fluids=["transmission"])``.

    of: "core width", "fan flow", "line bore", "thermostat", "switch temperature", … or the path of a
    number. low, high: the range, SI. margin: K that is asked for. fluids: the loops that count, all if
    left out. cycles: other than the car's own. draws: what holds in nine of ten (share) cars like
    yours; series: other draws. threads: 0 for all of the machine. progress: called with the share that
    is done. Raises Error for what cannot be varied and for an empty range.
    """
    text = _native.size(
        car, of, cycles=list(cycles or ()), low=low, high=high, target=margin, fluids=list(fluids),
        draws=draws, share=share, series=series, threads=threads, progress=progress,
    )  # fmt: skip
    return _made(Size, text)


def search(
    placements: Sequence[Scenario],
    parts: Mapping[str, Union[str, "os.PathLike[str]"]],
    *,
    budget: float = float("inf"),
    current: float = float("inf"),
    room: Sequence[float] = (),
    margin: float = 0.0,
    fluids: Sequence[str] = (),
    cycles: Optional[Sequence[Cycle]] = None,
    draws: int = 0,
    share: float = 0.9,
    series: int = 1,
    threads: int = 0,
    every_one: bool = False,
    progress: Progress = None,
) -> Search:
    """What to buy: placements times offers, ``search(cars, {"cooler": "coolers.csv"}, budget=300)``.

    parts: for each part a list of offers as CSV (``lapheat help buy``). current: A, all fans. room:
    width, height and depth for the core, m. every_one: run all of them, to check by. budget: of the
    lists' own currency. margin, fluids, cycles, draws, share, series, threads, progress: as in size().
    Raises ScenarioError for what is wrong in a list.
    """
    text = _native.search(
        list(placements), [(part, pathlib.Path(os.fspath(file))) for part, file in parts.items()],
        cycles=list(cycles or ()), budget=budget, current=current, room=list(room), target=margin,
        fluids=list(fluids), draws=draws, share=share, series=series, threads=threads,
        every_one=every_one, progress=progress,
    )  # fmt: skip
    return _made(Search, text)


Recipe = Tuple[Scenario, List[Cycle], List[Tuple[str, List[float]]], int, int, bool]


def _batch(recipe: Recipe, which: List[int]) -> List[Tuple[int, List[float], str]]:
    """Runs on a worker, which needs this package on its path."""
    return _native.sweep_points(*recipe, which)


def _on_cluster(store: "_native.SweepFile", recipe: Recipe, client: "distributed.Client", progress: Progress) -> None:
    import distributed

    # They state no types.
    as_completed: Any = distributed.as_completed
    remote: Any = client
    left = list(store.left)
    if not left:
        return
    begin = time.perf_counter()  # one point here tells how many make a batch
    for point in _batch(recipe, left[:1]):
        store.put(*point)
    left = left[1:]
    each = time.perf_counter() - begin
    threads = max(1, sum(remote.nthreads().values()))
    size = max(1, min(int(_BATCH_SECONDS / each), -(-len(left) // (2 * threads))))
    batches: Iterable[List[int]] = (left[i : i + size] for i in range(0, len(left), size))
    waiting = iter(batches)
    shared = remote.scatter(recipe, broadcast=True, hash=False)
    flying = as_completed()

    def send() -> None:
        batch = next(waiting, None)
        if batch is not None:
            flying.add(remote.submit(_batch, shared, batch, pure=False, retries=3))

    for _ in range(_AHEAD * threads):
        send()
    done = store.points - len(left)
    for future in flying:
        for point in future.result():
            store.put(*point)
            done += 1
        future.release()
        send()
        if progress is not None:
            progress(done / store.points)


def sweep(
    car: Scenario,
    vary: Mapping[str, Values],
    cycles: Optional[Sequence[Cycle]] = None,
    *,
    file: Union[str, "os.PathLike[str]", None] = None,
    points: int = 0,
    series: int = 1,
    hottest: bool = False,
    threads: int = 0,
    client: "Optional[distributed.Client]" = None,
    progress: Progress = None,
) -> "xarray.Dataset":
    """The car over many values: an xarray.Dataset with what is varied as named dimensions.

    vary: ``{"core width": [0.24, 0.32], "ambient": ["30 degC", "40 degC"]}``, SI or text with units;
    "ambient", "altitude", "grade" and "idle time" are of the cycles (``lapheat help sweep``). points: so many
    spread evenly between least and most of each, in place of the grid; series: others. hottest: the hottest
    air each cycle could be at, for ``lapheat.plot.hottest``.
    file: where it is kept, to be gone on from after Ctrl-C; None: nowhere. client: a
    distributed.Client, whose workers then run it (they need this package); the numbers are the same.
    threads, progress: as in size(). Raises Error for what cannot be varied.
    """
    import xarray

    axes: List[Tuple[str, List[float]]] = []
    for what, values in vary.items():
        texts = [str(v) for v in values] if any(isinstance(v, str) for v in values) else None
        axes.append((what, _native.sweep_values(car, what, texts) if texts else [float(v) for v in values]))
    driven = list(cycles or ())
    folder = tempfile.TemporaryDirectory(prefix="lapheat-sweep-") if file is None else None
    path = pathlib.Path(folder.name if folder else "") / (os.fspath(file) if file is not None else "sweep.h5")
    try:
        store = _native.SweepFile(car, driven, axes, path, points, series, hottest, threads, progress)
        if client is None:
            store.run()
        else:
            _on_cluster(store, (car, driven, axes, points, series, hottest), client, progress)
        store.finish()
        with xarray.open_dataset(path, engine="h5netcdf") as opened:
            loaded: xarray.Dataset = opened.load()
            return loaded
    finally:
        if folder is not None:
            folder.cleanup()
