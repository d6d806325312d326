"""Puts a whole layout together in its own frame, one family and option at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import shapely

from stockproof.yard.draft_pens import Outcome, draft_pens
from stockproof.yard.families import Family, race_legs
from stockproof.yard.forcing import forcing_pen
from stockproof.yard.model import Point, Ring, YardAsk
from stockproof.yard.outlets import bypass, load_out
from stockproof.yard.plane import Leg, Track, extend, rectangle, ribbon, set_down, track
from stockproof.yard.receiving import receiving
from stockproof.yard.result import Pose, Spot, Strip
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import Option, Part, Sketch, make_zone

__all__ = ["batch_head", "footprint", "options", "overlaps", "race_places", "sketch"]

#: Two parts may share a fence; more than this common floor is an overlap [m2].
OVERLAP_M2 = 0.02
#: Pen proportions tried, coarsely and finely: depth over the square root of the floor.
PROPORTIONS = {False: (0.45, 0.7, 1.0, 1.5), True: (0.45, 0.52, 0.6, 0.68, 0.76, 0.85, 0.95, 1.1, 1.3)}
DRAFT_PROPORTIONS = {False: (0.8, 1.3), True: (0.65, 0.8, 1.0, 1.3, 1.7)}
#: Tried besides where the middle of a square draft pen would be out of reach of a way out.
LONG_DRAFT_PROPORTIONS = (1.5, 1.7, 2.2)
LEAST_DEPTH_M = 4.5
LEAST_DRAFT_M = 7.5
#: Parts that share a fence are this close after rounding [m].
TOUCH_M = 1e-6


def race_places(sizes: Sizes) -> int:
    """Head the race holds in single file: whole body lengths in its length, at least one."""
    return max(1, math.floor(sizes["race_length"] / sizes["race_pitch"] + 1e-9))


def batch_head(sizes: Sizes) -> int:
    """Head brought into the forcing pen at a time: enough to fill the race, within the guide's group."""
    return min(race_places(sizes), round(sizes["forcing_group"]))


def options(family: Family, ask: YardAsk, sizes: Sizes, fine: bool = False) -> Iterator[Option]:
    """Give the pen proportions and ramp places to try for a family.

    A half circle brings the lane back beside the race and leaves only its outer side free for pens.
    """
    floor = ask.mob.head * sizes["holding_area"]
    rows = {
        "funnel": (("right",), ("left",), ("left", "right")),
        "part circle": (("right",), ("left", "right")),
        "half circle": (("right",),),
    }[family.forcing]
    ramps = ("end", "side") if ask.truck is not None else ("none",)
    lengths = DRAFT_PROPORTIONS[fine]
    largest = floor * (ask.draft_hold_share or 1.0) * max(ask.draft_shares, default=1.0 / ask.machine.ways)
    if math.sqrt(largest) > 2.0 * sizes["escape_reach"]:
        lengths = (*lengths, *LONG_DRAFT_PROPORTIONS)
    seen: set[Option] = set()
    for row in rows:
        for depth in PROPORTIONS[fine]:
            for long in lengths:
                for ramp in ramps:
                    option = Option(
                        round(max(LEAST_DEPTH_M, depth * math.sqrt(floor / len(row))), 2),
                        row,
                        round(max(LEAST_DRAFT_M, long * math.sqrt(floor / ask.machine.ways)), 2),
                        ramp,
                    )
                    if option not in seen:
                        seen.add(option)
                        yield option


def sketch(family: Family, ask: YardAsk, sizes: Sizes, option: Option, heads: Mapping[str, int]) -> Sketch | None:
    """Draw one layout with draft pens for so many head by way, or give None where its proportions do not work.

    Whether parts overlap is not looked at.
    """
    legs = race_legs(family, sizes, ask.mob.body_length_m)
    if legs is None:
        return None
    race = track(Pose(0.0, 0.0, 0.0), legs)
    crush = race.end
    machine = ask.machine
    line = extend(race, machine.crush_length_m + machine.draft_length_m)
    forcing, entry = forcing_pen(family, sizes, batch_head(sizes))
    pens, lane_m = receiving(entry, sizes, ask.mob.head, option, ask.resizes)
    clear = _clear(ask, sizes)
    outcome = draft_pens(crush, ask, sizes, option, clear, heads)
    if outcome is None:
        return None
    part = forcing + pens + _line(race, crush, ask, sizes) + outcome.part + _people(race, crush, ask, sizes)
    part += _outlets(line, race.length_m, crush, ask, sizes, option, outcome)
    turn = family.sweep_rad + sum(abs(leg.turn_rad) for leg in legs)
    stand = set_down(Pose(0.0, 0.0, 0.0), 0.0, sizes["race_width"] / 2 + sizes["catwalk_width"] / 2)
    return Sketch(
        family.key,
        family.label,
        turn,
        part,
        line,
        crush,
        entry,
        _moving_parts(crush, ask),
        _animal_path(family, entry, lane_m, line, set_down(crush, outcome.end_wall[0] - 1.5, 0.0), sizes),
        stand,
        option=option,
    )


