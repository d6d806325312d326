"""The flat control program that every consumer reads: one array of operations in dependency order.

The simulator, the exhaustive check and every exported text read a `Netlist` and nothing else, so that what was
checked is what runs. A scan is: the environment writes the input nodes, `kernel.scan` evaluates every node once
in order, the environment reads the output nodes, `kernel.commit` writes the memory nodes for the next scan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from stockproof.errors import Place

__all__ = [
    "Chart",
    "Input",
    "InputKind",
    "Int8s",
    "Int32s",
    "Lamp",
    "Memory",
    "Motion",
    "Netlist",
    "Op",
    "Timer",
    "Transition",
    "Words",
]

Int8s = npt.NDArray[np.int8]
Int32s = npt.NDArray[np.int32]
Words = npt.NDArray[np.uint64]

NOWHERE = Place()


class Op(IntEnum):
    """What a node does with its operands `a` and `b` (node numbers, always smaller than the node's own)."""

    CONST = 0  #: the constant `a` (0 or 1)
    INPUT = 1  #: written by the environment before the scan; `a` = position in `Netlist.inputs`
    MEMORY = 2  #: the remembered bit at position `a` of `Netlist.memories`
    NOT = 3
    AND = 4
    OR = 5
    XOR = 6


class InputKind(IntEnum):
    """Who writes an input."""

    SENSOR = 0  #: the plant: see `plant.model.Plant` for what it truly sees
    MOMENTARY = 1  #: a person, true only while pressed
    MAINTAINED = 2  #: a person; stays where it was put
    ELAPSED = 3  #: the clock of a timer: true once the timer has run for its preset


@dataclass(frozen=True, slots=True)
class Input:
    """A signal read at the start of a scan."""

    name: str
    node: int
    kind: InputKind
    label: str = ""
    terminal: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Memory:
    """A bit remembered from scan to scan: `node` reads it, `next` gives its value for the next scan.

    `start` is the value after the controller starts, also after a supply dip: nothing is retained.
    """

    name: str
    node: int
    next: int
    start: bool
    label: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Motion:
    """An output that drives one direction of one powered part, named `part.direction`.

    `request` and `permit` are the nodes whose conjunction (with the contention rule) drives it.
    """

    name: str
    node: int
    request: int
    permit: int
    label: str = ""
    terminal: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Lamp:
    """An output that only tells people something."""

    name: str
    node: int
    label: str = ""
    terminal: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Timer:
    """An on-delay: `q = when AND running AND elapsed`, where `running` is `when` at the last scan.

    The environment starts its clock at the scan in which node `when` is true and memory node `running` was false,
    and writes the input node `elapsed` as (now - start >= preset_s) before each later scan. Once true, elapsed
    stays true until `when` falls. `preset_s` is greater than 0.
    """

    name: str
    when: int
    running: int
    elapsed: int
    q: int
    preset_s: float
    label: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Transition:
    """A way from one step to another, taken in a scan in which node `when` is true and no earlier one of the source."""

    source: str
    target: str
    when: int
    text: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A sequence, already lowered to memory nodes; kept so that code and charts can show steps.

    `steps` are (name, label, node true while active) with the first one active at start and while node `enabled` is
    false; `memories` are positions in `Netlist.memories`, lowest bit of the step's number first.
    """

    name: str
    label: str
    steps: tuple[tuple[str, str, int], ...]
    transitions: tuple[Transition, ...]
    enabled: int
    memories: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Netlist:
    """A control program of N nodes.

    Parameters
    ----------
    op : int8[N]; a, b : int32[N]
        The program; see `Op`. Operands stand before their user, so one pass in order evaluates everything.
    inputs, memories, motions, lamps, timers : tuples
        What the environment writes, what is remembered, what drives the plant, what tells people, what waits.
    charts : tuple
        The sequences that some of the memories encode.
    names : mapping of str to int
        Node of every named signal, including named parts of rules (`entry.open.permit`).
    input_node, memory_node, memory_next, motion_node : int32 arrays
        The same as in the tuples, for compiled code; `memory_start` is uint64 (0 or all ones).
    timer_when, timer_running, timer_elapsed, timer_q : int32 arrays; timer_preset_s : float64 array
        The same for timers.
    """

    op: Int8s
    a: Int32s
    b: Int32s
    inputs: tuple[Input, ...]
    memories: tuple[Memory, ...]
    motions: tuple[Motion, ...]
    lamps: tuple[Lamp, ...]
    timers: tuple[Timer, ...]
    names: Mapping[str, int]
    charts: tuple[Chart, ...] = ()
    rows: tuple[tuple[int, int, int], ...] = field(init=False, repr=False)  #: (op, a, b) of each node, for plain code
    input_node: Int32s = field(init=False, repr=False)
    memory_node: Int32s = field(init=False, repr=False)
    memory_next: Int32s = field(init=False, repr=False)
    memory_start: Words = field(init=False, repr=False)
    motion_node: Int32s = field(init=False, repr=False)
    lamp_node: Int32s = field(init=False, repr=False)
    timer_when: Int32s = field(init=False, repr=False)
    timer_running: Int32s = field(init=False, repr=False)
    timer_elapsed: Int32s = field(init=False, repr=False)
    timer_q: Int32s = field(init=False, repr=False)
    timer_preset_s: npt.NDArray[np.float64] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        rows = tuple(zip(self.op.tolist(), self.a.tolist(), self.b.tolist(), strict=True))
        object.__setattr__(self, "rows", rows)
        full = (1 << 64) - 1
        columns: dict[str, npt.NDArray[np.generic]] = {
            "input_node": _nodes([i.node for i in self.inputs]),
            "memory_node": _nodes([m.node for m in self.memories]),
            "memory_next": _nodes([m.next for m in self.memories]),
            "memory_start": np.array([full if m.start else 0 for m in self.memories], np.uint64),
            "motion_node": _nodes([m.node for m in self.motions]),
            "lamp_node": _nodes([lamp.node for lamp in self.lamps]),
            "timer_when": _nodes([t.when for t in self.timers]),
            "timer_running": _nodes([t.running for t in self.timers]),
            "timer_elapsed": _nodes([t.elapsed for t in self.timers]),
            "timer_q": _nodes([t.q for t in self.timers]),
            "timer_preset_s": np.array([t.preset_s for t in self.timers], np.float64),
        }
        for name, column in columns.items():
            column.setflags(write=False)
            object.__setattr__(self, name, column)

    def __len__(self) -> int:
        return len(self.op)

    def input_at(self, name: str) -> int:
        """Give the node of an input by name."""
        return next(i.node for i in self.inputs if i.name == name)

    def motion_at(self, name: str) -> int:
        """Give the position of a motion by name."""
        return next(k for k, m in enumerate(self.motions) if m.name == name)


def _nodes(numbers: list[int]) -> Int32s:
    return np.array(numbers, np.int32)
