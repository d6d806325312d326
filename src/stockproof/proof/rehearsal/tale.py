"""A story of the logic check, acted out: its moves carried out on the plant, the netlist scanned along with them.

The stories go where no clock leads (an animal backs up, somebody opens a gate at the worst moment), so they are not
run by the flow kernel: the plant stands as the story's moves leave it, and the control is scanned by the reference.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from stockproof.logic.story import Step, Story
from stockproof.netlist.model import InputKind, Netlist
from stockproof.netlist.reference import evaluate_scan, started
from stockproof.plant.model import PartKind, Plant, Position, Truth, TruthKind

__all__ = ["Scene", "act_out"]

CONTROLS = (InputKind.MOMENTARY, InputKind.MAINTAINED)
ENDS = {"opens": Position.OPEN, "closes": Position.CLOSED, "shuts": Position.CLOSED}


@dataclass(frozen=True, slots=True)
class Scene:
    """One step of a story as it is shown.

    Parameters
    ----------
    said : tuple of str
        What the step adds to the story.
    parts : tuple of Position
        Where each part stands.
    within : dict of zone to int; astride : tuple of str
        Animals wholly in each zone; boundaries an animal stands across.
    neck : bool
        A head is through the bail.
    people : tuple of str
        Spaces somebody is in.
    pressed, driven, lamps, sensors
        As in `flow.live.Snapshot`, in the netlist's order.
    """

    said: tuple[str, ...]
    parts: tuple[Position, ...]
    within: dict[str, int]
    astride: tuple[str, ...]
    neck: bool
    people: tuple[str, ...]
    pressed: tuple[str, ...]
    driven: tuple[str, ...]
    lamps: tuple[bool, ...]
    sensors: tuple[bool, ...]


@dataclass(slots=True)
class _Plant:
    """The plant as the moves leave it."""

    plant: Plant
    parts: list[Position]
    within: dict[str, int] = field(default_factory=dict)
    astride: dict[str, bool] = field(default_factory=dict)
    neck: bool = False
    people: dict[str, bool] = field(default_factory=dict)
    switches: dict[str, bool] = field(default_factory=dict)
    elapsed: dict[str, bool] = field(default_factory=dict)
    settled: str = ""

    def carry_out(self, move: str) -> None:
        """Do what a move of the checker's world does; see `logic.world_moves`."""
        word, _, what = move.rpartition(" ")
        motions = {motion.name: motion for motion in self.plant.motions}
        if move in motions:
            self._toward(motions[move].part, motions[move].target)
        elif what == "back" and word in motions:
            motion = motions[word]
            self._toward(motion.part, Position.CLOSED if motion.target == Position.OPEN else Position.OPEN)
        elif word.endswith(" by hand"):
            self._toward(self.plant.part_at(word.removesuffix(" by hand")), ENDS[what])
        elif self.plant.part_at(word) >= 0 and what in ("opens", "shuts"):
            self.parts[self.plant.part_at(word)] = ENDS[what]
        elif any(space.name == word for space in self.plant.spaces):
            self.people[word] = what == "enter"
        elif move.startswith("neck "):
            self.neck = what == "in"
        elif move.startswith("turn "):
            name = move.removeprefix("turn ")
            self.switches[name] = not self.switches.get(name, name.endswith("emergency_ok"))
        elif what == "elapses":
            self.elapsed[word] = True
        elif move.startswith("settle "):
            self.settled = move.removeprefix("settle ")
        else:
            self._walk(move)

    def _toward(self, part: int, target: Position) -> None:
        """One position on; a part that people or a magnet move is at one end or the other."""
        if self.plant.parts[part].kind in (PartKind.ACCESS, PartKind.LOCK) or target == Position.MID:
            self.parts[part] = target
        else:
            at = self.parts[part]
            self.parts[part] = Position(at + (target > at) - (target < at))

    def _walk(self, move: str) -> None:
        boundary = next((b for b in self.plant.boundaries if move.startswith(f"{b.name} ")), None)
        if boundary is None:
            return
        what = move.removeprefix(f"{boundary.name} ")
        source, target = (self.plant.zones[k].name for k in (boundary.source, boundary.target))
        self.astride[boundary.name] = what in ("begin", "back out")
        if what in ("begin", "turn back"):
            self._add(source, -1 if what == "begin" else 1)
        else:
            self._add(target, 1 if what == "finish" else -1)
        left = source if what == "begin" else target if what == "back out" else ""
        if left and left == self.plant.zones[self.plant.crush].name:
            self.neck, self.settled = False, ""

    def _add(self, zone: str, by: int) -> None:
        self.within[zone] = max(0, self.within.get(zone, 0) + by)

    def so(self, truth: Truth) -> bool:
        """One atomic fact as it is now."""
        kind, of = truth.kind, truth.of
        if kind in (TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN):
            return self.parts[of] == kind - TruthKind.AT_CLOSED
        if kind == TruthKind.PERSON:
            return self.people.get(self.plant.spaces[of].name, False)
        if kind == TruthKind.ASTRIDE:
            return self.astride.get(self.plant.boundaries[of].name, False)
        if kind in (TruthKind.OCCUPIED, TruthKind.CROWDED):
            return self._touching(of) > (kind == TruthKind.CROWDED)
        if kind == TruthKind.GRIPPED:
            bail = self.plant.parts[of].kind == PartKind.BAIL
            there = self.neck if bail else self.within.get(self.plant.zones[self.plant.crush].name, 0) > 0
            return there and self.parts[of] == Position.CLOSED
        others = {TruthKind.NECK: self.neck, TruthKind.SUPPLY: True, TruthKind.SETTLED: bool(self.settled)}
        others |= {TruthKind.READ: bool(self.settled), TruthKind.DECIDED: self.plant.zones[of].name == self.settled}
        return others.get(kind, False)

    def _touching(self, zone: int) -> int:
        across = sum(self.astride.get(b.name, False) for b in self.plant.boundaries if zone in (b.source, b.target))
        return self.within.get(self.plant.zones[zone].name, 0) + across


