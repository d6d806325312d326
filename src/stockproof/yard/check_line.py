"""Findings about the line: race width and length by class, bends, sight up the race, gates, ramp, crush width."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from stockproof.yard.check_space import middle, used_of
from stockproof.yard.findings import at_least, at_most
from stockproof.yard.guides import find, guide_rows
from stockproof.yard.model import Held, Point, Stretch
from stockproof.yard.plane import distance
from stockproof.yard.result import Finding, Yard

__all__ = ["bend_inside_radius", "check_line", "sight_up_race"]

SIGHT_STEP_M = 0.05


def check_line(yard: Yard) -> Iterator[Finding]:
    """Judge race, lane, gates, ramp and crush against the picked guide."""
    yield from _race_width(yard)
    yield from _race_length(yard)
    yield from _bend(yard)
    yield from _openings(yard)
    yield from _heights(yard)


def _widest_need(yard: Yard) -> Held:
    return max(yard.ask.mobs, key=lambda mob: mob.heavy_kg)


def _stretches(yard: Yard) -> tuple[Stretch, ...]:
    """Every kind of stretch the race is made of, the one it is drawn by first."""
    race = yard.ask.race
    main = Stretch(race.name, yard.size("race_width"), race.floor_width_m, yard.size("race_height"))
    return (main, *race.others)


def _width_row(yard: Yard, stretch: Stretch) -> str:
    """Row of the guides that a stretch's width is judged by: sloped sides, a bend, or plain."""
    if stretch.floor_width_m is not None:
        return "race_width_sloped_top"
    bends = math.isfinite(bend_inside_radius(yard.line, yard.race_length_m, yard.size("race_width")))
    picked = any(row.guide == yard.ask.guide for row in guide_rows("race_width_curved"))
    return "race_width_curved" if bends and picked else "race_width"


def _race_width(yard: Yard) -> Iterator[Finding]:
    heavy = _widest_need(yard)
    for stretch in _stretches(yard):
        yield from _stretch_width(yard, stretch, heavy)
    yield from _crush_width(yard, heavy)


def _stretch_width(yard: Yard, stretch: Stretch, heavy: Held) -> Iterator[Finding]:
    at, name, guide = middle(yard.zone("race").ring), stretch.name, yard.ask.guide
    width, floor, light = stretch.clear_width_m, stretch.floor_width_m, min(yard.ask.mobs, key=lambda mob: mob.light_kg)
    if floor is not None:
        used = find("race_width_floor", heavy.heavy_kg, guide, "least", "race width at the floor")
        yield at_least(
            "Y201", "race", at, f"{name}: width at the floor between sloped sides", floor, used.value, "m", used
        )
    least = find(_width_row(yard, stretch), heavy.heavy_kg, guide, "least", "race clear width")
    label = f"{name}: clear width for {heavy.name} of {heavy.heavy_kg:.0f} kg"
    yield at_least("Y201", "race", at, label, width, least.value, "m", least)
    # between sloped sides it is the floor that keeps a light animal from turning
    turns_on = width if floor is None else floor
    row = _width_row(yard, stretch) if floor is None else "race_width_floor"
    most = find(row, light.light_kg, guide, "most", "race clear width")
    label = f"{name}: width that {light.name} of {light.light_kg:.0f} kg could turn in"
    yield at_most("Y202", "race", at, label, turns_on, most.value + yard.size("width_spare"), "m", most)


def _crush_width(yard: Yard, heavy: Held) -> Iterator[Finding]:
    least = find("race_width", heavy.heavy_kg, yard.ask.guide, "least", "race clear width")
    clear, at = yard.ask.machine.crush_clear_width_m, middle(yard.zone("crush").ring)
    yield at_least("Y212", "crush", at, f"crush clear width for {heavy.name}", clear, least.value, "m", least)


def _race_length(yard: Yard) -> Iterator[Finding]:
    heavy, at = _widest_need(yard), middle(yard.zone("race").ring)
    least = find("race_length_least", heavy.heavy_kg, yard.ask.guide, "least", "race length")
    yield at_least("Y203", "race", at, "race length", yard.race_length_m, least.value, "m", least)
    most = used_of(yard, "race_places_most")
    yield at_most("Y204", "race", at, "head in the race", float(yard.race_places), most.value, "head", most)


def sight_up_race(yard: Yard) -> float:
    """How far up the race's centreline an animal in the mouth sees before a side is in the way [m]."""
    zones = [yard.zone(key) for key in ("forcing pen", "race")]
    clear = shapely.buffer(shapely.union_all([shapely.Polygon(zone.ring) for zone in zones]), 0.01)
    line = shapely.LineString(yard.line)
    eye = line.interpolate(0.0)
    seen = 0.0
    while seen + SIGHT_STEP_M <= yard.race_length_m:
        ahead = line.interpolate(seen + SIGHT_STEP_M)
        if not clear.covers(shapely.LineString((eye, ahead))):
            break
        seen += SIGHT_STEP_M
    return seen


