"""Lines on which kernel and oracle are held together: a plain queue, a yard worked by people, and powered rigs.

Times are round numbers for an invented scenario. Laws are continuous, so that two things fall in one instant only
where one follows from the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

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
    Press,
    Task,
    Uncertain,
    Zone,
    gamma,
    lognormal,
    seen,
    uniform_between,
)
from stockproof.logic.assembly import assemble
from stockproof.logic.lower import lower
from stockproof.logic.rig import Rig, devices_of, plant_of
from stockproof.motion.laws import MotionLaws, constant_laws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant, ZoneKind

__all__ = ["Powered", "powered", "queue", "yard"]

ENDLESS = 1_000_000
REACTION = lognormal(0.5, 0.3)
DISTANCES_M = ((0.0, 12.0, 20.0, 16.0), (12.0, 0.0, 9.0, 6.0), (20.0, 9.0, 0.0, 3.0), (16.0, 6.0, 3.0, 0.0))
PLACES = ("yard", "pen", "side", "rear")


def queue(head: int, arrivals: Law, service: Law, people: int = 1) -> Line:
    """One waiting line before so many people who all do the same."""
    return Line(
        zones=(Zone("waiting", ENDLESS), Zone("station", people, single_file=False), Zone("out", ENDLESS)),
        passages=(Passage("waiting", "station"), Passage("station", "out")),
        mob=Mob(head, arrivals),
        tasks=(Task("serve", "station", service, skill="serve"),),
        crew=tuple(Person(f"person {k}", ("serve",)) for k in range(people)),
    )


def yard(head: int) -> Line:
    """Everything people and animals do without powered parts: batches, balks, refusers, drafts, breaks, reloads."""
    return Line(
        zones=(
            Zone("yard", ENDLESS),
            Zone("pen", 12, headway=lognormal(1.0, 0.2), nominal=5, crowding=0.4, stragglers=2, straggling=1.7),
            Zone("race", 5, transit=lognormal(4.0, 0.3), headway=lognormal(2.0, 0.4)),
            Zone("crush", 1, transit=lognormal(0.5, 0.2), work_zone=True),
            Zone("draft", 1, transit=lognormal(1.0, 0.3)),
            Zone("left", 8),
            Zone("right", ENDLESS),
            Zone("round", ENDLESS),
        ),
        passages=(
            Passage("pen", "race", lognormal(3.0, 0.5), balk=_balk(0.2, 0), follow_s=6.0, following=0.8, paced=True),
            Passage("race", "crush", lognormal(2.0, 0.5), balk=_balk(0.3, 2), follow_s=6.0, following=0.8, paced=True),
            Passage("crush", "draft", lognormal(2.0, 0.3), paced=True),
            Passage("draft", "left", lognormal(2.0, 0.3), way=1),
            Passage("draft", "right", lognormal(2.0, 0.3), way=2),
        ),
        mob=replace(_mob(head), ways=(0.4, 0.6)),
        tasks=(
            Task("weigh", "crush", replace(gamma(3.0, 0.3), factor="work"), role="weigh"),
            Task("inject", "crush", lognormal(8.0, 0.4), "vet", "rear", reload_every=7, reload=lognormal(20.0, 0.2)),
            Task("tag", "crush", lognormal(6.0, 0.4), "vet", "side", not_with=("inject",), share=0.7),
            Task("look", "crush", lognormal(5.0, 0.4), "stock", "side", after=("tag",)),
        ),
        crew=(Person("first", ("vet",), home="rear"), Person("second", ("stock",), home="yard")),
        jobs=(*_pen_jobs("race", "vet"), _emptying("left", 6)),
        breaks=(Break(400.0, 120.0), Break(900.0, 60.0)),
        uncertain=(Uncertain("work", lognormal(1.0, 0.2)),),
        places=PLACES,
        distances_m=DISTANCES_M,
        decides_in="crush",
    )


def _balk(share: float, refuse_after: int) -> Balk:
    return Balk(share, lognormal(9.0, 0.5), 0.5, refuse_after)


def _mob(head: int) -> Mob:
    return Mob(head, pace=lognormal(1.0, 0.2), balk_persistence=0.4, balk_animal=0.5, balk_day=0.6)


def _pen_jobs(before: str, leader: str) -> tuple[Job, ...]:
    """Filling the pen, pushing those that balk, leading refusers round.

    Refusers have somebody of their own: who goes first of two called in one instant is a convention.
    """
    low = (seen("low", "race"),)
    return (
        Job(
            "bring",
            "bring",
            "pen",
            lognormal(30.0, 0.3),
            "stock",
            "yard",
            "yard",
            "pen",
            low,
            1,
            uniform_between(6.0, 12.0),
            0.7,
        ),
        Job("push", "push", "pen", lognormal(4.0, 0.3), "stock", start_place="pen", priority=25),
        Job("push up", "push", before, lognormal(4.0, 0.3), "stock", start_place="pen", priority=25),
        Job("lead", "lead_round", before, lognormal(25.0, 0.3), leader, "round", "rear", priority=20),
    )


def _emptying(pen: str, at_most: int) -> Job:
    law = lognormal(20.0, 0.3)
    return Job("empty", "empty", pen, law, "stock", start_place="side", at_most=at_most, per_head_s=1.1, priority=28)


@dataclass(frozen=True, slots=True)
class Powered:
    """A powered line and everything it runs with."""

    line: Line
    netlist: Netlist
    plant: Plant
    laws: MotionLaws | None = None


def powered(
    rig: Rig, head: int, *, store: bool = False, pump: bool = False, again_s: float = 0.0, rear: bool = False
) -> Powered:
    """A rig at work: held, and with a draft unit sorted; its habits are those of the flow room.

    `store` puts an accumulator under the motions that a burst of them empties, `pump` one that they share.
    """
    plant, netlist = plant_of(rig), lower(assemble(devices_of(rig)))
    sorts = "draft" in rig.parts
    ways = tuple(zone.name for zone in plant.zones if zone.kind == ZoneKind.WAY) if sorts else ()
    tasks = tuple(_tasks(sorts, rear))
    before = plant.zones[plant.crush - 1].name
    habits = _habits(netlist, plant, ways, before, tasks)
    presses: tuple[Press, ...] = tuple(replace(press, again_s=again_s) for press in habits.presses())
    shut = (seen("open", "squeeze"),) if sorts else ()
    line = Line(
        zones=(
            Zone("yard", ENDLESS),
            *(_zone(zone.name, zone.places, sorts) for zone in plant.zones),
            Zone("round", ENDLESS),
        ),
        passages=tuple(_passages(plant, ways)),
        mob=replace(_mob(head), ways=(0.3, 0.4, 0.3) if sorts else (), down_share=0.08, down_after=lognormal(5.0, 0.5)),
        tasks=tasks,
        crew=(
            Person("operator", ("controls",), home="side"),
            Person("vet", ("vet",), home="rear"),
            Person("stock hand", ("stock",), home="pen"),
        ),
        presses=presses,
        jobs=(
            *_pen_jobs(before, "vet"),
            Job("help", "attend", "crush", lognormal(25.0, 0.3), "controls", "", "side", when=shut, priority=5),
            *([_emptying(ways[0], 7)] if sorts else []),
        ),
        breaks=(Break(500.0, 90.0),),
        uncertain=(Uncertain("work", lognormal(1.0, 0.2)),),
        places=PLACES,
        distances_m=DISTANCES_M,
        decides_in="crush" if sorts else "",
        switched_on=tuple(habits.switched_on()),
    )
    return Powered(line, netlist, plant, _laws(plant, store, pump))


def _habits(netlist: Netlist, plant: Plant, ways: tuple[str, ...], before: str, tasks: tuple[Task, ...]) -> Habits:
    return Habits(
        netlist,
        plant,
        hold=True,
        sort=bool(ways),
        program=True,
        ways=ways,
        before=before,
        reaction=REACTION,
        hand_part_s=2.0,
        points=(("remote", ""), ("panel", "side")) if ways else (("panel", "side"),),
        rear=tuple(task.name for task in tasks if task.space == "rear"),
    )


def _zone(name: str, places: int, sorts: bool) -> Zone:
    if name == "pen":
        return Zone(name, 30, headway=lognormal(1.5, 0.3), nominal=9, crowding=0.3, stragglers=1, straggling=1.5)
    if name == "crush":
        # where animals are sorted the neck is long enough that none is missed: one let out unsorted has no way to go
        catch = Catch("bail", 2.4, -0.2, 0.55, 0.9 if sorts else 0.35, 2.1, 0.35, 0.35)
        squeeze = "squeeze" if sorts else ""
        return Zone(name, 1, waits_for_work=False, catch=catch, squeeze=squeeze, work_zone=True)
    if name == "draft":
        return Zone(name, 1, transit=lognormal(0.8, 0.2))
    if name == "way_left":
        return Zone(name, 9)
    if name in ("race", "ready"):
        return Zone(name, places, transit=lognormal(3.0, 0.3), headway=lognormal(1.8, 0.4), nominal=1)
    return Zone(name, ENDLESS)


def _passages(plant: Plant, ways: tuple[str, ...]) -> Iterator[Passage]:
    zones = [zone.name for zone in plant.zones]
    for boundary in plant.boundaries:
        source, target = zones[boundary.source], zones[boundary.target]
        balk = {"pen": _balk(0.15, 0)}.get(source) or {"crush": _balk(0.2, 3)}.get(target)
        way = ways.index(target) + 1 if target in ways else 0
        yield Passage(source, target, lognormal(1.9, 0.3), way=way, balk=balk, follow_s=5.0, following=0.9, paced=True)


def _tasks(sorts: bool, rear: bool) -> Iterator[Task]:
    held = (seen("standing", "crush"), seen("held", "crush"), seen("closed", "bail"))
    pressed = (*held, seen("closed", "squeeze")) if sorts else held
    reload = lognormal(15.0, 0.2)
    work = replace(lognormal(7.0, 0.4), factor="work")
    yield Task("inject", "crush", work, "vet", "side", "side_reach" if sorts else "", pressed, held=True,
               gate_s=1.7 if sorts else 0.0, reload_every=9, reload=reload)  # fmt: skip
    yield Task("look", "crush", lognormal(4.0, 0.4), "vet", "side", needs=held, share=0.6, priority=51)
    if sorts:
        still = (seen("closed", "bail"), seen("closed", "entry"))
        yield Task("weigh", "crush", lognormal(3.0, 0.3), needs=still, role="weigh")
    if rear:
        yield Task("test", "crush", lognormal(12.0, 0.3), "vet", "rear", "rear", pressed, share=0.5, held=True,
                   gate_s=2.3, priority=52)  # fmt: skip


def _laws(plant: Plant, store: bool, pump: bool) -> MotionLaws:
    """Times all different, so that no two parts arrive in one instant."""
    names = tuple(motion.name for motion in plant.motions)
    order = np.arange(len(names), dtype=np.float64)
    full_s = 0.61 + 0.037 * order
    if not store and not pump:
        return constant_laws(dict(zip(names, full_s.tolist(), strict=True)))
    if pump:
        with np.errstate(divide="ignore"):
            slower = 1.0 / np.linspace([0.0] * len(names), 1.0, 5, axis=1) ** (1.0 + 0.07 * order[:, None])
        return MotionLaws(
            names,
            lag_s=np.asarray(0.08 + 0.003 * order),
            time_s=full_s[:, None] * slower,
            oil_m3=np.asarray(0.35e-3 + 1e-5 * order),
            level_m3=np.zeros(5),
            level_pressure_pa=np.array([0.0, 2e5, 4e5, 8e5, 150e5]),
            pump_m3_per_s=0.6e-3,
            leak_m3_per_s=0.0,
            cut_in_m3=0.0,
            cut_out_m3=0.0,
            start_m3=0.0,
        )
    return MotionLaws(
        names,
        lag_s=np.asarray(0.08 + 0.003 * order),
        time_s=np.outer(full_s, [3.1, 1.9, 1.3, 1.0]),
        oil_m3=np.asarray(0.35e-3 + 1e-5 * order),
        level_m3=np.array([0.0, 0.5e-3, 1.0e-3, 2.0e-3]),
        level_pressure_pa=np.array([8e6, 10e6, 12e6, 16e6]),
        pump_m3_per_s=0.11e-3,
        leak_m3_per_s=0.4e-6,
        cut_in_m3=1.0e-3,
        cut_out_m3=1.9e-3,
        start_m3=1.9e-3,
    )
