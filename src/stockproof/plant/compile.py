"""Compiles plain descriptions of zones, parts, motions, sensors and spaces into the one plant table.

Descriptions name one another by word; here the words become numbers, and every word that names nothing is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from stockproof.errors import Fault, InputError, Place, nearest
from stockproof.netlist.build import Builder
from stockproof.netlist.expression import FALSE, Expression, Name, name_nodes, parse
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import (
    Boundary,
    Effect,
    Guard,
    Part,
    PartKind,
    Plant,
    PlantMotion,
    Position,
    Sensor,
    Space,
    SpaceKind,
    StopEffect,
    Truth,
    TruthKind,
    Undriven,
    Zone,
    ZoneKind,
)

__all__ = ["Described", "DescribedBoundary", "DescribedMotion", "DescribedPart", "DescribedSensor", "DescribedSpace"]
__all__ += ["DIRECTIONS", "compile_plant"]

T = TypeVar("T")
NOWHERE = Place()

#: Direction word: where the motion ends, and what it does to whoever is in its way.
DIRECTIONS: dict[str, tuple[Position, Effect]] = {
    "open": (Position.OPEN, Effect.OPENS_TOWARD),
    "close": (Position.CLOSED, Effect.CLOSES_ON),
    "out": (Position.OPEN, Effect.OPENS_TOWARD),
    "in": (Position.CLOSED, Effect.CLOSES_ON),
    "lower": (Position.OPEN, Effect.NEITHER),
    "raise": (Position.CLOSED, Effect.CLOSES_ON),
    "left": (Position.CLOSED, Effect.CLOSES_ON),
    "straight": (Position.MID, Effect.CLOSES_ON),
    "right": (Position.OPEN, Effect.CLOSES_ON),
}
#: Other words for a part's ends, as its sensors name them (a motion is `entry.open`, the fact `entry.opened`).
ENDS: dict[PartKind, tuple[str, str]] = {PartKind.SQUEEZE: ("closed", "released"), PartKind.LIFT: ("up", "down")}
UNDRIVEN = {
    "held": Undriven.HELD,
    "springs_back": Undriven.SPRINGS_BACK,
    "stays_where_set": Undriven.STAYS_WHERE_SET,
    "latched": Undriven.LATCHED,
    "by_weight": Undriven.BY_WEIGHT,
    "drifts": Undriven.DRIFTS,
}
STOP_EFFECTS = {"stops": StopEffect.STOPS, "continues": StopEffect.CONTINUES, "releases": StopEffect.RELEASES}


@dataclass(frozen=True, slots=True)
class DescribedBoundary:
    """A way between two zones; `needs` is pairs of part name and the position that opens the way."""

    name: str
    label: str
    source: str
    target: str
    needs: tuple[tuple[str, Position], ...] = ()
    one_way: bool = False


@dataclass(frozen=True, slots=True)
class DescribedPart:
    """A part; `zone` is the zone in which it holds animals or lets people in, empty for gates across the line."""

    name: str
    label: str
    kind: PartKind
    zone: str = ""
    rest: Position = Position.OPEN
    powered: bool = True
    limited: bool = False
    guard: Guard = Guard.NONE
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class DescribedMotion:
    """A motion; `direction`, `undriven` and `emergency_stop` are the catalogue's words."""

    part: str
    direction: str
    time_s: float
    undriven: str = "held"
    emergency_stop: str = "stops"
    manual: bool = False
    label: str = ""
    place: Place = NOWHERE
    bypass: bool = False


@dataclass(frozen=True, slots=True)
class DescribedSensor:
    """A sensor; `sees` and `unsure` are expressions over truths.

    An empty `sees` means the truth of the sensor's own name; an empty `unsure` means never.
    """

    name: str
    label: str = ""
    sees: str = ""
    unsure: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class DescribedSpace:
    """A space for people; `through` names an access gate or is empty, `shut_out_by` names boundaries."""

    name: str
    label: str
    kind: SpaceKind
    through: str = ""
    zone: str = ""
    reached_by: tuple[str, ...] = ()
    shut_out_by: tuple[str, ...] = ()
    reset_view: bool = False


