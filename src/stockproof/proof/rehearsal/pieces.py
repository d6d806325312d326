"""The moving parts of a line as they are drawn: where their lines lie closed, midway and open."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.plant.model import Plant, Position, ZoneKind
from stockproof.proof.rehearsal.lay import Lay, Point, Ring

__all__ = ["Piece", "Stroke", "pieces_of", "side_of"]

#: A line drawn for a part: x, y of its ends.
Stroke = tuple[float, float, float, float]
#: Half the gap a closed bail leaves for a neck; how far a squeeze comes in; how far vanes of a draft gate turn.
NECK_M, PRESS_M, VANE_RAD = 0.09, 0.14, math.radians(34)
LEAF_RAD = math.radians(80)
#: A pen whose middle lies no farther to a side than this lies ahead. [m]
AHEAD_M = 2.5


@dataclass(frozen=True, slots=True)
class Piece:
    """A part's lines at its three positions, as many at each; `look` says how heavy they are drawn."""

    part: int
    look: str
    closed: tuple[Stroke, ...]
    mid: tuple[Stroke, ...]
    open: tuple[Stroke, ...]
    mark: Point


def pieces_of(plant: Plant, lay: Lay) -> tuple[Piece, ...]:
    """Give the drawing of every part, in the plant's order."""
    return tuple(_piece(k, part.name, plant, lay) for k, part in enumerate(plant.parts))


def _piece(k: int, name: str, plant: Plant, lay: Lay) -> Piece:
    if name == "entry" or name.startswith("slide"):
        return _across(k, lay.gate_m(name), lay)
    if name == "bail":
        return _bail(k, lay)
    if name == "squeeze":
        return _squeeze(k, lay)
    if name == "lift":
        return _lift(k, lay)
    if name.endswith("_lock"):
        return _lock(k, lay)
    if name.startswith("draft"):
        return _draft(k, name, plant, lay)
    return _leaf(k, name, lay)


def _across(k: int, along_m: float, lay: Lay) -> Piece:
    """A gate that slides out of the way, to the side where nobody works."""
    x, y, heading = lay.track.at(along_m)
    right = (-math.sin(heading), math.cos(heading))

    def stroke(shift_m: float) -> tuple[Stroke]:
        a, b = shift_m - lay.half_m, shift_m + lay.half_m
        return ((x + right[0] * a, y + right[1] * a, x + right[0] * b, y + right[1] * b),)

    away = -lay.near * (2 * lay.half_m + 0.04)
    return Piece(k, "gate", stroke(0.0), stroke(away / 2), stroke(away), (x, y))


def _bail(k: int, lay: Lay) -> Piece:
    at, wide = lay.crush_m, lay.inside_m

    def leaves(gap_m: float) -> tuple[Stroke, ...]:
        return tuple((at, side * gap_m, at, side * max(gap_m + 0.08, min(wide, gap_m + 0.3))) for side in (-1, 1))

    shut, opened = NECK_M, wide - 0.06
    return Piece(k, "bail", leaves(shut), leaves((shut + opened) / 2), leaves(opened), (at, 0.0))


def _squeeze(k: int, lay: Lay) -> Piece:
    def sides(out_m: float) -> tuple[Stroke, ...]:
        return tuple((0.5, side * out_m, lay.crush_m - 0.55, side * out_m) for side in (-1, 1))

    wide = lay.inside_m
    return Piece(k, "squeeze", sides(wide - PRESS_M), sides(wide - PRESS_M / 2), sides(wide), (lay.crush_m / 2, wide))


def _lift(k: int, lay: Lay) -> Piece:
    """A rest under the head before the bail: wide when it is up."""

    def bar(half_m: float) -> tuple[Stroke]:
        return ((lay.crush_m + 0.22, -half_m, lay.crush_m + 0.22, half_m),)

    return Piece(k, "lift", bar(0.26), bar(0.17), bar(0.08), (lay.crush_m + 0.22, 0.0))


def _lock(k: int, lay: Lay) -> Piece:
    y = lay.near * (lay.beside_m + 0.06)

    def bolt(to_m: float) -> tuple[Stroke]:
        return ((0.04, y, to_m, y),)

    return Piece(k, "lock", bolt(0.28), bolt(0.2), bolt(0.1), (0.1, y))


def _leaf(k: int, name: str, lay: Lay) -> Piece:
    """A gate in the crush's side that people open by hand, on its hinge."""
    spans = {"rear_access": (0.15, 0.8), "neck_access": (lay.crush_m - 0.1, lay.crush_m - 0.6)}
    latch, hinge = spans.get(name, (lay.crush_m * 0.42, lay.crush_m * 0.42 + 0.7))
    y, long = lay.near * lay.beside_m, latch - hinge

    def leaf(turned: float) -> tuple[Stroke]:
        return ((hinge, y, hinge + long * math.cos(turned), y + lay.near * abs(long) * math.sin(turned)),)

    return Piece(k, "leaf", leaf(0.0), leaf(LEAF_RAD / 2), leaf(LEAF_RAD), ((latch + hinge) / 2, y))


def _draft(k: int, name: str, plant: Plant, lay: Lay) -> Piece:
    """Two vanes that turn the lane toward a way's pen."""
    second = name != "draft"
    start = lay.crush_m + (0.52 if second else 0.12) * lay.draft_m
    long = (0.42 if second or _stages(plant) > 1 else 0.8) * lay.draft_m

    def vanes(turned: float) -> tuple[Stroke, ...]:
        dx, dy = long * math.cos(turned), long * math.sin(turned)
        return tuple((start, side * lay.half_m, start + dx, side * lay.half_m + dy) for side in (-1, 1))

    at = [vanes(_aim(k, position, plant, lay)) for position in (Position.CLOSED, Position.MID, Position.OPEN)]
    return Piece(k, "draft", at[0], at[1], at[2], (start, 0.0))


def _stages(plant: Plant) -> int:
    return sum(part.name.startswith("draft") for part in plant.parts)


def _aim(k: int, position: Position, plant: Plant, lay: Lay) -> float:
    """The turn toward the pens a position leads to; between two ends it is the mean of both."""
    found = [side_of(ring) for ring in _led_to(k, position, plant, lay)]
    if found:
        return VANE_RAD * math.fsum(found) / len(found)
    if position != Position.MID:
        return VANE_RAD * (-1.0 if position == Position.CLOSED else 1.0)
    return (_aim(k, Position.CLOSED, plant, lay) + _aim(k, Position.OPEN, plant, lay)) / 2


def _led_to(k: int, position: Position, plant: Plant, lay: Lay) -> Iterator[Ring]:
    ways = [z for z, zone in enumerate(plant.zones) if zone.kind == ZoneKind.WAY]
    for boundary in plant.boundaries:
        if (k, position) in boundary.needs and boundary.target in ways and len(lay.pens) == len(ways):
            yield lay.pens[ways.index(boundary.target)][0]


def side_of(ring: Ring) -> float:
    """-1, 0 or 1: the pen lies to the left, ahead or to the right."""
    y = math.fsum(y for _, y in ring) / len(ring)
    return 0.0 if abs(y) < AHEAD_M else math.copysign(1.0, y)
