"""Words on a yard's plan: names of spaces and parts, dimensions, the ground, and numbered findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import shapely

from stockproof.scene import Circle, Dimension, Entity, Leader, Line, Polygon, Text
from stockproof.yard.check_space import middle
from stockproof.yard.lettering import Placer, Words
from stockproof.yard.model import Point, Ring
from stockproof.yard.plane import distance, heading_of_bearing, rectangle
from stockproof.yard.result import Finding, Pose, Yard, Zone

__all__ = ["MARKS", "arrow_head", "dimensions", "finding_marks", "ground_words", "machine_words", "zone_words"]

#: Findings on the plan carry numbers; so many are listed in the notes.
MARKS = 12
DIM_INSIDE_MM = 3.2
LEAST_DIM_MM = 14.0
#: On a drawing smaller than 1:400, a phone's, small parts go unnamed and pens may carry initials.
COARSE_MM_PER_M = 2.5
NAMED_WHEN_COARSE = ("race", "crush", "draft")


def finding_marks(findings: tuple[Finding, ...], placer: Placer) -> Iterator[Entity]:
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


def zone_words(yard: Yard, placer: Placer) -> Iterator[Entity]:
    """Name, head and floor in every pen; where that is too much, less; where no room is left, beside it with a line."""
    for zone in yard.zones:
        if zone.kind in ("race", "crush", "draft", "bypass", "ramp"):
            continue
        name = zone.key[0].upper() + zone.key[1:]
        figures = f"{zone.head} head, {zone.area_m2:.0f} m²" if zone.head else f"{zone.area_m2:.0f} m²"
        choices: tuple[Words, ...] = (Words((name, figures), 2.4), Words((name, figures), 2.0), Words((name,), 1.8))
        if placer.mm_per_m < COARSE_MM_PER_M:
            choices = (*choices, Words((_short(name),), 1.8))
        texts = placer.label("WORDS", choices, _places(zone))
        yield from texts or placer.leader("WORDS", middle(zone.ring), f"{name}, {figures}")


def machine_words(yard: Yard, placer: Placer) -> Iterator[Leader]:
    """Words with a line for what is too narrow to write in."""
    width = yard.size("race_width") * 1000
    told = {
        "race": f"Race, {yard.race_places} places, {width:.0f} clear",
        "crush": "Crush",
        "draft": f"Draft unit, {yard.ask.machine.ways} ways",
        "bypass": "Bypass",
        "ramp": "Load-out ramp",
    }
    coarse = placer.mm_per_m < COARSE_MM_PER_M
    for zone in yard.zones:
        if zone.kind in (NAMED_WHEN_COARSE if coarse else told):
            yield from placer.leader("WORDS", middle(zone.ring), told[zone.kind])
    if coarse:
        return
    for spot in yard.spots:
        if spot.kind in ("power pack", "control point", "supply"):
            yield from placer.leader("WORDS", spot.at, spot.key[0].upper() + spot.key[1:])
    catwalk = next((strip for strip in yard.strips if strip.kind == "catwalk"), None)
    if catwalk is not None:
        yield from placer.leader("WORDS", middle(catwalk.ring), "Catwalk")


def dimensions(yard: Yard, placer: Placer) -> Iterator[Dimension]:
    """Front and depth inside every pen; length of race and crush."""
    for zone in yard.zones:
        if zone.kind in ("lane", "pen", "draft pen", "sick pen"):
            for edges in _measured_edges(zone):
                yield from _first_dimension(edges, placer)
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


def _first_dimension(edges: list[tuple[Point, Point]], placer: Placer) -> Iterator[Dimension]:
    """Measure the first of equally long sides along which a dimension finds room."""
    for a, b in edges:
        if distance(a, b) * placer.mm_per_m >= LEAST_DIM_MM:
            placed = placer.dimension(Dimension("DIM", a, b, DIM_INSIDE_MM, height_mm=1.8))
            if placed:
                yield from placed
                return


def _measured_edges(zone: Zone) -> list[list[tuple[Point, Point]]]:
    """The longest sides and the longest ones square to them, each with its equals."""
    edges = [(zone.ring[i - 1], zone.ring[i]) for i in range(len(zone.ring))]
    first = max(edges, key=lambda edge: distance(*edge))
    heading = math.atan2(first[1][1] - first[0][1], first[1][0] - first[0][0])

    def longest(across: bool) -> list[tuple[Point, Point]]:
        turns = [math.atan2(b[1] - a[1], b[0] - a[0]) - heading for a, b in edges]
        lying = [edge for edge, turn in zip(edges, turns, strict=True) if abs(math.sin(turn)) > 0.999 or not across]
        lying = [edge for edge in lying if across or abs(math.sin(turns[edges.index(edge)])) < 0.05]
        most = max((distance(*edge) for edge in lying), default=0.0)
        return [edge for edge in lying if distance(*edge) > 0.99 * most]

    return [longest(False), longest(True)]


def ground_words(yard: Yard, placer: Placer) -> Iterator[Entity]:
    """Names of gateways and of what stands there, and the fall of the ground."""
    for gateway in yard.ask.site.gateways:
        yield Circle("GROUND", gateway.at, 0.4, "solid", gateway.name)
        yield from placer.leader("WORDS", gateway.at, f"{gateway.name}, {gateway.width_m:.1f} m")
    for thing in yard.ask.site.existing:
        texts = Words((thing.name,), 2.0).texts("WORDS", middle(thing.ring), placer.mm_per_m)
        if placer.put(texts, care=0):
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
                yield arrow_head("GROUND", tail, tip, 3.0 / k)
                yield text
                return


def arrow_head(layer: str, before: Point, tip: Point, size_m: float = 0.9) -> Polygon:
    """A solid head for an arrow that ends at a tip."""
    heading = math.atan2(tip[1] - before[1], tip[0] - before[0])
    pose = Pose(tip[0], tip[1], heading)
    ring = rectangle(pose, -size_m, -size_m, -size_m * 0.3, size_m * 0.3)
    return Polygon(layer, (tip, ring[0], ring[2]), "solid", outlined=False)


def _short(name: str) -> str:
    """Initials and number: `Receiving pen 2` becomes `RP2`."""
    return "".join(word if word.isdigit() else word[0].upper() for word in name.split())
