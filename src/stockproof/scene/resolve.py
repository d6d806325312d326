"""From a scene to plain marks on paper: blocks expanded, dimensions and leaders drawn out, points in paper mm.

Writers that know blocks and dimensions themselves read the scene; the others, the checks and the tests read
the marks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from stockproof.scene.lettering import text_width_mm
from stockproof.scene.primitives import (
    Arc,
    Circle,
    Dimension,
    Entity,
    Insert,
    Leader,
    Line,
    Point,
    Polygon,
    Polyline,
    Scene,
    Text,
)
from stockproof.scene.sheet import View

__all__ = ["Mark", "Placement", "dimension_text", "resolve", "view_marks"]

Mark = Line | Polyline | Polygon | Circle | Arc | Text | Insert

#: Dimension lines: gap before and overshoot of extension lines, tick length, gap under the text. ISO 129-1:2018
#: gives the forms; the lengths are common practice.
EXTENSION_GAP_MM, OVERSHOOT_MM, TICK_MM, TEXT_GAP_MM = 1.0, 1.5, 2.4, 0.7
ARROW_LENGTH_MM, ARROW_HALF_MM, DOT_MM, LANDING_MM = 2.6, 0.45, 0.6, 1.0
INCH_M = 0.0254


@dataclass(frozen=True, slots=True)
class Placement:
    """A similarity: mirror about the y axis if so, scale, turn, move."""

    scale: float = 1.0
    rotation_rad: float = 0.0
    move: Point = (0.0, 0.0)
    mirrored: bool = False

    def point(self, point: Point) -> Point:
        """Give where a point comes to lie."""
        x, y = (-point[0] if self.mirrored else point[0]) * self.scale, point[1] * self.scale
        c, s = math.cos(self.rotation_rad), math.sin(self.rotation_rad)
        return self.move[0] + c * x - s * y, self.move[1] + s * x + c * y

    def points(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """Give where points come to lie."""
        return tuple(self.point(point) for point in points)

    def direction(self, angle_rad: float) -> float:
        """Give what a direction becomes."""
        return (math.pi - angle_rad if self.mirrored else angle_rad) + self.rotation_rad

    def after(self, insert: Insert) -> Placement:
        """Give the placement of an insert's block, when the insert itself is placed so."""
        turn = -insert.rotation_rad if self.mirrored else insert.rotation_rad
        return Placement(
            self.scale * insert.scale,
            self.rotation_rad + turn,
            self.point(insert.at),
            self.mirrored != insert.mirrored,
        )


def view_marks(view: View, keep: frozenset[str] = frozenset()) -> tuple[Mark, ...]:
    """Give everything a view shows, as marks in paper mm from the sheet's lower left corner.

    Parameters
    ----------
    keep : frozenset of str
        Blocks whose inserts stay inserts (their `scale` then gives paper mm per unit of the block).
    """
    origin = view.to_paper((0.0, 0.0))
    return tuple(resolve(view.scene, view.scene.entities, Placement(view.mm_per_unit, move=origin), keep))


def resolve(
    scene: Scene, entities: Iterable[Entity], placement: Placement, keep: frozenset[str] = frozenset()
) -> Iterator[Mark]:
    """Yield entities of a scene as plain marks, placed on paper."""
    for entity in entities:
        if isinstance(entity, Insert):
            yield from _insert(scene, entity, placement, keep)
        elif isinstance(entity, Dimension):
            yield from _dimension(scene, entity, placement)
        elif isinstance(entity, Leader):
            yield from _leader(entity, placement)
        else:
            yield _place(entity, placement)


def _insert(scene: Scene, insert: Insert, placement: Placement, keep: frozenset[str]) -> Iterator[Mark]:
    inner = placement.after(insert)
    if insert.block in keep:
        yield replace(
            insert, at=inner.move, rotation_rad=inner.rotation_rad, scale=inner.scale, mirrored=inner.mirrored
        )
    else:
        for mark in resolve(scene, scene.block(insert.block).entities, inner, keep):
            yield replace(mark, tag=mark.tag or insert.tag)


def _place(entity: Mark, placement: Placement) -> Mark:
    return _PLACERS[type(entity)](entity, placement)


def _place_arc(arc: Arc, placement: Placement) -> Arc:
    start, end = placement.direction(arc.start_rad), placement.direction(arc.end_rad)
    if placement.mirrored:
        start, end = end, start
    centre = placement.point(arc.centre)
    return replace(arc, centre=centre, radius=arc.radius * placement.scale, start_rad=start, end_rad=end)


def _place_text(text: Text, placement: Placement) -> Text:
    """Text is moved and turned but never mirrored or scaled: it stays readable."""
    turn, align = text.rotation_rad, text.align
    if placement.mirrored:
        turn, align = -turn, {"left": "right", "centre": "centre", "right": "left"}[align]  # type: ignore[assignment]
    return replace(text, at=placement.point(text.at), rotation_rad=turn + placement.rotation_rad, align=align)


_PLACERS: dict[type, Callable[..., Mark]] = {
    Line: lambda e, p: replace(e, a=p.point(e.a), b=p.point(e.b)),
    Polyline: lambda e, p: replace(e, points=p.points(e.points)),
    Polygon: lambda e, p: replace(e, points=p.points(e.points), holes=tuple(p.points(h) for h in e.holes)),
    Circle: lambda e, p: replace(e, centre=p.point(e.centre), radius=e.radius * p.scale),
    Arc: _place_arc,
    Text: _place_text,
}


