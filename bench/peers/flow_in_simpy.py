"""The line of the trust check written the way SimPy writes it, running the same logic on the same draws.

A forcing pen, a race, a crush with entry gate and head bail, one operator and one worker; the control netlist is
scanned by its plain Python evaluation. Nothing of the compiled kernel is used but its keyed draws, handed in as a
function; the animals' path must come out the same, event by event.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Mapping
from dataclasses import dataclass, field
from typing import Any

import simpy

from stockproof.flow.model import Line
from stockproof.netlist.model import InputKind, Netlist, Op
from stockproof.plant.model import Plant, TruthKind

__all__ = ["Drawn", "SimpyLine"]

#: Draws one value: which law (its purpose in words), of which animal, with which ordinal.
Drawn = Callable[[str, int, int], float]
Process = Generator[Any, Any, None]
#: Evaluates every node of a program into a list that holds inputs and memory already.
Evaluate = Callable[[list[bool]], None]
NEVER = float("inf")


def node_by_node(program: list[tuple[int, int, int]]) -> Evaluate:
    """Give a function that evaluates a program by reading it, one node after the other."""

    def evaluate(values: list[bool]) -> None:
        for i, (op, a, b) in enumerate(program):
            if op == Op.AND:
                values[i] = values[a] and values[b]
            elif op == Op.OR:
                values[i] = values[a] or values[b]
            elif op == Op.NOT:
                values[i] = not values[a]
            elif op == Op.XOR:
                values[i] = values[a] != values[b]

    return evaluate


@dataclass
class Gate:
    at: float
    moving: bool = False
    since_s: float = 0.0
    until_s: float = 0.0
    start: float = 0.0
    to: float = 0.0
    number: int = 0


@dataclass
class SimpyLine:
    """One replication; `times[animal][zone]` holds began, in, done, left as the kernel's records do."""

    line: Line
    netlist: Netlist
    plant: Plant
    drawn: Drawn
    head: int
    scan_of: Callable[[list[tuple[int, int, int]]], Evaluate] = node_by_node
    env: simpy.Environment = field(default_factory=simpy.Environment)
    times: dict[tuple[int, str, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.values = [False] * len(self.netlist)
        for i, (op, a) in enumerate(zip(self.netlist.op, self.netlist.a, strict=True)):
            if op == Op.CONST:
                self.values[i] = bool(a)
        for memory in self.netlist.memories:
            self.values[memory.node] = memory.start
        self.program = [
            (int(o), int(a), int(b)) for o, a, b in zip(self.netlist.op, self.netlist.a, self.netlist.b, strict=True)
        ]
        self.truth_program = [
            (int(o), int(a), int(b))
            for o, a, b in zip(self.plant.truth.op, self.plant.truth.a, self.plant.truth.b, strict=True)
        ]
        self.evaluate, self.evaluate_truth = self.scan_of(self.program), self.scan_of(self.truth_program)
        self.gates = {part.name: Gate(part.rest / 2) for part in self.plant.parts}
        self.pressed: dict[str, bool] = dict.fromkeys(self.line.switched_on, True)
        self.race: list[int] = []
        self.into_race: int | None = None
        self.into_crush: int | None = None
        self.leaving: int | None = None
        self.crush: int | None = None
        self.phase = "none"
        self.standing = self.race_standing = False
        self.todo = {a: {task.name for task in self.line.tasks} for a in range(self.head)}
        self.gone = 0
        self.driven: set[str] = set()
        self.elapsed = {timer.name: NEVER for timer in self.netlist.timers}
        self.changed = self.env.event()
        self.catch = next(zone.catch for zone in self.line.zones if zone.catch)
        self.finished = self.env.event()

    def run(self) -> float:
        """Run to the last animal; gives the time."""
        self.env.process(self._fill_race())
        self.env.process(self._lead_race())
        self.env.process(self._operate())
        self.env.process(self._work())
        self._scan()
        self.env.run(until=self.finished)
        return float(self.env.now)

    # Waiting for something to become so

    def _touch(self) -> None:
        self._scan()
        changed, self.changed = self.changed, self.env.event()
        changed.succeed()

    def _until(self, so: Callable[[], bool]) -> Process:
        while not so():
            yield self.changed

    def _stamp(self, animal: int, zone: str, what: str) -> None:
        self.times[animal, zone, what] = float(self.env.now)

    # Animals

    def _fill_race(self) -> Process:
        free_s = 0.0
        for animal in range(self.head):
            if self.env.now < free_s:
                yield self.env.timeout(free_s - self.env.now)
            yield from self._until(lambda: len(self.race) < self._places("race") and self.into_race is None)
            self.into_race = animal
            self._stamp(animal, "race", "began")
            self._touch()
            yield self.env.timeout(self.drawn("crossing: pen > race", animal, 0))
            self.into_race = None
            self.race.append(animal)
            self._stamp(animal, "race", "in")
            free_s = self.env.now + self.drawn("headway: pen", animal, 0)
            self._touch()

    def _lead_race(self) -> Process:
        free_s = 0.0
        for animal in range(self.head):
            yield from self._until(lambda: bool(self.race))
            ready_s = max(self.times[animal, "race", "in"] + self.drawn("transit: race", animal, 0), free_s)
            if ready_s > self.env.now:
                yield self.env.timeout(ready_s - self.env.now)
            self.race_standing = True
            self._touch()
            yield from self._until(lambda: self._is("entry", 1.0) and self.crush is None and self.into_crush is None)
            self.race_standing = False
            self.into_crush = animal
            self._stamp(animal, "crush", "began")
            took_s = self.drawn("crossing: race > crush", animal, 1) * self.drawn("pace", animal, 0)
            self.phase = "coming"
            self.env.process(self._approach(animal, self.env.now, took_s))
            self._touch()
            yield self.env.timeout(took_s)
            self.race.pop(0)
            self._stamp(animal, "race", "left")
            free_s = self.env.now + self.drawn("headway: race", animal, 0)
            self.into_crush, self.crush, self.standing = None, animal, True
            self._stamp(animal, "crush", "in")
            self._touch()
            self.env.process(self._leave(animal))

    def _approach(self, animal: int, began_s: float, took_s: float) -> Process:
        catch = self.catch

        def at(past_m: float) -> float:
            return began_s + (catch.length_m + past_m) / catch.body_m * took_s

        yield self.env.timeout(at(-catch.sensor_m) - self.env.now)
        self.phase = "sensor"
        self._touch()
        yield self.env.timeout(max(0.0, at(catch.head_m) - self.env.now))
        assert self._position("bail") > catch.head_at, "the trust check's line is set so that no catch fails"
        self.phase = "neck"
        self._touch()
        shut = self.env.process(self._until(lambda: self._is("bail", 0.0)))
        yield shut | self.env.timeout(at(catch.head_m + catch.neck_m) - self.env.now)
        assert self._position("bail") <= catch.neck_at, "the trust check's line is set so that no catch fails"
        self.phase = "held"
        self._touch()

    def _leave(self, animal: int) -> Process:
        yield from self._until(lambda: self.phase == "held")
        yield from self._until(lambda: self._is("bail", 1.0))
        self.phase = "let go"
        self.leaving = animal
        self._touch()
        yield self.env.timeout(self.drawn("crossing: crush > out", animal, 2))
        self.crush, self.leaving, self.standing, self.phase = None, None, False, "none"
        self._stamp(animal, "crush", "left")
        self._stamp(animal, "out", "in")
        self.gone += 1
        self._touch()
        if self.gone == self.head:
            self.finished.succeed()

    # People

    def _work(self) -> Process:
        task = self.line.tasks[0]
        for animal in range(self.head):
            yield from self._until(lambda a=animal: self.crush == a and self.phase == "held" and self._is("bail", 0.0))  # type: ignore[misc]
            yield self.env.timeout(self.drawn(f"task: {task.name}", animal, 0))
            self.todo[animal].discard(task.name)
            self._stamp(animal, "crush", "done")
            self._touch()

    def _operate(self) -> Process:
        for press in self.line.presses[:2]:
            yield from self._press(press.name, press.control, -1, press.press_s)
        done = self.line.presses[2]
        for animal in range(self.head):
            yield from self._until(
                lambda a=animal: self.crush == a and self.standing and not self.todo[a] and self._signal("program.work")  # type: ignore[misc]
            )
            yield from self._press(done.name, done.control, animal, done.press_s)

    def _press(self, name: str, control: str, animal: int, press_s: float) -> Process:
        yield self.env.timeout(self.drawn(f"press: {name}", animal, 1))
        self.pressed[control] = True
        self._touch()
        yield self.env.timeout(press_s)
        self.pressed[control] = False
        self._touch()

    # Gates

    def _places(self, zone: str) -> int:
        return next(z.places for z in self.line.zones if z.name == zone)

    def _position(self, part: str) -> float:
        gate = self.gates[part]
        if not gate.moving:
            return gate.at
        return gate.start + (gate.to - gate.start) * float(self.env.now - gate.since_s) / (gate.until_s - gate.since_s)

    def _is(self, part: str, at: float) -> bool:
        gate = self.gates[part]
        return not gate.moving and gate.at == at

    def _move(self, part: str, to: float, time_s: float) -> Process:
        gate = self.gates[part]
        at = self._position(part)
        gate.number += 1
        number = gate.number
        gate.start, gate.to, gate.moving, gate.since_s = at, to, True, self.env.now
        gate.until_s = self.env.now + abs(to - at) * time_s
        yield self.env.timeout(gate.until_s - self.env.now)
        if gate.number == number:
            gate.at, gate.moving = to, False
            self._touch()

    def _stop(self, part: str) -> None:
        gate = self.gates[part]
        gate.at, gate.moving = self._position(part), False
        gate.number += 1

    # The control program, by plain evaluation

    def _signal(self, name: str) -> bool:
        return self.values[self.netlist.names[name]]

    def _scan(self) -> None:
        for _ in range(64):
            self._read()
            self.evaluate(self.values)
            self._timers()
            after = {memory.node: self.values[memory.next] for memory in self.netlist.memories}
            settled = all(self.values[node] == value for node, value in after.items())
            for node, value in after.items():
                self.values[node] = value
            if settled and not self._drive():
                return
        raise AssertionError("the logic does not settle")

    def _read(self) -> None:
        truths = [self._truth(truth.kind, truth.of) for truth in self.plant.truths]
        nodes = [False] * len(self.truth_program)
        for entry, value in zip(self.plant.truth.inputs, truths, strict=True):
            nodes[entry.node] = value
        for i, (op, a, _) in enumerate(self.truth_program):
            if op == Op.CONST:
                nodes[i] = bool(a)
        self.evaluate_truth(nodes)
        sensed = {sensor.name: nodes[sensor.sure] for sensor in self.plant.sensors}
        for entry in self.netlist.inputs:
            if entry.kind == InputKind.SENSOR:
                self.values[entry.node] = sensed.get(entry.name, False)
            elif entry.kind != InputKind.ELAPSED:
                self.values[entry.node] = self.pressed.get(entry.name, False)

    def _truth(self, kind: TruthKind, of: int) -> bool:
        if kind in (TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN):
            gate = self.gates[self.plant.parts[of].name]
            ends = {TruthKind.AT_CLOSED: 0.0, TruthKind.AT_OPEN: 1.0}
            return (
                gate.moving or 0 < gate.at < 1
                if kind == TruthKind.AT_MID
                else not gate.moving and gate.at == ends[kind]
            )
        if kind == TruthKind.ASTRIDE:
            name = self.plant.boundaries[of].name
            return {"mouth": self.into_race, "entry": self.into_crush, "bail": self.leaving}[name] is not None
        if kind == TruthKind.SUPPLY:
            return True
        if kind in (TruthKind.OCCUPIED, TruthKind.CROWDED):
            zone = self.plant.zones[of].name
            inside = {"race": len(self.race) + (self.into_race is not None),
                      "crush": (self.crush is not None) + (self.into_crush is not None),
                      "pen": self.head, "out": self.gone}[zone]  # fmt: skip
            return inside > (kind == TruthKind.CROWDED)
        if kind == TruthKind.NECK:
            return self.phase in ("sensor", "neck", "held", "let go")
        if kind == TruthKind.GRIPPED:
            return self.phase == "held"
        return False

    def _timers(self) -> None:
        for timer in self.netlist.timers:
            if not self.values[timer.when]:
                self.elapsed[timer.name] = NEVER
                self.values[timer.elapsed] = False
            elif not self.values[timer.running]:
                self.elapsed[timer.name] = self.env.now + timer.preset_s
                self.env.process(self._elapse(timer.name, timer.elapsed, self.elapsed[timer.name], timer.preset_s))

    def _elapse(self, name: str, node: int, due_s: float, preset_s: float) -> Process:
        yield self.env.timeout(preset_s)
        if self.elapsed[name] == due_s:
            self.values[node] = True
            self._touch()

    def _drive(self) -> bool:
        """Start and stop parts; gives whether any did, so that the sensors must be read again."""
        on = {motion.name for motion in self.netlist.motions if self.values[motion.node]}
        went = False
        for name in sorted(self.driven - on):
            part = name.split(".")[0]
            if self.gates[part].moving:
                self._stop(part)
                went = True
        for motion in self.plant.motions:
            if motion.name in on - self.driven:
                part, to = self.plant.parts[motion.part].name, motion.target / 2
                if self._position(part) != to:
                    self.gates[part].moving = True
                    self.gates[part].since_s = self.gates[part].until_s = self.env.now
                    self.gates[part].start = self.gates[part].at
                    self.env.process(self._move_from(part, self.gates[part].at, to, motion.time_s))
                    went = True
        self.driven = on
        return went

    def _move_from(self, part: str, at: float, to: float, time_s: float) -> Process:
        gate = self.gates[part]
        gate.moving, gate.at = False, at
        yield from self._move(part, to, time_s)


def drawn_from(table: Mapping[tuple[str, int, int], float]) -> Drawn:
    """Draws looked up in a table made beforehand."""
    return lambda purpose, animal, ordinal: table[purpose, animal, ordinal]
