"""Single faults: what may break, one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant

__all__ = ["Fault", "FaultKind", "single_faults"]


class FaultKind(Enum):
    """What a fault does, from the moment it strikes."""

    STUCK_ON = "stuck on"
    STUCK_OFF = "stuck off"
    INTERMITTENT = "intermittent"
    VALVE_DRIVES = "valve sticks driven"
    VALVE_DEAD = "valve does not drive"
    LEAKS = "leaks"
    RESTART = "supply dip"


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of one signal, motion or, for a supply dip, of the whole control."""

    kind: FaultKind
    target: str
    sentence: str

    @property
    def name(self) -> str:
        """By which it can be asked for."""
        return f"{self.kind.value} {self.target}".strip()


def single_faults(netlist: Netlist, plant: Plant) -> Iterator[Fault]:
    """Give every single fault of an installation.

    Sensors and buttons stick or flicker, valves stick driven, stay dead or leak, the supply dips. A remote that is
    lost is its buttons stuck off, each of which is among these.
    """
    for i in netlist.inputs:
        if i.kind == InputKind.SENSOR:
            yield Fault(FaultKind.STUCK_ON, i.name, f"The sensor '{i.label}' always shows yes.")
            yield Fault(FaultKind.STUCK_OFF, i.name, f"The sensor '{i.label}' always shows no.")
            yield Fault(FaultKind.INTERMITTENT, i.name, f"The sensor '{i.label}' shows now yes, now no.")
        elif i.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED):
            yield Fault(FaultKind.STUCK_ON, i.name, f"The contact of '{i.label}' is stuck closed.")
            yield Fault(FaultKind.STUCK_OFF, i.name, f"The contact of '{i.label}' is stuck open or its wire is broken.")
    for motion in plant.motions:
        yield Fault(FaultKind.VALVE_DRIVES, motion.name, f"The valve sticks so that {motion.label}.")
        yield Fault(FaultKind.VALVE_DEAD, motion.name, f"The valve no longer moves: {motion.label} no more.")
        yield Fault(FaultKind.LEAKS, motion.name, f"The valve leaks: {plant.parts[motion.part].label} creeps back.")
    yield Fault(FaultKind.RESTART, "", "The supply dips and the controller starts anew, again and again.")