def _dimension(scene: Scene, dimension: Dimension, placement: Placement) -> Iterator[Mark]:
    a, b = placement.point(dimension.a), placement.point(dimension.b)
    along, normal = _axes(dimension, a, b)
    foot_a = _add(a, normal, dimension.offset_mm)
    foot_b = _add(foot_a, along, _dot(_minus(b, a), along))
    for point, foot in ((a, foot_a), (b, foot_b)):
        reach = _dot(_minus(foot, point), normal)
        if abs(reach) > EXTENSION_GAP_MM:
            sense = math.copysign(1.0, reach)
            start = _add(point, normal, sense * EXTENSION_GAP_MM)
            yield Line(dimension.layer, start, _add(foot, normal, sense * OVERSHOOT_MM))
    yield Line(dimension.layer, foot_a, foot_b)
    slash = _turned(along, math.pi / 4)
    for foot in (foot_a, foot_b):
        yield Line(dimension.layer, _add(foot, slash, -TICK_MM / 2), _add(foot, slash, TICK_MM / 2))
    yield _dimension_text(scene, dimension, foot_a, foot_b, along)


def _axes(dimension: Dimension, a: Point, b: Point) -> tuple[Point, Point]:
    """Unit vectors along the measured direction (from a toward b) and along the positive offset."""
    if dimension.along == "horizontal":
        return (math.copysign(1.0, b[0] - a[0]), 0.0), (0.0, 1.0)
    if dimension.along == "vertical":
        return (0.0, math.copysign(1.0, b[1] - a[1])), (1.0, 0.0)
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length else (1.0, 0.0)
    return along, (-along[1], along[0])


def _dimension_text(scene: Scene, dimension: Dimension, foot_a: Point, foot_b: Point, along: Point) -> Text:
    words = dimension.text or dimension_text(scene, dimension)
    reading = _readable(along)
    up = (-reading[1], reading[0])
    length = math.dist(foot_a, foot_b)
    condensed = text_width_mm(words, dimension.height_mm) > length - TICK_MM
    width = text_width_mm(words, dimension.height_mm, condensed)
    middle = ((foot_a[0] + foot_b[0]) / 2, (foot_a[1] + foot_b[1]) / 2)
    if width > length:  # the words stand beyond the end they would else cross
        middle = _add(middle, reading, length / 2 + TICK_MM / 2 + width / 2)
    at = _add(middle, up, TEXT_GAP_MM)
    turn = math.atan2(reading[1], reading[0])
    return Text(
        dimension.layer, at, words, dimension.height_mm, "centre", "baseline", turn, condensed, tag=dimension.tag
    )


def dimension_text(scene: Scene, dimension: Dimension) -> str:
    """Give the measure of a dimension as its scene writes it: `12600`, `12.60` or `41'-4 1/8"`."""
    dx, dy = dimension.b[0] - dimension.a[0], dimension.b[1] - dimension.a[1]
    length = {"aligned": math.hypot(dx, dy), "horizontal": abs(dx), "vertical": abs(dy)}[dimension.along]
    length_m = length if scene.unit == "m" else length / 1000
    if scene.measure == "mm":
        return f"{length_m * 1000:.0f}"
    return f"{length_m:.2f}" if scene.measure == "m" else _feet_and_inches(length_m)


def _feet_and_inches(length_m: float) -> str:
    eighths = round(length_m / INCH_M * 8)
    feet, rest = divmod(eighths, 96)
    inches, part = divmod(rest, 8)
    return f"{feet}'-{inches}" + (f" {Fraction(part, 8)}" if part else "") + '"'


def _leader(leader: Leader, placement: Placement) -> Iterator[Mark]:
    points = placement.points(leader.points)
    side = 1.0 if len(points) < 2 or points[-1][0] >= points[-2][0] - 1e-9 else -1.0
    end = _add(points[-1], (side, 0.0), LANDING_MM)
    yield Polyline(leader.layer, (*points, end), leader.tag)
    yield from _leader_head(leader, points)
    at, align = _add(end, (side, 0.0), LANDING_MM), "left" if side > 0 else "right"
    yield Text(leader.layer, at, leader.text, leader.height_mm, align, "middle", bold=leader.bold, tag=leader.tag)  # type: ignore[arg-type]


def _leader_head(leader: Leader, points: tuple[Point, ...]) -> Iterator[Mark]:
    if leader.head == "dot":
        yield Circle(leader.layer, points[0], DOT_MM, "solid", leader.tag)
    elif leader.head == "arrow" and len(points) > 1 and math.dist(points[0], points[1]) > 0:
        tip, length = points[0], math.dist(points[0], points[1])
        back = ((points[1][0] - tip[0]) / length, (points[1][1] - tip[1]) / length)
        foot, side = _add(tip, back, ARROW_LENGTH_MM), (-back[1], back[0])
        wings = (_add(foot, side, ARROW_HALF_MM), _add(foot, side, -ARROW_HALF_MM))
        yield Polygon(leader.layer, (tip, *wings), "solid", outlined=False, tag=leader.tag)


def _readable(along: Point) -> Point:
    """The same direction or its opposite, so that text reads from below or from the right."""
    upside_down = along[0] < -1e-9 or (abs(along[0]) <= 1e-9 and along[1] < 0)
    return (-along[0], -along[1]) if upside_down else along


def _add(point: Point, direction: Point, length: float) -> Point:
    return point[0] + direction[0] * length, point[1] + direction[1] * length


def _minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1]


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _turned(vector: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return c * vector[0] - s * vector[1], s * vector[0] + c * vector[1]
