"""However a file is mangled, a person gets a brief or an error that helps, never a traceback."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stockproof.brief import check_brief
from stockproof.catalogue.reader import check_catalogue
from stockproof.errors import Fault, InputError
from stockproof.tomlfile import TomlFile, parse_toml

CATALOGUE = Path("examples/firm/catalogue.toml")
#: Values that a person, a broken export or a joker puts where another was meant.
ODD = (
    '""',
    "0",
    "-1",
    "1e400",
    "nan",
    "inf",
    "true",
    "[]",
    "[[]]",
    "{}",
    "{ a = 1 }",
    '"12 kg"',
    '"-5 m"',
    '"1e999 kg"',
    '"36 NZD/h"',
    '"rate"',
    '["cows", 3]',
    '"=1+1"',
    '"../../x"',
    "2026-01-01",
    "9223372036854775808",
    '"NOT NOT ("',
    '"\\u0000"',
    '"\\U0001F404"',
)
Check = Callable[[TomlFile], Any]


def mangle(text: str, draw: random.Random) -> str:
    """Change, drop, double or break a few lines."""
    lines = text.splitlines()
    for _ in range(draw.randint(1, 4)):
        at = draw.randrange(len(lines))
        key, equals, _ = lines[at].partition(" = ")
        match draw.randrange(6):
            case 0 | 1 | 2:
                lines[at] = (
                    f"{key} = {draw.choice(ODD)}" if equals else lines[at].replace("[", draw.choice(["", "[", "[x."]))
                )
            case 3:
                lines[at] = draw.choice(["", lines[at] + "x", lines[at][: len(lines[at]) // 2]])
            case 4:
                lines.insert(draw.randrange(len(lines)), lines[at])
            case _:
                lines[at] = f"{key}{draw.choice('xyz_')} = {draw.choice(ODD)}"
    return "\n".join(lines)


def check_or_help(text: str, check: Check) -> None:
    faults: tuple[Fault, ...] = ()
    try:
        check(parse_toml(text.encode("utf-8", "replace"), "x.toml", Path()))
    except InputError as error:
        faults = error.faults or (Fault(""),)
    assert all(fault.what and fault.place.file for fault in faults)


@cache
def short_catalogue() -> str:
    """The catalogue's head and first items, to keep one case quick."""
    return "[[item]]".join(CATALOGUE.read_text().split("[[item]]")[:9])


SEEDS = st.integers(0, 2**32)
QUICK = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
LONG = settings(QUICK, max_examples=5000)


@QUICK
@given(seed=SEEDS)
def test_mangled_briefs(template: str, seed: int) -> None:
    check_or_help(mangle(template, random.Random(seed)), check_brief)


@QUICK
@given(seed=SEEDS)
def test_mangled_catalogues(seed: int) -> None:
    check_or_help(mangle(short_catalogue(), random.Random(seed)), check_catalogue)


@QUICK
@given(junk=st.text(max_size=20), start=st.integers(0, 2000), length=st.integers(0, 60))
def test_briefs_cut_anywhere(template: str, junk: str, start: int, length: int) -> None:
    check_or_help(template[:start] + junk + template[start + length :], check_brief)


@pytest.mark.deep
@LONG
@given(seed=SEEDS)
def test_five_thousand_mangled_briefs(template: str, seed: int) -> None:
    check_or_help(mangle(template, random.Random(seed)), check_brief)


@pytest.mark.deep
@LONG
@given(seed=SEEDS)
def test_five_thousand_mangled_catalogues(seed: int) -> None:
    check_or_help(mangle(short_catalogue(), random.Random(seed)), check_catalogue)
