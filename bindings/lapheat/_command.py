"""The command ``lapheat`` of an installed package: what is compiled beside it takes over."""

from __future__ import annotations

import os
import pathlib
import sys
from typing import NoReturn


def main() -> NoReturn:
    """Runs the command with the arguments that were given."""
    command = pathlib.Path(__file__).parent / "bin" / "lapheat"
    if not command.is_file():
        sys.exit("lapheat: the command is not in this package; build it from the source")
    os.execv(command, [str(command), *sys.argv[1:]])