def _outlets(
    line: Track, race_m: float, crush: Pose, ask: YardAsk, sizes: Sizes, option: Option, outcome: Outcome
) -> Part:
    """Bypass and load-out ramp, where they are wanted."""
    part = bypass(line, sizes, _offset(ask, sizes), outcome, race_m) if ask.bypass else Part()
    if ask.truck is not None:
        part += load_out(crush, ask.truck, sizes, outcome, option.ramp_at)
    return part


def _offset(ask: YardAsk, sizes: Sizes) -> float:
    """From the line's middle to the bypass: past the widest machine and a clear floor beside it [m]."""
    machine = ask.machine
    return max(sizes["race_width"], machine.crush_width_m, machine.draft_width_m) / 2 + sizes["off_side_depth"]


def _clear(ask: YardAsk, sizes: Sizes) -> tuple[float, float]:
    """Room kept beside the crush on the near and far side, from the line's middle [m]."""
    near = ask.machine.crush_width_m / 2 + sizes["work_depth"]
    return near, _offset(ask, sizes) + (sizes["race_width"] if ask.bypass else 0.0)


def _line(race: Track, crush: Pose, ask: YardAsk, sizes: Sizes) -> Part:
    """Race, crush and draft unit with the open ends between them."""
    machine, half = ask.machine, sizes["race_width"] / 2
    zones = [make_zone("race", "race", ribbon(race.poses, -half, half), race_places(sizes))]
    long = machine.crush_length_m
    zones.append(
        make_zone(
            "crush", "crush", rectangle(crush, 0.0, long, -machine.crush_width_m / 2, machine.crush_width_m / 2), 1
        )
    )
    if machine.ways > 1:
        side = machine.draft_width_m / 2
        zones.append(
            make_zone("draft unit", "draft", rectangle(crush, long, long + machine.draft_length_m, -side, side), 1)
        )
    opening = (set_down(crush, 0.0, -half), set_down(crush, 0.0, half))
    return Part(tuple(zones), openings=(opening,))


def _people(race: Track, crush: Pose, ask: YardAsk, sizes: Sizes) -> Part:
    """Floor for people along the line: catwalk by the race, work area and off-side access by the crush."""
    half, machine = sizes["race_width"] / 2, ask.machine
    beside = machine.crush_width_m / 2
    keep = [pose for pose, at in zip(race.poses, race.at_m, strict=True) if at <= race.length_m - 1.0]
    last = Pose(*set_down(crush, -1.0, 0.0), crush.heading)
    catwalk = ribbon([*keep, last], half, half + sizes["catwalk_width"])
    return Part(
        strips=(
            Strip("catwalk", "catwalk", catwalk),
            Strip(
                "work area",
                "work area",
                rectangle(crush, -1.0, machine.crush_length_m, beside, beside + sizes["work_depth"]),
            ),
            Strip(
                "off-side access",
                "work area",
                rectangle(crush, 0.0, machine.crush_length_m, -beside - sizes["off_side_depth"], -beside),
            ),
        )
    )


def _moving_parts(crush: Pose, ask: YardAsk) -> tuple[Spot, ...]:
    return tuple(Spot(name, "moving part", set_down(crush, at, 0.0)) for name, at in ask.machine.moving_parts)


def _animal_path(family: Family, entry: Pose, lane_m: float, line: Track, end: Point, sizes: Sizes) -> Ring:
    """The way of an animal from the entry gate through the line into the ahead pen.

    In a sector it goes round the pivot, which lies to its left, midway out.
    """
    through: list[Point] = [set_down(entry, -lane_m - 2.0, 0.0), (entry.x, entry.y)]
    if family.sweep_rad:
        radius = sizes["forcing_radius"] / 2
        through += track(entry, (Leg(radius * family.sweep_rad, family.sweep_rad),)).points[1:]
    return (*through, *line.points, end)


def overlaps(part: Part) -> bool:
    """Say whether any two parts take the same ground."""
    rings = [zone.ring for zone in part.zones] + [strip.ring for strip in part.strips]
    shapes = shapely.polygons([shapely.linearrings([*ring, ring[0]]) for ring in rings])
    if not bool(shapely.is_valid(shapes).all()):
        return True
    return float(shapely.area(shapes).sum() - shapely.area(shapely.union_all(shapes))) > OVERLAP_M2


def footprint(layout: Sketch, margin_m: float) -> shapely.Geometry:
    """Give the ground a layout takes: its parts, the swing of outward gates, and a clear walk round them."""
    part = layout.part
    rings = [zone.ring for zone in part.zones] + [strip.ring for strip in part.strips]
    rings += [(gate.hinge, gate.latch, *gate.opens) for gate in part.gates if "outside" in gate.between and gate.opens]
    # widened one by one: a buffer round parts that touch to within rounding may come apart
    wide = shapely.buffer(
        [shapely.Polygon(ring) for ring in rings], max(margin_m, TOUCH_M), join_style="mitre", mitre_limit=2.0
    )
    return shapely.simplify(shapely.union_all(wide), 0.02)
