"""Ways out for people: worker passes chosen so that nobody in a pen is farther from one than the rule allows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.yard.model import Gate, Point, Zone
from stockproof.yard.plane import distance
from stockproof.yard.sizes import Sizes

__all__ = ["ENTERED", "Escapes", "escapes", "reach_to_pass"]

#: Spaces where people work on foot among animals.
ENTERED = ("lane", "pen", "forcing", "draft pen", "sick pen")
#: Places looked at along a fence, over a pen's floor, and how far a pass stays from corners and gates [m].
EVERY_M = 0.6
FLOOR_M = 1.0
CLEAR_M = 0.45
#: A person stands this far in from the fence [m].
BODY_M = 0.25


@dataclass(frozen=True, slots=True)
class Escapes:
    """Passes and man-gates, and for every zone that cannot be covered its farthest point with the distance."""

    gates: tuple[Gate, ...]
    missing: tuple[tuple[str, Point, float], ...]


def escapes(
    zones: tuple[Zone, ...], gates: tuple[Gate, ...], boundary: shapely.Geometry, near: Point, sizes: Sizes
) -> Escapes:
    """Choose the passes, zone by zone, each time the place that brings most of the floor within reach.

    Parameters
    ----------
    boundary : geometry
        Ground people may step out onto.
    near : Point
        Where people work most: man-gates go as near to it as the fences allow.
    """
    made: list[Gate] = []
    missing: list[tuple[str, Point, float]] = []
    for zone in zones:
        if zone.kind not in ENTERED:
            continue
        spots = _outer_places(zone, zones, (*gates, *made), boundary, sizes)
        if zone.kind in ("lane", "draft pen") and spots:
            made.append(
                _opening(zone, min(spots, key=lambda spot: distance(spot[0], near)), sizes["man_gate"], "man-gate")
            )
            spots = _outer_places(zone, zones, (*gates, *made), boundary, sizes)
        chosen, lost = _cover(zone, spots, sizes["escape_reach"])
        made += [_opening(zone, spot, sizes["pass_width"], "worker pass", i + 1) for i, spot in enumerate(chosen)]
        if lost is not None:
            missing.append((zone.key, *lost))
    return Escapes(tuple(made), tuple(missing))


_Spot = tuple[Point, Point]


def _outer_places(
    zone: Zone, zones: tuple[Zone, ...], gates: tuple[Gate, ...], boundary: shapely.Geometry, sizes: Sizes
) -> list[_Spot]:
    """Places along the zone's outline with free ground behind the fence, as (point, direction along the fence)."""
    shape = shapely.Polygon(zone.ring)
    others = [shapely.Polygon(other.ring) for other in zones if other.key != zone.key]
    leaves = [shapely.LineString((gate.hinge, gate.latch)) for gate in gates]
    half = sizes["pass_width"] / 2
    outside = boundary.difference(shapely.union_all([shape, *others]))
    spots: list[_Spot] = []
    ring = zone.ring
    for i in range(len(ring)):
        a, b = ring[i - 1], ring[i]
        long = distance(a, b)
        if long < 2 * (CLEAR_M + half):
            continue
        way = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
        count = max(1, int((long - 2 * (CLEAR_M + half)) / EVERY_M) + 1)
        for at in np.linspace(CLEAR_M + half, long - CLEAR_M - half, count):
            spots.append(((a[0] + way[0] * float(at), a[1] + way[1] * float(at)), way))
    if not spots:
        return []
    points = shapely.points([spot[0] for spot in spots])
    room = shapely.buffer(points, half + 0.05)
    clear = (
        shapely.distance(points, shapely.union_all(leaves)) > half + CLEAR_M / 2
        if leaves
        else np.ones(len(spots), bool)
    )
    # half of the disc round the place must be ground to step out onto
    behind = shapely.area(shapely.intersection(room, outside)) > 0.45 * shapely.area(room)
    return [spot for spot, good in zip(spots, clear & behind, strict=True) if good]


