"""The plan of a yard as a neutral scene: ground, slab, fences, gates, machines, animals, ways, words, findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import shapely

from stockproof.scene import Arc, Box, Circle, Entity, Layer, Line, Polygon, Polyline, Scene
from stockproof.yard.animals import animal_block, animals, head_shown
from stockproof.yard.lettering import Placer, entities
from stockproof.yard.model import Point, Ring
from stockproof.yard.pack_place import pack_outline
from stockproof.yard.plan_layers import LAYERS
from stockproof.yard.plan_words import arrow_head, dimensions, finding_marks, ground_words, machine_words, zone_words
from stockproof.yard.plane import distance, rectangle
from stockproof.yard.result import Finding, Gate, Yard
from stockproof.yard.stands import PACK

__all__ = ["ROUND_M", "plan_scene", "plan_window"]

#: Ground shown round the yard where the whole site is too large for the scale, more where there is room [m].
ROUND_M = (4.0, 2.5, 1.2)


def plan_window(yard: Yard, round_m: float | None) -> Box:
    """Give the ground a plan shows: the yard with so much ground round it, or the whole site where None."""
    rings = (
        [yard.ask.site.boundary]
        if round_m is None
        else [zone.ring for zone in yard.zones] + [strip.ring for strip in yard.strips]
    )
    xs = [x for ring in rings for x, _ in ring]
    ys = [y for ring in rings for _, y in ring]
    by = 2.0 if round_m is None else round_m
    return Box(min(xs) - by, min(ys) - by, max(xs) + by, max(ys) + by)


def plan_scene(
    yard: Yard,
    findings: tuple[Finding, ...] = (),
    denominator: float = 200.0,
    window: Box | None = None,
    kept_clear: Box | None = None,
) -> Scene:
    """Draw the plan for a scale; words are placed so that none covers another at it.

    Parameters
    ----------
    yard : Yard
        What is drawn.
    findings : tuple of Finding
        Those that are not met get a numbered mark at their place.
    denominator : float
        200 for 1:200.
    window : Box or None
        The ground shown; the whole site where None.
    kept_clear : Box or None
        Ground that no words may stand on.
    """
    box = window or plan_window(yard, None)
    frame = shapely.box(box.x0 + 0.2, box.y0 + 0.2, box.x1 - 0.2, box.y1 - 0.2)
    placer = Placer(LAYERS, 1000.0 / denominator, frame, _lines(yard), _faint(yard))
    _keep_north_clear(placer, box)
    if kept_clear is not None:
        placer.taken.append(shapely.box(kept_clear.x0, kept_clear.y0, kept_clear.x1, kept_clear.y1))
    marks = tuple(finding_marks(findings, placer))
    words = entities(
        zone_words(yard, placer), machine_words(yard, placer), dimensions(yard, placer), ground_words(yard, placer)
    )
    stock = tuple(animals(yard, placer))
    return Scene(
        "m",
        _layers(len(stock), head_shown(yard)),
        entities(
            _ground(yard),
            stock,
            _machines(yard),
            _fences(yard),
            _gates(yard),
            _ways(yard),
            _power(yard),
            words,
            marks,
        ),
        (animal_block(yard.ask.mob),),
        "m",
    )


def _layers(drawn: int, head: int) -> tuple[Layer, ...]:
    """The layers; the legend says how many animals are drawn where words leave no room for all."""
    told = "animal to size" if drawn == head else f"animal to size, {drawn} of {head} drawn"
    return tuple(replace(layer, title=told) if layer.name == "ANIMAL" else layer for layer in LAYERS)


def _keep_north_clear(placer: Placer, box: Box) -> None:
    """The view's north arrow stands in its upper right corner."""
    k = placer.mm_per_m
    placer.taken.append(shapely.box(box.x1 - 17.0 / k, box.y1 - 21.0 / k, box.x1, box.y1))


def _lines(yard: Yard) -> shapely.Geometry:
    """What words should not run over."""
    runs = [shapely.LineString(run.path) for run in yard.fences]
    leaves = [shapely.LineString((gate.hinge, gate.latch)) for gate in yard.gates]
    solid = [
        shapely.Polygon(zone.ring) for zone in yard.zones if zone.kind in ("crush", "draft", "race", "bypass", "ramp")
    ]
    edge = shapely.LinearRing(yard.ask.site.boundary)
    things = [shapely.Polygon(thing.ring) for thing in yard.ask.site.existing]
    marks = [shapely.Point(spot.at).buffer(0.5) for spot in yard.spots if spot.kind in ("power pack", "control point")]
    return shapely.union_all([*runs, *leaves, *solid, *marks, edge, *things])


def _faint(yard: Yard) -> shapely.Geometry:
    """Thin and dashed lines that words should spare where there is room."""
    swings = [shapely.LineString((gate.hinge, opened)) for gate in yard.gates for opened in gate.opens]
    strips = [shapely.LinearRing(strip.ring) for strip in yard.strips]
    ways = [shapely.LineString(way) for way in (yard.animal_path, yard.people_path) if len(way) > 1]
    passes = [shapely.Point(gate.hinge).buffer(0.9) for gate in yard.gates if gate.kind in ("worker pass", "man-gate")]
    return shapely.union_all([*swings, *strips, *ways, *passes])


