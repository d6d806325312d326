"""The standard's function blocks and the language itself, as our evaluator reads them.

The tables follow the words of IEC 61131-3 for each block (from memory), call by call.
"""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.errors import InputError
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.grammar import read_units
from stockproof.netlist.expression import And, Const, Expression, Name, Not, Or, Xor, evaluate


def block(kind: str, pins: str, output: str = "Q", preset: str = "") -> Machine:
    """A program that calls one block with its inputs from outside."""
    given = ", ".join(f"{pin} := {pin.lower()}_" for pin in pins.split())
    given += f", PT := {preset}" if preset else ""
    inputs = "\n".join(f"    {pin.lower()}_ : BOOL;" for pin in pins.split())
    return Machine(
        f"PROGRAM p\nVAR_INPUT\n{inputs}\nEND_VAR\nVAR_OUTPUT\n    q_ : BOOL;\nEND_VAR\nVAR\n    x : {kind};\nEND_VAR\n"
        f"x({given});\nq_ := x.{output};\nEND_PROGRAM\n"
    )


def seen(machine: Machine, *rows: tuple[bool | int, ...]) -> list[bool]:
    names = list(machine.inputs)
    return [machine.scan(dict(zip(names, map(bool, row), strict=True)), 0.0)["q_"] for row in rows]


def test_rs_remembers_and_reset_dominates() -> None:
    machine = block("RS", "S R1", "Q1")
    assert seen(machine, (0, 0), (1, 0), (0, 0), (0, 1), (0, 0), (1, 1), (1, 0)) == [0, 1, 1, 0, 0, 0, 1]


def test_sr_remembers_and_set_dominates() -> None:
    machine = block("SR", "S1 R", "Q1")
    assert seen(machine, (0, 0), (1, 0), (0, 0), (0, 1), (0, 0), (1, 1), (0, 1)) == [0, 1, 1, 0, 0, 1, 0]


def test_r_trig_reports_a_rise_also_at_the_first_call() -> None:
    assert seen(block("R_TRIG", "CLK"), (1,), (1,), (0,), (1,)) == [1, 0, 0, 1]
    assert seen(block("R_TRIG", "CLK"), (0,), (1,), (1,)) == [0, 1, 0]


def test_f_trig_reports_a_fall_and_a_clock_that_is_off_at_the_first_call() -> None:
    """Its memory starts FALSE and holds NOT CLK: the trap for which this program emits its own block."""
    assert seen(block("F_TRIG", "CLK"), (0,), (0,), (1,), (0,)) == [1, 0, 0, 1]
    assert seen(block("F_TRIG", "CLK"), (1,), (0,), (0,)) == [0, 1, 0]


@pytest.mark.parametrize(
    ("calls", "q", "et"),
    [
        ([(0.0, 1), (0.9, 1), (1.0, 1), (5.0, 1)], [0, 0, 1, 1], [0.0, 0.9, 1.0, 1.0]),
        ([(0.0, 0), (9.0, 0), (9.5, 1), (10.25, 1), (10.5, 1)], [0, 0, 0, 0, 1], [0, 0, 0, 0.75, 1.0]),
        ([(0.0, 1), (0.75, 0), (0.875, 1), (1.75, 1), (1.875, 1)], [0, 0, 0, 0, 1], [0, 0, 0, 0.875, 1.0]),
        ([(0.0, 1), (3.0, 1), (3.5, 0), (4.0, 1)], [0, 1, 0, 0], [0, 1.0, 0, 0]),
    ],
)
def test_ton_counts_while_on_up_to_its_preset(calls: list[tuple[float, int]], q: list[int], et: list[float]) -> None:
    machine = block("TON", "IN", preset="T#1s")
    found = [(machine.scan({"in_": bool(on)}, now)["q_"], machine.value("x", "et")) for now, on in calls]
    assert [one[0] for one in found] == q
    assert [one[1] for one in found] == et


def test_ton_without_preset_follows_its_input() -> None:
    assert seen(block("TON", "IN", preset="T#0s"), (0,), (1,), (0,)) == [0, 1, 0]


@pytest.mark.parametrize(
    ("literal", "seconds"),
    [("T#2s500ms", 2.5), ("TIME#1m", 60.0), ("t#0.5s", 0.5), ("T#1h2m3s4ms", 3723.004), ("T#1.5ms", 0.0015)],
)
def test_time_literals(literal: str, seconds: float) -> None:
    machine = block("TON", "IN", preset=literal)
    machine.scan({"in_": False}, 0.0)
    assert machine.value("x", "pt") == seconds


def text_of(body: str, variables: str = "    n : INT;\n") -> str:
    return (
        "PROGRAM p\nVAR_INPUT\n    a : BOOL;\n    b : BOOL;\nEND_VAR\nVAR_OUTPUT\n    q : BOOL;\nEND_VAR\n"
        f"VAR\n{variables}END_VAR\n{body}\nEND_PROGRAM\n"
    )


