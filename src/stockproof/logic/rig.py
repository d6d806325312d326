"""Invented installations stated in a few words, for trust checks, benches and tests; no catalogue is needed.

What is stated here is a scenario: times are round numbers from common practice, not any maker's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.logic.devices import Device, DeviceMotion, DeviceSignal
from stockproof.netlist.model import InputKind
from stockproof.plant.compile import DescribedMotion, DescribedPart, DescribedSensor, compile_plant
from stockproof.plant.line import Line, describe, ways_of
from stockproof.plant.model import Guard, PartKind, Plant, Position

__all__ = ["MAXIMAL", "SMALL", "Rig", "devices_of", "plant_of"]

#: Part: kind of item, kind of part, directions, label, where it rests.
PARTS: dict[str, tuple[str, PartKind, tuple[str, ...], str, Position]] = {
    "slide": ("slide_gate", PartKind.GATE, ("open", "close"), "the slide gate", Position.CLOSED),
    "entry": ("entry_gate", PartKind.GATE, ("open", "close"), "the entry gate", Position.CLOSED),
    "bail": ("head_bail", PartKind.BAIL, ("open", "close"), "the head bail", Position.CLOSED),
    "squeeze": ("squeeze", PartKind.SQUEEZE, ("in", "out"), "the squeeze", Position.OPEN),
    "lift": ("head_lift", PartKind.LIFT, ("raise", "lower"), "the head lift", Position.OPEN),
    "draft": ("draft_unit", PartKind.GATE, (), "the draft gate", Position.CLOSED),
}
#: Part: its sensors, and for those that see no fact of their own name, what they see.
SENSORS: dict[str, dict[str, str]] = {
    "slide": {"ready.occupied": "", "slide.astride": ""},
    "entry": {"entry.closed": "", "entry.astride": ""},
    "bail": {"bail.closed": "", "bail.neck": "", "bail.astride": ""},
    "squeeze": {"squeeze.released": "", "squeeze.gripping": ""},
    "lift": {"lift.down": ""},
    "draft": {"draft.occupied": ""},
}


@dataclass(frozen=True, slots=True)
class Rig:
    """Which parts there are, which guards, how many draft ways, which switches and control points.

    `beams`: what sees an animal in the crush may miss one that is down; `down_seen`: something else sees that it is.
    """

    parts: tuple[str, ...] = ("entry", "bail")
    rear: Guard | None = None
    rear_view: bool = False
    rear_switches: int = 1
    flank: Guard | None = None
    neck: Guard | None = None
    ways: int = 0
    hold: bool = True
    sort: bool = False
    points: tuple[str, ...] = ("panel",)
    second_animal_seen: bool = True
    down_seen: bool = False
    beams: bool = False
    limited: bool = True
    race_places: int = 4


SMALL = Rig()
MAXIMAL = Rig(
    parts=("slide", "entry", "bail", "squeeze", "lift", "draft"),
    rear=Guard.LOCKED,
    rear_view=True,
    flank=Guard.SWITCHED,
    neck=Guard.SWITCHED,
    ways=3,
    sort=True,
    points=("panel", "remote"),
    down_seen=True,
)


def plant_of(rig: Rig) -> Plant:
    """Compile the plant of a rig."""
    sensors = tuple(
        DescribedSensor(s.name, s.label, _sees(rig).get(s.name, ""), _unsure(rig, s.name))
        for device in devices_of(rig)
        for s in device.signals
        if s.kind == InputKind.SENSOR
    )
    motions = tuple(_described(m) for device in devices_of(rig) for m in device.motions)
    views = ("rear_access",) if rig.rear_view else ()
    return compile_plant(
        describe(Line(30, rig.race_places, tuple(_parts(rig)), motions, sensors, rig.ways, rig.sort, views))
    )


def devices_of(rig: Rig) -> tuple[Device, ...]:
    """Give the devices of a rig, as a build's items would."""
    return tuple(_devices(rig))


def _described(motion: DeviceMotion) -> DescribedMotion:
    """A gate's valve is spring-centred and can be worked by hand; a lock falls back by its spring."""
    part, _, direction = motion.name.rpartition(".")
    if part.endswith("_lock"):
        return DescribedMotion(part, direction, time_s=0.2, undriven="springs_back")
    return DescribedMotion(part, direction, time_s=1.0, manual=True)


def _parts(rig: Rig) -> Iterator[DescribedPart]:
    for name in rig.parts:
        _, kind, _, label, rest = PARTS[name]
        zone = "crush" if kind in (PartKind.BAIL, PartKind.SQUEEZE, PartKind.LIFT) else ""
        yield DescribedPart(name, label, kind, zone, rest, limited=rig.limited)
        if name == "draft" and rig.ways > 3:
            yield DescribedPart("draft2", "the second draft gate", kind, "", rest, limited=rig.limited)
    for name, label, guard in _guards(rig):
        yield DescribedPart(name, label, PartKind.ACCESS, "crush", Position.CLOSED, powered=False, guard=guard)
        if guard == Guard.LOCKED:
            yield DescribedPart(f"{name}_lock", f"the lock of {label}", PartKind.LOCK, "", Position.CLOSED)


def _guards(rig: Rig) -> list[tuple[str, str, Guard]]:
    named = (
        ("rear_access", "the rear access gate", rig.rear),
        ("side_access", "the side access gate", rig.flank),
        ("neck_access", "the neck access gate", rig.neck),
    )
    return [(name, label, guard) for name, label, guard in named if guard is not None]


