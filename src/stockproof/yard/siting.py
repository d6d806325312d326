"""Sets a layout down on the site: directions and places are tried, those that fit are scored."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from stockproof.yard.assemble import footprint
from stockproof.yard.escapes import ENTERED
from stockproof.yard.ground import Ground, connected, floor_open, gateway_for
from stockproof.yard.model import Point, SiteAsk, YardAsk
from stockproof.yard.plane import heading_of_bearing, mirror_pose, set_down
from stockproof.yard.result import Zone
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import Sketch, moved

__all__ = ["Placing", "fixed_placing", "placings", "put", "shortcomings"]

#: Directions tried besides those of the site's own sides [rad], and places tried across the site; a
#: second, finer search is made only where the first finds nothing.
COARSE = (math.radians(30.0), 9)
FINE = (math.radians(7.5), 25)
#: Scores of a placing: metres of walk or drive that one radian toward the sun, or a slope of 1, is worth.
SUN_M_PER_RAD = 15.0
SLOPE_M = 400.0
ROOF_M = 150.0
#: Places kept for each direction.
KEPT = 4


@dataclass(frozen=True, slots=True)
class Placing:
    """A rigid motion of a sketch (mirrored first, turned, then shifted) and its penalty in metres of walking."""

    layout: Sketch
    mirrored: bool
    turn_rad: float
    shift: Point
    penalty: float


def put(placing: Placing) -> Sketch:
    """Give the sketch carried to its place on the site."""
    return moved(placing.layout, _motion(placing.turn_rad, placing.shift), placing.turn_rad, placing.mirrored)


def _motion(turn: float, shift: Point) -> Callable[[Point], Point]:
    c, s = math.cos(turn), math.sin(turn)
    return lambda at: (shift[0] + at[0] * c - at[1] * s, shift[1] + at[0] * s + at[1] * c)


def fixed_placing(layout: Sketch, ask: YardAsk, mirrored: bool, ground: Ground, margin_m: float) -> Placing:
    """Give the placing that brings the crush to where the brief sets it; its penalty is the ground it lacks."""
    if ask.fix is None:
        raise ValueError("no crush is fixed")
    crush = mirror_pose(layout.crush) if mirrored else layout.crush
    turn = heading_of_bearing(ask.fix.bearing_rad) - crush.heading
    x, y = _motion(turn, (0.0, 0.0))((crush.x, crush.y))
    shift = (ask.fix.x_m - x, ask.fix.y_m - y)
    place = Placing(layout, mirrored, turn, shift, 0.0)
    lacking = footprint(put(place), margin_m).difference(ground.free).area
    return Placing(layout, mirrored, turn, shift, lacking)


def placings(layout: Sketch, mirrored: bool, ask: YardAsk, ground: Ground, sizes: Sizes, fine: bool) -> list[Placing]:
    """Give the best places found where a layout lies on free ground, least penalty first."""
    step, across = FINE if fine else COARSE
    flip = np.array([1.0, -1.0 if mirrored else 1.0])
    outline = np.asarray(footprint(layout, sizes["clear_margin"]).exterior.coords) * flip
    shapely.prepare(ground.free)
    found: list[Placing] = []
    for turn in _turns(ask.site, step):
        turned = outline @ _turner(turn)
        shifts = _shifts(turned, ground, across)
        if len(shifts):
            shapes = shapely.polygons(turned[None, :, :] + shifts[:, None, :])
            shifts = shifts[shapely.contains_properly(ground.free, shapes)]
        if len(shifts):
            penalty = _penalty(layout, flip, turn, shifts, ask, ground)
            for i in np.argsort(penalty, kind="stable")[:KEPT]:
                shift = (float(shifts[i, 0]), float(shifts[i, 1]))
                found.append(Placing(layout, mirrored, turn, shift, float(penalty[i])))
    return sorted(found, key=lambda place: place.penalty)


def _turner(turn: float) -> NDArray[np.float64]:
    """Matrix that turns rows of points to the left."""
    c, s = math.cos(turn), math.sin(turn)
    return np.array([[c, s], [-s, c]])


def _turns(site: SiteAsk, step: float) -> list[float]:
    """Directions to try: the site's sides and their square directions, then every `step`."""
    ring = site.boundary
    sides = [math.atan2(ring[i][1] - ring[i - 1][1], ring[i][0] - ring[i - 1][0]) for i in range(len(ring))]
    tried = [side + quarter * math.pi / 2 for side in sides for quarter in range(4)]
    tried += [i * step for i in range(round(2 * math.pi / step))]
    unique: dict[int, float] = {}
    for turn in (direction % (2 * math.pi) for direction in tried):
        unique.setdefault(round(turn / math.radians(2.0)) % 180, turn)
    return list(unique.values())


