"""Code of a careful user; mypy --strict must agree with every line and catch nothing it should not."""

from typing import TYPE_CHECKING, List, Optional

import numpy as np

import lapheat

if TYPE_CHECKING:
    import distributed
    import pandas
    import xarray
    from matplotlib.axes import Axes


def hottest(paths: List[str]) -> float:
    peaks: List[float] = []
    for path in paths:
        scenario: lapheat.Scenario = lapheat.read(path).with_value("cores.radiator.width", "600 mm")
        for cycle in scenario.cycles:
            result = lapheat.run(scenario, cycle, tolerance=1e-3)
            peaks.append(float(result["loops/coolant/jacket/temperature"].max()))
            peaks.extend(v.peak for v in result.verdicts)
    return max(peaks)


def viscosities() -> "np.ndarray[object, np.dtype[np.float64]]":
    return lapheat.fluid("water").viscosity(np.linspace(280.0, 360.0, 9))


def heat(scenario: lapheat.Scenario) -> float:
    core = lapheat.core(scenario, "radiator")
    try:
        return float(
            lapheat.rate(core, first_flow=1.0, first_inlet=370.0, second_flow=1.5, second_inlet=300.0).heat
        )
    except lapheat.ScenarioError as error:
        print([problem.key for problem in error.problems], error.line)
        raise


def conductance_over(flows: "np.ndarray[object, np.dtype[np.float64]]", core: lapheat.Core) -> float:
    """Many points come as arrays, one as a number."""
    many = lapheat.rate(core, first_flow=flows, first_inlet=370.0, second_flow=1.5, second_inlet=300.0)
    one = lapheat.rate(core, first_flow=0.2, first_inlet=370.0, second_flow=1.5, second_inlet=300.0)
    return float(many.ua.max()) + one.ua


def best(files: List[str]) -> str:
    labels = [f"car {i}" for i, _ in enumerate(files)]
    compared = lapheat.compare([lapheat.read(f) for f in files], labels=labels, levers=True)
    compared.write("all.h5")
    hotter = [lapheat.read(files[0]).cycles[0].replace(ambient=311.15, selector="park")]
    print([lever.words("us") for lever in compared.levers if lever.holds], hotter[0].sun.max())
    first: lapheat.Ranked = compared.ranking[0]
    sure = compared.certainty
    if sure is not None:
        return f"{first.placement} in {sure.placements[0].holds:.0%}"
    return first.placement


def smallest(scenario: lapheat.Scenario) -> float:
    answer = lapheat.size(scenario, "core width", fluids=["transmission"], margin=5.0)
    for tried in answer.tried:
        print(tried["value"], tried["margin"])
    return answer.value if answer.answer == "found" else float("nan")


def cheapest(scenario: lapheat.Scenario) -> List[str]:
    found = lapheat.search([scenario], {"cooler": "coolers.csv"}, budget=300.0)
    if found.answer is None:
        return []
    return [f"{bought['part']}: {bought['what']}, {bought['price']} {found.currency}" for bought in found.shopping]


def hottest_day(scenario: lapheat.Scenario, client: "Optional[distributed.Client]" = None) -> "xarray.Dataset":
    return lapheat.sweep(
        scenario, {"core width": [0.24, 0.32], "ambient": ["30 degC", "40 degC"]}, hottest=True, client=client
    )


def pictures(compared: lapheat.Comparison, found: lapheat.Search, axes: "Axes") -> None:
    drawn: "Axes" = lapheat.plot.margins(compared, ax=axes)
    lapheat.plot.front(found).figure.savefig("front.png")
    lapheat.plot.certainty(compared, axes=[axes, axes, axes])
    drawn.set_title("margins")


def fitted(path: str, log: str) -> "pandas.DataFrame":
    scenario = lapheat.read(path)
    fit = lapheat.fit(scenario, [lapheat.read_log(log)])
    print(fit.notes)
    return fit.to_pandas()


def refitted(core: lapheat.Core) -> lapheat.Core:
    return lapheat.fit_core(
        core, first_flow=[0.1, 0.1], first_inlet=380.0, second_flow=[0.2, 0.4], second_inlet=308.0, heat=[4.1e3, 5.3e3]
    ).core
