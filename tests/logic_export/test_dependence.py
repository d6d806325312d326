"""Decision diagrams against truth tables, and the cause-and-effect matrix against what the compiled scan does."""

from __future__ import annotations

import random
from collections.abc import Mapping
from itertools import product

import numpy as np
import pytest

from stockproof.logic.export.cause_effect import MARKS, cause_effect, remembered
from stockproof.logic.export.dependence import NO, YES, Diagrams
from stockproof.netlist import InputKind, Lamp, Netlist, Op
from stockproof.netlist.build import Builder
from stockproof.netlist.kernel import scan

from .builds import BUILDS, program


def small_netlist(seed: int) -> tuple[Netlist, list[int]]:
    rng = random.Random(seed)
    builder = Builder()
    inputs = [builder.input(f"i{k}", InputKind.SENSOR) for k in range(5)]
    nodes = [*inputs, builder.constant(False), builder.constant(True)]
    for _ in range(25):
        terms = rng.sample(nodes, rng.randint(1, 3))
        joined = rng.choice((builder.and_, builder.or_, builder.xor))(terms)
        nodes.append(builder.not_(joined) if rng.random() < 0.3 else joined)
    return builder.finish(), inputs


def values_of(netlist: Netlist, inputs: Mapping[int, bool]) -> list[bool]:
    words = np.zeros(len(netlist), np.uint64)
    words[(netlist.op == Op.CONST) & (netlist.a == 1)] = 1
    for node, value in inputs.items():
        words[node] = value
    scan(netlist.op, netlist.a, netlist.b, words)
    return [bool(int(word) & 1) for word in words]


@pytest.mark.parametrize("seed", range(15))
def test_functions_cofactors_and_support_are_those_of_the_truth_table(seed: int) -> None:
    netlist, inputs = small_netlist(seed)
    diagrams = Diagrams(netlist)
    rows = [dict(zip(inputs, row, strict=True)) for row in product((False, True), repeat=len(inputs))]
    tables = {tuple(row.values()): values_of(netlist, row) for row in rows}
    for node in range(len(netlist)):
        f = diagrams.of(node)
        for row in rows:
            assert diagrams.given(f, row) == (YES if tables[tuple(row.values())][node] else NO)
        real = {
            i
            for i in inputs
            for row in rows
            if tables[tuple(row.values())][node] != tables[tuple((row | {i: not row[i]}).values())][node]
        }
        assert set(diagrams.support(f)) == real


def test_equal_functions_are_one_and_what_only_looks_like_a_cause_is_none() -> None:
    builder = Builder()
    a, b = builder.input("a", InputKind.SENSOR), builder.input("b", InputKind.SENSOR)
    same = builder.or_([builder.and_([a, b]), builder.and_([a, builder.not_(b)])])
    builder.lamp(Lamp("lamp.x", same, "x"))
    netlist = builder.finish()
    diagrams = Diagrams(netlist)
    assert diagrams.of(same) == diagrams.of(a)
    matrix = cause_effect(netlist)
    assert (matrix.mark("a", "lamp.x"), matrix.mark("b", "lamp.x")) == ("N", "")


def test_a_cut_is_seen_as_a_signal_by_what_reads_it() -> None:
    builder = Builder()
    a, b, c = (builder.input(name, InputKind.SENSOR) for name in "abc")
    inner = builder.and_([a, b])
    outer = builder.or_([inner, c])
    diagrams = Diagrams(builder.finish(), [inner])
    assert diagrams.support(diagrams.of(outer)) == tuple(sorted((c, inner)))
    assert diagrams.support(diagrams.body(inner)) == (a, b)


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("a AND b", ("N", "N", "")),
        ("a AND NOT b", ("N", "S", "")),
        ("a OR b", ("A", "A", "")),
        ("a OR NOT b", ("A", "H", "")),
        ("a XOR b", ("B", "B", "")),
        ("a AND b OR NOT a AND c", ("B", "A", "A")),
    ],
)
def test_marks_say_what_a_cause_can_do(text: str, marks: tuple[str, str, str]) -> None:
    from stockproof.netlist.expression import parse

    builder = Builder()
    nodes = {name: builder.input(name, InputKind.SENSOR) for name in "abc"}
    builder.lamp(Lamp("lamp.x", builder.expression(parse(text), lambda name: nodes[name.name]), "x"))
    matrix = cause_effect(builder.finish())
    assert tuple(matrix.mark(name, "lamp.x") for name in "abc") == marks


@pytest.mark.parametrize("name", BUILDS)
def test_every_input_of_a_build_is_a_cause_and_every_motion_an_effect(name: str) -> None:
    netlist, matrix = program(name).netlist, program(name).matrix
    fields = [i.name for i in netlist.inputs if i.kind != InputKind.ELAPSED]
    idle = [c.name for c, marks in zip(matrix.causes, matrix.marks, strict=True) if c.name in fields and not any(marks)]
    assert idle == []
    for motion in netlist.motions:
        column = [matrix.mark(cause.name, motion.name) for cause in matrix.causes]
        assert {"N", "A"} & set(column)
        assert matrix.mark("line.ready", motion.name) == "N"
    assert {mark for marks in matrix.marks for mark in marks} <= {"", *MARKS}


@pytest.mark.parametrize("name", ["dairy", "maximal"])
def test_a_blank_cell_is_one_no_random_state_contradicts(name: str) -> None:
    """Flip one input in thousands of random states: no motion without a mark for it may follow within the scan."""
    netlist, matrix = program(name).netlist, program(name).matrix
    latched = list(remembered(netlist).values())
    rng = np.random.default_rng(4)
    free = np.flatnonzero(np.isin(netlist.op, (Op.INPUT, Op.MEMORY)))
    for cause in (c for c in matrix.causes if c.kind in ("control", "sensor")):
        words = np.zeros(len(netlist), np.uint64)
        words[(netlist.op == Op.CONST) & (netlist.a == 1)] = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
        words[free] = rng.integers(0, 2**64, len(free), dtype=np.uint64)
        scan(netlist.op, netlist.a, netlist.b, words)
        other = words.copy()
        other[cause.node] = ~other[cause.node]
        scan(netlist.op, netlist.a, netlist.b, other)
        alike = ~np.bitwise_or.reduce(words[latched] ^ other[latched])
        for motion in netlist.motions:
            if not matrix.mark(cause.name, motion.name):
                assert (words[motion.node] ^ other[motion.node]) & alike == 0, f"{cause.name} on {motion.name}"
