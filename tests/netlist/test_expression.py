"""Text form of boolean expressions: binding, round trip, errors that point at the character."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.errors import InputError, Place
from stockproof.netlist.expression import (
    FALSE,
    TRUE,
    And,
    Const,
    Expression,
    Name,
    Not,
    Or,
    Xor,
    evaluate,
    name_nodes,
    names,
    parse,
)

NAMES = ("a", "b.c", "entry_gate.open", "order", "android", "not_ready", "x1.y_2.z")


def expressions() -> st.SearchStrategy[Expression]:
    leaves: st.SearchStrategy[Expression] = st.one_of(st.sampled_from(NAMES).map(Name), st.booleans().map(Const))

    def grow(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
        terms = st.lists(inner, min_size=2, max_size=4).map(tuple)
        return st.one_of(inner.map(Not), terms.map(And), terms.map(Or), terms.map(Xor))

    return st.recursive(leaves, grow, max_leaves=12)


@given(expressions())
@settings(max_examples=150, deadline=None)
def test_text_reads_back_as_the_same_expression(expression: Expression) -> None:
    assert parse(str(expression)) == expression


@given(expressions(), st.dictionaries(st.sampled_from(NAMES), st.booleans()))
@settings(max_examples=100, deadline=None)
def test_value_is_that_of_the_same_python_expression(expression: Expression, values: dict[str, bool]) -> None:
    table = {name: values.get(name, False) for name in NAMES}

    def value(node: Expression) -> bool:
        match node:
            case Const(v):
                return v
            case Name(n):
                return table[n]
            case Not(t):
                return value(t) is False
            case And(ts):
                return min(value(t) for t in ts)
            case Or(ts):
                return max(value(t) for t in ts)
            case Xor(ts):
                return bool(sum(value(t) for t in ts) & 1)

    assert evaluate(expression, table.__getitem__) == value(expression)


def test_binding_is_that_of_structured_text() -> None:
    a, b, c = Name("a"), Name("b"), Name("c")
    assert parse("a OR b AND c") == Or((a, And((b, c))))
    assert parse("a XOR b OR c") == Or((Xor((a, b)), c))
    assert parse("a & b XOR c") == Xor((And((a, b)), c))
    assert parse("NOT a AND b") == And((Not(a), b))
    assert parse("not (a or true)") == Not(Or((a, TRUE)))


def test_composition_with_operators() -> None:
    a, b, c = Name("a"), Name("b"), Name("c")
    assert a & b & c == And((a, b, c))
    assert (a | b) & ~c == And((Or((a, b)), Not(c)))
    assert str((a ^ b) | FALSE) == "a XOR b OR FALSE"


def test_every_name_keeps_its_own_character() -> None:
    found = name_nodes(parse("a AND NOT b.c OR a", Place("catalogue.toml", 7, "rule[1].when")))
    assert [(n.name, n.place.column) for n in found] == [("a", 1), ("b.c", 11), ("a", 18)]
    assert names(parse("a AND NOT b.c OR a")) == ("a", "b.c")
    assert {(n.place.file, n.place.line, n.place.key) for n in found} == {("catalogue.toml", 7, "rule[1].when")}


@pytest.mark.parametrize(
    ("text", "column", "what"),
    [
        ("", 1, "the expression is empty"),
        ("a AND", 6, "the expression ends too early"),
        ("(a", 3, "the expression ends too early"),
        ("a b", 3, "'b' cannot stand here"),
        ("a)", 2, "')' cannot stand here"),
        ("a AND AND b", 7, "'AND' cannot stand here"),
        ("a == b", 3, "'==' cannot stand here"),
        ("a OR Entry.open", 6, "'Entry.open' cannot stand here"),
        ("a..b", 1, "'a..b' cannot stand here"),
    ],
)
def test_an_error_points_at_the_character(text: str, column: int, what: str) -> None:
    with pytest.raises(InputError) as caught:
        parse(text, Place("catalogue.toml", 7, "when"))
    (fault,) = caught.value.faults
    assert fault.place == Place("catalogue.toml", 7, "when", column)
    assert fault.what == what


def test_upper_case_names_are_told_how_to_mend() -> None:
    with pytest.raises(InputError, match="mend: write names in lower case"):
        parse("Bail.closed")


def test_nesting_without_end_is_refused_and_not_a_crash() -> None:
    with pytest.raises(InputError, match="is nested too deeply"):
        parse("NOT " * 5000 + "a")
    assert parse("(" * 2000 + "a" + ")" * 2000) == Name("a")


def test_long_flat_expressions_are_no_nesting() -> None:
    text = " OR ".join(f"n{i}" for i in itertools.islice(itertools.count(), 1000))
    assert len(names(parse(text))) == 1000
