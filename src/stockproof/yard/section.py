"""Section through the race, seen in the animals' direction: sides, catwalk, floor, bases, an animal to size."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.scene import Box, Dimension, Entity, Leader, Line, Point, Polygon, Scene, Text
from stockproof.yard.animals import rounded
from stockproof.yard.lettering import entities
from stockproof.yard.plan_layers import LAYERS
from stockproof.yard.result import Yard
from stockproof.yard.slab import fall_heading

__all__ = ["catwalk_height", "section_scene", "section_window"]

SIDE_M = 0.05
#: An animal from behind: half outline as shares of its width and of its height at the withers.
HALF_END = (
    (0.0, 1.00), (0.45, 0.985), (0.80, 0.93), (1.00, 0.78), (1.00, 0.60), (0.86, 0.46), (0.72, 0.42), (0.66, 0.02),
    (0.66, 0.0), (0.36, 0.0), (0.36, 0.02), (0.40, 0.36), (0.0, 0.38),
)  # fmt: skip
#: Height at the withers over length from nose to tail: dairy cows of 2.3-2.6 m stand 1.37-1.5 m (secondary source).
HEIGHT_PER_LENGTH = 1.435 / 2.45
#: The floor of a race with sloped sides widens up to this height [m]: the guide's table gives widths there.
SLOPED_TO_M = 1.219


def section_window(yard: Yard) -> Box:
    """Give the part of the section that is shown."""
    high = yard.size("race_height")
    wide = yard.size("race_width") / 2 + yard.size("catwalk_width") + 0.9
    return Box(-yard.size("race_width") / 2 - 1.05, -yard.size("post_base_depth") - 0.45, wide, high + 0.5)


def section_scene(yard: Yard) -> Scene:
    """Draw the section; the operator's side is on the right whichever side it is on site."""
    return Scene("m", LAYERS, entities(_floor(yard), _sides(yard), _catwalk(yard), _animal(yard), _measures(yard)))


def _half(yard: Yard, height: float) -> float:
    """Half the clear width at a height; sloped sides stand upright above the guide's height."""
    top, floor = yard.size("race_width") / 2, yard.ask.race.floor_width_m
    if floor is None or height >= SLOPED_TO_M:
        return top
    return floor / 2 + (top - floor / 2) * height / SLOPED_TO_M


def _floor(yard: Yard) -> Iterator[Entity]:
    """Slab with its fall, and the posts' bases beneath it."""
    fall, thick = yard.size("slab_fall") * _toward_operator(yard), yard.size("slab_thickness")
    left, right = -yard.size("race_width") / 2 - 0.9, yard.size("race_width") / 2 + yard.size("catwalk_width") + 0.35
    side, deep = yard.size("post_base_side"), yard.size("post_base_depth")
    for x in _posts(yard):
        yield Polygon(
            "DRAIN", ((x - side / 2, -deep), (x + side / 2, -deep), (x + side / 2, 0.0), (x - side / 2, 0.0)), "hatch"
        )
    low, high = -left * fall, -right * fall
    yield Polygon("SLAB", ((left, low - thick), (right, high - thick), (right, high), (left, low)), "tint")
    yield Line("GROUND", (left - 0.25, -thick), (left, -thick))
    yield Line("GROUND", (right, -thick), (right + 0.25, -thick))


def _toward_operator(yard: Yard) -> float:
    """+1 where the slab falls to the operator's side, -1 where it falls to the other."""
    near = yard.crush.heading + (-math.pi / 2 if yard.mirrored else math.pi / 2)
    return math.copysign(1.0, math.cos(fall_heading(yard.crush, yard.ask.site) - near))


def _posts(yard: Yard) -> tuple[float, float]:
    at = yard.size("race_width") / 2 + SIDE_M + 0.04
    return (-at, at)


def _sides(yard: Yard) -> Iterator[Entity]:
    """Sheeting inside, posts outside."""
    high = yard.size("race_height")
    steps = (0.0, SLOPED_TO_M, high) if yard.ask.race.floor_width_m is not None else (0.0, high)
    for sign in (-1.0, 1.0):
        inner = [(sign * _half(yard, z), z) for z in steps]
        outer = [(x + sign * SIDE_M, z) for x, z in reversed(inner)]
        yield Polygon("FENCE-SHEETED", (*inner, *outer), "tint")
        post = sign * (yard.size("race_width") / 2 + SIDE_M)
        yield Polygon("FENCE-RAIL", ((post, 0.0), (post + sign * 0.08, 0.0), (post + sign * 0.08, high), (post, high)))


def _catwalk(yard: Yard) -> Iterator[Entity]:
    """A deck below the top of the side, on brackets from the posts and one row of legs."""
    deck, wide = catwalk_height(yard), yard.size("catwalk_width")
    start = yard.size("race_width") / 2 + SIDE_M + 0.08
    yield Polygon(
        "WORK", ((start, deck - 0.04), (start + wide, deck - 0.04), (start + wide, deck), (start, deck)), "tint"
    )
    yield Polygon(
        "FENCE-RAIL",
        (
            (start + wide - 0.06, 0.0),
            (start + wide, 0.0),
            (start + wide, deck - 0.04),
            (start + wide - 0.06, deck - 0.04),
        ),
    )


def catwalk_height(yard: Yard) -> float:
    """Height of the catwalk over the floor: so far below the top of the race's side [m]."""
    return max(0.2, yard.size("race_height") - yard.size("catwalk_below_top"))


def _animal(yard: Yard) -> Iterator[Entity]:
    mob = yard.ask.mob
    high, half = mob.body_length_m * HEIGHT_PER_LENGTH, mob.body_width_m / 2
    right = [(x * half, z * high) for x, z in HALF_END]
    yield Polygon("ANIMAL", rounded((*right, *((-x, z) for x, z in reversed(right[1:-1])))), "tint")


def _measures(yard: Yard) -> Iterator[Entity]:
    high, top = yard.size("race_height"), yard.size("race_width") / 2
    floor = yard.ask.race.floor_width_m
    yield Dimension("DIM", (-top, high), (top, high), 8.0)
    if floor is not None:
        yield Dimension("DIM", (-floor / 2, 0.0), (floor / 2, 0.0), -16.0)
    post = -top - SIDE_M - 0.08
    yield Dimension("DIM", (post, 0.0), (post, high), 10.0)
    start, deck = top + SIDE_M + 0.08, catwalk_height(yard)
    end = start + yard.size("catwalk_width")
    yield Dimension("DIM", (start, deck), (end, deck), 8.0)
    yield Dimension("DIM", (end, 0.0), (end, deck), -9.0)
    side, deep = yard.size("post_base_side"), yard.size("post_base_depth")
    x = _posts(yard)[0]
    yield Dimension("DIM", (x - side / 2, -deep), (x - side / 2, 0.0), 8.0)
    yield Dimension("DIM", (x - side / 2, -deep), (x + side / 2, -deep), -7.0)
    slope = f"slab {yard.size('slab_thickness') * 1000:.0f} thick, falls {yard.size('slab_fall') * 100:.1f} %"
    yield from _words(((end + 0.1, -0.06), (end + 0.02, -0.32)), slope, left=True)
    yield Text("WORDS", (0.0, high + 0.36), "Operator's side to the right", 1.8, "centre", "middle")


def _words(points: tuple[Point, ...], words: str, left: bool) -> Iterator[Leader]:
    """A leader whose words run to the left or right of its last point."""
    (x, y), last = points[0], points[-1]
    bend = (last[0] - 1e-3 if left else last[0] + 1e-3, last[1])
    yield Leader("WORDS", ((x, y), last, bend), words)
