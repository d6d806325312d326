"""A story of the logic check as moments for the page: the same picture, step by step instead of in time."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from stockproof.errors import Fault, InputError
from stockproof.flow.asked import PLACES
from stockproof.logic.findings import Verification
from stockproof.logic.properties import Property, properties_of
from stockproof.logic.story import Story
from stockproof.plant.model import Plant, ZoneKind
from stockproof.proof.rehearsal import (
    Rehearsal,
    Scene,
    Staged,
    act_out,
    fault_in,
    inside,
    instead_of,
    same_fault,
)

__all__ = ["Tale", "moments", "tales_of"]

#: An animal nearer than this to where one stood before is the same. [m]
SAME_M = 4.0
#: Animals shown waiting in the race, which a story has without end.
IN_THE_RACE = 2


@dataclass(frozen=True, slots=True)
class Tale:
    """A story as the page offers it: under which fault, of which property, and what it names."""

    group: str
    title: str
    code: str
    story: Story


def tales_of(checked: Verification) -> Iterator[Tale]:
    """Give what can happen that must not: without a fault first, then under each fault.

    Of buttons that the control cannot tell apart one stands for all, and the story is told of that one.
    """
    for finding in checked.findings:
        if finding.story is not None:
            yield Tale("", finding.property.title, finding.property.code, finding.story)
    titles = {finding.property.code: finding.property.title for finding in checked.findings}
    told: set[tuple[str, tuple[str, ...]]] = set()
    for struck in checked.faults:
        for code, story in struck.dangerous:
            if (code, story.sentences) not in told:
                told.add((code, story.sentences))
                yield Tale(struck.fault.sentence, titles[code], code, story)


def moments(rehearsal: Rehearsal, tale: Tale) -> list[dict[str, Any]]:
    """Give the moments of a story; the last one shows what must not happen, or says that it did not come about.

    Raises
    ------
    InputError
        The story is of another control than the one rehearsed.
    """
    script = rehearsal.staged.script
    stated = {each.code: each for each in properties_of(script.netlist, script.plant)}
    if tale.code not in stated:
        raise InputError(Fault("this story is of another build than the one rehearsed", mend="begin anew"))
    scenes = act_out(tale.story, stated[tale.code], script.netlist, script.plant)
    known: dict[int, tuple[float, float]] = {}
    shown = []
    for k, scene in enumerate(scenes):
        animals: dict[str, list[Any]] = {}
        for x, y, heading, look in _animals(scene, rehearsal):
            number = _same(known, animals, (x, y))
            known[number] = (x, y)
            animals[str(number)] = [round(x, 2), round(y, 2), round(math.degrees(heading), 1), look]
        shown.append(_moment(scene, rehearsal, animals, (k, len(scenes)), tale, stated[tale.code]))
    return shown


def _animals(scene: Scene, rehearsal: Rehearsal) -> Iterator[tuple[float, float, float, str]]:
    """Where animals stand, from the front back: wholly in a zone, across a gateway, and waiting behind."""
    plant, places = rehearsal.staged.script.plant, rehearsal.places
    for zone in plant.zones:
        for order in range(scene.within.get(zone.name, 0) if _in_line(zone.kind) else 0):
            first = zone.kind == ZoneKind.CRUSH and order == 0
            held = scene.neck and first
            look = "down" if scene.down and first else "held" if held else "plain"
            yield (*places.stand(zone.name, order, held), look)
    for boundary in plant.boundaries:
        if boundary.name in scene.astride:
            yield (*places.across(plant.zones[boundary.source].name), "work")
    behind = _last_unbounded(plant, scene)
    for order in range(IN_THE_RACE if behind else 0):
        yield (*places.stand(behind, order), "plain")


def _in_line(kind: ZoneKind) -> bool:
    return kind in (ZoneKind.RACE, ZoneKind.CRUSH, ZoneKind.DRAFT)


def _last_unbounded(plant: Plant, scene: Scene) -> str:
    """The race zone nearest to the crush whose animals the story does not count."""
    free = [z.name for z in plant.zones if z.kind == ZoneKind.RACE and z.name not in scene.within]
    return free[-1] if free else ""


def _same(known: dict[int, tuple[float, float]], taken: dict[str, Any], at: tuple[float, float]) -> int:
    """The number of the nearest animal of the scene before, or a new one."""
    free = [(math.dist(at, was), number) for number, was in known.items() if str(number) not in taken]
    nearest = min(free, default=(math.inf, -1))
    return nearest[1] if nearest[0] < SAME_M else max(known, default=-1) + 1


def _moment(
    scene: Scene, rehearsal: Rehearsal, animals: dict[str, Any], step: tuple[int, int], tale: Tale, stated: Property
) -> dict[str, Any]:
    staged = rehearsal.staged
    script, names = staged.script, rehearsal.live.names
    parts = {motion.part for motion in script.plant.motions if motion.name in scene.driven}
    about = {tale.code.split(".")[1], *(stated.scope.parts or ())}
    k, count = step
    last = k == count - 1
    bad = last and scene.is_bad
    return {
        "clock": f"{k + 1} / {count}",
        "past": False,
        "animals": animals,
        "walkers": [],
        "crew": list(_crew(scene, rehearsal, bad)),
        "parts": [position / 2 for position in scene.parts],
        "moving": _bits([k in parts for k in range(len(script.plant.parts))]),
        "pressed": _bits([name in scene.pressed for name in names.controls]),
        "sensors": _bits(list(scene.sensors)),
        "lamps": _bits(list(scene.lamps)),
        "powered": True,
        "step": "",
        "refusals": [],
        "struck": [],
        "told": [
            ["", "danger" if bad and n == len(scene.said) - 1 else "story", words] for n, words in enumerate(scene.said)
        ],
        "tale": {
            "title": f"{tale.group} {tale.title}".strip(),
            "said": list(scene.said),
            "step": k + 1,
            "of": count,
            "bad": bad,
            "parts": [k for k in sorted(parts) if bad and script.plant.parts[k].name in about],
            "failed": [*(f"This could not be acted here: {words}" for words in scene.not_acted), *_missed(scene, last)],
            "fault": _fault(scene, tale.story, staged),
        },
    }


def _missed(scene: Scene, last: bool) -> Iterator[str]:
    if last and not scene.is_bad:
        yield f"What the story names did not come about here: {scene.said[-1]}"


def _fault(scene: Scene, story: Story, staged: Staged) -> dict[str, str] | None:
    """The fault that is there by now, how to strike it in the running rehearsal, or what to do instead."""
    script = staged.script
    fault = fault_in(story, script.netlist, script.plant)
    if fault is None or not scene.struck:
        return None
    same = same_fault(fault, staged.troubles)
    key, words = (f"{same.kind.name}:{same.target}", "") if same else ("", instead_of(fault))
    return {"words": fault.sentence, "key": key, "instead": words}


def _crew(scene: Scene, rehearsal: Rehearsal, bad: bool) -> Iterator[list[Any]]:
    """Those in a space where it is, somebody else of the yard where the crew does not suffice; others stand by."""
    staged = rehearsal.staged
    spaces = {space.name: space.label for space in staged.script.plant.spaces}
    homes = [person.home if person.home in PLACES else "yard" for person in staged.script.line.crew]
    for k in range(max(len(homes), len(scene.people))):
        if k < len(scene.people):
            at = inside(staged.lay, scene.people[k])
            yield [round(at[0], 2), round(at[1], 2), "harmed" if bad else "works", f"is {spaces[scene.people[k]]}"]
        else:
            at = staged.lay.stands[homes[k]]
            yield [round(at[0], 2), round(at[1], 2), "stands", "stands by"]


def _bits(values: list[bool]) -> str:
    return "".join("1" if value else "0" for value in values)
