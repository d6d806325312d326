"""Rows of results set down as figures: each field under its row's name, its unit read off the ending of its own.

A room's front calls `set_down` or `set_given` for the rows it publishes; a document names the same figure again by
the row's name and the field's (`bare`).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from stockproof.figures import Figure, Ledger, Source
from stockproof.units import DIMENSIONS, Dimension

__all__ = ["bare", "dimension_of", "set_down", "set_given", "unit_of"]

#: Endings of units that are no dimension of ours.
OTHERS = {"_m2_per_s": "m2/s", "_kg_per_kwh": "kg/kWh", "_per_h": "1/h", "_mm2": "mm2", "_va": "VA", "_j": "J"}
_BY_ENDING = {f"_{dimension.suffix}": dimension for dimension in DIMENSIONS.values()}
_ENDINGS = sorted((*OTHERS, *_BY_ENDING), key=len, reverse=True)


def bare(field: str) -> str:
    """Give a field's name without its unit: `length` of `length_m`."""
    return field.removesuffix(_ending(field))


def dimension_of(field: str) -> Dimension | None:
    """Give the dimension a field is in; None for a plain number, or a unit that is none of ours."""
    return _BY_ENDING.get(_ending(field))


def unit_of(field: str) -> str:
    """Give a field's unit, in the spelling of the ledger: `m` of `length_m`; `1` where it has none."""
    dimension = dimension_of(field)
    return dimension.si if dimension is not None else OTHERS.get(_ending(field), "1")


def set_down(
    ledger: Ledger,
    name: str,
    about: str,
    row: object,
    words: Mapping[str, str],
    how: str,
    inputs: tuple[Figure, ...] = (),
) -> None:
    """Set fields of a row down as what a computation gave: `<name>.<field>`, labelled `<words>, <about>`.

    A value that never comes about has no figure; one that the ledger has already, with a closer origin, keeps it.
    """
    for field, says in words.items():
        value, figure = getattr(row, field), f"{name}.{bare(field)}"
        if value is not None and isfinite(value) and figure not in ledger:
            ledger.run(figure, float(value), unit_of(field), f"{says}, {about}", how, inputs)


def set_given(ledger: Ledger, name: str, about: str, row: object, words: Mapping[str, str], source: Source) -> None:
    """Set fields of a row down as what somebody stated; see `set_down`."""
    for field, says in words.items():
        value, figure = getattr(row, field), f"{name}.{bare(field)}"
        if value is not None and isfinite(value) and figure not in ledger:
            ledger.given(figure, float(value), unit_of(field), f"{says}, {about}", source)


def _ending(field: str) -> str:
    return next((ending for ending in _ENDINGS if field.endswith(ending)), "")
