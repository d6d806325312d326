"""The event calendar: one leaf per thing that can be due, in a tree that keeps the earliest at its root.

A leaf holds the time its thing is due (infinite: not at all), so moving or cancelling an event is one write and
there are never stale entries. Of two equal times the lower leaf goes first, which makes every run repeatable.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from stockproof.flow.compiled import compiled

__all__ = ["clear", "due", "earliest"]


@compiled
def clear(m: Any, w: Any) -> None:
    """Nothing is due."""
    leaves = m.leaves
    for leaf in range(leaves):
        w.leaf_s[leaf] = np.inf
        w.winner[leaves + leaf] = leaf
    for node in range(leaves - 1, 0, -1):
        w.winner[node] = w.winner[2 * node]


@compiled
def due(m: Any, w: Any, leaf: int, at_s: float) -> None:
    """Make a leaf due at a time, or at none (infinite)."""
    w.leaf_s[leaf] = at_s
    node = (m.leaves + leaf) >> 1
    while node >= 1:
        left = w.winner[2 * node]
        right = w.winner[2 * node + 1]
        w.winner[node] = left if w.leaf_s[left] <= w.leaf_s[right] else right
        node >>= 1


@compiled
def earliest(w: Any) -> int:
    """The leaf that is due first."""
    return int(w.winner[1])
