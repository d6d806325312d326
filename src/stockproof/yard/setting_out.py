"""Setting-out for the concreter: datum, numbered corners of the slab with offsets and levels, check diagonals."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import shapely

from stockproof.scene import Box, Circle, Dimension, Entity, Layer, Line, Polygon, Polyline, Scene, Text, text_width_mm
from stockproof.yard.lettering import Placer, entities
from stockproof.yard.model import Point, Ring
from stockproof.yard.plan_layers import LAYERS
from stockproof.yard.plane import distance, set_down
from stockproof.yard.result import Yard
from stockproof.yard.slab import fall_heading, slab_level

__all__ = ["Peg", "check_diagonals", "pegs", "setting_out_scene", "setting_out_window", "table_scene"]

#: Slab corners nearer than this to a straight line between their neighbours need no peg [m]: rounds are struck
#: from the pivot.
STRAIGHT_M = 0.3
RULE = Layer("TABLE", "steel", 0.18)
CELL = Layer("TABLE-TEXT", "ink", 0.13)
ROW_MM, PAD_MM = 4.6, 2.0


@dataclass(frozen=True, slots=True)
class Peg:
    """A peg: its name, place on site, offsets from the datum along and across the line, and finished level [m].

    The datum is the middle of the crush's entry; `along_m` is in the animals' direction, `left_m` to their left.
    """

    name: str
    at: Point
    along_m: float
    left_m: float
    level_m: float


def pegs(yard: Yard) -> tuple[Peg, ...]:
    """Give the datum, the slab's corners and the ends of the machines, with offsets and levels."""
    slab = next(strip.ring for strip in yard.strips if strip.kind == "slab")
    corners = shapely.simplify(shapely.Polygon(slab), STRAIGHT_M).exterior.coords[:-1]
    datum = (yard.crush.x, yard.crush.y)
    machine = yard.ask.machine
    named = [("D", datum), ("E", set_down(yard.crush, machine.crush_length_m, 0.0))]
    if machine.ways > 1:
        named.append(("F", set_down(yard.crush, machine.crush_length_m + machine.draft_length_m, 0.0)))
    named.append(("R", yard.line[0]))
    named.append(("P", next(gate.hinge for gate in yard.gates if gate.kind == "forcing gate")))
    named += [(str(i + 1), (float(x), float(y))) for i, (x, y) in enumerate(corners)]
    return tuple(_peg(yard, name, at) for name, at in named)


def _peg(yard: Yard, name: str, at: Point) -> Peg:
    c, s = math.cos(yard.crush.heading), math.sin(yard.crush.heading)
    dx, dy = at[0] - yard.crush.x, at[1] - yard.crush.y
    level = slab_level(yard.crush, fall_heading(yard.crush, yard.ask.site), yard.size("slab_fall"), at)
    return Peg(name, at, dx * c + dy * s, -dx * s + dy * c, level)


def check_diagonals(points: tuple[Peg, ...]) -> tuple[tuple[str, str, float], ...]:
    """Give the taped distances that prove the pegs: from the datum to each, and across the slab [m]."""
    datum, numbered = points[0], [peg for peg in points if peg.name.isdigit()]
    found = [(datum.name, peg.name, distance(datum.at, peg.at)) for peg in points[1:]]
    half = len(numbered) // 2
    found += [
        (numbered[i].name, numbered[i + half].name, distance(numbered[i].at, numbered[i + half].at))
        for i in range(half)
    ]
    return tuple(found)


def setting_out_window(yard: Yard) -> Box:
    """Give what the sheet shows in the line's own axes: the slab with room for words."""
    ring = _local(yard, next(strip.ring for strip in yard.strips if strip.kind == "slab"))
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return Box(min(xs) - 1.5, min(ys) - 1.5, max(xs) + 1.5, max(ys) + 1.5)


def _local(yard: Yard, points: Ring) -> Ring:
    """Points in the line's axes: x along the animals' way from the datum, y to their left."""
    c, s = math.cos(yard.crush.heading), math.sin(yard.crush.heading)
    x0, y0 = yard.crush.x, yard.crush.y
    return tuple(((x - x0) * c + (y - y0) * s, -(x - x0) * s + (y - y0) * c) for x, y in points)


