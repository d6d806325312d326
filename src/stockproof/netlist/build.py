"""Builds a netlist node by node: equal nodes are shared, constants are folded, operands stand before users."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

import numpy as np

from stockproof.errors import InternalError, Place
from stockproof.netlist.diagram import NO, YES, Diagrams, TooLarge
from stockproof.netlist.expression import And, Const, Expression, Name, Not, Or, Xor
from stockproof.netlist.model import Chart, Input, InputKind, Lamp, Memory, Motion, Netlist, Op, Timer

__all__ = ["Builder", "cone"]

NOWHERE = Place()
#: A memory whose next value has not been set yet.
UNSET = -1


#: Plain numbers: these rows are made and looked up by the hundred thousand.
CONST, INPUT, MEMORY, NOT, AND, OR, XOR = (int(op) for op in Op)
_Row = tuple[int, int, int]


class Builder:
    """Collects rows; every method that makes a node gives its number. Call `finish` once at the end.

    With `flat`, terms that are themselves a conjunction (or disjunction) are taken apart first, so that programs that
    differ only in how they group and order terms come out as the same nodes.
    """

    def __init__(self, flat: bool = False) -> None:
        self._flat = flat
        self._rows: list[_Row] = []
        self._numbers: dict[_Row, int] = {}
        self._inputs: list[Input] = []
        self._memories: list[Memory] = []
        self.motions: list[Motion] = []
        self._lamps: list[Lamp] = []
        self._timers: list[Timer] = []
        self.charts: list[Chart] = []
        self.names: dict[str, int] = {}
        self._diagrams = Diagrams()
        self._as_diagram: dict[int, int] = {}
        self._as_node: dict[int, int] = {}

    def constant(self, value: bool) -> int:
        return self._row((CONST, int(value), 0))

    def input(self, name: str, kind: InputKind, label: str = "", terminal: str = "", place: Place = NOWHERE) -> int:
        node = self._row((INPUT, len(self._inputs), 0))
        self._inputs.append(Input(name, node, kind, label, terminal, place))
        return self.name(name, node)

    def memory(self, name: str, start: bool, label: str = "", place: Place = NOWHERE) -> int:
        """Make a remembered bit; `remember` must set its next value later."""
        node = self._row((MEMORY, len(self._memories), 0))
        self._memories.append(Memory(name, node, UNSET, start, label, place))
        return self.name(name, node)

    def remember(self, memory: int, following: int) -> None:
        """Set the node whose value the memory node takes for the next scan."""
        k = self._rows[memory][1]
        self._memories[k] = replace(self._memories[k], next=following)

    def not_(self, a: int) -> int:
        op, operand, _ = self._rows[a]
        if op == CONST:
            return self.constant(not operand)
        return operand if op == NOT else self._row((NOT, a, 0))

    def and_(self, terms: Iterable[int]) -> int:
        return self._fold(AND, terms, self.constant(True), self.constant(False))

    def or_(self, terms: Iterable[int]) -> int:
        return self._fold(OR, terms, self.constant(False), self.constant(True))

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
        for node in sorted(cone(netlist, wanted, given)):
            if node in done:
                continue
            op, a, b = netlist.rows[node]
            if op == CONST:
                done[node] = self.constant(a == 1)
            elif op in (INPUT, MEMORY):
                raise InternalError(f"node {node} is an input or memory and is not given")
            else:
                done[node] = self._make(op, done[a], done[a] if op == NOT else done[b])
        return done

    def _make(self, op: int, a: int, b: int) -> int:
        if op == NOT:
            return self.not_(a)
        if op == XOR:
            return self.xor((a, b))
        return self.and_((a, b)) if op == AND else self.or_((a, b))

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
        return self._rows[memory][1]

    def name(self, name: str, node: int) -> int:
        """Give a node a name; gives the node."""
        if self.names.setdefault(name, node) != node:
            raise InternalError(f"the name {name!r} is given to two nodes")
        return node

    def finish(self) -> Netlist:
        forgotten = [memory.name for memory in self._memories if memory.next == UNSET]
        if forgotten:
            raise InternalError(f"no next value for {', '.join(forgotten)}")
        op = np.array([row[0] for row in self._rows], np.int8)
        a = np.array([row[1] for row in self._rows], np.int32)
        b = np.array([row[2] for row in self._rows], np.int32)
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

    def _fold(self, op: int, terms: Iterable[int], neutral: int, absorbing: int) -> int:
        """Chain the terms in the order of their numbers, so that equal sets of terms give equal nodes."""
        total = neutral
        leaves = set(terms)
        if self._flat:
            leaves = {leaf for term in leaves for leaf in self._leaves(op, term)}
            if any(self._numbers.get((NOT, leaf, 0)) in leaves for leaf in leaves):
                return absorbing
        for term in sorted(leaves):
            if term == neutral:
                continue
            if absorbing in (term, total) or self._opposite(total, term):
                return absorbing
            total = term if total == neutral else self._row((op, min(total, term), max(total, term)))
        return total

    def _leaves(self, op: int, node: int) -> list[int]:
        row = self._rows[node]
        return [leaf for side in row[1:] for leaf in self._leaves(op, side)] if row[0] == op else [node]

    def exists(self, node: int, inputs: Iterable[int]) -> int:
        """Give the node that is true where some values of the inputs make `node` true."""
        chosen = self.depends(node, inputs)
        op, a, b = self._rows[node]
        if not chosen:
            return node
        if op == OR:
            return self.or_((self.exists(a, chosen), self.exists(b, chosen)))
        if op == AND:
            groups = self._groups(self._leaves(AND, node), chosen)
            if len(groups) > 1:
                return self.and_([self.exists(self.and_(group), chosen) for group in groups])
        return self._expand(node, chosen)

    def _groups(self, leaves: Iterable[int], inputs: set[int]) -> list[list[int]]:
        """Sort terms into groups that share no input with one another."""
        groups: list[tuple[list[int], set[int]]] = []
        for leaf in leaves:
            mine = [leaf]
            used = self.depends(leaf, inputs)
            for group in [g for g in groups if g[1] & used]:
                groups.remove(group)
                mine += group[0]
                used |= group[1]
            groups.append((mine, used))
        return [group for group, _ in groups]

    def _expand(self, node: int, chosen: set[int]) -> int:
        """Free the node of inputs by its diagram, or where that grows too large by putting in both values of each."""
        try:
            self._diagrams.of_rows(self._rows, sorted(self._below(node)), self._as_diagram)
            return self._of_diagram(self._diagrams.exists(self._as_diagram[node], chosen))
        except TooLarge:
            for one in sorted(chosen):
                node = self.or_([self._with(node, one, value, {}) for value in (False, True)])
            return node

    def _of_diagram(self, diagram: int) -> int:
        """Write a diagram as nodes; its variables are nodes of this builder."""
        if diagram <= YES:
            return self.constant(diagram == YES)
        if diagram not in self._as_node:
            variable, low, high = self._diagrams.split(diagram)
            self._as_node[diagram] = self._either(variable, low, high)
        return self._as_node[diagram]

    def _either(self, variable: int, low: int, high: int) -> int:
        """Give the node that is one diagram where the variable is false and another where it is true."""
        if high == YES:
            return variable if low == NO else self._pair(OR, variable, self._of_diagram(low))
        if low == NO:
            return self._pair(AND, variable, self._of_diagram(high))
        away = self.not_(variable)
        if low == YES:
            return away if high == NO else self._pair(OR, away, self._of_diagram(high))
        other = self._pair(AND, away, self._of_diagram(low))
        return other if high == NO else self._pair(OR, self._pair(AND, variable, self._of_diagram(high)), other)

    def _pair(self, op: int, a: int, b: int) -> int:
        """Join two nodes of which neither is a constant nor the other's opposite."""
        return self._row((op, min(a, b), max(a, b)))

    def _below(self, node: int) -> set[int]:
        found: set[int] = set()
        todo = [node]
        while todo:
            at = todo.pop()
            if at not in found:
                found.add(at)
                op, a, b = self._rows[at]
                if op >= NOT:
                    todo += [a] if op == NOT else [a, b]
        return found

    def _with(self, node: int, chosen: int, value: bool, done: dict[int, int]) -> int:
        """The node with an input set to a constant."""
        if node not in done:
            op, a, b = self._rows[node]
            if node == chosen:
                done[node] = self.constant(value)
            elif op < NOT:
                done[node] = node
            else:
                a = self._with(a, chosen, value, done)
                done[node] = self._make(op, a, a if op == NOT else self._with(b, chosen, value, done))
        return done[node]

    def depends(self, node: int, inputs: Iterable[int]) -> set[int]:
        """Give those of the inputs that a node depends on."""
        return self._below(node) & set(inputs)

    def _opposite(self, a: int, b: int) -> bool:
        return (NOT, a, 0) == self._rows[b] or (NOT, b, 0) == self._rows[a]

    def _xor(self, a: int, b: int) -> int:
        if a == b:
            return self.constant(False)
        for x, y in ((a, b), (b, a)):
            if self._rows[x][0] == CONST:
                return self.not_(y) if self._rows[x][1] else y
        return self._row((XOR, min(a, b), max(a, b)))


def cone(netlist: Netlist, wanted: Iterable[int], stop: Mapping[int, int] | None = None) -> set[int]:
    """Give every node that the wanted nodes depend on within one scan, themselves included; not beyond `stop`."""
    found: set[int] = set()
    todo = list(wanted)
    while todo:
        node = todo.pop()
        if node in found:
            continue
        found.add(node)
        op, a, b = netlist.rows[node]
        if op >= NOT and not (stop and node in stop):
            todo += [a] if op == NOT else [a, b]
    return found
