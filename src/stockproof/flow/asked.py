"""What one programme asks of an installation: its mob, people, tasks and switches, and the assumptions it rests on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stockproof.brief import Person as BriefPerson
from stockproof.brief import Programme
from stockproof.errors import Fault, InputError
from stockproof.flow.assumptions import chosen
from stockproof.flow.model import (
    Law,
    lognormal,
)
from stockproof.herd import MobSizes, mob
from stockproof.installation import Installation
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant, ZoneKind

__all__ = ["ENDLESS", "PLACES", "ROUND", "YARD", "Asked", "Given", "batch_head", "full_pen_head"]

#: Places people stand at, in the order of the line; a brief's own words.
PLACES = ("yard", "forcing_pen", "race", "crush_rear", "crush_side", "crush_front", "draft")
YARD, ROUND = "yard", "round"
#: An end that holds whatever comes.
ENDLESS = 1_000_000


@dataclass(frozen=True, slots=True)
class Given:
    """What other rooms know better than an assumption does.

    Parameters
    ----------
    distances_m : mapping of (place, place) to m
        Walks between the places of `PLACES`, by the way people go (yard).
    draft_pen_places : mapping of zone name to head
        How many each draft pen holds (yard).
    batch_head : int
        Head brought into the forcing pen at a time (yard); 0 where no layout tells.
    settle : Law or None
        Time until the weight has settled (drafting). [s]
    assumed : mapping of str to float
        Changes to the assumptions, by name.
    """

    distances_m: Mapping[tuple[str, str], float] = field(default_factory=dict)
    draft_pen_places: Mapping[str, int] = field(default_factory=dict)
    batch_head: int = 0
    settle: Law | None = None
    assumed: Mapping[str, float] = field(default_factory=dict)


def batch_head(given: Given, plant: Plant) -> int:
    """Give the head brought into the forcing pen at a time: the yard's, else what fills the race and the pen takes."""
    race = sum(zone.places for zone in plant.zones if zone.kind == ZoneKind.RACE)
    return given.batch_head or min(plant.zones[0].places, race)


def full_pen_head(given: Given, plant: Plant) -> int:
    """Give the head that fills the whole forcing pen; the plant's places are for the share that ought to be filled."""
    return math.floor(plant.zones[0].places / chosen(given.assumed)["flow.pen.fill"] + 1e-9)


class Asked:
    """One programme on one installation, with what is chosen about it."""

    def __init__(
        self,
        installation: Installation,
        programme: Programme,
        netlist: Netlist,
        plant: Plant,
        given: Given,
        crew: Sequence[str] | None,
        hold: bool | None,
        sort: bool | None,
        by_hand: bool,
        motion_s: Mapping[str, float],
    ) -> None:
        self.installation, self.programme = installation, programme
        self.netlist, self.plant, self.given = netlist, plant, given
        self.sort_asked = sort
        self.hold = programme.hold if hold is None else hold
        self.sort = programme.sort if sort is None else sort
        self.by_hand = by_hand
        self.value = chosen(given.assumed)
        self.mob: MobSizes = mob(installation.brief, programme.mob)
        self.people: list[BriefPerson] = [
            installation.brief.people[name] for name in (programme.crew if crew is None else crew)
        ]
        self.zone_names = [zone.name for zone in plant.zones]
        self.tasks = [installation.brief.tasks[code] for code in self._task_codes()]
        self.motion_s = {motion.name: motion.time_s for motion in plant.motions} | dict(motion_s)
        self.controls = {e.name for e in netlist.inputs if e.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED)}
        self.ways = [zone.name for zone in plant.zones if zone.kind == ZoneKind.WAY]
        self.sorting = self.sort and len(self.ways) > 1

    def _task_codes(self) -> list[str]:
        """The programme's tasks; a platform weighs whoever stands on it, asked or not, before a way is set."""
        sorts = self.programme.sort if self.sort_asked is None else self.sort_asked
        weighs = sorts and self.plant.weighed_zone >= 0 and "weigh" not in self.programme.tasks
        return [*self.programme.tasks, *(("weigh",) if weighs else ())]

    def _has_switches(self) -> bool:
        return any(name.endswith((".hold", ".sort")) for name in self.controls)

    def _before_crush(self) -> str:
        return self.zone_names[self.plant.crush - 1]

    def _may_stand(self, place: str, skill: str) -> bool:
        return any(skill in person.skills and place in person.places for person in self.people)

    def _pen_places(self, name: str) -> int:
        if len(self.ways) < 2:
            return ENDLESS
        places = self.given.draft_pen_places.get(name, round(self.value["flow.draft_pen.places"]))
        if places < 1:
            raise InputError(Fault(f"the draft pen {name} holds no animal", mend="give the pen more ground in [yard]"))
        return places

    def _factor(self, law: Law, name: str) -> Law:
        return Law(law.kind, law.a, law.b, law.count, law.values, name)

    def _reaction(self) -> Law:
        law = lognormal(self.value["flow.operator.reaction"], self.value["flow.operator.spread"])
        return self._factor(law, "reaction")
