"""Faults that strike a rehearsal: each is a change to the kernel's tables, put on and taken off again.

Nodes beyond the control program serve as stand-ins: an input or output that a fault cuts off is read from or written
to a node nobody else has.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np

from stockproof.flow import tables as t
from stockproof.flow.translate import Names
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import Plant

__all__ = ["CREEP_S", "SLOWER", "Trouble", "TroubleKind", "Troubles", "troubles_of"]

#: A leaking valve lets its part creep back over the stroke in so long (common practice: seconds to minutes). [s]
CREEP_S = 20.0
#: A sticking valve makes its motion so many times slower.
SLOWER = 4.0
ON, OFF = np.uint64(0xFFFF_FFFF_FFFF_FFFF), np.uint64(0)


class TroubleKind(Enum):
    """What is wrong."""

    SHOWS_YES = "sensor always shows yes"
    SHOWS_NO = "sensor always shows no"
    STUCK_CLOSED = "contact stuck closed"
    STUCK_OPEN = "contact stuck open, or its wire broken"
    REMOTE_LOST = "every button of a control point is lost"
    VALVE_DRIVES = "valve sticks open"
    VALVE_DEAD = "valve does not open"
    VALVE_SLOW = "valve sticks: the motion is slow"
    CREEPS = "valve leaks: the part creeps back"
    POWER_OFF = "the power is off"
    PUMP_OFF = "the pump stops, the control goes on"


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that is wrong; `target` names a sensor, control, control point or motion (empty for the power)."""

    kind: TroubleKind
    target: str
    sentence: str


def troubles_of(netlist: Netlist, plant: Plant) -> Iterator[Trouble]:
    """Give everything that can be struck in an installation."""
    yield Trouble(TroubleKind.POWER_OFF, "", "The power is off: nothing is driven, no lamp burns, the pump stands.")
    yield Trouble(TroubleKind.PUMP_OFF, "", "The pump stops; the control goes on with the oil that is stored.")
    controls = (InputKind.MOMENTARY, InputKind.MAINTAINED)
    points = dict.fromkeys(i.name.partition(".")[0] for i in netlist.inputs if i.kind == InputKind.MOMENTARY)
    for point in points:
        if sum(i.name.startswith(f"{point}.") for i in netlist.inputs) > 2:
            yield Trouble(TroubleKind.REMOTE_LOST, point, f"Every button of the control point '{point}' is lost.")
    for motion in plant.motions:
        part = plant.parts[motion.part].label
        yield Trouble(TroubleKind.VALVE_DRIVES, motion.name, f"The valve sticks so that {motion.label}.")
        yield Trouble(TroubleKind.VALVE_DEAD, motion.name, f"The valve no longer opens: {part} does not move.")
        yield Trouble(TroubleKind.VALVE_SLOW, motion.name, f"The valve sticks: {motion.label} slowly.")
        yield Trouble(TroubleKind.CREEPS, motion.name, f"The valve leaks: {part} creeps back.")
    for i in netlist.inputs:
        if i.kind == InputKind.SENSOR:
            yield Trouble(TroubleKind.SHOWS_YES, i.name, f"The sensor '{i.label}' always shows yes.")
            yield Trouble(TroubleKind.SHOWS_NO, i.name, f"The sensor '{i.label}' always shows no.")
        elif i.kind in controls:
            yield Trouble(TroubleKind.STUCK_CLOSED, i.name, f"The contact of '{i.label}' is stuck closed.")
            yield Trouble(TroubleKind.STUCK_OPEN, i.name, f"The contact of '{i.label}' never closes.")


class Troubles:
    """The faults on a rehearsal's tables; `write` puts the tables as they are with what is wrong now."""

    def __init__(self, netlist: Netlist, plant: Plant, names: Names, program: Any) -> None:
        self.netlist, self.plant, self.names, self.program = netlist, plant, names, program
        self.whole = {
            column: program[column].copy() for column in ("sensor_node", "control_node", "motion_node", "time_s")
        }
        self.node = {i.name: i.node for i in netlist.inputs}
        self.creep_s = np.zeros(t.MOTIONS)
        self.struck: tuple[Trouble, ...] = ()

    def has(self, kind: TroubleKind, target: str = "") -> bool:
        return any(each.kind == kind and (not target or each.target == target) for each in self.struck)

    def put(self, struck: tuple[Trouble, ...]) -> None:
        """Make exactly these the faults there are."""
        self.struck = struck
        self.creep_s[:] = 0.0
        for column, whole in self.whole.items():
            self.program[column][:] = whole
        self._sensors_as_they_are()
        for trouble in struck:
            self._write(trouble)

    def _sensors_as_they_are(self) -> None:
        """A sensor mended shows what is so; the kernel writes only what has changed."""
        program = self.program
        for k in range(int(program["sensors"])):
            node = int(program["sensor_node"][k])
            if node >= 0:
                program["values"][node] = program["truth_values"][program["sensor_sure"][k]]

    def _write(self, trouble: Trouble) -> None:
        kind, target = trouble.kind, trouble.target
        if kind in (TroubleKind.SHOWS_YES, TroubleKind.SHOWS_NO):
            self._cut_sensor(target, ON if kind == TroubleKind.SHOWS_YES else OFF)
        elif kind in (TroubleKind.STUCK_CLOSED, TroubleKind.STUCK_OPEN):
            self._cut_control(target, ON if kind == TroubleKind.STUCK_CLOSED else OFF)
        elif kind == TroubleKind.REMOTE_LOST:
            for name in self.names.controls:
                if name.startswith(f"{target}."):
                    self._cut_control(name, OFF)
        elif kind == TroubleKind.POWER_OFF:
            for k in range(len(self.names.motions)):
                self._cut_motion(k, OFF)
        elif kind in (TroubleKind.VALVE_DRIVES, TroubleKind.VALVE_DEAD):
            self._cut_motion(self._motion(target), ON if kind == TroubleKind.VALVE_DRIVES else OFF)
        elif kind == TroubleKind.VALVE_SLOW:
            self.program["time_s"][self._motion(target)] *= SLOWER
        elif kind == TroubleKind.CREEPS:
            self.creep_s[self._motion(target)] = CREEP_S

    def _cut_sensor(self, name: str, shown: np.uint64) -> None:
        k = next(k for k, sensor in enumerate(self.plant.sensors) if sensor.name == name)
        self.program["sensor_node"][k] = -1
        self.program["values"][self.node[name]] = shown

    def _cut_control(self, name: str, shown: np.uint64) -> None:
        k = self.names.controls.index(name)
        self.program["control_node"][k] = t.NODES - 1 - k
        self.program["values"][self.node[name]] = shown

    def _cut_motion(self, k: int, driven: np.uint64) -> None:
        if self.has(TroubleKind.POWER_OFF):
            driven = OFF
        node = t.NODES - 1 - t.SIGNALS - k
        self.program["motion_node"][k] = node
        self.program["values"][node] = driven

    def _motion(self, name: str) -> int:
        return self.names.motions.index(name)
