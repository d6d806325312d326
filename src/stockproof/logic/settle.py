"""Whether the logic comes to rest: with its inputs frozen, how many scans until nothing remembered changes any more.

Stock flow scans only when something happens; that is right only where the logic settles. Shown for whatever the logic
may remember and for whatever sensors, buttons and timers may show: what is remembered after k scans is, as a function
of both, the same as after one scan more. Equal functions are equal diagrams, so the answer needs no search of states.
"""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.netlist.build import cone
from stockproof.netlist.diagram import Diagrams, TooLarge
from stockproof.netlist.model import Netlist

__all__ = ["Settling", "settles"]

#: More scans than this and the logic is called unsettled.
MOST_SCANS = 12
#: Nodes of diagrams, some hundred bytes each; a build with everything fitted takes 400,000.
MOST_NODES = 1_500_000


@dataclass(frozen=True, slots=True)
class Settling:
    """Scans that are enough for the logic to settle, None where that was not shown, for the reason given."""

    scans: int | None
    reason: str = ""

    @property
    def shown(self) -> bool:
        """Whether it is shown that the logic settles."""
        return self.scans is not None

    @property
    def words(self) -> str:
        """Say it as a bound."""
        if self.scans is None:
            return f"that the logic settles is not shown: {self.reason}"
        return f"the logic settles within {self.scans} scans with its inputs frozen, whatever they are"


def settles(netlist: Netlist) -> Settling:
    """Find how many scans with frozen inputs are enough, whatever is remembered and whatever the inputs are."""
    diagrams = Diagrams(MOST_NODES)
    remembered = {m.node: diagrams.variable(m.node) for m in netlist.memories}
    nodes = sorted(cone(netlist, [m.next for m in netlist.memories]))
    try:
        for scans in range(MOST_SCANS + 1):
            known = dict(remembered)
            diagrams.of_rows(netlist.rows, nodes, known)
            following = {m.node: known[m.next] for m in netlist.memories}
            if following == remembered:
                return Settling(scans)
            remembered = following
    except TooLarge:
        return Settling(None, f"its diagrams outgrow {MOST_NODES:,} nodes")
    return Settling(None, f"something may still change after {MOST_SCANS} scans")
