"""Turns an installation and one of its programmes into the line the kernel runs.

What is in the brief, catalogue and herd table is read here; what nobody stated comes from `assumptions`. The gates
on the way, what sensors see and what gates do are the plant's and are not said again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stockproof.brief import Person as BriefPerson
from stockproof.brief import Programme
from stockproof.catalogue.items import ControlPoint, CrushBody
from stockproof.errors import Fault, InputError, Place
from stockproof.flow.assumptions import chosen
from stockproof.flow.catching import Catching, best_sensor_m
from stockproof.flow.habits import Habits
from stockproof.flow.model import (
    Balk,
    Break,
    Catch,
    Job,
    Law,
    Line,
    Mob,
    Passage,
    Person,
    Task,
    Uncertain,
    Zone,
    constant,
    lognormal,
    seen,
)
from stockproof.flow.tables import LIMITS
from stockproof.herd import MobSizes, mob
from stockproof.installation import Installation
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant, SpaceKind, ZoneKind

__all__ = ["Given", "prepare"]

#: Places people stand at, in the order of the line; a brief's own words.
PLACES = ("yard", "forcing_pen", "race", "crush_rear", "crush_side", "crush_front", "draft")
#: Tasks whose tool or supply runs out and must be filled again.
RELOADED = ("ear_tag", "implant", "inject_neck", "drench", "pour_on", "skin_test")
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
    way_shares : tuple of float
        Share of the mob for each way of the draft unit, in the plant's order (drafting).
    settle : Law or None
        Time until the weight has settled (drafting). [s]
    assumed : mapping of str to float
        Changes to the assumptions, by name.
    """

    distances_m: Mapping[tuple[str, str], float] = field(default_factory=dict)
    draft_pen_places: Mapping[str, int] = field(default_factory=dict)
    way_shares: tuple[float, ...] = ()
    settle: Law | None = None
    assumed: Mapping[str, float] = field(default_factory=dict)


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


