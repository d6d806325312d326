"""Finds room for words on a plan: text that covers no other text and, where it can, no line.

Everything is reckoned on paper: places are given in metres of the site and tried in millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

import shapely

from stockproof.scene import Dimension, Entity, Layer, Leader, Line, Point, Scene, Text, text_box
from stockproof.scene.resolve import Placement, resolve

__all__ = ["Placer", "Words"]

#: Clear paper kept round every text [mm].
CLEAR_MM = 0.8
LINE_PITCH = 1.75
#: Leaders are tried in these directions and lengths on paper.
LEADER_TURNS = tuple(math.radians(side + turn) for turn in (45, 30, 60, 15, 75) for side in (0, 90, 180, 270))
LEADER_MM = (7.0, 11.0, 16.0, 22.0, 30.0, 40.0, 52.0, 66.0)


@dataclass(frozen=True, slots=True)
class Words:
    """Lines of one label, the first bold."""

    lines: tuple[str, ...]
    height_mm: float = 2.0

    def texts(self, layer: str, at: Point, mm_per_m: float, turn: float = 0.0) -> tuple[Text, ...]:
        """Set the lines centred on a place."""
        pitch = self.height_mm * LINE_PITCH / mm_per_m
        up = (-math.sin(turn), math.cos(turn))
        top = pitch * (len(self.lines) - 1) / 2
        return tuple(
            Text(
                layer,
                (at[0] + up[0] * (top - i * pitch), at[1] + up[1] * (top - i * pitch)),
                line,
                self.height_mm if i == 0 else max(1.8, self.height_mm * 0.85),
                "centre",
                "middle",
                turn,
                condensed=i > 0,
                bold=i == 0,
            )
            for i, line in enumerate(self.lines)
        )


@dataclass(slots=True)
class Placer:
    """Remembers what paper is taken.

    `frame` is the ground shown, which no text may leave; `lines` are what text must not run over where it can
    help it, `faint` what it should not.
    """

    layers: tuple[Layer, ...]
    mm_per_m: float
    frame: shapely.Geometry
    lines: shapely.Geometry
    faint: shapely.Geometry
    taken: list[shapely.Geometry] = field(default_factory=list)
    strokes: list[shapely.Geometry] = field(default_factory=list)

    def put(self, texts: tuple[Text, ...], care: int = 1, line: shapely.Geometry | None = None) -> bool:
        """Take the room for texts if it is free; `care` 2 spares faint lines too, 0 spares no lines.

        `line` is what is drawn to the text, a leader's; it must not run through other text.
        """
        boxes = [self._box(text) for text in texts]
        whole = shapely.union_all(boxes)
        if not self.frame.covers(whole) or any(whole.intersects(other) for other in (*self.taken, *self.strokes)):
            return False
        if line is not None and any(line.intersects(other) for other in self.taken):
            return False
        if (care > 0 and whole.intersects(self.lines)) or (care > 1 and whole.intersects(self.faint)):
            return False
        self.taken += boxes
        return True

    def label(self, layer: str, choices: Iterable[Words], places: Iterable[tuple[Point, float]]) -> tuple[Text, ...]:
        """Set the first choice of words that finds room at one of the places (point, turn); nothing if none does."""
        tried = list(places)
        for words in choices:
            for care in (2, 1):
                for at, turn in tried:
                    texts = words.texts(layer, at, self.mm_per_m, turn)
                    if self.put(texts, care):
                        return tuple(replace(text, backed=care < 2) for text in texts)
        return ()

    def dimension(self, dimension: Dimension) -> tuple[Dimension, ...]:
        """Take a dimension if its words find room and its line runs through no words."""
        marks = list(resolve(Scene("m", self.layers, ()), (dimension,), Placement(self.mm_per_m)))
        texts = tuple(self._in_metres(mark) for mark in marks if isinstance(mark, Text))
        longest = max((mark for mark in marks if isinstance(mark, Line)), key=lambda mark: math.dist(mark.a, mark.b))
        ends = [(x / self.mm_per_m, y / self.mm_per_m) for x, y in (longest.a, longest.b)]
        line = shapely.LineString(ends)
        if not self.put(texts, 1, line):
            return ()
        self.strokes.append(line)
        return (dimension,)

    def leader(
        self,
        layer: str,
        thing: Point,
        words: str,
        height_mm: float = 2.0,
        bold: bool = False,
        head: Literal["dot", "none"] = "dot",
    ) -> tuple[Leader, ...]:
        """Set words beside a thing with a thin line, where they find room; rather farther off than over a line."""
        for care, reaches in ((2, LEADER_MM[:3]), (2, LEADER_MM), (1, LEADER_MM[:3]), (1, LEADER_MM), (0, LEADER_MM)):
            for found in self._leaders(layer, thing, words, height_mm, bold, reaches):
                leader = replace(found, head=head)
                line = shapely.LineString(leader.points)
                if self.put((self._leader_text(leader),), care, line):
                    self.strokes.append(shapely.buffer(line, CLEAR_MM / self.mm_per_m))
                    return (leader,)
        return ()

    def _leaders(
        self, layer: str, thing: Point, words: str, height_mm: float, bold: bool, reaches: tuple[float, ...]
    ) -> Iterator[Leader]:
        for reach in reaches:
            for turn in LEADER_TURNS:
                end = (
                    thing[0] + reach / self.mm_per_m * math.cos(turn),
                    thing[1] + reach / self.mm_per_m * math.sin(turn),
                )
                yield Leader(layer, (thing, end), words, "dot", height_mm, bold)

    def _leader_text(self, leader: Leader) -> Text:
        marks = list(resolve(Scene("m", self.layers, ()), (leader,), Placement(self.mm_per_m)))
        return self._in_metres(next(mark for mark in marks if isinstance(mark, Text)))

    def _in_metres(self, text: Text) -> Text:
        at = (text.at[0] / self.mm_per_m, text.at[1] / self.mm_per_m)
        return Text(
            text.layer,
            at,
            text.text,
            text.height_mm,
            text.align,
            text.level,
            text.rotation_rad,
            text.condensed,
            text.bold,
        )

    def _box(self, text: Text) -> shapely.Geometry:
        """The text's box in metres of the site, with its clear paper."""
        k = self.mm_per_m
        on_paper = Text(
            text.layer, (text.at[0] * k, text.at[1] * k), text.text, text.height_mm, text.align, text.level,
            text.rotation_rad, text.condensed, text.bold,
        )  # fmt: skip
        corners = [(x / k, y / k) for x, y in text_box(on_paper)]
        return shapely.buffer(shapely.Polygon(corners), CLEAR_MM / k, join_style="mitre")

    def free_of_text(self, shape: shapely.Geometry) -> bool:
        """Say whether a shape covers no text."""
        return not any(shape.intersects(other) for other in self.taken)


def entities(*groups: Iterable[Entity]) -> tuple[Entity, ...]:
    """Join groups of entities in the order drawn."""
    return tuple(entity for group in groups for entity in group)
