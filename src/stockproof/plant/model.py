"""The plant: what animals, people, gates and sensors can do, as one frozen table of small arrays.

Stock flow, the exhaustive check and rehearsal all read this table, so there is no second copy of what a sensor sees
or of what a gate does. It holds what is possible, not how long it takes or how likely it is: motion laws and
behaviour in time belong to their own rooms.

The line is a graph: *zones* (places an animal can be in) joined by *boundaries* (ways from one zone to the next).
*Parts* are what moves: gates on a boundary, things that hold an animal in a zone, and hand-worked access gates.
*Spaces* are where a person may stand or reach in. *Truths* are the atomic facts of the plant; each *sensor* is a pair
of expressions over truths: what it surely sees, and when it is unsure and may show either value.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from stockproof.errors import InternalError, Place
from stockproof.netlist.model import Int8s, Int32s, Netlist

__all__ = [
    "Boundary",
    "Effect",
    "Guard",
    "Part",
    "PartKind",
    "Plant",
    "PlantMotion",
    "Position",
    "Sensor",
    "Space",
    "SpaceKind",
    "StopEffect",
    "Truth",
    "TruthKind",
    "Undriven",
    "Zone",
    "ZoneKind",
]

NOWHERE = Place()


class ZoneKind(IntEnum):
    PEN = 0  #: forcing pen: a crowd; the source of the line
    RACE = 1  #: one or more places in single file
    CRUSH = 2
    DRAFT = 3  #: the draft unit's own floor, before its ways
    WAY = 4  #: a pen an animal leaves the line into; a sink


class PartKind(IntEnum):
    GATE = 0  #: stands on one or more boundaries
    BAIL = 1  #: stands on the crush's exit; closed it holds a neck, or shuts the exit when no neck is in it
    SQUEEZE = 2
    LIFT = 3
    ACCESS = 4  #: a gate for people, worked by hand
    LOCK = 5  #: holds an access gate shut while at position CLOSED


class Position(IntEnum):
    """Where a part is. A draft gate's left, straight and right are CLOSED, MID and OPEN."""

    CLOSED = 0  #: shut; squeeze in; lift up; draft gate left
    MID = 1
    OPEN = 2  #: clear; squeeze out; lift down; draft gate right


class Undriven(IntEnum):
    """What a motion's part does while no motion of the part is driven."""

    HELD = 0  #: stays where it is (spring-centred valve, locked oil)
    SPRINGS_BACK = 1  #: goes back against this motion
    STAYS_WHERE_SET = 2  #: the valve keeps its last position, so the motion goes on to its end
    LATCHED = 3  #: a mechanical latch holds the end position of this motion; elsewhere held
    BY_WEIGHT = 4  #: falls against this motion under its own weight
    DRIFTS = 5  #: may creep against this motion


class StopEffect(IntEnum):
    """What an emergency stop does to a motion, whatever the control program drives."""

    STOPS = 0  #: the motion stops where it is
    CONTINUES = 1  #: the motion may go on to its end
    RELEASES = 2  #: the part goes to its OPEN position


class Effect(IntEnum):
    """What a motion does to an animal or person it moves toward."""

    CLOSES_ON = 0  #: presses or traps
    OPENS_TOWARD = 1  #: swings or slides out of an animal's way, toward whoever stands there
    NEITHER = 2


class SpaceKind(IntEnum):
    WHOLE_BODY = 0  #: a person stands inside, among the animals' way
    REACH = 1  #: a person outside reaches in with arms or head
    OUTSIDE = 2  #: beside the line, in the way of what swings or jumps out


class Guard(IntEnum):
    """How the control knows that an access gate is shut."""

    NONE = 0
    SWITCHED = 1
    LOCKED = 2  #: switched, and a lock keeps it shut until the control releases it


