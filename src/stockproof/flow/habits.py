"""The operator's habits as data: which control is pressed when which plain condition is seen.

With the program running a person starts it, says when the work is done, clears the rear space and steps in when a
catch goes wrong. By hand the same person works every motion, one button at a time, held until the part is there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.flow.model import Law, Press, Seen, seen
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant, Position, ZoneKind

__all__ = ["Habits"]

WHERE = {Position.CLOSED: "closed", Position.MID: "mid", Position.OPEN: "open"}
TURNS = {Position.CLOSED: "left", Position.MID: "straight", Position.OPEN: "right"}


@dataclass(frozen=True, slots=True)
class Habits:
    """What an operator must know to work one line.

    Parameters
    ----------
    hold, sort : bool
        Whether animals are held, and whether each is sent its own way.
    program : bool
        The switches stand so and the program runs; False: everything is worked by hand.
    ways : tuple of str
        End zones in the order of draft ways 1, 2, ...
    before : str
        Zone an animal waits in before the crush.
    reaction, catching : Law
        From seeing to pressing; the same for a head that is watched as it comes to the bail (None: as any). [s]
    points : tuple of (prefix, place)
        Control points by the first word of their controls, best one first; an empty place is carried along.
    raised, rear : tuple of str
        Tasks that need the head raised; tasks done in the rear space.
    raisers : str
        Skill of those who work a hand-worked head rest.
    """

    netlist: Netlist
    plant: Plant
    hold: bool
    sort: bool
    program: bool
    ways: tuple[str, ...]
    before: str
    reaction: Law
    hand_part_s: float
    points: tuple[tuple[str, str], ...]
    raised: tuple[str, ...] = ()
    rear: tuple[str, ...] = ()
    raisers: str = "husbandry"
    catching: Law | None = None

    def switched_on(self) -> Iterator[str]:
        """Maintained controls that stand on from the start."""
        for entry in self.netlist.inputs:
            word = entry.name.rpartition(".")[2]
            if entry.kind == InputKind.MAINTAINED and (
                word == "emergency_ok"
                or (self.program and ((word == "hold" and self.hold) or (word == "sort" and self.sort)))
            ):
                yield entry.name

    def presses(self) -> Iterator[Press]:
        """Every habit, most urgent first by its priority."""
        yield from self._leave_to_move()
        if self.program:
            yield from self._program()
        yield from self._when_a_catch_fails()
        yield from self._lift()
        yield from self._rear()
        if not self.program:
            yield from self._by_hand()
        yield from self._slides()

    # What the netlist offers

    def _control(self, word: str) -> tuple[str, str] | None:
        """The control for a word and the place it is worked from."""
        names = {entry.name for entry in self.netlist.inputs}
        return next(((f"{p}.{word}", place) for p, place in self.points if f"{p}.{word}" in names), None)

    def _signal(self, name: str) -> tuple[Seen, ...]:
        return (seen("signal", name),) if name in self.netlist.names else ()

    def _not_running(self) -> tuple[Seen, ...]:
        return (~seen("signal", "line.running"),) if "line.running" in self.netlist.names else ()

    def _has(self, part: str) -> bool:
        return self.plant.part_at(part) >= 0

    def _press(
        self, what: str, word: str, when: tuple[Seen, ...], until: tuple[Seen, ...], priority: int
    ) -> Iterator[Press]:
        found = self._control(word)
        if found:
            name, place = found
            yield Press(what, name, when, "controls", place, self.reaction, until=until, priority=priority)

    def _move(self, what: str, motion: str, when: tuple[Seen, ...], priority: int) -> Iterator[Press]:
        """Hold the button of a motion until the part is there; a part without power is moved by hand."""
        part, _, direction = motion.partition(".")
        to = {"open": "open", "out": "open", "lower": "open", "right": "open", "straight": "mid"}.get(
            direction, "closed"
        )
        if not self._has(part):
            return
        arrived = seen(to, part)
        if self.plant.parts[self.plant.part_at(part)].powered:
            yield from self._press(what, motion, (*when, ~arrived), (arrived,), priority)
        else:
            ends = {"open": 1.0, "mid": 0.5, "closed": 0.0}
            skill = self.raisers if part == "lift" else "stock"
            place = "crush_front" if part == "lift" else "race"
            yield Press(what, "", (*when, ~arrived, ~seen("moving", part)), skill, place, self.reaction,
                        press_s=self.hand_part_s, priority=priority, part=part, to=ends[to])  # fmt: skip

    def _open(self, part: str) -> tuple[Seen, ...]:
        return (seen("open", part),) if self._has(part) else ()

    # Leave to move, and the running program

    def _leave_to_move(self) -> Iterator[Press]:
        ready = self._signal("line.ready")
        if ready:
            yield from self._press("give leave to move", "reset", (~ready[0],), (), 5)
        cleared = self._signal("rear_access.cleared")
        if cleared and "rear_access.reset" in {entry.name for entry in self.netlist.inputs}:
            when = (~cleared[0], seen("closed", "rear_access"), ~seen("person", "rear"))
            yield Press("say that the rear space is clear", "rear_access.reset", when, "controls", self._view(),
                        self.reaction, priority=6)  # fmt: skip

    def _view(self) -> str:
        return next((place for _, place in self.points if place), "")

    def _program(self) -> Iterator[Press]:
        crush = [~seen(word, "crush") for word in ("missed", "early", "down", "catching")]
        shut = self._signal("line.guards_shut")
        start = (*self._signal("line.ready"), *self._not_running(), *shut, *crush)
        held = seen("held", "crush")
        yield from self._press("start the program", "start", (*start, *((~held,) if self.hold else ())), (), 8)
        if self.hold:
            # a program started on an animal that stands in the crush goes straight to the work: it must stand ready
            again = (*start, held, seen("closed", "entry"))
            if self._has("squeeze"):
                pressed = (*again, seen("to_hold", "crush"), seen("closed", "squeeze"))
                yield from self._press("go on with the program, one is pressed", "start", pressed, (), 8)
                again = (*again, ~seen("to_hold", "crush"))
            yield from self._press("go on with the program", "start", again, (), 8)
            lift = (
                self._open("lift")
                if self._has("lift") and not self.plant.parts[self.plant.part_at("lift")].powered
                else ()
            )
            when = (seen("done", "crush"), *self._signal("program.work"), *shut, *lift)
            yield from self._press("work done", "done", when, (), 12)
        for trouble in ("missed", "early", "down"):
            when = (*self._signal("line.running"), seen(trouble, "crush"))
            yield from self._press(f"stop the program: {trouble}", "stop", when, (), 4)

    def _when_a_catch_fails(self) -> Iterator[Press]:
        if not self.hold:
            return
        off = self._not_running()
        for trouble in ("missed", "early", "down"):
            when = (*off, seen(trouble, "crush"))
            yield from self._move(f"relieve one: {trouble}", "squeeze.out", when, 3)
            yield from self._move(f"lower the head of one: {trouble}", "lift.lower", when, 3)
        if self.program:
            caught = (
                *off,
                seen("held", "crush"),
                seen("to_hold", "crush"),
                ~seen("down", "crush"),
                seen("closed", "entry"),
            )
            yield from self._move("press one caught by hand", "squeeze.in", caught, 7)
            behind = (*off, seen("held", "crush"), seen("standing", "crush"))
            yield from self._move("shut the entry behind one caught by hand", "entry.close", behind, 6)
        yield from self._move("let out one that was missed", "bail.open", (*off, seen("missed", "crush")), 7)
        yield from self._move("open for one met too early", "bail.open", (*off, seen("early", "crush")), 7)
        # one who steps in for the program waits until the head is through; one who works by hand watches it come
        head = (
            *off,
            seen("through" if self.program else "head", "crush"),
            ~seen("held", "crush"),
            seen("open", "bail"),
        )
        found = self._control("bail.close")
        if found:
            yield Press("catch by hand", found[0], head, "controls", found[1], self.catching or self.reaction,
                        until=(seen("closed", "bail"),), priority=3)  # fmt: skip

    def _lift(self) -> Iterator[Press]:
        for task in self.raised:
            when = (seen("wanted", task), seen("held", "crush"), seen("closed", "bail"))
            yield from self._move(f"raise the head: {task}", "lift.raise", when, 11)
        if self.raised and self._has("lift") and not self.plant.parts[self.plant.part_at("lift")].powered:
            yield from self._move("lower the head", "lift.lower", (seen("done", "crush"),), 11)

    def _rear(self) -> Iterator[Press]:
        for task in self.rear:
            when: tuple[Seen, ...] = (
                seen("wanted", task),
                seen("closed", "entry"),
                seen("standing", "crush"),
                ~seen("person", "rear"),
            )
            if self.hold:
                when = (*when, seen("held", "crush"))
            found = self._control("rear_access_lock.open")
            if found:
                yield Press(f"unlock the rear access gate: {task}", found[0], when, "controls", found[1], self.reaction,
                            until=(seen("person", "rear"),), longest_s=20.0, priority=9)  # fmt: skip

    # Everything by hand

    def _by_hand(self) -> Iterator[Press]:
        off, empty, waiting = self._not_running(), ~seen("occupied", "crush"), seen("standing", self.before)
        if self.hold:
            yield from self._move("open the bail for the next", "bail.open", (*off, empty, waiting), 13)
            admit = (*off, empty, waiting, seen("open", "bail"))
        else:
            yield from self._move("shut the exit", "bail.close", (*off, empty), 13)
            admit = (*off, empty, waiting, seen("closed", "bail"))
        yield from self._move("let the next one in", "entry.open", admit, 15)
        # whoever catches by hand has no hand free for the entry until the neck is held
        inside = seen("held" if self.hold else "standing", "crush")
        yield from self._move("shut the entry behind it", "entry.close", (*off, inside, seen("standing", "crush")), 10)
        if self.hold:
            press = (*off, seen("held", "crush"), seen("to_hold", "crush"))
            yield from self._move("press", "squeeze.in", press, 11)
        yield from self._let_go(off)

    def _let_go(self, off: tuple[Seen, ...]) -> Iterator[Press]:
        done = (*off, seen("done", "crush"), *self._signal("line.guards_shut"))
        yield from self._move("relieve", "squeeze.out", done, 12)
        if self._has("lift") and self.plant.parts[self.plant.part_at("lift")].powered:
            yield from self._move("lower the head", "lift.lower", done, 12)
        free = (*done, *self._open("squeeze"))
        if not self.sort:
            yield from self._move("let it out", "bail.open", free, 14)
            return
        for k, way in enumerate(self.ways, 1):
            gates = self._gates(way)
            for part, position in gates:
                when = (*done, seen("way", str(k)), ~seen("occupied", "draft"))
                yield from self._move(f"turn {part} to {way}", f"{part}.{TURNS[position]}", when, 13)
            stand = tuple(seen(WHERE[position], part) for part, position in gates)[:1]
            yield from self._move(f"let it out to {way}", "bail.open", (*free, seen("way", str(k)), *stand), 14)

    def _gates(self, way: str) -> tuple[tuple[str, Position], ...]:
        zones = [zone.name for zone in self.plant.zones]
        boundary = next(b for b in self.plant.boundaries if zones[b.target] == way)
        return tuple((self.plant.parts[part].name, position) for part, position in boundary.needs)

    def _slides(self) -> Iterator[Press]:
        """Slide gates the program does not work: those without power or without a sensor of the place they keep."""
        names = {entry.name for entry in self.netlist.inputs}
        # whoever catches by hand keeps the hands free while a head is coming
        hands = (~seen("catching", "crush"),) if self.hold and not self.program else ()
        for boundary in self.plant.boundaries:
            source, target = self.plant.zones[boundary.source], self.plant.zones[boundary.target]
            if target.kind != ZoneKind.RACE or not boundary.needs:
                continue
            part = self.plant.parts[boundary.needs[0][0]]
            if self.program and part.powered and f"{target.name}.occupied" in names:
                continue
            up = (~seen("occupied", target.name), seen("standing", source.name), *hands)
            behind = (seen("standing", target.name), ~seen("entering", target.name), *hands)
            yield from self._move(f"let one up through the {part.name}", f"{part.name}.open", up, 16)
            yield from self._move(f"shut the {part.name} behind it", f"{part.name}.close", behind, 16)