def act_out(story: Story, netlist: Netlist, plant: Plant) -> Iterator[Scene]:
    """Give the scenes of a story, one a step that says something, and the last one."""
    state = _Plant(plant, [part.rest for part in plant.parts])
    memory = started(netlist)
    said: list[str] = []
    for k, step in enumerate(story.steps):
        inputs = _inputs(state, step, netlist)
        values, memory = evaluate_scan(netlist, inputs, memory)
        driven = tuple(motion.name for motion in netlist.motions if values[motion.node])
        for move in step.moves:
            state.carry_out(move)
        said += step.said
        if not said and k < len(story.steps) - 1:
            continue
        ending = story.sentences[-1:] if k == len(story.steps) - 1 else ()
        yield Scene(
            said=(*said, *ending),
            parts=tuple(state.parts),
            within=dict(state.within),
            astride=tuple(name for name, across in state.astride.items() if across),
            neck=state.neck,
            people=tuple(name for name, inside in state.people.items() if inside),
            pressed=tuple(i.name for i in netlist.inputs if i.kind in CONTROLS and inputs[i.name]),
            driven=driven,
            lamps=tuple(values[lamp.node] for lamp in netlist.lamps),
            sensors=tuple(inputs[i.name] for i in netlist.inputs if i.kind == InputKind.SENSOR),
        )
        said = []


def _inputs(state: _Plant, step: Step, netlist: Netlist) -> dict[str, bool]:
    """What the control reads in a step: what the plant shows, what is pressed, and the readings that are wrong."""
    plant = state.plant
    facts = {truth.name: state.so(truth) for truth in plant.truths}
    shown, _ = evaluate_scan(plant.truth, facts, {})
    wrong = {event.partition(" ")[2] for event in step.events if event.startswith(("unsure ", "flicker "))}
    inputs = {sensor.name: shown[sensor.sure] != (sensor.name in wrong) for sensor in plant.sensors}
    for entry in netlist.inputs:
        if entry.kind == InputKind.MOMENTARY:
            inputs[entry.name] = entry.name in step.events
        elif entry.kind == InputKind.MAINTAINED:
            stop = entry.name.endswith("emergency_ok")
            inputs[entry.name] = state.switches.get(entry.name, stop) != (entry.name in step.events)
        elif entry.kind == InputKind.ELAPSED:
            inputs[entry.name] = state.elapsed.get(entry.name.removesuffix(".elapsed"), False)
    return inputs
