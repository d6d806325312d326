"""What nobody states about a circuit and the answers need: each value with its band and where it comes from."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib.resources import files

from stockproof.figures import Source

__all__ = ["ASSUMED", "Assumed", "assumed"]


@dataclass(frozen=True, slots=True)
class Assumed:
    """A value nobody stated, as the ledger takes it; `name` begins with the room's name."""

    name: str
    value: float
    unit: str
    label: str
    source: Source
    band: tuple[float, float]


def _read() -> tuple[Assumed, ...]:
    text = files("stockproof.power").joinpath("data/assumed.csv").read_text(encoding="utf-8")
    return tuple(
        Assumed(
            f"power.{row['name']}",
            float(row["value"]),
            row["unit"],
            row["label"],
            Source(row["source"], seen=row["seen"] == "true"),
            (float(row["low"]), float(row["high"])),
        )
        for row in csv.DictReader(text.splitlines())
    )


ASSUMED = _read()
_BY_NAME = {item.name: item for item in ASSUMED}


def assumed(name: str) -> float:
    """Value of an assumption by its name, `power.` left out."""
    return _BY_NAME[f"power.{name}"].value
