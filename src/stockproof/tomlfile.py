"""TOML text with the author's place of every key, so that an error can name file and line.

Values and syntax errors come from the standard library's parser; places come from a second parse that
keeps positions (the standard library's parser gives none).
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tree_sitter
import tree_sitter_toml

from stockproof.errors import Fault, InputError, Place

__all__ = ["KeyPath", "TomlFile", "read_column", "read_toml"]

KeyPath = tuple[str | int, ...]

#: A brief of a real farm is some 10 kB; this stops a wrong file, not a big farm.
LARGEST_BYTES = 4_000_000


@dataclass(frozen=True, slots=True)
class TomlFile:
    """A parsed TOML file: its values and the line on which each key stands."""

    name: str
    folder: Path
    values: dict[str, Any]
    lines: dict[KeyPath, int] = field(default_factory=dict)

    def place(self, path: KeyPath) -> Place:
        """Give the place of a key, or of the nearest table around it when the key is not written."""
        known = path
        while known and known not in self.lines:
            known = known[:-1]
        return Place(self.name, self.lines.get(known, 1), dotted(path))


def dotted(path: KeyPath) -> str:
    """Write a key path as people do: `mob[2].weight_mean` (counting from 1)."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else (f".{part}" if text else part)
    return text


def read_toml(path: Path, name: str | None = None) -> TomlFile:
    """Read a TOML file with the place of every key.

    Raises
    ------
    InputError
        The file cannot be read, is no text in UTF-8, is too large, or is no TOML.
    """
    name = name if name is not None else path.name
    try:
        if path.is_dir():
            raise InputError(Fault("is a folder, not a file", Place(name), mend=f"name the file in it: {name}/..."))
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            Fault(f"cannot be read ({error.strerror or error})", Place(name), mend="check the path and its permissions")
        ) from error
    return parse_toml(raw, name, path.parent)


def parse_toml(raw: bytes, name: str, folder: Path) -> TomlFile:
    """Parse TOML bytes; see `read_toml`."""
    if len(raw) > LARGEST_BYTES:
        raise InputError(Fault(f"has {len(raw)} bytes", Place(name), allowed=f"at most {LARGEST_BYTES} bytes"))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise InputError(
            Fault(
                "is not text in UTF-8",
                Place(name, line),
                got=repr(raw[error.start : error.end]),
                mend="save it as UTF-8",
            )
        ) from error
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(Fault(f"is not valid TOML: {error}", Place(name, _line_of(error, text)))) from error
    except RecursionError as error:
        raise InputError(Fault("is nested too deeply", Place(name), mend="use plain tables")) from error
    return TomlFile(name, folder, values, _lines(text))


def _line_of(error: tomllib.TOMLDecodeError, text: str) -> int:
    words = str(error).replace(",", " ").replace(")", " ").split()
    if "line" in words:
        return int(words[words.index("line") + 1])
    return text.count("\n") + 1


def _lines(text: str) -> dict[KeyPath, int]:
    """Walk the positioned parse and note the first line of every key path."""
    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    lines: dict[KeyPath, int] = {}
    arrays: dict[KeyPath, int] = {}
    for node in parser.parse(text.encode()).root_node.named_children:
        if node.type == "pair":
            _pair(node, (), lines)
        elif node.type in ("table", "table_array_element"):
            base = _resolve(_key(node.named_children[0]), arrays)
            if node.type == "table_array_element":
                arrays[base] = arrays.get(base, -1) + 1
                lines.setdefault(base, node.start_point.row + 1)
                base = (*base, arrays[base])
            _note(base, node.start_point.row + 1, lines)
            for child in node.named_children[1:]:
                if child.type == "pair":
                    _pair(child, base, lines)
    return lines


def _resolve(key: tuple[str, ...], arrays: dict[KeyPath, int]) -> KeyPath:
    """A header inside an array of tables means the array's latest element."""
    path: KeyPath = ()
    for i, part in enumerate(key):
        path = (*path, part)
        if path in arrays and i < len(key) - 1:
            path = (*path, arrays[path])
    return path


def _pair(node: tree_sitter.Node, base: KeyPath, lines: dict[KeyPath, int]) -> None:
    key, value = node.named_children[0], node.named_children[-1]
    path = (*base, *_key(key))
    _note(path, node.start_point.row + 1, lines)
    _value(value, path, lines)


def _value(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    if node.type == "inline_table":
        for child in node.named_children:
            if child.type == "pair":
                _pair(child, path, lines)
    elif node.type == "array":
        elements = [child for child in node.named_children if child.type != "comment"]
        for i, child in enumerate(elements):
            _note((*path, i), child.start_point.row + 1, lines)
            _value(child, (*path, i), lines)


def _note(path: KeyPath, line: int, lines: dict[KeyPath, int]) -> None:
    for end in range(1, len(path) + 1):
        lines.setdefault(path[:end], line)


def _key(node: tree_sitter.Node) -> tuple[str, ...]:
    if node.type == "dotted_key":
        return tuple(part for child in node.named_children for part in _key(child))
    text = (node.text or b"").decode()
    if node.type == "quoted_key":
        return tuple(tomllib.loads(f"{text} = 0"))
    return (text,)


def read_column(path: Path, column: str, place: Place) -> tuple[list[str], list[int]]:
    """Read one column of a CSV file with a header row: the cells as text and their line numbers.

    Raises
    ------
    InputError
        The file cannot be read, has no such column, or has no rows.
    """
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise InputError(Fault(f"{path.name} is larger than {LARGEST_BYTES} bytes", place))
        with path.open(newline="", encoding="utf-8-sig") as file:
            rows = csv.DictReader(file)
            if column not in (rows.fieldnames or []):
                raise InputError(
                    Fault(
                        f"{path.name} has no column {column!r}",
                        place,
                        got=", ".join(rows.fieldnames or ["an empty file"]),
                        mend="give the column a header row, or name another column",
                    )
                )
            cells = [(row[column] or "", rows.line_num) for row in rows]
    except (OSError, UnicodeDecodeError, csv.Error, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(Fault(f"{path.name} cannot be read: {error}", place)) from error
    if not cells:
        raise InputError(Fault(f"{path.name} has no rows under {column!r}", place))
    return [cell for cell, _ in cells], [line for _, line in cells]
