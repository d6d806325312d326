"""Ways out for people: worker passes chosen so that nobody in a pen is farther from one than the rule allows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.yard.model import Point
from stockproof.yard.plane import distance
from stockproof.yard.result import Gate, Zone
from stockproof.yard.sizes import Sizes

__all__ = ["ENTERED", "Escapes", "escapes", "reach_to_pass"]

#: Spaces where people work on foot among animals.
ENTERED = ("lane", "pen", "forcing", "draft pen", "sick pen")
#: Places looked at along a fence, over a pen's floor, and how far a pass stays from corners and gates [m].
EVERY_M = 0.6
FLOOR_M = 1.0
CLEAR_M = 0.45
#: A round fence takes a pass where it bows out no more than this over the pass and its clearance [m].
BOWED_M = 0.07
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

    A pass leads to open ground; only where that leaves floor out of reach it leads into the pen beside.

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
        spots = _places(zone, zones, (*gates, *made), boundary, sizes)
        outer = [spot for spot in spots if spot[2] == OUTSIDE]
        if zone.kind in ("lane", "draft pen") and outer:
            made.append(
                _opening(zone, min(outer, key=lambda spot: distance(spot[0], near)), sizes["man_gate"], "man-gate")
            )
            spots = _places(zone, zones, (*gates, *made), boundary, sizes)
        ready = [gate for gate in made if gate.kind == "worker pass" and gate.between[1] == zone.key]
        chosen, lost = _cover(zone, spots, ready, sizes["escape_reach"])
        made += [_opening(zone, spot, sizes["pass_width"], "worker pass", i + 1) for i, spot in enumerate(chosen)]
        if lost is not None:
            missing.append((zone.key, *lost))
    return Escapes(tuple(made), tuple(missing))


OUTSIDE = "outside"
#: A place along a fence: the point, the direction along the fence, and what lies behind it.
_Spot = tuple[Point, Point, str]


def _places(
    zone: Zone, zones: tuple[Zone, ...], gates: tuple[Gate, ...], boundary: shapely.Geometry, sizes: Sizes
) -> list[_Spot]:
    """Places along a zone's fence clear of corners and gates, with open ground or an entered pen behind."""
    along = _along(zone, sizes["pass_width"] / 2)
    if not along:
        return []
    points = shapely.points([at for at, _ in along])
    leaves = shapely.union_all([shapely.LineString((gate.hinge, gate.latch)) for gate in gates])
    clear = shapely.distance(points, leaves) > sizes["pass_width"] / 2 + CLEAR_M / 2
    along, points = [spot for spot, good in zip(along, clear, strict=True) if good], points[clear]
    room = shapely.buffer(points, sizes["pass_width"] / 2 + 0.05)
    others = {other.key: shapely.Polygon(other.ring) for other in zones if other.key != zone.key}
    outside = boundary.difference(shapely.union_all([shapely.Polygon(zone.ring), *others.values()]))
    behind = {OUTSIDE: outside} | {
        key: others[key] for key in (other.key for other in zones if other.kind in ENTERED) if key in others
    }
    spots: list[_Spot] = []
    for key, ground in behind.items():
        # nearly half of the disc round the place must be floor to step out onto
        met = shapely.intersects(ground, room)
        good = np.zeros(len(room), bool)
        good[met] = shapely.area(shapely.intersection(room[met], ground)) > 0.42 * shapely.area(room[met])
        spots += [(*place, key) for place, fits in zip(along, good, strict=True) if fits]
    return spots


def _along(zone: Zone, half: float) -> list[tuple[Point, Point]]:
    """Places along the outline where it runs straight, or nearly so, for a pass and its clearance."""
    outline = shapely.Polygon(zone.ring).exterior
    long, reach = outline.length, half + CLEAR_M
    ats = np.arange(0.0, long, EVERY_M)
    at, back, ahead = (shapely.line_interpolate_point(outline, (ats + by) % long) for by in (0.0, -reach, reach))
    xy, before, after = (shapely.get_coordinates(points) for points in (at, back, ahead))
    straight = np.hypot(*(xy - (before + after) / 2).T) < BOWED_M
    ways = (after - before) / np.hypot(*(after - before).T)[:, None]
    return [
        ((float(p[0]), float(p[1])), (float(w[0]), float(w[1])))
        for p, w, good in zip(xy, ways, straight, strict=True)
        if good
    ]


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


def _cover(
    zone: Zone, spots: list[_Spot], ready: list[Gate], reach_m: float
) -> tuple[list[_Spot], tuple[Point, float] | None]:
    """Pick places greedily, those to open ground first; give the farthest point left, if any is beyond reach."""
    floor = _floor(zone)
    if not len(floor):
        return [], None
    if not spots and not ready:
        middle = shapely.Polygon(zone.ring).representative_point()
        return [], ((float(middle.x), float(middle.y)), float("inf"))
    apart = _distances(zone, floor, np.array([_middle(gate) for gate in ready] + [spot[0] for spot in spots]))
    reaches = apart <= reach_m
    open_ = ~reaches[:, : len(ready)].any(axis=1)
    chosen: list[_Spot] = []
    for outer in (True, False):
        usable = np.array([False] * len(ready) + [(spot[2] == OUTSIDE) is outer for spot in spots])
        while open_.any():
            gains = reaches[open_].sum(axis=0) * usable
            best = int(gains.argmax())
            if gains[best] == 0:
                break
            chosen.append(spots[best - len(ready)])
            open_ &= ~reaches[:, best]
    if not open_.any():
        return chosen, None
    nearest = apart.min(axis=1)
    worst = int(np.where(open_, nearest, -1.0).argmax())
    return chosen, ((float(floor[worst, 0]), float(floor[worst, 1])), float(nearest[worst]))


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
    (x, y), (dx, dy), behind = spot
    half = width_m / 2
    a, b = (x - dx * half, y - dy * half), (x + dx * half, y + dy * half)
    opens = ((a[0] + dy * width_m, a[1] - dx * width_m),) if kind == "man-gate" else ()
    return Gate(f"{kind} {number} of {zone.key}", kind, a, b, (zone.key, behind), opens)  # type: ignore[arg-type]
