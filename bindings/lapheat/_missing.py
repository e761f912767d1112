"""What to install when a shared library of the compiled half is missing."""

from __future__ import annotations

import pathlib
import re
from contextlib import contextmanager
from typing import Iterator


@contextmanager
def told_by_name() -> Iterator[None]:
    """An ImportError for a missing library says which Debian package has it, where a wheel has listed them."""
    try:
        yield
    except ImportError as error:
        missing = re.match(r"(\S+\.so\S*):", str(error))
        listed = pathlib.Path(__file__).parent / "SHARED_LIBRARIES.txt"
        if missing is None or not listed.is_file():
            raise
        package = dict(line.split(" ", 1) for line in listed.read_text().splitlines() if " " in line).get(missing[1])
        where = f"apt install {package}" if package else f"all of them are listed in {listed}"
        raise ImportError(f"lapheat needs the shared library {missing[1]}: {where}") from error
