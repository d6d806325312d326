"""Stories of the logic check, acted out on the whole control that nobody told what the check found."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from stockproof.desk.telling import Tale, moments
from stockproof.errors import InputError
from stockproof.logic.faults import FaultKind, single_faults
from stockproof.logic.properties import Property, properties_of
from stockproof.logic.story import Step, Story
from stockproof.logic.verification import verify
from stockproof.plant.model import Effect, Plant, Position
from stockproof.proof.rehearsal import Rehearsal, Scene, act_out, fault_in, instead_of, same_fault, stage
from tests.desk.casts import BRIEFS, cast_on

#: One fault in so many is struck: a good sample, and minutes saved.
EVERY = {"hill": 5, "dairy": 3, "feedlot": 16}


@cache
def told_on(name: str) -> tuple[tuple[Property, Story], ...]:
    """Every story without a fault, and those of a sample of faults."""
    control = cast_on(name).control
    faults = [fault.name for fault in single_faults(control.netlist, control.plant)]
    found = verify(
        control.netlist,
        control.plant,
        strike=lambda fault: faults.index(fault.name) % EVERY[name] == 0 or fault.kind == FaultKind.RESTART,
        covers=False,
    )
    stated = {finding.property.code: finding.property for finding in found.findings}
    free = [(finding.property, finding.story) for finding in found.findings if finding.story is not None]
    return (*free, *((stated[code], story) for struck in found.faults for code, story in struck.dangerous))


@pytest.mark.parametrize("name", BRIEFS)
def test_every_story_is_acted_to_its_bad_end(name: str) -> None:
    control = cast_on(name).control
    kinds = set()
    for stated, story in told_on(name):
        scenes = act_out(story, stated, control.netlist, control.plant)
        assert [scene.not_acted for scene in scenes if scene.not_acted] == []
        assert scenes[-1].is_bad
        assert set(scenes[-1].driven) >= set(story.steps[-1].driven)
        assert _is_bad(stated.code, scenes[-1], story, control.plant), (stated.code, story.sentences)
        said = [words for scene in scenes for words in scene.said]
        assert [words for words in said if words in story.sentences] == list(story.sentences)
        fault = fault_in(story, control.netlist, control.plant)
        kinds.add(fault.kind if fault else None)
        assert scenes[-1].struck == (fault.sentence if fault else "")
    assert len(kinds) > 2


def _is_bad(code: str, end: Scene, story: Story, plant: Plant) -> bool:
    """The same said anew in plain words, from what is shown at the end alone."""
    kind, _, of = code.partition(".")
    moving = [m for m in plant.motions if m.name in end.driven and end.parts[m.part] != m.target]
    across = {p for b in plant.boundaries if b.name in end.astride for p, _ in b.needs}
    part = plant.part_at(of)
    if kind == "person_among_animals":
        space = next(space for space in plant.spaces if space.name == of)
        gates = {p for b in space.shut_out_by for p, _ in plant.boundaries[b].needs}
        opening = any(m.part in gates and m.target != Position.CLOSED for m in plant.motions if m.name in end.driven)
        return of in end.people and (opening or any(end.parts[p] != Position.CLOSED for p in gates))
    if kind in ("presses_in_reach", "opens_toward"):
        space = next(space for space in plant.spaces if space.name == of)
        effect = Effect.CLOSES_ON if kind == "presses_in_reach" else Effect.OPENS_TOWARD
        reaching = [plant.motions[m] for m in space.reached_by if plant.motions[m].effect == effect]
        return of in end.people and any(m in moving for m in reaching)
    if kind in ("closes_on_animal", "closes_on_trunk"):
        return part in across and any(m.part == part and m.effect == Effect.CLOSES_ON for m in moving)
    if kind == "moves_on_animal":
        touching = end.within.get("draft", 0) + sum("draft" in name for name in end.astride)
        return touching > 0 and any(m.part == part for m in moving)
    if kind == "lift_up":
        return end.parts[plant.part_at("lift")] != Position.OPEN and any(m.name == "bail.open" for m in moving)
    if kind in ("presses_on_down", "lets_in_on_down"):
        alone = [m for m in moving if m.name not in story.steps[-1].events]
        way_in = {p for b in plant.boundaries if b.target == plant.crush for p, _ in b.needs}
        lets_in = any(m.part in way_in and m.target == Position.OPEN for m in alone)
        presses = any(plant.parts[m.part].zone == plant.crush and m.effect == Effect.CLOSES_ON for m in alone)
        return end.down and (presses if kind == "presses_on_down" else lets_in)
    if kind == "two_as_one":
        return end.within.get("crush", 0) > 1
    if kind == "starts_by_itself":
        motions = {m.name for m in plant.motions}
        words = [[e.partition(".")[2] for e in step.events] for step in story.steps[-2:]]
        asked = [{w for w in each if w in motions or w in ("start", "done")} for each in words]
        changed = any(move.startswith("turn ") or move.endswith(" shuts") for move in story.steps[-2].moves)
        stopped = any(e.endswith("emergency_ok") for e in story.steps[-1].events)
        return of in end.driven and (changed or stopped or asked[-1] <= asked[0])
    assert kind == "moves_while_stopped", kind
    return bool(end.driven) and any(e.endswith("emergency_ok") for e in story.steps[-1].events)


@pytest.mark.parametrize("name", BRIEFS)
def test_on_a_whole_control_the_stories_of_faults_mostly_end_well(name: str) -> None:
    """What is acted is not what was found: it takes the fault for the bad end to come about."""
    control = cast_on(name).control
    ends = []
    for stated, story in told_on(name):
        fault = fault_in(story, control.netlist, control.plant)
        if fault is not None:
            steps = tuple(_whole(step, fault.sentence) for step in story.steps)
            end = act_out(replace(story, steps=steps), stated, control.netlist, control.plant)[-1]
            assert end.struck == ""
            ends.append(end.is_bad)
    assert ends
    assert sum(ends) < len(ends) / 4


def _whole(step: Step, sentence: str) -> Step:
    """A step in which nothing strikes."""
    moves = tuple(move for move in step.moves if move != "strike")
    return replace(step, moves=moves, said=tuple(words for words in step.said if words != sentence))


@pytest.mark.parametrize("name", BRIEFS)
def test_each_fault_is_the_same_in_the_running_rehearsal_or_it_is_said_what_to_do_instead(name: str) -> None:
    staged = stage(cast_on(name))
    for fault in single_faults(staged.script.netlist, staged.script.plant):
        same = same_fault(fault, staged.troubles)
        if fault.kind in (FaultKind.INTERMITTENT, FaultKind.RESTART):
            assert same is None
            assert "comes and goes" in instead_of(fault)
        else:
            assert same is not None
            assert same.target == fault.target


def test_a_story_is_shown_step_by_step_and_ends_badly() -> None:
    rehearsal = Rehearsal(stage(cast_on("dairy")))
    stated, story = next(each for each in told_on("dairy") if each[0].code == "presses_in_reach.side_reach")
    shown = moments(rehearsal, Tale("", stated.title, stated.code, story))
    assert [moment["tale"]["bad"] for moment in shown] == [False] * (len(shown) - 1) + [True]
    assert shown[-1]["crew"][0][2] == "harmed"
    assert "at the flank" in shown[-1]["crew"][0][3]
    assert shown[-1]["told"][-1][1] == "danger"
    squeeze = rehearsal.live.names.parts.index("squeeze")
    assert squeeze in shown[-1]["tale"]["parts"]
    assert not any(moment["tale"]["failed"] for moment in shown)


def test_a_story_under_a_fault_shows_it_and_how_to_strike_it_in_the_rehearsal() -> None:
    rehearsal = Rehearsal(stage(cast_on("hill")))
    netlist, plant = rehearsal.staged.script.netlist, rehearsal.staged.script.plant
    seen = set()
    for stated, story in told_on("hill"):
        fault = fault_in(story, netlist, plant)
        end = moments(rehearsal, Tale("", stated.title, stated.code, story))[-1]["tale"]
        if fault is None:
            assert end["fault"] is None
            continue
        assert end["fault"]["words"] == fault.sentence
        assert bool(end["fault"]["key"]) != bool(end["fault"]["instead"])
        if end["fault"]["key"] and fault.kind not in seen:
            seen.add(fault.kind)
            rehearsal.act("trouble", end["fault"]["key"], True)
            assert rehearsal.live.troubles[-1].target == fault.target
    assert seen


def test_what_cannot_be_acted_is_said_and_nothing_is_moved_for_it() -> None:
    """A story of another control: here the motion is not driven, so the part stays and what is named does not come."""
    rehearsal = Rehearsal(stage(cast_on("dairy")))
    stated, story = next(each for each in told_on("dairy") if each[0].code == "presses_in_reach.side_reach")
    first = story.steps[0]
    forced = type(first)((), ("bail.close", "sing"), (), ("The head bail closes.", "It sings."))
    steps = (forced, type(first)((), (), ()))
    shown = moments(rehearsal, Tale("", "", stated.code, Story(("It ends.",), steps, (0, 0), story.bits)))
    bail = rehearsal.live.names.parts.index("bail")
    assert {moment["parts"][bail] for moment in shown} == {rehearsal.staged.script.plant.parts[bail].rest / 2}
    told = " ".join(words for moment in shown for words in moment["tale"]["failed"])
    assert "could not be acted here: The head bail closes." in told
    assert "could not be acted here: It sings." in told
    assert "did not come about here: It ends." in told
    assert not shown[-1]["tale"]["bad"]
    with pytest.raises(InputError, match="another build"):
        moments(rehearsal, Tale("", "", "lift_up.bail", story))


def test_the_properties_a_story_is_asked_of_are_those_of_the_rehearsed_control() -> None:
    control = cast_on("dairy").control
    codes = {each.code for each in properties_of(control.netlist, control.plant)}
    assert {stated.code for stated, _ in told_on("dairy")} <= codes
