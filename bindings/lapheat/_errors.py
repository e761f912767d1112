"""The exceptions of lapheat. They carry what a person needs to mend the input."""

from __future__ import annotations

from dataclasses import dataclass
from typing import List, Optional


@dataclass(frozen=True)
class Problem:
    """One thing to mend in a scenario. ``str(problem)`` is a line for a terminal."""

    file: Optional[str]
    """Its path; None: it is of no file."""
    line: Optional[int]
    """From 1."""
    column: Optional[int]
    """From 1."""
    key: Optional[str]
    """The key's path, with dots."""
    found: str
    """What stands there, or what is amiss."""
    expected: Optional[str]
    """What would do instead."""
    hint: Optional[str]
    """The name that may have been meant."""
    severity: str
    """"error" or "warning"."""
    text: str
    """All of it in one line."""

    def __str__(self) -> str:
        return self.text


class Error(ValueError):
    """Input that cannot be used: ``str(error)`` says what, ``expected`` what would do instead.

    ``file``, ``line``, ``column`` (both from 1) and ``key`` are None where they are not known.
    """

    def __init__(
        self,
        message: str,
        file: Optional[str] = None,
        line: Optional[int] = None,
        column: Optional[int] = None,
        key: Optional[str] = None,
        expected: Optional[str] = None,
    ) -> None:
        super().__init__(message)
        self.file = file
        self.line = line
        self.column = column
        self.key = key
        self.expected = expected

    def __str__(self) -> str:
        message = str(self.args[0])
        if self.key and self.key not in message:
            message = f"{self.key}: {message}"
        if self.file and self.file not in message:
            place = ":".join(str(p) for p in (self.file, self.line, self.column) if p is not None)
            message = f"{place}: {message}"
        if self.expected and self.expected not in message:
            message += f" (expected {self.expected})"
        return message


class ScenarioError(Error):
    """A scenario file that cannot be used. ``problems`` lists all of them, warnings included."""

    def __init__(
        self,
        message: str,
        file: Optional[str] = None,
        line: Optional[int] = None,
        column: Optional[int] = None,
        key: Optional[str] = None,
        expected: Optional[str] = None,
        problems: Optional[List[Problem]] = None,
    ) -> None:
        super().__init__(message, file, line, column, key, expected)
        self.problems: List[Problem] = list(problems or [])

    def __str__(self) -> str:
        return str(self.args[0])
