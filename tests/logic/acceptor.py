"""Whether the checked plant can take a course of moves: the checker's plant, walked one move at a time.

The control is left out: anything may be driven, so that what is refused is refused by the plant. More animals may be in
the line than one search follows, since that is a bound of the search and no law of the plant.
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from stockproof.logic.scope import Rest, Scope
from stockproof.logic.world_build import build_world
from stockproof.netlist.kernel import scan
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["Acceptor"]

ANYTHING = Scope(rest=Rest.NONE, requests=False, memory=False, watch=False)
#: More animals than any line holds.
MANY = 64


class Acceptor:
    """The plant at rest, with one move after another tried on it; `taken` counts those that were possible."""

    def __init__(self, netlist: Netlist, plant: Plant) -> None:
        self._world, self._system = build_world(netlist, plant, (), ANYTHING, permissive=True, most_animals=MANY)
        self._number = {name: k for k, name in enumerate(self._system.move_names)}
        self._values = np.zeros(len(self._system.moves.op), np.uint64)
        program = self._system.moves
        self._values[(program.op == 0) & (program.a == 1)] = ~np.uint64(0)
        self._values[self._system.move_carried] = ~np.uint64(0)
        self.state = dict(self._world.first)
        self.taken: Counter[str] = Counter()

    @property
    def moves(self) -> tuple[str, ...]:
        """Every move there is."""
        return self._system.move_names

    def take(self, name: str) -> bool:
        """Take a move if the plant can; gives whether it can."""
        system, values = self._system, self._values
        move = self._number.get(name)
        if move is None:
            return False
        for bit, node in zip(system.bits, system.move_bit, strict=True):
            values[node] = ~np.uint64(0) if self.state[bit] else np.uint64(0)
        scan(system.moves.op, system.moves.a, system.moves.b, values)
        if not values[system.move_guard[move]]:
            return False
        for w in range(system.write_start[move], system.write_start[move + 1]):
            self.state[system.bits[system.write_bit[w]]] = bool(values[system.write_node[w]])
        self.taken[name] += 1
        return True