def _floor(zone: Zone) -> NDArray[np.float64]:
    """Points over a zone's floor where a person may stand, its corners among them."""
    inner = shapely.buffer(shapely.Polygon(zone.ring), -BODY_M)
    if inner.is_empty:
        return np.empty((0, 2))
    x0, y0, x1, y1 = inner.bounds
    xs, ys = (np.linspace(lo, hi, max(2, int((hi - lo) / FLOOR_M) + 1)) for lo, hi in ((x0, x1), (y0, y1)))
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    grid = grid[shapely.contains_xy(inner, grid)]
    corners = np.vstack([np.asarray(piece.exterior.coords)[:-1] for piece in shapely.get_parts(inner)])
    return np.vstack([grid, corners])


def _distances(zone: Zone, floor: NDArray[np.float64], places: NDArray[np.float64]) -> NDArray[np.float64]:
    """Straight distances from floor points to places, infinite where a fence of the zone is in the way."""
    apart = np.hypot(*(floor[:, None, :] - places[None, :, :]).transpose(2, 0, 1))
    shape = shapely.buffer(shapely.Polygon(zone.ring), 0.01)
    if shapely.convex_hull(shape).area - shape.area < 1e-3:
        return np.asarray(apart)
    ends = np.stack(np.broadcast_arrays(floor[:, None, :], places[None, :, :]), axis=2)
    shapely.prepare(shape)
    return np.where(shapely.covers(shape, shapely.linestrings(ends)), apart, np.inf)


def _cover(zone: Zone, spots: list[_Spot], reach_m: float) -> tuple[list[_Spot], tuple[Point, float] | None]:
    """Pick places greedily; also give the farthest point left, if any is beyond reach."""
    floor = _floor(zone)
    if not len(floor):
        return [], None
    if not spots:
        middle = shapely.Polygon(zone.ring).representative_point()
        return [], ((float(middle.x), float(middle.y)), float("inf"))
    apart = _distances(zone, floor, np.array([spot[0] for spot in spots]))
    reaches, open_ = apart <= reach_m, np.ones(len(floor), bool)
    chosen: list[int] = []
    while open_.any():
        gains = reaches[open_].sum(axis=0)
        best = int(gains.argmax())
        if gains[best] == 0:
            break
        chosen.append(best)
        open_ &= ~reaches[:, best]
    lost = None
    if open_.any():
        nearest = apart.min(axis=1)
        worst = int(np.where(open_, nearest, -1.0).argmax())
        lost = ((float(floor[worst, 0]), float(floor[worst, 1])), float(nearest[worst]))
    return [spots[i] for i in chosen], lost


def reach_to_pass(zone: Zone, gates: tuple[Gate, ...]) -> tuple[Point, float] | None:
    """Give the point of a zone's floor that is farthest from its passes, with the distance [m]."""
    places = [_middle(gate) for gate in gates if gate.kind == "worker pass" and zone.key in gate.between]
    floor = _floor(zone)
    if not len(floor):
        return None
    if not places:
        return (float(floor[0, 0]), float(floor[0, 1])), float("inf")
    nearest = _distances(zone, floor, np.array(places)).min(axis=1)
    worst = int(nearest.argmax())
    return (float(floor[worst, 0]), float(floor[worst, 1])), float(nearest[worst])


def _middle(gate: Gate) -> Point:
    return ((gate.hinge[0] + gate.latch[0]) / 2, (gate.hinge[1] + gate.latch[1]) / 2)


def _opening(zone: Zone, spot: _Spot, width_m: float, kind: str, number: int = 1) -> Gate:
    (x, y), (dx, dy) = spot
    half = width_m / 2
    a, b = (x - dx * half, y - dy * half), (x + dx * half, y + dy * half)
    opens = ((a[0] + dy * width_m, a[1] - dx * width_m),) if kind == "man-gate" else ()
    return Gate(f"{kind} {number} of {zone.key}", kind, a, b, (zone.key, "outside"), opens)  # type: ignore[arg-type]
