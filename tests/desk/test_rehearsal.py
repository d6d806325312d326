"""A rehearsal as the page gets it: what is drawn is what the kernel and the netlist say, looked back on or acted in."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from typing import Any

import pytest
import shapely
import shapely.affinity

from stockproof.desk import rehearsing
from stockproof.desk.pages.rehearsal import _changed
from stockproof.desk.rehearsing import GONE, Begin, order
from stockproof.flow.live import Act, Live, Neck
from stockproof.netlist.model import InputKind
from stockproof.netlist.reference import evaluate_scan
from stockproof.proof.rehearsal import Cast, Rehearsal, stage
from stockproof.proof.rehearsal.lay import lay_of
from tests.desk.casts import BRIEFS, cast_on

HOLDS = "drench and weigh"


@pytest.fixture(scope="module")
def cast() -> Cast:
    """The dairy farm as it is proved."""
    return cast_on("dairy")


def begun(cast: Cast, key: str, programme: str = HOLDS) -> tuple[dict[str, Any], dict[str, Any]]:
    still, first = order(key, "begin", Begin(cast, programme))
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
    moves = ("animals", "past", "latest", "exact", "told", "crew")
    assert {k: v for k, v in again.items() if k not in moves} == {k: v for k, v in was.items() if k not in moves}
    assert again["past"]
    assert again["latest"] == pytest.approx(101.0)
    branched = order("back", "act", "turn", "side.emergency_ok", False)
    assert not branched["past"]
    assert branched["latest"] == pytest.approx(was["t"])


def test_a_rehearsal_that_was_dropped_is_played_again_from_its_acts(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To the very state: the acts are kept at the moments they were done, not rounded to what a clock shows."""
    monkeypatch.setattr(rehearsing, "MOST_KEPT", 1)
    rng = random.Random(9)
    begun(cast, "first")
    acts = []
    for on in (True, False) * 8:
        order("first", "go", rng.uniform(0.0, 7.0))
        was = order("first", "act", "press", "side.bail.open", on)
        acts.append(Act(was["exact"][0], "press", "side.bail.open", on))
    was = order("first", "go", 15.0)
    first = rehearsing._kept["first"].rehearsal.live.fingerprint()
    begun(cast, "other")
    assert order("first", "go", 1.0) == GONE
    _, again = order("first", "begin", Begin(cast, HOLDS, None, tuple(acts), was["exact"][1], was["exact"][0]))
    assert rehearsing._kept["first"].rehearsal.live.fingerprint() == first
    assert again["exact"] == was["exact"]


def test_a_rehearsal_is_opened_again_as_it_stands_and_looked_back_on_as_before(cast: Cast) -> None:
    still, _ = begun(cast, "reload")
    order("reload", "go", 33.0)
    was = order("reload", "act", "crew", "", False)
    again_still, again = order("reload", "open")
    assert again_still == still
    assert {**again, "told": []} == {**was, "told": []}
    looked = order("reload", "look", 12.5)
    acts = (Act(was["exact"][0], "crew", "", False),)
    _, played = order("reload", "begin", Begin(cast, HOLDS, None, acts, looked["exact"][1], looked["exact"][0]))
    moves = ("animals", "told", "crew")
    assert {k: v for k, v in played.items() if k not in moves} == {k: v for k, v in looked.items() if k not in moves}
    assert order("reload", "look", 33.0)["crewWorks"] is False


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


@pytest.mark.parametrize("name", BRIEFS)
def test_animals_before_the_crush_walk_by_the_mouth_and_over_no_fence(name: str) -> None:
    staged = stage(cast_on(name))
    rehearsal, lay = Rehearsal(staged), staged.lay
    race = shapely.LineString([lay.track.at(lay.race_m * k / 50 - 1.5)[:2] for k in range(51)]).buffer(lay.half_m)
    lane = shapely.LineString(lay.approach[:2]).buffer(2.5)
    ground = shapely.union_all([shapely.Polygon(lay.forcing).buffer(0.1), race, lane])
    seen = 0
    for _ in range(900):
        rehearsal.go(0.25)
        view = rehearsal.view()
        for drawn, animal in zip(view.drawn.animals, view.snapshot.animals, strict=True):
            if drawn.x < -2.0:
                seen += 1
                assert ground.contains(shapely.Point(drawn.x, drawn.y)), (view.snapshot.time_s, animal)
    assert seen > 500


