"""The control points of an installation as people find them: each a panel of rows, each row the buttons of a part."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockproof.flow.live_words import short_name
from stockproof.netlist.model import Input, InputKind, Netlist
from stockproof.plant.model import PartKind, Plant

__all__ = ["Button", "HandGate", "Panel", "Row", "hand_gates", "panels"]

#: What stands on a button.
CAPTIONS = {
    "open": "Open",
    "close": "Shut",
    "in": "In",
    "out": "Out",
    "raise": "Up",
    "lower": "Down",
    "left": "Left",
    "straight": "Straight",
    "right": "Right",
    "start": "Start",
    "stop": "Stop",
    "done": "Work done",
    "enable": "Enable",
    "reset": "Reset",
    "hold": "Hold",
    "sort": "Sort",
    "emergency_ok": "Emergency stop",
}
PROGRAM = "Program"
#: Points with fewer controls stand with their part (a reset button beside a gate).
FEWEST = 3


@dataclass(frozen=True, slots=True)
class Button:
    """A control: its name, what stands on it, its whole label, its terminal; `switch` stays where it is put."""

    name: str
    caption: str
    label: str
    terminal: str
    switch: bool


@dataclass(frozen=True, slots=True)
class Row:
    """Buttons that belong together."""

    title: str
    buttons: tuple[Button, ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """A control point: its name in the control program, its title, its rows."""

    name: str
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class HandGate:
    """An access gate that people open by hand, by its part."""

    part: int
    name: str
    title: str


def panels(netlist: Netlist) -> tuple[Panel, ...]:
    """Give the control points, the one with most controls first; lone buttons make one panel at the end."""
    points: dict[str, list[Input]] = {}
    for entry in netlist.inputs:
        if entry.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED):
            points.setdefault(entry.name.partition(".")[0], []).append(entry)
    large = sorted((p for p in points.items() if len(p[1]) >= FEWEST), key=lambda p: -len(p[1]))
    lone = [entry for entries in points.values() if len(entries) < FEWEST for entry in entries]
    made = [Panel(name, _title(entries), tuple(_rows(entries))) for name, entries in large]
    if lone:
        made.append(Panel("beside", "Beside the line", tuple(_alone(entry) for entry in lone)))
    return tuple(made)


def hand_gates(plant: Plant) -> tuple[HandGate, ...]:
    """Give the gates in the crush's sides that people open by hand."""
    return tuple(
        HandGate(k, part.name, short_name(part.name).capitalize())
        for k, part in enumerate(plant.parts)
        if part.kind == PartKind.ACCESS
    )


def _title(entries: list[Input]) -> str:
    """Labels end with the point's own words: 'Open the entry gate, side panel'."""
    return entries[0].label.rpartition(", ")[2].capitalize()


def _rows(entries: list[Input]) -> Iterator[Row]:
    rows: dict[str, list[Button]] = {}
    for entry in entries:
        words = entry.name.split(".")
        title = short_name(words[1]).capitalize() if len(words) > 2 else PROGRAM
        rows.setdefault(title, []).append(_button(entry))
    program = rows.pop(PROGRAM, [])
    yield from (Row(title, tuple(buttons)) for title, buttons in rows.items())
    for switch, title in ((False, PROGRAM), (True, "Switches")):
        own = tuple(button for button in program if button.switch == switch)
        if own:
            yield Row(title, own)


def _alone(entry: Input) -> Row:
    return Row(short_name(entry.name.partition(".")[0]).capitalize(), (_button(entry),))


def _button(entry: Input) -> Button:
    word = entry.name.rpartition(".")[2]
    caption = CAPTIONS.get(word, word.replace("_", " ").capitalize())
    return Button(entry.name, caption, entry.label, entry.terminal, entry.kind == InputKind.MAINTAINED)
