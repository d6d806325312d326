"""Every key's line is the line a person finds it on."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from stockproof.errors import InputError
from stockproof.tomlfile import KeyPath, parse_toml, read_toml

TEXT = b"""format = 1
a.b = 3
[market]
volts = "230 V" # comment
list = [
  1,
  {x = 2, y = 3},
]
text = \"\"\"
two lines
\"\"\"
[[mob]]
name = "a"
[mob.sub]
k = 1
[[mob]]
  [[mob.part]]
  "q r" = 1
"""


def test_lines_of_tables_arrays_inline_tables_and_dotted_keys() -> None:
    lines = parse_toml(TEXT, "x.toml", Path()).lines
    expected: dict[KeyPath, int] = {
        ("format",): 1,
        ("a", "b"): 2,
        ("market",): 3,
        ("market", "list", 1, "y"): 7,
        ("mob", 0, "name"): 13,
        ("mob", 0, "sub", "k"): 15,
        ("mob", 1): 16,
        ("mob", 1, "part", 0, "q r"): 18,
    }
    assert {path: lines[path] for path in expected} == expected


KEYS = st.text("abcxyz_", min_size=1, max_size=5)
LEAVES = st.one_of(st.integers(-9, 9), st.booleans(), st.text('ab "\n#', max_size=6))
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(KEYS, inner, max_size=3)),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_every_key_has_a_line_and_it_holds_the_key(values: dict[str, object]) -> None:
    text = tomlkit.dumps(values)
    toml = parse_toml(text.encode(), "x.toml", Path())
    assert toml.values == tomllib.loads(text)
    written = text.splitlines()
    for path in _paths(toml.values):
        line = toml.lines.get(path)
        assert line is not None, path
        if isinstance(path[-1], str):
            assert path[-1] in written[line - 1]


def _paths(values: object, base: KeyPath = ()) -> list[KeyPath]:
    items: list[tuple[str | int, object]] = []
    if isinstance(values, dict):
        items = list(values.items())
    elif isinstance(values, list):
        items = list(enumerate(values))
    return [path for key, value in items for path in [(*base, key), *_paths(value, (*base, key))]]


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"a = ", r"x.toml, line 1: is not valid TOML"),
        (b"ok = 1\nbad == 2", r"x.toml, line 2: is not valid TOML"),
        (b"a = 1\n\xff\n", r"x.toml, line 2: is not text in UTF-8"),
        (b"a = " + b"[" * 100_000, r"x.toml(, line \d+)?: is n"),
    ],
)
def test_what_is_no_toml_says_where(raw: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message):
        parse_toml(raw, "x.toml", Path())


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_toml(tmp_path / "none.toml")
    with pytest.raises(InputError, match="is a folder"):
        read_toml(tmp_path)
