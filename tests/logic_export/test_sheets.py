"""Lists, charts, cards and acceptance steps: complete, true of the netlist, and readable."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from stockproof.logic import lower
from stockproof.logic.export.acceptance import factory_sheet, site_sheet
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.lists import addresses, io_table, matrix_table, timer_table, why_table
from stockproof.logic.export.matrix_sheet import matrix_drawings
from stockproof.logic.export.operator_card import operator_cards, reachable_steps, settings_of
from stockproof.logic.export.people import Program, settled
from stockproof.logic.export.rules import Rulebook
from stockproof.logic.export.sequence_chart import driven_in, sequence_drawings
from stockproof.logic.export.structured_text import code_of, structured_text
from stockproof.logic.export.trial import permit_attempts, stop_attempts, untried_permits
from stockproof.logic.faults import Fault, FaultKind
from stockproof.logic.findings import BOUNDS, Answer, Finding, Verification
from stockproof.logic.properties import Property
from stockproof.logic.relief import Relief
from stockproof.logic.scope import Rest, Scope
from stockproof.logic.story import Story
from stockproof.netlist import InputKind
from stockproof.netlist.expression import parse
from stockproof.scene import Circle, Text, TitleBlock, blemishes
from stockproof.scene.pages import Quantity, Steps, Table

from .builds import BRIEFS, BUILDS, build, program
from .engines import run_kernel
from .test_agreement import traced

TITLE = TitleBlock("", "a draft", "An invented farm")


@pytest.mark.parametrize("name", BUILDS)
def test_every_input_and_output_has_one_terminal_and_one_address(name: str) -> None:
    made = program(name)
    table = io_table(made)
    assert len(table.rows) == len(made.fields) + len(made.outputs)
    terminals = [row[0] for row in table.rows]
    assert len(set(terminals)) == len(terminals)
    assert all(terminals)
    assert len(set(addresses(made).values())) == len(terminals)
    known = {thing.terminal for thing in (*made.fields, *made.outputs) if thing.terminal}
    assert {row[0] for row in table.rows if row[1] == "catalogue"} == known


@pytest.mark.parametrize("name", BRIEFS)
def test_every_signal_of_a_catalogue_build_has_words(name: str) -> None:
    assert all(row[4] for row in io_table(program(name)).rows)


def test_timers_are_listed_with_their_times_and_places() -> None:
    rows = {row[0]: row for row in timer_table(program("dairy")).rows}
    assert rows["bail.slow"][2:4] == (Quantity(4.0, "duration", unit="s"), "T#4s")
    assert str(rows["bail.slow"][5]).startswith("fragments/head_bail.toml, line ")
    assert rows["control voltage"][2] == Quantity(24.0, "voltage")
    assert set(rows) == {t.name for t in program("dairy").netlist.timers} | {"scan interval", "control voltage"}


@pytest.mark.parametrize("name", BUILDS)
def test_the_table_of_why_names_every_permit_of_every_motion_with_what_it_rests_on(name: str) -> None:
    made = program(name)
    table = why_table(made)
    groups = [*table.groups, len(table.rows)]
    for k, motion in enumerate(made.assembly.motions):
        rows = table.rows[groups[k] : groups[k + 1]]
        assert made.terminals[motion.name][0] in str(rows[0][0])
        told = {row[0] for row in rows}
        assert {rule.because for rule in motion.permits} <= told
        seen = {row[2] for row in rows}
        for j in range(1, len(motion.permits) + 1):
            f = made.diagrams.of(made.netlist.names[f"{motion.name}.permit.{j}"])
            names = {made.variables[n] for n in made.diagrams.support(f) if n in made.variables}
            assert {made.terminals[n][0] for n in names if n in made.terminals} <= seen


def test_the_table_of_why_says_what_to_measure() -> None:
    made = program("dairy")
    table = why_table(made)
    at = next(k for k, row in enumerate(table.rows) if row[0] == "Bail closes (Q4)")
    rows = table.rows[at : at + 12]
    astride = next(row for row in rows if row[2] == "B27")
    assert astride[0] == "an animal's body stands in the bail"
    assert astride[3] == "0 V"
    assert "24 V" in str(astride[4])
    assert next(row for row in rows if row[2] == "S1:4")[3] == "24 V"
    assert next(row for row in rows if row[2] == "S1:3")[3] == "0 V"


def test_words_of_a_rule_read_as_a_sentence() -> None:
    made = program("dairy")
    said = made.words(parse("crush.occupied AND (entry.closed OR NOT bail.closed)"))
    assert said == "an animal is in the crush, and (entry gate is shut, or not (head bail is shut))"


def test_fixed_names_are_folded_away() -> None:
    expression = parse("a AND (b OR NOT c) OR d")
    assert settled(expression, {"b": True, "d": False}) == parse("a")
    assert settled(expression, {"d": True}) == parse("TRUE")
    assert settled(expression, {"a": False}) == parse("d")
    assert str(settled(parse("a XOR b"), {"a": True})) == "TRUE XOR b"


def test_the_matrix_table_has_every_cause_and_effect() -> None:
    made = program("dairy")
    table = matrix_table(made)
    assert [row[0] for row in table.rows] == [cause.name for cause in made.matrix.causes]
    assert [c.title for c in table.columns[3:]] == [effect.name for effect in made.matrix.effects]
    row = next(row for row in table.rows if row[0] == "bail.astride")
    assert row[2] == "B27"
    assert row[3 + [e.name for e in made.matrix.effects].index("bail.close")] == "S"


@pytest.mark.parametrize("name", BUILDS)
def test_drawings_are_readable_and_complete(name: str) -> None:
    made = program(name)
    drawings = (*sequence_drawings(made, TITLE, ("A draft.",)), *matrix_drawings(made, TITLE, ("A draft.",)))
    for drawing in drawings:
        assert blemishes(drawing) == ()
        assert "A draft." in drawing.sheet.notes
    charts = drawings[: len(made.netlist.charts)]
    for drawing, chart in zip(charts, made.netlist.charts, strict=True):
        words = [e.text for e in drawing.views[0].scene.entities if isinstance(e, Text)]
        numbers = [e.text for e in drawing.views[0].scene.entities if isinstance(e, Text) and e.align == "centre"]
        assert numbers == [str(k) for k in range(len(chart.steps))]
        assert "crush_relieved" in words
        assert not any(isinstance(e, Circle) for e in drawing.views[0].scene.entities)
    marks = [e for d in drawings[len(charts) :] for e in d.views[0].scene.entities if isinstance(e, Text)]
    wanted = sum(bool(mark) for row in made.matrix.marks for mark in row)
    assert sum(e.text in ("N", "S", "A", "H", "B") for e in marks) == wanted


def test_cards_reach_only_the_steps_their_switches_allow() -> None:
    made = program("dairy")
    (chart,) = made.netlist.charts
    steps = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    reached = {s.title: reachable_steps(made, chart, s) for s in settings_of(made)}
    assert reached["hold off, sort off"] == (0,)
    assert set(reached["hold on, sort on"]) == set(steps.values())
    assert steps["set"] not in reached["hold on, sort off"]
    assert steps["press"] not in reached["hold off, sort on"]
    assert steps["set"] in reached["hold off, sort on"]


@pytest.mark.parametrize("name", ["dairy", "feedlot", "hill", "maximal", "small"])
def test_no_run_reaches_a_step_its_card_does_not_show(name: str) -> None:
    """Long random runs with the switches as they happen to stand: the step after a scan is one of the card's."""
    made = program(name)
    netlist, trace, history = traced(name)
    allowed = {}
    for setting in settings_of(made):
        fixed = tuple(sorted(setting.nodes(made).items()))
        allowed[fixed] = {chart.name: reachable_steps(made, chart, setting) for chart in made.netlist.charts}
    switches = [node for node, _ in next(iter(allowed))]
    seen = 0
    for values, after in pairwise(history):
        fixed = tuple((node, values[node]) for node in sorted(switches))
        for chart in netlist.charts:
            if fixed in allowed and values[chart.enabled]:
                step = next(k for k, (_, _, node) in enumerate(chart.steps) if after[node])
                assert step in allowed[fixed][chart.name]
                seen += 1
    assert seen > 100
    assert len(trace) == len(history)


