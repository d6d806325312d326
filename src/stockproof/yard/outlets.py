"""Ways past and out: the bypass beside race and crush, and the load-out ramp with the truck's stand."""

from __future__ import annotations

import math

from stockproof.yard.draft_pens import Outcome
from stockproof.yard.formulas import funnel_length, ramp_length
from stockproof.yard.model import Truck
from stockproof.yard.plane import Track, rectangle, ribbon, set_down
from stockproof.yard.result import Gate, Pose, Strip
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import Part, make_zone, swing

__all__ = ["bypass", "load_out"]


def bypass(line: Track, sizes: Sizes, offset_m: float, outcome: Outcome, before_m: float) -> Part:
    """Draw a lane as wide as the race from the forcing pen's straight side past the crush to a pen.

    Parameters
    ----------
    line : Track
        Centreline from the race's mouth through crush and draft unit.
    offset_m : float
        From the line's middle to the lane's near fence [m].
    before_m : float
        Length of line before the crush [m].
    """
    wide, half = sizes["race_width"], sizes["race_width"] / 2
    long = funnel_length(sizes["forcing_radius"], wide, sizes["forcing_angle"])
    ends, pen = outcome.bypass_ends_at
    leaf = sizes["bypass_gate"]
    poses = [pose for pose, at in zip(line.poses, line.at_m, strict=True) if at < before_m + ends - 1e-9]
    crush = next(pose for pose, at in zip(line.poses, line.at_m, strict=True) if at >= before_m - 1e-9)
    poses.append(Pose(*set_down(crush, ends, 0.0), crush.heading))
    run = ribbon(poses, -offset_m - wide, -offset_m)
    neck = ((-long, -half), (-long + leaf, -half))
    count = len(poses)
    ring = (neck[0], *run[:count], *run[count:], neck[1])
    entry = Gate(
        "bypass gate",
        "pen gate",
        neck[1],
        neck[0],
        ("forcing pen", "bypass"),
        ((-long + leaf, -half + leaf),),
    )
    hinge, latch, opens = swing(crush, (ends, -offset_m - wide), (ends, -offset_m), (ends + wide, -offset_m - wide))
    leave = Gate("bypass end gate", "pen gate", hinge, latch, ("bypass", pen), opens)
    return Part((make_zone("bypass", "bypass", ring),), (entry, leave))


def load_out(crush: Pose, truck: Truck, sizes: Sizes, outcome: Outcome, at: str) -> Part:
    """Draw the ramp from a draft pen up to the truck's deck, and the truck's stand behind it.

    `at` is `end` (straight on from the ahead pen) or `side` (out of the far pen).
    """
    if at == "end":
        wall, corner, pen = outcome.end_wall
        base = Pose(*set_down(crush, wall, corner), crush.heading)
    else:
        wall, start, pen = outcome.far_wall
        base = Pose(*set_down(crush, start, wall), crush.heading - math.pi / 2)
    return _ramp(base, truck, sizes, pen)


def _ramp(base: Pose, truck: Truck, sizes: Sizes, pen: str) -> Part:
    """From the pen's wall outward; the ramp lies to the left of the base."""
    wide = sizes["ramp_width"]
    long = ramp_length(truck.deck_height_m, sizes["ramp_slope"]) + sizes["ramp_dock"]
    zone = make_zone("load-out ramp", "ramp", rectangle(base, 0.0, long, 0.0, wide))
    side = truck.width_m / 2 + sizes["apron_side"]
    apron = Strip(
        "truck stand", "apron", rectangle(base, long, long + truck.length_m, wide / 2 - side, wide / 2 + side)
    )
    hinge, latch, opens = swing(base, (0.0, wide), (0.0, 0.0), (-wide, wide))
    gate = Gate("ramp gate", "pen gate", hinge, latch, (pen, "load-out ramp"), opens)
    return Part((zone,), (gate,), (apron,), openings=((set_down(base, long, 0.0), set_down(base, long, wide)),))
