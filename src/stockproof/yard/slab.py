"""The concrete: slab under the line, its fall and drain, and levels against the natural ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from stockproof.yard.ground import ground_level
from stockproof.yard.model import Point, Ring, SiteAsk
from stockproof.yard.plane import heading_of_bearing
from stockproof.yard.result import Pose, Strip, Zone
from stockproof.yard.sizes import Sizes

__all__ = ["Slab", "fall_heading", "level_difference", "make_slab", "slab_level"]

#: The slab runs on this far past fences and work areas, for the posts' bases [m].
EDGE_M = 0.15
DRAIN_M = 0.30
#: Edges that face the fall within 45 degrees are drained; shorter ones drain along their neighbours [m].
FACING = math.cos(math.radians(45.0))
LEAST_DRAIN_M = 0.8
ON_SLAB = ("forcing", "race", "crush", "draft")


@dataclass(frozen=True, slots=True)
class Slab:
    """The slab's outline, the drains along its low sides, and the direction it falls to."""

    ring: Ring
    drains: tuple[Ring, ...]
    fall_heading: float


def fall_heading(crush: Pose, site: SiteAsk) -> float:
    """Direction the slab falls to: square to the animals' way, to the side the ground falls to.

    On ground that does not fall sideways it falls to the right of the animals.
    """
    downhill = heading_of_bearing(site.falls_toward_rad)
    left = math.sin(downhill - crush.heading) * site.slope_share > 1e-9
    return crush.heading + (math.pi / 2 if left else -math.pi / 2)


def make_slab(zones: tuple[Zone, ...], strips: tuple[Strip, ...], crush: Pose, site: SiteAsk) -> Slab:
    """Draw the slab under forcing pen, race, crush, draft unit and the floor for people beside them."""
    rings = [zone.ring for zone in zones if zone.kind in ON_SLAB]
    rings += [strip.ring for strip in strips if strip.kind in ("catwalk", "work area")]
    whole = shapely.buffer(shapely.union_all([shapely.Polygon(ring) for ring in rings]), EDGE_M, join_style="mitre")
    pieces = shapely.get_parts(whole)
    outline = shapely.simplify(shapely.Polygon(max(pieces, key=lambda piece: piece.area).exterior), 0.01)
    ring = tuple((float(x), float(y)) for x, y in shapely.orient_polygons(outline).exterior.coords[:-1])
    heading = fall_heading(crush, site)
    return Slab(ring, _drains(ring, heading), heading)


def _drains(ring: Ring, heading: float) -> tuple[Ring, ...]:
    """Channels just outside the edges that face the way the slab falls; neighbouring edges share one."""
    runs: list[list[Point]] = []
    for i in range(len(ring)):
        a, b = ring[i - 1], ring[i]
        # outward of an anticlockwise ring is to the right of its edges
        outward = math.atan2(b[1] - a[1], b[0] - a[0]) - math.pi / 2
        if math.cos(outward - heading) < FACING:
            continue
        if runs and runs[-1][-1] == a:
            runs[-1].append(b)
        else:
            runs.append([a, b])
    lines = [shapely.LineString(run) for run in runs]
    strips = [
        shapely.buffer(line, -DRAIN_M, single_sided=True, join_style="mitre")
        for line in lines
        if line.length > LEAST_DRAIN_M
    ]
    return tuple(
        tuple((float(x), float(y)) for x, y in strip.exterior.coords[:-1])
        for strip in strips
        if strip.geom_type == "Polygon"
    )


def slab_level(crush: Pose, heading: float, fall_share: float, at: Point) -> float:
    """Finished level of the slab at a point, zero at the crush's entry [m].

    References
    ----------
    A plane with one fall.
    """
    return -fall_share * ((at[0] - crush.x) * math.cos(heading) + (at[1] - crush.y) * math.sin(heading))


def level_difference(slab: Slab, crush: Pose, site: SiteAsk, sizes: Sizes) -> tuple[Point, float]:
    """Give the slab's corner that lies farthest above or below natural ground, with the difference [m].

    The crush's entry is set at natural ground; a positive difference is fill.
    """
    base = ground_level(site, (crush.x, crush.y))

    def above(at: Point) -> float:
        return slab_level(crush, slab.fall_heading, sizes["slab_fall"], at) - (ground_level(site, at) - base)

    worst = max(slab.ring, key=lambda at: abs(above(at)))
    return worst, above(worst)
