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
from stockproof.logic.kernel import alike, evaluate, orders, transpose
from stockproof.logic.scope import Rest, Scope
from stockproof.logic.world_build import build_world
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

    @property
    def shown(self) -> bool:
        """Whether it is shown that the logic settles."""
        return self.complete and self.scans is not None

    @property
    def words(self) -> str:
        """Say it as a bound."""
        where = f"tried from {self.states:,} states of the crush, its gates and the draft unit"
        if self.scans is None:
            return f"the logic does not settle within {MOST_SCANS} scans with its inputs frozen ({where})"
        if not self.complete:
            return f"that the logic settles is not shown: {self.states:,} states explored"
        return f"the logic settles within {self.scans} scans with its inputs frozen ({where})"


def settles(netlist: Netlist, plant: Plant) -> Settling:
    """Find how many scans with frozen inputs are enough, from every reachable state and for every pattern."""
    zones = frozenset(z.name for z in plant.zones if z.kind in (ZoneKind.CRUSH, ZoneKind.DRAFT))
    parts = frozenset({"entry", "bail"} & {p.name for p in plant.parts})
    scope = Scope(parts, zones, frozenset(), rest=Rest.FROZEN, watch=False)
    _, system = build_world(netlist, plant, (), scope)
    found = explore(system, None, CAP_BYTES)
    program = system.scan
    op, a, b = program.op, program.a.astype(np.uint32), program.b.astype(np.uint32)
    arrays = (op, a, b, system.scan_bit.astype(np.uint32), system.scan_pattern.astype(np.uint32))
    following = system.scan_next.astype(np.uint32)
    most = int(_settle(*arrays, following, system.patterns, system.pattern_valid, found.queue, MOST_SCANS))
    return Settling(most if most <= MOST_SCANS else None, found.states, found.complete)


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator]
def _settle(
    op: Any, a: Any, b: Any, bit: Any, inputs: Any, following: Any, patterns: Any, valid: Any, queue: Any, most: int
) -> int:
    """Most scans needed from any state of the queue under any pattern, `most + 1` where that is not enough."""
    values = np.zeros(op.size + 1, np.uint64)
    both, one, second = np.zeros(op.size, np.uint64), np.zeros(op.size, np.uint64), np.zeros(op.size, np.uint32)
    alike(op, a, b, both, one, second, values)
    start = np.zeros(2, np.int64)
    order = orders(op, a, b, inputs[:0], patterns[:1, :0], start)
    lanes = np.zeros(64, np.uint64)
    spare = np.zeros(bit.size, np.uint64)
    worst = 0
    for first in range(0, queue.size, 64):
        for lane in range(64):
            lanes[lane] = queue[min(first + lane, queue.size - 1)]
        transpose(lanes)
        for p in range(patterns.shape[0]):
            for k in range(bit.size):
                values[bit[k]] = lanes[k]
            for k in range(inputs.size):
                values[inputs[k]] = ~np.uint64(0) if patterns[p, k] else np.uint64(0)
            mask = ~np.uint64(0)
            for count in range(1, most + 2):
                evaluate(order, 0, order.size, a, second, both, one, values)
                if count == 1 and valid[p] >= 0:
                    mask = values[valid[p]]
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
