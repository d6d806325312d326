"""What a reader would trip over: text over text, text too small, text outside its frame.

Gives findings with their place on the paper; says nothing about lines through text.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from stockproof.scene.furniture import furniture
from stockproof.scene.lettering import CAP_HEIGHT, DESCENT, text_width_mm
from stockproof.scene.primitives import SMALLEST_HEIGHT_MM, Point, Text
from stockproof.scene.resolve import view_marks
from stockproof.scene.sheet import Box, Drawing

__all__ = ["Blemish", "blemishes", "text_box"]

#: Boxes may touch by this much before they count as overlapping.
SLACK_MM = 0.15


@dataclass(frozen=True, slots=True)
class Blemish:
    """One thing that makes a drawing hard to read; `code` is `overlap`, `small` or `outside`."""

    code: str
    text: str
    at_mm: Point
    other: str = ""


def blemishes(drawing: Drawing) -> tuple[Blemish, ...]:
    """Give every text of a drawing that overlaps another, is too small, or leaves its view or frame."""
    found: list[Blemish] = []
    texts: list[Text] = []
    for view in drawing.views:
        inside = [mark for mark in view_marks(view) if isinstance(mark, Text)]
        found += _outside(inside, view.paper)
        texts += inside
    around = [mark for mark in furniture(drawing)[1] if isinstance(mark, Text)]
    found += _outside(around, drawing.sheet.frame)
    texts += around
    found += [Blemish("small", text.text, text.at) for text in texts if text.height_mm < SMALLEST_HEIGHT_MM]
    return (*found, *_overlaps(texts))


def text_box(text: Text) -> tuple[Point, Point, Point, Point]:
    """Give the corners of a text's box on paper, from lower left anticlockwise: baseline to capitals' top. [mm]"""
    width = text_width_mm(text.text, text.height_mm, text.condensed, text.bold)
    left = {"left": 0.0, "centre": -width / 2, "right": -width}[text.align]
    low = text.height_mm * LEVEL_SHIFT[text.level]
    c, s = math.cos(text.rotation_rad), math.sin(text.rotation_rad)
    x, y = text.at

    def corner(u: float, v: float) -> Point:
        return x + c * u - s * v, y + s * u + c * v

    high = low + text.height_mm
    return corner(left, low), corner(left + width, low), corner(left + width, high), corner(left, high)


#: Where the baseline lies from the anchor, in capital heights.
LEVEL_SHIFT = {"baseline": 0.0, "bottom": DESCENT / CAP_HEIGHT, "middle": -0.5, "top": -1.0}


def _outside(texts: list[Text], box: Box) -> Iterator[Blemish]:
    room = box.grown(SLACK_MM)
    for text in texts:
        corners = text_box(text)
        if not all(room.x0 <= x <= room.x1 and room.y0 <= y <= room.y1 for x, y in corners):
            yield Blemish("outside", text.text, text.at)


def _overlaps(texts: list[Text]) -> Iterator[Blemish]:
    boxed = [(text, text_box(text)) for text in texts if text.text.strip()]
    for (one, box_1), (other, box_2) in combinations(boxed, 2):
        if math.dist(box_1[0], box_2[0]) < _span(box_1) + _span(box_2) and _meet(box_1, box_2):
            yield Blemish("overlap", one.text, one.at, other.text)


def _span(box: tuple[Point, ...]) -> float:
    return math.dist(box[0], box[2])


def _meet(one: tuple[Point, ...], other: tuple[Point, ...]) -> bool:
    """Two rectangles overlap by more than the slack along every one of their four axes."""
    for corners in (one, other):
        for a, b in ((corners[0], corners[1]), (corners[1], corners[2])):
            length = math.dist(a, b)
            if not length:
                return False
            axis = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
            low_1, high_1 = _extent(one, axis)
            low_2, high_2 = _extent(other, axis)
            if min(high_1, high_2) - max(low_1, low_2) <= SLACK_MM:
                return False
    return True


def _extent(corners: tuple[Point, ...], axis: Point) -> tuple[float, float]:
    along = [x * axis[0] + y * axis[1] for x, y in corners]
    return min(along), max(along)
