"""The receiving side: a lane into the forcing pen with pens along it, and the gates that work them.

Each pen fills and empties by a gate as wide as the lane, hung at its downstream end; between pens a
stop gate keeps animals from going back up the lane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from stockproof.yard.formulas import receiving_area
from stockproof.yard.model import Resize
from stockproof.yard.plane import rectangle
from stockproof.yard.result import Gate, Pose, Strip, Zone
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import GATE_POST_M, Option, Part, make_zone, swing

__all__ = ["LANE", "receiving"]

LANE = "lane"


@dataclass(frozen=True, slots=True)
class _Pen:
    """A receiving pen along the lane: from and to on the lane behind the forcing pen, and its depth [m]."""

    key: str
    start: float
    end: float
    depth: float
    head: int
    side: str


def receiving(entry: Pose, sizes: Sizes, head: int, option: Option, resizes: tuple[Resize, ...]) -> tuple[Part, float]:
    """Draw lane and receiving pens behind the forcing pen's entry; give them and the lane's length [m]."""
    wide = sizes["forcing_radius"]
    pens = _rows(sizes, head, option, {resize.part: resize.area_m2 for resize in resizes})
    long = max(pen.end for pen in pens)
    lane = make_zone(LANE, "lane", rectangle(entry, -long, 0.0, -wide / 2, wide / 2))
    zones = [lane, *(_zone(entry, pen, wide, sizes["holding_area"]) for pen in pens)]
    gates = [_entry_gate(entry, long, wide), *(_pen_gate(entry, pen, wide) for pen in pens)]
    stops = sorted({round(pen.end, 6) for pen in pens if pen.side == option.sides[0] and pen.end < long - wide})
    gates += [_stop_gate(entry, at, wide, i + 1, option.sides[0]) for i, at in enumerate(stops)]
    approach = Strip("approach", "approach", rectangle(entry, -long - sizes["approach"], -long, -wide / 2, wide / 2))
    return Part(tuple(zones), tuple(gates), (approach,)), long


def _rows(sizes: Sizes, head: int, option: Option, fixed: dict[str, float]) -> list[_Pen]:
    """Pens from the forcing pen outward, side by side; one whose floor is set by hand may be shallower."""
    wide, space = sizes["forcing_radius"], sizes["holding_area"]
    pens: list[_Pen] = []
    for side, side_head in zip(option.sides, _split(head, len(option.sides)), strict=True):
        at = 0.0
        count = _pen_count(side_head, receiving_area(side_head, space) / option.depth_m, sizes)
        for pen_head in _split(side_head, count):
            key = f"receiving pen {len(pens) + 1}"
            floor = fixed.get(key, receiving_area(pen_head, space))
            front = max(floor / option.depth_m, wide + sizes["front_spare"])
            depth = floor / front if key in fixed else option.depth_m
            holds = math.floor(floor / space + 1e-9) if key in fixed else pen_head
            pens.append(_Pen(key, at, at + front, depth, holds, side))
            at += front
    return pens


def _pen_count(head: int, front_m: float, sizes: Sizes) -> int:
    """Pens in a row: by length of front and by head, but no more than have room for gate and pass."""
    wanted = max(round(front_m / sizes["pen_front"]), math.ceil(head / sizes["pen_head"]))
    return max(1, min(wanted, math.floor(front_m / (sizes["forcing_radius"] + sizes["front_spare"]))))


def _split(head: int, count: int) -> list[int]:
    """Share head over pens as evenly as whole animals go."""
    return [head // count + (1 if i < head % count else 0) for i in range(count)]


def _zone(entry: Pose, pen: _Pen, wide: float, space: float) -> Zone:
    near, far = wide / 2, wide / 2 + pen.depth
    low, high = (near, far) if pen.side == "left" else (-far, -near)
    return make_zone(pen.key, "pen", rectangle(entry, -pen.end, -pen.start, low, high), pen.head, space)


def _pen_gate(entry: Pose, pen: _Pen, wide: float) -> Gate:
    sign = 1.0 if pen.side == "left" else -1.0
    hung, edge = -pen.start - GATE_POST_M, sign * wide / 2
    hinge, latch, opens = swing(entry, (hung, edge), (hung - wide, edge), (hung, -edge))
    return Gate(f"gate of {pen.key}", "pen gate", hinge, latch, (LANE, pen.key), opens)


def _stop_gate(entry: Pose, at: float, wide: float, number: int, side: str) -> Gate:
    """Hung on the fence across from the first row of pens, folding back along it."""
    sign = -1.0 if side == "left" else 1.0
    hinge, latch, opens = swing(entry, (-at, sign * wide / 2), (-at, -sign * wide / 2), (-at - wide, sign * wide / 2))
    return Gate(f"stop gate {number}", "stop gate", hinge, latch, (LANE, LANE), opens)


def _entry_gate(entry: Pose, long: float, wide: float) -> Gate:
    hinge, latch, opens = swing(entry, (-long, -wide / 2), (-long, wide / 2), (-long + wide, -wide / 2))
    return Gate("entry gate", "entry gate", hinge, latch, ("outside", LANE), opens)
