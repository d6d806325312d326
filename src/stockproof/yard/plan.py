"""The plan of a yard as a neutral scene: ground, slab, fences, gates, machines, animals, ways, words, findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import shapely

from stockproof.scene import Arc, Box, Circle, Dimension, Entity, Leader, Line, Polygon, Polyline, Scene, Text
from stockproof.yard.animals import animal_block, animals
from stockproof.yard.check_space import middle
from stockproof.yard.lettering import Placer, Words, entities
from stockproof.yard.model import Finding, Gate, Point, Pose, Ring, Yard, Zone
from stockproof.yard.plan_layers import LAYERS
from stockproof.yard.plane import distance, heading_of_bearing, rectangle
from stockproof.yard.stands import PACK

__all__ = ["plan_scene", "plan_window"]

#: Ground shown round the yard where the whole site is too large for the scale [m].
ROUND_M = 7.0
PACK_SIZE_M = (1.1, 0.8)
#: Findings on the plan carry numbers; so many are listed in the notes.
MARKS = 12
DIM_INSIDE_MM = 3.2
LEAST_DIM_MM = 14.0


def plan_window(yard: Yard, whole_site: bool) -> Box:
    """Give the ground a plan shows: the site, or the yard with some ground round it."""
    rings = (
        [yard.ask.site.boundary]
        if whole_site
        else [zone.ring for zone in yard.zones] + [strip.ring for strip in yard.strips]
    )
    xs = [x for ring in rings for x, _ in ring]
    ys = [y for ring in rings for _, y in ring]
    by = 2.0 if whole_site else ROUND_M
    return Box(min(xs) - by, min(ys) - by, max(xs) + by, max(ys) + by)


def plan_scene(
    yard: Yard, findings: tuple[Finding, ...] = (), denominator: float = 200.0, window: Box | None = None
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
    """
    box = window or plan_window(yard, True)
    frame = shapely.box(box.x0 + 0.2, box.y0 + 0.2, box.x1 - 0.2, box.y1 - 0.2)
    placer = Placer(LAYERS, 1000.0 / denominator, frame, _lines(yard))
    _keep_north_clear(placer, box)
    marks = tuple(_finding_marks(findings, placer))
    words = entities(
        _zone_words(yard, placer), _machine_words(yard, placer), _dimensions(yard, placer), _ground_words(yard, placer)
    )
    return Scene(
        "m",
        LAYERS,
        entities(
            _ground(yard),
            animals(yard, placer),
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
    return shapely.union_all([*runs, *leaves, *solid, edge, *things])


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
    tip = (middle_at[0] + out[0] * 0.75, middle_at[1] + out[1] * 0.75)
    base = [
        (
            middle_at[0] + out[0] * 0.1 + sign * (bx - ax) / long * 0.28,
            middle_at[1] + out[1] * 0.1 + sign * (by - ay) / long * 0.28,
        )
        for sign in (-1, 1)
    ]
    return Polygon("PASS", (base[0], base[1], tip), "solid", tag=gate.key)


def _ways(yard: Yard) -> Iterator[Entity]:
    yield Polyline("ANIMAL-PATH", yard.animal_path)
    yield _arrow_head("ANIMAL-PATH", yard.animal_path[-2], yard.animal_path[-1])
    if len(yard.people_path) > 1:
        yield Polyline("PEOPLE-PATH", yard.people_path)


def _arrow_head(layer: str, before: Point, tip: Point, size_m: float = 0.9) -> Polygon:
    heading = math.atan2(tip[1] - before[1], tip[0] - before[0])
    pose = Pose(tip[0], tip[1], heading)
    ring = rectangle(pose, -size_m, -size_m, -size_m * 0.3, size_m * 0.3)
    return Polygon(layer, (tip, ring[0], ring[2]), "solid", outlined=False)


def _power(yard: Yard) -> Iterator[Entity]:
    """Pack, controls, supply, and the way of hose and cable."""
    spots = {spot.key: spot for spot in yard.spots}
    if PACK in spots:
        at, heading = spots[PACK].at, yard.crush.heading
        long, wide = PACK_SIZE_M
        yield Polygon(
            "POWER", rectangle(Pose(*at, heading), -long / 2, long / 2, -wide / 2, wide / 2), "cross", tag=PACK
        )
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


def _finding_marks(findings: tuple[Finding, ...], placer: Placer) -> Iterator[Entity]:
    """Numbered marks, first of all words, so that a number always stands by its place."""
    wrong = [finding for finding in findings if finding.verdict == "not met"][:MARKS]
    for number, finding in enumerate(wrong, 1):
        yield from placer.leader("FINDING", finding.at, str(number), 2.2, bold=True)


def _places(zone: Zone) -> Iterator[tuple[Point, float]]:
    """Where a zone's words may stand: its middle, then points about it, level or along its longer side."""
    shape = shapely.Polygon(zone.ring)
    at = middle(zone.ring)
    corners = list(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    a, b = max(((corners[0], corners[1]), (corners[1], corners[2])), key=lambda side: math.dist(*side))
    long = math.atan2(b[1] - a[1], b[0] - a[0])
    along = math.remainder(long, math.pi)
    along = along + math.pi if along < -math.pi / 2 + 1e-9 else along
    centre = (float(shape.centroid.x), float(shape.centroid.y))
    reach = math.dist(a, b)
    shifts = (0.0, 0.12, -0.12, 0.24, -0.24, 0.33, -0.33)
    spots = [at, *((centre[0] + reach * s * math.cos(long), centre[1] + reach * s * math.sin(long)) for s in shifts)]
    for turn in (0.0, along):
        yield from ((spot, turn) for spot in spots if shape.covers(shapely.Point(spot)))


def _zone_words(yard: Yard, placer: Placer) -> Iterator[Entity]:
    """Name, head and floor in every pen; where that is too much, less."""
    for zone in yard.zones:
        if zone.kind in ("race", "crush", "draft", "bypass", "ramp"):
            continue
        name = zone.key[0].upper() + zone.key[1:]
        figures = f"{zone.head} head, {zone.area_m2:.0f} m²" if zone.head else f"{zone.area_m2:.0f} m²"
        choices = (
            Words((name, figures), 2.4),
            Words((name, figures), 2.0),
            Words((name,), 1.8),
            Words((_short(name),), 1.8),
        )
        yield from placer.label("WORDS", choices, _places(zone))


def _short(name: str) -> str:
    """Initials and number: `Receiving pen 2` becomes `RP2`."""
    return "".join(word if word.isdigit() else word[0].upper() for word in name.split())


def _machine_words(yard: Yard, placer: Placer) -> Iterator[Leader]:
    """Words with a line for what is too narrow to write in."""
    width = yard.size("race_width") * 1000
    told = {
        "race": f"Race, {yard.race_places} places, {width:.0f} clear",
        "crush": "Crush",
        "draft": f"Draft unit, {yard.ask.machine.ways} ways",
        "bypass": "Bypass",
        "ramp": "Load-out ramp",
    }
    for zone in yard.zones:
        if zone.kind in told:
            yield from placer.leader("WORDS", middle(zone.ring), told[zone.kind])
    for spot in yard.spots:
        if spot.kind in ("power pack", "control point", "supply"):
            yield from placer.leader("WORDS", spot.at, spot.key[0].upper() + spot.key[1:])
    catwalk = next((strip for strip in yard.strips if strip.kind == "catwalk"), None)
    if catwalk is not None:
        yield from placer.leader("WORDS", middle(catwalk.ring), "Catwalk")


def _dimensions(yard: Yard, placer: Placer) -> Iterator[Dimension]:
    """Front and depth inside every pen; length of race and crush."""
    for zone in yard.zones:
        if zone.kind in ("lane", "pen", "draft pen", "sick pen"):
            for a, b in _measured_edges(zone):
                if distance(a, b) * placer.mm_per_m >= LEAST_DIM_MM:
                    yield from placer.dimension(Dimension("DIM", a, b, DIM_INSIDE_MM, height_mm=1.8))
    line = yard.line
    straight = rectangle(yard.crush, 0.0, yard.ask.machine.crush_length_m, 0.0, 0.0)
    near = -1.0 if yard.mirrored else 1.0
    off = near * (yard.size("race_width") / 2 + yard.size("catwalk_width") + 0.8) * placer.mm_per_m
    first = _straight_end(line, yard.race_length_m)
    yield from placer.dimension(Dimension("DIM", line[0], first, off, height_mm=1.8))
    yield from placer.dimension(
        Dimension(
            "DIM",
            straight[0],
            straight[1],
            near * (yard.ask.machine.crush_width_m / 2 + 0.9) * placer.mm_per_m,
            height_mm=1.8,
        )
    )


def _straight_end(line: Ring, race_length_m: float) -> Point:
    """Where the first straight stretch of the race ends."""
    first = math.atan2(line[1][1] - line[0][1], line[1][0] - line[0][0])
    end, run = line[0], 0.0
    for before, at in pairwise(line):
        run += distance(before, at)
        if abs(math.remainder(math.atan2(at[1] - before[1], at[0] - before[0]) - first, 2 * math.pi)) > 0.02:
            break
        if run > race_length_m + 1e-6:
            break
        end = at
    return end


def _measured_edges(zone: Zone) -> list[tuple[Point, Point]]:
    """The longest side and the longest one square to it."""
    edges = [(zone.ring[i - 1], zone.ring[i]) for i in range(len(zone.ring))]
    first = max(edges, key=lambda edge: distance(*edge))
    heading = math.atan2(first[1][1] - first[0][1], first[1][0] - first[0][0])

    def square(edge: tuple[Point, Point]) -> bool:
        turn = math.atan2(edge[1][1] - edge[0][1], edge[1][0] - edge[0][0]) - heading
        return abs(math.cos(turn)) < 0.05

    across = [edge for edge in edges if square(edge)]
    return [first, max(across, key=lambda edge: distance(*edge))] if across else [first]


def _ground_words(yard: Yard, placer: Placer) -> Iterator[Entity]:
    """Names of gateways and of what stands there, and the fall of the ground."""
    for gateway in yard.ask.site.gateways:
        yield Circle("GROUND", gateway.at, 0.4, "solid", gateway.name)
        yield from placer.leader("WORDS", gateway.at, f"{gateway.name}, {gateway.width_m:.1f} m")
    for thing in yard.ask.site.existing:
        texts = Words((thing.name,), 2.0).texts("WORDS", middle(thing.ring), placer.mm_per_m)
        if placer.put(texts, avoid_lines=False):
            yield from (
                Text(t.layer, t.at, t.text, t.height_mm, t.align, t.level, backed=True, bold=True) for t in texts
            )
    yield from _arrows(yard, placer)


def _arrows(yard: Yard, placer: Placer) -> Iterator[Entity]:
    """Small arrows with words for the fall of the ground, the low sun and the wind, where there is room."""
    site = yard.ask.site
    told: list[tuple[str, float]] = []
    if site.slope_share > 0:
        told.append((f"ground falls {site.slope_share * 100:.1f} %", heading_of_bearing(site.falls_toward_rad)))
    if site.sun_bearing_rad is not None:
        told.append(("low sun", heading_of_bearing(site.sun_bearing_rad) + math.pi))
    if site.wind_bearing_rad is not None:
        told.append(("wind", heading_of_bearing(site.wind_bearing_rad) + math.pi))
    for words, heading in told:
        yield from _arrow(words, heading, placer)


def _arrow(words: str, heading: float, placer: Placer) -> Iterator[Entity]:
    """Try places over the ground shown, from its corners inward."""
    x0, y0, x1, y1 = placer.frame.bounds
    k = placer.mm_per_m
    long = 9.0 / k
    for share_x in (0.06, 0.94, 0.2, 0.8, 0.35, 0.65):
        for share_y in (0.93, 0.07, 0.8, 0.2, 0.6, 0.4):
            at = (x0 + share_x * (x1 - x0), y0 + share_y * (y1 - y0))
            tail, tip = (
                (at[0] + s * long * math.cos(heading), at[1] + s * long * math.sin(heading)) for s in (-0.5, 0.5)
            )
            room = shapely.buffer(shapely.LineString((tail, tip)), 1.5 / k)
            text = Text("WORDS", (at[0], at[1] - 8.0 / k), words, 1.8, "centre", "middle")
            if (
                placer.frame.covers(room)
                and placer.free_of_text(room)
                and not room.intersects(placer.lines)
                and placer.put((text,))
            ):
                placer.taken.append(room)
                yield Line("GROUND", tail, tip)
                yield _arrow_head("GROUND", tail, tip, 3.0 / k)
                yield text
                return