class TruthKind(IntEnum):
    """An atomic fact; `of` numbers a zone (Z), boundary (B), part (P), space (S)."""

    OCCUPIED = 0  #: Z: at least one animal is wholly or partly in it
    CROWDED = 1  #: Z: two or more animals are wholly or partly in it
    ASTRIDE = 2  #: B: an animal stands across the boundary
    NECK = 3  #: Z: an animal's head is through the bail of this zone, neck between the bars
    DOWN = 4  #: Z: an animal is down in it
    AT_CLOSED = 5  #: P: the part is at CLOSED
    AT_MID = 6  #: P: the part is between its ends (a draft gate: straight)
    AT_OPEN = 7  #: P: the part is at OPEN
    PERSON = 8  #: S: a person stands or reaches in it
    GRIPPED = 9  #: P: the part presses on an animal
    SETTLED = 10  #: Z: the weight standing in it is steady and has been read
    DECIDED = 11  #: Z (a WAY): the weigher or reader sends the animal now being weighed this way
    READ = 12  #: Z: the tag of the animal in it has been read
    SUPPLY = 13  #: the drive delivers pressure; `of` is 0


@dataclass(frozen=True, slots=True)
class Zone:
    """A place animals can be in; `places` is how many stand in it."""

    name: str
    label: str
    kind: ZoneKind
    places: int


@dataclass(frozen=True, slots=True)
class Boundary:
    """A way from one zone into the next, open to a body while every part in `needs` is at its position.

    With no `needs` nothing ever shuts it. An animal may also go backward through it while it is open, unless
    `one_way` (a back stop).
    """

    name: str
    label: str
    source: int
    target: int
    needs: tuple[tuple[int, Position], ...]
    one_way: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """Something that moves. `zone` is where it holds or lets people in, -1 for a gate on boundaries.

    `powered` parts are moved by their motions, others by people. `rest` is where it stands before work begins.
    `limited` says that it stops or gives way when it meets a body (force limit, reverse or pressure edge).
    """

    name: str
    label: str
    kind: PartKind
    zone: int
    rest: Position
    powered: bool
    limited: bool
    guard: Guard = Guard.NONE
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class PlantMotion:
    """One direction of one powered part, named `part.direction`; it ends at position `target`.

    `manual` says it can be worked by hand at the valve, without electricity; `bypass` that its part can be pushed by
    hand whatever its valve does.
    """

    name: str
    label: str
    part: int
    target: Position
    time_s: float
    undriven: Undriven
    stop_effect: StopEffect
    effect: Effect
    manual: bool
    place: Place = NOWHERE
    bypass: bool = False


@dataclass(frozen=True, slots=True)
class Sensor:
    """What an input of the control program sees: node `sure` of `Plant.truth` where node `unsure` is false;
    either value where `unsure` is true (an animal astride the beam, a part just off its end)."""

    name: str
    label: str
    sure: int
    unsure: int
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Space:
    """Where a person may be in the way of animals or parts.

    Parameters
    ----------
    through : int
        The access gate (part) that must be open for a person to get in, -1 where nothing shuts it.
    zone : int
        The zone it belongs to, -1 where it is beside the line.
    reached_by : tuple of int
        Motions that move within reach of a body there.
    shut_out_by : tuple of int
        Boundaries that must be shut and held while a person is in it (the race behind a whole-body space).
    reset_view : bool
        A reset button stands outside, with a view of the space.
    """

    name: str
    label: str
    kind: SpaceKind
    through: int
    zone: int
    reached_by: tuple[int, ...]
    shut_out_by: tuple[int, ...]
    reset_view: bool


@dataclass(frozen=True, slots=True)
class Truth:
    """One atomic fact, named as in sensor expressions (`crush.occupied`, `entry.closed`, `entry.opened`)."""

    name: str
    kind: TruthKind
    of: int


