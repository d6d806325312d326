"""Places for animals to stand in a pen, so that as many as there are can be drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import shapely

from stockproof.proof.rehearsal.lay import Point, Ring

__all__ = ["Slot", "slots_in"]

#: Where an animal stands: x, y and heading.
Slot = tuple[float, float, float]
OFF_FENCE_M = 0.15
#: Share of a pen over which its animals spread.
SPREAD = 0.85


@lru_cache(maxsize=256)
def slots_in(ring: Ring, head: int, body: tuple[float, float], toward: Point | None = None) -> tuple[Slot, ...]:
    """Give places for so many animals, or as many as there is room for.

    With `toward` they stand with their heads to it and the nearest comes first; else they stand in rows along the pen,
    every second one turned about.
    """
    inner = shapely.buffer(shapely.Polygon(ring), -OFF_FENCE_M)
    if inner.is_empty or head < 1:
        return ()
    for closer in (1.0, 0.85, 0.7, 0.55, 0.45):
        found = list(_rows(inner, head, body, closer))
        if len(found) >= head:
            break
    if toward is not None:
        found.sort(key=lambda slot: (round(math.dist(slot[:2], toward), 6), slot))
        found = [(x, y, math.atan2(toward[1] - y, toward[0] - x)) for x, y, _ in found]
    return tuple(found[:head])


def _rows(inner: shapely.Geometry, head: int, body: tuple[float, float], closer: float) -> Iterator[Slot]:
    corners = list(shapely.minimum_rotated_rectangle(inner).exterior.coords)
    (ax, ay), (bx, by) = max((corners[i : i + 2] for i in range(2)), key=lambda side: math.dist(*side))
    heading = math.atan2(by - ay, bx - ax)
    step = body[0] * 1.08 * math.sqrt(closer)
    row = max(body[1] * 1.15, SPREAD * inner.area / max(1, head) / step) * closer
    c, s, middle = math.cos(heading), math.sin(heading), inner.centroid
    reach = max(inner.bounds[2] - inner.bounds[0], inner.bounds[3] - inner.bounds[1])
    rows, steps = int(reach / row) + 1, int(reach / step) + 1
    fits = shapely.buffer(inner, -body[1] / 2)
    shapely.prepare(fits)
    for j in range(-rows, rows + 1):
        for i in range(-steps, steps + 1):
            u, v = (i + 0.5 * (j % 2)) * step, j * row
            x, y = middle.x + u * c - v * s, middle.y + u * s + v * c
            ends = [(x + d * c * body[0] / 2, y + d * s * body[0] / 2) for d in (-1, 0, 1)]
            if shapely.contains_xy(fits, [p[0] for p in ends], [p[1] for p in ends]).all():
                yield x, y, heading + (math.pi if (i + j) % 3 == 0 else 0.0)
