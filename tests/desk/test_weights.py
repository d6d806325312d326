"""Weights from pasted text: a column, a table, and everything that is no weight."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.desk.weights import columns, weights_csv
from stockproof.errors import InputError


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("212\n230.5\n241\n", ""),
        ("weight_kg\n212\n230.5\n241", ""),
        ("tag,weight_kg\na,212\nb,230.5\nc,241\n", ""),
        ("tag;live weight\na;212\nb;230.5\nc;241\n", "live weight"),
        ("tag\tkg\na\t212\nb\t230.5\n\nc\t241\n", "kg"),
        (" 212 \n 230.5\n241\n\n\n", ""),
    ],
)
def test_weights_come_out_as_one_column(text: str, column: str) -> None:
    assert weights_csv(text, column) == b"weight_kg\n212\n230.5\n241\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "has no weights in it"),
        ("weight_kg\n", "has no weights in it"),
        ("212\nheavy\n230", r"pasted text, line 2: is no number of kilograms\n    got: 'heavy'"),
        ("212\n-5\n", "line 2"),
        ("212\n1e9\n", "line 2"),
        ("tag,kg\na,212\nb\n", "line 3"),
        ("tag,kg,other\na,212,1\n", "has several columns"),
    ],
)
def test_what_is_no_weight_is_refused_with_its_line(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        weights_csv(text, "kg" if text.startswith("tag,kg\n") else "")


def test_heads_are_named() -> None:
    assert columns("tag,kg\na,1") == ("tag", "kg")
    assert columns("1\n2") == ()
    assert columns("") == ()


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=300), st.text(max_size=10))
def test_any_text_gives_a_column_of_numbers_or_is_refused(text: str, column: str) -> None:
    try:
        data = weights_csv(text, column)
    except InputError:
        return
    head, *cells = [row[0] for row in csv.reader(io.StringIO(data.decode()))]
    assert head == "weight_kg"
    assert cells
    assert all(float(cell) >= 0 for cell in cells)
