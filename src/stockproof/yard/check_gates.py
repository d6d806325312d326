"""Findings about gates: what a leaf hits as it swings, and whether it still stands between its two spaces."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from stockproof.yard.findings import say
from stockproof.yard.ground import Ground
from stockproof.yard.model import Point, Ring
from stockproof.yard.plane import distance, sector
from stockproof.yard.result import Finding, Gate, Yard

__all__ = ["check_gates", "swept"]

#: The sweep is drawn this much short of the leaf and clear of the closed and open lines, where it rests on posts [m].
REST_M = 0.12
#: A gate is in a fence when both its ends are this near to the outline [m].
IN_FENCE_M = 0.05


def swept(gate: Gate, opened: Point) -> Ring:
    """Ground a leaf sweeps from closed to an open position, the shorter way round."""
    closed = math.atan2(gate.latch[1] - gate.hinge[1], gate.latch[0] - gate.hinge[0])
    turn = math.remainder(math.atan2(opened[1] - gate.hinge[1], opened[0] - gate.hinge[0]) - closed, 2 * math.pi)
    arc = sector(gate.hinge, gate.width_m, closed, turn)
    return (gate.hinge, *arc) if turn > 0 else (gate.hinge, *reversed(arc))


def check_gates(yard: Yard, ground: Ground) -> Iterator[Finding]:
    """Judge every leaf's swing and every opening's place."""
    solid = _solid(yard, ground)
    for gate in yard.gates:
        hits = [hit for opened in gate.opens for hit in _hits(gate, opened, solid)]
        if gate.opens and not hits:
            yield say("Y301", "met", gate.key, gate.hinge, f"{gate.key} swings clear")
        for name, at in hits[:1]:
            yield say("Y301", "not met", gate.key, at, f"{gate.key} hits {name} as it swings")
        yield _in_fence(yard, gate)


def _solid(yard: Yard, ground: Ground) -> list[tuple[str, shapely.Geometry]]:
    """What a leaf can hit: fences, machines, what stands on the site, and the boundary."""
    fences = [(f"a {run.kind} fence", shapely.LineString(run.path)) for run in yard.fences]
    machines = [(zone.key, shapely.Polygon(zone.ring)) for zone in yard.zones if zone.kind in ("crush", "draft")]
    existing = [(thing.name, shapely.Polygon(thing.ring)) for thing in yard.ask.site.existing if thing.kind != "roof"]
    return [*fences, *machines, *existing, ("the boundary", ground.boundary.exterior)]


def _hits(gate: Gate, opened: Point, solid: list[tuple[str, shapely.Geometry]]) -> Iterator[tuple[str, Point]]:
    """A fence the leaf lies along when open or closed is not hit: the sweep is drawn in from its edges."""
    way = shapely.buffer(shapely.Polygon(swept(gate, opened)), -REST_M)
    for name, thing in solid:
        common = way.intersection(thing)
        if not common.is_empty:
            point = common.representative_point()
            yield name, (float(point.x), float(point.y))


def _in_fence(yard: Yard, gate: Gate) -> Finding:
    off = 0.0
    for key in gate.between:
        zone = next((zone for zone in yard.zones if zone.key == key), None)
        if zone is not None:
            outline = shapely.Polygon(zone.ring).exterior
            off = max(off, *(float(outline.distance(shapely.Point(end))) for end in (gate.hinge, gate.latch)))
    if gate.kind == "stop gate":
        # a stop gate crosses the lane: its ends, not its leaf, are on the lane's outline
        off = min(off, distance(gate.hinge, gate.latch))
    fits = off <= IN_FENCE_M
    joins = " and ".join(gate.between)
    what = f"{gate.key} joins {joins}" if fits else f"{gate.key} stands {off:.2f} m off the fence between {joins}"
    return say(
        "Y302", "met" if fits else "not met", gate.key, gate.hinge, what, measured=off, limit=IN_FENCE_M, unit="m"
    )
