"""Cells that chapters share."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stockproof.fields import bare, dimension_of, unit_of
from stockproof.scene.pages import Cell, Quantity

__all__ = ["RowCells", "plain", "quantity"]


def quantity(value: float, dimension: str, digits: int = 3, unit: str = "", figure: str = "") -> Cell:
    """A value as a cell; one that is infinite never comes about."""
    return Quantity(value, dimension, digits, unit, figure) if math.isfinite(value) else "never"


def plain(value: float, figure: str, digits: int = 4) -> Quantity:
    """A count, or an amount whose unit stands in the head of its column."""
    return Quantity(float(value), "", digits, "1", figure)


@dataclass(frozen=True, slots=True)
class RowCells:
    """Cells of a row of results, each under the name by which its room set it down (see `fields`)."""

    name: str
    row: object

    def __call__(self, field: str, digits: int = 3, unit: str = "") -> Cell:
        """Give one field as a cell."""
        value, dimension = getattr(self.row, field), dimension_of(field)
        named = (digits, unit if dimension else unit_of(field), f"{self.name}.{bare(field)}")
        return quantity(value, dimension.name if dimension else "", *named)

    def known(self, field: str, digits: int = 3, unit: str = "") -> Cell:
        """Give one field as a cell that stays empty where the field does not decide."""
        return self(field, digits, unit) if math.isfinite(getattr(self.row, field)) else None
