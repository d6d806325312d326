"""Installations made of the demonstration catalogue and the template brief, one thing changed at a time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from stockproof.brief import Brief
from stockproof.catalogue import Catalogue, ItemBase, read_catalogue
from stockproof.installation import Chosen, Installation
from tests.herd.support import brief_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@cache
def catalogue() -> Catalogue:
    """The invented firm's catalogue."""
    return read_catalogue(EXAMPLES / "firm" / "catalogue.toml")


def first_of(kind: str, **wanted: Any) -> ItemBase:
    """The first item of a kind whose attributes are as wanted."""
    for item in catalogue().items:
        if getattr(item, "kind", "") == kind and all(getattr(item, key) == value for key, value in wanted.items()):
            return item
    raise AssertionError(f"the catalogue has no {kind} with {wanted}")


def installed(items: list[ItemBase], brief: Brief | None = None) -> Installation:
    """An installation of just these items, which stand in the catalogue as they are; its rules are not asked."""
    as_changed = {item.code: item for item in items}
    whole = catalogue()
    listed = tuple(as_changed.get(item.code, item) for item in whole.items)
    kept = replace(whole, file=whole.file.model_copy(update={"item": listed}))
    return Installation(brief or brief_of(), kept, tuple(Chosen(item, 1) for item in items))


def with_item(installation: Installation, item: ItemBase) -> Installation:
    """The same installation with one item more."""
    return replace(installation, build=(*installation.build, Chosen(item, 1)))


def changed(item: ItemBase, **attributes: Any) -> ItemBase:
    """An item with attributes of another value."""
    assert set(attributes) <= set(type(item).model_fields)
    return item.model_copy(update=attributes)