def test_case_takes_one_branch_and_does_not_fall_through() -> None:
    body = "CASE n OF\n0: n := 1;\n1, 2: n := 5;\nELSE\n n := 0;\nEND_CASE;"
    machine = Machine(text_of(body))
    numbers = []
    for _ in range(4):
        machine.scan({}, 0.0)
        numbers.append(machine.value("n"))
    assert numbers == [1, 5, 0, 1]


def test_if_takes_the_first_branch_that_is_true() -> None:
    machine = Machine(text_of("IF a THEN n := 1; ELSIF b THEN n := 2; ELSE n := 3; END_IF;"))
    found = []
    for a, b in ((True, True), (False, True), (False, False)):
        machine.scan({"a": a, "b": b}, 0.0)
        found.append(machine.value("n"))
    assert found == [1, 2, 3]


def test_statements_run_in_order_and_a_block_keeps_its_state_between_calls() -> None:
    counter = (
        "FUNCTION_BLOCK toggle\nVAR_INPUT\n    go : BOOL;\nEND_VAR\nVAR_OUTPUT\n    on : BOOL;\nEND_VAR\n"
        "IF go THEN on := NOT on; END_IF;\nEND_FUNCTION_BLOCK\n"
    )
    machine = Machine(counter + text_of("q := t.on;\nt(go := a);", "    t : toggle;\n"))
    assert [machine.scan({"a": True}, 0.0)["q"] for _ in range(4)] == [False, True, False, True]


def test_words_are_read_in_any_case_and_comments_are_skipped() -> None:
    machine = Machine(text_of("(* a := b; *) Q := (* here *) A and Not B;").replace("PROGRAM", "program"))
    assert machine.scan({"a": True}, 0.0) == {"q": True}


NAMES = ("a", "b")


def expressions() -> st.SearchStrategy[Expression]:
    leaves: st.SearchStrategy[Expression] = st.one_of(st.sampled_from(NAMES).map(Name), st.booleans().map(Const))

    def grow(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
        terms = st.lists(inner, min_size=2, max_size=3).map(tuple)
        return st.one_of(inner.map(Not), terms.map(And), terms.map(Or), terms.map(Xor))

    return st.recursive(leaves, grow, max_leaves=10)


@given(expressions(), st.booleans(), st.booleans())
@settings(max_examples=60, deadline=None)
def test_expressions_bind_as_the_rules_own_text_does(expression: Expression, a: bool, b: bool) -> None:
    machine = Machine(text_of(f"q := {expression};"))
    assert machine.scan({"a": a, "b": b}, 0.0)["q"] == evaluate(expression, {"a": a, "b": b}.__getitem__)


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ("q := c;", "'c' is not declared"),
        ("q := n;", "INT stands where BOOL is needed"),
        ("n := a;", "BOOL stands where INT is needed"),
        ("q := a = n;", "INT stands where BOOL is needed"),
        ("CASE a OF 0: n := 1; END_CASE;", "BOOL stands where INT is needed"),
        ("CASE n OF 0: n := 1; 0: n := 2; END_CASE;", "two branches of CASE for 0"),
        ("IF a THEN q := b;", "this is not Structured Text of the emitted kind"),
        ("q := a AND;", "this is not Structured Text of the emitted kind"),
        ("q = a;", "this is not Structured Text of the emitted kind"),
        ("n(x := a);", "'x' is no input of int"),
        ("t(IN := a); q := t;", "'t' is a block and has no value"),
        ("t(IN := a); q := t.no;", "'t.no' is no output"),
        ("t(CLK := a);", "'clk' is no input of ton"),
        ("t.Q := a;", "a block's variable is assigned from outside"),
    ],
)
def test_what_is_wrong_is_refused_with_its_line(body: str, what: str) -> None:
    with pytest.raises(InputError) as caught:
        Machine(text_of(body, "    n : INT;\n    t : TON;\n"), "x.st")
    (fault,) = caught.value.faults
    assert fault.what == what
    assert (fault.place.file, fault.place.line) == ("x.st", 14 if body.startswith("IF a THEN q := b;") else 13)


def test_a_block_must_stand_before_its_user_and_a_name_stands_once() -> None:
    with pytest.raises(InputError, match=r"^line 10: 'later' is no type known here$"):
        Machine(text_of("q := a;", "    t : later;\n"))
    with pytest.raises(InputError, match=r"'a' is declared twice"):
        Machine(text_of("q := a;", "    a : BOOL;\n"))
    with pytest.raises(InputError, match=r"^x.st: holds no program to run$"):
        Machine("", "x.st")


@given(st.text(alphabet="abIFTHEN :=;()*#T12\n", max_size=60))
@settings(max_examples=80, deadline=None)
def test_any_text_is_read_or_refused_and_never_a_crash(text: str) -> None:
    with suppress(InputError):
        read_units(text, "x.st")
