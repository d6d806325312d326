"""What may be taken hold of on the plan, and what the `[yard]` table says once it was moved or sized.

The line from lane to draft unit is one piece: taking hold of it sets the whole yard down elsewhere. Nothing is drawn
or written here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from stockproof.yard.finish import SIZED_KINDS
from stockproof.yard.model import Form, Point, Ring
from stockproof.yard.plane import bearing
from stockproof.yard.result import Yard
from stockproof.yard.stands import PACK

__all__ = ["Handle", "Hold", "Kind", "handles", "hold", "moved_by", "set_down_at"]

Kind = Literal["line", "part", "outlet", "gateway", "existing"]
#: Spaces that stand or fall with the crush.
LINE_KINDS = ("lane", "forcing", "race", "crush", "draft")
OUTLET = "supply outlet"
#: A thing at a point is taken hold of within this distance. [m]
REACH_M = 0.7


@dataclass(frozen=True, slots=True)
class Handle:
    """Something on the plan that may be moved.

    Parameters
    ----------
    key : str
        The part as the drawing names it.
    kind : Kind
        Which entry of the `[yard]` table moves it.
    index : int
        Which gateway or standing thing it is; else 0.
    ring : Ring
        Where it is taken hold of. [m]
    area_m2 : float or None
        Its floor, where that may be set by hand.
    at : Point
        The point that is written for it. [m]
    """

    key: str
    kind: Kind
    index: int
    ring: Ring
    area_m2: float | None
    at: Point


@dataclass(frozen=True, slots=True)
class Hold:
    """What keeps a layout as it is when it is worked out anew: its place, way, family, form and draft pens."""

    at: Point
    bearing_rad: float
    family: str
    draft_hold_share: float
    form: Form | None


def handles(yard: Yard) -> tuple[Handle, ...]:
    """Give what may be moved or sized, the line last, since parts lie over it."""
    return (*_spots(yard), *_parts(yard), *_site(yard), *_line(yard))


def hold(yard: Yard) -> Hold:
    """Give what keeps the layout where and as it is, to the centimetre and the hundredth of a degree."""
    toward = math.radians(round(math.degrees(_bearing(yard)), 2))
    at = (round(yard.crush.x, 2), round(yard.crush.y, 2))
    return Hold(at, toward, yard.family, yard.size("draft_hold_share"), yard.form)


def set_down_at(yard: Yard, by: Point, turn_rad: float = 0.0) -> Hold:
    """Give what sets the whole yard down elsewhere: shifted, and turned to the right round the crush's entry."""
    now = hold(yard)
    toward = math.radians(round(math.degrees(now.bearing_rad + turn_rad) % 360.0, 2))
    return replace(now, at=moved_by(now.at, by), bearing_rad=toward)


def moved_by(at: Point, by: Point) -> Point:
    """Give a point carried by a way, to the centimetre."""
    return (round(at[0] + by[0], 2), round(at[1] + by[1], 2))


def _bearing(yard: Yard) -> float:
    """The animals' direction into the crush, clockwise from north."""
    return (bearing(yard.crush.heading) - yard.ask.site.north_rad) % (2 * math.pi)


def _parts(yard: Yard) -> Iterator[Handle]:
    for zone in yard.zones:
        if zone.kind not in LINE_KINDS:
            floor = zone.area_m2 if zone.kind in SIZED_KINDS else None
            yield Handle(zone.key, "part", 0, zone.ring, floor, zone.ring[0])


def _line(yard: Yard) -> Iterator[Handle]:
    for zone in yard.zones:
        if zone.kind in LINE_KINDS:
            yield Handle(zone.key, "line", 0, zone.ring, None, (yard.crush.x, yard.crush.y))


def _spots(yard: Yard) -> Iterator[Handle]:
    for spot in yard.spots:
        if spot.key == PACK or spot.kind == "control point":
            yield Handle(spot.key, "part", 0, _round(spot.at), None, spot.at)
        elif spot.key == OUTLET:
            yield Handle(spot.key, "outlet", 0, _round(spot.at), None, spot.at)


def _site(yard: Yard) -> Iterator[Handle]:
    for i, gateway in enumerate(yard.ask.site.gateways):
        yield Handle(gateway.name, "gateway", i, _round(gateway.at), None, gateway.at)
    for i, thing in enumerate(yard.ask.site.existing):
        yield Handle(thing.name, "existing", i, thing.ring, None, thing.ring[0])


def _round(at: Point) -> Ring:
    turns = (k * math.pi / 4 for k in range(8))
    return tuple((at[0] + REACH_M * math.cos(turn), at[1] + REACH_M * math.sin(turn)) for turn in turns)
