"""What may go into a build: our words about the catalogue's rules agree with what the installation refuses."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from stockproof.brief import Brief, read_brief
from stockproof.catalogue import Catalogue, read_catalogue
from stockproof.desk.options import broken, build_of, kind_of, options, with_item
from stockproof.errors import InputError
from stockproof.installation import install

FARMS = ("hill", "feedlot", "dairy")


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return read_catalogue(Path("examples/firm/catalogue.toml"))


def brief_of(farm: str) -> Brief:
    return read_brief(Path(f"examples/{farm}/brief.toml"))


def refused(brief: Brief, catalogue: Catalogue, build: dict[str, int]) -> int:
    """How many rules the installation itself says a build breaks."""
    file = brief.file.model_copy(update={"build": brief.file.build.model_copy(update={"items": build})})
    try:
        install(replace(brief, file=file), catalogue)
    except InputError as error:
        return len(error.faults)
    return 0


@pytest.mark.parametrize("farm", FARMS)
def test_a_demonstration_build_breaks_nothing(farm: str, catalogue: Catalogue) -> None:
    assert broken(catalogue, frozenset(brief_of(farm).file.build.items)) == frozenset()


def test_every_item_stands_as_the_installation_judges_it(catalogue: Catalogue) -> None:
    brief = brief_of("hill")
    build = build_of(brief.toml.values)
    listed = options(catalogue, build)
    assert [option.item.code for option in listed] == [item.code for item in catalogue.items]
    for option in listed[::3]:
        if not option.count:
            assert (refused(brief, catalogue, with_item(build, option)) == 0) == (not option.because), option.item.code


def test_an_item_takes_the_place_of_its_own_kind(catalogue: Catalogue) -> None:
    build = build_of(brief_of("hill").toml.values)
    option = next(option for option in options(catalogue, build) if option.item.code == "pack_15a")
    assert option.instead_of == ("pack_20a",)
    assert option.because == ()
    assert set(with_item(build, option)) == (set(build) - {"pack_20a"}) | {"pack_15a"}


def test_an_excluded_item_says_the_rule_in_words(catalogue: Catalogue) -> None:
    listed = options(catalogue, {"body_standard": 1})
    excluded = [option for option in listed if option.because]
    assert excluded
    for option in excluded:
        for words in option.because:
            assert " needs " in words or " cannot go with " in words
            assert "_" not in words, words


def test_a_count_of_nothing_is_not_in_the_build() -> None:
    assert build_of({"build": {"items": {"a": 2, "b": 0, "c": "x"}}}) == {"a": 2}
    assert build_of({}) == {}


def test_kinds_are_the_catalogues_own(catalogue: Catalogue) -> None:
    assert {kind_of(item) for item in catalogue.items} <= catalogue.kinds
