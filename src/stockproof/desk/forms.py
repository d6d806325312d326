"""What a form for a record asks: one question a field, made from the record classes and nothing else.

Knows the words, examples and choices of each field; draws nothing and keeps nothing.
"""

from __future__ import annotations

import datetime
import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from stockproof.amounts import Amount
from stockproof.dossier.display import Display
from stockproof.records import Record, key_of
from stockproof.scene.pages import Quantity
from stockproof.units import Dimension

__all__ = ["PARTS", "Question", "QuestionKind", "as_text", "as_value", "questions", "title_of"]

QuestionKind = Literal[
    "text",
    "quantity",
    "quantities",
    "amount",
    "word",
    "words",
    "names",
    "flag",
    "number",
    "date",
    "points",
    "table",
    "tables",
    "counts",
]
#: The parts of a brief in the order a job is talked through: key in the file, and its title.
PARTS: tuple[tuple[str, str], ...] = (
    ("", "The job"),
    ("customer", "For whom"),
    ("market", "Market and units"),
    ("mob", "Animals"),
    ("person", "People"),
    ("programme", "Work"),
    ("task", "Own task times"),
    ("site", "Place and power"),
    ("yard", "Yard"),
    ("scope", "Who supplies what"),
    ("today", "Today's yard"),
    ("money", "Money"),
    ("promise", "Promises"),
)
#: Keys whose words must be names that stand elsewhere in the brief: the array that holds them.
NAMED_IN: dict[str, tuple[str, ...]] = {
    "mob": ("mob",),
    "mobs": ("mob",),
    "programme": ("programme",),
    "programmes": ("programme",),
    "crew": ("person",),
    "supply": ("site", "supply"),
}


@dataclass(frozen=True, slots=True)
class Question:
    """One field of a record as a form asks it.

    Parameters
    ----------
    key : str
        The key in the file.
    kind : QuestionKind
        How it is answered.
    asks : str
        What the attribute means.
    choices : tuple of str
        Words allowed, where only those are.
    example, allowed : str
        How an answer looks, and which units it may have.
    required : bool
        Whether the brief must say it.
    default : str
        What holds when it is not said, in words.
    model : record class or None
        For a table, or an array of tables.
    """

    key: str
    kind: QuestionKind
    asks: str
    choices: tuple[str, ...] = ()
    example: str = ""
    allowed: str = ""
    required: bool = True
    default: str = ""
    model: type[Record] | None = None


def title_of(key: str) -> str:
    """Give a key as people read it."""
    return key.replace("_", " ")


def questions(model: type[Record]) -> tuple[Question, ...]:
    """Give the questions of a record in its order."""
    return tuple(_questions(model))


def _questions(model: type[Record]) -> Iterator[Question]:
    for name, info in model.model_fields.items():
        key = key_of(name)
        annotation, metadata = _unwrapped(info.annotation, list(info.metadata))
        default = "" if info.is_required() else _default(info.get_default(call_default_factory=True), metadata)
        kind, choices, inner = _kind(annotation, metadata)
        dimension = next((item for item in metadata if isinstance(item, Dimension)), None)
        money = next((item for item in metadata if type(item).__name__ == "_Per"), None)
        described = dimension or money
        yield Question(
            key,
            kind,
            info.description or title_of(key),
            choices,
            dimension.example if dimension else (_money_example(money) if money else ""),
            described.allowed() if described else "",
            info.is_required(),
            default,
            inner,
        )


def _money_example(per: Any) -> str:
    return f"36 NZD/{per.per}" if per.per else "36,000 NZD"


def _unwrapped(annotation: Any, metadata: list[Any]) -> tuple[Any, list[Any]]:
    """Take off Annotated and `| None`, gathering what they carry."""
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return _unwrapped(inner, [*metadata, *more])
    if get_origin(annotation) in (Union, types.UnionType):
        real = [choice for choice in get_args(annotation) if choice is not type(None)]
        if len(real) == 1:
            return _unwrapped(real[0], metadata)
    return annotation, metadata


def _kind(annotation: Any, metadata: list[Any]) -> tuple[QuestionKind, tuple[str, ...], type[Record] | None]:
    if get_origin(annotation) is tuple:
        return _kind_of_many(get_args(annotation)[0])
    if get_origin(annotation) is Literal:
        return "word", tuple(str(word) for word in get_args(annotation)), None
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return "table", (), annotation
    if annotation is bool:
        return "flag", ("true", "false"), None
    if annotation is datetime.date:
        return "date", (), None
    if any(isinstance(item, Dimension) for item in metadata):
        return "quantity", (), None
    if annotation is Amount:
        return "amount", (), None
    if annotation in (int, float):
        return "number", (), None
    return ("counts" if get_origin(annotation) is dict else "text"), (), None


def _kind_of_many(element: Any) -> tuple[QuestionKind, tuple[str, ...], type[Record] | None]:
    inner, metadata = _unwrapped(element, [])
    if get_origin(inner) is Literal:
        return "words", tuple(str(word) for word in get_args(inner)), None
    if get_origin(inner) is tuple:
        return "points", (), None
    if any(isinstance(item, Dimension) for item in metadata):
        return "quantities", (), None
    if isinstance(inner, type) and issubclass(inner, Record):
        return "tables", (), inner
    return ("tables" if get_origin(inner) in (Union, types.UnionType) else "names"), (), None


def _default(value: Any, metadata: list[Any]) -> str:
    dimension = next((item for item in metadata if isinstance(item, Dimension)), None)
    if value is None or value in ("", (), {}):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if dimension is not None:
        return Display().quantity(Quantity(float(value), dimension.name))
    return str(value)


def as_text(value: Any, kind: QuestionKind) -> str:
    """Write a value of the file as a form shows it."""
    if value is None:
        return ""
    if kind == "points" and isinstance(value, list):
        return "\n".join(" ".join(f"{number:g}" for number in point) for point in value if isinstance(point, list))
    if isinstance(value, list):
        return (", " if kind == "quantities" else "\n").join(str(each) for each in value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def as_value(text: str, kind: QuestionKind, choices: tuple[str, ...] = ()) -> Any:
    """Read an answer as the file writes it, or None where it is empty; what does not read stays text to be refused."""
    text = text.strip() if kind != "text" else text
    if text == "":
        return None
    match kind:
        case "flag":
            return text == "true"
        case "number" | "word" if _number(text) is not None and (kind == "number" or text in choices):
            return _number(text)
        case "date":
            return _date(text)
        case "names" | "words" | "quantities":
            return [part.strip() for part in text.split("," if kind == "quantities" else "\n") if part.strip()]
        case "points":
            return _points(text)
        case _:
            return text


def _number(text: str) -> int | float | None:
    for form in (int, float):
        try:
            return form(text)
        except ValueError:
            continue
    return None


def _date(text: str) -> datetime.date | str:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return text


def _points(text: str) -> list[list[int | float]] | str:
    """Corners, one a line: two numbers with a blank or comma between."""
    points = [[_number(part) for part in line.replace(",", " ").split()] for line in text.splitlines() if line.strip()]
    if any(len(point) != 2 or None in point for point in points):
        return text
    return [[number for number in point if number is not None] for point in points]
