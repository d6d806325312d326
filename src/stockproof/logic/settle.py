"""Whether the logic comes to rest: with its inputs frozen, how many scans until nothing remembered changes any more.

Stock flow scans only when something happens; that is right only where the logic settles. Shown for every reachable
state of the crush, its gates and the animals, and for every pattern of buttons, the other parts standing at rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from stockproof.logic.explore import explore
from stockproof.logic.kernel import transpose
from stockproof.logic.scope import Rest, Scope
from stockproof.logic.system import System
from stockproof.logic.world_build import build_world
from stockproof.netlist.kernel import scan
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant, ZoneKind

__all__ = ["Settling", "settles"]

#: More scans than this and the logic is called unsettled.
MOST_SCANS = 12
CAP_BYTES = 64 << 20


@dataclass(frozen=True, slots=True)
class Settling:
    """Scans that are enough for the logic to settle, None where it need not; over how many states that was tried."""

    scans: int | None
    states: int
    complete: bool


def settles(netlist: Netlist, plant: Plant) -> Settling:
    """Find how many scans with frozen inputs are enough, from every reachable state and for every pattern."""
    zones = frozenset(z.name for z in plant.zones if z.kind in (ZoneKind.CRUSH, ZoneKind.DRAFT))
    parts = frozenset({"entry", "bail"} & {p.name for p in plant.parts})
    scope = Scope(parts, zones, frozenset(), rest=Rest.FROZEN, watch=False)
    _, system = build_world(netlist, plant, (), scope)
    found = explore(system, None, CAP_BYTES)
    most = max((_scans(system, found.queue, p) for p in range(len(system.patterns))), default=0)
    return Settling(most if most <= MOST_SCANS else None, found.states, found.complete)


def _scans(system: System, queue: np.ndarray, pattern: int) -> int:
    s = system
    row = s.patterns[pattern]
    arrays = (s.scan.op, s.scan.a, s.scan.b, s.scan_bit, s.scan_pattern, s.scan_next)
    return int(_settle(*arrays, row, s.pattern_valid[pattern], queue, MOST_SCANS))


@njit(cache=True)  # type: ignore[untyped-decorator]
def _settle(
    op: Any, a: Any, b: Any, bit: Any, pattern: Any, following: Any, row: Any, valid: int, queue: Any, most: int
) -> int:
    """Most scans needed from any state of the queue, `most + 1` where that is not enough."""
    values = np.zeros(op.size, np.uint64)
    for i in range(op.size):
        if op[i] == 0 and a[i] == 1:
            values[i] = ~np.uint64(0)
    lanes = np.zeros(64, np.uint64)
    spare = np.zeros(bit.size, np.uint64)
    worst = 0
    for first in range(0, queue.size, 64):
        for lane in range(64):
            lanes[lane] = queue[min(first + lane, queue.size - 1)]
        transpose(lanes)
        for k in range(bit.size):
            values[bit[k]] = lanes[k]
        for k in range(pattern.size):
            values[pattern[k]] = ~np.uint64(0) if row[k] else np.uint64(0)
        mask = ~np.uint64(0)
        for count in range(1, most + 2):
            scan(op, a, b, values)
            if count == 1 and valid >= 0:
                mask = values[valid]
            changed = np.uint64(0)
            for k in range(bit.size):
                spare[k] = values[following[k]]
                changed |= (spare[k] ^ values[bit[k]]) & mask
            for k in range(bit.size):
                values[bit[k]] = spare[k]
            if changed == np.uint64(0):
                break
            worst = max(worst, count)
    return worst
