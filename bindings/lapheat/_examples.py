"""Where the example scenarios are."""

from __future__ import annotations

import pathlib

from ._errors import Error


def examples() -> pathlib.Path:
    """The folder of example scenarios: ``lapheat.read(lapheat.examples() / "placements/under_floor.toml")``.

    In an installed package they are within it, in a build folder those of the source tree. All of them are
    invented. Raises Error where there are none.
    """
    here = pathlib.Path(__file__).resolve().parent
    for folder in [here / "scenarios", *(parent / "scenarios" for parent in here.parents)]:
        if (folder / "placements").is_dir():
            return folder
    raise Error("the example scenarios are not here", expected="an installed package, or a build in its source tree")
