"""The powered side of the SimPy yard: parts that travel, timers that run, and the netlist scanned in plain Python.

The scan is `netlist.reference`, what sensors see is the plant table's own truth program, and oil and times are
`motion`'s; how they are put together here owes nothing to the compiled loop.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stockproof.motion.kernel import begin, new_state, stop
from stockproof.motion.laws import MotionLaws, constant_laws
from stockproof.netlist.model import InputKind, Netlist, Timer
from stockproof.netlist.reference import evaluate_scan, started
from stockproof.plant.model import Part as PlantPart
from stockproof.plant.model import PartKind, Plant, Position, Truth, TruthKind, Undriven

if TYPE_CHECKING:
    from tests.flow.oracle import Yard

__all__ = ["Controller", "Part"]

MOST_SCANS = 64


@dataclass(slots=True, eq=False)
class Part:
    """Something that moves: where it is, and the trip it is on."""

    index: int
    spec: PlantPart
    at: float
    to: float = 0.0
    since_s: float = 0.0
    until_s: float = 0.0
    moving: bool = False
    motion: int | None = None
    trip: int = 0

    def position(self, now_s: float) -> float:
        """Between 0 closed and 1 open."""
        if not self.moving or self.until_s <= self.since_s:
            return self.at
        return self.at + (self.to - self.at) * min(1.0, (now_s - self.since_s) / (self.until_s - self.since_s))

    def stands(self, at: float) -> bool:
        return not self.moving and self.at == at


class Controller:
    """The control program and what it drives."""

    def __init__(self, yard: Yard, netlist: Netlist, plant: Plant, laws: MotionLaws | None) -> None:
        self.yard, self.netlist, self.plant = yard, netlist, plant
        self.laws = laws or constant_laws({motion.name: motion.time_s for motion in plant.motions})
        self.arrays = self.laws.arrays()
        self.oil = new_state(self.arrays)
        self.memory = started(netlist)
        self.values: list[bool] = [False] * len(netlist)
        self.parts = [Part(k, part, part.rest / 2) for k, part in enumerate(plant.parts)]
        self.pressed = {i.name: 0 for i in netlist.inputs if i.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED)}
        self.node_input = {i.node: i.name for i in netlist.inputs}
        self.elapsed = {timer.name: False for timer in netlist.timers}
        self.clock: dict[str, int | None] = {timer.name: None for timer in netlist.timers}
        self.runs = 0
        self.plant_motion = {motion.name: motion for motion in plant.motions}
        self.driven = {motion.name: False for motion in netlist.motions}
        self.refused = {motion.name: False for motion in netlist.motions}

    # Reading and scanning

    def turn(self) -> None:
        """Scan until no remembered bit changes, then drive."""
        inputs = {**self._sensors(), **{name: count > 0 for name, count in self.pressed.items()}}
        for _ in range(MOST_SCANS):
            inputs |= {self.node_input[timer.elapsed]: self.elapsed[timer.name] for timer in self.netlist.timers}
            self.values, after = evaluate_scan(self.netlist, inputs, self.memory)
            for k, timer in enumerate(self.netlist.timers):
                self._watch(k, timer)
            if after == self.memory:
                self._drive()
                return
            self.memory = after
        raise AssertionError(f"the logic does not settle at {self.yard.now} s")

    def signal(self, name: str) -> bool:
        """A named signal, lamp or motion as last scanned."""
        outputs = {motion.name: motion.node for motion in self.netlist.motions}
        outputs |= {lamp.name: lamp.node for lamp in self.netlist.lamps}
        return self.values[outputs[name] if name in outputs else self.netlist.names[name]]

    def _sensors(self) -> dict[str, bool]:
        facts = {truth.name: self._truth(truth) for truth in self.plant.truths}
        seen, _ = evaluate_scan(self.plant.truth, facts, {})
        known = {entry.name for entry in self.netlist.inputs}
        return {sensor.name: seen[sensor.sure] for sensor in self.plant.sensors if sensor.name in known}

    def _truth(self, truth: Truth) -> bool:
        yard, kind, of = self.yard, truth.kind, truth.of
        if kind in (TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN):
            part = self.parts[of]
            if kind == TruthKind.AT_MID:
                return part.stands(0.5) if self._stops_midway(of) else part.moving or 0.0 < part.at < 1.0
            return part.stands(0.0 if kind == TruthKind.AT_CLOSED else 1.0)
        if kind == TruthKind.PERSON:
            return yard.in_space[self.plant.spaces[of].name] > 0
        if kind == TruthKind.GRIPPED:
            return self._grips(self.parts[of])
        if kind == TruthKind.SUPPLY:
            return True
        if kind == TruthKind.ASTRIDE:
            boundary = self.plant.boundaries[of]
            source, target = (self.plant.zones[z].name for z in (boundary.source, boundary.target))
            return yard.across(source, target)
        return yard.zone_truth(self.plant.zones[of].name, kind)

    def _stops_midway(self, part: int) -> bool:
        return any(motion.part == part and motion.target == Position.MID for motion in self.plant.motions)

    def _grips(self, part: Part) -> bool:
        zone = self.plant.zones[part.spec.zone].name if part.spec.zone >= 0 else ""
        if part.spec.kind == PartKind.BAIL:
            return self.yard.holds(zone)
        return self.yard.anybody(zone) and part.stands(0.0)

    # Timers

    def _watch(self, k: int, timer: Timer) -> None:
        if not self.values[timer.when]:
            self.elapsed[timer.name], self.clock[timer.name] = False, None
        elif not self.values[timer.running]:
            self.runs += 1
            self.clock[timer.name] = self.runs
            self.yard.after(timer.preset_s, self._ring, k, timer, self.runs)

    def _ring(self, k: int, timer: Timer, run: int) -> None:
        if self.clock[timer.name] == run:
            self.clock[timer.name] = None
            self.elapsed[timer.name] = True
            self.yard.note("TIMER_ELAPSES", k, 0)
            self.yard.stir()

    # Driving

    def _drive(self) -> None:
        """Stops before starts, so that a reversal is one instant."""
        wanted = {motion.name: self.values[motion.node] for motion in self.netlist.motions}
        for k, motion in enumerate(self.netlist.motions):
            if self.driven[motion.name] and not wanted[motion.name]:
                self.driven[motion.name] = False
                self._let_go(k, motion.name)
        for k, motion in enumerate(self.netlist.motions):
            if wanted[motion.name] and not self.driven[motion.name]:
                self.driven[motion.name] = True
                self._start(k, motion.name)
            refused = motion.request >= 0 and self.values[motion.request] and not wanted[motion.name]
            if refused and not self.refused[motion.name]:
                self.yard.note("PERMIT_REFUSED", k, 0)
            self.refused[motion.name] = refused

    def _start(self, k: int, name: str) -> None:
        spec = self.plant_motion[name]
        part, to = self.parts[spec.part], spec.target / 2
        self.halt(part)
        share = abs(to - part.at)
        if share == 0.0:
            return
        arrives_s = begin(self.arrays, self.oil, self.laws.index(name), share, self.yard.now)
        self._set_going(part, to, arrives_s, k)
        self._put_off()
        self.yard.note("MOTION_BEGINS", part.index, k)
        for touched in self._shut_on(part, to):
            self.yard.note("GATE_TOUCHES", part.index, touched)

    def _put_off(self) -> None:
        """Where there is no store what begins or stops changes when parts on their way arrive."""
        for part in self.parts:
            if not part.moving or part.motion is None:
                continue
            row = self.laws.index(self.netlist.motions[part.motion].name)
            until_s = float(self.oil.until_s[row])
            if until_s != part.until_s and self.oil.left_m3[row] > 0.0:
                part.at = part.position(self.yard.now)
                part.since_s, part.until_s = self.yard.now, until_s
                part.trip += 1
                self.yard.after(until_s - self.yard.now, self._arrive, part, part.trip)

    def _shut_on(self, part: Part, to: float) -> Iterator[int]:
        """Animals standing across a way that this part leaves open only elsewhere."""
        for comer, source, target in self.yard.crossings():
            for need, position in self.needs(source, target):
                if need is part and position != to:
                    yield comer

    def needs(self, source: str, target: str) -> list[tuple[Part, float]]:
        """The parts on a way and where each must stand."""
        zones = [zone.name for zone in self.plant.zones]
        for boundary in self.plant.boundaries:
            if (zones[boundary.source], zones[boundary.target]) == (source, target):
                return [(self.parts[part], position / 2) for part, position in boundary.needs]
        return []

    def _set_going(self, part: Part, to: float, arrives_s: float, motion: int | None) -> None:
        part.to, part.since_s, part.until_s, part.moving, part.motion = to, self.yard.now, arrives_s, True, motion
        part.trip += 1
        if math.isfinite(arrives_s):
            self.yard.after(arrives_s - self.yard.now, self._arrive, part, part.trip)
        self.yard.stir()

    def _arrive(self, part: Part, trip: int) -> None:
        if part.trip != trip:
            return
        motion = -1 if part.motion is None else part.motion
        part.at, part.moving, part.motion = part.to, False, None
        self.yard.note("PART_ARRIVES", part.index, motion)
        self.yard.part_arrived(part)
        self.yard.stir()

    def halt(self, part: Part) -> None:
        """Stop a part where it is."""
        if not part.moving:
            return
        part.at = part.position(self.yard.now)
        if part.motion is not None:
            stop(self.arrays, self.oil, self.laws.index(self.netlist.motions[part.motion].name), self.yard.now)
        part.moving, part.motion = False, None
        part.trip += 1
        self._put_off()
        self.yard.stir()

    def jam(self, part: Part) -> None:
        """A body is in the way: it stays where it is, driven or not."""
        if part.moving:
            part.at = part.position(self.yard.now)
            part.since_s, part.until_s = self.yard.now, math.inf
            part.trip += 1
            if part.motion is not None:
                self.oil.left_m3[self.laws.index(self.netlist.motions[part.motion].name)] = 0.0

    def _let_go(self, k: int, name: str) -> None:
        """The valve is not driven any more."""
        spec = self.plant_motion[name]
        part = self.parts[spec.part]
        if spec.undriven == Undriven.STAYS_WHERE_SET and part.moving:
            return
        if spec.undriven in (Undriven.SPRINGS_BACK, Undriven.BY_WEIGHT):
            self.halt(part)
            back = 1.0 - spec.target / 2
            full_s = float(self.laws.time_s[self.laws.index(name), -1])
            self._set_going(part, back, self.yard.now + abs(back - part.at) * full_s, None)
        elif part.motion == k:
            self.halt(part)
            self.yard.note("MOTION_STOPS", part.index, k)

    def by_hand(self, name: str, to: float, takes_s: float) -> None:
        """Somebody moves a part that no motion drives."""
        part = self.parts[self.plant.part_at(name)]
        self._set_going(part, to, self.yard.now + takes_s, None)

    def gate_by_hand(self, part: int, to: float) -> None:
        """An access gate leaves its end at once when opened, and is shut when let go into its latch."""
        self.parts[part].at = to
        self.yard.stir()
