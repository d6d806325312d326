"""Findings about the site: ways for stock, trucks and lifting gear, falls, and light."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from stockproof.yard.check_space import middle, used_of
from stockproof.yard.findings import at_least, at_most, not_shown, say
from stockproof.yard.ground import Ground, connected, gateway_for, turning_room
from stockproof.yard.model import Point
from stockproof.yard.plane import heading_of_bearing, set_down
from stockproof.yard.result import Finding, Yard
from stockproof.yard.sizes import Sizes
from stockproof.yard.slab import level_difference, make_slab

__all__ = ["check_site", "line_climb"]


def check_site(yard: Yard, ground: Ground, sizes: Sizes) -> Iterator[Finding]:
    """Judge how the yard sits on its ground."""
    taken = shapely.union_all([shapely.Polygon(zone.ring) for zone in yard.zones])
    open_ground = ground.free.difference(taken)
    yield from _stock(yard, open_ground)
    yield from _truck(yard, open_ground)
    yield from _delivery(yard, open_ground)
    yield from _levels(yard, sizes)
    yield from _light(yard)


def _strip(yard: Yard, kind: str) -> Point | None:
    return next((middle(strip.ring) for strip in yard.strips if strip.kind == kind), None)


def _stock(yard: Yard, open_ground: shapely.Geometry) -> Iterator[Finding]:
    gateway, goal = gateway_for(yard.ask.site, "stock"), _strip(yard, "approach")
    assert goal is not None
    if gateway is None:
        yield not_shown("Y501", "entry gate", goal, "the brief names no gateway for stock")
        return
    used = used_of(yard, "lane_width")
    reached = connected(open_ground, used.value, gateway.at, goal)
    what = (
        f"a way {used.value:.1f} m wide leads from {gateway.name} to the entry gate"
        if reached
        else f"no way {used.value:.1f} m wide leads from {gateway.name} to the entry gate"
    )
    yield say("Y501", "met" if reached else "not met", "entry gate", goal, what, used=used)


def _truck(yard: Yard, open_ground: shapely.Geometry) -> Iterator[Finding]:
    truck, stand = yard.ask.truck, _strip(yard, "apron")
    if truck is None or stand is None:
        return
    gateway, clear = gateway_for(yard.ask.site, "truck"), used_of(yard, "truck_clear")
    if gateway is None:
        yield not_shown("Y502", "truck stand", stand, "the brief names no gateway for trucks")
        return
    wide = truck.width_m + 2 * clear.value
    fits = gateway.width_m >= wide and connected(open_ground, wide, gateway.at, stand)
    what = f"a truck {truck.width_m:.1f} m wide {'reaches' if fits else 'does not reach'} the ramp from {gateway.name}"
    yield say("Y502", "met" if fits else "not met", "truck stand", stand, what, used=clear)
    turns = turning_room(open_ground, truck, clear.value, stand)
    what = (
        f"a turning circle of {truck.turning_radius_m:.1f} m radius {'fits' if turns else 'does not fit'} near the ramp"
    )
    yield say(
        "Y503",
        "met" if turns else "not met",
        "truck stand",
        stand,
        what,
        used=clear,
        measured=None,
        limit=truck.turning_radius_m,
        unit="m",
    )


def _delivery(yard: Yard, open_ground: shapely.Geometry) -> Iterator[Finding]:
    ask, crush = yard.ask, set_down(yard.crush, yard.ask.machine.crush_length_m / 2, 0.0)
    gateway = gateway_for(ask.site, "truck") or gateway_for(ask.site, "stock")
    if gateway is None:
        yield not_shown("Y504", "crush", crush, "the brief names no gateway")
    else:
        wide, reach = used_of(yard, "machine_access"), used_of(yard, "lift_reach")
        pieces = shapely.get_parts(shapely.buffer(open_ground, -wide.value / 2))
        near = [piece for piece in pieces if piece.distance(shapely.Point(gateway.at)) <= wide.value]
        far = min((float(piece.distance(shapely.Point(crush))) for piece in near), default=math.inf)
        yield at_most(
            "Y504",
            "crush",
            crush,
            "from where a lifting machine can stand to the crush",
            round(min(far, 999.0), 2),
            reach.value,
            "m",
            reach,
        )
    whole = ask.machine.crush_mass_kg
    for code, mass, limit, word in (
        ("Y505", ask.machine.lift_kg or whole, ask.lifting_kg, "the site's lifting machine"),
        ("Y506", whole, ask.access_load_kg, "the way in"),
    ):
        if limit is None:
            yield not_shown(code, "crush", crush, f"the brief does not say what {word} carries")
        else:
            yield at_most(code, "crush", crush, f"crush on {word}", mass, limit, "kg", None)


def line_climb(yard: Yard) -> float:
    """Climb (positive) or fall of the ground along the animals' way through race and crush, as a share.

    References
    ----------
    Slope of a plane in a direction: its fall times the cosine of the angle to the line of fall.
    """
    site = yard.ask.site
    return -site.slope_share * math.cos(yard.crush.heading - heading_of_bearing(site.falls_toward_rad))


def _levels(yard: Yard, sizes: Sizes) -> Iterator[Finding]:
    site, crush = yard.ask.site, (yard.crush.x, yard.crush.y)
    slab = make_slab(yard.zones, yard.strips, yard.crush, site)
    at, step = level_difference(slab, yard.crush, site, sizes)
    used = used_of(yard, "earthworks_step")
    yield at_most(
        "Y507",
        "slab",
        at,
        f"slab {'above' if step > 0 else 'below'} natural ground",
        round(abs(step), 3),
        used.value,
        "m",
        used,
    )
    used = used_of(yard, "race_climb")
    climb = line_climb(yard)
    yield at_most(
        "Y508",
        "race",
        crush,
        f"ground {'climbs' if climb > 0 else 'falls'} along the line",
        round(abs(climb), 4),
        used.value,
        "m/m",
        used,
    )


def _light(yard: Yard) -> Iterator[Finding]:
    site, crush = yard.ask.site, (yard.crush.x, yard.crush.y)
    if site.sun_bearing_rad is None:
        yield not_shown("Y509", "crush", crush, "the brief does not say where the sun stands in working hours")
    else:
        used = used_of(yard, "sun_angle")
        apart = math.degrees(
            abs(math.remainder(yard.crush.heading - heading_of_bearing(site.sun_bearing_rad), 2 * math.pi))
        )
        yield at_least(
            "Y509", "crush", crush, "animals' direction to the low sun", round(apart, 1), used.value, "deg", used
        )
    covered = [thing for thing in site.existing if thing.kind in ("roof", "shed")]
    for thing in covered:
        shape = shapely.Polygon(thing.ring)
        start, end = shapely.Point(yard.line[0]), shapely.Point(yard.line[-1])
        if shape.contains(end) and not shape.contains(start):
            dark = thing.kind == "shed"
            sides = "closed" if dark else "open"
            what = f"the line runs from open ground under {thing.name}, which is {sides} at the sides"
            yield say("Y510", "not met" if dark else "met", "race", crush, what)
    if not covered:
        yield say("Y510", "met", "race", crush, "the whole line lies in open light")
