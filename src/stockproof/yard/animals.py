"""Animals drawn to size: one block with the mob's own length and width, and places for it in every space."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from stockproof.scene import Block, Insert, Polygon
from stockproof.yard.lettering import Placer
from stockproof.yard.model import Held, Point, Ring
from stockproof.yard.result import Yard, Zone

__all__ = ["ANIMAL", "animal_block", "animals", "rounded"]

ANIMAL, LAYER = "ANIMAL", "ANIMAL"
#: Half of an animal's outline from above, nose first: share of the length, share of the width.
HALF_OUTLINE = (
    (0.500, 0.00), (0.495, 0.16), (0.460, 0.26), (0.415, 0.34), (0.408, 0.62), (0.385, 0.60), (0.378, 0.34),
    (0.330, 0.36), (0.260, 0.60), (0.190, 0.84), (0.060, 0.92), (-0.120, 1.00), (-0.300, 1.00), (-0.420, 0.86),
    (-0.485, 0.50), (-0.500, 0.00),
)  # fmt: skip
#: Animals in pens keep this far from fences [m].
OFF_FENCE_M = 0.15
#: Share of a pen's floor over which its animals are spread when drawn: rows do not fill it to the edges.
PACKED = 0.72


def animal_block(mob: Held) -> Block:
    """Draw an animal of the mob from above, nose along x, middle at the origin."""
    length, half = mob.body_length_m, mob.body_width_m / 2
    left = [(x * length, y * half) for x, y in HALF_OUTLINE]
    right = [(x, -y) for x, y in reversed(left[1:-1])]
    return Block(ANIMAL, (Polygon(LAYER, rounded((*left, *right)), "tint"),), "animal to size")


def rounded(ring: Ring, times: int = 2) -> Ring:
    """Cut a ring's corners so that it looks drawn by hand (Chaikin's rule: a quarter from each end of a side)."""
    for _ in range(times):
        cut: list[Point] = []
        for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
            cut += [(0.75 * ax + 0.25 * bx, 0.75 * ay + 0.25 * by), (0.25 * ax + 0.75 * bx, 0.25 * ay + 0.75 * by)]
        ring = tuple(cut)
    return ring


def animals(yard: Yard, placer: Placer) -> Iterator[Insert]:
    """Give animals in the race, the crush, the forcing pen and the receiving pens, where no words stand."""
    mob = yard.ask.mob
    for at, heading in (*_in_line(yard), *_in_crush(yard)):
        yield from _if_free(at, heading, mob, placer)
    for zone in yard.zones:
        if zone.kind == "forcing":
            yield from _in_pen(zone, yard.batch_head, mob, placer)
        elif zone.key.startswith("receiving pen"):
            yield from _in_pen(zone, zone.head, mob, placer)


def _in_line(yard: Yard) -> Iterator[tuple[Point, float]]:
    """One behind the other from the crush back, as many as the race holds."""
    line = shapely.LineString(yard.line)
    pitch = yard.race_length_m / yard.race_places
    for place in range(yard.race_places):
        middle = yard.race_length_m - (place + 0.5) * pitch
        yield _along(line, middle)


def _in_crush(yard: Yard) -> Iterator[tuple[Point, float]]:
    line = shapely.LineString(yard.line)
    yield _along(line, yard.race_length_m + yard.ask.machine.crush_length_m / 2)


def _along(line: shapely.Geometry, at: float) -> tuple[Point, float]:
    here, before, after = (line.interpolate(at + by) for by in (0.0, -0.3, 0.3))
    return (float(here.x), float(here.y)), math.atan2(after.y - before.y, after.x - before.x)


def _in_pen(zone: Zone, head: int, mob: Held, placer: Placer) -> Iterator[Insert]:
    """Rows along the pen's longer side, every second row turned about and shifted by half an animal."""
    inner = shapely.buffer(shapely.Polygon(zone.ring), -OFF_FENCE_M)
    corners = list(shapely.minimum_rotated_rectangle(inner).exterior.coords)
    sides = [(corners[i], corners[i + 1]) for i in range(2)]
    (ax, ay), (bx, by) = max(sides, key=lambda side: math.dist(*side))
    heading = math.atan2(by - ay, bx - ax)
    step = mob.body_length_m * 1.06
    row = max(mob.body_width_m * 1.12, PACKED * inner.area / max(1, head) / step)
    drawn = 0
    for at, turned in _grid(inner, heading, step, row):
        if drawn == head:
            return
        shape = _outline(at, heading, mob)
        if inner.covers(shape) and placer.free_of_text(shape):
            drawn += 1
            yield Insert(LAYER, ANIMAL, at, heading + (math.pi if turned else 0.0))


def _grid(inner: shapely.Geometry, heading: float, step: float, row: float) -> Iterator[tuple[Point, bool]]:
    """Places over a shape in its own direction, row by row."""
    c, s = math.cos(heading), math.sin(heading)
    middle = inner.centroid
    reach = math.hypot(*(inner.bounds[i + 2] - inner.bounds[i] for i in (0, 1))) / 2
    rows, steps = int(reach / row) + 1, int(reach / step) + 1
    for j in range(-rows, rows + 1):
        for i in range(-steps, steps + 1):
            u, v = (i + 0.5 * (j % 2)) * step, j * row
            yield (middle.x + u * c - v * s, middle.y + u * s + v * c), (i + j) % 3 == 0


def _outline(at: Point, heading: float, mob: Held) -> shapely.Geometry:
    c, s = math.cos(heading), math.sin(heading)
    long, wide = mob.body_length_m / 2, mob.body_width_m / 2
    corners = [
        (at[0] + u * c - v * s, at[1] + u * s + v * c)
        for u, v in ((-long, -wide), (long, -wide), (long, wide), (-long, wide))
    ]
    return shapely.Polygon(corners)


def _if_free(at: Point, heading: float, mob: Held, placer: Placer) -> Iterator[Insert]:
    if placer.free_of_text(_outline(at, heading, mob)):
        yield Insert(LAYER, ANIMAL, at, heading)
