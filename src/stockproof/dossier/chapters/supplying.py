"""What turns the pump: outlets, cables, a generator or an engine side by side, and the electrical load sheet."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from stockproof.dossier.chapters.cells import quantity
from stockproof.power import PowerResult
from stockproof.power.supply import BONDING
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
                quantity(option.current_a, "current"),
                quantity(option.allowed_a, "current"),
                quantity(option.drop_share, "share", 2),
                quantity(option.start_share, "share", 2),
                "; ".join(option.problems) or CARRIED,
            )
            for option in power.supplies
        )
        yield Table("outlets", "The pack on each outlet", columns, rows)
    yield from _engine(power)


def _engine(power: PowerResult) -> Iterator[Part]:
    if power.engine is not None:
        engine = power.engine
        yield Facts(
            (
                ("Engine power left at this height and heat", quantity(engine.power_left_w, "power")),
                ("Power the pump asks", quantity(engine.power_needed_w, "power")),
                ("Petrol for each kilowatt hour at the shaft", Quantity(engine.fuel_kg_per_kwh, "", 3, "kg/kWh")),
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
    columns = (
        Column("Way", share=1.8),
        Column("Takes", "right"),
        Column("Carries", "right"),
        Column("Cable", "right"),
        Column("Voltage lost", "right"),
        Column("Left at start", "right"),
        Column("Rated for", "right"),
        Column("What speaks against it", share=2.6),
    )
    rows = tuple(
        (
            way.way if way.present else f"instead: {way.way}",
            _known(way.current_a, "current"),
            _known(way.allowed_a, "current"),
            Quantity(way.cable_mm2, "", 3, "mm2") if isfinite(way.cable_mm2) else None,
            _known(way.drop_share, "share", 2),
            _known(way.start_share, "share", 2),
            _rating(way),
            "; ".join(way.problems) or (RATED if way.rating_unit and not way.present else CARRIED),
        )
        for way in power.ways
    )
    return Table("ways to supply", "Ways to supply the pack, side by side", columns, rows)


def _known(value: float, dimension: str, digits: int = 3) -> Cell:
    """A value that does not decide here leaves its cell empty."""
    return Quantity(value, dimension, digits) if isfinite(value) else None


def _rating(way: SupplyWay) -> Cell:
    if not isfinite(way.rating):
        return None
    if way.rating_unit == "VA":
        return Quantity(way.rating / 1e3, "", 3, "kVA")
    return Quantity(way.rating, "power", 3)


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
            quantity(option.start_torque_share, "share", 2),
            quantity(option.needed_torque_share, "share", 2),
            quantity(option.controller_gap_s, "duration", 2) if option.controller_gap_s else "none",
            quantity(control.ride_through_s, "duration", 2) if control else None,
            Quantity(option.cable_needed_mm2, "", 3, "mm2") if isfinite(option.cable_needed_mm2) else "none",
            quantity(option.together_a, "current"),
            quantity(option.shaft_w, "power"),
        )
        for option in power.supplies
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
            row.count,
            row.fed_by,
            quantity(row.volts_v, "voltage"),
            row.phases or "d.c.",
            quantity(row.current_a, "current"),
            quantity(row.start_current_a, "current") if row.phases else None,
            quantity(row.power_w, "power"),
            row.note,
        )
        for row in power.load_sheet
    )
    summed = bool(power.load_sheet) and power.load_sheet[-1].together
    return Table("load sheet", "Electrical load sheet", columns, rows, total=summed, note=LOADS)