def setting_out_scene(yard: Yard, denominator: float, window: Box) -> Scene:
    """Draw slab, machines and pegs in the line's axes, with names beside the pegs."""
    points = pegs(yard)
    slab = _local(yard, next(strip.ring for strip in yard.strips if strip.kind == "slab"))
    line = _local(yard, yard.line)
    lines = shapely.union_all([shapely.LinearRing(slab), shapely.LineString(line)])
    frame = shapely.box(window.x0 + 0.1, window.y0 + 0.1, window.x1 - 0.1, window.y1 - 0.1)
    placer = Placer(LAYERS, 1000.0 / denominator, frame, lines, shapely.GeometryCollection())
    k = placer.mm_per_m
    placer.taken.append(shapely.box(window.x1 - 17.0 / k, window.y1 - 21.0 / k, window.x1, window.y1))
    marks = tuple(_peg_marks(points, placer))
    return Scene("m", LAYERS, entities(_shapes(yard, slab, line), _lengths(yard, placer), marks), (), "m")


def _shapes(yard: Yard, slab: Ring, line: Ring) -> Iterator[Entity]:
    yield Polygon("SLAB", slab, "tint")
    for strip in yard.strips:
        if strip.kind == "drain":
            yield Polygon("DRAIN", _local(yard, strip.ring), "hatch")
    for zone in yard.zones:
        if zone.kind in ("forcing", "race", "crush", "draft"):
            yield Polygon("FENCE-RAIL", _local(yard, zone.ring))
    yield Polyline("ANIMAL-PATH", (*line, (line[-1][0] + 0.8, line[-1][1])))


def _peg_marks(points: tuple[Peg, ...], placer: Placer) -> Iterator[Entity]:
    places = [(peg.along_m, peg.left_m) for peg in points]
    for peg, at in zip(points, places, strict=True):
        yield Circle("PEG", at, 0.9 / placer.mm_per_m, "solid" if peg.name.isalpha() else "paper")
    for peg, at in zip(points, places, strict=True):
        yield from placer.leader("WORDS", at, peg.name, 2.2, bold=True, head="none")


def _lengths(yard: Yard, placer: Placer) -> Iterator[Dimension]:
    """Lengths along the line, on the side away from the operator."""
    machine = yard.ask.machine
    ends = [0.0, machine.crush_length_m] + (
        [machine.crush_length_m + machine.draft_length_m] if machine.ways > 1 else []
    )
    away = machine.crush_width_m / 2 + yard.size("off_side_depth") + 0.5
    off = away * placer.mm_per_m * (1.0 if yard.mirrored else -1.0)
    for a, b in pairwise(ends):
        yield from placer.dimension(Dimension("DIM", (a, 0.0), (b, 0.0), off))


def table_scene(title: str, heads: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> tuple[Scene, Box]:
    """Set a table in paper mm: heads over thin rules, figures to the right; gives it with its size."""
    cells = (heads, *rows)
    widths = [
        max(text_width_mm(row[i], 2.0, bold=row is heads) for row in cells) + 2 * PAD_MM for i in range(len(heads))
    ]
    widths[-1] += max(0.0, text_width_mm(title, 2.2, bold=True) + 2 * PAD_MM - sum(widths))
    wide, high = sum(widths), ROW_MM * (len(cells) + 1)
    drawn: list[Entity] = [Text("TABLE-TEXT", (PAD_MM, high - ROW_MM / 2), title, 2.2, "left", "middle", bold=True)]
    for j, row in enumerate(cells):
        y, x = high - ROW_MM * (j + 1.5), 0.0
        for i, word in enumerate(row):
            at, align = ((x + PAD_MM, y), "left") if i == 0 else ((x + widths[i] - PAD_MM, y), "right")
            drawn.append(Text("TABLE-TEXT", at, word, 2.0, align, "middle", bold=j == 0))  # type: ignore[arg-type]
            x += widths[i]
        drawn.append(Line("TABLE", (0.0, y - ROW_MM / 2), (wide, y - ROW_MM / 2)))
    return Scene("mm", (RULE, CELL), tuple(drawn)), Box(0.0, 0.0, wide, high)
