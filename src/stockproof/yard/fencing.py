"""Fence runs of a placed layout: the zones' outlines, each stretch once, without gates, openings and machines."""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely

from stockproof.yard.model import Point, Ring
from stockproof.yard.plane import distance
from stockproof.yard.result import Fence, Gate, Zone

__all__ = ["fences", "outline_cut", "post_count"]

#: Lines nearer than this are the same fence [m].
SAME_FENCE_M = 0.02
#: Bits shorter than this between gates need no fence of their own [m].
LEAST_RUN_M = 0.10
SHEETED = ("forcing", "race", "ramp")
#: A corner that turns more than this takes a post of its own.
CORNER_RAD = math.radians(20.0)


def outline_cut(segments: Iterable[tuple[Point, Point]]) -> shapely.Geometry:
    """Give the strip of plan that gates and openings take out of fences."""
    lines = [shapely.LineString(segment) for segment in segments]
    return shapely.union_all(shapely.buffer(lines, SAME_FENCE_M, cap_style="flat"))


def fences(
    zones: tuple[Zone, ...],
    gates: tuple[Gate, ...],
    openings: tuple[tuple[Point, Point], ...],
    rail_height_m: float,
    sheet_height_m: float,
) -> tuple[Fence, ...]:
    """Give the fence runs; where a sheeted side and a rail fence coincide the sheeted side stands."""
    machines = [shapely.Polygon(zone.ring).exterior for zone in zones if zone.kind in ("crush", "draft")]
    taken = shapely.union_all(
        [
            outline_cut([(gate.hinge, gate.latch) for gate in gates] + list(openings)),
            *shapely.buffer(machines, SAME_FENCE_M),
        ]
    )
    runs: list[Fence] = []
    fenced = [zone for zone in zones if zone.kind not in ("crush", "draft")]
    for zone in sorted(fenced, key=lambda zone: zone.kind not in SHEETED):
        kind, height = ("sheeted", sheet_height_m) if zone.kind in SHEETED else ("rail", rail_height_m)
        left = shapely.Polygon(zone.ring).exterior.difference(taken)
        lines = shapely.get_parts(shapely.line_merge(left) if left.geom_type == "MultiLineString" else left)
        for line in lines:
            if line.length >= LEAST_RUN_M:
                path: Ring = tuple((float(x), float(y)) for x, y in line.coords)
                runs.append(Fence(kind, path, height, float(line.length)))  # type: ignore[arg-type]
        taken = shapely.union_all([taken, shapely.buffer(shapely.Polygon(zone.ring).exterior, SAME_FENCE_M)])
    return tuple(runs)


def post_count(path: Ring, spacing_m: float) -> int:
    """Posts along a run: at both ends, at corners, and between them no farther apart than the spacing.

    References
    ----------
    Counting; spacing from the guide table.
    """
    lengths, run = [], 0.0
    for i in range(1, len(path)):
        run += distance(path[i - 1], path[i])
        if i + 1 < len(path) and _turns(path[i - 1], path[i], path[i + 1]):
            lengths.append(run)
            run = 0.0
    lengths.append(run)
    return 1 + sum(max(1, math.ceil(length / spacing_m - 1e-9)) for length in lengths)


def _turns(a: Point, b: Point, c: Point) -> bool:
    first, second = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return abs(math.remainder(second - first, 2.0 * math.pi)) > CORNER_RAD