def _ground(yard: Yard) -> Iterator[Entity]:
    layers = {
        "slab": "SLAB",
        "drain": "DRAIN",
        "apron": "APRON",
        "approach": "APRON",
        "work area": "WORK",
        "catwalk": "WORK",
    }
    fills = {"slab": "tint", "drain": "hatch"}
    yield Polygon("BOUNDARY", yard.ask.site.boundary)
    for thing in yard.ask.site.existing:
        yield Polygon("EXISTING", thing.ring, "none" if thing.kind == "roof" else "hatch", tag=thing.name)
    for strip in sorted(yard.strips, key=lambda strip: strip.kind != "slab"):
        yield Polygon(layers[strip.kind], strip.ring, fills.get(strip.kind, "none"), tag=strip.key)  # type: ignore[arg-type]
    truck = yard.ask.truck
    for strip in yard.strips:
        if strip.kind == "apron" and truck is not None:
            yield Polygon("APRON", _truck_outline(strip.ring, truck.width_m), tag="truck")


def _truck_outline(ring: Ring, width_m: float) -> Ring:
    """The truck on its stand, which is longer than wide and drawn from the ramp outward."""
    a, b, c, d = ring
    share = (1.0 - width_m / distance(a, d)) / 2
    return (_between(a, d, share), _between(b, c, share), _between(b, c, 1 - share), _between(a, d, 1 - share))


def _between(a: Point, b: Point, share: float) -> Point:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def _machines(yard: Yard) -> Iterator[Entity]:
    """Crush and draft unit with the leaves that bar the animals' way."""
    for zone in yard.zones:
        if zone.kind in ("crush", "draft"):
            yield Polygon("MACHINE", zone.ring, "tint" if zone.kind == "draft" else "none", tag=zone.key)
    machine, half = yard.ask.machine, yard.size("race_width") / 2
    for at in (0.0, machine.crush_length_m):
        ends = rectangle(yard.crush, at, at, -half, half)
        yield Line("MACHINE", ends[0], ends[2])
    inside = machine.crush_clear_width_m / 2
    for side in (-inside, inside):
        ends = rectangle(yard.crush, 0.0, machine.crush_length_m, side, side)
        yield Line("MACHINE", ends[0], ends[1])


def _fences(yard: Yard) -> Iterator[Entity]:
    for run in yard.fences:
        yield Polyline("FENCE-SHEETED" if run.kind == "sheeted" else "FENCE-RAIL", run.path)


def _gates(yard: Yard) -> Iterator[Entity]:
    for gate in yard.gates:
        if gate.kind == "worker pass":
            yield _pass_mark(gate)
            continue
        yield Line("PASS" if gate.kind == "man-gate" else "GATE", gate.hinge, gate.latch, gate.key)
        for opened in gate.opens:
            yield Line("GATE-SWING", gate.hinge, opened, gate.key)
            yield _swing_arc(gate, opened)
        if gate.kind == "man-gate":
            yield _pass_mark(gate)


def _swing_arc(gate: Gate, opened: Point) -> Arc:
    closed = math.atan2(gate.latch[1] - gate.hinge[1], gate.latch[0] - gate.hinge[0])
    end = math.atan2(opened[1] - gate.hinge[1], opened[0] - gate.hinge[0])
    if math.remainder(end - closed, 2 * math.pi) < 0:
        closed, end = end, closed
    return Arc("GATE-SWING", gate.hinge, gate.width_m, closed, end, gate.key)


def _pass_mark(gate: Gate) -> Polygon:
    """A solid triangle that points out of the pen through the pass."""
    (ax, ay), (bx, by) = gate.hinge, gate.latch
    long = distance(gate.hinge, gate.latch)
    out = ((by - ay) / long, -(bx - ax) / long)
    middle_at = ((ax + bx) / 2, (ay + by) / 2)
    tip = (middle_at[0] + out[0] * 0.6, middle_at[1] + out[1] * 0.6)
    base = [
        (
            middle_at[0] + out[0] * 0.1 + sign * (bx - ax) / long * 0.22,
            middle_at[1] + out[1] * 0.1 + sign * (by - ay) / long * 0.22,
        )
        for sign in (-1, 1)
    ]
    return Polygon("PASS", (base[0], base[1], tip), "solid", tag=gate.key)


def _ways(yard: Yard) -> Iterator[Entity]:
    yield Polyline("ANIMAL-PATH", yard.animal_path)
    yield arrow_head("ANIMAL-PATH", yard.animal_path[-2], yard.animal_path[-1])
    if len(yard.people_path) > 1:
        yield Polyline("PEOPLE-PATH", yard.people_path)


def _power(yard: Yard) -> Iterator[Entity]:
    """Pack, controls, supply, and the way of hose and cable."""
    spots = {spot.key: spot for spot in yard.spots}
    if PACK in spots:
        at = spots[PACK].at
        yield Polygon("POWER", pack_outline(at, yard.crush.heading), "cross", tag=PACK)
        line = shapely.LineString(yard.line)
        foot = line.interpolate(line.project(shapely.Point(at)))
        yield Polyline("HOSE", (at, (float(foot.x), float(foot.y))))
        if "supply outlet" in spots:
            end = spots["supply outlet"].at
            yield Polyline("HOSE", (at, (at[0], end[1]), end))
            yield Circle("POWER", end, 0.35, "solid", "supply outlet")
    for spot in yard.spots:
        if spot.kind == "control point":
            yield Circle("POWER", spot.at, 0.22, "solid", spot.key)
