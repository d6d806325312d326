"""What the yard room answers: a layout with its spaces, gates, fences, places and sizes, and findings on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from stockproof.yard.model import Form, Point, Ring, YardAsk

__all__ = [
    "Box",
    "Fence",
    "Finding",
    "Gate",
    "Pose",
    "Rank",
    "Spot",
    "Status",
    "Strip",
    "Used",
    "Verdict",
    "Yard",
    "Zone",
]

Verdict = Literal["met", "not met", "not shown"]
Status = Literal["seen", "secondary", "from memory", "assumed"]


@dataclass(frozen=True, slots=True)
class Pose:
    """A place and a heading [rad, counter-clockwise from east]."""

    x: float
    y: float
    heading: float


@dataclass(frozen=True, slots=True)
class Used:
    """A size the layout rests on: value, unit, what it is, its guide, source and standing."""

    key: str
    value: float
    unit: str
    label: str
    guide: str
    source: str
    status: Status


@dataclass(frozen=True, slots=True)
class Zone:
    """A space animals stand in: a pen, the lane, the forcing pen, race, crush, draft unit or ramp."""

    key: str
    kind: Literal["lane", "pen", "forcing", "race", "crush", "draft", "draft pen", "sick pen", "bypass", "ramp"]
    ring: Ring
    area_m2: float
    head: int
    space_m2_per_head: float | None = None


@dataclass(frozen=True, slots=True)
class Gate:
    """A leaf or opening between two spaces.

    `hinge` and `latch` are its closed line; `opens` lists the open positions of the latch end. A worker
    pass has no leaf. `outside` stands for the ground around the yard.
    """

    key: str
    kind: Literal["pen gate", "stop gate", "entry gate", "forcing gate", "exit gate", "man-gate", "worker pass"]
    hinge: Point
    latch: Point
    between: tuple[str, str]
    opens: tuple[Point, ...] = ()

    @property
    def width_m(self) -> float:
        return math.hypot(self.hinge[0] - self.latch[0], self.hinge[1] - self.latch[1])


@dataclass(frozen=True, slots=True)
class Fence:
    """A run of fence or sheeted side between its ends."""

    kind: Literal["rail", "sheeted"]
    path: Ring
    height_m: float
    length_m: float


@dataclass(frozen=True, slots=True)
class Spot:
    """A thing at a point: power pack, control point, operator's place, moving part."""

    key: str
    kind: Literal["power pack", "control point", "stand", "moving part", "supply"]
    at: Point


@dataclass(frozen=True, slots=True)
class Strip:
    """Ground that is no place for animals: slab, work area, catwalk, drain, truck apron, approach."""

    key: str
    kind: Literal["slab", "work area", "catwalk", "drain", "apron", "approach"]
    ring: Ring


@dataclass(frozen=True, slots=True)
class Box:
    """A part's footprint with its bottom and top, for a light picture in space."""

    key: str
    kind: str
    ring: Ring
    low_m: float
    high_m: float


@dataclass(frozen=True, slots=True)
class Rank:
    """How one family did: its score (less is better), each criterion's figure, and why it stands there.

    `fence_m` is the line of fences with gates and passes in it; `walk_m` is straight from crush to pens.
    """

    family: str
    label: str
    fits: bool
    score: float
    area_m2: float = 0.0
    fence_m: float = 0.0
    walk_m: float = 0.0
    turn_rad: float = 0.0
    sun_rad: float = 0.0
    truck_m: float = 0.0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Yard:
    """A layout on its site, with everything other rooms and drawings read."""

    ask: YardAsk
    family: str
    label: str
    mirrored: bool
    crush: Pose
    line: Ring
    zones: tuple[Zone, ...]
    gates: tuple[Gate, ...]
    fences: tuple[Fence, ...]
    spots: tuple[Spot, ...]
    strips: tuple[Strip, ...]
    passes_missing: tuple[tuple[str, Point, float], ...]
    animal_path: Ring
    people_path: Ring
    race_places: int
    race_length_m: float
    batch_head: int
    used: tuple[Used, ...]
    ranking: tuple[Rank, ...] = ()
    shifted: tuple[str, ...] = ()
    form: Form | None = None

    def zone(self, key: str) -> Zone:
        return next(zone for zone in self.zones if zone.key == key)

    def spot(self, key: str) -> Spot:
        return next(spot for spot in self.spots if spot.key == key)

    def size(self, key: str) -> float:
        """Give the value of a size the layout used."""
        return next(used.value for used in self.used if used.key == key)


@dataclass(frozen=True, slots=True)
class Finding:
    """One judged rule at one place of the plan.

    `measured` and `limit` are in `unit`; None where there is nothing to measure.
    """

    code: str
    verdict: Verdict
    part: str
    at: Point
    what: str
    why: str
    remedy: str
    source: str
    seen: bool
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
