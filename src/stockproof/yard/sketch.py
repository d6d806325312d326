"""A layout before it is set on the site: drawn from the race's mouth eastward, animals turning left.

The operator's side is the left (`near`), the other side `far`; a mirrored layout is made when it is placed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from stockproof.yard.model import Point, Ring
from stockproof.yard.plane import Track, area, mirror_point, set_down
from stockproof.yard.result import Gate, Pose, Spot, Strip, Zone

__all__ = ["Option", "Part", "Sketch", "make_zone", "moved", "swing"]

#: Gate leaves hang this far clear of the corner.
GATE_POST_M = 0.2


@dataclass(frozen=True, slots=True)
class Option:
    """The free choices within a family: pen proportions and where the ramp goes."""

    depth_m: float
    sides: tuple[str, ...]
    draft_length_m: float
    ramp_at: str


@dataclass(frozen=True, slots=True)
class Part:
    """Some zones with their gates, strips and open sides; layouts are put together from these."""

    zones: tuple[Zone, ...] = ()
    gates: tuple[Gate, ...] = ()
    strips: tuple[Strip, ...] = ()
    openings: tuple[tuple[Point, Point], ...] = ()

    def __add__(self, other: Part) -> Part:
        return Part(
            self.zones + other.zones,
            self.gates + other.gates,
            self.strips + other.strips,
            self.openings + other.openings,
        )


@dataclass(frozen=True, slots=True)
class Sketch:
    """A whole layout in its own frame."""

    family: str
    label: str
    turn_rad: float
    part: Part
    line: Track
    crush: Pose
    entry: Pose
    spots: tuple[Spot, ...] = ()
    animal_path: Ring = ()
    stand: Point = (0.0, 0.0)
    mirrored: bool = field(default=False)
    option: Option | None = None


def make_zone(key: str, kind: str, ring: Ring, head: int = 0, space: float | None = None) -> Zone:
    """Give a zone with its area worked out."""
    return Zone(key, kind, ring, area(ring), head, space)  # type: ignore[arg-type]


def swing(
    pose: Pose, hinge: tuple[float, float], latch: tuple[float, float], *opens: tuple[float, float]
) -> tuple[Point, Point, tuple[Point, ...]]:
    """Set hinge, latch and open positions of a leaf down from a pose's frame."""
    return set_down(pose, *hinge), set_down(pose, *latch), tuple(set_down(pose, *at) for at in opens)


def moved(sketch: Sketch, place: Callable[[Point], Point], turn_rad: float, mirrored: bool) -> Sketch:
    """Give a sketch with every point carried over: first mirrored if asked, then placed.

    `place` is the rigid motion of points, `turn_rad` its turn.
    """

    def point(at: Point) -> Point:
        return place(mirror_point(at) if mirrored else at)

    def pose(at: Pose) -> Pose:
        heading = -at.heading if mirrored else at.heading
        return Pose(*point((at.x, at.y)), math.remainder(heading + turn_rad, 2.0 * math.pi))

    def ring(points: Iterable[Point]) -> Ring:
        moved_points = tuple(point(at) for at in points)
        return tuple(reversed(moved_points)) if mirrored else moved_points

    part = Part(
        tuple(replace(zone, ring=ring(zone.ring)) for zone in sketch.part.zones),
        tuple(
            replace(gate, hinge=point(gate.hinge), latch=point(gate.latch), opens=tuple(map(point, gate.opens)))
            for gate in sketch.part.gates
        ),
        tuple(replace(strip, ring=ring(strip.ring)) for strip in sketch.part.strips),
        tuple((point(a), point(b)) for a, b in sketch.part.openings),
    )
    return replace(
        sketch,
        part=part,
        line=Track(tuple(map(pose, sketch.line.poses)), sketch.line.at_m),
        crush=pose(sketch.crush),
        entry=pose(sketch.entry),
        spots=tuple(replace(spot, at=point(spot.at)) for spot in sketch.spots),
        animal_path=tuple(map(point, sketch.animal_path)),
        stand=point(sketch.stand),
        mirrored=mirrored,
    )
