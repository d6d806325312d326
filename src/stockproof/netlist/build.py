"""Builds a netlist node by node: equal nodes are shared, constants are folded, operands stand before users."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from stockproof.errors import InternalError, Place
from stockproof.netlist.expression import And, Const, Expression, Name, Not, Or, Xor
from stockproof.netlist.model import Chart, Input, InputKind, Lamp, Memory, Motion, Netlist, Op, Timer

__all__ = ["Builder", "cone"]

NOWHERE = Place()
#: A memory whose next value has not been set yet.
UNSET = -1


@dataclass(frozen=True, slots=True)
class _Row:
    op: Op
    a: int
    b: int


class Builder:
    """Collects rows; every method that makes a node gives its number. Call `finish` once at the end."""

    def __init__(self) -> None:
        self._rows: list[_Row] = []
        self._numbers: dict[_Row, int] = {}
        self._inputs: list[Input] = []
        self._memories: list[Memory] = []
        self.motions: list[Motion] = []
        self._lamps: list[Lamp] = []
        self._timers: list[Timer] = []
        self.charts: list[Chart] = []
        self.names: dict[str, int] = {}

    def constant(self, value: bool) -> int:
        return self._row(_Row(Op.CONST, int(value), 0))

    def input(self, name: str, kind: InputKind, label: str = "", terminal: str = "", place: Place = NOWHERE) -> int:
        node = self._row(_Row(Op.INPUT, len(self._inputs), 0))
        self._inputs.append(Input(name, node, kind, label, terminal, place))
        return self.name(name, node)

    def memory(self, name: str, start: bool, label: str = "", place: Place = NOWHERE) -> int:
        """Make a remembered bit; `remember` must set its next value later."""
        node = self._row(_Row(Op.MEMORY, len(self._memories), 0))
        self._memories.append(Memory(name, node, UNSET, start, label, place))
        return self.name(name, node)

    def remember(self, memory: int, following: int) -> None:
        """Set the node whose value the memory node takes for the next scan."""
        k = self._rows[memory].a
        self._memories[k] = replace(self._memories[k], next=following)

    def not_(self, a: int) -> int:
        row = self._rows[a]
        if row.op == Op.CONST:
            return self.constant(not row.a)
        return row.a if row.op == Op.NOT else self._row(_Row(Op.NOT, a, 0))

    def and_(self, terms: Iterable[int]) -> int:
        return self._fold(Op.AND, terms, self.constant(True), self.constant(False))

    def or_(self, terms: Iterable[int]) -> int:
        return self._fold(Op.OR, terms, self.constant(False), self.constant(True))

    def xor(self, terms: Iterable[int]) -> int:
        total = self.constant(False)
        for term in terms:
            total = self._xor(total, term)
        return total

    def expression(self, expression: Expression, resolve: Callable[[Name], int]) -> int:
        """Lower an expression, asking `resolve` for the node of each name."""
        match expression:
            case Const(value):
                return self.constant(value)
            case Name():
                return resolve(expression)
            case Not(term):
                return self.not_(self.expression(term, resolve))
            case And(terms):
                return self.and_([self.expression(term, resolve) for term in terms])
            case Or(terms):
                return self.or_([self.expression(term, resolve) for term in terms])
            case Xor(terms):
                return self.xor([self.expression(term, resolve) for term in terms])

    def splice(self, netlist: Netlist, given: Mapping[int, int], wanted: Iterable[int]) -> dict[int, int]:
        """Copy the nodes of another netlist that `wanted` depends on; `given` maps its nodes to nodes here.

        Returns the map from its nodes to nodes here. Every input and memory that is met must be in `given`.
        """
        done = dict(given)
        needed = sorted(cone(netlist, wanted, given))
        for node in needed:
            if node in done:
                continue
            a, b = int(netlist.a[node]), int(netlist.b[node])
            match netlist.op[node]:
                case Op.CONST:
                    done[node] = self.constant(a == 1)
                case Op.NOT:
                    done[node] = self.not_(done[a])
                case Op.AND:
                    done[node] = self.and_([done[a], done[b]])
                case Op.OR:
                    done[node] = self.or_([done[a], done[b]])
                case Op.XOR:
                    done[node] = self.xor([done[a], done[b]])
                case _:
                    raise InternalError(f"node {node} is an input or memory and is not given")
        return done

    def motion(self, motion: Motion) -> None:
        self.motions.append(motion)
        self.name(motion.name, motion.node)

    def lamp(self, lamp: Lamp) -> None:
        self._lamps.append(lamp)
        self.name(lamp.name, lamp.node)

    def on_delay(self, name: str, when: int, preset_s: float, label: str = "", place: Place = NOWHERE) -> int:
        """Make an on-delay of the node `when`; gives the node of its output."""
        running = self.memory(f"{name}.running", False, f"{label} (running)", place)
        elapsed = self.input(f"{name}.elapsed", InputKind.ELAPSED, f"{label} (elapsed)", "", place)
        q = self.and_([when, running, elapsed])
        self.remember(running, when)
        self._timers.append(Timer(name, when, running, elapsed, q, preset_s, label, place))
        return q

    def memory_position(self, memory: int) -> int:
        """Give the position of a memory node in `Netlist.memories`."""
        return self._rows[memory].a

    def name(self, name: str, node: int) -> int:
        """Give a node a name; gives the node."""
        if self.names.setdefault(name, node) != node:
            raise InternalError(f"the name {name!r} is given to two nodes")
        return node

    def finish(self) -> Netlist:
        forgotten = [memory.name for memory in self._memories if memory.next == UNSET]
        if forgotten:
            raise InternalError(f"no next value for {', '.join(forgotten)}")
        op = np.array([row.op for row in self._rows], np.int8)
        a = np.array([row.a for row in self._rows], np.int32)
        b = np.array([row.b for row in self._rows], np.int32)
        for column in (op, a, b):
            column.setflags(write=False)
        return Netlist(
            op,
            a,
            b,
            tuple(self._inputs),
            tuple(self._memories),
            tuple(self.motions),
            tuple(self._lamps),
            tuple(self._timers),
            dict(self.names),
            tuple(self.charts),
        )

    def _row(self, row: _Row) -> int:
        known = self._numbers.get(row)
        if known is None:
            known = self._numbers[row] = len(self._rows)
            self._rows.append(row)
        return known

    def _fold(self, op: Op, terms: Iterable[int], neutral: int, absorbing: int) -> int:
        """Chain the terms in the order of their numbers, so that equal sets of terms give equal nodes."""
        total = neutral
        for term in sorted(set(terms)):
            if term == neutral:
                continue
            if absorbing in (term, total) or self._opposite(total, term):
                return absorbing
            total = term if total == neutral else self._row(_Row(op, min(total, term), max(total, term)))
        return total

    def _opposite(self, a: int, b: int) -> bool:
        return _Row(Op.NOT, a, 0) == self._rows[b] or _Row(Op.NOT, b, 0) == self._rows[a]

    def _xor(self, a: int, b: int) -> int:
        if a == b:
            return self.constant(False)
        for x, y in ((a, b), (b, a)):
            if self._rows[x].op == Op.CONST:
                return self.not_(y) if self._rows[x].a else y
        return self._row(_Row(Op.XOR, min(a, b), max(a, b)))


def cone(netlist: Netlist, wanted: Iterable[int], stop: Mapping[int, int] | None = None) -> set[int]:
    """Give every node that the wanted nodes depend on within one scan, themselves included; not beyond `stop`."""
    found: set[int] = set()
    todo = list(wanted)
    while todo:
        node = todo.pop()
        if node in found:
            continue
        found.add(node)
        if netlist.op[node] >= Op.NOT and not (stop and node in stop):
            todo.append(int(netlist.a[node]))
            if netlist.op[node] != Op.NOT:
                todo.append(int(netlist.b[node]))
    return found
