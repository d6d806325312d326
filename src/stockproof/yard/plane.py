"""Points, headings and offsets in the plane: the small geometry that layouts are drawn with.

A local frame is a pose: u runs ahead along the heading, v to its left.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockproof.yard.model import Point, Ring
from stockproof.yard.result import Pose

__all__ = [
    "Leg",
    "Track",
    "advance",
    "area",
    "bearing",
    "corner_angles",
    "distance",
    "extend",
    "heading_of_bearing",
    "mirror_point",
    "mirror_pose",
    "rectangle",
    "ribbon",
    "sector",
    "set_down",
    "track",
]

#: Arcs are drawn with a chord every so many radians; 5 degrees keeps a 4 m arc within 4 mm of true.
ARC_STEP_RAD = math.radians(5.0)


@dataclass(frozen=True, slots=True)
class Leg:
    """A straight run (`turn_rad` 0) or an arc of a centreline; positive turns are to the left."""

    length_m: float
    turn_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class Track:
    """A centreline as poses along it with the distance travelled to each [m]."""

    poses: tuple[Pose, ...]
    at_m: tuple[float, ...]

    @property
    def end(self) -> Pose:
        return self.poses[-1]

    @property
    def points(self) -> Ring:
        return tuple((pose.x, pose.y) for pose in self.poses)

    @property
    def length_m(self) -> float:
        return self.at_m[-1]


def set_down(pose: Pose, u: float, v: float) -> Point:
    """Give the point that lies u ahead of a pose and v to its left."""
    c, s = math.cos(pose.heading), math.sin(pose.heading)
    return (pose.x + u * c - v * s, pose.y + u * s + v * c)


def rectangle(pose: Pose, u0: float, u1: float, v0: float, v1: float) -> Ring:
    """Give the rectangle between u0..u1 ahead and v0..v1 to the left of a pose, counter-clockwise."""
    return tuple(set_down(pose, u, v) for u, v in ((u0, v0), (u1, v0), (u1, v1), (u0, v1)))


def advance(pose: Pose, leg: Leg) -> Pose:
    """Give the pose at the end of a leg."""
    if leg.turn_rad == 0.0:
        return Pose(*set_down(pose, leg.length_m, 0.0), pose.heading)
    radius = leg.length_m / leg.turn_rad
    u, v = radius * math.sin(leg.turn_rad), radius * (1.0 - math.cos(leg.turn_rad))
    return Pose(*set_down(pose, u, v), pose.heading + leg.turn_rad)


def track(start: Pose, legs: Iterable[Leg]) -> Track:
    """Follow legs from a pose; arcs are sampled every `ARC_STEP_RAD`."""
    poses, travelled = [start], [0.0]
    for leg in legs:
        steps = max(1, math.ceil(abs(leg.turn_rad) / ARC_STEP_RAD - 1e-9))
        base, done = poses[-1], travelled[-1]
        for step in range(1, steps + 1):
            part = Leg(leg.length_m * step / steps, leg.turn_rad * step / steps)
            poses.append(advance(base, part))
            travelled.append(done + part.length_m)
    return Track(tuple(poses), tuple(travelled))


def extend(line: Track, length_m: float) -> Track:
    """Give a track carried straight on."""
    more = track(line.end, (Leg(length_m),))
    return Track(line.poses + more.poses[1:], line.at_m + tuple(line.length_m + at for at in more.at_m[1:]))


def ribbon(poses: Sequence[Pose], right_m: float, left_m: float) -> Ring:
    """Give the strip between two offsets of a centreline (left positive), counter-clockwise."""
    lower = [set_down(pose, 0.0, right_m) for pose in poses]
    upper = [set_down(pose, 0.0, left_m) for pose in reversed(poses)]
    return tuple(lower + upper)


def sector(centre: Point, radius_m: float, from_rad: float, sweep_rad: float) -> Ring:
    """Give the arc points of a sector, counter-clockwise, both ends included and without the centre."""
    steps = max(1, math.ceil(abs(sweep_rad) / ARC_STEP_RAD - 1e-9))
    angles = (from_rad + sweep_rad * step / steps for step in range(steps + 1))
    return tuple((centre[0] + radius_m * math.cos(a), centre[1] + radius_m * math.sin(a)) for a in angles)


def area(ring: Ring) -> float:
    """Area of a simple ring by the shoelace formula [m2]."""
    return abs(_signed_area(ring))


def _signed_area(ring: Ring) -> float:
    return 0.5 * sum(ring[i - 1][0] * ring[i][1] - ring[i][0] * ring[i - 1][1] for i in range(len(ring)))


def corner_angles(ring: Ring) -> tuple[float, ...]:
    """Interior angle at every corner of a simple ring [rad]."""
    turned = ring if _signed_area(ring) > 0 else tuple(reversed(ring))
    angles = []
    for i, corner in enumerate(turned):
        before, after = turned[i - 1], turned[(i + 1) % len(turned)]
        back = math.atan2(before[1] - corner[1], before[0] - corner[0])
        ahead = math.atan2(after[1] - corner[1], after[0] - corner[0])
        angles.append((back - ahead) % (2.0 * math.pi))
    return tuple(angles) if turned is ring else tuple(reversed(angles))


def distance(a: Point, b: Point) -> float:
    """Straight distance between two points [m]."""
    return math.hypot(a[0] - b[0], a[1] - b[1])


def heading_of_bearing(bearing_rad: float) -> float:
    """Turn a bearing (clockwise from north) into a heading (counter-clockwise from east)."""
    return math.pi / 2.0 - bearing_rad


def bearing(heading_rad: float) -> float:
    """Turn a heading into a bearing between 0 and a full turn."""
    return (math.pi / 2.0 - heading_rad) % (2.0 * math.pi)


def mirror_point(point: Point) -> Point:
    """Reflect in the x axis: left and right change places."""
    return (point[0], -point[1])


def mirror_pose(pose: Pose) -> Pose:
    """Reflect a pose in the x axis."""
    return Pose(pose.x, -pose.y, -pose.heading)