@dataclass(frozen=True, slots=True, eq=False)
class Plant:
    """The whole table; tuples for people and stories, arrays of the same for compiled code.

    Parameters
    ----------
    zones, boundaries, parts, motions, spaces, truths, sensors : tuples
        In order of the line; every number elsewhere is a position in one of these tuples.
    truth : Netlist
        A program without memory whose inputs are `truths` in order. Write every truth's input node, scan it, and read
        `Sensor.sure` and `Sensor.unsure`.
    weighed_zone : int
        Zone whose animal `SETTLED` and `DECIDED` speak of, -1 without a weigh platform.
    crush, draft : int
        Zones of that kind, -1 where there is none.
    """

    zones: tuple[Zone, ...]
    boundaries: tuple[Boundary, ...]
    parts: tuple[Part, ...]
    motions: tuple[PlantMotion, ...]
    spaces: tuple[Space, ...]
    truths: tuple[Truth, ...]
    sensors: tuple[Sensor, ...]
    truth: Netlist
    weighed_zone: int
    crush: int
    draft: int
    zone_kind: Int8s = field(init=False, repr=False)
    zone_places: Int32s = field(init=False, repr=False)
    boundary_source: Int32s = field(init=False, repr=False)
    boundary_target: Int32s = field(init=False, repr=False)
    boundary_part: Int32s = field(init=False, repr=False)  #: (B, 2), -1 where there is no such need
    boundary_position: Int8s = field(init=False, repr=False)  #: (B, 2)
    boundary_one_way: npt.NDArray[np.bool_] = field(init=False, repr=False)
    part_kind: Int8s = field(init=False, repr=False)
    part_rest: Int8s = field(init=False, repr=False)
    motion_part: Int32s = field(init=False, repr=False)
    motion_target: Int8s = field(init=False, repr=False)
    motion_undriven: Int8s = field(init=False, repr=False)
    motion_stop_effect: Int8s = field(init=False, repr=False)
    motion_time_s: npt.NDArray[np.float64] = field(init=False, repr=False)
    truth_kind: Int8s = field(init=False, repr=False)
    truth_of: Int32s = field(init=False, repr=False)
    truth_node: Int32s = field(init=False, repr=False)
    sensor_sure: Int32s = field(init=False, repr=False)
    sensor_unsure: Int32s = field(init=False, repr=False)

    def __post_init__(self) -> None:
        needs = [(*b.needs, (-1, Position.CLOSED), (-1, Position.CLOSED)) for b in self.boundaries]
        if any(len(b.needs) > 2 for b in self.boundaries):
            raise InternalError("a boundary with more than two parts on it")
        columns: dict[str, npt.NDArray[np.generic]] = {
            "zone_kind": np.array([z.kind for z in self.zones], np.int8),
            "zone_places": np.array([z.places for z in self.zones], np.int32),
            "boundary_source": np.array([b.source for b in self.boundaries], np.int32),
            "boundary_target": np.array([b.target for b in self.boundaries], np.int32),
            "boundary_part": np.array([[n[0][0], n[1][0]] for n in needs], np.int32).reshape(-1, 2),
            "boundary_position": np.array([[n[0][1], n[1][1]] for n in needs], np.int8).reshape(-1, 2),
            "boundary_one_way": np.array([b.one_way for b in self.boundaries], np.bool_),
            "part_kind": np.array([p.kind for p in self.parts], np.int8),
            "part_rest": np.array([p.rest for p in self.parts], np.int8),
            "motion_part": np.array([m.part for m in self.motions], np.int32),
            "motion_target": np.array([m.target for m in self.motions], np.int8),
            "motion_undriven": np.array([m.undriven for m in self.motions], np.int8),
            "motion_stop_effect": np.array([m.stop_effect for m in self.motions], np.int8),
            "motion_time_s": np.array([m.time_s for m in self.motions], np.float64),
            "truth_kind": np.array([t.kind for t in self.truths], np.int8),
            "truth_of": np.array([t.of for t in self.truths], np.int32),
            "truth_node": np.array([i.node for i in self.truth.inputs], np.int32),
            "sensor_sure": np.array([s.sure for s in self.sensors], np.int32),
            "sensor_unsure": np.array([s.unsure for s in self.sensors], np.int32),
        }
        for name, column in columns.items():
            column.setflags(write=False)
            object.__setattr__(self, name, column)

    def zone_at(self, name: str) -> int:
        """Give the position of a zone by name."""
        return next(k for k, zone in enumerate(self.zones) if zone.name == name)

    def part_at(self, name: str) -> int:
        """Give the position of a part by name, or -1 where the installation has none such."""
        return next((k for k, part in enumerate(self.parts) if part.name == name), -1)

    def motion_at(self, name: str) -> int:
        """Give the position of a motion by name."""
        return next(k for k, motion in enumerate(self.motions) if motion.name == name)
