"""Animals of the SimPy yard: each walks its whole way as one process; a head and a bail meet in another."""

from __future__ import annotations

import math
from collections.abc import Iterator

import simpy

from stockproof.flow.model import Passage
from stockproof.plant.model import SpaceKind, TruthKind
from tests.flow.oracle_control import Part
from tests.flow.oracle_draws import normal_quantile
from tests.flow.oracle_ground import Ground
from tests.flow.oracle_things import SETTLE, Animal, Pen, Process, Signal

__all__ = ["Animals"]


class Animals(Ground):
    """What animals do by themselves, and what the plant's truths ask about them."""

    def arrivals(self) -> Process:
        law = self.line.mob.arrivals
        for animal in self.herd:
            if law is not None:
                yield self.env.timeout(self.take(law, "arrivals", animal.number))
            self._put_in(animal, self.order[0])
            animal.life = self.env.process(self._walk(animal))

    def _put_in(self, animal: Animal, pen: Pen) -> None:
        """An animal now stands wholly in a zone, at its back."""
        animal.pen, animal.doing = pen, "walking"
        pen.animals.append(animal)
        self.stir()
        self.note("LEAVES_END" if pen.end else "COMES_IN", animal.number, pen.index)
        if pen.end:
            animal.doing = "gone"
            self.finished += 1
            if self.finished == len(self.herd):
                self.all_through.give(priority=SETTLE + 1)

    def _take_out(self, animal: Animal) -> Pen:
        pen = animal.pen
        assert pen
        pen.animals.remove(animal)
        self.stir()
        moved, pen.moved = pen.moved, Signal(self.env)
        moved.give()
        return pen

    def move(self, animal: Animal, pen: Pen) -> None:
        """People put an animal somewhere else, whatever it was doing."""
        self._take_out(animal)
        self._put_in(animal, pen)
        assert animal.life
        animal.asks = animal.pushed = None
        animal.life.interrupt()

    def _walk(self, animal: Animal) -> Process:
        """An animal's whole way, zone by zone."""
        while animal.pen and not animal.pen.end:
            try:
                yield from self._come_to_front(animal, animal.pen)
                passage = yield from self._get_away(animal, animal.pen)
                yield from self._cross(animal, passage)
            except simpy.Interrupt:
                continue

    def _come_to_front(self, animal: Animal, pen: Pen) -> Process:
        transit_s = self.take(pen.spec.transit, f"transit: {pen.spec.name}", animal.number)
        if transit_s > 0:
            yield self.env.timeout(transit_s)
        if pen.spec.single_file:
            while pen.front is not animal:
                yield pen.moved
            if pen.free_s > self.now:
                yield self.env.timeout(pen.free_s - self.now)
        self.note("STANDS", animal.number, pen.index)
        animal.doing = "standing"
        self.stir()

    def _get_away(self, animal: Animal, pen: Pen) -> Process:
        """Ask until the way is open and nothing keeps the animal, and it does not balk."""
        while True:
            animal.asks = Signal(self.env)
            passage = yield animal.asks
            if not self._balks(animal, passage):
                return passage
            yield from self._balk(animal, pen, passage)

    def _balk(self, animal: Animal, pen: Pen, passage: Passage) -> Process:
        assert passage.balk
        animal.balks += 1
        animal.doing = "balking"
        self.note("BALKS", animal.number, pen.index)
        self.stir()
        animal.pushed = Signal(self.env)
        if passage.balk.refuse_after and animal.balks >= passage.balk.refuse_after:
            animal.doing = "refusing"
            self.note("REFUSES", animal.number, pen.index)
        else:
            wait_s = self.take(
                passage.balk.wait, f"balk: {passage.out_of} > {passage.into}", animal.number, animal.balks
            )
            self.after(wait_s, animal.pushed.give)
        yield animal.pushed
        animal.doing = "standing"
        self.stir()

    def _balks(self, animal: Animal, passage: Passage) -> bool:
        number = self.line.passages.index(passage)
        balk = passage.balk
        if balk is None or balk.share <= 0 or number in animal.tried:
            return False
        if balk.refuse_after == 0:
            animal.tried.add(number)
        follows = self.now - self.last_passage_s[number] <= passage.follow_s
        share = balk.share * (balk.follow_share if follows else 1.0)
        purpose = f"balks: {passage.out_of} > {passage.into}"
        here = normal_quantile(self.stream.uniform(animal.number, purpose, animal.balks * 256))
        own = self.line.mob.balk_animal
        temper = math.sqrt(own) * animal.temper + math.sqrt(1 - own) * here + self.day
        return temper < normal_quantile(share) * math.sqrt(1 + self.line.mob.balk_day**2)

    def let_animals_go(self) -> Process:
        """From the last zone back, each that asks and may."""
        for pen in reversed(self.order):
            for animal in pen.actors():
                if animal.asks is None or animal.doing != "standing":
                    continue
                passage = self._way_out(animal, pen)
                if passage and self._may_leave(animal, pen) and self._may_enter(passage):
                    asks, animal.asks = animal.asks, None
                    asks.give(passage)
                    yield self.beat()

    def _way_out(self, animal: Animal, pen: Pen) -> Passage | None:
        """An animal's own way; but where the gates stand for another it goes that one."""
        own = next((p for p in pen.ways if p.way in (0, animal.way)), None)
        if not self.line.mob.ways or (own and self._gates_stand(own)):
            return own
        drafted = sorted((p for p in pen.ways if p.way > 0), key=lambda p: p.way)
        return next((p for p in drafted if p is not own and self._gates_stand(p)), own)

    def _gates_stand(self, passage: Passage) -> bool:
        gates = self.control.needs(passage.out_of, passage.into) if self.control else []
        return all(part.stands(at) for part, at in gates)

    def _may_leave(self, animal: Animal, pen: Pen) -> bool:
        if pen.spec.waits_for_work and not self.through_with(animal):
            return False
        if pen.spec.catch and pen.head in ("coming", "sensor", "neck", "held"):
            return False
        if pen.spec.squeeze and not self.part(pen.spec.squeeze).stands(1.0):
            return False
        return not pen.down and not self._somebody_inside(pen)

    def _somebody_inside(self, pen: Pen) -> bool:
        if self.plant is None:
            return False
        return any(
            self.in_space[space.name] > 0
            for space in self.plant.spaces
            if space.kind == SpaceKind.WHOLE_BODY
            and space.zone >= 0
            and self.plant.zones[space.zone].name == pen.spec.name
        )

    def _may_enter(self, passage: Passage) -> bool:
        ahead = self.pens[passage.into]
        if ahead.comer is not None or len(ahead.animals) >= ahead.spec.places:
            return False
        if (self.break_due and ahead.spec.work_zone) or self._somebody_inside(ahead):
            return False
        return self._gates_stand(passage) and self.so(passage.needs)

    def _cross(self, animal: Animal, passage: Passage) -> Process:
        """From the nose at the plane to the tail through it; meanwhile the animal stands in both zones."""
        pen, ahead = self.pens[passage.out_of], self.pens[passage.into]
        took_s = self._crossing_s(animal, passage, pen)
        self.stop_work(animal)
        animal.doing = "crossing"
        animal.crossings += 1
        self.last_passage_s[self.line.passages.index(passage)] = self.now
        ahead.comer = animal
        self.note("SETS_OUT", animal.number, ahead.index)
        self.stir()
        if ahead.spec.catch:
            ahead.head = "coming"
            ahead.approach += 1
            self.env.process(self._meet_bail(ahead, took_s))
        if took_s > 0:
            yield self.env.timeout(took_s)
        ahead.comer = None
        self._take_out(animal)
        if pen.spec.catch:
            pen.head = ""
            pen.approach += 1
        pen.free_s = self.now + self.take(pen.spec.headway, f"headway: {pen.spec.name}", animal.number)
        self._put_in(animal, ahead)

    def _crossing_s(self, animal: Animal, passage: Passage, pen: Pen) -> float:
        purpose = f"crossing: {passage.out_of} > {passage.into}"
        took_s = self.take(passage.crossing, purpose, animal.number, animal.crossings)
        took_s *= animal.pace if passage.paced else 1.0
        if self.now - self.last_passage_s[self.line.passages.index(passage)] <= passage.follow_s:
            took_s *= passage.following
        spec, count = pen.spec, len(pen.animals)
        if 0 < spec.nominal < count:
            took_s *= 1 + spec.crowding * (count / spec.nominal - 1)
        if 0 < spec.stragglers < pen.batch and count <= spec.stragglers:
            took_s *= spec.straggling
        return took_s

    # A head and a bail

    def _meet_bail(self, pen: Pen, took_s: float) -> Process:
        """A head walks up to the bail, is stopped, held, or passes."""
        catch = pen.spec.catch
        assert catch
        assert self.control
        bail = self.part(catch.part)
        began_s, approach = self.now, pen.approach

        def nose_s(past_bail_m: float) -> float:
            return max(0.0, (catch.length_m + past_bail_m) / catch.body_m * took_s)

        def cue_s() -> float:
            if catch.lead_s > 0:
                return max(0.0, nose_s(catch.head_m + 0.5 * catch.neck_m) - catch.lead_s)
            return nose_s(-catch.sensor_m)

        pen.head = "coming"
        yield self._at(began_s + cue_s())
        self._head(pen, "sensor")
        yield self._at(began_s + nose_s(catch.head_m))
        while bail.position(self.now) <= catch.head_at:
            self._head(pen, "early", "TOO_EARLY")
            while not bail.stands(1.0):
                yield pen.told
            began_s = self.now - nose_s(0.0)  # the nose stands at the bail and walks on from there
            self._head(pen, "coming")
            yield self._at(began_s + cue_s())
            self._head(pen, "sensor")
            yield self._at(began_s + nose_s(catch.head_m))
        self._head(pen, "neck")
        self.after(max(0.0, began_s + nose_s(catch.head_m + catch.neck_m) - self.now), self._tell, pen, "shoulder")
        shoulder = False
        while not (shoulder or bail.stands(0.0)):
            shoulder = (yield pen.told) == "shoulder"
        if bail.position(self.now) <= catch.neck_at:
            yield from self._held(pen, approach, bail)
        else:
            self._head(pen, "past", "TOO_LATE")
            self.control.jam(bail)

    def _at(self, at_s: float) -> simpy.Event:
        return self.env.timeout(max(0.0, at_s - self.now))

    def _tell(self, pen: Pen, what: str) -> None:
        """Say to the head at this bail that something has happened."""
        told, pen.told = pen.told, Signal(self.env)
        told.give(what)

    def _head(self, pen: Pen, head: str, what: str = "") -> None:
        pen.head = head
        self.stir()
        animal = pen.comer or pen.front
        if what and animal:
            self.note(what, animal.number, pen.index)

    def _held(self, pen: Pen, approach: int, bail: Part) -> Process:
        self._head(pen, "held", "CAUGHT")
        animal = pen.comer or pen.front
        assert animal
        mob = self.line.mob
        if mob.down_share > 0 and self.stream.uniform(animal.number, "down") < mob.down_share:
            self.after(self.take(mob.down_after, "down", animal.number), self._fall, pen, approach)
        opened = False
        while not opened:
            yield pen.told
            opened = bail.stands(1.0)
        self._head(pen, "let go", "LET_OUT")

    def _fall(self, pen: Pen, approach: int) -> None:
        front = pen.front
        if pen.approach != approach or pen.head != "held" or front is None or front.doing != "standing":
            return
        pen.down, front.doing = True, "lying"
        self.note("GOES_DOWN", front.number, pen.index)
        self.stop_work(front)
        self.stir()

    def part_arrived(self, part: Part) -> None:
        """A bail has come to an end of its travel."""
        for pen in self.order:
            if pen.spec.catch and pen.spec.catch.part == part.spec.name:
                self._tell(pen, "bail")

    def stop_work(self, animal: Animal) -> None:
        for name, end in list(animal.running.items()):
            del animal.running[name]
            self.note("TASK_STOPPED", animal.number, [task.name for task in self.line.tasks].index(name))
            end.give(False)

    # What the plant's truths ask

    def zone_truth(self, name: str, kind: TruthKind) -> bool:
        pen = self.pens.get(name)
        if pen is None:
            return False
        if kind == TruthKind.READ:
            return pen.front is not None and pen.reader != "" and pen.reader not in pen.front.todo
        if kind == TruthKind.DECIDED:
            way = self.decided_way()
            return way > 0 and any(p.way == way and p.into == name for p in self.line.passages)
        return {
            TruthKind.OCCUPIED: pen.fill > 0,
            TruthKind.CROWDED: pen.fill > 1,
            TruthKind.NECK: self._see("neck", pen),
            TruthKind.DOWN: pen.down,
            TruthKind.SETTLED: self._see("settled", pen),
        }[kind]

    def across(self, source: str, target: str) -> bool:
        """Whether an animal stands across a way; one whose shoulders are through the bail stands in it."""
        if not any((p.out_of, p.into) == (source, target) for p in self.line.passages):
            return False
        on_the_way = any((a, b) == (source, target) for _, a, b in self.crossings())
        return on_the_way or self.pens[source].head == "past"

    def crossings(self) -> Iterator[tuple[int, str, str]]:
        for pen in self.order:
            if pen.comer is not None and pen.comer.pen is not None:
                yield pen.comer.number, pen.comer.pen.spec.name, pen.spec.name

    def holds(self, zone: str) -> bool:
        return zone in self.pens and self.pens[zone].head == "held"

    def anybody(self, zone: str) -> bool:
        return zone in self.pens and bool(self.pens[zone].animals)
