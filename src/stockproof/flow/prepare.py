"""Turns an installation and one of its programmes into the line the kernel runs.

What is in the brief, catalogue and herd table is read here; what nobody stated comes from `assumptions`. The gates
on the way, what sensors see and what gates do are the plant's and are not said again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from stockproof.brief import Person as BriefPerson
from stockproof.brief import Programme
from stockproof.catalogue.items import ControlPoint
from stockproof.errors import Fault, InputError, Place
from stockproof.flow.asked import PLACES, Given
from stockproof.flow.duties import Duties
from stockproof.flow.habits import Habits
from stockproof.flow.model import (
    Break,
    Line,
    Mob,
    Person,
    Uncertain,
    lognormal,
)
from stockproof.flow.way import Way
from stockproof.herd import parting
from stockproof.installation import Installation
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["LONGEST_ROUND_S", "Given", "prepare"]

#: A round that has not ended after so long never will. [s]
LONGEST_ROUND_S = 60 * 3600.0


def prepare(
    installation: Installation,
    programme: Programme,
    netlist: Netlist,
    plant: Plant,
    given: Given | None = None,
    *,
    crew: Sequence[str] | None = None,
    hold: bool | None = None,
    sort: bool | None = None,
    by_hand: bool = False,
    motion_s: Mapping[str, float] | None = None,
) -> Line:
    """Give the line of one programme.

    Parameters
    ----------
    netlist, plant : Netlist, Plant
        The control program and plant of this installation.
    given : Given or None
        What other rooms know.
    crew : sequence of str or None
        Names of the people working, instead of the programme's.
    hold, sort : bool or None
        The two switches, instead of the programme's.
    by_hand : bool
        Both switches stand off and the operator works every motion; animals are held and sorted all the same.
    motion_s : mapping of str to float or None
        Time of each motion at a full store, instead of the plant's catalogue times.

    Raises
    ------
    InputError
        Nobody of the crew can do what the programme asks, or there is no crush, bail or entry gate.
    """
    job = _Job(installation, programme, netlist, plant, given or Given(), crew, hold, sort, by_hand, motion_s or {})
    return job.line()


class _Job(Way, Duties):
    """One line being put together."""

    def line(self) -> Line:
        self._refuse_unable()
        tasks = tuple(self._tasks())
        habits = Habits(
            self.netlist,
            self.plant,
            hold=self.hold,
            sort=self.sorting,
            program=not self.by_hand and self._has_switches(),
            ways=tuple(self.ways),
            before=self._before_crush(),
            reaction=self._reaction(),
            catching=self._factor(
                lognormal(self.value["flow.catch.reaction"], self.value["flow.catch.reaction_spread"]), "reaction"
            ),
            hand_part_s=self.value["flow.hand.part"],
            points=tuple(self._points()),
            raised=tuple(task.code for task in self.tasks if task.restraint == "head_raised"),
            rear=tuple(task.name for task in tasks if task.space == "rear"),
        )
        return Line(
            zones=tuple(self._zones()),
            passages=tuple(self._passages()),
            mob=self._mob(),
            tasks=tasks,
            crew=tuple(Person(p.name, tuple(p.skills), p.places[0], self._stands(p)) for p in self.people),
            presses=tuple(habits.presses()),
            jobs=tuple(self._jobs()),
            breaks=tuple(self._breaks()),
            uncertain=tuple(self._uncertain()),
            places=PLACES,
            distances_m=self._distances(),
            walking_m_per_s=self.value["flow.people.walking"],
            decides_in="crush" if self.sorting else "",
            switched_on=tuple(habits.switched_on()),
        )

    def _breaks(self) -> Iterable[Break]:
        """The breaks of every day a round can last."""
        day_s = self.programme.day_s
        for day in range(math.ceil(LONGEST_ROUND_S / day_s)):
            for pause in self.programme.breaks:
                yield Break(day * day_s + pause.after_s, pause.lasts_s)

    def _refuse_unable(self) -> None:
        faults = []
        place = Place(self.installation.brief.toml.name, key=f"programme {self.programme.name!r}")
        for task in self.tasks:
            able = [p.name for p in self.people if task.skill in p.skills and task.place in p.places]
            if task.skill != "none" and not able:
                faults.append(
                    Fault(
                        f"nobody of the crew ({', '.join(p.name for p in self.people)}) has the skill "
                        f"{task.skill!r} and may stand at {task.place!r}, so {task.label.lower()!r} cannot be done",
                        place,
                        mend="add such a person to the crew, or let one of them stand there",
                    )
                )
        for skill, what in (("stock", "bring the animals"), ("controls", "work the controls")):
            if not any(skill in p.skills for p in self.people):
                faults.append(
                    Fault(f"nobody of the crew can {what} (skill {skill!r})", place, mend="add such a person")
                )
        if self.plant.crush < 0 or self.plant.part_at("bail") < 0:
            faults.append(Fault("the build has no crush with a head bail", place, mend="add them under [build.items]"))
        if faults:
            raise InputError(faults)

    def _points(self) -> Iterable[tuple[str, str]]:
        """Control points somebody of the crew can work, the one carried along first."""
        styles = {"hand_held_remote": "", "side_panel": "crush_side", "front_panel": "crush_front"}
        points = self.installation.items(ControlPoint)
        for style, place in styles.items():
            able = not place or self._may_stand(place, "controls")
            for point in points if able else ():
                if point.style == style:
                    yield from dict.fromkeys((s.name.split(".")[0], place) for s in point.signal if s.kind == "control")

    def _mob(self) -> Mob:
        head = max(1, round(self.mob.head * self.programme.share))
        return Mob(
            head,
            pace=lognormal(1.0, self.value["flow.animal.spread"]),
            balk_persistence=self.value["flow.balk.persistence"],
            balk_animal=self.value["flow.balk.own"],
            balk_day=self.value["flow.balk.day"],
            ways=self._way_shares(),
            down_share=self.value["flow.down.share"] if self.hold else 0.0,
            down_after=lognormal(6.0, 0.5),
        )

    def _way_shares(self) -> tuple[float, ...]:
        """Share of the animals for each way, from the left; all go the first where nothing is sorted."""
        ways, brief = len(self.ways), self.installation.brief
        if ways < 2:
            return ()
        if not self.sorting:
            return (1.0,) + (0.0,) * (ways - 1)
        return parting(brief, self.programme, ways, brief.file.yard.draft_shares).shares

    def _stands(self, person: BriefPerson) -> tuple[str, ...]:
        """Where somebody may stand; they go to a job's place too where nobody else of the crew with the skill may."""
        jobs = [(place, "stock") for place in ("yard", "forcing_pen", "race", "draft")] + [("crush_side", "controls")]
        alone = [place for place, skill in jobs if skill in person.skills and not self._may_stand(place, skill)]
        return tuple(dict.fromkeys((*person.places, *alone)))

    def _uncertain(self) -> Iterable[Uncertain]:
        for name, key in (
            ("task times", "flow.task.uncertain"),
            ("animal pace", "flow.animal.uncertain"),
            ("balk wait", "flow.animal.uncertain"),
            ("bringing", "flow.bring.uncertain"),
            ("reaction", "flow.operator.uncertain"),
        ):
            yield Uncertain(name, lognormal(1.0, self.value[key]))

    def _distances(self) -> tuple[tuple[float, ...], ...]:
        step_m = self.value["flow.place.step"]

        def distance(a: str, b: str) -> float:
            if a == b:
                return 0.0
            known = self.given.distances_m.get((a, b), self.given.distances_m.get((b, a)))
            return known if known is not None else step_m * abs(PLACES.index(a) - PLACES.index(b))

        return tuple(tuple(distance(a, b) for b in PLACES) for a in PLACES)
