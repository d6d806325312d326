"""How far two control programs are the same: which properties look at what differs, and whether anything does."""

from __future__ import annotations

from stockproof.logic.properties import Property
from stockproof.logic.world import World
from stockproof.logic.world_control import looked_at
from stockproof.netlist.build import cone
from stockproof.netlist.diagram import Diagrams, TooLarge
from stockproof.netlist.model import Netlist, Op
from stockproof.plant.model import Plant

__all__ = ["Likeness", "equivalent"]

#: Nodes of diagrams for one comparison.
MOST_NODES = 200_000


class Likeness:
    """Numbers what is computed: the same operations on the same inputs have one number, in whatever netlist."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[object, ...], int] = {}

    def of(self, netlist: Netlist, plant: Plant, stated: Property) -> tuple[tuple[str, int], ...]:
        """Give what a property rests on; where it is the same for two netlists, so is every answer about it."""
        nodes, cut = looked_at(World(netlist, plant, stated.scope), stated.reads)
        known = {node: self._number("cut", name) for node, name in cut.items()}
        known |= {i.node: self._number("input", i.name, i.kind) for i in netlist.inputs if i.node not in known}
        known |= {m.node: self._number("memory", m.name, m.start) for m in netlist.memories if m.node not in known}
        for node in sorted(cone(netlist, nodes.values(), dict.fromkeys(cut, 0))):
            if node not in known:
                op, a, b = netlist.rows[node]
                terms = (a, b) if op == Op.CONST else (known[a], known[b] if op > Op.NOT else 0)
                known[node] = self._number(op, *terms)
        return tuple((name, known[node]) for name, node in nodes.items())

    def _number(self, *what: object) -> int:
        return self._numbers.setdefault(what, len(self._numbers))


def equivalent(one: Netlist, other: Netlist) -> bool:
    """Whether two programs drive, light and remember the same from every memory and every input; False if not shown."""
    if [m.name for m in one.memories] != [m.name for m in other.memories]:
        return False
    diagrams = Diagrams(MOST_NODES)
    words: dict[str, int] = {}
    try:
        return _functions(one, diagrams, words) == _functions(other, diagrams, words)
    except TooLarge:
        return False


def _functions(netlist: Netlist, diagrams: Diagrams, words: dict[str, int]) -> dict[str, int]:
    """The diagram of each output and of what each memory is next, over inputs and memories by their name."""
    places = [*((m.name, m.node) for m in netlist.memories), *((f"input {i.name}", i.node) for i in netlist.inputs)]
    known = {node: diagrams.variable(words.setdefault(name, len(words))) for name, node in places}
    wanted = {m.name: m.node for m in netlist.motions} | {lamp.name: lamp.node for lamp in netlist.lamps}
    wanted |= {f"next {m.name}": m.next for m in netlist.memories}
    diagrams.of_rows(netlist.rows, sorted(cone(netlist, wanted.values())), known)
    return {name: known[node] for name, node in wanted.items()}
