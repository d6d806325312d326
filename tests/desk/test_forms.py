"""Forms from the record classes: no field is left out, and what a form shows reads back as it was."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stockproof.brief import PROMISES, BriefFile
from stockproof.desk.forms import PARTS, Question, as_text, as_value, questions
from stockproof.records import Record, key_of

BRIEFS = [Path(f"examples/{name}/brief.toml") for name in ("hill", "feedlot", "dairy")]


def all_models() -> Iterator[type[Record]]:
    waiting: list[type[Record]] = [BriefFile, *PROMISES]
    while waiting:
        model = waiting.pop()
        yield model
        waiting += [question.model for question in questions(model) if question.model is not None]


@pytest.mark.parametrize("model", list(all_models()), ids=lambda model: model.__name__)
def test_every_field_is_asked_with_its_meaning(model: type[Record]) -> None:
    asked = questions(model)
    assert [question.key for question in asked] == [key_of(name) for name in model.model_fields]
    for question in asked:
        assert question.asks
        if question.kind == "quantity":
            assert question.example
            assert question.allowed
        if question.kind == "word":
            assert question.choices


def test_every_part_of_a_brief_has_a_page_of_its_own() -> None:
    tables = {question.key for question in questions(BriefFile) if question.kind in ("table", "tables")}
    assert {key for key, _ in PARTS if key} == tables - {"build"}


def test_an_optional_field_says_what_holds_when_it_is_unsaid() -> None:
    by_key = {
        question.key: question for question in questions(next(m for m in all_models() if m.__name__ == "Programme"))
    }
    assert by_key["working_day"].default == "7\u00a0h"
    assert by_key["hold"].required
    assert not by_key["share"].required


def written(model: type[Record], values: dict[str, Any]) -> Iterator[tuple[Question, Any]]:
    """Every answer in a table of a brief, with its question."""
    for question in questions(model):
        value = values.get(question.key)
        if value is None:
            continue
        if question.model is not None:
            for inside in value if isinstance(value, list) else [value]:
                yield from written(question.model, inside)
        elif question.kind == "tables":
            by_kind = {next(q for q in questions(kind) if q.key == "kind").choices[0]: kind for kind in PROMISES}
            for inside in value:
                yield from written(by_kind[inside["kind"]], inside)
        elif question.kind != "counts":
            yield question, value


@pytest.mark.parametrize("path", BRIEFS, ids=lambda path: path.parent.name)
def test_what_a_form_shows_reads_back_as_it_was(path: Path) -> None:
    answers = list(written(BriefFile, tomllib.loads(path.read_text(encoding="utf-8"))))
    assert len(answers) > 100
    for question, value in answers:
        back = as_value(as_text(value, question.kind), question.kind, question.choices)
        unsaid = value == "" and back is None  # both mean that nothing is said
        assert unsaid or back == value or (question.kind == "quantity" and back == str(value)), question.key


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("", "text", None),
        ("  ", "quantity", None),
        ("12 kg", "quantity", "12 kg"),
        ("12", "number", 12),
        ("0.5", "number", 0.5),
        ("twelve", "number", "twelve"),
        ("2026-03-02", "date", __import__("datetime").date(2026, 3, 2)),
        ("soon", "date", "soon"),
        ("0 0\n8, 0\n8 6", "points", [[0, 0], [8, 0], [8, 6]]),
        ("0 0\n8", "points", "0 0\n8"),
        ("a\nb", "names", ["a", "b"]),
        ("205 kg, 245 kg", "quantities", ["205 kg", "245 kg"]),
        ("true", "flag", True),
    ],
)
def test_answers_are_read_as_the_file_writes_them(text: str, kind: Any, value: object) -> None:
    assert as_value(text, kind) == value
