"""Findings about people: ways out, reach and sight from controls, the working floor."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from stockproof.yard.check_space import middle, used_of
from stockproof.yard.escapes import ENTERED, OUTSIDE, reach_to_pass
from stockproof.yard.findings import at_least, at_most, say
from stockproof.yard.formulas import ray_height
from stockproof.yard.ground import Ground, floor_open
from stockproof.yard.guides import find
from stockproof.yard.model import ControlPoint, Point
from stockproof.yard.plane import distance
from stockproof.yard.result import Finding, Gate, Verdict, Yard
from stockproof.yard.stands import CRUSH_STAND
from stockproof.yard.walking import ROUND_M, open_walks

__all__ = ["check_people"]

#: Height of what is to be seen, an animal's back [m]: withers of dairy cows are given as 1.37 to 1.5 m.
SEEN_M = 1.37
#: The last bit of the line of sight lies inside the part itself [m].
AT_PART_M = 0.3
#: Stands for a way out that does not exist [m].
NOWHERE_M = 999.0


def check_people(yard: Yard, ground: Ground) -> Iterator[Finding]:
    """Judge ways out, controls and the working floor."""
    yield from _ways_out(yard)
    yield from _controls(yard)
    yield _floor_reached(yard, ground)
    yield _off_side_reached(yard, ground)
    yield from _floor_clear(yard)


def _ways_out(yard: Yard) -> Iterator[Finding]:
    used = used_of(yard, "escape_reach")
    for zone in yard.zones:
        reach = reach_to_pass(zone, yard.gates) if zone.kind in ENTERED else None
        if reach is not None:
            at, far = reach[0], round(min(reach[1], NOWHERE_M), 3)
            label = f"farthest from a way out in {zone.key}"
            yield at_most("Y401", zone.key, at, label, far, used.value, "m", used)
    yield from _into_pens(yard)
    passes = [gate for gate in yard.gates if gate.kind == "worker pass"]
    if passes:
        yield _pass_width(yard, passes)


def _pass_width(yard: Yard, passes: list[Gate]) -> Finding:
    used = find("pass_width", min(mob.light_kg for mob in yard.ask.mobs), yard.ask.guide, "middle", "worker pass width")
    light = min(mob.body_width_m for mob in yard.ask.mobs)
    width, at = passes[0].width_m, passes[0].hinge
    what = f"worker passes are {width:.2f} m wide, the narrowest class is {light:.2f} m wide"
    verdict: Verdict = "met" if width < light else "not met"
    return say("Y403", verdict, "worker passes", at, what, used=used, measured=width, limit=light, unit="m")


def _into_pens(yard: Yard) -> Iterator[Finding]:
    """Zone by zone: do its passes lead out?"""
    for zone in yard.zones:
        mine = [gate for gate in yard.gates if gate.kind == "worker pass" and gate.between[0] == zone.key]
        inner = [gate for gate in mine if gate.between[1] != OUTSIDE]
        if inner:
            into = ", ".join(dict.fromkeys(gate.between[1] for gate in inner))
            what = (
                f"{len(inner)} of {len(mine)} worker passes of {zone.key} lead into {into}, which must stand empty then"
            )
            # whether it does is for the crew, not for the drawing
            yield say("Y402", "not shown", zone.key, inner[0].hinge, what)
        elif mine:
            yield say("Y402", "met", zone.key, mine[0].hinge, f"all {len(mine)} worker passes of {zone.key} lead out")


def _controls(yard: Yard) -> Iterator[Finding]:
    reach = used_of(yard, "control_reach")
    parts = {spot.key: spot.at for spot in yard.spots if spot.kind == "moving part"}
    for point in yard.ask.control_points:
        at = yard.spot(point.name).at
        for name in point.moves:
            if name not in parts:
                continue
            if point.at_m is not None:
                far = distance(at, parts[name])
                yield at_most("Y404", point.name, at, f"{point.name} to {name}", round(far, 3), reach.value, "m", reach)
            yield _sight(yard, point, at, name, parts[name])


def _sight(yard: Yard, point: ControlPoint, at: Point, name: str, target: Point) -> Finding:
    """Only sheeted sides and closed buildings hide; a person with the hand-held stands on the catwalk."""
    used = used_of(yard, "eye_height")
    raised = yard.size("race_height") - yard.size("catwalk_below_top") if point.at_m is None else 0.0
    eye, far = used.value + max(0.0, raised), distance(at, target)
    if far <= AT_PART_M:
        return say("Y405", "met", point.name, at, f"{point.name} is at {name}", used=used)
    cut = (far - AT_PART_M) / far
    line = shapely.LineString((at, (at[0] + (target[0] - at[0]) * cut, at[1] + (target[1] - at[1]) * cut)))
    walls = [
        (shapely.LineString(run.path), run.height_m, "a sheeted side") for run in yard.fences if run.kind == "sheeted"
    ]
    walls += [
        (shapely.Polygon(thing.ring).exterior, thing.height_m, thing.name)
        for thing in yard.ask.site.existing
        if thing.kind == "shed"
    ]
    for wall, height, word in walls:
        for cross in shapely.get_parts(line.intersection(wall)):
            share = line.project(cross.representative_point()) / far
            if ray_height(eye, SEEN_M, share) < height:
                where = cross.representative_point()
                return say(
                    "Y405",
                    "not met",
                    point.name,
                    (float(where.x), float(where.y)),
                    f"{word} hides {name} from {point.name}",
                    used=used,
                )
    return say("Y405", "met", point.name, at, f"{name} is seen from {point.name}", used=used)


def _floor_reached(yard: Yard, ground: Ground) -> Finding:
    """The working floor must lie in a piece of open ground that reaches the boundary."""
    floor = next(strip for strip in yard.strips if strip.key == "work area")
    taken = shapely.union_all([shapely.Polygon(zone.ring) for zone in yard.zones])
    reached = floor_open(ground.boundary, ground.free.difference(taken), floor.ring)
    what = (
        "the working floor is open to the ground round the yard" if reached else "the working floor is shut in by pens"
    )
    return say("Y406", "met" if reached else "not met", "work area", middle(floor.ring), what)


def _off_side_reached(yard: Yard, ground: Ground) -> Finding:
    """Between the line and a bypass the off-side floor is an island, but for a gate across the race."""
    floor = next(strip for strip in yard.strips if strip.key == "off-side access")
    at = middle(floor.ring)
    if open_walks(yard.zones, ground.free, ROUND_M).way(yard.spot(CRUSH_STAND).at, at) is not None:
        return say("Y408", "met", floor.key, at, "the off-side floor is reached round the yard, clear of animals")
    if yard.ask.race.man_gate:
        # whether the race stands empty then is for the crew, not for the drawing
        what = (
            "the off-side floor is reached only across the race by its gate for people, where no animal may stand then"
        )
        return say("Y408", "not shown", floor.key, at, what)
    return say("Y408", "not met", floor.key, at, "the off-side floor is reached only through lanes of animals")


def _floor_clear(yard: Yard) -> Iterator[Finding]:
    used = used_of(yard, "work_depth")
    depth = {"work area": yard.size("work_depth"), "off-side access": yard.size("off_side_depth")}
    zones = shapely.union_all([shapely.Polygon(zone.ring) for zone in yard.zones])
    things = [shapely.Polygon(thing.ring) for thing in yard.ask.site.existing if thing.kind != "roof"]
    taken = shapely.union_all([zones, *things])
    for strip in yard.strips:
        if strip.key in depth:
            shape = shapely.Polygon(strip.ring)
            clear = depth[strip.key] * (1.0 - shape.intersection(taken).area / shape.area)
            source = used if strip.key == "work area" else used_of(yard, "off_side_depth")
            yield at_least(
                "Y407",
                strip.key,
                middle(strip.ring),
                f"mean clear depth of {strip.key}",
                round(clear, 2),
                source.value,
                "m",
                source,
            )
