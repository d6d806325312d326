"""Ordered decision diagrams: one diagram for each boolean function, so that equal functions are the same number.

They serve where a program must be compared or freed of an input whatever its form is; what is evaluated stays a
netlist.

References
----------
R. E. Bryant, *Graph-based algorithms for boolean function manipulation*, IEEE Trans. Computers C-35, 1986.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from stockproof.netlist.model import Op

__all__ = ["NO", "YES", "Diagrams", "TooLarge"]

#: The two constant functions.
NO, YES = 0, 1
#: Rank of the constants: below every variable.
LAST = 1 << 30
#: Results kept for each diagram there may be.
MOST_DONE = 10
CONST, NOT, AND, OR, XOR = (int(op) for op in (Op.CONST, Op.NOT, Op.AND, Op.OR, Op.XOR))


class TooLarge(Exception):
    """The diagrams have outgrown their bound; whoever asked does without them."""


class Diagrams:
    """A store of diagrams; a diagram is a number, a variable any hashable word (an input's name or node).

    Variables are ranked in the order in which they are first asked for.
    """

    def __init__(self, most: int = 200_000) -> None:
        self._most = most
        self._nodes: list[tuple[int, int, int]] = [(LAST, NO, NO), (LAST, YES, YES)]
        self._numbers: dict[tuple[int, int, int], int] = {}
        self._done: dict[tuple[int, int, int], int] = {}
        self._ranks: dict[int, int] = {}
        self.variables: list[int] = []

    def variable(self, word: int) -> int:
        """Give the diagram of a variable."""
        if word not in self._ranks:
            self._ranks[word] = len(self.variables)
            self.variables.append(word)
        return self._node(self._ranks[word], NO, YES)

    def apply(self, op: int, f: int, g: int) -> int:
        """Give the conjunction, disjunction or exclusive disjunction of two diagrams."""
        if f > g:
            f, g = g, f
        if f <= YES:
            return self._with_constant(op, f, g)
        if f == g:
            return NO if op == XOR else f
        key = (op, f, g)
        if key not in self._done:
            (rank_f, low_f, high_f), (rank_g, low_g, high_g) = self._nodes[f], self._nodes[g]
            rank = min(rank_f, rank_g)
            if rank_f != rank:
                low_f = high_f = f
            if rank_g != rank:
                low_g = high_g = g
            self._done[key] = self._node(rank, self.apply(op, low_f, low_g), self.apply(op, high_f, high_g))
        return self._done[key]

    def _with_constant(self, op: int, constant: int, g: int) -> int:
        if op == AND:
            return g if constant else NO
        if op == OR:
            return YES if constant else g
        return self.inverse(g) if constant else g

    def inverse(self, f: int) -> int:
        """Give the negation of a diagram."""
        if f <= YES:
            return YES - f
        key = (NOT, f, 0)
        if key not in self._done:
            rank, low, high = self._nodes[f]
            found = self._done[key] = self._node(rank, self.inverse(low), self.inverse(high))
            self._done[NOT, found, 0] = f
        return self._done[key]

    def exists(self, f: int, words: Iterable[int]) -> int:
        """Give where some values of the variables make the function true."""
        return self._exists(f, frozenset(self._ranks[word] for word in words if word in self._ranks), {})

    def _exists(self, f: int, ranks: frozenset[int], done: dict[int, int]) -> int:
        if f <= YES:
            return f
        if f not in done:
            rank, low, high = self._nodes[f]
            low, high = self._exists(low, ranks, done), self._exists(high, ranks, done)
            done[f] = self.apply(OR, low, high) if rank in ranks else self._node(rank, low, high)
        return done[f]

    def given(self, f: int, values: Mapping[int, bool]) -> int:
        """Give the function with some variables set to constants."""
        ranked = {self._ranks[w]: v for w, v in values.items() if w in self._ranks}
        return self._given(f, ranked, max(ranked, default=-1), {})

    def _given(self, f: int, values: dict[int, bool], last: int, done: dict[int, int]) -> int:
        rank, low, high = self._nodes[f]
        if rank > last:
            return f
        if f not in done:
            if rank in values:
                done[f] = self._given(high if values[rank] else low, values, last, done)
            else:
                low, high = self._given(low, values, last, done), self._given(high, values, last, done)
                done[f] = self._node(rank, low, high)
        return done[f]

    def split(self, f: int) -> tuple[int, int, int]:
        """Give the first variable of a diagram that is no constant, and what it leaves where false and where true."""
        rank, low, high = self._nodes[f]
        return self.variables[rank], low, high

    def of_rows(self, rows: Sequence[tuple[int, int, int]], nodes: Iterable[int], known: dict[int, int]) -> None:
        """Add the diagrams of a program's nodes, given in order, to those known; inputs are variables of their node."""
        for node in nodes:
            if node in known:
                continue
            op, a, b = rows[node]
            if op == CONST:
                known[node] = YES if a else NO
            elif op < NOT:
                known[node] = self.variable(node)
            elif op == NOT:
                known[node] = self.inverse(known[a])
            else:
                known[node] = self.apply(op, known[a], known[b])

    def _node(self, rank: int, low: int, high: int) -> int:
        if low == high:
            return low
        key = (rank, low, high)
        number = self._numbers.get(key)
        if number is None:
            if len(self._nodes) > self._most:
                raise TooLarge
            if len(self._done) > MOST_DONE * self._most:
                raise TooLarge
            number = self._numbers[key] = len(self._nodes)
            self._nodes.append(key)
        return number
