"""The side the animals leave to: pens by number of ways, sick and holding pens, and their gates.

Drawn from the crush's entry (u ahead in the animals' direction, v to the operator's side). With more
than three ways a first stage of the draft unit serves side pens that reach back beside the crush.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stockproof.errors import Fault, InputError
from stockproof.yard.model import Ring, YardAsk
from stockproof.yard.plane import area, rectangle, set_down
from stockproof.yard.result import Gate, Pose, Zone
from stockproof.yard.sizes import Sizes
from stockproof.yard.sketch import GATE_POST_M, Option, Part, make_zone, swing

__all__ = ["FROM_LEFT", "MOST_WAYS", "Outcome", "draft_pens", "side_of", "way_heads", "way_names"]

MOST_WAYS = 5
#: Sides of draft pens as they lie from the left, seen in the animals' direction.
FROM_LEFT = ("left back", "left", "ahead", "right", "right back")
#: The ahead pen is at least this wide to each side of the line, so that a gate and a ramp fit at its end.
LEAST_HALF_M = 2.4


@dataclass(frozen=True, slots=True)
class Outcome:
    """The draft side as drawn, with what ramp and bypass are hung on.

    `far_wall` is (v of the wall, u where it begins, pen), `end_wall` (u of the wall, v of its far end, pen),
    `bypass_ends_at` (u, pen).
    """

    part: Part
    far_wall: tuple[float, float, str]
    end_wall: tuple[float, float, str]
    bypass_ends_at: tuple[float, str]


@dataclass(frozen=True, slots=True)
class _Frame:
    """Distances in the crush's frame [m]."""

    pose: Pose
    start: float
    stage: float
    half_unit: float
    length: float
    near_clear: float
    far_clear: float
    least_side: float

    @property
    def last(self) -> float:
        """Where the last stage's side pens begin."""
        return self.start + self.stage


def way_names(ways: int, far_first: bool) -> tuple[str, ...]:
    """Name the ways a draft unit has, from the ahead pen outward.

    Raises
    ------
    InputError
        More ways than a layout is drawn for.
    """
    if not 1 <= ways <= MOST_WAYS:
        raise InputError(
            Fault(f"a draft unit with {ways} ways cannot be laid out", allowed=f"1 to {MOST_WAYS} ways", got=str(ways))
        )
    first, second = ("far", "near") if far_first else ("near", "far")
    return ("ahead", first, second, f"{first} back", f"{second} back")[:ways]


def side_of(way: str, mirrored: bool) -> str:
    """Give the side a way lies on, seen in the animals' direction: one of `FROM_LEFT`."""
    near, far = ("right", "left") if mirrored else ("left", "right")
    return way.replace("near", near).replace("far", far)


def way_heads(ask: YardAsk, names: Iterable[str], mirrored: bool) -> dict[str, int]:
    """Give the head each way's pen is made for: its share of the mob, rounded up; equal shares where none are known.

    Parameters
    ----------
    names : iterable of str
        The ways, as `way_names` gives them.
    mirrored : bool
        Whether the layout is turned over; shares are counted from the left.
    """
    from_left = sorted(names, key=lambda name: FROM_LEFT.index(side_of(name, mirrored)))
    shares = ask.draft_shares or (1.0 / len(from_left),) * len(from_left)
    if len(shares) != len(from_left):
        got, allowed = f"{len(shares)} shares", f"{len(from_left)} shares"
        raise InputError(Fault("draft shares do not match the draft unit", got=got, allowed=allowed))
    held = 1.0 if ask.draft_hold_share is None else ask.draft_hold_share
    heads = (max(1, math.ceil(share * held * ask.mob.head - 1e-9)) for share in shares)
    return dict(zip(from_left, heads, strict=True))


def draft_pens(
    crush: Pose, ask: YardAsk, sizes: Sizes, option: Option, clear: tuple[float, float], heads: Mapping[str, int]
) -> Outcome | None:
    """Draw the pens behind the draft unit, or give None where these proportions do not work.

    Parameters
    ----------
    crush : Pose
        Entry of the crush.
    clear : (near, far)
        How far from the line's middle pens must stay beside the crush [m].
    heads : mapping of str to int
        Head each way's pen is made for, by the way's name.
    """
    machine = ask.machine
    stages = 2 if machine.ways > 3 else 1
    unit = machine.draft_length_m if machine.ways > 1 else 0.0
    half_unit = (machine.draft_width_m if unit else machine.crush_width_m) / 2
    length = machine.crush_length_m
    frame = _Frame(
        crush, length, unit / 2 if stages == 2 else 0.0, half_unit, option.draft_length_m, *clear, sizes["pen_side"]
    )
    fixed = {resize.part: resize.area_m2 for resize in ask.resizes}
    space = sizes["holding_area"]
    floors = {name: fixed.get(_key(name), head * space) for name, head in heads.items()}
    return _draw(frame, floors, fixed, ask, sizes, length + unit)


def _key(way: str) -> str:
    return f"draft pen {way}"


