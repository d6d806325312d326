"""Tells the way to a state in plain sentences: who does what, what the control does, what animals and parts do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from stockproof.errors import InternalError
from stockproof.logic.explore import Exploration
from stockproof.logic.system import System
from stockproof.logic.world import World
from stockproof.netlist.kernel import scan

__all__ = ["Step", "Story", "tell"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step: events of the scan, moves taken after it, motions driven in it, and the sentences that say so."""

    events: tuple[str, ...]
    moves: tuple[str, ...]
    driven: tuple[str, ...]
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Story:
    """The shortest way from rest to a bad state.

    Parameters
    ----------
    sentences : tuple of str
        Plain sentences in order.
    steps : tuple of Step
        The same for machines, scan by scan.
    states : tuple of int
        The states passed through.
    bits : tuple of str
        The name of each bit of a state.
    """

    sentences: tuple[str, ...]
    steps: tuple[Step, ...]
    states: tuple[int, ...]
    bits: tuple[str, ...] = ()


def tell(world: World, found: Exploration, number: int, pattern: int, ending: str) -> Story:
    """Tell how the state of that number is reached, and what the last pattern there does.

    Parameters
    ----------
    number, pattern : int
        As in `Exploration.first_bad`.
    ending : str
        The sentence that says what is bad.
    """
    states = found.path(number)
    runner = _Runner(world, found.system)
    steps = [runner.between(a, b) for a, b in pairwise(states)]
    steps.append(runner.last(states[-1], pattern))
    told = tuple(replace(step, said=tuple(_sentences(world, step))) for step in steps)
    sentences = [sentence for step in told for sentence in step.said]
    return Story((*sentences, ending), told, tuple(states), found.system.bits)


def _sentences(world: World, step: Step) -> list[str]:
    events = {event.name: event.sentence for event in world.events}
    moves = {move.name: move.sentence for move in world.moves}
    said = [events[name] for name in step.events if events[name]]
    return [*said, *(moves[name] for name in step.moves)]


class _Runner:
    """Finds the events and moves that lead from one state to the next."""

    def __init__(self, world: World, system: System) -> None:
        self.world, self.system = world, system
        self.scan_values = _constants(system.scan.op, system.scan.a)
        self.move_values = _constants(system.moves.op, system.moves.a)

    def between(self, state: int, target: int) -> Step:
        for pattern in range(len(self.system.patterns)):
            after, carried = self._scan(state, pattern)
            if after is None:
                continue
            moves = self._moves_to(after, carried, target, int(self.system.pattern_budget[pattern]))
            if moves is not None:
                return Step(self.system.pattern_names[pattern], moves, self._driven())
        raise InternalError("no step leads from a state to its successor")

    def last(self, state: int, pattern: int) -> Step:
        self._scan(state, pattern)
        return Step(self.system.pattern_names[pattern], (), self._driven())

    def _scan(self, state: int, pattern: int) -> tuple[int | None, list[bool]]:
        system, values = self.system, self.scan_values
        for k, node in enumerate(system.scan_bit):
            values[node] = _word(state >> k & 1)
        for k, node in enumerate(system.scan_pattern):
            values[node] = _word(int(system.patterns[pattern, k]))
        scan(system.scan.op, system.scan.a, system.scan.b, values)
        valid = system.pattern_valid[pattern]
        if valid >= 0 and not values[valid]:
            return None, []
        after = sum(1 << k for k, node in enumerate(system.scan_next) if values[node])
        return after, [bool(values[node]) for node in system.scan_carried]

    def _driven(self) -> tuple[str, ...]:
        return tuple(name for name, node in self.world.drive.items() if self.scan_values[node])

    def _moves_to(self, after: int, carried: list[bool], target: int, budget: int) -> tuple[str, ...] | None:
        if after == target:
            return ()
        reached: dict[int, tuple[str, ...]] = {after: ()}
        for _ in range(budget):
            fresh: dict[int, tuple[str, ...]] = {}
            for state, way in reached.items():
                for name, following in self._moves(state, carried):
                    fresh.setdefault(following, (*way, name))
            if target in fresh:
                return fresh[target]
            reached = fresh
        return None

    def _moves(self, state: int, carried: list[bool]) -> list[tuple[str, int]]:
        system, values = self.system, self.move_values
        for k, node in enumerate(system.move_bit):
            values[node] = _word(state >> k & 1)
        for value, node in zip(carried, system.move_carried, strict=True):
            values[node] = _word(int(value))
        scan(system.moves.op, system.moves.a, system.moves.b, values)
        found = []
        for m, guard in enumerate(system.move_guard):
            if values[guard]:
                following = state
                for w in range(system.write_start[m], system.write_start[m + 1]):
                    bit = 1 << int(system.write_bit[w])
                    following = following & ~bit | (bit if values[system.write_node[w]] else 0)
                found.append((system.move_names[m], following))
        return found


def _constants(op: np.ndarray, a: np.ndarray) -> np.ndarray:
    values = np.zeros(op.size, np.uint64)
    values[(op == 0) & (a == 1)] = ~np.uint64(0)
    return values


def _word(bit: int) -> np.uint64:
    return ~np.uint64(0) if bit else np.uint64(0)
