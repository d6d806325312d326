"""The site as geometry: the ground that is free, ways over it, and its natural level."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from stockproof.errors import Fault, InputError
from stockproof.yard.model import Gateway, Point, Ring, SiteAsk, Truck
from stockproof.yard.plane import heading_of_bearing

__all__ = [
    "PERSON_M",
    "Ground",
    "connected",
    "floor_open",
    "gateway_for",
    "ground_level",
    "read_ground",
    "turning_room",
]

#: Only parts of a site at least this big are worth looking at [m2].
LEAST_SITE_M2 = 60.0
#: A person needs this much room to get through [m].
PERSON_M = 0.6


@dataclass(frozen=True, slots=True)
class Ground:
    """The site's boundary and the free ground within it (what stands there taken out; open roofs stay free)."""

    boundary: shapely.Polygon
    free: shapely.Geometry
    roofs: shapely.Geometry


def read_ground(site: SiteAsk) -> Ground:
    """Make the site's geometry.

    Raises
    ------
    InputError
        The boundary crosses itself or is no area.
    """
    boundary = shapely.Polygon(site.boundary)
    if not boundary.is_valid or boundary.area < LEAST_SITE_M2:
        raise InputError(
            Fault(
                "the site's boundary is no usable piece of ground",
                got=shapely.is_valid_reason(boundary) if not boundary.is_valid else f"{boundary.area:.0f} m2",
                allowed=f"a ring that does not cross itself, of at least {LEAST_SITE_M2:.0f} m2",
                mend="list the corners in order round the site",
            )
        )
    solid = [shapely.Polygon(thing.ring) for thing in site.existing if thing.kind != "roof"]
    roofs = [shapely.Polygon(thing.ring) for thing in site.existing if thing.kind == "roof"]
    free = boundary.difference(shapely.union_all(solid)) if solid else boundary
    return Ground(boundary, free, shapely.union_all(roofs))


def ground_level(site: SiteAsk, at: Point) -> float:
    """Natural level of the ground at a point, zero at the plan's origin [m].

    References
    ----------
    A plane that falls at the stated slope toward the stated bearing.
    """
    fall = heading_of_bearing(site.falls_toward_rad)
    return -site.slope_share * (at[0] * math.cos(fall) + at[1] * math.sin(fall))


def connected(open_ground: shapely.Geometry, width_m: float, start: Point, end: Point) -> bool:
    """Say whether something so wide can pass over open ground from one place to another.

    The ground is shrunk by half the width; both places must then reach one and the same piece of it
    (a place on the edge reaches it within the width).
    """
    core = shapely.buffer(open_ground, -width_m / 2)
    pieces = shapely.get_parts(core)
    near = [shapely.distance(pieces, shapely.Point(place)) <= width_m for place in (start, end)]
    return bool((near[0] & near[1]).any())


def floor_open(boundary: shapely.Geometry, open_ground: shapely.Geometry, floor: Ring) -> bool:
    """Say whether people can leave a working floor over open ground, without walking among animals."""
    pieces = shapely.get_parts(shapely.buffer(open_ground, -PERSON_M / 2))
    shape = shapely.Polygon(floor)
    here = [piece for piece in pieces if piece.intersection(shape).area > 0.1 * shape.area]
    return any(bool(piece.distance(boundary.exterior) < PERSON_M) for piece in here)


def turning_room(open_ground: shapely.Geometry, truck: Truck, clear_m: float, stand: Point) -> bool:
    """Say whether a truck can turn right round near its stand: a disc of its turning circle fits the ground.

    The disc must lie in the piece of ground that the truck reaches from its stand.
    """
    core = shapely.buffer(open_ground, -(truck.width_m / 2 + clear_m))
    pieces = [piece for piece in shapely.get_parts(core) if piece.distance(shapely.Point(stand)) <= truck.length_m]
    inner = truck.turning_radius_m - truck.width_m / 2
    return any(not shapely.buffer(piece, -inner).is_empty for piece in pieces)


def gateway_for(site: SiteAsk, use: str) -> Gateway | None:
    """Give the first gateway that serves a use."""
    return next((gateway for gateway in site.gateways if use in gateway.serves), None)
