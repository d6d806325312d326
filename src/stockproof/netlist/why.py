"""Which inputs and remembered bits keep a node from being true, or from being false, as things stand."""

from __future__ import annotations

from collections.abc import Sequence

from stockproof.netlist.model import Netlist, Op

__all__ = ["why_not"]


def why_not(netlist: Netlist, values: Sequence[bool], node: int, wanted: bool = True) -> tuple[int, ...]:
    """Give the inputs and memories that keep a node from the wanted value; empty where it has it.

    Of a conjunction that is false every false term counts, of a disjunction that is false every term: each of the
    former must change, any of the latter would do.

    Parameters
    ----------
    values : sequence of bool
        The value of every node after a scan.
    """
    found: dict[int, None] = {}
    seen: set[tuple[int, bool]] = set()
    left = [(node, wanted)]
    while left:
        node, wanted = left.pop()
        if values[node] == wanted or (node, wanted) in seen:
            continue
        seen.add((node, wanted))
        op, a, b = netlist.rows[node]
        if op in (Op.INPUT, Op.MEMORY):
            found[node] = None
        elif op == Op.NOT:
            left.append((a, not wanted))
        elif op in (Op.AND, Op.OR):
            left += [(b, wanted), (a, wanted)]
        elif op == Op.XOR:
            left += [(b, not values[b]), (a, not values[a])]
    return tuple(found)
