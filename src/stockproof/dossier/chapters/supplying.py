"""What turns the pump: outlets, cables, a generator or an engine side by side, and the electrical load sheet."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from stockproof.dossier.chapters.cells import RowCells, quantity
from stockproof.power import PowerResult
from stockproof.power.supply import BONDING, SupplyOption
from stockproof.power.ways import SupplyWay
from stockproof.scene.pages import Cautions, Cell, Column, Facts, Part, Quantity, Table

__all__ = ["supply_in_brief", "supply_in_full"]

CARRIED = "nothing: it is carried"
RATED = "carried, if it is rated so much or more"
LOADS = (
    "For choosing an outlet and for the electrician to start from; it sizes no protection. Coils are counted as if one "
    "were driven in every valve at once."
)


def supply_in_brief(power: PowerResult) -> Iterator[Part]:
    """Give the pack on each outlet, or its engine."""
    if power.supplies:
        columns = (
            Column("Outlet", share=1.6),
            Column("Takes", "right"),
            Column("Carries", "right"),
            Column("Voltage lost", "right"),
            Column("Left at start", "right"),
            Column("What speaks against it", share=3),
        )
        rows = tuple(
            (
                option.outlet,
                cell("current_a"),
                cell("allowed_a"),
                cell("drop_share", 2),
                cell("start_share", 2),
                "; ".join(option.problems) or CARRIED,
            )
            for option, cell in _outlets(power)
        )
        yield Table("outlets", "The pack on each outlet", columns, rows)
    yield from _engine(power)


def _outlets(power: PowerResult) -> Iterator[tuple[SupplyOption, RowCells]]:
    return ((option, RowCells(f"power.supply.{option.outlet}", option)) for option in power.supplies)


def _engine(power: PowerResult) -> Iterator[Part]:
    if power.engine is not None:
        engine = RowCells("power.engine", power.engine)
        yield Facts(
            (
                ("Engine power left at this height and heat", engine("power_left_w")),
                ("Power the pump asks", engine("power_needed_w")),
                ("Petrol for each kilowatt hour at the shaft", engine("fuel_kg_per_kwh")),
            )
        )


def supply_in_full(power: PowerResult) -> Iterator[Part]:
    """Give every way to supply the pack side by side, start and ride-through, and the load sheet."""
    yield from _engine(power)
    yield _ways(power)
    if power.supplies:
        yield _starts(power)
    yield _load_sheet(power)
    yield Cautions((BONDING,))


def _ways(power: PowerResult) -> Table:
    """Every way side by side; a column that says nothing of any of them is left out."""
    heads = ("Takes", "Carries", "Cable", "Voltage lost", "Left at start", "Rated for", "Rating asked")
    cells = [_way(way, RowCells(f"power.way.{way.way}", way)) for way in power.ways]
    kept = [k for k in range(len(heads)) if any(row[k] is not None for row in cells)]
    columns = (
        Column("Way", share=1.8),
        *(Column(heads[k], "right") for k in kept),
        Column("What speaks against it", share=2.6),
    )
    rows = tuple(
        (
            way.way if way.present else f"instead: {way.way}",
            *(row[k] for k in kept),
            "; ".join(way.problems) or (RATED if way.rating_unit and not way.present else CARRIED),
        )
        for way, row in zip(power.ways, cells, strict=True)
    )
    return Table("ways to supply", "Ways to supply the pack, side by side", columns, rows)


def _way(way: SupplyWay, cell: RowCells) -> tuple[Cell, ...]:
    rating = _rating(way)
    return (
        *(cell.known(field) for field in ("current_a", "allowed_a", "cable_mm2")),
        *(cell.known(field, 2) for field in ("drop_share", "start_share")),
        *((rating, None) if way.present else (None, rating)),
    )


def _rating(way: SupplyWay) -> Cell:
    if not isfinite(way.rating):
        return None
    power = way.rating_unit == "W"
    figure = f"power.way.{way.way}.rating"
    return Quantity(way.rating, "power" if power else "", 3, "" if power else way.rating_unit, figure)


def _starts(power: PowerResult) -> Table:
    """What a start does: torque left, how long the dip lasts and whether the control rides through it."""
    columns = (
        Column("Outlet", share=2),
        Column("Torque left", "right"),
        Column("Torque needed", "right"),
        Column("Control lacks volts for", "right"),
        Column("Rides through", "right"),
        Column("Cable needed", "right"),
        Column("All at work", "right"),
        Column("Shaft power", "right"),
    )
    control = power.prepared.circuit.control
    rows = tuple(
        (
            option.outlet,
            quantity(option.start_torque_share, "share", 2, figure=f"{cell.name}.start_torque"),
            cell("needed_torque_share", 2),
            cell("controller_gap_s", 2) if option.controller_gap_s else "none",
            RowCells("power.control", control)("ride_through_s", 2) if control else None,
            cell("cable_needed_mm2") if isfinite(option.cable_needed_mm2) else "none",
            cell("together_a"),
            cell("shaft_w"),
        )
        for option, cell in _outlets(power)
    )
    return Table("starts", "When the motor starts", columns, rows)


def _load_sheet(power: PowerResult) -> Table:
    columns = (
        Column("Consumer", share=2),
        Column("Number", "right"),
        Column("Fed by", share=1),
        Column("Voltage", "right"),
        Column("Phases", "right"),
        Column("Current", "right"),
        Column("Start", "right"),
        Column("Power", "right"),
        Column("Note", share=2.4),
    )
    rows = tuple(
        (
            row.consumer,
            cell("count"),
            row.fed_by,
            cell("volts_v"),
            cell("phases") if row.phases else "d.c.",
            _stated(cell, "current_a"),
            cell("start_current_a") if row.phases else None,
            _stated(cell, "power_w"),
            row.note,
        )
        for row in power.load_sheet
        for cell in [RowCells(f"power.load.{row.consumer}", row)]
    )
    summed = bool(power.load_sheet) and power.load_sheet[-1].together
    return Table("load sheet", "Electrical load sheet", columns, rows, total=summed, note=LOADS)


def _stated(cell: RowCells, field: str) -> Cell:
    return cell.known(field) or "not stated"
