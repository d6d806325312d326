"""A transition system as plain op arrays: what the exhaustive search explores.

One step from a state: pick a *pattern* of inputs (buttons pressed, a sensor unsure), evaluate the scan program once,
then take zero, one or two *moves* of the plant as the pattern's budget allows. A system without a control program has
one empty pattern and takes exactly one move a step.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stockproof.netlist.build import Builder
from stockproof.netlist.expression import Expression, Name
from stockproof.netlist.model import InputKind, Int8s, Int32s

__all__ = ["MOST_BITS", "PlainMove", "Program", "System", "from_moves", "key_of"]

#: Bits of state in one word; the last bit is always set, so that no state looks like an empty place.
MOST_BITS = 63


@dataclass(frozen=True, slots=True, eq=False)
class Program:
    """Operations in dependency order, as in `netlist.model.Netlist`."""

    op: Int8s
    a: Int32s
    b: Int32s


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """A transition system with n bits of state, P patterns over K pattern inputs, M moves, C carried nodes, Q bads.

    Parameters
    ----------
    bits : tuple of str
        Name of each bit of state.
    start : tuple of int
        Starting states; bit k of the number is bit k of the state.
    scan : Program
        Inputs `scan_bit` (n nodes) and `scan_pattern` (K nodes); gives `scan_next` (n nodes: the state after the scan),
        `scan_carried` (C nodes that the moves read) and `scan_bad` (Q nodes).
    moves : Program
        Inputs `move_bit` (n) and `move_carried` (C); gives `move_guard` (M). Move m writes, for k from
        `write_start[m]` to `write_start[m + 1]`, node `write_node[k]` to bit `write_bit[k]`.
    patterns : uint8[P, K]
        Pattern 0 can always happen; the search counts on it. `pattern_valid` (P) is a scan node that must be true, or
        -1. `pattern_budget` (P) is how many moves may follow. `pattern_below` (P, 2) are patterns already tried with at
        least that budget, or -1: where the outcome of one of them is the same, this pattern adds nothing.
    stays : bool
        A step may take no move at all.
    """

    bits: tuple[str, ...]
    start: tuple[int, ...]
    scan: Program
    scan_bit: Int32s
    scan_pattern: Int32s
    scan_next: Int32s
    scan_carried: Int32s
    scan_bad: Int32s
    moves: Program
    move_bit: Int32s
    move_carried: Int32s
    move_guard: Int32s
    write_start: Int32s
    write_bit: Int32s
    write_node: Int32s
    patterns: npt.NDArray[np.uint8]
    pattern_valid: Int32s
    pattern_budget: Int8s
    pattern_below: Int32s
    stays: bool
    bad_names: tuple[str, ...] = ()
    move_names: tuple[str, ...] = ()
    pattern_names: tuple[tuple[str, ...], ...] = ()

    @property
    def dependent(self) -> npt.NDArray[np.bool_]:
        """(M, M): whether the order of two moves can matter, or one can let the other happen."""
        reads = [_reads(self, m) for m in range(len(self.move_guard))]
        writes = [self._written(m) for m in range(len(self.move_guard))]
        count = len(reads)
        table = np.zeros((count, count), np.bool_)
        for i in range(count):
            for j in range(count):
                table[i, j] = bool(writes[i] & (reads[j] | writes[j]) or writes[j] & reads[i])
        return table

    def _written(self, move: int) -> set[int]:
        return set(self.write_bit[self.write_start[move] : self.write_start[move + 1]].tolist())


@dataclass(frozen=True, slots=True)
class PlainMove:
    """A move stated by expressions over bits: when it can happen, and the new value of each bit it writes."""

    name: str
    guard: Expression
    writes: Mapping[str, Expression]


def from_moves(
    bits: Sequence[str], start: Sequence[int], moves: Sequence[PlainMove], bad: Mapping[str, Expression] | None = None
) -> System:
    """Give a system without a control program: each step is exactly one move."""
    programs = []
    for wanted in (
        list((bad or {}).values()),
        [node for move in moves for node in (move.guard, *move.writes.values())],
    ):
        builder = Builder()
        inputs = {bit: builder.input(bit, InputKind.SENSOR) for bit in bits}

        def resolve(name: Name, known: dict[str, int] = inputs) -> int:
            return known[name.name]

        nodes = [builder.expression(expression, resolve) for expression in wanted]
        netlist = builder.finish()
        programs.append((Program(netlist.op, netlist.a, netlist.b), _int32(list(inputs.values())), nodes))
    (scan, scan_bit, bad_nodes), (program, move_bit, nodes) = programs
    number = {bit: k for k, bit in enumerate(bits)}
    guards, write_node, write_bit, write_start = [], [], [], [0]
    for move in moves:
        guards.append(nodes.pop(0))
        for bit in move.writes:
            write_node.append(nodes.pop(0))
            write_bit.append(number[bit])
        write_start.append(len(write_bit))
    return System(
        bits=tuple(bits),
        start=tuple(start),
        scan=scan,
        scan_bit=scan_bit,
        scan_pattern=_int32([]),
        scan_next=scan_bit,
        scan_carried=_int32([]),
        scan_bad=_int32(bad_nodes),
        moves=program,
        move_bit=move_bit,
        move_carried=_int32([]),
        move_guard=_int32(guards),
        write_start=_int32(write_start),
        write_bit=_int32(write_bit),
        write_node=_int32(write_node),
        patterns=np.zeros((1, 0), np.uint8),
        pattern_valid=_int32([-1]),
        pattern_budget=np.array([1], np.int8),
        pattern_below=np.full((1, 2), -1, np.int32),
        stays=False,
        bad_names=tuple(bad or {}),
        move_names=tuple(move.name for move in moves),
        pattern_names=((),),
    )


def _int32(numbers: Sequence[int]) -> Int32s:
    return np.array(numbers, np.int32)


def key_of(state: int) -> int:
    """Give the word that stands for a state in the search's tables."""
    return state | 1 << MOST_BITS


def _reads(system: System, move: int) -> set[int]:
    """Bits that a move's guard and values depend on."""
    program, first, last = system.moves, system.write_start[move], system.write_start[move + 1]
    bit_of = {int(node): k for k, node in enumerate(system.move_bit)}
    todo = [int(system.move_guard[move]), *system.write_node[first:last].tolist()]
    seen: set[int] = set()
    while todo:
        node = todo.pop()
        if node in seen:
            continue
        seen.add(node)
        if program.op[node] >= 3:
            todo += [int(program.a[node]), int(program.b[node])]
    return {bit_of[node] for node in seen if node in bit_of}
