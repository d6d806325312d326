"""What the items of a build make of the plant: parts, motions, sensors and access gates along the line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stockproof.catalogue.items import (
    DraftUnit,
    EntryGate,
    ForcingPen,
    HeadBail,
    HeadLift,
    ItemBase,
    RearAccessGate,
    SideAccessGate,
    SlideGate,
    Squeeze,
    WeighPlatform,
)
from stockproof.catalogue.reader import Catalogue
from stockproof.errors import Place
from stockproof.plant.compile import VERBS, DescribedMotion, DescribedPart, DescribedSensor, compile_plant
from stockproof.plant.line import Line, describe
from stockproof.plant.model import Guard, PartKind, Plant, Position

__all__ = ["line_of", "motion_in_words", "part_name", "plant_of"]

#: Kind of item: the part's name, what sort of part it is, the zone it holds animals in, where it rests.
PARTS: dict[type[ItemBase], tuple[str, PartKind, str, Position]] = {
    EntryGate: ("entry", PartKind.GATE, "", Position.CLOSED),
    SlideGate: ("slide", PartKind.GATE, "", Position.CLOSED),
    HeadBail: ("bail", PartKind.BAIL, "crush", Position.CLOSED),
    Squeeze: ("squeeze", PartKind.SQUEEZE, "crush", Position.OPEN),
    HeadLift: ("lift", PartKind.LIFT, "crush", Position.OPEN),
    DraftUnit: ("draft", PartKind.GATE, "", Position.CLOSED),
    RearAccessGate: ("rear_access", PartKind.ACCESS, "crush", Position.CLOSED),
    ForcingPen: ("crowd", PartKind.GATE, "", Position.OPEN),
}
#: Parts as stories and refusals call them, whatever item they come from.
LABELS = {
    "entry": "the entry gate",
    "slide": "the slide gate",
    "bail": "the head bail",
    "squeeze": "the squeeze",
    "lift": "the head lift",
    "draft": "the draft gate",
    "draft2": "the far draft gate",
    "rear_access": "the rear access gate",
    "neck_access": "the neck gate",
    "side_access": "the flank gate",
    "crowd": "the gate of the forcing pen",
}
LABELS |= {
    f"slide{n}": f"the {word} slide gate"
    for n, word in enumerate(["second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"], start=2)
}
GUARDS = {"none": Guard.NONE, "switched": Guard.SWITCHED, "locked": Guard.LOCKED}


def plant_of(items: Iterable[ItemBase], catalogue: Catalogue, pen_places: int, race_places: int) -> Plant:
    """Compile the plant table of a build; see `line_of`.

    Raises
    ------
    InputError
        A sensor sees what is no fact of this plant, or a motion speaks of what is not there.
    """
    return compile_plant(describe(line_of(items, catalogue, pen_places, race_places)))


def line_of(items: Iterable[ItemBase], catalogue: Catalogue, pen_places: int, race_places: int) -> Line:
    """Give the line that the items of a build make.

    Parameters
    ----------
    items : the build's items, each once
    catalogue : where they were written, for places in errors
    pen_places, race_places : int
        Head that stand in the forcing pen at once, and in single file before the crush.
    """
    chosen = list(items)
    draft = next((item for item in chosen if isinstance(item, DraftUnit)), None)
    return Line(
        pen_places=pen_places,
        race_places=race_places,
        parts=tuple(part for item in chosen for part in _parts(item, _place(item, catalogue))),
        motions=tuple(motion for item in chosen for motion in _motions(item, catalogue)),
        sensors=tuple(sensor for item in chosen for sensor in _sensors(item, catalogue)),
        ways=draft.ways if draft else 0,
        weighed=any(isinstance(item, WeighPlatform) for item in chosen),
        reset_view=tuple("rear_access" for item in chosen if isinstance(item, RearAccessGate) and item.reset_outside),
    )


def part_name(item: ItemBase) -> str:
    """Give the name of the part an item is, or its code where it is none."""
    if isinstance(item, SideAccessGate):
        return "neck_access" if item.place == "neck" else "side_access"
    if isinstance(item, SlideGate) and item.from_crush > 1:
        return f"slide{item.from_crush}"
    return PARTS[type(item)][0] if type(item) in PARTS else item.code


def motion_in_words(name: str) -> str:
    """Give a motion as people say it: `bail.close` is `the head bail closes`; an unknown one as it is written."""
    part, _, direction = name.rpartition(".")
    return f"{LABELS[part]} {VERBS[direction]}" if part in LABELS and direction in VERBS else name


def _parts(item: ItemBase, place: Place) -> Iterator[DescribedPart]:
    moved = list(dict.fromkeys(motion.part for motion in item.motion))
    if isinstance(item, RearAccessGate | SideAccessGate):
        name, guard = part_name(item), GUARDS[item.guard]
        label = LABELS[name]
        yield DescribedPart(name, label, PartKind.ACCESS, "crush", Position.CLOSED, False, False, guard, place)
        for lock in moved:
            yield DescribedPart(lock, f"the lock of {label}", PartKind.LOCK, "", Position.CLOSED, place=place)
        return
    if type(item) not in PARTS or (isinstance(item, ForcingPen) and not moved):
        return
    name, (_, kind, zone, rest) = part_name(item), PARTS[type(item)]
    names = [name, "draft2"] if isinstance(item, DraftUnit) and item.ways > 3 else [name]
    gives_way = {valve.part: valve.gives_way for valve in item.valve}
    for part in names:
        yield DescribedPart(
            part, LABELS[part], kind, zone, rest, part in moved, gives_way.get(part, part not in moved), place=place
        )


def _motions(item: ItemBase, catalogue: Catalogue) -> Iterator[DescribedMotion]:
    valves = {valve.part: valve for valve in item.valve}
    for k, motion in enumerate(item.motion):
        valve = valves.get(motion.part)
        yield DescribedMotion(
            motion.part,
            motion.direction,
            motion.time_s,
            motion.undriven or (valve.undriven if valve else "held"),
            motion.emergency_stop,
            valve.manual_override if valve else False,
            place=catalogue.toml.place(("item", catalogue.items.index(item), "motion", k)),
            bypass=valve.bypass if valve else False,
        )


def _sensors(item: ItemBase, catalogue: Catalogue) -> Iterator[DescribedSensor]:
    for k, signal in enumerate(item.signal):
        if signal.kind == "sensor":
            place = catalogue.toml.place(("item", catalogue.items.index(item), "signal", k))
            yield DescribedSensor(signal.name, signal.label, signal.sees, signal.unsure, place)


def _place(item: ItemBase, catalogue: Catalogue) -> Place:
    return catalogue.toml.place(("item", catalogue.items.index(item)))
