"""A story of the logic check as moments for the page: the same picture, step by step instead of in time."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from stockproof.flow.asked import PLACES
from stockproof.logic.story import Story
from stockproof.plant.model import Plant, ZoneKind
from stockproof.proof.rehearsal import Rehearsal, Scene, act_out, inside

__all__ = ["moments"]

#: An animal nearer than this to where one stood before is the same. [m]
SAME_M = 4.0
#: Animals shown waiting in the race, which a story has without end.
IN_THE_RACE = 2


def moments(rehearsal: Rehearsal, title: str, story: Story) -> list[dict[str, Any]]:
    """Give the moments of a story; the last one shows what must not happen."""
    staged = rehearsal.staged
    script = staged.script
    scenes = list(act_out(story, script.netlist, script.plant))
    known: dict[int, tuple[float, float]] = {}
    shown = []
    for k, scene in enumerate(scenes):
        animals: dict[str, list[Any]] = {}
        for x, y, heading, look in _animals(scene, rehearsal):
            number = _same(known, animals, (x, y))
            known[number] = (x, y)
            animals[str(number)] = [round(x, 2), round(y, 2), round(math.degrees(heading), 1), look]
        shown.append(_moment(scene, rehearsal, animals, k, len(scenes), title))
    return shown


def _animals(scene: Scene, rehearsal: Rehearsal) -> Iterator[tuple[float, float, float, str]]:
    """Where animals stand, from the front back: wholly in a zone, across a gateway, and waiting behind."""
    plant, places = rehearsal.staged.script.plant, rehearsal.places
    for zone in plant.zones:
        for order in range(scene.within.get(zone.name, 0) if _in_line(zone.kind) else 0):
            held = scene.neck and zone.kind == ZoneKind.CRUSH and order == 0
            yield (*places.stand(zone.name, order, held), "held" if held else "plain")
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
    scene: Scene, rehearsal: Rehearsal, animals: dict[str, Any], k: int, count: int, title: str
) -> dict[str, Any]:
    staged = rehearsal.staged
    script, names = staged.script, rehearsal.live.names
    parts = {motion.part for motion in script.plant.motions if motion.name in scene.driven}
    bad = k == count - 1
    return {
        "clock": f"{k + 1} / {count}",
        "past": False,
        "animals": animals,
        "walkers": [],
        "crew": list(_crew(scene, rehearsal)),
        "parts": [position / 2 for position in scene.parts],
        "moving": _bits([k in parts for k in range(len(script.plant.parts))]),
        "pressed": _bits([name in scene.pressed for name in names.controls]),
        "sensors": _bits(list(scene.sensors)),
        "lamps": _bits(list(scene.lamps)),
        "powered": True,
        "step": "",
        "refusals": [],
        "told": [
            ["", "danger" if bad and n == len(scene.said) - 1 else "story", words] for n, words in enumerate(scene.said)
        ],
        "tale": {"title": title, "said": list(scene.said), "step": k + 1, "of": count, "bad": bad},
    }


def _crew(scene: Scene, rehearsal: Rehearsal) -> Iterator[list[Any]]:
    """Those in a space where it is; the others where they stand at the start."""
    staged = rehearsal.staged
    in_spaces = list(scene.people)
    for person in staged.script.line.crew:
        if in_spaces:
            space = in_spaces.pop(0)
            at = inside(staged.lay, space)
            yield [round(at[0], 2), round(at[1], 2), "works", f"is in a space: {space}"]
        else:
            at = staged.lay.stands[person.home if person.home in PLACES else "yard"]
            yield [round(at[0], 2), round(at[1], 2), "stands", "stands by"]


def _bits(values: list[bool]) -> str:
    return "".join("1" if value else "0" for value in values)
