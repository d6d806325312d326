"""What a drawing is made of: a dozen frozen primitives on named layers, in metres or in paper millimetres.

A scene says what is drawn and in which role, never how a file stores it: writers live in the dossier.
Axes: x to the right, y up, angles anticlockwise from x. Text heights, line weights, dashes and the
distance of a dimension line are always paper millimetres, whatever unit the points are in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Literal

from stockproof.errors import InternalError

__all__ = [
    "SMALLEST_HEIGHT_MM",
    "Align",
    "Arc",
    "Block",
    "Circle",
    "Dimension",
    "Entity",
    "Fill",
    "Insert",
    "Layer",
    "Leader",
    "Level",
    "Line",
    "Point",
    "Polygon",
    "Polyline",
    "Role",
    "Scene",
    "Text",
]

Point = tuple[float, float]
#: What a line or tint stands for; the house style gives each role its colour.
#: `rust` is kept for what needs the reader's attention; `hide` is for animals.
Role = Literal["ink", "steel", "faint", "rust", "hide"]
#: `paper` covers what lies beneath; `tint` is a pale and `solid` the full tone of the layer's role.
Fill = Literal["none", "paper", "tint", "solid", "hatch", "cross"]
Align = Literal["left", "centre", "right"]
Level = Literal["baseline", "bottom", "middle", "top"]

#: 6 pt type of this family has capitals 1.48 mm high; nothing smaller may be drawn.
SMALLEST_HEIGHT_MM = 1.5
#: Common weights: ISO 128-2:2020 groups 0.25/0.5 (narrow/wide) and 0.18/0.35.
THIN_MM = 0.18

Symbol = Literal["triangle", "dot", "ring", "box"]


@dataclass(frozen=True, slots=True)
class Layer:
    """A named set of lines that look alike.

    Parameters
    ----------
    name : str
        Short upper-case name without spaces, as CAD programs list it: `FENCE`.
    role : Role
        What the lines stand for.
    weight_mm : float
        Line weight on paper.
    dash : tuple of float
        Lengths on paper of stroke, gap, stroke, gap ... in mm; empty for a continuous line.
    title : str
        Words for the legend; empty keeps the layer out of it.
    fill : Fill
        How the legend shows the layer's areas; `none` shows a line.
    marks : tuple of Symbol
        What the legend shows instead, for a layer of single marks.
    """

    name: str
    role: Role = "ink"
    weight_mm: float = 0.25
    dash: tuple[float, ...] = ()
    title: str = ""
    fill: Fill = "none"
    marks: tuple[Symbol, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from `a` to `b`."""

    layer: str
    a: Point
    b: Point
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open run of straight lines."""

    layer: str
    points: tuple[Point, ...]
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline with holes and a fill; `outlined=False` draws the fill alone."""

    layer: str
    points: tuple[Point, ...]
    fill: Fill = "none"
    holes: tuple[tuple[Point, ...], ...] = ()
    outlined: bool = True
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle with a fill."""

    layer: str
    centre: Point
    radius: float
    fill: Fill = "none"
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, anticlockwise from `start_rad` to `end_rad`."""

    layer: str
    centre: Point
    radius: float
    start_rad: float
    end_rad: float
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering.

    Parameters
    ----------
    at : Point
        Anchor; `align` and `level` say which point of the text's box lies on it.
    height_mm : float
        Height of the capitals on paper, at least `SMALLEST_HEIGHT_MM`.
    rotation_rad : float
        Anticlockwise from x.
    condensed, bold : bool
        Cut of the one text family.
    backed : bool
        Paper is laid behind the text so that lines do not run through it.
    """

    layer: str
    at: Point
    text: str
    height_mm: float = 2.0
    align: Align = "left"
    level: Level = "baseline"
    rotation_rad: float = 0.0
    condensed: bool = False
    bold: bool = False
    backed: bool = False
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Insert:
    """A block drawn at `at`: mirrored about its y axis first if so, then scaled, then turned."""

    layer: str
    block: str
    at: Point
    rotation_rad: float = 0.0
    scale: float = 1.0
    mirrored: bool = False
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A measured distance between two points, written by the scene's `measure`.

    Parameters
    ----------
    offset_mm : float
        Distance on paper of the dimension line from `a`; positive to the left of the way from `a` to `b`
        (`aligned`), upward (`horizontal`) or to the right (`vertical`).
    along : str
        `aligned` measures the distance itself, the others its horizontal or vertical part.
    text : str
        Written instead of the measure; empty writes the measure.
    """

    layer: str
    a: Point
    b: Point
    offset_mm: float
    along: Literal["aligned", "horizontal", "vertical"] = "aligned"
    text: str = ""
    height_mm: float = 2.0
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Leader:
    """Words with a thin line that ends in a dot or arrow on what they speak of.

    `points` runs from the thing to the words; the words stand beyond the last point, on the side the
    last stretch runs to.
    """

    layer: str
    points: tuple[Point, ...]
    text: str
    head: Literal["arrow", "dot", "none"] = "dot"
    height_mm: float = 2.0
    bold: bool = False
    tag: str = ""


