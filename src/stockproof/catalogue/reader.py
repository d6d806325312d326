"""Reads a catalogue: the firm, its items and the rules between them, checked as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Literal

from stockproof.amounts import (
    Amount,
    Price,
    PricePerCubicMetre,
    PricePerHour,
    PricePerKm,
    PricePerMetre,
    PricePerSquareMetre,
)
from stockproof.catalogue.items import KINDS, EntryGate, HeadLift, Item, ItemBase
from stockproof.errors import Fault, InputError, nearest
from stockproof.netlist import expression
from stockproof.records import Record, attribute, load
from stockproof.tomlfile import TomlFile, read_toml
from stockproof.units import Share

__all__ = ["Catalogue", "CatalogueFile", "Firm", "check_catalogue", "read_catalogue"]


class Firm(Record):
    """Who makes the items, and the terms that hold for all of them."""

    name: str = attribute("name of the firm", min_length=1)
    note: str = attribute("what a reader must know about this catalogue", "")
    currency: str = attribute("ISO 4217 code of every price in the catalogue", pattern=r"^[A-Z]{3}$")
    margin: Share = attribute("margin on the price ex works", ge=0, lt=1)
    install_rate: PricePerHour = attribute("charge for an hour of fitting on site")
    freight_rate: PricePerKm = attribute("charge for a kilometre of delivery")
    fence_rate: PricePerMetre | None = attribute(
        "price of a metre of yard fence put up, posts and passes included", None
    )
    gate_rate: Price | None = attribute("price of a yard gate hung", None)
    catwalk_rate: PricePerMetre | None = attribute("price of a metre of catwalk put up", None)
    ramp_rate: PricePerSquareMetre | None = attribute("price of a square metre of load-out ramp put up", None)
    concrete_rate: PricePerCubicMetre | None = attribute(
        "price of a cubic metre of concrete placed, formwork and drains included", None
    )
    cable_rate: PricePerMetre | None = attribute("price of a metre of supply cable laid and connected", None)


class CatalogueFile(Record):
    """The file as written."""

    format: Literal[1] = attribute("version of the file's form")
    firm: Firm = attribute("the firm and its terms")
    item: tuple[Item, ...] = attribute("the items", min_length=1)


@dataclass(frozen=True)
class Catalogue:
    """A catalogue whose parts agree with one another, with the places its items were written at."""

    file: CatalogueFile
    toml: TomlFile

    @property
    def firm(self) -> Firm:
        return self.file.firm

    @property
    def items(self) -> tuple[ItemBase, ...]:
        return self.file.item

    @cached_property
    def by_code(self) -> dict[str, ItemBase]:
        return {item.code: item for item in self.file.item}

    @cached_property
    def kinds(self) -> frozenset[str]:
        return frozenset(kind.model_fields["kind"].annotation.__args__[0] for kind in KINDS)  # type: ignore[union-attr]

    def rule(self, item: ItemBase, key: Literal["needs", "excludes"], number: int) -> expression.Expression:
        """Give one rule of an item as an expression that knows where it was written."""
        path = ("item", self.file.item.index(item), key, number)
        return expression.parse(getattr(item, key)[number], self.toml.place(path))


def read_catalogue(path: Path, name: str | None = None) -> Catalogue:
    """Read and check a catalogue file.

    Raises
    ------
    InputError
        Everything found wrong, each with file, line and key.
    """
    return check_catalogue(read_toml(path, name))


def check_catalogue(toml: TomlFile) -> Catalogue:
    """Turn a parsed file into a catalogue; see `read_catalogue`."""
    catalogue = Catalogue(load(CatalogueFile, toml), toml)
    faults = [
        *_doubled_codes(catalogue),
        *_codes_that_are_kinds(catalogue),
        *_wrong_rules(catalogue),
        *_wrong_currency(catalogue),
        *_wrong_parts(catalogue),
        *_unstated_weights(catalogue),
    ]
    if faults:
        raise InputError(faults)
    return catalogue


def _doubled_codes(catalogue: Catalogue) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for i, item in enumerate(catalogue.file.item):
        if first.setdefault(item.code, i) != i:
            earlier = catalogue.toml.place(("item", first[item.code], "code"))
            yield Fault(
                f"code is used twice, first on line {earlier.line}",
                catalogue.toml.place(("item", i, "code")),
                got=repr(item.code),
                mend="give each item its own code",
            )


def _codes_that_are_kinds(catalogue: Catalogue) -> Iterator[Fault]:
    """A rule could then mean the item or the kind."""
    for i, item in enumerate(catalogue.file.item):
        if item.code in catalogue.kinds:
            place = catalogue.toml.place(("item", i, "code"))
            yield Fault("is the name of a kind of item", place, got=repr(item.code), mend="give the item another code")


def _wrong_rules(catalogue: Catalogue) -> Iterator[Fault]:
    known = {*catalogue.by_code, *catalogue.kinds}
    for i, item in enumerate(catalogue.file.item):
        for key in ("needs", "excludes"):
            for j, text in enumerate(getattr(item, key)):
                place = catalogue.toml.place(("item", i, key, j))
                try:
                    words = list(expression.name_nodes(expression.parse(text, place)))
                except InputError as error:
                    yield from error.faults
                    continue
                for word in words:
                    if word.name not in known:
                        mend = nearest(word.name, sorted(known)) or "use the code of an item or a kind of item"
                        yield Fault(f"{word.name!r} is no item and no kind of item", word.place, got=text, mend=mend)


def _wrong_currency(catalogue: Catalogue) -> Iterator[Fault]:
    currency = catalogue.firm.currency
    for i, item in enumerate(catalogue.file.item):
        for key in ("price", "service_cost"):
            amount: Amount = getattr(item, key)
            if amount.currency != currency:
                yield Fault(
                    "is in another currency than the catalogue",
                    catalogue.toml.place(("item", i, key)),
                    got=str(amount),
                    allowed=currency,
                )
    for key, value in catalogue.firm:
        if isinstance(value, Amount) and value.currency != currency:
            place = catalogue.toml.place(("firm", key))
            yield Fault("is in another currency than the catalogue", place, got=str(value), allowed=currency)


def _wrong_parts(catalogue: Catalogue) -> Iterator[Fault]:
    """Cylinders, valves and pads must name a part that the item moves."""
    for i, item in enumerate(catalogue.file.item):
        parts = {motion.part for motion in item.motion}
        for key in ("cylinder", "valve", "pad"):
            for j, thing in enumerate(getattr(item, key)):
                if thing.part not in parts:
                    yield Fault(
                        "names a part that no motion of this item moves",
                        catalogue.toml.place(("item", i, key, j, "part")),
                        got=repr(thing.part),
                        allowed=", ".join(sorted(parts)) or "this item has no motions",
                        mend=nearest(thing.part, sorted(parts)),
                    )
        for j, valve in enumerate(item.valve):
            if valve.relief_min_pa > valve.relief_max_pa:
                yield Fault(
                    "relief_min is above relief_max",
                    catalogue.toml.place(("item", i, "valve", j, "relief_min")),
                    got=f"{valve.relief_min_pa / 1e5:g} bar and {valve.relief_max_pa / 1e5:g} bar",
                )


def _unstated_weights(catalogue: Catalogue) -> Iterator[Fault]:
    """A part that goes up and down must say what its cylinder carries: a weight left out moves it too easily."""
    for i, item in enumerate(catalogue.file.item):
        if not isinstance(item, HeadLift) and not (isinstance(item, EntryGate) and item.style == "drop"):
            continue
        for j, cylinder in enumerate(item.cylinder):
            if "load_n" not in cylinder.model_fields_set:
                yield Fault(
                    f"the {cylinder.part} is lifted, and its cylinder does not say what it carries",
                    catalogue.toml.place(("item", i, "cylinder", j, "load")),
                    mend='add load = "... N": its weight against the rod going out, negative where it helps',
                )
