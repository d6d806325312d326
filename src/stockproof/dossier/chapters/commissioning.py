"""What is set on the day of commissioning: valves, pack, a card for each class of stock, and the parts list."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.dossier.chapters.cells import RowCells, quantity
from stockproof.power import PowerResult, components
from stockproof.power.card import CardRow
from stockproof.power.components import Component
from stockproof.scene.pages import Cell, Column, Part, Quantity, Said, Table

__all__ = ["parts_list", "settings"]

WATCHED = (
    "The animal is watched, not the gauge. A part closes in the time given, warm and with the store at cut-in; the "
    "control calls it slow no earlier than the last column says, or a frosty morning raises false alarms."
)
NOT_POSSIBLE = "not possible"
TOO_MUCH = (
    "Not possible: even the lowest setting of the valve presses more on the animal than the stated limit; see what was "
    "found beside the promises."
)
#: Displacements and strokes of hand pumps are told in cubic centimetres.
_SMALL_M3 = 2e-4


def settings(power: PowerResult) -> Iterator[Part]:
    """Give what is set on the day, and what is changed when another class of stock comes through."""
    columns = (
        Column("Part", share=2),
        Column("Valve", share=1.5),
        Column("Set", "right"),
        Column("From", "right"),
        Column("To", "right"),
        Column("Check by", share=1.5),
        Column("Time", "right"),
    )
    rows = tuple(
        (
            row.part,
            row.kind,
            cell("setting_pa") if row.possible else NOT_POSSIBLE,
            *(cell(field) for field in ("lowest_pa", "highest_pa")),
            row.motion,
            cell("time_s"),
        )
        for row in power.part_settings
        for cell in [RowCells(f"power.setting.{row.part}.{row.motion}", row)]
    )
    note = "" if all(row.possible for row in power.part_settings) else TOO_MUCH
    yield Table("valve settings", "Valves", columns, rows, note=note)
    pack = tuple(
        (row.name, Quantity(row.value, "", 4, row.unit, f"power.setting.{row.name}")) for row in power.pack_settings
    )
    yield Table("pack settings", "Pack and store", (Column("Setting", share=3), Column("Value", "right")), pack)
    if power.card:
        yield _card(power)
        yield _timers(power)


def _card(power: PowerResult) -> Table:
    columns = (
        Column("Stock", share=1.5),
        Column("Part", share=1.3),
        Column("Width", "right"),
        Column("Set", "right"),
        Column("Force", "right"),
        Column("On the animal", "right"),
        Column("Limited by", share=2),
    )
    rows = tuple(
        (
            row.stock,
            row.part,
            cell("width_m", 3, "mm") if row.width_m is not None else None,
            cell("setting_pa") if row.possible else NOT_POSSIBLE,
            cell("force_n"),
            cell("pad_pa", 2),
            row.limited_by if row.possible else f"at the lowest setting already over: {row.limited_by}",
        )
        for row, cell in _card_cells(power)
    )
    caption = "When another class of stock comes through: widths and pressures"
    return Table("class change card", caption, columns, rows)


def _timers(power: PowerResult) -> Table:
    """Times of the closing parts at each class's setting, and the watch timers they ask of the control."""
    columns = (
        Column("Stock", share=1.5),
        Column("Part", share=1.3),
        Column("Closes in", "right"),
        Column("Control set to", "right"),
        Column("Called slow no earlier than", "right"),
    )
    rows = tuple(
        (
            row.stock,
            row.part,
            cell("closing_s", 2),
            _watch(row, cell),
            cell("watch_s", 2),
        )
        for row, cell in _card_cells(power)
    )
    caption = "When another class of stock comes through: timers"
    return Table("class change timers", caption, columns, rows, note=WATCHED)


def _card_cells(power: PowerResult) -> Iterator[tuple[CardRow, RowCells]]:
    return ((row, RowCells(f"power.card.{row.stock}.{row.part}", row)) for row in power.card)


def _watch(row: CardRow, cell: RowCells) -> Cell:
    if row.control_s is None:
        return "no watch timer"
    return (
        cell("control_s", 2)
        if row.watch_long_enough
        else Said(f"{row.control_s:g} s: too short", f"{cell.name}.control")
    )


def parts_list(power: PowerResult) -> Table:
    """Give every component of the circuit with its number on the diagram, its sizes and its settings."""
    columns = (
        Column("No.", share=0.6),
        Column("Component", share=2.4),
        Column("For", share=1),
        Column("Number", "right"),
        Column("Item", share=1.4),
        Column("What", share=1.2),
        Column("Value", "right"),
    )
    rows = tuple(row for part in components(power.prepared.circuit) for row in _component(part))
    note = "Numbers by ISO 1219-2 stand beside the symbols of the circuit diagram and on a tag at each part."
    return Table("hydraulic parts", "Parts of the circuit with their settings", columns, rows, note=note)


def _component(part: Component) -> Iterator[tuple[Cell, ...]]:
    head: tuple[Cell, ...] = (part.tag, part.label, part.part.replace("_", " "), str(part.count), part.item)
    if not part.facts:
        yield (*head, None, None)
    for k, fact in enumerate(part.facts):
        small = fact.dimension == "volume" and fact.value < _SMALL_M3
        unit = "cm3" if small else "mm" if fact.dimension == "length" else ""
        value = quantity(fact.value, fact.dimension, 3, unit, f"power.part.{part.tag}.{fact.name}")
        yield (*(head if k == 0 else (None,) * len(head)), fact.name, value)
