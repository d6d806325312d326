"""What the yard room is asked, as frozen data in metres, kilograms and radians.

Plan axes: x to the right, y up. A bearing is clockwise from y; a heading is counter-clockwise from x, as
in mathematics. No geometry library is needed to read these types.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stockproof.errors import Place

__all__ = [
    "ControlPoint",
    "Existing",
    "Fix",
    "ForcingAsk",
    "Form",
    "Gateway",
    "Held",
    "Impact",
    "MachineAsk",
    "Move",
    "Point",
    "RaceAsk",
    "Resize",
    "Ring",
    "Side",
    "SiteAsk",
    "Strength",
    "Stretch",
    "Truck",
    "YardAsk",
]

Point = tuple[float, float]
Ring = tuple[Point, ...]
Side = Literal["left", "right"]
NOWHERE = Place()


@dataclass(frozen=True, slots=True)
class Held:
    """A mob the yard must hold at once.

    `heavy_kg` is the weight that widths are made for (a high percentile of the mob), `light_kg` the
    weight that could turn round. `with_calf` counts a cow and her calf as one head of space.
    """

    name: str
    stock_class: str
    head: int
    mean_kg: float
    heavy_kg: float
    light_kg: float
    body_length_m: float
    body_width_m: float
    with_calf: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """A kind of race part: clear width at the top and, between sloped sides, at the floor; height of its sides."""

    name: str
    clear_width_m: float
    floor_width_m: float | None
    height_m: float


@dataclass(frozen=True, slots=True)
class RaceAsk:
    """The race of the build; None where the build does not fix a dimension and the guide decides.

    Widths and height are the main stretch's, that with most length, by which the race is drawn; `others` are the
    stretches made otherwise, each judged by itself. `man_gate` where a part of it lets people through.
    """

    shapes: tuple[Literal["straight", "angled", "curved"], ...] = ("straight", "angled", "curved")
    length_m: float | None = None
    clear_width_m: float | None = None
    floor_width_m: float | None = None
    height_m: float | None = None
    places: int | None = None
    name: str = "race"
    others: tuple[Stretch, ...] = ()
    man_gate: bool = False


@dataclass(frozen=True, slots=True)
class ForcingAsk:
    """The forcing pen of the build; None where the guide decides."""

    shapes: tuple[Literal["funnel", "part circle", "half circle"], ...] = ("funnel", "part circle", "half circle")
    radius_m: float | None = None


@dataclass(frozen=True, slots=True)
class MachineAsk:
    """Crush and draft unit of the build as they stand on the floor.

    `moving_parts` are the powered parts as (name, distance from the crush's entry in the animals'
    direction); `actuated` is what a hose runs to, which is the same list unless some are electric.
    `lift_kg` is the heaviest piece to be lifted; the whole crush where it is None.
    """

    crush_length_m: float
    crush_width_m: float
    crush_clear_width_m: float
    crush_height_m: float
    crush_mass_kg: float
    draft_length_m: float = 0.0
    draft_width_m: float = 0.0
    ways: int = 1
    moving_parts: tuple[tuple[str, float], ...] = ()
    actuated: tuple[str, ...] = ()
    slide_gates: int = 0
    lift_kg: float | None = None


@dataclass(frozen=True, slots=True)
class ControlPoint:
    """A place with controls: where it is fixed (from the crush's entry; None for hand-held) and what it moves."""

    name: str
    at_m: float | None
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Gateway:
    """An opening in the site's boundary."""

    name: str
    at: Point
    width_m: float
    serves: tuple[Literal["stock", "truck", "people"], ...]


@dataclass(frozen=True, slots=True)
class Existing:
    """Something that stands on the site and stays.

    A `roof` may have parts of the yard beneath it; a `shed` is closed at the sides; both a shed and an
    `obstacle` keep parts of the yard out.
    """

    name: str
    kind: Literal["shed", "roof", "race", "obstacle"]
    ring: Ring
    height_m: float


@dataclass(frozen=True, slots=True)
class Truck:
    """The vehicle that loads stock."""

    length_m: float
    width_m: float
    turning_radius_m: float
    deck_height_m: float


@dataclass(frozen=True, slots=True)
class SiteAsk:
    """The ground: boundary ring in metres, slope, what stands on it, sun and wind.

    `sun_bearing_rad` is where the sun stands in the main working hours; `wind_bearing_rad` is where the
    prevailing wind comes from. All bearings are clockwise from the plan's y axis; north itself lies
    `north_rad` clockwise from it.
    """

    boundary: Ring
    slope_share: float
    falls_toward_rad: float
    gateways: tuple[Gateway, ...]
    existing: tuple[Existing, ...] = ()
    supply_at: Point | None = None
    sun_bearing_rad: float | None = None
    wind_bearing_rad: float | None = None
    north_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class Form:
    """The free choices within a family, so that a layout can be made again as it was.

    Depth of the receiving pens and the sides of the lane they lie on, length of the draft pens, where the ramp
    stands, and whether the plan is turned over (the crush operator then on the right).
    """

    pen_depth_m: float
    pen_rows: tuple[Side, ...]
    draft_length_m: float
    ramp_at: Literal["none", "end", "side"]
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Fix:
    """The crush set down by hand: its entry's place and the animals' direction of travel; the form if it is held."""

    x_m: float
    y_m: float
    bearing_rad: float
    place: Place = NOWHERE
    form: Form | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """A part shifted by hand after the layout is made."""

    part: str
    east_m: float
    north_m: float
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Resize:
    """A pen's area set by hand instead of by head and guide."""

    part: str
    area_m2: float
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Impact:
    """The animal impact that gates and posts are judged against, with who states it."""

    force_n: float
    height_m: float
    source: str


@dataclass(frozen=True, slots=True)
class Strength:
    """What the build's makers state that parts resist [N]; None where nobody states it."""

    gate_n: float | None = None
    latch_n: float | None = None
    anchor_n: float | None = None
    post_modulus_m3: float | None = None
    post_yield_pa: float | None = None


@dataclass(frozen=True, slots=True)
class YardAsk:
    """Everything a layout rests on.

    Parameters
    ----------
    mobs : tuple of Held
        Every mob that comes through; `held` names the one the yard must hold.
    guide : str
        Key of the guide the brief picked; other guides serve only where it is silent.
    draft_shares : tuple of float
        What each way's pen is made for, from the left as the animals walk, in shares of the mob held: the most any
        work sends there, so that they may make more than the whole; empty for equal shares.
    draft_hold_share : float or None
        Share of the mob that the draft pens hold together; None tries the whole mob, then less, and says so.
    sick_head : int or None
        Head the sick pen holds; None for the firm's default share of the mob.
    hose_reach_m : float or None
        How long the hose from the pack to the nearest powered part may be for the pack to stand far off.
    pack_at : Point or None
        Where the power pack stands; looked for where None.
    families : tuple of str
        Layout families to try; empty for all that the build allows.
    """

    name: str
    mobs: tuple[Held, ...]
    held: str
    machine: MachineAsk
    site: SiteAsk
    guide: str
    race: RaceAsk = RaceAsk()
    forcing: ForcingAsk = ForcingAsk()
    operator_side: Side | None = None
    draft_side: Literal["left", "right", "both"] = "both"
    draft_shares: tuple[float, ...] = ()
    draft_hold_share: float | None = None
    holding_heads: tuple[int, ...] = ()
    sick_head: int | None = None
    bypass: bool = True
    truck: Truck | None = None
    control_points: tuple[ControlPoint, ...] = ()
    hose_reach_m: float | None = None
    pack_at: Point | None = None
    hose_limit_m: float | None = None
    cable_limit_m: float | None = None
    lifting_kg: float | None = None
    access_load_kg: float | None = None
    impact: Impact | None = None
    strength: Strength = Strength()
    fix: Fix | None = None
    moves: tuple[Move, ...] = ()
    resizes: tuple[Resize, ...] = ()
    families: tuple[str, ...] = ()

    @property
    def mob(self) -> Held:
        return next(mob for mob in self.mobs if mob.name == self.held)
