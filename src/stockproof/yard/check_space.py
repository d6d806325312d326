"""Findings about room: heads and floor per pen, sharp corners, parts that lie over others or outside."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import shapely

from stockproof.yard.draft_pens import way_heads
from stockproof.yard.findings import at_least, say
from stockproof.yard.ground import Ground
from stockproof.yard.guides import find
from stockproof.yard.model import Point, Ring
from stockproof.yard.plane import area, corner_angles
from stockproof.yard.result import Finding, Strip, Used, Yard, Zone

__all__ = ["check_space", "middle", "used_of"]

#: Shared floor of two parts, or floor outside the boundary, that is still a drawing's rounding [m2].
ROUNDING_M2 = 0.02
#: Ground outside the animals' spaces that the yard cannot do without.
FLOORS = ("work area", "catwalk", "apron", "approach")


def used_of(yard: Yard, key: str) -> Used:
    """Give the guide size of a key that the layout used."""
    return next(used for used in yard.used if used.key == key)


def middle(ring: Ring) -> Point:
    """Give a point well inside a ring, for a mark on the plan."""
    point = shapely.Polygon(ring).representative_point()
    return (float(point.x), float(point.y))


def check_space(yard: Yard, ground: Ground) -> Iterator[Finding]:
    """Judge every pen's room and every part's place."""
    floors = {zone.key: _own_floor(yard, zone, ground) for zone in yard.zones}
    yield _holds_mob(yard, floors)
    for zone in yard.zones:
        if zone.space_m2_per_head is not None and zone.head > 0:
            yield from _room(yard, zone, floors[zone.key])
    yield from _batch(yard)
    yield from _draft(yard)
    for zone in yard.zones:
        if zone.kind in ("pen", "draft pen", "sick pen", "lane"):
            yield _corners(yard, zone)
    yield from _overlaps(yard, ground)


def _own_floor(yard: Yard, zone: Zone, ground: Ground) -> float:
    """Floor of a space that is there for it: inside the free ground, and no other space lies on it [m2]."""
    shape = shapely.Polygon(zone.ring)
    others = shapely.union_all([shapely.Polygon(other.ring) for other in yard.zones if other.key != zone.key])
    own = float(shape.intersection(ground.free).difference(others).area)
    return own if zone.area_m2 - own > ROUNDING_M2 else zone.area_m2


def _holds_mob(yard: Yard, floors: dict[str, float]) -> Finding:
    """A pen that lies outside or under another holds no more than the floor it is left with has room for."""
    pens = [zone for zone in yard.zones if zone.key.startswith("receiving pen")]
    space = yard.size("holding_area")
    held = float(sum(min(zone.head, math.floor(floors[zone.key] / space + 1e-6)) for zone in pens))
    return at_least(
        "Y101",
        "receiving pens",
        middle(pens[0].ring),
        "head the receiving pens hold",
        held,
        float(yard.ask.mob.head),
        "head",
        used_of(yard, "holding_area"),
    )


def _room(yard: Yard, zone: Zone, own_m2: float) -> Iterator[Finding]:
    """Floor per head against the least the guide gives, for pens that hold a number of head."""
    floor = own_m2 / zone.head
    if zone.kind in ("pen", "draft pen"):
        quantity = "holding_area_pair" if yard.ask.mob.with_calf else "holding_area"
        used = find(quantity, yard.ask.mob.mean_kg, yard.ask.guide, "least", "holding space per head")
        yield at_least(
            "Y102", zone.key, middle(zone.ring), f"floor per head in {zone.key}", floor, used.value, "m2/head", used
        )
    elif zone.kind == "sick pen":
        used = find("sick_area", yard.ask.mob.mean_kg, yard.ask.guide, "least", "sick pen space per head")
        yield at_least(
            "Y105", zone.key, middle(zone.ring), "floor per head in the sick pen", floor, used.value, "m2/head", used
        )


def _batch(yard: Yard) -> Iterator[Finding]:
    zone = yard.zone("forcing pen")
    yield at_least(
        "Y103",
        zone.key,
        middle(zone.ring),
        "head the forcing pen takes at the guide's fill",
        float(zone.head),
        float(yard.batch_head),
        "head",
        used_of(yard, "forcing_fill"),
    )


def _draft(yard: Yard) -> Iterator[Finding]:
    """Against the whole mob's share in each way, whatever share the layout had room for."""
    pens = {zone.key.removeprefix("draft pen "): zone for zone in yard.zones if zone.kind == "draft pen"}
    used = used_of(yard, "holding_area")
    for name, needed in way_heads(replace(yard.ask, draft_hold_share=None), pens, yard.mirrored).items():
        zone = pens[name]
        label = f"head {zone.key} holds"
        yield at_least("Y104", zone.key, middle(zone.ring), label, float(zone.head), float(needed), "head", used)


def _corners(yard: Yard, zone: Zone) -> Finding:
    """The sharpest corner of a pen; where a round fence is drawn in chords its corners are nearly straight."""
    angles = corner_angles(zone.ring)
    sharpest = min(range(len(angles)), key=lambda i: angles[i])
    used = used_of(yard, "corner_angle")
    return at_least(
        "Y106",
        zone.key,
        zone.ring[sharpest],
        f"sharpest corner of {zone.key}",
        math.degrees(angles[sharpest]),
        used.value,
        "deg",
        used,
    )


def _overlaps(yard: Yard, ground: Ground) -> Iterator[Finding]:
    """Zones against one another, then each against the free ground, and with them the floors people and trucks need."""
    shapes = {zone.key: shapely.Polygon(zone.ring) for zone in yard.zones}
    keys = list(shapes)
    clean = True
    for i, key in enumerate(keys):
        for other in keys[i + 1 :]:
            common = shapes[key].intersection(shapes[other]).area
            if common > ROUNDING_M2:
                clean = False
                at = middle(tuple(shapes[key].intersection(shapes[other]).convex_hull.exterior.coords))
                yield say("Y107", "not met", key, at, f"{key} lies over {other}", measured=common, limit=0.0, unit="m2")
    parts: list[Zone | Strip] = [*yard.zones, *(strip for strip in yard.strips if strip.kind in FLOORS)]
    for part in parts:
        lost = shapely.Polygon(part.ring).difference(ground.free).area
        if lost > ROUNDING_M2:
            clean = False
            yield say(
                "Y107",
                "not met",
                part.key,
                middle(part.ring),
                f"{part.key} lies {lost:.1f} m2 outside the free ground",
                measured=lost,
                limit=0.0,
                unit="m2",
            )
    if clean:
        at = (yard.crush.x, yard.crush.y)
        total = sum(area(zone.ring) for zone in yard.zones)
        yield say("Y107", "met", "yard", at, f"all {len(keys)} spaces ({total:.0f} m2) lie inside, none over another")
