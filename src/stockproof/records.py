"""Typed tables read from TOML: the base class of briefs and catalogues, and errors a person can act on.

A field that holds an SI float carries its unit in its name (`bore_m`); the key in the file does not
(`bore = "50 mm"`). Every attribute has a description, and a default has a source.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic.config import JsonDict
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from stockproof.errors import Fault, InputError, Place, nearest
from stockproof.tomlfile import KeyPath, TomlFile
from stockproof.units import SUFFIXES

__all__ = ["Record", "attribute", "key_of", "load"]

M = TypeVar("M", bound="Record")
_REQUIRED: Any = ...


def key_of(name: str) -> str:
    """Give the key in a file for a field name: the name without its unit suffix."""
    for suffix in SUFFIXES:
        if name.endswith(suffix) and len(name) > len(suffix):
            return name[: -len(suffix)]
    return name


class Record(BaseModel):
    """A table of a brief or catalogue: immutable, and every unknown key is refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, alias_generator=key_of, strict=False)


def attribute(
    description: str, default: Any = _REQUIRED, *, source: str = "", default_factory: Any = None, **limits: Any
) -> Any:
    """Declare a field of a `Record`.

    Parameters
    ----------
    description : str
        What the attribute means, in a sentence.
    default : Any
        Value when the key is not written; a default that is a quantity needs `source`.
    source : str
        Where the default comes from; a used default with a source becomes an assumption.
    **limits
        `gt`, `ge`, `lt`, `le` in SI, `pattern`, `min_length`, `max_length`, `discriminator`.
    """
    extra: JsonDict | None = {"source": source} if source else None
    if default_factory is not None:
        return Field(default_factory=default_factory, description=description, json_schema_extra=extra, **limits)
    return Field(default, description=description, json_schema_extra=extra, **limits)


def load(model: type[M], toml: TomlFile) -> M:
    """Turn TOML values into a record, or say everything that is wrong with them.

    Raises
    ------
    InputError
        One fault per complaint, each with file, line and key.
    """
    try:
        return model.model_validate(toml.values)
    except ValidationError as error:
        details = [detail for detail in error.errors(include_url=False) if not _echo(detail)]
        faults = [_fault(model, toml, detail) for detail in details]
        raise InputError(sorted(set(faults), key=lambda f: (f.place.line or 0, f.place.key))) from error


def _echo(detail: ErrorDetails) -> bool:
    """A list whose elements were all refused is also called too short: that only repeats their faults."""
    return detail["type"] == "too_short" and bool(detail["input"])


def _written(values: Any, path: KeyPath) -> object:
    for part in path:
        values = values[part]
    return values


def _fault(model: type[Record], toml: TomlFile, detail: ErrorDetails) -> Fault:
    path = _written_path(detail["loc"], toml.values)
    place = toml.place(path)
    got = "" if detail["type"] == "missing" else _short(_written(toml.values, path))
    context = detail.get("ctx", {})
    match detail["type"]:
        case "missing":
            return Fault("is missing", place, mend=_describe(model, toml.values, path))
        case "extra_forbidden":
            known = sorted(_keys(model_at(model, toml.values, path[:-1])))
            mend = nearest(str(path[-1]), known) or "remove it, or correct its spelling"
            return Fault("is not a known key", place, got, f"one of {', '.join(known)}", mend)
        case "quantity":
            return Fault(str(context["what"]), place, got, str(context["allowed"]))
        case "literal_error":
            return _wrong_word(place, detail["input"], str(context["expected"]))
        case "union_tag_invalid":
            return _wrong_word(toml.place((*path, "kind")), context["tag"], str(context["expected_tags"]))
        case "union_tag_not_found":
            return Fault("does not say its kind", place, mend=f"add {context.get('discriminator')} = ...")
        case "fault":
            return Fault(str(context["what"]), place, got, str(context["allowed"]), str(context["mend"]))
        case "too_short":
            return Fault("is empty", place, got, mend=_describe(model, toml.values, path))
        case _:
            return Fault(_plain(detail["msg"]), place, got)


def _wrong_word(place: Place, word: object, allowed: str) -> Fault:
    words = [known.strip(" '") for known in allowed.replace(" or ", ",").split(",")]
    mend = nearest(str(word), words)
    return Fault("is not one of the words allowed here", place, _short(word), ", ".join(words), mend)


def _plain(message: str) -> str:
    """Pydantic's sentence in ours: 'Input should be greater than 0' reads 'should be greater than 0'."""
    return message.removeprefix("Input ").removeprefix("Value error, ")


def _short(value: object) -> str:
    text = repr(value) if not isinstance(value, dict) else f"a table with {', '.join(map(str, value)) or 'no keys'}"
    return text if len(text) <= 80 else f"{text[:77]}..."


def _written_path(loc: tuple[int | str, ...], values: Any) -> KeyPath:
    """Drop what pydantic puts into a location but nobody wrote: the tags of unions and names of functions."""
    path: list[str | int] = []
    at: Any = values
    for position, part in enumerate(loc):
        last = position == len(loc) - 1
        if (isinstance(at, Mapping) and part in at) or (
            isinstance(part, int) and isinstance(at, list) and part < len(at)
        ):
            at = at[part]  # type: ignore[index]
            path.append(part)
        elif last and isinstance(at, Mapping) and isinstance(part, str):
            path.append(part)
    return tuple(path)


def _describe(model: type[Record], values: Any, path: KeyPath) -> str:
    inside = model_at(model, values, path[:-1])
    for name, info in inside.model_fields.items() if inside else ():
        if key_of(name) == path[-1] and info.description:
            return f"add it: {info.description}"
    return "add it"


def _keys(model: type[Record] | None) -> Iterator[str]:
    yield from (key_of(name) for name in (model.model_fields if model else ()))


def model_at(model: type[Record], values: Any, path: KeyPath) -> type[Record] | None:
    """Give the record class that reads the table at a key path, following lists and tagged unions."""
    at: Any = model
    data: Any = values
    for part in path:
        data = data[part]
        if isinstance(part, int):
            at = _element(at)
        else:
            field = _field(at, part)
            if field is None:
                return None
            at = field.annotation
        at = _record_class(at, data)
    return at if isinstance(at, type) and issubclass(at, Record) else None


def _field(model: Any, key: str) -> FieldInfo | None:
    if not (isinstance(model, type) and issubclass(model, Record)):
        return None
    return next((info for name, info in model.model_fields.items() if key_of(name) == key), None)


def _element(annotation: Any) -> Any:
    return next((argument for argument in get_args(annotation) if argument is not Ellipsis), None)


def _record_class(annotation: Any, data: Any) -> Any:
    """Unwrap Annotated and unions; of several record classes take the one whose `kind` the data names."""
    if get_origin(annotation) is Annotated:
        return _record_class(get_args(annotation)[0], data)
    if get_origin(annotation) in (Union, types.UnionType):
        choices = [_record_class(choice, data) for choice in get_args(annotation) if choice is not type(None)]
        kind = data.get("kind") if isinstance(data, Mapping) else None
        for choice in choices:
            field = _field(choice, "kind")
            if field is not None and kind in get_args(field.annotation):
                return choice
        return choices[0] if choices else None
    return annotation
