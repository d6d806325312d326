"""Errors that help: what is wrong, where, what was read, what is allowed, how to mend it.

    StockproofError
    ├── InputError     (ValueError)    a brief, catalogue or command cannot be used as it stands
    ├── UnitMismatch   (TypeError)     a figure was handed over in another unit than the formula takes
    ├── NotConverged   (ArithmeticError)  a computation reached its limit without an answer
    ├── OutputError    (OSError)       a result could not be written; nothing was half-written
    └── InternalError  (RuntimeError)  our own bug: a promise the code makes to itself was broken

Only the first and the fourth are a user's business; `cli.py` prints them without a traceback.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

__all__ = [
    "Fault",
    "InputError",
    "InternalError",
    "NotConverged",
    "OutputError",
    "Place",
    "StockproofError",
    "UnitMismatch",
    "nearest",
]


@dataclass(frozen=True, slots=True)
class Place:
    """Where something was written: file, line (from 1), key path, and column (from 1) within a text."""

    file: str = ""
    line: int | None = None
    key: str = ""
    column: int | None = None

    def __str__(self) -> str:
        parts = [self.file] if self.file else []
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.key:
            parts.append(self.key)
        if self.column is not None:
            parts.append(f"character {self.column}")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with what was handed in.

    Parameters
    ----------
    what : str
        The complaint in one plain sentence, without the place.
    place : Place
        File, line and key.
    got, allowed, mend : str
        The value as read; what would have been accepted; what to do about it. Empty when there is
        nothing to add to `what`.
    """

    what: str
    place: Place = Place()
    got: str = ""
    allowed: str = ""
    mend: str = ""

    def __str__(self) -> str:
        lines = [f"{self.place}: {self.what}" if str(self.place) else self.what]
        lines += [
            f"    {head}: {text}"
            for head, text in (("got", self.got), ("allowed", self.allowed), ("mend", self.mend))
            if text
        ]
        return "\n".join(lines)


class StockproofError(Exception):
    """Root of every error this package raises on purpose."""


class InputError(StockproofError, ValueError):
    """What was handed in cannot be used; holds every fault found, not only the first."""

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class UnitMismatch(StockproofError, TypeError):
    """A figure reached a formula in another unit than the formula declares."""


class NotConverged(StockproofError, ArithmeticError):
    """A computation reached its stated limit without an answer."""


class OutputError(StockproofError, OSError):
    """A result could not be written; what stood there before still stands."""


class InternalError(StockproofError, RuntimeError):
    """A promise the code makes to itself was broken: our bug, never the user's."""


def nearest(word: str, known: Sequence[str]) -> str:
    """Give the sentence 'did you mean ...?' for a mistyped word, or an empty string."""
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    return f"did you mean {close[0]!r}?" if close else ""
