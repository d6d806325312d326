"""Every default the flow room uses that nobody stated, read from `assumptions.toml`. No numbers live in code.

`prepare` reads them by name, replications vary some within their spread, and the proof sets them down in the ledger.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from stockproof.errors import InternalError
from stockproof.figures import Figure, Ledger, Source

__all__ = ["Assumed", "assumptions", "chosen"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """One default; `band` is the range within which nobody would wonder."""

    name: str
    value: float
    unit: str
    label: str
    source: Source
    band: tuple[float, float]

    def set_down(self, ledger: Ledger) -> Figure:
        """Set the assumption down in a ledger."""
        return ledger.assume(self.name, self.value, self.unit, self.label, self.source, self.band)


@cache
def assumptions() -> tuple[Assumed, ...]:
    """Give every assumption, in the order of the file.

    Raises
    ------
    InternalError
        A value lies outside its own band, or a name is there twice: our own file is wrong.
    """
    file = tomllib.loads(resources.files("stockproof.flow").joinpath("assumptions.toml").read_text("utf-8"))
    found = tuple(_assumed(row) for row in file["assumed"])
    if len({assumed.name for assumed in found}) != len(found):
        raise InternalError("assumptions.toml: a name is there twice")
    return found


def _assumed(row: Mapping[str, Any]) -> Assumed:
    low, high = (float(end) for end in row["band"])
    value = float(row["value"])
    if not low <= value <= high:
        raise InternalError(f"assumptions.toml: {row['name']} = {value} lies outside its band {low} to {high}")
    source = Source(str(row["source"]), bool(row["seen"]))
    return Assumed(str(row["name"]), value, str(row["unit"]), str(row["label"]), source, (low, high))


def chosen(changes: Mapping[str, float] | None = None) -> dict[str, float]:
    """Give every assumption's value by name, with some of them changed.

    Raises
    ------
    InternalError
        A change names no assumption.
    """
    values = {assumed.name: assumed.value for assumed in assumptions()}
    unknown = sorted(set(changes or {}) - set(values))
    if unknown:
        raise InternalError(f"no flow assumption is called {', '.join(unknown)}")
    return values | dict(changes or {})
