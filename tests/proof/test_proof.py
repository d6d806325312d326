"""Rooms handed on to one another, and verdicts that fall when what they rest on is in doubt."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from stockproof.logic.settle import Settling
from stockproof.proof import QUICK, Proof, prove, read_installation
from stockproof.proof.judge import judge

BRIEF = Path(__file__).parents[2] / "examples" / "dairy" / "brief.toml"
ON_FLOW = {"rate", "days", "people", "payback"}


@pytest.fixture(scope="module")
def proof() -> Proof:
    return prove(read_installation(BRIEF), replace(QUICK, replications=12))


def _states(proof: Proof, agrees: bool) -> dict[str, set[str]]:
    worst = SimpleNamespace(motion="entry.open", law_s=1.3, replay_s=2.9, off_share=1.2)
    replayed = cast(Any, SimpleNamespace(agrees=agrees, worst_motion=worst))
    duties = {programme.name: replayed for programme in proof.rooms.brief.file.programme}
    verdicts = judge(replace(proof.rooms, duties=duties))
    doubted = [v.because for v in verdicts if "replay" in v.because]
    assert bool(doubted) != agrees
    assert all(
        "entry.open: 2.9 s instead of 1.3 s" in because.replace("\N{NO-BREAK SPACE}", " ") for because in doubted
    )
    return {kind: {v.state for v in verdicts if v.kind == kind} for kind in {v.kind for v in verdicts}}


def test_a_replay_that_agrees_changes_no_verdict(proof: Proof) -> None:
    assert _states(proof, True) == {
        v.kind: {other.state for other in proof.verdicts if other.kind == v.kind} for v in proof.verdicts
    }


def test_what_rests_on_flow_is_not_shown_where_the_replay_disagrees(proof: Proof) -> None:
    before, after = _states(proof, True), _states(proof, False)
    asked = ON_FLOW & set(before)
    assert asked >= {"rate", "days", "payback"}
    assert all(after[kind] == {"not shown"} for kind in asked)
    assert {kind: after[kind] for kind in after if kind not in asked} == {
        kind: before[kind] for kind in before if kind not in asked
    }


def test_the_yards_numbers_reach_flow_power_and_money(proof: Proof) -> None:
    rooms, numbers = proof.rooms, proof.rooms.numbers
    assert numbers is not None
    heads = dict(numbers.draft_places)
    # two ways: the pen beside the line takes the way on its side, the pen ahead the other way
    assert sorted(rooms.flows.given.draft_pen_places.values()) == sorted(heads.values())
    assert set(rooms.flows.given.draft_pen_places) == {"way_left", "way_right"}
    assert rooms.power.prepared.circuit.control_point_distance_m == numbers.pack_to_control_m
    notes = {row.what: row.note for row in rooms.price.scope}
    assert f"{dict(numbers.materials)['concrete']:.1f} m3 of concrete" in notes["Concrete"]
    assert rooms.ledger["yard.material.concrete"].value == dict(numbers.materials)["concrete"]


def test_the_class_card_shows_how_long_the_control_lets_a_part_take(proof: Proof) -> None:
    timers = {timer.name: timer.preset_s for timer in proof.rooms.control.netlist.timers}
    shown = {row.part: row.control_s for row in proof.rooms.power.card}
    assert shown["bail"] == timers["bail.slow"]


def test_flow_is_in_doubt_where_the_logic_is_not_shown_to_settle(proof: Proof) -> None:
    unsettled = replace(proof.rooms, settling=Settling(None, "something may still change after 12 scans"))
    states = {verdict.kind: verdict.state for verdict in judge(unsettled)}
    assert {states["rate"], states["days"], states["payback"]} == {"not shown"}
    assert states["price"] == "met"


def test_what_the_firm_supplies_of_the_yard_is_in_the_price_its_steps_and_the_outlay(tmp_path: Path) -> None:
    text = (BRIEF.parents[1] / "hill" / "brief.toml").read_text()
    text = text.replace('concrete = "customer"', 'concrete = "firm"\nsteelwork = "firm"').replace(
        '"../firm/', f'"{BRIEF.parents[1]}/firm/'
    )
    (tmp_path / "brief.toml").write_text(text)
    (tmp_path / "weaner_weights.csv").write_bytes((BRIEF.parents[1] / "hill" / "weaner_weights.csv").read_bytes())
    rooms = prove(read_installation(tmp_path / "brief.toml"), replace(QUICK, replications=2)).rooms
    steps = [figure for figure in rooms.ledger if figure.name.startswith("money.price.step.")]
    yard = rooms.ledger["money.price.step.materials"].value
    assert yard > 10_000
    assert sum(figure.value for figure in steps) == pytest.approx(rooms.price.total)
    assert rooms.ledger["money.price.total"].value == pytest.approx(rooms.price.total)
    assert rooms.budget.cash is not None
    assert -rooms.budget.cash.appraisal.central.flows[0] > yard + rooms.ledger["money.price.step.items"].value - 1
