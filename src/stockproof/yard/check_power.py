"""Findings about the power pack: its place, the way to it on foot, hose and cable, wind."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from stockproof.yard.check_space import used_of
from stockproof.yard.findings import at_least, at_most, not_shown, say
from stockproof.yard.ground import Ground
from stockproof.yard.model import Point
from stockproof.yard.pack_place import in_the_way, pack_outline, stands_upwind, taken_floor
from stockproof.yard.quantities import cable_length, hose_lengths
from stockproof.yard.result import Finding, Yard
from stockproof.yard.stands import CRUSH_STAND, PACK
from stockproof.yard.walking import ROUND_M, open_walks

__all__ = ["check_power"]

#: Floor the pack may share with a fence's rounding [m2].
ROUNDING_M2 = 0.02


def check_power(yard: Yard, ground: Ground) -> Iterator[Finding]:
    """Judge where the power pack stands."""
    pack = next((spot.at for spot in yard.spots if spot.key == PACK), None)
    if pack is None:
        yield say(
            "Y511", "not met", PACK, (yard.crush.x, yard.crush.y), "no place near the crush is left for the power pack"
        )
        return
    outline = shapely.Polygon(pack_outline(pack, yard.crush.heading))
    yield _off_floors(yard, ground, pack, outline)
    yield from _hose_and_cable(yard, pack)
    yield _wind(yard, pack)
    yield _out_of_the_way(yard, pack, outline)
    yield _reached(yard, ground, pack)


def _off_floors(yard: Yard, ground: Ground, pack: Point, outline: shapely.Geometry) -> Finding:
    on_floor = float(outline.intersection(taken_floor(yard.zones, yard.strips)).area)
    outside = float(outline.difference(ground.free).area)
    if on_floor > ROUNDING_M2:
        return say("Y511", "not met", PACK, pack, "the power pack stands on floor of animals, people or trucks")
    if outside > ROUNDING_M2:
        return say("Y511", "not met", PACK, pack, "the power pack stands off the free ground")
    return say("Y511", "met", PACK, pack, "the power pack stands off the animals' and people's floor")


def _out_of_the_way(yard: Yard, pack: Point, outline: shapely.Geometry) -> Finding:
    used = used_of(yard, "clear_margin")
    clear = round(float(outline.distance(in_the_way(yard.gates))), 3)
    label = "power pack to the nearest gate's leaf or way out"
    return at_least("Y515", PACK, pack, label, clear, used.value, "m", used)


def _reached(yard: Yard, ground: Ground, pack: Point) -> Finding:
    used = used_of(yard, "pack_way")
    way = open_walks(yard.zones, ground.free, ROUND_M).way(yard.spot(CRUSH_STAND).at, pack)
    if way is None:
        what = "nobody gets from the crush operator to the power pack without walking among animals"
        return say("Y516", "not met", PACK, pack, what, used=used)
    label = "way on foot from the crush operator to the power pack, clear of animals"
    return at_most("Y516", PACK, pack, label, round(way[0], 2), used.value, "m", used)


def _hose_and_cable(yard: Yard, pack: Point) -> Iterator[Finding]:
    hoses, cable = hose_lengths(yard), cable_length(yard)
    if hoses and yard.ask.hose_limit_m is not None:
        name, long = max(hoses, key=lambda hose: hose[1])
        yield at_most("Y512", PACK, pack, f"hose to {name}", round(long, 2), yard.ask.hose_limit_m, "m", None)
    elif hoses:
        yield not_shown("Y512", PACK, pack, "the build states no longest hose")
    if cable is not None and yard.ask.cable_limit_m is not None:
        label = "cable to the power pack"
        yield at_most("Y513", PACK, pack, label, round(cable, 2), yard.ask.cable_limit_m, "m", None)
    elif cable is not None:
        yield not_shown("Y513", PACK, pack, "the build states no longest cable")


def _wind(yard: Yard, pack: Point) -> Finding:
    wind = yard.ask.site.wind_bearing_rad
    if wind is None:
        return not_shown("Y514", PACK, pack, "the brief does not say where the wind comes from")
    upwind = stands_upwind(yard.crush, pack, wind)
    what = f"seen from the crush the power pack stands {'upwind' if upwind else 'off the wind'}"
    return say("Y514", "not met" if upwind else "met", PACK, pack, what)
