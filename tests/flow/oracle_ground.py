"""The ground of the SimPy yard: its clock and path, the herd by nature, and what can be seen."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import simpy

from stockproof.flow.model import Job, Law, Line, Press, Seen
from stockproof.flow.model import Zone as ZoneSpec
from stockproof.plant.model import Plant
from tests.flow.oracle_control import Controller, Part
from tests.flow.oracle_draws import NOBODY, Stream, normal_quantile
from tests.flow.oracle_things import SETTLE, Act, Animal, Habit, Happening, Pen, Person, Signal

__all__ = ["Ground"]


#: What is said of parts and not of zones; a draft gate and the floor under it bear one name.
PART_WORDS = ("closed", "mid", "open", "moving")


class Ground:
    """State of one replication, and the questions everybody asks of it."""

    control: Controller | None = None

    def __init__(
        self,
        line: Line,
        plant: Plant | None,
        stream: Stream,
    ) -> None:
        self.line, self.plant, self.env = line, plant, simpy.Environment()
        self.path: list[Happening] = []
        self.stream = stream
        self.factor = {"": 1.0}
        self.factor |= {u.name: self.stream.take(u.law, f"uncertain: {u.name}", NOBODY) for u in line.uncertain}
        self.all_through, self.bell, self.settling, self.changed = Signal(self.env), Signal(self.env), False, False
        self.pens = {zone.name: self._pen(k, zone) for k, zone in enumerate(line.zones)}
        self.order = list(self.pens.values())
        self.last_passage_s = [-math.inf] * len(line.passages)
        home = line.places[0] if line.places else ""
        self.crew = [Person(k, p, p.home or home, Signal(self.env)) for k, p in enumerate(line.crew)]
        named: list[Press | Job] = [*line.presses, *line.jobs]
        self.habits = {entry.name: Habit() for entry in named}
        self.reloading: set[str] = set()
        self.done = {task.name: 0 for task in line.tasks}
        self.in_space = {space.name: 0 for space in plant.spaces} if plant else {}
        self.break_due = self.on_break = False
        self.back_to_work = Signal(self.env)
        self.acts = self._all_acts()
        self.main = next((pen for pen in self.order if pen.spec.work_zone), None)
        self.herd = self._herd()
        self.finished = 0

    def _pen(self, k: int, zone: ZoneSpec) -> Pen:
        tasks = [task for task in self.line.tasks if task.zone == zone.name]
        roles = {task.role: task.name for task in reversed(tasks)}
        return Pen(
            k,
            zone,
            [p for p in self.line.passages if p.out_of == zone.name],
            frozenset(task.name for task in tasks),
            frozenset(task.name for task in tasks if task.held),
            Signal(self.env),
            Signal(self.env),
            roles.get("weigh", ""),
            roles.get("read", ""),
            end=not any(p.out_of == zone.name for p in self.line.passages)
            and not any(job.kind == "bring" and job.source == zone.name for job in self.line.jobs),
        )

    def _all_acts(self) -> list[Act]:
        manned = [task for task in self.line.tasks if task.skill]
        return sorted([*manned, *self.line.presses, *self.line.jobs], key=lambda act: act.priority)

    def _herd(self) -> list[Animal]:
        """Each animal by nature; temper runs on from one to the next."""
        mob, stream, herd = self.line.mob, self.stream, []
        self.day = mob.balk_day * normal_quantile(stream.uniform(NOBODY, "balk: day"))
        temper = 0.0
        for a in range(mob.head):
            fresh = normal_quantile(stream.uniform(a, "balk: temper"))
            keep = mob.balk_persistence if a else 0.0
            temper = keep * temper + math.sqrt(1 - keep**2) * fresh
            todo = {
                task.name
                for task in self.line.tasks
                if task.share >= 1 or stream.uniform(a, f"needs: {task.name}") < task.share
            }
            herd.append(Animal(a, self.take(mob.pace, "pace", a), temper, self._way(a), todo))
        return herd

    def _way(self, a: int) -> int:
        ways, u, below = self.line.mob.ways, self.stream.uniform(a, "way"), 0.0
        for way, share in enumerate(ways, 1):
            below += share / math.fsum(ways)
            if u < below:
                return way
        return len(ways)

    # The clock and the path

    @property
    def now(self) -> float:
        return float(self.env.now)

    def take(self, law: Law, purpose: str, animal: int, ordinal: int = 0) -> float:
        return self.factor[law.factor] * self.stream.take(law, purpose, animal, ordinal)

    def note(self, what: str, first: int, second: int) -> None:
        self.path.append(Happening(self.now, what, first, second))

    def after(self, delay_s: float, act: Callable[..., None], *args: Any) -> None:
        """Do something so long from now."""
        self.env.timeout(delay_s).callbacks.append(lambda _: act(*args))

    def stir(self) -> None:
        """Something has changed that control, animals or people may act on."""
        self.changed = True
        if not self.settling:
            self.bell.give(priority=SETTLE)

    def beat(self) -> Signal:
        """Let those just called act."""
        beat = Signal(self.env)
        beat.give(priority=SETTLE)
        return beat

    # What can be seen

    def so(self, conditions: Iterable[Seen]) -> bool:
        return all(self._fact(c.what, c.of) == c.so for c in conditions)

    def _fact(self, what: str, of: str) -> bool:
        if what == "signal":
            assert self.control
            return self.control.signal(of)
        if what == "wanted":
            return self._wanted(of)
        if what == "way":
            return self.decided_way() == int(of)
        if what == "break due":
            return self.break_due
        if what == "person":
            return self.in_space[of] > 0
        if what not in PART_WORDS:
            return self._see(what, self.pens[of])
        part = self.part(of)
        return {
            "closed": part.stands(0.0),
            "open": part.stands(1.0),
            "mid": part.stands(0.5),
            "moving": part.moving,
        }[what]

    def part(self, name: str) -> Part:
        assert self.control
        assert self.plant
        return self.control.parts[self.plant.part_at(name)]

    def _wanted(self, name: str) -> bool:
        task = next(task for task in self.line.tasks if task.name == name)
        front = self.pens[task.zone].front
        return front is not None and front.doing == "standing" and (name in front.todo or name in front.running)

    def decided_way(self) -> int:
        """The way decided for the animal where ways are decided, 0 while none is."""
        if not self.line.decides_in:
            return 0
        front = self.pens[self.line.decides_in].front
        here = [task for task in self.line.tasks if task.zone == self.line.decides_in]
        decider = next(t.name for role in ("decide", "weigh", "read") for t in here if t.role == role)
        return 0 if front is None or decider in front.todo else front.way

    def _see(self, what: str, pen: Pen) -> bool:
        """A plain condition of a zone, or of the animal at its front."""
        heads = {
            "head": ("sensor", "neck", "held"),
            "neck": ("sensor", "neck", "held", "let go"),
            "catching": ("coming", "sensor", "neck"),
            "through": ("neck",),
            "held": ("held",),
            "early": ("early",),
            "missed": ("past",),
        }
        if what in heads:
            return pen.head in heads[what]
        fills = {
            "occupied": pen.fill > 0,
            "room": pen.fill < pen.spec.places,
            "full": pen.fill >= pen.spec.places,
            "low": pen.fill <= pen.spec.nominal,
            "entering": pen.comer is not None,
            "down": pen.down,
        }
        if what in fills:
            return fills[what]
        return pen.front is not None and self._see_front(what, pen, pen.front)

    def _see_front(self, what: str, pen: Pen, front: Animal) -> bool:
        standing = front.doing == "standing"
        return {
            "standing": standing,
            "to_hold": bool(front.todo & pen.held_tasks),
            "working": bool(front.running),
            "settled": pen.weigher != "" and pen.weigher not in front.todo,
            "done": standing and self.through_with(front),
            "ready": standing and self.through_with(front),
        }[what]

    def through_with(self, animal: Animal) -> bool:
        assert animal.pen
        return not animal.running and not animal.todo & animal.pen.tasks
