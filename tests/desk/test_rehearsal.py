"""A rehearsal as the page gets it: what is drawn is what the kernel and the netlist say, looked back on or acted in."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stockproof import flow, power, yard
from stockproof.brief import read_brief
from stockproof.catalogue.reader import read_catalogue
from stockproof.desk import rehearsing
from stockproof.desk.pages.rehearsal import _changed
from stockproof.desk.rehearsing import GONE, Begin, order
from stockproof.desk.telling import moments
from stockproof.flow.live import Act
from stockproof.installation import install
from stockproof.logic.verification import verify
from stockproof.netlist.model import InputKind
from stockproof.netlist.reference import evaluate_scan
from stockproof.proof.alternatives import flow_machine
from stockproof.proof.machine import assemble, circuit_on, draft_pen_places, walking_distances
from stockproof.proof.rehearsal import Cast, Rehearsal, act_out, stage
from stockproof.proof.rehearsal.lay import lay_of

HOLDS = "drench and weigh"


@pytest.fixture(scope="module")
def cast() -> Cast:
    """The dairy farm as it is proved."""
    brief = read_brief(Path("examples/dairy/brief.toml"))
    installation = install(brief, read_catalogue(Path("examples/firm/catalogue.toml")))
    layout = yard.lay_out(yard.ask(installation))
    numbers = yard.quantities(layout)
    control = assemble(installation, numbers)
    laws = power.laws(power.prepare(circuit_on(installation, numbers)))
    given = flow.Given(walking_distances(numbers), draft_pen_places(numbers, control.plant))
    return Cast(installation, control, layout, flow_machine(control, laws), given)


@pytest.fixture(scope="module")
def rehearsal(cast: Cast) -> Rehearsal:
    return Rehearsal(stage(cast, HOLDS))


def begun(cast: Cast, key: str, programme: str = HOLDS) -> tuple[dict[str, Any], dict[str, Any]]:
    still, first = order(key, "begin", Begin(cast, programme, None, None, None))
    assert isinstance(still, dict)
    assert isinstance(first, dict)
    return still, first


def test_random_presses_show_what_the_plain_scan_of_the_netlist_gives(cast: Cast) -> None:
    """Lamps, parts that are driven and reasons for refusals, as the page gets them, against the reference."""
    rng = random.Random(5)
    still, moment = begun(cast, "presses")
    netlist, plant = cast.control.netlist, cast.control.plant
    rehearsal = Rehearsal(stage(cast, HOLDS))
    buttons = [b for panel in still["panels"] for row in panel["rows"] for b in row["buttons"] if not b["switch"]]
    sensors = [i for i in netlist.inputs if i.kind == InputKind.SENSOR]
    refused = 0
    for _ in range(120):
        button = rng.choice(buttons)["name"]
        ways: list[tuple[Any, ...]] = [("go", rng.uniform(0.0, 4.0)), ("act", "press", button, True)]
        for way in (*ways, ("act", "press", button, False)):
            moment = order("presses", *way)
            getattr(rehearsal, way[0])(*way[1:])
            live = rehearsal.live
            memory = {m.name: live.values()[m.node] for m in netlist.memories}
            inputs = {i.name: live.values()[i.node] for i in netlist.inputs}
            values, after = evaluate_scan(netlist, inputs, memory)
            assert after == memory
            assert moment["lamps"] == "".join(str(int(values[lamp.node])) for lamp in netlist.lamps)
            assert moment["sensors"] == "".join(str(int(values[i.node])) for i in sensors)
            shown = {r["motion"] for r in moment["refusals"]}
            asked = {m.name for m in netlist.motions if values[m.request] and not values[m.node]}
            assert asked <= shown
            for refusal in moment["refusals"]:
                _explained(refusal, cast, values)
            refused += len(asked)
            driven = {motion.part for motion in plant.motions if values[_node(netlist, motion.name)]}
            assert {k for k, bit in enumerate(moment["moving"]) if bit == "1"} <= driven | _by_hand(live)
    assert refused > 20


def _node(netlist: Any, name: str) -> int:
    return next(int(m.node) for m in netlist.motions if m.name == name)


def _by_hand(live: Any) -> set[int]:
    """Parts somebody pushes by hand, and those that go on by themselves."""
    return {k for k, part in enumerate(live.snapshot().parts) if part.moving and part.motion < 0}


def _explained(refusal: dict[str, Any], cast: Cast, values: list[bool]) -> None:
    """Every permit that is false is among the reasons, in its author's words, and no other."""
    motion = next(m for m in cast.control.assembly.motions if m.name == refusal["motion"])
    names = cast.control.netlist.names
    false = [r.because for k, r in enumerate(motion.permits, 1) if not values[names[f"{motion.name}.permit.{k}"]]]
    told = [why for why in refusal["why"] if why in {rule.because for rule in motion.permits}]
    assert told == list(dict.fromkeys(false))
    assert refusal["why"]


