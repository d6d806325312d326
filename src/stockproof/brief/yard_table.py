"""The `[yard]` table of a brief as people write it: gateways, what stands there, wishes and parts set by hand.

It holds no rule of the yard; `ask` turns it into what a layout rests on.
"""

from __future__ import annotations

from typing import Literal

from stockproof.records import Record, attribute
from stockproof.units import Angle, Area, Force, Headcount, Length, Mass, Pressure, Share

__all__ = [
    "ExistingRow",
    "FixRow",
    "FormRow",
    "GatewayRow",
    "ImpactRow",
    "MoveRow",
    "ResizeRow",
    "TruckRow",
    "YardTable",
]

PRACTICE = "common practice"


class GatewayRow(Record):
    """An opening in the boundary."""

    name: str = attribute("what it is called", min_length=1, max_length=60)
    at_m: tuple[float, float] = attribute("where it is, metres, in the boundary's coordinates")
    width_m: Length = attribute("clear width", gt=0)
    serves: tuple[Literal["stock", "truck", "people"], ...] = attribute("who comes through it", min_length=1)


class ExistingRow(Record):
    """Something that stands on the site and stays."""

    name: str = attribute("what it is called", min_length=1, max_length=60)
    kind: Literal["shed", "roof", "race", "obstacle"] = attribute(
        "shed: closed at the sides; roof: open at the sides, parts may stand beneath it"
    )
    corners_m: tuple[tuple[float, float], ...] = attribute("its corners, metres, in order", min_length=3)
    height_m: Length = attribute("height", gt=0)


class TruckRow(Record):
    """The vehicle that loads stock."""

    length_m: Length = attribute("overall length", 9.0, source=PRACTICE, gt=0)
    width_m: Length = attribute("overall width", 2.5, source=PRACTICE, gt=0)
    turning_radius_m: Length = attribute("radius of its outer turning circle", 11.0, source=PRACTICE, gt=0)
    deck_height_m: Length = attribute(
        "height of its deck", 1.219, source="Arkansas extension: loading chute floor 48 in for a tractor-trailer", gt=0
    )


class FormRow(Record):
    """The free choices within a layout family, so that a layout is made again as it was."""

    pen_depth_m: Length = attribute("depth of the receiving pens from the lane", gt=0)
    pen_rows: tuple[Literal["left", "right"], ...] = attribute("sides of the lane they lie on", min_length=1)
    draft_length_m: Length = attribute("length of the draft pens", gt=0)
    ramp: Literal["none", "end", "side"] = attribute("where the load-out ramp stands", "none")
    mirrored: bool = attribute("whether the plan is turned over, the crush operator on the right", False)


class FixRow(Record):
    """The crush set down by hand."""

    at_m: tuple[float, float] = attribute("middle of the crush's entry, metres")
    heading_rad: Angle = attribute("direction the animals walk into it, clockwise from north")
    form: FormRow | None = attribute("the layout as it was, where it is held", None)


class MoveRow(Record):
    """A part shifted by hand."""

    part: str = attribute("the part as the drawing names it", min_length=1)
    east_m: float = attribute("metres to the east", 0.0, source="not moved that way")
    north_m: float = attribute("metres to the north", 0.0, source="not moved that way")


class ResizeRow(Record):
    """A pen's floor set by hand."""

    part: str = attribute("the pen as the drawing names it", min_length=1)
    area_m2: Area = attribute("its floor", gt=0)


class ImpactRow(Record):
    """The animal impact that gates and posts are judged against."""

    force_n: Force = attribute("force", gt=0)
    height_m: Length = attribute("height over the ground at which it acts", gt=0)
    source: str = attribute("who states it", min_length=1)
    gate_n: Force | None = attribute("what the gates resist, as their maker states", None, gt=0)
    latch_n: Force | None = attribute("what the latches resist, as their maker states", None, gt=0)
    anchor_n: Force | None = attribute("what the crush's anchors resist, as their maker states", None, gt=0)
    post_modulus_m3: float | None = attribute("elastic section modulus of a post, m3", None, gt=0)
    post_yield_pa: Pressure | None = attribute("yield strength of a post", None, gt=0)


class YardTable(Record):
    """What the farm says about its yard."""

    guide: str = attribute("guide that sizes are taken from", "arkansas")
    mob: str = attribute("name of the mob the yard must hold at once; the one with most head if unsaid", "")
    head: Headcount | None = attribute("how many of it are held at once", None, ge=1)
    gateway: tuple[GatewayRow, ...] = attribute("openings in the boundary", ())
    existing: tuple[ExistingRow, ...] = attribute("what stands there and stays", ())
    truck: TruckRow | None = attribute("the vehicle that loads stock; no ramp without one", None)
    outlet_m: tuple[float, float] | None = attribute("where the supply outlet is, metres", None)
    pack_m: tuple[float, float] | None = attribute(
        "where the power pack stands, metres; found within the site's hose length if unsaid", None
    )
    sun_rad: Angle | None = attribute("where the sun stands in working hours, clockwise from north", None)
    wind_rad: Angle | None = attribute("where the prevailing wind comes from, clockwise from north", None)
    families: tuple[str, ...] = attribute("layout families to try; all if unsaid", ())
    bypass: bool = attribute("a lane past the crush", True)
    draft_shares: tuple[Share, ...] = attribute("share of the mob in each way, from the left; cut weights go first", ())
    draft_hold_share: Share | None = attribute("share of the mob the draft pens hold together", None, gt=0, le=1)
    holding_heads: tuple[int, ...] = attribute("head in each further holding pen", ())
    sick_head: int | None = attribute("head in the sick pen", None, ge=0)
    longest_hose_m: Length | None = attribute("longest hose the build allows", None, gt=0)
    longest_cable_m: Length | None = attribute("longest cable the build allows", None, gt=0)
    lifting_kg: Mass | None = attribute("heaviest lift on the day, where it is not the site's own machine", None, gt=0)
    fix: FixRow | None = attribute("the crush set down by hand", None)
    move: tuple[MoveRow, ...] = attribute("parts shifted by hand", ())
    resize: tuple[ResizeRow, ...] = attribute("pens sized by hand", ())
    impact: ImpactRow | None = attribute("animal impact to judge strength by", None)
