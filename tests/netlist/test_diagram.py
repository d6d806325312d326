"""Decision diagrams against truth tables."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.netlist import InputKind
from stockproof.netlist.build import Builder
from stockproof.netlist.diagram import NO, YES, Diagrams, TooLarge
from stockproof.netlist.model import Op

WORDS = (10, 11, 12, 13)
AND, OR, XOR = int(Op.AND), int(Op.OR), int(Op.XOR)
#: A function as nested tuples: a variable's place, or an operation on functions.
functions = st.recursive(
    st.integers(0, len(WORDS) - 1),
    lambda inner: st.one_of(
        st.tuples(st.sampled_from((AND, OR, XOR)), inner, inner), st.tuples(st.just(int(Op.NOT)), inner)
    ),
    max_leaves=10,
)


def table(function: object) -> tuple[bool, ...]:
    def value(f: object, row: tuple[bool, ...]) -> bool:
        if isinstance(f, int):
            return row[f]
        assert isinstance(f, tuple)
        if f[0] == int(Op.NOT):
            return not value(f[1], row)
        a, b = value(f[1], row), value(f[2], row)
        return {AND: a and b, OR: a or b, XOR: a != b}[f[0]]

    return tuple(value(function, row) for row in product((False, True), repeat=len(WORDS)))


def diagram(store: Diagrams, f: object) -> int:
    if isinstance(f, int):
        return store.variable(WORDS[f])
    assert isinstance(f, tuple)
    if f[0] == int(Op.NOT):
        return store.inverse(diagram(store, f[1]))
    return store.apply(f[0], diagram(store, f[1]), diagram(store, f[2]))


def table_of(store: Diagrams, f: int) -> tuple[bool, ...]:
    rows = product((False, True), repeat=len(WORDS))
    return tuple(store.given(f, dict(zip(WORDS, row, strict=True))) == YES for row in rows)


@settings(max_examples=60, deadline=None)
@given(functions, functions)
def test_equal_functions_are_the_same_number_and_others_are_not(one: object, other: object) -> None:
    store = Diagrams()
    a, b = diagram(store, one), diagram(store, other)
    assert table_of(store, a) == table(one)
    assert (a == b) == (table(one) == table(other))


@settings(max_examples=60, deadline=None)
@given(functions, st.sets(st.sampled_from(range(len(WORDS)))))
def test_freed_of_variables_it_is_true_where_some_value_makes_it_true(function: object, freed: set[int]) -> None:
    store = Diagrams()
    found = table_of(store, store.exists(diagram(store, function), [WORDS[k] for k in freed]))
    truth = dict(zip(product((False, True), repeat=len(WORDS)), table(function), strict=True))
    for row, value in zip(truth, found, strict=True):
        others = product(*((False, True) if k in freed else (row[k],) for k in range(len(WORDS))))
        assert value == any(truth[other] for other in others)


@settings(max_examples=40, deadline=None)
@given(functions, st.sets(st.sampled_from(range(len(WORDS))), min_size=1))
def test_a_builder_frees_a_node_of_inputs_alike_with_and_without_diagrams(function: object, freed: set[int]) -> None:
    def built(most: int) -> tuple[bool, ...]:
        builder = Builder()
        builder._diagrams = Diagrams(most)
        inputs = [builder.input(str(k), InputKind.SENSOR) for k in WORDS]

        def node(f: object) -> int:
            if isinstance(f, int):
                return inputs[f]
            assert isinstance(f, tuple)
            if f[0] == int(Op.NOT):
                return builder.not_(node(f[1]))
            return builder._make(f[0], node(f[1]), node(f[2]))

        free = builder.exists(node(function), [inputs[k] for k in freed])
        values = []
        for row in product((False, True), repeat=len(WORDS)):
            known = dict(zip(inputs, row, strict=True))
            for k, (op, a, b) in enumerate(builder._rows):
                if op == int(Op.CONST):
                    known[k] = bool(a)
                elif op == int(Op.NOT):
                    known[k] = not known[a]
                elif op >= AND:
                    x, y = known[a], known[b]
                    known[k] = {AND: x and y, OR: x or y, XOR: x != y}[op]
            values.append(known[free])
        return tuple(values)

    assert built(200_000) == built(2)


def test_a_store_that_is_full_says_so() -> None:
    store = Diagrams(most=3)
    with pytest.raises(TooLarge):
        diagram(store, (XOR, (XOR, 0, 1), (XOR, 2, 3)))
    assert store.exists(YES, WORDS) == YES
    assert store.exists(NO, WORDS) == NO
