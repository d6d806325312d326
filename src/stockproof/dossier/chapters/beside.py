"""What speaks against the hydraulics beside the promises of the brief."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.dossier.chapters.cells import quantity
from stockproof.power import PowerResult
from stockproof.power.findings import Finding
from stockproof.scene.pages import Cell, Column, Part, Table

__all__ = ["found_beside"]


def found_beside(power: PowerResult) -> Iterator[Part]:
    """Give every finding with its limit and what would mend it; nothing where there is none."""
    if power.findings:
        columns = (
            Column("What was found", share=3),
            Column("Found", "right"),
            Column("Limit", "right"),
            Column("What would mend it", share=2.4),
            Column("Enough", "right"),
        )
        rows = tuple(_row(found) for found in power.findings)
        yield Table("beside the promises", "Found beside the promises", columns, rows)


def _row(found: Finding) -> tuple[Cell, ...]:
    sides: tuple[Cell, Cell] = (None, None)
    if found.dimension:
        sides = (
            quantity(found.found, found.dimension, 2, figure=found.found_figure),
            quantity(found.limit, found.dimension, 2, figure=found.limit_figure),
        )
    enough: Cell = None
    if found.enough_dimension:
        unit, figure = "mm" if found.enough_dimension == "length" else "", f"power.finding.{found.code}.enough"
        enough = quantity(found.enough, found.enough_dimension, 2, unit, figure)
    return (found.what, *sides, found.mend, enough)