@dataclass(frozen=True, slots=True)
class Described:
    """Everything a plant is compiled from."""

    zones: tuple[Zone, ...]
    boundaries: tuple[DescribedBoundary, ...]
    parts: tuple[DescribedPart, ...] = ()
    motions: tuple[DescribedMotion, ...] = ()
    sensors: tuple[DescribedSensor, ...] = ()
    spaces: tuple[DescribedSpace, ...] = ()
    weighed_zone: str = ""


@dataclass(slots=True)
class _Words:
    """Positions by word, one table a kind of thing, and the faults met while looking words up."""

    tables: dict[str, dict[str, int]]
    faults: list[Fault] = field(default_factory=list)

    def find(self, kind: str, word: str, place: Place = NOWHERE) -> int:
        if not word:
            return -1
        table = self.tables[kind]
        if word not in table:
            mend = nearest(word, list(table)) or f"known: {', '.join(table) or 'none'}"
            self.faults.append(Fault(f"{word!r} is no {kind} of this installation", place, mend=mend))
        return table.get(word, -1)


def compile_plant(described: Described) -> Plant:
    """Turn descriptions into the plant table.

    Raises
    ------
    InputError
        A description names a zone, part, motion, direction or truth that is not there; all are reported.
    """
    words = _Words(
        {
            "zone": _numbered(zone.name for zone in described.zones),
            "boundary": _numbered(boundary.name for boundary in described.boundaries),
            "part": _numbered(part.name for part in described.parts),
            "motion": _numbered(f"{motion.part}.{motion.direction}" for motion in described.motions),
        }
    )
    truths = tuple(_truths(described))
    truth, sensors = _sensors(described, truths, words)
    plant_motions = tuple(_motion(motion, described, words) for motion in described.motions)
    plant = Plant(
        zones=described.zones,
        boundaries=tuple(_boundary(boundary, words) for boundary in described.boundaries),
        parts=tuple(_part(part, words) for part in described.parts),
        motions=plant_motions,
        spaces=tuple(_space(space, words) for space in described.spaces),
        truths=truths,
        sensors=sensors,
        truth=truth,
        weighed_zone=words.find("zone", described.weighed_zone),
        crush=_first(described.zones, ZoneKind.CRUSH),
        draft=_first(described.zones, ZoneKind.DRAFT),
    )
    if words.faults:
        raise InputError(words.faults)
    return plant


def truth_names(described: Described) -> tuple[str, ...]:
    """Give the names a sensor's `sees` may use."""
    return tuple(dict.fromkeys(truth.name for truth in _truths(described)))


def _numbered(names: Iterator[str]) -> dict[str, int]:
    return {name: k for k, name in enumerate(names)}


def _first(zones: Sequence[Zone], kind: ZoneKind) -> int:
    return next((k for k, zone in enumerate(zones) if zone.kind == kind), -1)


def _truths(described: Described) -> Iterator[Truth]:
    """Every atomic fact by name; one fact may have two names (`draft.at_left` is `draft.closed`)."""
    of_zone = {
        "occupied": TruthKind.OCCUPIED,
        "crowded": TruthKind.CROWDED,
        "down": TruthKind.DOWN,
        "settled": TruthKind.SETTLED,
        "read": TruthKind.READ,
    }
    for k, zone in enumerate(described.zones):
        for word, kind in of_zone.items():
            yield Truth(f"{zone.name}.{word}", kind, k)
        if zone.kind == ZoneKind.WAY:
            yield Truth(f"{zone.name}.decided", TruthKind.DECIDED, k)
    for k, boundary in enumerate(described.boundaries):
        yield Truth(f"{boundary.name}.astride", TruthKind.ASTRIDE, k)
    zones = [zone.name for zone in described.zones]
    for k, part in enumerate(described.parts):
        shut, clear = ENDS.get(part.kind, ("closed", "opened"))
        yield Truth(f"{part.name}.{shut}", TruthKind.AT_CLOSED, k)
        yield Truth(f"{part.name}.{clear}", TruthKind.AT_OPEN, k)
        yield Truth(f"{part.name}.mid", TruthKind.AT_MID, k)
        if part.name.startswith("draft"):
            yield Truth(f"{part.name}.at_left", TruthKind.AT_CLOSED, k)
            yield Truth(f"{part.name}.at_straight", TruthKind.AT_MID, k)
            yield Truth(f"{part.name}.at_right", TruthKind.AT_OPEN, k)
        if part.kind in (PartKind.SQUEEZE, PartKind.LIFT, PartKind.BAIL):
            yield Truth(f"{part.name}.gripping", TruthKind.GRIPPED, k)
        if part.kind == PartKind.BAIL and part.zone in zones:
            yield Truth(f"{part.name}.neck", TruthKind.NECK, zones.index(part.zone))
    for k, space in enumerate(described.spaces):
        yield Truth(f"{space.name}.person", TruthKind.PERSON, k)
    yield Truth("supply.on", TruthKind.SUPPLY, 0)