def _devices(rig: Rig) -> Iterator[Device]:
    for name in rig.parts:
        kind, _, directions, label, _ = PARTS[name]
        moves = [f"{name}.{direction}" for direction in directions] or _draft_motions(rig.ways)
        sensors = [*SENSORS[name], *(_draft_sensors(rig.ways) if name == "draft" else ())]
        if not (rig.hold or rig.sort):
            kept = ("entry.closed", "entry.astride", "bail.closed", "bail.astride", "slide.astride")
            sensors = [s for s in sensors if s in kept]
        yield Device(
            name,
            kind,
            label,
            kind,
            tuple(DeviceMotion(m, m.replace(".", " ")) for m in moves),
            tuple(DeviceSignal(s, InputKind.SENSOR, s.replace(".", " ")) for s in sensors),
        )
    yield Device("crush", "crush_body", "the crush", "", (), tuple(_crush_sensors(rig)))
    for name, label, guard in _guards(rig):
        yield _guard_device(rig, name, label, guard)
    for point in rig.points:
        yield Device(point, "control_point", f"the {point}", "", (), tuple(_controls(rig, point)))


def _crush_sensors(rig: Rig) -> Iterator[DeviceSignal]:
    if not (rig.hold or rig.sort):
        return
    yield DeviceSignal("crush.occupied", InputKind.SENSOR, "an animal is in the crush")
    if rig.second_animal_seen:
        yield DeviceSignal("crush.crowded", InputKind.SENSOR, "two animals are in the crush")
    if rig.down_seen:
        yield DeviceSignal("crush.down", InputKind.SENSOR, "an animal is down in the crush")
    if rig.sort:
        yield DeviceSignal("weigh.settled", InputKind.SENSOR, "the weight is read and the way decided")
        for way in ways_of(rig.ways) if rig.ways else ():
            yield DeviceSignal(f"weigh.{way}", InputKind.SENSOR, f"the animal is to go {way}")


def _guard_device(rig: Rig, name: str, label: str, guard: Guard) -> Device:
    signals: list[DeviceSignal] = []
    if guard != Guard.NONE:
        signals.append(DeviceSignal(f"{name}.closed", InputKind.SENSOR, f"{label} is shut"))
    if name == "rear_access" and guard != Guard.NONE and rig.rear_switches > 1:
        signals.append(DeviceSignal(f"{name}.closed_2", InputKind.SENSOR, f"{label} is shut, second switch"))
    if name == "rear_access" and rig.rear_view:
        signals.append(DeviceSignal(f"{name}.reset", InputKind.MOMENTARY, "the rear space is seen to be empty"))
    if guard == Guard.LOCKED:
        signals.append(DeviceSignal(f"{name}_lock.closed", InputKind.SENSOR, f"the lock of {label} is home"))
    moves = (DeviceMotion(f"{name}_lock.open", f"unlock {label}"),) if guard == Guard.LOCKED else ()
    kinds = {"rear_access": "rear_access_gate", "side_access": "side_access_gate", "neck_access": "side_access_gate"}
    fragment = "neck_access_gate" if name == "neck_access" else kinds[name]
    return Device(name, kinds[name], label, fragment, moves, tuple(signals))


def _controls(rig: Rig, point: str) -> Iterator[DeviceSignal]:
    commands = [f"{name}.{direction}" for name in rig.parts for direction in PARTS[name][2]]
    commands += _draft_motions(rig.ways) if "draft" in rig.parts else []
    commands += [f"{name}_lock.open" for name, _, guard in _guards(rig) if guard == Guard.LOCKED]
    words = [*commands, "reset"]
    words += ["start", "stop", "done"] if rig.hold or rig.sort else []
    words += ["enable"] if rig.flank not in (None, Guard.NONE) and "squeeze" in rig.parts else []
    for word in words:
        yield DeviceSignal(f"{point}.{word}", InputKind.MOMENTARY, f"{word.replace('.', ' ')} on the {point}")
    yield DeviceSignal(f"{point}.emergency_ok", InputKind.MAINTAINED, f"emergency stop of the {point} is not pressed")
    for word, there in (("hold", rig.hold), ("sort", rig.sort)):
        if there and point == rig.points[0]:
            yield DeviceSignal(f"{point}.{word}", InputKind.MAINTAINED, f"the {word} switch")


def _draft_motions(ways: int) -> list[str]:
    places = {2: ("left", "right"), 3: ("left", "straight", "right"), 4: ("left", "straight", "right")}
    first = [f"draft.{word}" for word in places.get(min(ways, 4), ())]
    far = {4: ("left", "right"), 5: ("left", "straight", "right")}.get(ways, ())
    return [*first, *(f"draft2.{word}" for word in far)]


def _draft_sensors(ways: int) -> list[str]:
    return [motion.replace(".", ".at_") for motion in _draft_motions(ways)]


def _sees(rig: Rig) -> dict[str, str]:
    """What sensors see that are not named for a fact of the plant."""
    ways = {f"weigh.{way}": f"way_{way}.decided" for way in (ways_of(rig.ways) if rig.ways else ())}
    return {**ways, "weigh.settled": "crush.settled", "rear_access.closed_2": "rear_access.closed"}


def _unsure(rig: Rig, sensor: str) -> str:
    return "crush.down" if rig.beams and sensor in ("crush.occupied", "crush.crowded", "bail.neck") else ""
