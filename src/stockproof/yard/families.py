"""The layout families that are tried: which forcing pen leads into which race, and the race's legs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stockproof.yard.model import YardAsk
from stockproof.yard.plane import Leg
from stockproof.yard.sizes import Sizes

__all__ = ["FAMILIES", "Family", "allowed", "race_legs"]

#: An angled race is made of straight panels with one bend.
BEND_RAD = math.radians(30.0)
#: A curved race turns by the largest of these that its length allows.
CURVES_RAD = tuple(math.radians(angle) for angle in (90.0, 75.0, 60.0, 45.0, 30.0))
#: The race runs straight for this share of a body length before the crush's entry gate.
STRAIGHT_BEFORE_CRUSH = 0.5


@dataclass(frozen=True, slots=True)
class Family:
    """A forcing pen and a race. The forcing pen turns animals to the left; `bend` says how the race turns."""

    key: str
    label: str
    forcing: Literal["funnel", "part circle", "half circle"]
    sweep_rad: float
    race: Literal["straight", "angled", "curved"]
    bend: int = 0


FAMILIES = (
    Family("straight", "straight funnel and straight race", "funnel", 0.0, "straight"),
    Family("quarter", "quarter-circle forcing pen and straight race", "part circle", math.pi / 2, "straight"),
    Family("half", "half-circle forcing pen and straight race", "half circle", math.pi, "straight"),
    Family("angled", "straight funnel and race with one bend", "funnel", 0.0, "angled", 1),
    Family(
        "angled away", "straight funnel and race with one bend, away from the operator", "funnel", 0.0, "angled", -1
    ),
    Family("curved", "straight funnel and curved race", "funnel", 0.0, "curved", 1),
    Family("quarter curved", "quarter-circle forcing pen and curved race", "part circle", math.pi / 2, "curved", 1),
    Family(
        "half curved", "half-circle forcing pen and race curved the other way", "half circle", math.pi, "curved", -1
    ),
)


def allowed(ask: YardAsk) -> tuple[Family, ...]:
    """Give the families that the build's race and forcing pen, and the brief's wish, leave."""
    return tuple(
        family
        for family in FAMILIES
        if family.race in ask.race.shapes
        and family.forcing in ask.forcing.shapes
        and (not ask.families or family.key in ask.families)
    )


def race_legs(family: Family, sizes: Sizes, body_length_m: float) -> tuple[Leg, ...] | None:
    """Give the legs of the race's centreline, or None where the race is too short to bend.

    A race that bends first runs straight for the length an animal in the forcing pen must see.
    """
    length = sizes["race_length"]
    if family.race == "straight":
        return (Leg(length),)
    lead = sizes["race_sight"] * body_length_m
    left = length - lead - STRAIGHT_BEFORE_CRUSH * body_length_m
    for turn, arc in _bends(family, sizes, left):
        if arc <= left:
            return (Leg(lead), Leg(arc, family.bend * turn), Leg(length - lead - arc))
    return None


def _bends(family: Family, sizes: Sizes, left_m: float) -> list[tuple[float, float]]:
    """Turn and arc length of the bends to try, the widest turn first; a longer race takes a wider radius."""
    if family.race == "angled":
        return [(BEND_RAD, sizes["bend_radius"] * BEND_RAD)]
    least = sizes["curve_inside_radius"] + sizes["race_width"] / 2
    widest = sizes["curve_wide_radius"] + sizes["race_width"] / 2
    return [(turn, turn * min(widest, max(least, left_m / turn))) for turn in CURVES_RAD]
