"""Edits of a brief's text: the value changes, comments and order stay, and nothing else moves."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.desk.text import add_table, changed, remove, set_value, value_at, values
from stockproof.errors import InputError

HILL = Path("examples/hill/brief.toml").read_text(encoding="utf-8")
BRIEFS = [Path(f"examples/{name}/brief.toml").read_text(encoding="utf-8") for name in ("hill", "feedlot", "dairy")]


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def test_a_value_changes_and_every_other_line_stays() -> None:
    text = set_value(HILL, ("site", "lifting_on_site"), "1.5 t")
    moved = [(a, b) for a, b in zip(HILL.splitlines(), text.splitlines(), strict=True) if a != b]
    assert moved == [
        ('lifting_on_site = "1.2 t"     # the farm\'s own tractor with forks',
         'lifting_on_site = "1.5 t"     # the farm\'s own tractor with forks')
    ]  # fmt: skip


def test_a_value_in_an_array_of_tables_changes_in_its_own_element() -> None:
    text = set_value(HILL, ("promise", 1, "at_most_days"), 2)
    assert values(text)["promise"][1]["at_most_days"] == 2
    assert values(text)["promise"][0] == values(HILL)["promise"][0]
    assert comments(text) == comments(HILL)


def test_tables_are_added_and_removed_where_they_belong() -> None:
    text = add_table(HILL, ("mob",), {"name": "bulls"})
    assert [mob["name"] for mob in values(text)["mob"]][-1] == "bulls"
    assert comments(text) == comments(HILL)
    assert values(remove(text, ("mob", 3))) == values(HILL)
    assert "task" not in values(remove(HILL, ("task", 0)))
    assert values(add_table(remove(HILL, ("task", 0)), ("task",), {"task": "weigh"}))["task"] == [{"task": "weigh"}]


def test_what_is_not_written_cannot_be_removed_and_is_made_when_set() -> None:
    assert remove(HILL, ("site", "existing_race", "length")) == HILL
    assert values(set_value(HILL, ("site", "existing_race", "length"), "9 m"))["site"]["existing_race"] == {
        "length": "9 m"
    }


def test_changed_keys_are_named() -> None:
    text = set_value(set_value(HILL, ("site", "altitude"), "1 m"), ("title",), "Other")
    text = remove(text, ("build", "items", "remote"))
    assert changed(HILL, text) == ("title", "site.altitude", "build.items")
    assert changed(HILL, HILL) == ()


def test_text_that_is_no_toml_has_no_values_and_is_not_edited() -> None:
    assert values("a = = 1") == {}
    with pytest.raises(InputError, match="is not valid TOML"):
        set_value("a = = 1", ("a",), 2)


def paths(data: Any, at: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every key path to a plain value."""
    if isinstance(data, dict):
        return [path for key, value in data.items() for path in paths(value, (*at, key))]
    if isinstance(data, list) and data and isinstance(data[0], dict):
        return [path for i, value in enumerate(data) for path in paths(value, (*at, i))]
    return [at]


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_any_value_of_any_brief_can_be_set_to_any_text(data: st.DataObject) -> None:
    brief = data.draw(st.sampled_from(BRIEFS))
    path = data.draw(st.sampled_from(paths(tomllib.loads(brief))))
    word = data.draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=30))
    text = set_value(brief, path, word)
    expected = tomllib.loads(brief)
    value_at(expected, path[:-1])[path[-1]] = word
    assert tomllib.loads(text) == expected
    assert len(comments(text)) >= len(comments(brief))
