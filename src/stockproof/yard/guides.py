"""Sizes of cattle yards from named guides that disagree: one is picked, the others fill its gaps.

Nothing is averaged over guides. A value carries the guide it comes from and whether that was read.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

from stockproof.errors import Fault, InputError, InternalError, nearest
from stockproof.yard.result import Status, Used

__all__ = ["GUIDES", "Guide", "GuideRange", "Use", "find", "guide_rows", "read_guides"]

#: Which end of a guide's range is meant: the least, the most, or the middle of it.
Use = Literal["least", "most", "middle"]


@dataclass(frozen=True, slots=True)
class Guide:
    """A published guide, or the firm's own assumptions: its key, short title, full source and standing."""

    key: str
    title: str
    text: str
    status: Status


@dataclass(frozen=True, slots=True)
class GuideRange:
    """A guide's range for one quantity over a band of weights (from, to]."""

    quantity: str
    guide: str
    unit: str
    from_kg: float
    to_kg: float
    least: float
    most: float
    note: str

    def value(self, use: Use) -> float:
        return {"least": self.least, "most": self.most, "middle": 0.5 * (self.least + self.most)}[use]


@lru_cache(maxsize=1)
def read_guides() -> tuple[dict[str, Guide], tuple[GuideRange, ...]]:
    """Read the table of guides that is part of the package."""
    table = tomllib.loads(resources.files("stockproof.yard").joinpath("guides.toml").read_text("utf-8"))
    guides = {key: Guide(key, **entry) for key, entry in table["source"].items()}
    return guides, tuple(band for row in table["row"] for band in _bands(row))


def _bands(row: dict[str, Any]) -> list[GuideRange]:
    """A row's bands in order of weight: a band begins where the one before it ends."""
    bands, start = [], 0.0
    for band in row["bands"]:
        least = float(band["least"])
        bands.append(
            GuideRange(
                row["quantity"],
                row["guide"],
                row["unit"],
                float(band.get("from_kg", start)),
                float(band["to_kg"]),
                least,
                float(band.get("most", least)),
                row.get("note", ""),
            )
        )
        start = float(band["to_kg"])
    return bands


#: Guides a brief may pick; the last two stand for what nobody published.
GUIDES = tuple(read_guides()[0])


def guide_rows(quantity: str) -> tuple[GuideRange, ...]:
    """Give every guide's rows for a quantity, in the table's order."""
    rows = tuple(row for row in read_guides()[1] if row.quantity == quantity)
    if not rows:
        raise InternalError(f"no guide has a row for {quantity}")
    return rows


def find(quantity: str, weight_kg: float, guide: str, use: Use, label: str) -> Used:
    """Give a size from the picked guide, or from the first guide that has it where that one is silent.

    Parameters
    ----------
    quantity : str
        Row name of the guide table.
    weight_kg : float
        Weight of the animal the size is for [kg].
    guide : str
        Key of the picked guide.
    use : Use
        Which end of the guide's range.
    label : str
        What the size is, for people.

    Raises
    ------
    InputError
        The picked guide is not in the table.
    """
    guides, _ = read_guides()
    if guide not in guides:
        raise InputError(
            Fault(f"{guide!r} is no guide of the table", allowed=", ".join(guides), mend=nearest(guide, list(guides)))
        )
    serving = [row for row in guide_rows(quantity) if row.from_kg < weight_kg <= row.to_kg]
    if not serving:
        raise InputError(
            Fault(
                f"no guide gives {quantity.replace('_', ' ')} for an animal of {weight_kg:.0f} kg",
                mend="check the mob's weight",
            )
        )
    row = next((row for row in serving if row.guide == guide), serving[0])
    source = guides[row.guide]
    note = f"{source.text}; {row.note}" if row.note else source.text
    return Used(quantity, row.value(use), row.unit, label, row.guide, note, source.status)