@pytest.mark.parametrize("name", BRIEFS)
def test_animals_in_the_forcing_pen_stand_beside_one_another(name: str) -> None:
    staged = stage(cast_on(name))
    slots = Rehearsal(staged).places.forcing
    long, wide = staged.body
    bodies = [
        shapely.affinity.translate(
            shapely.affinity.rotate(
                shapely.box(-long / 2, -wide / 2, long / 2, wide / 2), turn, (0, 0), use_radians=True
            ),
            x,
            y,
        )
        for x, y, turn in slots
    ]
    assert len(slots) == staged.script.plant.zones[0].places
    assert all(shapely.Polygon(staged.lay.forcing).buffer(0.05).contains(body) for body in bodies)
    over = [a.intersection(b).area for k, a in enumerate(bodies) for b in bodies[:k]]
    assert max(over) < 0.35 * long * wide


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


@pytest.mark.parametrize("name", BRIEFS)
def test_the_crew_goes_on_with_the_switches_turned_in_any_way(name: str) -> None:
    """Turned at any moment, an animal in the crush or not; animals come through as long as anybody knows what to do."""
    rng = random.Random(name)
    cast = cast_on(name)
    for programme in cast.installation.brief.programmes:
        staged = stage(cast, programme)
        for hold, sort in ((True, True), (True, False), (False, True), (False, False)):
            live = Live(staged.script)
            live.advance(rng.uniform(100.0, 300.0))
            live.turn("side.hold", hold)
            live.turn("side.sort", sort)
            live.advance(live.now_s + 400.0)
            before = live.snapshot().through
            live.advance(live.now_s + 400.0)
            assert live.snapshot().through > before, (programme, hold, sort)
            assert (live.setting.hold, live.setting.sort) == (hold, sort)


def test_habits_for_other_settings_change_nothing_while_no_switch_is_turned(cast: Cast) -> None:
    script = stage(cast, HOLDS).script
    alone, all_of_them = Live(replace(script, others={})), Live(script)
    for live in (alone, all_of_them):
        live.advance(1200.0)
    assert list(alone.events) == list(all_of_them.events)
    assert alone.snapshot().animals == all_of_them.snapshot().animals


def test_an_animal_in_the_crush_is_let_through_by_hand_when_the_switch_is_turned_over_it(cast: Cast) -> None:
    live = Live(stage(cast, HOLDS).script)
    while not any(animal.neck == Neck.HELD for animal in live.snapshot().animals):
        live.to_next()
    live.turn("side.hold", False)
    live.turn("side.sort", True)
    live.advance(live.now_s + 120.0)
    told = [event.words for event in live.events]
    by_hand = next(k for k, words in enumerate(told) if "acts: let it out" in words)
    anew = next(k for k, words in enumerate(told) if k > by_hand and "acts: start the program" in words)
    assert not any("is caught" in words for words in told[anew:])


@pytest.mark.parametrize("seed", range(4))
def test_the_same_presses_at_the_same_times_give_the_same_run_in_any_stride(cast: Cast, seed: int) -> None:
    rng = random.Random(seed)
    staged = stage(cast, rng.choice(list(cast.installation.brief.programmes)))
    times = sorted(rng.uniform(0.0, 300.0) for _ in range(6))
    acts = [Act(at_s, "turn", rng.choice(("side.hold", "side.sort")), rng.random() < 0.5) for at_s in times]
    ends = set()
    for stride_s in (0.08, rng.uniform(0.5, 5.0), 1000.0):
        live = Live(staged.script)
        for act in acts:
            while live.now_s < act.time_s:
                live.advance(min(act.time_s, live.now_s + stride_s))
            live.act(act.verb, act.name, act.on)
        live.advance(400.0)
        ends.add(live.fingerprint())
    assert len(ends) == 1
