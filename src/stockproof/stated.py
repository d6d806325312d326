"""Figures for what the brief and the catalogue state: each once, with its place, default or not."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.catalogue import ItemBase
from stockproof.errors import InternalError
from stockproof.figures import Figure, Ledger, Source
from stockproof.installation import Installation
from stockproof.records import Record, key_of
from stockproof.tomlfile import KeyPath, dotted

__all__ = ["Stated"]

Band = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stated:
    """Sets stated values down in a ledger under the names of their keys, and finds them there again."""

    installation: Installation
    ledger: Ledger

    def brief(
        self, record: Record, field: str, path: KeyPath, value: float, unit: str, label: str, tail: KeyPath = ()
    ) -> Figure:
        """Give the figure of one field of a table of the brief; `path` leads to the table, `tail` into the field."""
        where = (*path, key_of(field), *tail)
        place = self.installation.brief.toml.place(where)
        source = Source(f"brief, line {place.line}, {place.key}")
        return self._put(record, field, f"brief.{dotted(where)}", value, unit, label, source)

    def firm(self, field: str, value: float, unit: str, label: str) -> Figure:
        """Give the figure of one of the firm's terms."""
        firm, source = self.installation.catalogue.firm, Source("catalogue, terms of the firm")
        return self._put(firm, field, f"catalogue.firm.{key_of(field)}", value, unit, label, source)

    def item(self, item: ItemBase, field: str, value: float, unit: str, label: str) -> Figure:
        """Give the figure of one attribute of an item, with the item's own source."""
        name, source = f"catalogue.{item.code}.{key_of(field)}", Source(f"catalogue, {item.code}: {item.source}")
        return self._put(item, field, name, value, unit, f"{item.name}: {label}", source)

    def handed(self, figure: str, name: str, value: float, unit: str, label: str, how: str, band: Band) -> Figure:
        """Give the figure of a value another room handed in: its own where it is named, else one that says how.

        Raises
        ------
        InternalError
            The named figure is not in the ledger, or holds another value.
        """
        if not figure:
            return self.ledger.run(name, value, unit, label, how or "handed in", band=band)
        if figure not in self.ledger or self.ledger[figure].value != value:
            raise InternalError(f"{name}: handed in as {value}, but the ledger's {figure} does not say so")
        return self.ledger[figure]

    def _put(
        self, record: Record, field: str, name: str, value: float, unit: str, label: str, source: Source
    ) -> Figure:
        if name in self.ledger:
            return self.ledger[name]
        if field in record.model_fields_set:
            return self.ledger.given(name, value, unit, label, source)
        extra = type(record).model_fields[field].json_schema_extra
        default = str(extra["source"]) if isinstance(extra, dict) else "none stated"
        return self.ledger.assume(name, value, unit, label, default)