def test_a_moment_looked_back_on_is_the_moment_that_was(cast: Cast) -> None:
    begun(cast, "back")
    order("back", "go", 40.0)
    order("back", "act", "press", "side.squeeze.in", True)
    order("back", "go", 1.0)
    was = order("back", "act", "press", "side.squeeze.in", False)
    order("back", "go", 60.0)
    again = order("back", "look", was["t"])
    moves = ("animals", "past", "latest", "told", "crew")
    assert {k: v for k, v in again.items() if k not in moves} == {k: v for k, v in was.items() if k not in moves}
    assert again["past"]
    assert again["latest"] == pytest.approx(101.0)
    branched = order("back", "act", "turn", "side.emergency_ok", False)
    assert not branched["past"]
    assert branched["latest"] == pytest.approx(was["t"])


def test_a_rehearsal_that_was_dropped_is_played_again_from_its_acts(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rehearsing, "MOST_KEPT", 1)
    begun(cast, "first")
    order("first", "go", 30.0)
    order("first", "act", "crew", "", False)
    was = order("first", "go", 15.0)
    begun(cast, "other")
    assert order("first", "go", 1.0) == GONE
    _, again = order("first", "begin", Begin(cast, HOLDS, None, None, None, (Act(30.0, "crew", "", False),), was["t"]))
    assert again["sensors"] == was["sensors"]
    assert again["parts"] == was["parts"]
    assert set(again["animals"]) == set(was["animals"])
    assert not again["crewWorks"]


def test_only_what_has_changed_is_sent_and_it_adds_up(cast: Cast) -> None:
    _, moment = begun(cast, "deltas")
    held: dict[str, Any] = dict(moment)
    sent = 0
    for _ in range(400):
        moment = order("deltas", "go", 0.08)
        change = _changed({**held, "told": []}, moment)
        sent += len(json.dumps(change))
        animals = {**held["animals"], **change.pop("animals", {})}
        held = {**held, **change, "animals": {k: v for k, v in animals.items() if v is not None}}
        assert {k: v for k, v in held.items() if k != "told"} == {k: v for k, v in moment.items() if k != "told"}
    assert sent / 400 < 400


def test_every_animal_is_drawn_once_and_walks_no_faster_than_an_animal(cast: Cast) -> None:
    still, moment = begun(cast, "walks")
    left, top, across, down = still["sights"]["yard"]
    before: dict[str, Any] = {}
    for _ in range(1500):
        moment = order("walks", "go", 0.2)
        drawn = len(moment["animals"]) + len(moment["walkers"]) + moment["waiting"] + sum(moment["penned"])
        assert drawn == still["head"]
        for number, (x, y, _, _) in moment["animals"].items():
            assert left <= x <= left + across
            assert top <= y <= top + down
            if number in before:
                assert abs(complex(x, y) - complex(*before[number][:2])) < 0.2 * 3.5
        before = moment["animals"]
    assert moment["through"] > 5


def test_a_slide_gate_without_a_place_stands_a_body_behind_the_one_before_it(cast: Cast) -> None:
    lay = replace(lay_of(cast.yard, cast.control.plant), race_m=8.0, slides=(5.5,), body=(2.0, 0.6))
    assert [lay.gate_m(name) for name in ("entry", "slide", "slide2", "slide3")] == [8.0, 5.5, 3.5, 1.5]
    assert replace(lay, slides=()).gate_m("slide") == 6.0


def test_without_a_layout_the_line_is_drawn_straight_and_runs_all_the_same(cast: Cast) -> None:
    still, first = begun(replace(cast, yard=None), "plain")
    with_yard = begun(cast, "on the yard")[1]
    assert not still["plan"]
    assert len(still["pens"]) == 2
    later, on_the_yard = order("plain", "go", 120.0), order("on the yard", "go", 120.0)
    assert later["parts"] == on_the_yard["parts"]
    assert later["sensors"] == on_the_yard["sensors"]
    assert first["lamps"] == with_yard["lamps"]
    assert all(y == pytest.approx(0.0, abs=5.0) for _, y, _, _ in later["animals"].values())


def test_the_netlist_drives_in_a_story_what_the_check_said_it_drives(cast: Cast) -> None:
    """The story is acted out on the whole control, which nobody told what the checker found."""
    control = cast.control
    found = verify(control.netlist, control.plant, faults=False, codes=["opens_toward.side_reach"])
    (finding,) = found.findings
    assert finding.story is not None
    scenes = list(act_out(finding.story, control.netlist, control.plant))
    assert [set(scene.driven) for scene in scenes][-1] == set(finding.story.steps[-1].driven)
    assert scenes[-1].people == ("side_reach",)
    assert [words for scene in scenes for words in scene.said] == list(finding.story.sentences)


def test_a_story_is_shown_step_by_step_and_ends_badly(cast: Cast, rehearsal: Rehearsal) -> None:
    control = cast.control
    found = verify(control.netlist, control.plant, faults=False, codes=["presses_in_reach.side_reach"])
    story = found.findings[0].story
    assert story is not None
    shown = moments(rehearsal, found.findings[0].property.title, story)
    assert [moment["tale"]["bad"] for moment in shown] == [False] * (len(shown) - 1) + [True]
    assert any("side_reach" in person[3] for person in shown[-1]["crew"])
    assert shown[-1]["told"][-1][1] == "danger"