def _sensors(described: Described, truths: Sequence[Truth], words: _Words) -> tuple[Netlist, tuple[Sensor, ...]]:
    builder = Builder()
    nodes: dict[str, int] = {truth.name: builder.input(truth.name, InputKind.SENSOR) for truth in truths}
    sensors = []
    for sensor in described.sensors:
        sure = _lowered(sensor.sees or sensor.name, sensor, nodes, builder, words)
        unsure = _lowered(sensor.unsure, sensor, nodes, builder, words)
        sensors.append(Sensor(sensor.name, sensor.label or sensor.name, sure, unsure, sensor.place))
    return builder.finish(), tuple(sensors)


def _lowered(text: str, sensor: DescribedSensor, nodes: dict[str, int], builder: Builder, words: _Words) -> int:
    try:
        expression: Expression = parse(text, sensor.place) if text else FALSE
    except InputError as error:
        words.faults.extend(error.faults)
        return 0
    unknown = [node for node in name_nodes(expression) if node.name not in nodes]
    for node in unknown:
        mend = nearest(node.name, list(nodes)) or "use a fact of the plant, such as crush.occupied or entry.closed"
        words.faults.append(
            Fault(f"{sensor.name} sees {node.name!r}, which is no fact of the plant", node.place, mend=mend)
        )

    def resolve(name: Name) -> int:
        return nodes[name.name]

    return 0 if unknown else builder.expression(expression, resolve)


def _boundary(boundary: DescribedBoundary, words: _Words) -> Boundary:
    return Boundary(
        boundary.name,
        boundary.label,
        words.find("zone", boundary.source),
        words.find("zone", boundary.target),
        tuple((words.find("part", part), position) for part, position in boundary.needs),
        boundary.one_way,
    )


def _part(part: DescribedPart, words: _Words) -> Part:
    zone = words.find("zone", part.zone, part.place)
    return Part(part.name, part.label, part.kind, zone, part.rest, part.powered, part.limited, part.guard, part.place)


def _motion(motion: DescribedMotion, described: Described, words: _Words) -> PlantMotion:
    for word, table in (
        (motion.direction, DIRECTIONS),
        (motion.undriven, UNDRIVEN),
        (motion.emergency_stop, STOP_EFFECTS),
    ):
        if word not in table:
            words.faults.append(Fault(f"{word!r} cannot stand here", motion.place, allowed=", ".join(table)))
    target, effect = DIRECTIONS.get(motion.direction, (Position.OPEN, Effect.NEITHER))
    part = words.find("part", motion.part, motion.place)
    label = motion.label or f"{described.parts[part].label} {VERBS.get(motion.direction, motion.direction)}"
    return PlantMotion(
        f"{motion.part}.{motion.direction}",
        label,
        part,
        target,
        motion.time_s,
        UNDRIVEN.get(motion.undriven, Undriven.HELD),
        STOP_EFFECTS.get(motion.emergency_stop, StopEffect.STOPS),
        effect,
        motion.manual,
        motion.place,
        motion.bypass,
    )


#: How a sentence says it: "the entry gate closes".
VERBS = {
    "open": "opens",
    "close": "closes",
    "in": "moves in",
    "out": "moves out",
    "raise": "rises",
    "lower": "goes down",
    "left": "swings to the left",
    "straight": "swings to the middle",
    "right": "swings to the right",
}


def _space(space: DescribedSpace, words: _Words) -> Space:
    return Space(
        space.name,
        space.label,
        space.kind,
        words.find("part", space.through),
        words.find("zone", space.zone),
        tuple(words.find("motion", motion) for motion in space.reached_by),
        tuple(words.find("boundary", boundary) for boundary in space.shut_out_by),
        space.reset_view,
    )