class _Job:
    """One line being put together."""

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
            crew=tuple(Person(p.name, self._skills(p), self._home(p), self._stands(p)) for p in self.people),
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
        """The breaks of the first day and, as far as the kernel's table holds them, of the days after it."""
        pauses, day_s = self.programme.breaks, self.programme.day_s
        for day in range(LIMITS["breaks"] // max(1, len(pauses))):
            for pause in pauses:
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

    def _has_switches(self) -> bool:
        return any(name.endswith((".hold", ".sort")) for name in self.controls)

    def _points(self) -> Iterable[tuple[str, str]]:
        """Control points somebody of the crew can work, the one carried along first."""
        styles = {"hand_held_remote": "", "side_panel": "crush_side", "front_panel": "crush_front"}
        points = self.installation.items(ControlPoint)
        for style, place in styles.items():
            able = not place or self._may_stand(place, "controls")
            for point in points if able else ():
                if point.style == style:
                    yield from dict.fromkeys((s.name.split(".")[0], place) for s in point.signal if s.kind == "control")

    def _before_crush(self) -> str:
        return self.zone_names[self.plant.crush - 1]

    def _skills(self, person: BriefPerson) -> tuple[str, ...]:
        return tuple(person.skills)

    def _home(self, person: BriefPerson) -> str:
        return person.places[0]

    def _factor(self, law: Law, name: str) -> Law:
        return Law(law.kind, law.a, law.b, law.count, law.values, name)

    def _reaction(self) -> Law:
        law = lognormal(self.value["flow.operator.reaction"], self.value["flow.operator.spread"])
        return self._factor(law, "reaction")

    # The way of the animals

    def _walk(self, length_m: float, pace: float = 1.0) -> Law:
        """Time over a length at the mob's walking pace; the animal's own pace comes in its own factor."""
        return self._factor(constant(length_m / (self.mob.walking_m_per_s * pace)), "animal pace")

    def _zones(self) -> Iterable[Zone]:
        yield Zone(YARD, ENDLESS)
        for zone in self.plant.zones:
            if zone.kind == ZoneKind.PEN:
                yield self._pen(zone.name, zone.places)
            elif zone.kind == ZoneKind.RACE:
                length_m = zone.places * self.value["flow.race.place"]
                keep = round(self.value["flow.race.refill_at"] * zone.places)
                yield Zone(zone.name, zone.places, transit=self._walk(length_m), headway=self._headway(), nominal=keep)
            elif zone.kind == ZoneKind.CRUSH:
                yield self._crush(zone.name)
            elif zone.kind == ZoneKind.DRAFT:
                yield Zone(zone.name, zone.places, transit=self._walk(1.0, self.value["flow.exit.pace"]))
            else:
                yield Zone(zone.name, self._pen_places(zone.name))
        yield Zone(ROUND, ENDLESS)

    def _headway(self) -> Law:
        return self._factor(constant(self.value["flow.headway"]), "animal pace")

    def _pen(self, name: str, places: int) -> Zone:
        return Zone(
            name,
            places,
            headway=self._headway(),
            nominal=max(1, round(0.5 * places)),
            crowding=self.value["flow.pen.crowding"],
            stragglers=1,
            straggling=self.value["flow.pen.straggling"],
        )

    def _pen_places(self, name: str) -> int:
        if len(self.ways) < 2 or self.given.draft_pen_places.get(name) == 0:
            return ENDLESS
        return self.given.draft_pen_places.get(name, round(self.value["flow.draft_pen.places"]))

    def _crush(self, name: str) -> Zone:
        catches = self.hold or (self.by_hand and self.programme.hold)
        squeeze = "squeeze" if self.plant.part_at("squeeze") >= 0 else ""
        return Zone(
            name, 1, waits_for_work=False, catch=self._catch() if catches else None, squeeze=squeeze, work_zone=True
        )

    def _catch(self) -> Catch:
        """Lengths past the bail are stretched: a head goes through the gap slower than the body walks."""
        body_m = self.mob.mean("nose_to_tail")
        slower = 1 / self.value["flow.catch.pace"]
        catching = Catching(
            head_m=self.mob.mean("head_length") * slower,
            neck_m=self.mob.mean("neck_length") * slower,
            head_at=self.value["flow.catch.head_at"],
            neck_at=self.value["flow.catch.neck_at"],
            shut_s=self.motion_s.get("bail.close", self.value["flow.hand.part"]),
            delay_s=0.0 if self._catches_by_itself() else self.value["flow.catch.reaction"],
            pace_m_per_s=self.mob.walking_m_per_s * self.value["flow.crush.pace"],
            spread_share=self.value["flow.animal.spread"],
        )
        lead_s = catching.delay_s + catching.shut_s * (1 - catching.neck_at)
        return Catch(
            "bail",
            max(body_m, self._crush_length_m()),
            -best_sensor_m(catching),
            catching.head_m,
            catching.neck_m,
            body_m,
            catching.head_at,
            catching.neck_at,
            0.0 if self._catches_by_itself() else lead_s,
        )

    def _catches_by_itself(self) -> bool:
        sensors = {entry.name for entry in self.netlist.inputs}
        return "bail.neck" in sensors and not self.by_hand

    def _crush_length_m(self) -> float:
        body = self.installation.one(CrushBody)
        return body.inside_length_m if body else 0.0

    def _passages(self) -> Iterable[Passage]:
        for boundary in self.plant.boundaries:
            source, target = self.zone_names[boundary.source], self.zone_names[boundary.target]
            kinds = (self.plant.zones[boundary.source].kind, self.plant.zones[boundary.target].kind)
            yield self._passage(source, target, kinds)

    def _passage(self, source: str, target: str, kinds: tuple[ZoneKind, ZoneKind]) -> Passage:
        pace = 1.0
        balk = None
        if kinds[1] == ZoneKind.CRUSH:
            pace, balk = self.value["flow.crush.pace"], self._balk(1.0, self.value["flow.balk.refuse_after"])
        elif kinds[0] == ZoneKind.PEN:
            balk = self._balk(self.value["flow.balk.mouth"], 0)
        elif kinds[0] in (ZoneKind.CRUSH, ZoneKind.DRAFT):
            pace = self.value["flow.exit.pace"]
        way = self.ways.index(target) + 1 if target in self.ways and len(self.ways) > 1 else 0
        length_m = self.mob.mean("nose_to_tail")
        return Passage(
            source,
            target,
            crossing=self._walk(length_m, pace),
            way=way,
            balk=balk,
            follow_s=self.value["flow.follow.within"] if balk else 0.0,
            following=self.value["flow.follow.quicker"] if balk else 1.0,
            paced=True,
        )

    def _balk(self, times: float, refuse_after: float) -> Balk:
        wait = lognormal(self.value["flow.balk.wait"], self.value["flow.balk.wait_spread"])
        return Balk(
            min(0.95, self.mob.balk_share * times),
            self._factor(wait, "balk wait"),
            self.value["flow.balk.following"],
            round(refuse_after),
        )

    def _mob(self) -> Mob:
        head = max(1, round(self.mob.head * self.programme.share))
        shares = self.given.way_shares or (1 / len(self.ways),) * len(self.ways)
        ways = (shares if self.sorting else (1.0,) + (0.0,) * (len(self.ways) - 1)) if len(self.ways) > 1 else ()
        return Mob(
            head,
            pace=lognormal(1.0, self.value["flow.animal.spread"]),
            balk_persistence=self.value["flow.balk.persistence"],
            balk_animal=self.value["flow.balk.own"],
            balk_day=self.value["flow.balk.day"],
            ways=tuple(ways),
            down_share=self.value["flow.down.share"] if self.hold else 0.0,
            down_after=lognormal(6.0, 0.5),
        )

    # Work

    def _tasks(self) -> Iterable[Task]:
        names = [task.code for task in self.tasks]
        for k, task in enumerate(self.tasks):
            needs = [seen("standing", "crush")]
            if self.hold and task.skill != "none":
                # where animals are held nobody begins on one that is not yet caught
                needs += [seen("held", "crush"), seen("closed", "bail")]
            if (
                self.hold
                and task.restraint in ("squeeze", "head", "head_raised")
                and self.plant.part_at("squeeze") >= 0
            ):
                needs.append(seen("closed", "squeeze"))
            if task.restraint == "head_raised" and self.plant.part_at("lift") >= 0:
                needs.append(seen("closed", "lift"))
            if task.skill == "none":
                needs += [seen("closed", "bail"), seen("closed", "entry")]
            law = lognormal(task.time_s, task.spread_share)
            if task.code == "weigh" and self.given.settle is not None:
                law = self.given.settle
            space = self._space(task.access)
            reload = task.code in RELOADED
            yield Task(
                task.code,
                "crush",
                self._factor(law, "task times"),
                skill="" if task.skill == "none" else task.skill,
                place="" if task.skill == "none" else task.place,
                space=space,
                needs=tuple(needs),
                not_with=tuple(n for n, other in zip(names, self.tasks, strict=True) if _clash(task, other)),
                held=self.hold and task.skill != "none",
                gate_s=self.value["flow.hand.gate"] if space else 0.0,
                reload_every=round(self.value["flow.reload.every"]) if reload else 0,
                reload=constant(self.value["flow.reload.time"]),
                priority=50 + k,
                role={"weigh": "weigh", "read_tag": "read"}.get(task.code, ""),
            )
        if self.sorting and not {"weigh", "read_tag"} & set(names):
            yield self._decide_by_eye()

    def _decide_by_eye(self) -> Task:
        law = self._factor(self._reaction(), "reaction")
        return Task(
            "decide_way", "crush", law, "controls", needs=(seen("standing", "crush"),), priority=80, role="weigh"
        )

    def _space(self, access: Sequence[str]) -> str:
        """The space of the plant through which a task reaches the animal, or none: beside the line."""
        wanted = {"rear": "rear", "neck": "neck", "flank": "side_reach"}
        names = [space.name for space in self.plant.spaces if space.kind != SpaceKind.OUTSIDE]
        return next((wanted[part] for part in access if wanted.get(part) in names), "")

    def _jobs(self) -> Iterable[Job]:
        v = self.value
        first_race = self.zone_names[1]
        race_places = sum(z.places for z in self.plant.zones if z.kind == ZoneKind.RACE)
        pen = self.zone_names[0]
        places = self.plant.zones[0].places
        bring = self._factor(lognormal(v["flow.bring.time"], v["flow.bring.spread"]), "bringing")
        yield Job(
            "bring a batch",
            "bring",
            pen,
            bring,
            "stock",
            source=YARD,
            start_place="yard",
            end_place="forcing_pen",
            when=(seen("low", first_race),) if race_places > 1 else (),
            at_most=0,
            batch=constant(max(1.0, round(v["flow.pen.fill"] * places))),
            per_head_s=v["flow.bring.per_head"],
            priority=30,
        )
        pushed = self._factor(lognormal(v["flow.balk.pushed"], 0.5), "balk wait")
        for zone, place in ((pen, "forcing_pen"), (self._before_crush(), "race")):
            yield Job(f"push at the {place.replace('_', ' ')}", "push", zone, pushed, "stock",
                      start_place=place, priority=25)  # fmt: skip
        yield Job("lead a refuser round", "lead_round", self._before_crush(), lognormal(v["flow.refuser.time"], 0.5),
                  "stock", source=ROUND, start_place="race", priority=20)  # fmt: skip
        if self.hold:
            yield Job("help one that is down", "attend", "crush", lognormal(v["flow.down.time"], 0.5), "controls",
                      start_place="crush_side",
                      when=(seen("open", "squeeze"),) if self.plant.part_at("squeeze") >= 0 else (),
                      priority=5)  # fmt: skip
        if len(self.ways) > 1:
            yield from self._emptying()

    def _emptying(self) -> Iterable[Job]:
        for way in self.ways:
            if self._pen_places(way) < ENDLESS:
                yield Job(
                    f"empty the pen {way}",
                    "empty",
                    way,
                    lognormal(self.value["flow.draft_pen.time"], 0.3),
                    "stock",
                    start_place="draft",
                    at_most=self._pen_places(way),
                    per_head_s=self.value["flow.draft_pen.per_head"],
                    priority=28,
                )

    def _may_stand(self, place: str, skill: str) -> bool:
        return any(skill in person.skills and place in person.places for person in self.people)

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


def _clash(task: object, other: object) -> bool:
    """Whether two tasks cannot go on at the same time: same place, or one moves the head the other works at."""
    return task is not other and getattr(task, "place") == getattr(other, "place") and "none" not in (  # noqa: B009
        getattr(task, "skill"), getattr(other, "skill"))  # noqa: B009  # fmt: skip