def _draw(
    frame: _Frame, floors: dict[str, float], fixed: dict[str, float], ask: YardAsk, sizes: Sizes, unit_end: float
) -> Outcome | None:
    space, end = sizes["holding_area"], unit_end + frame.length
    half = _half_width(frame, floors, ask.bypass and "far" not in floors)
    if half is None:
        return None
    rings = {"ahead": _ahead(frame, floors, half, unit_end)}
    bands: dict[str, float] = {}
    for side in ("near", "far"):
        if side in floors:
            bands[side] = _band(frame, floors[side], half, unit_end)
            rings[side] = _side(frame, side, half, bands[side], unit_end)
        if f"{side} back" in floors:
            rings[f"{side} back"] = _back(frame, side, floors[f"{side} back"])
    zones = [
        make_zone(_key(way), "draft pen", ring, math.floor(area(ring) / space + 1e-9), space)
        for way, ring in rings.items()
    ]
    gates = list(_exit_gates(frame, floors, half, bands, end, sizes["pen_gate"]))
    extra = _cells(frame, ask, sizes, fixed, half, bands, end)
    far = -(half + bands["far"]) if "far" in bands else -half
    far_pen, ramp_from = (_key("far"), frame.last) if "far" in bands else (_key("ahead"), unit_end)
    bypass_end = _bypass_end(frame, floors, unit_end)
    walls = (far, ramp_from, far_pen), (end, -half, _key("ahead"))
    return Outcome(Part(tuple(zones), tuple(gates)) + extra, *walls, bypass_end)


def _bypass_end(frame: _Frame, floors: dict[str, float], unit_end: float) -> tuple[float, str]:
    """Where a lane beside the crush runs into a pen, and which."""
    if "far back" in floors:
        return frame.start, _key("far back")
    if "far" in floors:
        return frame.last, _key("far")
    return unit_end, _key("ahead")


def _half_width(frame: _Frame, floors: dict[str, float], takes_bypass: bool) -> float | None:
    """Half the ahead pen's width that gives its floor, or None where its slanting fences would outrun it.

    With x the half width less the draft unit's, L the length and n the slanted sides, the floor is
    2 L (x + unit) - n x^2 / 2.
    """
    least = max(LEAST_HALF_M, frame.far_clear if takes_bypass else 0.0, frame.half_unit)
    slanted = sum(side in floors for side in ("near", "far"))
    long, rest = frame.length, floors["ahead"] - 2.0 * frame.length * frame.half_unit
    if slanted == 0:
        return max(least, frame.half_unit + rest / (2.0 * long))
    inside = 4.0 * long**2 - 2.0 * slanted * rest
    taper = (2.0 * long - math.sqrt(inside)) / slanted if inside >= 0.0 else math.inf
    half = max(least, frame.half_unit + taper)
    return half if half - frame.half_unit < long else None


def _ahead(frame: _Frame, floors: dict[str, float], half: float, unit_end: float) -> Ring:
    """The pen straight on: it widens at 45 degrees to a side that has a pen, at once to one that has none."""
    end, edge, taper = unit_end + frame.length, frame.half_unit, half - frame.half_unit
    right = [(unit_end, -edge), (unit_end + taper, -half)] if "far" in floors else [(unit_end, -half)]
    left = [(unit_end + taper, half), (unit_end, edge)] if "near" in floors else [(unit_end, half)]
    return tuple(set_down(frame.pose, u, v) for u, v in (*right, (end, -half), (end, half), *left))


def _side(frame: _Frame, side: str, half: float, band: float, unit_end: float) -> Ring:
    """A side pen: beside the draft unit, then past the ahead pen's slanting fence."""
    sign, end, edge = (1.0 if side == "near" else -1.0), unit_end + frame.length, frame.half_unit
    taper = half - edge
    corners = [
        (frame.last, edge),
        (unit_end, edge),
        (unit_end + taper, half),
        (end, half),
        (end, half + band),
        (frame.last, half + band),
    ]
    ring = tuple(set_down(frame.pose, u, sign * v) for u, v in corners)
    return ring if sign > 0 else tuple(reversed(ring))


def _band(frame: _Frame, floor: float, half: float, unit_end: float) -> float:
    """Depth of a side pen outside the ahead pen's fence that gives its floor."""
    taper = half - frame.half_unit
    fixed = (unit_end - frame.last) * taper + 0.5 * taper**2
    long = unit_end + frame.length - frame.last
    return max(frame.least_side + 2 * GATE_POST_M, (floor - fixed) / long)


def _back(frame: _Frame, side: str, floor: float) -> Ring:
    """A first-stage side pen: a neck beside the unit and a body that reaches back beside the crush."""
    sign = 1.0 if side == "near" else -1.0
    clear = frame.near_clear if side == "near" else frame.far_clear
    neck = frame.stage * (clear - frame.half_unit)
    long = max(frame.length, frame.stage + frame.least_side)
    band = max(frame.least_side + 2 * GATE_POST_M, (floor - neck) / long)
    back = frame.last - long
    corners = [
        (frame.start, frame.half_unit),
        (frame.last, frame.half_unit),
        (frame.last, clear + band),
        (back, clear + band),
        (back, clear),
        (frame.start, clear),
    ]
    ring = tuple(set_down(frame.pose, u, sign * v) for u, v in corners)
    return ring if sign > 0 else tuple(reversed(ring))


