"""Places for people and controls, and the way a hose takes."""

from __future__ import annotations

import math

import shapely

from stockproof.yard.model import Point, Ring, YardAsk
from stockproof.yard.plane import distance, set_down
from stockproof.yard.result import Pose, Spot
from stockproof.yard.sizes import Sizes

__all__ = [
    "CRUSH_STAND",
    "DRAFT_STAND",
    "FORCING_STAND",
    "PACK",
    "control_spots",
    "route_length",
    "stands",
]

CRUSH_STAND, FORCING_STAND, DRAFT_STAND, PACK = "crush operator", "forcing pen stand", "draft stand", "power pack"
#: Controls are mounted this far out from the crush's side [m].
CONTROL_OUT_M = 0.3


def stands(forcing_stand: Point, crush: Pose, near: float, ask: YardAsk, sizes: Sizes) -> tuple[Spot, ...]:
    """Give where people stand; `near` is +1 where the operator's side is the animals' left, else -1."""
    machine = ask.machine
    out = near * (machine.crush_width_m / 2 + min(0.8, sizes["work_depth"] / 2))
    drafts = set_down(crush, machine.crush_length_m - 0.4, out)
    return (
        Spot(FORCING_STAND, "stand", forcing_stand),
        Spot(CRUSH_STAND, "stand", set_down(crush, machine.crush_length_m / 2, out)),
        *((Spot(DRAFT_STAND, "stand", drafts),) if machine.ways > 1 else ()),
    )


def control_spots(crush: Pose, near: float, ask: YardAsk, stand: Point) -> tuple[Spot, ...]:
    """Give the control points: fixed ones beside the crush, a hand-held one at the forcing pen's stand."""
    out = near * (ask.machine.crush_width_m / 2 + CONTROL_OUT_M)
    return tuple(
        Spot(point.name, "control point", stand if point.at_m is None else set_down(crush, point.at_m, out))
        for point in ask.control_points
    )


def route_length(path: Ring, start: Point, end: Point, rise_m: float) -> float:
    """Length of a hose or cable that goes over to the line, along it and off it again, up and down once [m].

    Parameters
    ----------
    path : Ring
        The animals' line, along which hoses are hung.
    start, end : Point
        Where it begins and ends.
    rise_m : float
        Height it rises over the floor, counted up and down.

    References
    ----------
    Common practice: hoses are led over the line and along it, not across the floor.
    """
    line = shapely.LineString(path)
    on, off = (line.project(shapely.Point(place)) for place in (start, end))
    over = sum(distance(place, _at(line, on_line)) for place, on_line in ((start, on), (end, off)))
    return over + math.fabs(on - off) + 2.0 * rise_m


def _at(line: shapely.LineString, along: float) -> Point:
    point = line.interpolate(along)
    return (float(point.x), float(point.y))