def test_a_card_tells_what_moves_by_itself_and_what_it_waits_for() -> None:
    made = program("dairy")
    (chart,) = made.netlist.charts
    step = {name: k for k, (name, _, _) in enumerate(chart.steps)}
    assert driven_in(made, chart, step["release"]) == [("bail.open", True), ("squeeze.out", True)]
    assert driven_in(made, chart, step["work"]) == []
    cards = operator_cards(made)
    assert [card.title for card in cards][1:5] == [
        "Hold on, sort on",
        "Hold on, sort off",
        "Hold off, sort on",
        "Hold off, sort off",
    ]
    (table,) = [part for part in cards[2].parts if isinstance(part, Table)]
    press = next(row for row in table.rows if row[0] == step["press"])
    assert press[2:] == ("squeeze moves in", f"to {step['work']} when the squeeze presses on the animal")


@pytest.mark.parametrize("name", BUILDS)
def test_every_permit_is_tried_and_the_steps_do_what_the_sheet_says(name: str) -> None:
    """Each step is run again, by the compiled scan and by the exported text: it moves, then it stops."""
    made = program(name)
    assert untried_permits(made) == ()
    attempts = [*permit_attempts(made), *stop_attempts(made)]
    assert len(stop_attempts(made)) >= len(made.netlist.motions)
    machine = Machine(structured_text(made.code))
    for one in attempts[:: max(1, len(attempts) // 12)]:
        trace = steps_of(made, one.button, dict(one.before), one.changed, not one.now(made, one.changed))
        assert [o[one.motion] for o in run_kernel(made.netlist, trace)[-2:]] == [True, False], one
        machine.restart()
        moved = [machine.scan({made.code.inputs[n]: v for n, v in change.items()}, now) for now, change in trace]
        assert [o[made.code.outputs[one.motion]] for o in moved[-2:]] == [True, False], one


def steps_of(
    made: Program, button: str, before: dict[str, bool], changed: str, value: bool
) -> list[tuple[float, dict[str, bool]]]:
    """Power on at rest, every reset pressed and let go, the button held, then the change."""
    buttons = {i.name for i in made.fields if i.kind == InputKind.MOMENTARY}
    rest = {i.name: i.name.endswith((".emergency_ok", "access.closed", "access_lock.closed")) for i in made.fields}
    rest |= {name: v for name, v in before.items() if name not in buttons}
    resets = [i.name for i in made.fields if i.name.endswith(".reset")]
    held = {button: True} | {name: True for name in before if name in buttons}
    changes = [rest, dict.fromkeys(resets, True), dict.fromkeys(resets, False), {}, held, {}, {changed: value}]
    return [(k * 0.02, change) for k, change in enumerate(changes)]


def test_a_missing_permit_is_noticed_by_the_trials() -> None:
    """With a permit taken out of the rules, no step of the sheet can show it any more."""
    assembly = build("dairy")
    found = {a.permit for a in permit_attempts(program("dairy"))}
    assert "bail.close.permit.2" in found
    motions = tuple(
        replace(m, permits=(m.permits[0], replace(m.permits[1], when=parse("TRUE")))) if m.name == "bail.close" else m
        for m in assembly.motions
    )
    weak = replace(assembly, motions=motions)
    netlist = lower(weak)
    made = Program(netlist, weak, code_of(netlist, weak), Rulebook(netlist, weak))
    assert untried_permits(made) == ("bail.close.permit.2",)
    assert "bail.close.permit.2" in str(factory_sheet(made).parts[-1])


def test_the_factory_sheet_covers_inputs_outputs_stops_and_timers() -> None:
    made = program("feedlot")
    tables = {part.name: part for part in factory_sheet(made).parts if isinstance(part, Table)}
    assert len(tables["works inputs"].rows) == len(made.fields)
    assert len(tables["works outputs"].rows) == len(made.netlist.motions) + len(made.netlist.lamps)
    assert len(tables["works timers"].rows) == len(made.netlist.timers)
    stops = [i.terminal for i in made.fields if i.name.endswith("emergency_ok")]
    for stop in stops:
        assert any(f"emergency stop at {stop}" in str(row[1]) for row in tables["works stops"].rows)


def test_the_site_sheet_tells_what_was_checked_and_the_stories() -> None:
    made = program("small")
    scope = Scope(frozenset(), frozenset(), frozenset(), neck=False, rest=Rest.ANY, requests=False, watch=False)
    held, known = (Property(c, f"It must not {c}.", "Because.", scope, (), lambda world: 0) for c in ("bite", "bolt"))
    story = Story(("Somebody waits.", "It bolts."), (), ())
    found = (Finding(held, Answer.HOLDS, 9, 0.0), Finding(known, Answer.REACHED, 9, 0.0, story))
    parts = site_sheet(made, Verification(found, ())).parts
    (table,) = [p for p in parts if isinstance(p, Table) and p.name == "site properties"]
    assert [row[1] for row in table.rows] == ["It must not bite.", "It must not bolt."]
    assert "not reached" in str(table.rows[0][2])
    assert BOUNDS in table.note
    assert "can happen" in str(table.rows[1][2])
    assert [p for p in parts if isinstance(p, Steps)] == [Steps("Known: It must not bolt.", story.sentences)]
    assert any("not checked" in str(part) for part in site_sheet(made).parts)


def test_the_site_sheet_tells_how_the_animal_is_freed_and_where_it_is_not() -> None:
    stuck = Fault(FaultKind.VALVE_DRIVES, "squeeze.in", "The valve sticks so that the squeeze moves in.")
    found = (
        Relief(None, 2, 3, "Press the stop and work the valves."),
        Relief(stuck, None, None, "Same.", "It sticks."),
    )
    parts = site_sheet(program("dairy"), relief=found).parts
    (table,) = [p for p in parts if isinstance(p, Table) and p.name == "site release"]
    assert "relieved after 2 and out after 3" in str(table.rows[-2][2])
    assert str(table.rows[-1][1]).startswith("With this fault: The valve sticks")
    assert str(table.rows[-1][2]).startswith("not met: It sticks.")