def _exit_gates(
    frame: _Frame, floors: dict[str, float], half: float, bands: dict[str, float], end: float, wide: float
) -> Iterator[Gate]:
    """A way out of every draft pen, at a corner, opening outward."""
    yield _exit(
        frame.pose,
        "ahead",
        (end, half - GATE_POST_M),
        (end, half - GATE_POST_M - wide),
        (end + wide, half - GATE_POST_M),
    )
    hung = end - GATE_POST_M
    for side, band in bands.items():
        sign = 1.0 if side == "near" else -1.0
        wall = sign * (half + band)
        yield _exit(frame.pose, side, (hung, wall), (hung - wide, wall), (hung, wall + sign * wide))
    for side in ("near", "far"):
        if f"{side} back" in floors:
            ring = _back(frame, side, floors[f"{side} back"])
            yield _back_exit(frame, side, ring, wide)


def _back_exit(frame: _Frame, side: str, ring: Ring, wide: float) -> Gate:
    """The back pen's way out is at its upstream outer corner."""
    sign = 1.0 if side == "near" else -1.0
    clear = frame.near_clear if side == "near" else frame.far_clear
    long = max(frame.length, frame.stage + frame.least_side)
    wall = sign * (
        clear + max(frame.least_side + 2 * GATE_POST_M, (area(ring) - frame.stage * (clear - frame.half_unit)) / long)
    )
    hung = frame.last - long + GATE_POST_M
    return _exit(frame.pose, f"{side} back", (hung, wall), (hung + wide, wall), (hung, wall + sign * wide))


def _exit(
    pose: Pose, way: str, hinge: tuple[float, float], latch: tuple[float, float], opened: tuple[float, float]
) -> Gate:
    a, b, opens = swing(pose, hinge, latch, opened)
    return Gate(f"exit gate {way}", "exit gate", a, b, (_key(way), "outside"), opens)


def _cells(
    frame: _Frame, ask: YardAsk, sizes: Sizes, fixed: dict[str, float], half: float, bands: dict[str, float], end: float
) -> Part:
    """Sick and holding pens, each behind a gate from the draft pen on its side of the yard."""
    sick_head = round(sizes["sick_head"])
    sick = fixed.get("sick pen", sick_head * sizes["sick_area"])
    part = _Row(frame, "far", half, bands.get("far"), end).add(
        "sick pen", "sick pen", sick, sick_head, sizes["sick_area"], sizes
    )
    row = _Row(frame, "near", half, bands.get("near"), end)
    for i, head in enumerate(ask.holding_heads):
        key = f"holding pen {i + 1}"
        part += row.add(key, "pen", fixed.get(key, head * sizes["holding_area"]), head, sizes["holding_area"], sizes)
    return part


class _Row:
    """Cells in a row: behind a side pen where there is one, else along the side of the ahead pen."""

    def __init__(self, frame: _Frame, side: str, half: float, band: float | None, end: float) -> None:
        self.pose, self.sign = frame.pose, 1.0 if side == "near" else -1.0
        self.band, self.half = band, half
        self.before = _key(side) if band is not None else _key("ahead")
        self.at = end

    def add(self, key: str, kind: str, floor: float, head: int, space: float, sizes: Sizes) -> Part:
        wide = sizes["pen_gate"]
        deep = self.band if self.band is not None else wide + 2 * GATE_POST_M
        long = max(floor / deep, wide + 2 * GATE_POST_M)
        zone, gate = (self._behind if self.band is not None else self._beside)(key, kind, long, deep, head, space, wide)
        self.before = key if self.band is not None else self.before
        return Part((zone,), (gate,))

    def _behind(
        self, key: str, kind: str, long: float, deep: float, head: int, space: float, wide: float
    ) -> tuple[Zone, Gate]:
        low, high = sorted((self.sign * self.half, self.sign * (self.half + deep)))
        zone = make_zone(key, kind, rectangle(self.pose, self.at, self.at + long, low, high), head, space)
        hung = self.sign * (self.half + GATE_POST_M)
        leaf = min(wide, deep - 2 * GATE_POST_M)
        a, b, opens = swing(self.pose, (self.at, hung), (self.at, hung + self.sign * leaf), (self.at + leaf, hung))
        self.at += long
        return zone, Gate(f"gate of {key}", "pen gate", a, b, (self.before, key), opens)

    def _beside(
        self, key: str, kind: str, long: float, deep: float, head: int, space: float, wide: float
    ) -> tuple[Zone, Gate]:
        low, high = sorted((self.sign * self.half, self.sign * (self.half + deep)))
        zone = make_zone(key, kind, rectangle(self.pose, self.at - long, self.at, low, high), head, space)
        wall, hung = self.sign * self.half, self.at - GATE_POST_M
        a, b, opens = swing(self.pose, (hung, wall), (hung - wide, wall), (hung, wall + self.sign * wide))
        self.at -= long
        return zone, Gate(f"gate of {key}", "pen gate", a, b, (self.before, key), opens)
