"""Animals drawn to size: one block with the mob's own length and width, and places for it in every space."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.scene import Block, Insert, Polygon
from stockproof.yard.lettering import Placer
from stockproof.yard.model import Held, Point, Ring
from stockproof.yard.result import Yard, Zone

__all__ = ["ANIMAL", "animal_block", "animals", "head_shown", "rounded"]

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
#: Animals stand no closer than this many of their lengths and widths from middle to middle.
CLOSEST = 1.04
#: Places along a row are tried at this distance [m].
TRIED_M = 0.2


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


def head_shown(yard: Yard) -> int:
    """Give the head that stand in the yard as `animals` means to draw it: full pens, a batch, race and crush."""
    pens = sum(zone.head for zone in yard.zones if zone.key.startswith("receiving pen"))
    return pens + yard.batch_head + yard.race_places + 1


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
    """Rows along the pen or across it, loose where there is room, so that as many of its head stand as can."""
    inner = shapely.buffer(shapely.Polygon(zone.ring), -OFF_FENCE_M)
    floor = inner.difference(shapely.union_all(placer.taken))
    shapely.prepare(floor)
    corners = list(shapely.minimum_rotated_rectangle(inner).exterior.coords)
    sides = [(corners[i], corners[i + 1]) for i in range(2)]
    headings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in sorted(sides, key=lambda side: -math.dist(*side))]
    least = mob.body_width_m * CLOSEST
    spread = max(least, PACKED * inner.area / max(1, head) / (mob.body_length_m * CLOSEST))
    most: list[tuple[Point, float]] = []
    for row in (spread, (spread + least) / 2, least):
        for heading in headings:
            found = _rows(floor, heading, row, mob)
            most = found if len(found) > len(most) else most
        if len(most) >= head:
            break
    kept = [most[i * len(most) // head] for i in range(min(head, len(most)))] if len(most) > head else most
    yield from (Insert(LAYER, ANIMAL, at, heading) for at, heading in kept)


def _rows(floor: shapely.Geometry, heading: float, row: float, mob: Held) -> list[tuple[Point, float]]:
    """Places in rows over a floor: in each row an animal stands wherever the next finds room."""
    c, s = math.cos(heading), math.sin(heading)
    centre, step = floor.centroid, mob.body_length_m * CLOSEST
    reach = math.hypot(*(floor.bounds[i + 2] - floor.bounds[i] for i in (0, 1))) / 2 + step
    tried = np.arange(-reach, reach, TRIED_M)
    found: list[tuple[Point, float]] = []
    for j in range(-int(reach / row) - 1, int(reach / row) + 2):
        us = tried + 0.5 * (j % 2) * step
        middles = np.stack([centre.x + us * c - j * row * s, centre.y + us * s + j * row * c], axis=1)
        fits = shapely.covers(floor, shapely.polygons(middles[:, None, :] + _corners(heading, mob)[None, :, :]))
        free_from = -math.inf
        for u, (x, y), fit in zip(us, middles, fits, strict=True):
            if fit and u >= free_from:
                free_from = u + step
                found.append(((float(x), float(y)), heading + (math.pi if (len(found) + j) % 3 == 0 else 0.0)))
    return found


def _corners(heading: float, mob: Held) -> NDArray[np.float64]:
    """Corners of an animal's rectangle about its middle."""
    c, s = math.cos(heading), math.sin(heading)
    long, wide = mob.body_length_m / 2, mob.body_width_m / 2
    ends = ((-long, -wide), (long, -wide), (long, wide), (-long, wide))
    return np.array([(u * c - v * s, u * s + v * c) for u, v in ends])


def _if_free(at: Point, heading: float, mob: Held, placer: Placer) -> Iterator[Insert]:
    if placer.free_of_text(shapely.Polygon(_corners(heading, mob) + np.array(at))):
        yield Insert(LAYER, ANIMAL, at, heading)