Entity = Line | Polyline | Polygon | Circle | Arc | Text | Insert | Dimension | Leader


@dataclass(frozen=True, slots=True)
class Block:
    """A symbol drawn once and inserted often; may insert blocks defined before it, holds no dimensions."""

    name: str
    entities: tuple[Entity, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything drawn in one system of coordinates.

    Parameters
    ----------
    unit : {'m', 'mm'}
        What one unit of the points is: metres of the site, or millimetres of paper (diagrams).
    measure : {'mm', 'm', 'ft-in'}
        How dimensions are written.

    Raises
    ------
    InternalError
        An entity names no layer or block of the scene, text is too small, or a number is not finite.
    """

    unit: Literal["m", "mm"]
    layers: tuple[Layer, ...]
    entities: tuple[Entity, ...]
    blocks: tuple[Block, ...] = ()
    measure: Literal["mm", "m", "ft-in"] = "mm"

    def __post_init__(self) -> None:
        layers = _names("layer", (layer.name for layer in self.layers))
        _names("block", (block.name for block in self.blocks))
        known: set[str] = set()
        for block in self.blocks:
            _check(block.entities, layers, known, f"block {block.name}")
            if any(isinstance(entity, Dimension | Leader) for entity in block.entities):
                raise InternalError(f"block {block.name} holds a dimension or leader")
            known.add(block.name)
        _check(self.entities, layers, known, "scene")

    def layer(self, name: str) -> Layer:
        """Give the layer of a name."""
        return next(layer for layer in self.layers if layer.name == name)

    def block(self, name: str) -> Block:
        """Give the block of a name."""
        return next(block for block in self.blocks if block.name == name)


def _names(kind: str, names: Iterable[str]) -> set[str]:
    listed = list(names)
    twice = {name for name in listed if listed.count(name) > 1}
    if twice:
        raise InternalError(f"{kind} named twice: {', '.join(sorted(twice))}")
    return set(listed)


def _check(entities: Iterable[Entity], layers: set[str], blocks: set[str], where: str) -> None:
    for entity in entities:
        if entity.layer not in layers:
            raise InternalError(f"{where}: {type(entity).__name__} on unknown layer {entity.layer!r}")
        if isinstance(entity, Insert) and entity.block not in blocks:
            raise InternalError(f"{where}: insert of unknown block {entity.block!r}")
        if isinstance(entity, Text | Dimension | Leader) and entity.height_mm < SMALLEST_HEIGHT_MM:
            raise InternalError(f"{where}: text {entity.text!r} is {entity.height_mm} mm high")
        if not all(math.isfinite(number) for number in _numbers(entity)):
            raise InternalError(f"{where}: {type(entity).__name__} with a number that is not finite: {entity}")


def _numbers(value: object) -> Iterable[float]:
    """Every float inside an entity."""
    if isinstance(value, bool | str):
        return
    if isinstance(value, int | float):
        yield float(value)
    elif isinstance(value, tuple):
        for part in value:
            yield from _numbers(part)
    else:
        for part_field in fields(value):  # type: ignore[arg-type]
            yield from _numbers(getattr(value, part_field.name))
