"""A second, plain way to evaluate a netlist: one state, Python booleans, no compiled code.

Slow and obvious; it stands beside the compiled scan as the thing to compare it with, and it explains single scans.
"""

from __future__ import annotations

from collections.abc import Mapping

from stockproof.netlist.model import Netlist, Op

__all__ = ["evaluate_scan", "started"]


def started(netlist: Netlist) -> dict[str, bool]:
    """Give the remembered bits by name right after the controller starts."""
    return {memory.name: memory.start for memory in netlist.memories}


def evaluate_scan(
    netlist: Netlist, inputs: Mapping[str, bool], memory: Mapping[str, bool]
) -> tuple[list[bool], dict[str, bool]]:
    """Evaluate one scan.

    Parameters
    ----------
    inputs, memory : mappings of name to bool
        Every input and every remembered bit.

    Returns
    -------
    values : list of bool, one a node
    memory : the remembered bits for the next scan
    """
    values: list[bool] = []
    for op, a, b in zip(netlist.op.tolist(), netlist.a.tolist(), netlist.b.tolist(), strict=True):
        if op == Op.CONST:
            values.append(a == 1)
        elif op == Op.INPUT:
            values.append(bool(inputs[netlist.inputs[a].name]))
        elif op == Op.MEMORY:
            values.append(bool(memory[netlist.memories[a].name]))
        elif op == Op.NOT:
            values.append(not values[a])
        elif op == Op.AND:
            values.append(values[a] and values[b])
        elif op == Op.OR:
            values.append(values[a] or values[b])
        else:
            values.append(values[a] != values[b])
    return values, {m.name: values[m.next] for m in netlist.memories}
