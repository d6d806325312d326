"""The compiled scan against the plain evaluator, on random netlists, 64 lanes at once."""

from __future__ import annotations

import random

import numpy as np
import pytest

from stockproof.errors import InternalError
from stockproof.netlist import InputKind, Netlist
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import names, parse
from stockproof.netlist.kernel import commit, fresh, scan
from stockproof.netlist.reference import evaluate_scan, started


def random_netlist(seed: int) -> Netlist:
    rng = random.Random(seed)
    builder = Builder()
    nodes = [builder.constant(False), builder.constant(True)]
    nodes += [builder.input(f"i{k}", InputKind.SENSOR) for k in range(6)]
    memories = [builder.memory(f"m{k}", rng.random() < 0.5) for k in range(5)]
    nodes += memories
    for _ in range(60):
        terms = rng.sample(nodes, rng.randint(1, 3))
        match rng.randrange(4):
            case 0:
                nodes.append(builder.not_(terms[0]))
            case 1:
                nodes.append(builder.and_(terms))
            case 2:
                nodes.append(builder.or_(terms))
            case _:
                nodes.append(builder.xor(terms))
    for memory in memories:
        builder.remember(memory, rng.choice(nodes))
    builder.on_delay("t", nodes[-1], 1.5)
    return builder.finish()


@pytest.mark.parametrize("seed", range(12))
def test_scan_agrees_with_the_plain_evaluator_in_every_lane(seed: int) -> None:
    netlist = random_netlist(seed)
    rng = np.random.default_rng(seed)
    values = fresh(netlist)
    spare = np.zeros(len(netlist.memories), np.uint64)
    memories = [started(netlist) for _ in range(64)]
    for _ in range(5):
        words = rng.integers(0, 2**64, len(netlist.inputs), dtype=np.uint64)
        values[netlist.input_node] = words
        scan(netlist.op, netlist.a, netlist.b, values)
        for lane in range(64):
            inputs = {i.name: bool(int(w) >> lane & 1) for i, w in zip(netlist.inputs, words, strict=True)}
            expected, memories[lane] = evaluate_scan(netlist, inputs, memories[lane])
            assert [bool(int(v) >> lane & 1) for v in values] == expected
        commit(netlist.memory_node, netlist.memory_next, values, spare)


def test_operands_stand_before_their_users_and_equal_nodes_are_shared() -> None:
    netlist = random_netlist(1)
    for i, op in enumerate(netlist.op):
        if op >= 3:
            assert netlist.a[i] < i
            assert netlist.b[i] < i
    rows = list(zip(netlist.op.tolist(), netlist.a.tolist(), netlist.b.tolist(), strict=True))
    assert len(set(rows)) == len(rows)


def test_folding_keeps_the_value() -> None:
    builder = Builder()
    a = builder.input("a", InputKind.SENSOR)
    known = {"a": a}
    for text, node in {
        "a AND TRUE": a,
        "a AND NOT a": builder.constant(False),
        "a OR NOT a": builder.constant(True),
        "a XOR a": builder.constant(False),
        "NOT NOT a": a,
        "a XOR TRUE": builder.not_(a),
        "a OR FALSE OR a": a,
    }.items():
        expression = parse(text)
        assert names(expression) == ("a",)
        assert builder.expression(expression, lambda name: known[name.name]) == node


def test_a_memory_without_next_value_is_our_own_bug() -> None:
    builder = Builder()
    builder.memory("m", False)
    with pytest.raises(InternalError, match="no next value for m"):
        builder.finish()


def test_exists_is_true_where_some_value_makes_it_true() -> None:
    builder = Builder()
    nodes = {name: builder.input(name, InputKind.SENSOR) for name in "abc"}

    def node(text: str) -> int:
        return builder.expression(parse(text), lambda name: nodes[name.name])

    assert builder.exists(node("a AND b AND NOT c"), [nodes["b"], nodes["c"]]) == nodes["a"]
    assert builder.exists(node("a XOR b"), [nodes["b"]]) == builder.constant(True)
    assert builder.exists(node("a AND c"), [nodes["b"]]) == node("a AND c")
    assert builder.depends(node("a AND c"), nodes.values()) == {nodes["a"], nodes["c"]}


def test_flat_building_knows_regrouped_terms_as_equal() -> None:
    builder = Builder(flat=True)
    a, b, c, d = (builder.input(name, InputKind.SENSOR) for name in "abcd")
    assert builder.or_([builder.or_([a, b]), builder.or_([c, d])]) == builder.or_([d, builder.or_([b, c]), a])
    assert builder.and_([builder.and_([a, b]), builder.not_(a)]) == builder.constant(False)
