"""The concrete: slab under the line, its fall and drain, and levels against the natural ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from stockproof.yard.ground import ground_level
from stockproof.yard.model import Point, Pose, Ring, SiteAsk, Strip, Zone
from stockproof.yard.plane import heading_of_bearing, rectangle
from stockproof.yard.sizes import Sizes

__all__ = ["Slab", "fall_heading", "level_difference", "make_slab", "slab_level"]

#: The slab runs on this far past fences and work areas, for the posts' bases [m].
EDGE_M = 0.15
DRAIN_M = 0.30
ON_SLAB = ("forcing", "race", "crush", "draft")


@dataclass(frozen=True, slots=True)
class Slab:
    """The slab's outline, the drain along its low side, and the direction it falls to."""

    ring: Ring
    drain: Ring
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
    ring = tuple((float(x), float(y)) for x, y in outline.exterior.coords[:-1])
    heading = fall_heading(crush, site)
    return Slab(ring, _drain(ring, crush, heading), heading)


def _drain(ring: Ring, crush: Pose, heading: float) -> Ring:
    """A channel just outside the slab's lowest stretch."""
    frame = Pose(crush.x, crush.y, heading)
    c, s = math.cos(heading), math.sin(heading)
    local = [((x - crush.x) * c + (y - crush.y) * s, -(x - crush.x) * s + (y - crush.y) * c) for x, y in ring]
    low = max(u for u, _ in local)
    beside = [v for u, v in local if u > low - 1.5]
    return rectangle(frame, low, low + DRAIN_M, min(beside), max(beside))


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
