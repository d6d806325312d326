"""The one scan: evaluates any netlist, 64 states at once (bit k of every word belongs to state k).

A single state uses lane 0 or all lanes alike. Fixed compiled code: editing the logic recompiles nothing.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from stockproof.netlist.model import Int8s, Int32s, Netlist, Words

__all__ = ["ALL", "commit", "fresh", "restart", "scan"]

#: Every lane true.
ALL = np.uint64(0xFFFF_FFFF_FFFF_FFFF)


@njit(cache=True)  # type: ignore[untyped-decorator]
def scan(op: Int8s, a: Int32s, b: Int32s, values: Words) -> None:
    """Evaluate every node once, in order; input and memory nodes keep what was written to them.

    Parameters
    ----------
    op, a, b : arrays of N
        The program of a `Netlist`.
    values : uint64[N]
        In: inputs and memories. Out: every node. Constants must have been set by `fresh` or `restart`.
    """
    for i in range(op.size):
        kind = op[i]
        if kind == 4:
            values[i] = values[a[i]] & values[b[i]]
        elif kind == 5:
            values[i] = values[a[i]] | values[b[i]]
        elif kind == 3:
            values[i] = ~values[a[i]]
        elif kind == 6:
            values[i] = values[a[i]] ^ values[b[i]]


@njit(cache=True)  # type: ignore[untyped-decorator]
def commit(memory_node: Int32s, memory_next: Int32s, values: Words, spare: Words) -> None:
    """Write every remembered bit for the next scan, all at once; `spare` is uint64[memories] of workspace."""
    for k in range(memory_node.size):
        spare[k] = values[memory_next[k]]
    for k in range(memory_node.size):
        values[memory_node[k]] = spare[k]


@njit(cache=True)  # type: ignore[untyped-decorator]
def restart(op: Int8s, a: Int32s, memory_node: Int32s, memory_start: Words, values: Words) -> None:
    """Put constants and remembered bits where they are after the controller starts; inputs stay."""
    for i in range(op.size):
        if op[i] == 0:
            values[i] = np.uint64(0) if a[i] == 0 else ~np.uint64(0)
    for k in range(memory_node.size):
        values[memory_node[k]] = memory_start[k]


def fresh(netlist: Netlist) -> Words:
    """Give the values of a controller that has just started, all inputs false, before its first scan."""
    values = np.zeros(len(netlist), np.uint64)
    restart(netlist.op, netlist.a, netlist.memory_node, netlist.memory_start, values)
    return values
