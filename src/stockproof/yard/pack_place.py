"""The power pack's place: off every floor, clear of leaves and ways out, reached on foot, away from people."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.yard.check_gates import swept
from stockproof.yard.ground import Ground
from stockproof.yard.model import Point, Ring, YardAsk
from stockproof.yard.plane import bearing, rectangle, set_down
from stockproof.yard.result import Gate, Pose, Spot, Strip, Zone
from stockproof.yard.sizes import Sizes
from stockproof.yard.stands import CRUSH_STAND, PACK
from stockproof.yard.walking import ROUND_M, open_walks

__all__ = ["find_pack", "in_the_way", "pack_outline", "stands_upwind", "taken_floor"]

PACK_SIZE_M = (1.1, 0.8)
#: From the pack's middle to its corners [m].
HALF_DIAGONAL_M = math.hypot(*PACK_SIZE_M) / 2
#: Its middle keeps so clear of fences and of the floor people work on, and is looked for so far from the crush [m].
CLEAR_M, SEARCH_M, STEP_M = 0.8, 14.0, 0.5
#: A metre of cable to the pack counts for so much of a metre farther from people.
CABLE_WEIGHT = 0.3
#: A pack within this angle of dead upwind blows over the operator [rad].
UPWIND_RAD = math.radians(60.0)

_Grid = NDArray[np.float64]


def pack_outline(at: Point, heading: float) -> Ring:
    """Give the pack's outline on the ground."""
    long, wide = PACK_SIZE_M
    return rectangle(Pose(*at, heading), -long / 2, long / 2, -wide / 2, wide / 2)


def taken_floor(zones: tuple[Zone, ...], strips: tuple[Strip, ...]) -> shapely.Geometry:
    """Give the floor of animals, people and trucks; the slab reaches under everything and takes none."""
    floors = [strip.ring for strip in strips if strip.kind not in ("slab", "drain")]
    return shapely.union_all([shapely.Polygon(ring) for ring in (*(zone.ring for zone in zones), *floors)])


def in_the_way(gates: tuple[Gate, ...]) -> shapely.Geometry:
    """Give what must stay free for gates and people: the ground leaves sweep, and the openings of ways out."""
    leaves = [shapely.Polygon(swept(gate, opened)) for gate in gates for opened in gate.opens]
    passes = [
        shapely.LineString((gate.hinge, gate.latch)) for gate in gates if gate.kind in ("worker pass", "man-gate")
    ]
    return shapely.union_all([*leaves, *passes])


def stands_upwind(crush: Pose, pack: Point, wind_rad: float) -> bool:
    """Say whether the wind carries from the pack to the crush; `wind_rad` is the bearing it comes from."""
    toward = bearing(math.atan2(pack[1] - crush.y, pack[0] - crush.x))
    return abs(math.remainder(toward - wind_rad, 2 * math.pi)) < UPWIND_RAD


def find_pack(
    line: Ring,
    crush: Pose,
    zones: tuple[Zone, ...],
    strips: tuple[Strip, ...],
    gates: tuple[Gate, ...],
    spots: tuple[Spot, ...],
    ask: YardAsk,
    sizes: Sizes,
    ground: Ground,
) -> Spot | None:
    """Give the power pack's place, the brief's own where it sets one; None where no floor is free.

    Of the free places those come first that are clear of leaves and ways out, then those with a short way on foot,
    then those the brief's hose goes to, then those off the wind; of these the one farthest from people, cable counted.
    """
    if ask.pack_at is not None:
        return Spot(PACK, "power pack", ask.pack_at)
    places = _free_places(crush, zones, strips, ask, ground)
    if not len(places):
        return None
    points = shapely.points(places)
    stand = next(spot.at for spot in spots if spot.key == CRUSH_STAND)
    blocked = shapely.distance(points, in_the_way(gates)) < sizes["clear_margin"] + HALF_DIAGONAL_M
    cut_off = open_walks(zones, ground.free, ROUND_M).lengths(stand, places) > sizes["pack_way"]
    too_far = np.maximum(0.0, _hose(points, line, spots, ask, sizes["hose_rise"]) - (ask.hose_reach_m or 0.0))
    wind = ask.site.wind_bearing_rad
    upwind = np.array([wind is not None and stands_upwind(crush, (x, y), wind) for x, y in places])
    cost = -_from_people(points, spots)
    if ask.site.supply_at is not None:
        cost = cost + CABLE_WEIGHT * np.hypot(*(places - np.array(ask.site.supply_at)).T)
    keys = (places[:, 1], places[:, 0], np.round(cost, 6), upwind, np.round(too_far, 6), cut_off, blocked)
    best = places[int(np.lexsort(keys)[0])]
    return Spot(PACK, "power pack", (float(best[0]), float(best[1])))


def _free_places(
    crush: Pose, zones: tuple[Zone, ...], strips: tuple[Strip, ...], ask: YardAsk, ground: Ground
) -> _Grid:
    """Places of a grid round the crush, clear of every floor and of what stands on the site."""
    reach = max(SEARCH_M, ask.hose_reach_m or 0.0)
    across = np.arange(-reach, reach + STEP_M / 2, STEP_M)
    middle = set_down(crush, ask.machine.crush_length_m / 2, 0.0)
    grid = np.stack(np.meshgrid(across, across, indexing="ij"), axis=-1).reshape(-1, 2) + np.array(middle)
    free = shapely.buffer(ground.free, -CLEAR_M).difference(shapely.buffer(taken_floor(zones, strips), CLEAR_M))
    return np.asarray(grid[shapely.contains_xy(free, grid)])


def _hose(points: NDArray[np.object_], line: Ring, spots: tuple[Spot, ...], ask: YardAsk, rise_m: float) -> _Grid:
    """Hose from each place to the nearest powered part, led as `route_length` leads it [m]."""
    along = shapely.LineString(line)
    on, over = shapely.line_locate_point(along, points), shapely.distance(along, points)
    driven = ask.machine.actuated or tuple(name for name, _ in ask.machine.moving_parts)
    at = [spot.at for spot in spots if spot.key in driven]
    if not at:
        return np.asarray(over) + 2.0 * rise_m
    parts = shapely.points(at)
    off, beside = shapely.line_locate_point(along, parts), shapely.distance(along, parts)
    ways = np.abs(on[:, None] - off[None, :]) + beside[None, :]
    return np.asarray(over + ways.min(axis=1) + 2.0 * rise_m)


def _from_people(points: NDArray[np.object_], spots: tuple[Spot, ...]) -> _Grid:
    """How far each place is from the nearest place where people stand or hold controls [m]."""
    people = [shapely.Point(spot.at) for spot in spots if spot.kind in ("stand", "control point")]
    return np.asarray(shapely.distance(points, shapely.union_all(people)))
