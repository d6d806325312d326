"""What an output truly depends on, decided on the function and not on the text: binary decision diagrams.

A variable stands in a reduced ordered diagram exactly if the function depends on it, so nothing that merely looks
like a cause is listed as one, and nothing that is one is left out.

References
----------
Bryant, R. E. (1986), Graph-based algorithms for Boolean function manipulation, IEEE Transactions on Computers
C-35(8), 677-691.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stockproof.netlist.model import Netlist, Op

__all__ = ["Diagrams"]

NO, YES = 0, 1
#: Variable of the two constants: after every other in the order.
LAST = 1 << 30


class Diagrams:
    """The functions of a netlist within one scan, over its inputs and remembered bits.

    Functions are numbers; equal functions have equal numbers. The variables are node numbers, in their order. Nodes
    in `cut` are variables too: what reads them sees a signal, and `body` gives what they themselves depend on.
    """

    def __init__(self, netlist: Netlist, cut: Iterable[int] = ()) -> None:
        self.netlist = netlist
        self.cut = frozenset(cut)
        self._rows: list[tuple[int, int, int]] = [(LAST, NO, NO), (LAST, YES, YES)]
        self._numbers: dict[tuple[int, int, int], int] = {}
        self._chosen: dict[tuple[int, int, int], int] = {}
        self._of: dict[int, int] = {}

    def of(self, node: int) -> int:
        """Give the function of a node as those see it that read it."""
        if node not in self._of:
            for below in sorted(self._below(node)):
                self._of[below] = self.variable(below) if below in self.cut else self._evaluate(below)
        return self._of[node]

    def body(self, node: int) -> int:
        """Give the function of a node from what it reads itself, also where it is cut."""
        for operand in self._operands(node):
            self.of(operand)
        return self._evaluate(node)

    def variable(self, node: int) -> int:
        return self._row(node, NO, YES)

    def choose(self, when: int, then: int, otherwise: int) -> int:
        """Give `then` where `when` is true, else `otherwise`."""
        if when in (NO, YES):
            return then if when == YES else otherwise
        if then == otherwise:
            return then
        key = (when, then, otherwise)
        if key not in self._chosen:
            at = min(self._rows[f][0] for f in key)
            low = self.choose(*(self._half(f, at, False) for f in key))
            high = self.choose(*(self._half(f, at, True) for f in key))
            self._chosen[key] = self._row(at, low, high)
        return self._chosen[key]

    def not_(self, f: int) -> int:
        return self.choose(f, NO, YES)

    def and_(self, *terms: int) -> int:
        total = YES
        for term in terms:
            total = self.choose(total, term, NO)
        return total

    def or_(self, *terms: int) -> int:
        total = NO
        for term in terms:
            total = self.choose(total, YES, term)
        return total

    def implies(self, f: int, g: int) -> bool:
        """Tell whether g is true wherever f is."""
        return self.choose(f, g, YES) == YES

    def given(self, f: int, values: Mapping[int, bool]) -> int:
        """Give the cofactor: the function with some variables fixed."""
        done: dict[int, int] = {}

        def fixed(g: int) -> int:
            if g in (NO, YES):
                return g
            if g not in done:
                at, low, high = self._rows[g]
                if at in values:
                    done[g] = fixed(high if values[at] else low)
                else:
                    done[g] = self.choose(self.variable(at), fixed(high), fixed(low))
            return done[g]

        return fixed(f)

    def support(self, f: int) -> tuple[int, ...]:
        """Give the variables a function depends on, in order."""
        found: set[int] = set()
        seen: set[int] = set()
        todo = [f]
        while todo:
            g = todo.pop()
            if g in (NO, YES) or g in seen:
                continue
            seen.add(g)
            at, low, high = self._rows[g]
            found.add(at)
            todo += [low, high]
        return tuple(sorted(found))

    def _operands(self, node: int) -> tuple[int, ...]:
        op = self.netlist.op[node]
        if op < Op.NOT:
            return ()
        a, b = int(self.netlist.a[node]), int(self.netlist.b[node])
        return (a,) if op == Op.NOT else (a, b)

    def _below(self, node: int) -> set[int]:
        """Every node still to be worked out for this one; nothing beyond a cut."""
        found: set[int] = set()
        todo = [node]
        while todo:
            at = todo.pop()
            if at not in found and at not in self._of:
                found.add(at)
                todo += () if at in self.cut else self._operands(at)
        return found

    def _evaluate(self, node: int) -> int:
        a, b = int(self.netlist.a[node]), int(self.netlist.b[node])
        match self.netlist.op[node]:
            case Op.CONST:
                return YES if a else NO
            case Op.INPUT | Op.MEMORY:
                return self.variable(node)
            case Op.NOT:
                return self.not_(self._of[a])
            case Op.AND:
                return self.and_(self._of[a], self._of[b])
            case Op.OR:
                return self.or_(self._of[a], self._of[b])
            case _:
                return self.choose(self._of[a], self.not_(self._of[b]), self._of[b])

    def _row(self, at: int, low: int, high: int) -> int:
        if low == high:
            return low
        row = (at, low, high)
        if row not in self._numbers:
            self._numbers[row] = len(self._rows)
            self._rows.append(row)
        return self._numbers[row]

    def _half(self, f: int, at: int, value: bool) -> int:
        row = self._rows[f]
        return (row[2] if value else row[1]) if row[0] == at else f
