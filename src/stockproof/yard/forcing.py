"""The forcing pen: a sector (none, quarter or half circle) that opens into a funnel with one straight side.

The animals turn left round the pivot, which is also where the forcing gate hangs; the straight side
runs on as the race's far side.
"""

from __future__ import annotations

import math

from stockproof.yard.families import Family
from stockproof.yard.formulas import forcing_area_needed, forcing_pen_area, funnel_length
from stockproof.yard.plane import area, sector, set_down
from stockproof.yard.result import Gate, Pose
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import Part, make_zone

__all__ = ["forcing_pen"]


def forcing_pen(family: Family, sizes: Sizes, batch_head: int) -> tuple[Part, Pose]:
    """Draw the forcing pen at the race's mouth (origin, heading east) and give the pose of its entry.

    The entry pose stands in the middle of the entry and heads into the pen.
    """
    mouth, half, angle = sizes["forcing_radius"], sizes["race_width"] / 2, sizes["forcing_angle"]
    long = funnel_length(mouth, 2 * half, angle)
    pivot = (-long, mouth - half)
    space = sizes["crowding_area"]
    if family.sweep_rad == 0.0:
        needed = forcing_area_needed(batch_head, space, sizes["forcing_fill"])
        straight = max(0.0, (needed - forcing_pen_area(mouth, 2 * half, angle, 0.0, 0.0)) / mouth)
        back = -long - straight
        ring = ((back, -half), (0.0, -half), (0.0, half), pivot, *(((back, pivot[1]),) if straight else ()))
        entry = Pose(back, -half + mouth / 2, 0.0)
        hinge, latch = (back, pivot[1]), (back, -half)
    else:
        start = -math.pi / 2 - family.sweep_rad
        arc = sector(pivot, mouth, start, family.sweep_rad)
        ring = (*arc, (0.0, -half), (0.0, half), pivot)
        entry = Pose(*set_down(Pose(*pivot, start), mouth / 2, 0.0), start + math.pi / 2)
        hinge, latch = pivot, arc[0]
    head = math.floor(area(ring) * sizes["forcing_fill"] / space + 1e-9)
    gate = Gate("forcing gate", "forcing gate", hinge, latch, ("lane", "forcing pen"), (_folded(hinge, mouth, entry),))
    zone = make_zone("forcing pen", "forcing", ring, head, space)
    return Part((zone,), (gate,), openings=(((0.0, -half), (0.0, half)),)), entry


def _folded(hinge: tuple[float, float], mouth: float, entry: Pose) -> tuple[float, float]:
    """Where the forcing gate's latch end lies when it is folded back along the lane."""
    return (hinge[0] - mouth * math.cos(entry.heading), hinge[1] - mouth * math.sin(entry.heading))
