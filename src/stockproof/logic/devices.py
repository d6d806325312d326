"""What one item of a build brings to the control: its motions, its signals, its own rules."""

from __future__ import annotations

from dataclasses import dataclass

from stockproof.errors import Place
from stockproof.logic.rules import Rule
from stockproof.netlist.model import InputKind

__all__ = ["Device", "DeviceMotion", "DeviceSignal"]

NOWHERE = Place()


@dataclass(frozen=True, slots=True)
class DeviceMotion:
    """A powered motion, named `part.direction`."""

    name: str
    label: str
    terminal: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class DeviceSignal:
    """A sensor, control or lamp by its full name; a lamp has no `kind`.

    A control of a control point is named `point.motion` (`panel.bail.open`) or `point.function`: start, stop, done,
    reset, enable (momentary), hold, sort (maintained), emergency_ok (maintained; true while the emergency stop is
    not pressed, as its normally closed contact is). A lamp is `point.lamp.word`.
    """

    name: str
    kind: InputKind | None
    label: str
    terminal: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Device:
    """An item as the control sees it.

    Parameters
    ----------
    name : str
        Unique; for a part that moves, the part's name (`entry`), else a word of its own (`panel`).
    kind : str
        Kind of item, as in the catalogue.
    fragment : str
        Name of the fragment it brings along, or empty for none.
    """

    name: str
    kind: str
    label: str
    fragment: str = ""
    motions: tuple[DeviceMotion, ...] = ()
    signals: tuple[DeviceSignal, ...] = ()
    rules: tuple[Rule, ...] = ()
    place: Place = NOWHERE
