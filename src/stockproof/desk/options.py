"""Which items may go into a build: the catalogue's own rules, asked of every item that is not in it.

Says what each rule would object to; decides nothing, and an item that breaks a rule may still be put in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from stockproof.catalogue import Catalogue, ItemBase
from stockproof.netlist import expression

__all__ = ["Option", "broken", "build_of", "kind_of", "options", "with_item"]


@dataclass(frozen=True, slots=True)
class Option:
    """An item of the catalogue beside a build.

    Parameters
    ----------
    item : ItemBase
        The item.
    count : int
        How many of it are in the build.
    instead_of : tuple of str
        Codes that leave when it goes in, since it cannot stand beside them.
    because : tuple of str
        The rules it would break even then, in words; empty where nothing speaks against it.
    """

    item: ItemBase
    count: int
    instead_of: tuple[str, ...] = ()
    because: tuple[str, ...] = ()


def build_of(values: Mapping[str, Any]) -> dict[str, int]:
    """Give the build a brief's values state: code and count, in the order written."""
    items = (values.get("build") or {}).get("items") or {}
    return {code: count for code, count in items.items() if isinstance(count, int) and count > 0}


def kind_of(item: ItemBase) -> str:
    """Give the kind of an item as the catalogue writes it."""
    return str(getattr(item, "kind", ""))


def options(catalogue: Catalogue, build: Mapping[str, int]) -> tuple[Option, ...]:
    """Give every item of the catalogue with how it stands to a build."""
    now = broken(catalogue, frozenset(build))
    return tuple(_option(item, catalogue, build, now) for item in catalogue.items)


def with_item(build: Mapping[str, int], option: Option) -> dict[str, int]:
    """Give the build with an option in it, in the place of what it stands instead of."""
    kept = {code: count for code, count in build.items() if code not in option.instead_of}
    return {**kept, option.item.code: kept.get(option.item.code, 0) + 1}


def broken(catalogue: Catalogue, codes: frozenset[str]) -> frozenset[str]:
    """Give, in words, every rule of the catalogue that a set of items breaks."""
    chosen = [catalogue.by_code[code] for code in codes if code in catalogue.by_code]
    present = codes | {kind_of(item) for item in chosen}
    lacks = {
        f"{item.name} needs {_plain(text, catalogue)}"
        for item in chosen
        for text in item.needs
        if not expression.evaluate(_parsed(text), present.__contains__)
    }
    clashes = {
        f"{item.name} cannot go with {_plain(text, catalogue)}"
        for item in chosen
        for text in item.excludes
        if expression.evaluate(_parsed(text), present.__contains__)
    }
    return frozenset(lacks | clashes)


def _option(item: ItemBase, catalogue: Catalogue, build: Mapping[str, int], now: frozenset[str]) -> Option:
    if item.code in build:
        return Option(item, build[item.code])
    codes = frozenset(build)
    added = broken(catalogue, codes | {item.code}) - now
    if not added:
        return Option(item, 0)
    alike = tuple(code for code in build if _alike(catalogue, code, item))
    swapped = broken(catalogue, (codes - set(alike)) | {item.code}) - now
    if alike and len(swapped) < len(added):
        return Option(item, 0, alike, tuple(sorted(swapped)))
    return Option(item, 0, (), tuple(sorted(added)))


def _alike(catalogue: Catalogue, code: str, item: ItemBase) -> bool:
    """Of the same kind, and by rule not to stand beside it."""
    other = catalogue.by_code.get(code)
    if other is None or kind_of(other) != kind_of(item):
        return False
    names = {word for text in item.excludes for word in expression.names(_parsed(text))}
    return code in names or item.code in {word for text in other.excludes for word in expression.names(_parsed(text))}


@lru_cache(maxsize=2000)
def _parsed(text: str) -> expression.Expression:
    return expression.parse(text)


def _plain(text: str, catalogue: Catalogue) -> str:
    """A rule with names for codes: `power pack and controller` for `power_pack AND controller`."""
    words = text.replace("(", "( ").replace(")", " )").split()
    named = [_name(word, catalogue) for word in words]
    return " ".join(named).replace("( ", "(").replace(" )", ")")


def _name(word: str, catalogue: Catalogue) -> str:
    if word in ("AND", "OR", "NOT", "XOR"):
        return word.lower()
    if word in catalogue.by_code:
        name = catalogue.by_code[word].name
        return name[:1].lower() + name[1:]
    return word.replace("_", " ")
