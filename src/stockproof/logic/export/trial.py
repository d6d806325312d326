"""Trials of a control program: a state is set up as people would, a button held, then one thing is changed.

Acceptance steps are tried here before they are printed, so that no sheet asks for what the program does not do.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice

from stockproof.logic.export.dependence import NO
from stockproof.logic.export.people import Program
from stockproof.netlist.model import InputKind
from stockproof.netlist.reference import evaluate_scan, started

__all__ = ["Attempt", "attempt", "permit_attempts", "stop_attempts", "untried_permits"]


@dataclass(frozen=True, slots=True)
class Attempt:
    """A motion that a held button starts, and what takes it away.

    Parameters
    ----------
    motion, button : str
        What moves, and the control that is held.
    before : tuple of (str, bool)
        Inputs that are otherwise than at rest.
    changed : str
        The input that changes while the button is held, or empty.
    permit : str
        The permit that this takes away, or empty.
    """

    motion: str
    button: str
    before: tuple[tuple[str, bool], ...]
    changed: str = ""
    permit: str = ""

    def now(self, program: Program, name: str) -> bool:
        """Give an input's value before the change."""
        return dict(self.before).get(name, at_rest(program)[name])


def at_rest(program: Program) -> dict[str, bool]:
    """Give the inputs of an empty line at rest: no emergency stop pressed, every guard shut, all else off."""
    found = {}
    for i in program.fields:
        guard = i.kind == InputKind.SENSOR and "access" in i.name and i.name.endswith(".closed")
        found[i.name] = guard or i.name.endswith(".emergency_ok")
    return found


@lru_cache(maxsize=4)
def permit_attempts(program: Program) -> tuple[Attempt, ...]:
    """Give an attempt for each input that each permit rests on, as far as rest, leave and buttons can show it."""
    return tuple(
        found
        for motion in program.assembly.motions
        for k in range(1, len(motion.permits) + 1)
        for found in _of_permit(program, motion.name, f"{motion.name}.permit.{k}")
    )


def untried_permits(program: Program) -> tuple[str, ...]:
    """Give the permits of which no attempt could be made."""
    tried = {found.permit for found in permit_attempts(program)}
    names = [f"{m.name}.permit.{k}" for m in program.assembly.motions for k in range(1, len(m.permits) + 1)]
    return tuple(name for name in names if name not in tried)


def stop_attempts(program: Program) -> tuple[Attempt, ...]:
    """Give every emergency stop with every motion a button starts, where it stops it and releasing starts nothing."""
    stops = [name for name in program.terminals if name.endswith(".emergency_ok")]
    moved = [attempt(program, motion.name) for motion in program.assembly.motions]
    tried = [replace(one, changed=stop) for stop in stops for one in moved if one is not None]
    return tuple(one for one in tried if _obeys(program, one))


def attempt(program: Program, motion: str) -> Attempt | None:
    """Give a set-up in which a button moves a part with the program at rest, changing no more than it must."""
    return next((found for button in _buttons(program, motion) for found in _set_up(program, motion, button)), None)


def _of_permit(program: Program, motion: str, permit: str) -> list[Attempt]:
    """A second button is tried only where no sensor or switch takes the permit away."""
    reads = _rests_on(program, permit)
    for button in _buttons(program, motion):
        fields = [i for i in program.fields if i.node in reads and i.name != button]
        sensed = [i.name for i in fields if i.kind != InputKind.MOMENTARY]
        pressed = [i.name for i in fields if i.kind == InputKind.MOMENTARY]
        for first in _set_up(program, motion, button):
            base = replace(first, permit=permit)
            found = [a for a in (replace(base, changed=c) for c in sensed) if _stops(program, a)]
            if not found:
                second = (_by_button(program, base, name) for name in pressed)
                found = list(islice((a for a in second if _stops(program, a)), 1))
            if found:
                return found
    return []


def _by_button(program: Program, base: Attempt, pressed: str) -> Attempt:
    """Set up so that the part moves, and a second button would take the permit away, wherever sensors can do so."""
    diagrams, rest = program.diagrams, at_rest(program)
    nodes = {i.name: i.node for i in program.fields}
    known = _known(program) | {nodes[base.button]: True}
    moves = diagrams.given(diagrams.of(program.netlist.names[base.motion]), known | {nodes[pressed]: False})
    stays = diagrams.given(diagrams.of(program.netlist.names[base.permit]), known | {nodes[pressed]: True})
    chosen = _closest(program, diagrams.and_(moves, diagrams.not_(stays))) or {}
    before = tuple((name, value) for name, value in chosen.items() if value != rest[name])
    return replace(base, before=before, changed=pressed)


