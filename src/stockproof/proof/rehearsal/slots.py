"""Places for animals to stand in a pen, so that as many as there are can be drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import islice

import shapely

from stockproof.proof.rehearsal.lay import Point, Ring

__all__ = ["Slot", "slots_in", "slots_toward"]

#: Where an animal stands: x, y and heading.
Slot = tuple[float, float, float]
OFF_FENCE_M = 0.15
#: Share of a pen over which its animals spread.
SPREAD = 0.85
#: Rows closer than this share of a loose pen's stand nose to tail as well.
TIGHT = 0.6
#: How close animals stand, as a share of their own size, from loose to as close as they are ever drawn.
CLOSER = (1.0, 0.85, 0.7, 0.55, 0.45)
#: Places are tried so far apart. [m]
GRID_M = 0.15


@lru_cache(maxsize=256)
def slots_in(ring: Ring, head: int, body: tuple[float, float]) -> tuple[Slot, ...]:
    """Give places for so many animals, or as many as there is room for: in rows along the pen, some turned about."""
    inner = shapely.buffer(shapely.Polygon(ring), -OFF_FENCE_M)
    if inner.is_empty or head < 1:
        return ()
    for closer in CLOSER:
        found = list(_rows(inner, head, body, closer))
        if len(found) >= head:
            break
    return tuple(found[:head])


@lru_cache(maxsize=256)
def slots_toward(ring: Ring, head: int, body: tuple[float, float], mouth: Point) -> tuple[Slot, ...]:
    """Give places for so many animals, or as many as there is room for: heads to the mouth, the nearest to it first."""
    inner = shapely.buffer(shapely.Polygon(ring), -OFF_FENCE_M)
    if inner.is_empty or head < 1:
        return ()
    for closer in CLOSER:
        found = list(islice(_from_the_mouth(inner, body, closer, mouth), head))
        if len(found) >= head:
            break
    return tuple(found)


def _from_the_mouth(inner: shapely.Geometry, body: tuple[float, float], closer: float, mouth: Point) -> Iterator[Slot]:
    """Places side by side, each as near to the mouth as those before it leave room for."""
    fits = shapely.buffer(inner, -closer * body[1] / 2)
    shapely.prepare(fits)
    heading = math.atan2(mouth[1] - inner.centroid.y, mouth[0] - inner.centroid.x)
    c, s = math.cos(heading), math.sin(heading)
    x0, y0, x1, y1 = inner.bounds
    spots = [
        (x0 + i * GRID_M, y0 + j * GRID_M)
        for i in range(int((x1 - x0) / GRID_M) + 1)
        for j in range(int((y1 - y0) / GRID_M) + 1)
    ]
    taken: list[Point] = []
    for x, y in sorted(spots, key=lambda at: (round(math.dist(at, mouth), 6), at)):
        ahead = [(c * (x - a) + s * (y - b), c * (y - b) - s * (x - a)) for a, b in taken]
        if any(abs(u) < closer * body[0] and abs(v) < closer * body[1] for u, v in ahead):
            continue
        ends = [(x + d * c * body[0] / 2, y + d * s * body[0] / 2) for d in (-1, 0, 1)]
        if shapely.contains_xy(fits, [p[0] for p in ends], [p[1] for p in ends]).all():
            taken.append((x, y))
            yield x, y, heading


def _rows(inner: shapely.Geometry, head: int, body: tuple[float, float], closer: float) -> Iterator[Slot]:
    """Places in rows along the pen, the closer the less room there is: nose to tail only where nothing else helps."""
    corners = list(shapely.minimum_rotated_rectangle(inner).exterior.coords)
    (ax, ay), (bx, by) = max((corners[i : i + 2] for i in range(2)), key=lambda side: math.dist(*side))
    heading = math.atan2(by - ay, bx - ax)
    step = body[0] * 1.08 * (1.0 if closer > TIGHT else math.sqrt(closer))
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
