"""A story of the logic check, acted out: its moves carried out on the plant, the netlist scanned along with them.

The stories go where no clock leads (an animal backs up, somebody opens a gate at the worst moment), so they are not
run by the flow kernel: the plant stands as the story's moves leave it, and the whole control is scanned by the
reference, with the fault in it that strikes in the story. Nobody tells it what the check found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations

from stockproof.logic.faults import Fault, FaultKind, single_faults
from stockproof.logic.properties import Property
from stockproof.logic.story import Step, Story
from stockproof.logic.world_moves import keeps_on
from stockproof.netlist.model import InputKind, Netlist
from stockproof.netlist.reference import evaluate_scan, started
from stockproof.plant.model import Plant, Position, Undriven, ZoneKind
from stockproof.proof.rehearsal.outcome import CONTROLS, Unasked, has_come_about
from stockproof.proof.rehearsal.tale_plant import TalePlant

__all__ = ["Scene", "act_out", "fault_in"]

GO_BACK = (Undriven.SPRINGS_BACK, Undriven.BY_WEIGHT, Undriven.DRIFTS)


@dataclass(frozen=True, slots=True)
class Scene:
    """One step of a story as it is shown.

    Parameters
    ----------
    said : tuple of str
        What the step adds to the story.
    not_acted : tuple of str
        Sentences of it that this control and plant would not do; nothing is moved for them.
    parts : tuple of Position
        Where each part stands.
    within : dict of zone to int; astride : tuple of str
        Animals wholly in each zone; boundaries an animal stands across.
    neck, down : bool
        A head is through the bail; an animal lies in the crush.
    people : tuple of str
        Spaces somebody is in.
    pressed, driven, lamps, sensors
        As in `flow.live.Snapshot`, in the netlist's order.
    struck : str
        The fault that is there by now, in words.
    is_bad : bool
        What the story names has come about.
    """

    said: tuple[str, ...]
    not_acted: tuple[str, ...]
    parts: tuple[Position, ...]
    within: dict[str, int]
    astride: tuple[str, ...]
    neck: bool
    down: bool
    people: tuple[str, ...]
    pressed: tuple[str, ...]
    driven: tuple[str, ...]
    lamps: tuple[bool, ...]
    sensors: tuple[bool, ...]
    struck: str
    is_bad: bool


def fault_in(story: Story, netlist: Netlist, plant: Plant) -> Fault | None:
    """Give the fault that strikes in a story, None where all is whole."""
    strikes = any("strike" in step.moves for step in story.steps)
    faults = single_faults(netlist, plant) if strikes else ()
    return next((fault for fault in faults if fault.sentence in story.sentences), None)


def act_out(story: Story, stated: Property, netlist: Netlist, plant: Plant) -> tuple[Scene, ...]:
    """Give the scenes of a story of a property, one a step that says something, and the last one.

    Where a story leaves open whether animals wait in the race, they do if what it names comes about only then.
    """
    followed = {bit.rpartition(".")[0] for bit in story.bits}
    waiting = [z.name for z in plant.zones if z.kind == ZoneKind.RACE and z.name not in followed]
    crowds = [crowd for count in range(len(waiting) + 1) for crowd in combinations(waiting, count)]
    ways = (tuple(_scenes(story, stated, _Stage(story, netlist, plant, crowd))) for crowd in crowds)
    first = next(ways)
    return first if first[-1].is_bad else next((scenes for scenes in ways if scenes[-1].is_bad), first)


def _scenes(story: Story, stated: Property, stage: _Stage) -> Iterator[Scene]:
    said = [f"An animal waits in {zone.label}." for zone in stage.plant.zones if zone.name in stage.waiting]
    not_acted: list[str] = []
    for k, step in enumerate(story.steps):
        last = k == len(story.steps) - 1
        stage.scan(step)
        is_bad = stage.is_bad(stated, step)
        said += step.said
        for move, sentence in zip(step.moves, step.said[len(step.said) - len(step.moves) :], strict=True):
            if not stage.carry_out(move):
                not_acted.append(sentence)
        if said or last:
            yield stage.scene((*said, *story.sentences[-1:]) if last else tuple(said), tuple(not_acted), is_bad)
            said, not_acted = [], []


@dataclass(slots=True)
class _Stage:
    """The plant with its control, and what is wrong with it by now; `waiting` are zones an animal waits in."""

    story: Story
    netlist: Netlist
    plant: Plant
    waiting: tuple[str, ...]
    acted: TalePlant = field(init=False)
    memory: dict[str, bool] = field(init=False)
    fault: Fault | None = field(init=False)
    struck: bool = False
    unasked: Unasked = field(default_factory=Unasked)
    switches: dict[str, bool] = field(default_factory=dict)
    loose: dict[str, bool] = field(default_factory=dict)
    elapsed: dict[str, bool] = field(default_factory=dict)
    inputs: dict[str, bool] = field(default_factory=dict)
    values: list[bool] = field(default_factory=list)
    driven: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.acted = TalePlant(self.plant, [part.rest for part in self.plant.parts])
        self.acted.within = dict.fromkeys(self.waiting, 1)
        self.memory = started(self.netlist)
        self.fault = fault_in(self.story, self.netlist, self.plant)
        inputs = self.netlist.inputs
        turned = [i.name for i in inputs if i.kind == InputKind.MAINTAINED and not i.name.endswith("emergency_ok")]
        self.switches = dict.fromkeys(turned, False)
        unfollowed = [bit.removeprefix("loose.") for bit in self.story.bits if bit.startswith("loose.")]
        self.loose = dict.fromkeys(unfollowed, False)

    def scan(self, step: Step) -> None:
        """Let the control read everything once and drive what it drives."""
        self.inputs = self._inputs(step)
        self.values, self.memory = evaluate_scan(self.netlist, self.inputs, self.memory)
        driven = {motion.name for motion in self.netlist.motions if self.values[motion.node]}
        if self._is(FaultKind.VALVE_DRIVES):
            driven.add(self._target)
        if self._is(FaultKind.VALVE_DEAD):
            driven.discard(self._target)
        self.driven = tuple(motion.name for motion in self.netlist.motions if motion.name in driven)
        for timer in self.netlist.timers:
            self.elapsed[timer.name] = self.elapsed.get(timer.name, False) and self.values[timer.when]
        self.unasked.after(step.events, dict(self.switches), self.acted, self.fault)

    def is_bad(self, stated: Property, step: Step) -> bool:
        return has_come_about(stated, self.netlist, self.acted, step.events, self.values, self.driven, self.unasked.so)

    def carry_out(self, move: str) -> bool:
        """Do a move of the story; False, and nothing done, where it would not happen here."""
        word, _, what = move.rpartition(" ")
        if move == "strike":
            self.struck = self.fault is not None
            return self.struck
        if move == "restart":
            self.memory, self.unasked.so = started(self.netlist), True
            return self._is(FaultKind.RESTART)
        if move.startswith("turn ") and what in self.switches:
            self.switches[what] = not self.switches[what]
        elif what == "elapses":
            self.elapsed[word] = True
        elif what == "changes" and word in self.loose:
            self.loose[word] = not self.loose[word]
        elif not self._is_driven(move):
            return False
        else:
            return self.acted.carry_out(move)
        return True

    def _is_driven(self, move: str) -> bool:
        """A part that a motion moves is driven so, or goes on or back by itself; other moves need no driving."""
        for motion in self.plant.motions:
            if move == motion.name:
                return motion.name in self.driven or keeps_on(motion)
            if move == f"{motion.name} back":
                leaks = self._is(FaultKind.LEAKS) and self._target == motion.name
                return leaks or motion.undriven in GO_BACK
        return True

    def scene(self, said: tuple[str, ...], not_acted: tuple[str, ...], is_bad: bool) -> Scene:
        acted, netlist, inputs = self.acted, self.netlist, self.inputs
        return Scene(
            said=said,
            not_acted=not_acted,
            parts=tuple(acted.parts),
            within=dict(acted.within),
            astride=tuple(b.name for b in self.plant.boundaries if b.name in acted.astride),
            neck=acted.neck,
            down=acted.down,
            people=tuple(space.name for space in self.plant.spaces if space.name in acted.people),
            pressed=tuple(i.name for i in netlist.inputs if i.kind in CONTROLS and inputs[i.name]),
            driven=self.driven,
            lamps=tuple(self.values[lamp.node] for lamp in netlist.lamps),
            sensors=tuple(inputs[i.name] for i in netlist.inputs if i.kind == InputKind.SENSOR),
            struck=self.fault.sentence if self.struck and self.fault else "",
            is_bad=is_bad,
        )

    @property
    def _target(self) -> str:
        return self.fault.target if self.fault else ""

    def _is(self, kind: FaultKind) -> bool:
        """A fault of that kind has struck."""
        return self.struck and self.fault is not None and self.fault.kind == kind

    def _inputs(self, step: Step) -> dict[str, bool]:
        """What the control reads in a step: what the plant shows, what is pressed, and the readings that are wrong."""
        facts = {truth.name: self.acted.so(truth) for truth in self.plant.truths}
        shown, _ = evaluate_scan(self.plant.truth, facts, {})
        wrong = {event.removeprefix("unsure ") for event in step.events if event.startswith("unsure ")}
        inputs = {s.name: self.loose.get(s.name, shown[s.sure]) != (s.name in wrong) for s in self.plant.sensors}
        for entry in self.netlist.inputs:
            if entry.kind == InputKind.MOMENTARY:
                inputs[entry.name] = entry.name in step.events
            elif entry.kind == InputKind.MAINTAINED:
                inputs[entry.name] = self.switches.get(entry.name, True) != (entry.name in step.events)
            elif entry.kind == InputKind.ELAPSED:
                inputs[entry.name] = self.elapsed.get(entry.name.removesuffix(".elapsed"), False)
        if self._target in inputs:
            inputs[self._target] = self._faulty(inputs[self._target], step)
        return inputs

    def _faulty(self, healthy: bool, step: Step) -> bool:
        """What the faulty sensor or contact shows."""
        if self._is(FaultKind.STUCK_ON) or self._is(FaultKind.STUCK_OFF):
            return self._is(FaultKind.STUCK_ON)
        return healthy != (self._is(FaultKind.INTERMITTENT) and f"flicker {self._target}" in step.events)