def _rests_on(program: Program, permit: str) -> set[int]:
    """What a permit depends on, through the latches it reads too."""
    diagrams = program.diagrams
    reads = set(diagrams.support(diagrams.of(program.netlist.names[permit])))
    for node in sorted(reads & set(program.kept.values())):
        reads |= set(diagrams.support(diagrams.body(node)))
    return reads


def _buttons(program: Program, motion: str) -> list[str]:
    return [name for name in program.assembly.groups.get(motion, ()) if name in program.terminals]


def _set_up(program: Program, motion: str, button: str) -> Iterator[Attempt]:
    """Sensors set so that the button moves the part: first with the one button, then with an enabling button too."""
    netlist, rest, known = program.netlist, at_rest(program), _known(program)
    nodes = {i.name: i.node for i in program.fields}
    enabling = [name for name in nodes if name.endswith(".enable")][:1]
    for held in ([button], [button, *enabling]) if enabling else ([button],):
        function = program.diagrams.of(netlist.names[motion])
        function = program.diagrams.given(function, {**known, **{nodes[name]: True for name in held}})
        chosen = _closest(program, function)
        if chosen is not None:
            wanted = {**chosen, **dict.fromkeys(held[1:], True)}
            before = tuple((name, value) for name, value in wanted.items() if value != rest[name])
            found = Attempt(motion, button, before)
            if _Controller(program, found).driven(motion):
                yield found


def _known(program: Program) -> dict[int, bool]:
    """All but the sensors with the program at rest: leave given, nothing pressed, first steps, timers still."""
    netlist, rest = program.netlist, at_rest(program)
    known = {i.node: rest[i.name] for i in program.fields if i.kind != InputKind.SENSOR}
    known |= {netlist.memories[k].node: False for chart in netlist.charts for k in chart.memories}
    known |= {t.q: False for t in netlist.timers}
    return known | {node: all(node != chart.enabled for chart in netlist.charts) for node in program.kept.values()}


def _closest(program: Program, function: int) -> dict[str, bool] | None:
    """Sensor values that make the function true, as they are at rest wherever the function leaves the choice."""
    diagrams, rest, names = program.diagrams, at_rest(program), {i.node: i.name for i in program.fields}
    found = {}
    while diagrams.support(function):
        node = diagrams.support(function)[0]
        if node not in names:
            return None
        value = rest[names[node]]
        if diagrams.given(function, {node: value}) == NO:
            value = not value
        found[names[node]] = value
        function = diagrams.given(function, {node: value})
    return None if function == NO else found


def _stops(program: Program, tried: Attempt) -> bool:
    """Whether the change takes the permit, and with it the motion, within one scan."""
    controller = _Controller(program, tried)
    moved = controller.driven(tried.motion)
    controller.scan({tried.changed: not tried.now(program, tried.changed)})
    return moved and not controller.driven(tried.motion) and not controller.driven(tried.permit)


def _obeys(program: Program, tried: Attempt) -> bool:
    """Whether an emergency stop stops the motion, and its release with the button still held starts nothing."""
    controller = _Controller(program, tried)
    moved = controller.driven(tried.motion)
    controller.scan({tried.changed: False})
    stopped = not controller.driven(tried.motion)
    controller.scan({tried.changed: True}, 3)
    return moved and stopped and not controller.driven(tried.motion)


class _Controller:
    """A controller from power-up, given leave, with the attempt's button held; timers stand still."""

    def __init__(self, program: Program, tried: Attempt) -> None:
        self.netlist = program.netlist
        self.inputs = {i.name: False for i in self.netlist.inputs} | at_rest(program) | dict(tried.before)
        self.memory = started(self.netlist)
        self.values: list[bool] = []
        resets = [name for name in program.terminals if name.endswith(".reset")]
        held_too = {i.name for i in program.fields if i.kind == InputKind.MOMENTARY} & set(dict(tried.before))
        self.scan(dict.fromkeys(held_too, False))
        self.scan(dict.fromkeys(resets, True), 2)
        self.scan(dict.fromkeys(resets, False), 2)
        self.scan({tried.button: True, **dict.fromkeys(held_too, True)}, 2)

    def scan(self, changes: Mapping[str, bool], times: int = 1) -> None:
        self.inputs |= changes
        for _ in range(times):
            self.values, self.memory = evaluate_scan(self.netlist, self.inputs, self.memory)

    def driven(self, name: str) -> bool:
        return self.values[self.netlist.names[name]]
