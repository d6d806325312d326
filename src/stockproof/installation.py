"""Joins a brief and a catalogue by a build into the installation that every room analyses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from stockproof.brief import Brief
from stockproof.catalogue import Catalogue, ItemBase
from stockproof.errors import Fault, InputError, nearest
from stockproof.netlist import expression

__all__ = ["Chosen", "Installation", "broken_rules", "install"]

I = TypeVar("I", bound=ItemBase)  # noqa: E741


@dataclass(frozen=True, slots=True)
class Chosen:
    """An item of the build and how many of it."""

    item: ItemBase
    count: int


@dataclass(frozen=True)
class Installation:
    """Brief and build, complete: the thing analysed."""

    brief: Brief
    catalogue: Catalogue
    build: tuple[Chosen, ...]

    @cached_property
    def codes(self) -> frozenset[str]:
        return frozenset(chosen.item.code for chosen in self.build)

    @cached_property
    def kinds(self) -> frozenset[str]:
        return frozenset(str(getattr(chosen.item, "kind")) for chosen in self.build)  # noqa: B009

    def items(self, kind: type[I]) -> tuple[I, ...]:
        """Give the items of one kind in the build, in the catalogue's order, each once."""
        return tuple(chosen.item for chosen in self.build if isinstance(chosen.item, kind))

    def one(self, kind: type[I]) -> I | None:
        """Give the first item of a kind, or None when the build has none."""
        return next(iter(self.items(kind)), None)


def install(brief: Brief, catalogue: Catalogue) -> Installation:
    """Join a brief and a catalogue; refuse a build that breaks the catalogue's rules.

    Raises
    ------
    InputError
        The brief asks to choose, names an unknown item, or its build breaks needs or excludes.
    """
    build = brief.file.build
    place = brief.toml.place(("build",))
    if build.choose:
        raise InputError(
            Fault(
                "choosing a build is not part of this version",
                place,
                "choose = true",
                mend="list the items under [build.items]",
            )
        )
    faults = list(_unknown_items(brief, catalogue))
    if faults:
        raise InputError(faults)
    chosen = tuple(
        Chosen(item, build.items[item.code]) for item in catalogue.items if build.items.get(item.code, 0) > 0
    )
    if not chosen:
        raise InputError(Fault("names no items", place, mend="list the items under [build.items], code = count"))
    installation = Installation(brief, catalogue, chosen)
    faults = [*(fault for _, fault in broken_rules(installation)), *_wrong_exchange(installation)]
    if faults:
        raise InputError(faults)
    return installation


def _unknown_items(brief: Brief, catalogue: Catalogue) -> Iterator[Fault]:
    for code, count in brief.file.build.items.items():
        place = brief.toml.place(("build", "items", code))
        if code not in catalogue.by_code:
            yield Fault(
                "is no item of the catalogue",
                place,
                repr(code),
                mend=nearest(code, list(catalogue.by_code)) or "see the catalogue",
            )
        if not 0 <= count <= 200:
            yield Fault("is no usable count", place, str(count), "a whole number from 0 to 200")


def broken_rules(installation: Installation) -> Iterator[tuple[Chosen, Fault]]:
    """Give each rule of the catalogue that the build breaks, with the item whose rule it is."""
    brief, catalogue = installation.brief, installation.catalogue
    present = {*installation.codes, *installation.kinds}
    for chosen in installation.build:
        place = brief.toml.place(("build", "items", chosen.item.code))
        for i, text in enumerate(chosen.item.needs):
            if not expression.evaluate(catalogue.rule(chosen.item, "needs", i), present.__contains__):
                yield (
                    chosen,
                    Fault(f"{chosen.item.name} needs: {text}", place, mend="add what it needs, or take it out"),
                )
        for i, text in enumerate(chosen.item.excludes):
            if expression.evaluate(catalogue.rule(chosen.item, "excludes", i), present.__contains__):
                yield chosen, Fault(f"{chosen.item.name} cannot go with: {text}", place, mend="take out one of them")


def _wrong_exchange(installation: Installation) -> Iterator[Fault]:
    market, firm = installation.brief.file.market, installation.catalogue.firm
    if (market.currency == firm.currency) != (market.exchange is None):
        yield Fault(
            "exchange belongs to a market in another currency than the catalogue, and to that alone",
            installation.brief.toml.place(("market", "exchange")),
            f"{market.currency} in the brief, {firm.currency} in the catalogue",
            mend=f"give the price of 1 {firm.currency} in {market.currency}, or leave it out where they are the same",
        )
