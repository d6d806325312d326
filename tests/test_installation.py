"""Builds that break the catalogue's rules are refused, at the line where the item is chosen."""

from __future__ import annotations

from pathlib import Path

import pytest

from stockproof.brief import check_brief
from stockproof.catalogue import read_catalogue
from stockproof.errors import InputError
from stockproof.installation import Installation, install
from stockproof.tomlfile import parse_toml

HILL = Path("examples/hill/brief.toml")


def join(text: str) -> Installation:
    catalogue = read_catalogue(HILL.parent / "../firm/catalogue.toml", "catalogue.toml")
    return install(check_brief(parse_toml(text.encode(), "brief.toml", HILL.parent)), catalogue)


def test_the_hill_build_satisfies_the_rules() -> None:
    assert len(join(HILL.read_text()).build) > 10


def test_an_unknown_item_gets_the_nearest_known_one() -> None:
    text = HILL.read_text().replace("pack_20a = 1", "pack_20 = 1")
    with pytest.raises(
        InputError, match=r"build.items.pack_20: is no item of the catalogue\n.*\n.*did you mean 'pack_20a'"
    ):
        join(text)


def test_a_build_without_what_an_item_needs_is_refused() -> None:
    text = HILL.read_text().replace("pack_20a = 1", "pack_20a = 0")
    with pytest.raises(InputError, match="needs: ") as caught:
        join(text)
    lines = text.splitlines()
    for fault in caught.value.faults:
        code = fault.place.key.rsplit(".", 1)[-1]
        assert lines[(fault.place.line or 0) - 1].startswith(code)


def test_choosing_is_refused_clearly() -> None:
    text = HILL.read_text().replace("[build.items]", "[build]\nchoose = true\n[build.items]")
    with pytest.raises(InputError, match="choosing a build is not part of this version"):
        join(text)


def test_a_build_of_nothing_is_refused() -> None:
    text = HILL.read_text()
    with pytest.raises(InputError, match="names no items"):
        join(text[: text.index("[build.items]")] + "[build.items]\n")


def test_an_exchange_goes_with_another_currency_only() -> None:
    text = HILL.read_text().replace('currency = "NZD"', 'currency = "NZD"\nexchange = 0.6', 1)
    with pytest.raises(InputError, match="exchange belongs to a market in another currency"):
        join(text)
