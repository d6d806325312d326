"""Edits a brief's text by key path, leaving comments, order and spacing as their author wrote them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from stockproof.errors import Fault, InputError
from stockproof.tomlfile import KeyPath

__all__ = ["add_table", "changed", "remove", "set_value", "value_at", "values"]


def values(text: str) -> dict[str, Any]:
    """Give the plain values of a brief's text; an empty dictionary where it is no TOML."""
    try:
        return dict(tomlkit.parse(text).unwrap())
    except TOMLKitError:
        return {}


def value_at(data: Any, path: KeyPath) -> Any:
    """Give the value at a key path, or None where nothing is written."""
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def changed(before: str, after: str) -> tuple[str, ...]:
    """Give the keys that differ between two texts, no deeper than one table: `site.altitude`, `mob`, `build.items`."""
    old, new = values(before), values(after)
    found: list[str] = []
    for key in dict.fromkeys((*old, *new)):
        was, now = old.get(key), new.get(key)
        if was == now:
            continue
        if isinstance(was, dict) and isinstance(now, dict):
            inside = [word for word in dict.fromkeys((*was, *now)) if was.get(word) != now.get(word)]
            found += [f"{key}.{word}" for word in inside]
        else:
            found.append(key)
    return tuple(found)


def set_value(text: str, path: KeyPath, value: Any) -> str:
    """Write a value at a key path, making the tables on the way."""
    document = _parse(text)
    at: Any = document
    for part in path[:-1]:
        if isinstance(part, str) and part not in at:
            at[part] = tomlkit.table()
        at = at[part]
    at[path[-1]] = value
    return tomlkit.dumps(document)


def remove(text: str, path: KeyPath) -> str:
    """Take a key, a table or one element of an array of tables out; nothing happens where it is not written."""
    document = _parse(text)
    at = value_at(document, path[:-1])
    if value_at(document, path) is None:
        return text
    del at[path[-1]]
    if isinstance(at, AoT) and len(at) == 0:
        del value_at(document, path[:-2])[path[-2]]
    return tomlkit.dumps(document)


def add_table(text: str, path: KeyPath, keys: Mapping[str, Any]) -> str:
    """Add a table at the end of the array of tables at a key path, making the array if need be."""
    document = _parse(text)
    at: Any = value_at(document, path[:-1])
    if at is None:
        raise InputError(Fault("has no table to add to", mend="write the table around it first"))
    table = _table(keys)
    array = at.get(path[-1])
    if isinstance(array, AoT):
        array.append(table)
    else:
        made = tomlkit.aot()
        made.append(table)
        at[path[-1]] = made
    return tomlkit.dumps(document)


def _table(keys: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    for key, value in keys.items():
        table.add(key, value)
    table.add(tomlkit.nl())
    return table


def _parse(text: str) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError(Fault(f"is not valid TOML: {error}", mend="mend the text on the page of the file")) from error