def bend_inside_radius(line: tuple[Point, ...], race_length_m: float, race_width_m: float) -> float:
    """Tightest inside radius of a race [m]; infinite where it runs straight.

    From the chords the bend is drawn with: length over turn, less half the race's width.
    """
    tightest, travelled = math.inf, 0.0
    for before, at, after in zip(line, line[1:], line[2:], strict=False):
        travelled += distance(before, at)
        if travelled > race_length_m - 1e-6:
            break
        first = math.atan2(at[1] - before[1], at[0] - before[0])
        second = math.atan2(after[1] - at[1], after[0] - at[0])
        turn = abs(math.remainder(second - first, 2 * math.pi))
        if turn > 1e-6:
            tightest = min(tightest, min(distance(before, at), distance(at, after)) / turn)
    return tightest - race_width_m / 2


def _bend(yard: Yard) -> Iterator[Finding]:
    radius = bend_inside_radius(yard.line, yard.race_length_m, yard.size("race_width"))
    used = used_of(yard, "curve_inside_radius")
    at = middle(yard.zone("race").ring)
    if math.isfinite(radius):
        yield at_least("Y205", "race", at, "inside radius of the race's bend", round(radius, 2), used.value, "m", used)
    sight = used_of(yard, "race_sight")
    body = max(mob.body_length_m for mob in yard.ask.mobs)
    seen = sight_up_race(yard) / body
    yield at_least(
        "Y206", "race", yard.line[0], "race seen from its mouth", round(seen, 2), sight.value, "body lengths", sight
    )


def _openings(yard: Yard) -> Iterator[Finding]:
    heavy = _widest_need(yard)
    lane = find("lane_width", heavy.heavy_kg, yard.ask.guide, "least", "lane width")
    yield at_least(
        "Y207", "lane", middle(yard.zone("lane").ring), "lane width", yard.size("forcing_radius"), lane.value, "m", lane
    )
    gate = find("pen_gate", heavy.heavy_kg, yard.ask.guide, "least", "pen gate width")
    single = ("bypass", "load-out ramp")
    for leaf in yard.gates:
        if leaf.kind in ("pen gate", "exit gate", "entry gate", "stop gate") and not set(leaf.between) & set(single):
            yield at_least(
                "Y208", leaf.key, leaf.hinge, f"width of {leaf.key}", round(leaf.width_m, 4), gate.value, "m", gate
            )
    angle = used_of(yard, "forcing_angle")
    ring = yard.zone("forcing pen").ring
    yield at_most(
        "Y209",
        "forcing pen",
        middle(ring),
        "angle of the forcing pen's side",
        round(_funnel_angle(yard), 3),
        angle.value,
        "deg",
        angle,
    )


def _funnel_angle(yard: Yard) -> float:
    """Angle between the two fences that meet the race's mouth, measured on the drawn ring [deg]."""
    ring, mouth = yard.zone("forcing pen").ring, yard.line[0]
    half = yard.size("race_width") / 2
    corners = [i for i, corner in enumerate(ring) if abs(distance(corner, mouth) - half) < 1e-6]
    ways = []
    for i in corners:
        away = next(ring[j % len(ring)] for j in (i - 1, i + 1) if j % len(ring) not in corners)
        ways.append(math.atan2(away[1] - ring[i][1], away[0] - ring[i][0]))
    return math.degrees(abs(math.remainder(ways[0] - ways[1], 2 * math.pi)))


def _heights(yard: Yard) -> Iterator[Finding]:
    heavy = _widest_need(yard)
    height, at = (
        find("fence_height", heavy.heavy_kg, yard.ask.guide, "least", "height of race sides"),
        yard.zone("race").ring,
    )
    for stretch in _stretches(yard):
        label = f"{stretch.name}: height of its sides"
        yield at_least("Y210", "race", middle(at), label, stretch.height_m, height.value, "m", height)
    ramp = next((zone for zone in yard.zones if zone.kind == "ramp"), None)
    if ramp is not None and yard.ask.truck is not None:
        used = used_of(yard, "ramp_slope")
        run = ramp.area_m2 / yard.size("ramp_width") - yard.size("ramp_dock")
        slope = math.degrees(math.atan2(yard.ask.truck.deck_height_m, run))
        yield at_most(
            "Y211", ramp.key, middle(ramp.ring), "slope of the load-out ramp", round(slope, 3), used.value, "deg", used
        )
