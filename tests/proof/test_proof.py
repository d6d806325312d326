"""Rooms handed on to one another, and verdicts that fall when what they rest on is in doubt."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from stockproof.brief.promises import People, Rate
from stockproof.fit.findings import finding
from stockproof.flow import Interval, Unwatched, Variant
from stockproof.flow.model import constant
from stockproof.logic.settle import Settling
from stockproof.proof import QUICK, Proof, prove, read_installation
from stockproof.proof.alone import alone_with_cattle, left_alone
from stockproof.proof.judge import judge
from stockproof.proof.judges.flows import _helps
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms

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


def _of_flow(rooms: Rooms) -> list[tuple[str, str]]:
    return [(v.state, v.because) for v in judge(rooms) if v.kind in {"rate", "days", "people"}]


def test_a_rate_is_not_shown_without_a_yard_or_where_too_few_of_the_mob_fit(proof: Proof) -> None:
    rooms = proof.rooms
    assert {state for state, _ in _of_flow(rooms)} <= {"met", "not met"}
    for state, because in _of_flow(replace(rooms, yard=None, no_yard="no layout fits")):
        assert state == "not shown"
        assert because.endswith("no layout fits")
    small = replace(rooms.fit, mobs=tuple(replace(mob, share=0.3) for mob in rooms.fit.mobs))
    for state, because in _of_flow(replace(rooms, fit=small)):
        assert state == "not shown"
        assert because.startswith("only 30% of")


def test_a_rate_is_not_met_where_the_work_cannot_be_done_and_says_who_is_left_out(proof: Proof) -> None:
    rooms = proof.rooms
    lack = finding("nobody_moves_stock", "any", "nobody may stand in the forcing pen")
    tasks = tuple(replace(row, lacks=(lack,)) for row in rooms.fit.tasks)
    for state, because in _of_flow(replace(rooms, fit=replace(rooms.fit, tasks=tasks))):
        assert state == "not met"
        assert because.endswith("nobody may stand in the forcing pen")
    assert any("do not fit everywhere are run like the rest" in because for _, because in _of_flow(rooms))


def test_who_works_alone_is_said_with_the_rate_and_beside_the_answers(proof: Proof) -> None:
    rooms = proof.rooms
    assert not list(left_alone(rooms))
    programme = next(promise.programme for promise in rooms.brief.promises if isinstance(promise, Rate))
    study = rooms.flows.studies[programme, rooms.brief.programmes[programme].crew]
    one = replace(rooms.flows, studies={**rooms.flows.studies, (programme, ("manager",)): study})
    words = alone_with_cattle(replace(rooms, flows=one), programme, ("manager",))
    brought = int(words.split(" on foot ")[1].split()[0])
    assert brought >= study.result.line.mob.head // rooms.ledger["yard.batch_head"].value
    held = {"drench and weigh": Unwatched(200, 17, 171.0, 30.0)}
    said = list(left_alone(replace(rooms, flows=one, unwatched=held)))
    assert [
        text.startswith(start)
        for text, start in zip(said, (words, "In a round of drench and weigh 17 of 200"), strict=True)
    ]
    people = replace(rooms.flows, people={People.model_construct(programme=programme): ("manager",)})
    assert len(list(left_alone(replace(rooms, flows=people)))) == 1


def test_the_batch_of_the_yard_is_the_batch_of_every_run(proof: Proof) -> None:
    rooms = proof.rooms
    for study in rooms.flows.studies.values():
        bring = next(job for job in study.result.line.jobs if job.kind == "bring")
        assert bring.batch == constant(rooms.ledger["yard.batch_head"].value)
        pen = study.result.line.zones[1]
        assert pen.nominal == rooms.numbers.forcing_head  # type: ignore[union-attr]
        assert pen.places == 2 * pen.nominal  # half filled, as the guide says


def test_a_mend_that_does_not_reach_what_is_asked_says_so() -> None:
    gain = Interval(0.01, 0.008, 0.012, 0.9)
    variant = Variant("v", "a wider gate", None, None, gain)
    study = cast(Any, SimpleNamespace(variants=(variant,), mean=Interval(0.05, 0.049, 0.051, 0.9)))
    near, far = (Measure("", asked, 0.05, "head rate", "more", "") for asked in (0.055, 0.08))
    assert _helps(study, near) == "a wider gate, which brings 36 head an hour more"
    assert _helps(study, far).endswith("and does not reach what is asked")
    days = Measure("", 1.0, 1.1, "", "less", "")
    assert not _helps(study, days).endswith("asked")  # 1.1 / (0.06 / 0.05) = 0.92 days
    assert _helps(study, replace(days, found=1.3)).endswith("asked")  # 1.08 days


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
