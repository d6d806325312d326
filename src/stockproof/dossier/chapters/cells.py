"""Cells that chapters share."""

from __future__ import annotations

import math

from stockproof.scene.pages import Cell, Quantity

__all__ = ["quantity"]


def quantity(value: float, dimension: str, digits: int = 3, unit: str = "") -> Cell:
    """A value as a cell; one that is infinite never comes about."""
    return Quantity(value, dimension, digits, unit) if math.isfinite(value) else "never"
