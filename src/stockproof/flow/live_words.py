"""The words in which a run is told: short names of parts, places and acts, as people say them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.model import Line
from stockproof.flow.run import FlowResult
from stockproof.flow.trace import SENTENCES, Event
from stockproof.flow.translate import Names
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant

__all__ = ["Teller", "events", "short_name", "words_of_acts"]

#: Parts by the fixed words of the line.
PARTS = {
    "entry": "entry gate",
    "bail": "head bail",
    "squeeze": "squeeze",
    "lift": "head lift",
    "draft": "draft gate",
    "draft2": "second draft gate",
    "rear_access": "rear access gate",
    "rear_access_lock": "lock of the rear gate",
    "neck_access": "neck gate",
    "side_access": "flank gate",
    "slide": "slide gate",
}
#: What a part does while a motion goes on, and where it is when it has arrived.
DOES = {
    "open": ("opens", "is open"),
    "close": ("shuts", "is shut"),
    "in": ("presses in", "is in"),
    "out": ("goes out", "is out"),
    "raise": ("rises", "is up"),
    "lower": ("goes down", "is down"),
    "left": ("turns left", "stands left"),
    "straight": ("turns straight", "stands straight"),
    "right": ("turns right", "stands right"),
}


def short_name(part: str) -> str:
    """Give a part's name as people say it."""
    if part.startswith("slide") and part[5:].isdigit():
        return f"slide gate {part[5:]}"
    return PARTS.get(part, part.replace("_", " "))


class Teller:
    """Tells the rows of the kernel's log."""

    def __init__(self, names: Names, netlist: Netlist | None, plant: Plant | None) -> None:
        zones = {zone.name: zone.label.removeprefix("the ") for zone in (plant.zones if plant else ())}
        spaces = {space.name: space.label for space in (plant.spaces if plant else ())}
        motions = netlist.motions if netlist else ()
        timers = netlist.timers if netlist else ()
        self.names = replace(
            names,
            zones=tuple(zones.get(zone, zone) for zone in names.zones),
            parts=tuple(short_name(part) for part in names.parts),
            motions=tuple(_ends(motion.name)[0] for motion in motions),
            spaces=tuple(spaces.get(space, space) for space in names.spaces),
            timers=tuple(timer.label or timer.name for timer in timers),
        )
        self.motions = tuple(motion.name for motion in motions)

    def tell(self, kind: int, first: int, second: int) -> tuple[str, str] | None:
        """Give kind and sentence of an event; None for one that is not told."""
        if kind in (notes.MOTION_BEGINS, notes.MOTION_STOPS, notes.PART_ARRIVES):
            return "part", f"The {self.names.parts[first]} {self._does(kind, second)}."
        if kind == notes.PERMIT_REFUSED:
            part = short_name(self.motions[first].partition(".")[0])
            return "waits", f"Not permitted: the {part} {_ends(self.motions[first])[0]}."
        return SENTENCES[kind](self.names, first, second) if kind in SENTENCES else None

    def _does(self, kind: int, motion: int) -> str:
        does, is_there = _ends(self.motions[motion]) if motion >= 0 else ("moves", "has come to rest")
        if kind == notes.MOTION_STOPS:
            return "stops on its way"
        return does if kind == notes.MOTION_BEGINS else is_there


def _ends(motion: str) -> tuple[str, str]:
    direction = motion.partition(".")[2]
    return DOES.get(direction, (f"moves ({direction})", f"is there ({direction})"))


def events(result: FlowResult) -> tuple[Event, ...]:
    """Give the traced replication's events in plain words; empty where none was traced."""
    if not len(result.log):
        return ()
    teller = Teller(result.names, result.netlist, result.plant)
    rows = [(float(row[0]), teller.tell(int(row[1]), int(row[2]), int(row[3]))) for row in result.log]
    return tuple(Event(time_s, *told) for time_s, told in rows if told is not None)


def words_of_acts(line: Line, model: Any) -> Iterator[str]:
    """Give what each act of the kernel's list is, in the line's own words."""
    named: dict[int, list[str]] = {
        t.ACT_TASK: [task.name for task in line.tasks],
        t.ACT_PRESS: [press.name for press in line.presses],
        t.ACT_JOB: [job.name for job in line.jobs],
    }
    for k in range(int(model["acts"])):
        act = model["act"][k]
        yield named[int(act["kind"])][int(act["index"])].replace("_", " ")