def _shifts(outline: NDArray[np.float64], ground: Ground, across: int) -> NDArray[np.float64]:
    """Places to try: a grid from one end of the play in each direction to the other."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    x0, y0, x1, y1 = ground.free.bounds
    play = np.array([x1 - x0, y1 - y0]) - (high - low)
    if (play < 0.0).any():
        return np.empty((0, 2))
    # a hair inside, so that a layout as large as the site still lies properly within it
    xs = np.linspace(1e-6, max(2e-6, play[0] - 1e-6), across if play[0] > 0.5 else 1)
    ys = np.linspace(1e-6, max(2e-6, play[1] - 1e-6), across if play[1] > 0.5 else 1)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    return np.asarray(grid + np.array([x0, y0]) - low)


def _penalty(
    layout: Sketch,
    flip: NDArray[np.float64],
    turn: float,
    shifts: NDArray[np.float64],
    ask: YardAsk,
    ground: Ground,
) -> NDArray[np.float64]:
    """What places cost, in metres: ways from the gateways, the sun ahead, a steep line, no roof over the crush."""
    site = ask.site

    def placed(at: Point) -> NDArray[np.float64]:
        return np.asarray((np.array(at) * flip) @ _turner(turn) + shifts)

    heading = float(flip[1]) * layout.crush.heading + turn
    crush = placed(set_down(layout.crush, 1.0, 0.0))
    total = np.full(
        len(shifts), SLOPE_M * site.slope_share * abs(math.cos(heading - heading_of_bearing(site.falls_toward_rad)))
    )
    for use, kind in (("stock", "approach"), ("truck", "apron")):
        gateway, goal = gateway_for(site, use), _strip_middle(layout, kind)
        if gateway is not None and goal is not None:
            total += np.hypot(*(placed(goal) - np.array(gateway.at)).T)
    if site.supply_at is not None:
        total += 0.5 * np.hypot(*(crush - np.array(site.supply_at)).T)
    if site.sun_bearing_rad is not None:
        total += SUN_M_PER_RAD * (math.pi - _between(heading, heading_of_bearing(site.sun_bearing_rad)))
    if not ground.roofs.is_empty:
        total += ROOF_M * ~shapely.contains_xy(ground.roofs, crush)
    return total


def _between(a: float, b: float) -> float:
    """Angle between two headings, 0 to pi."""
    return abs(math.remainder(a - b, 2.0 * math.pi))


def _strip_middle(layout: Sketch, kind: str) -> Point | None:
    """Middle of a strip of ground outside the yard, where stock or truck arrive."""
    for strip in layout.part.strips:
        if strip.kind == kind:
            return (sum(x for x, _ in strip.ring) / len(strip.ring), sum(y for _, y in strip.ring) / len(strip.ring))
    return None


def shortcomings(layout: Sketch, ask: YardAsk, ground: Ground, sizes: Sizes) -> tuple[str, ...]:
    """Say what a placed layout lacks: gateways that do not reach it, floors that nobody can leave in time."""
    taken = shapely.union_all([shapely.Polygon(zone.ring) for zone in layout.part.zones])
    open_ground = ground.free.difference(taken)
    widths = {
        "stock": sizes["lane_width"],
        "truck": (ask.truck.width_m + 2 * sizes["truck_clear"]) if ask.truck else 0.0,
    }
    lacking = []
    for use, kind in (("stock", "approach"), ("truck", "apron")):
        gateway, goal = gateway_for(ask.site, use), _strip_middle(layout, kind)
        if gateway is not None and goal is not None and not connected(open_ground, widths[use], gateway.at, goal):
            lacking.append(f"the {use} gateway does not reach it")
    floor = next(strip.ring for strip in layout.part.strips if strip.key == "work area")
    if not floor_open(ground.boundary, open_ground, floor):
        lacking.append("its working floor is shut in by pens")
    lacking += [f"the middle of {zone.key} is too far from any fence to get out" for zone in _too_deep(layout, sizes)]
    return tuple(lacking)


def _too_deep(layout: Sketch, sizes: Sizes) -> list[Zone]:
    """Spaces people enter whose middle is farther from every fence than a way out may be."""
    entered = [zone for zone in layout.part.zones if zone.kind in ENTERED]
    circles = shapely.maximum_inscribed_circle([shapely.Polygon(zone.ring) for zone in entered], tolerance=0.05)
    deep = shapely.length(circles) > sizes["escape_reach"]
    return [zone for zone, too_deep in zip(entered, deep, strict=True) if too_deep]
