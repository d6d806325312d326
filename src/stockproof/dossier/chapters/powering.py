"""Hydraulics and its supply: times, forces, what the outlet carries, what is left without power, settings, failures."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.power import DutyResult, PowerResult
from stockproof.scene.pages import (
    Axis,
    Cell,
    Column,
    Curve,
    Facts,
    Marker,
    Paragraph,
    Part,
    Plot,
    Quantity,
    Section,
    Table,
)

__all__ = ["duty_chapter", "power_in_brief", "power_in_full"]

CONDITIONS = {"normal": "normal", "cold_morning": "cold morning", "hot_day": "hot day"}


def power_in_brief(power: PowerResult) -> Iterator[Section]:
    """Give what a customer wants to know: the outlet, how quick it is warm and cold, what is left without power."""
    yield Section("Power", (*_supply(power), _times_short(power), *_power_loss(power)))


def power_in_full(power: PowerResult) -> Iterator[Section]:
    """Give every answer of the power room."""
    yield Section("Power", (_pack(power), *_supply(power), _load_sheet(power)))
    yield Section("Motion times", (Paragraph(TIMES), _times(power)), level=2)
    yield Section("Forces", (_forces(power), _pads(power)), level=2)
    yield Section("Without power", tuple(_power_loss(power)), level=2)
    yield Section("Store", tuple(_store(power)), level=2)
    yield Section("Settings for the day of commissioning", tuple(_settings(power)), level=2)
    yield Section("Hoses, suction and tank", (_hoses(power), _suction(power)), level=2)
    yield Section("Single failures", (_failures(power),), level=2)


TIMES = (
    "From the signal to arrival. Full: the store at cut-out. At cut-in: the store as low as it gets in normal work. In "
    "the worst burst: the parts move in the quickest order the running of the line allows."
)


def _q(value: float, dimension: str, digits: int = 3, unit: str = "") -> Cell:
    return Quantity(value, dimension, digits, unit) if math.isfinite(value) else "never"


def _supply(power: PowerResult) -> Iterator[Part]:
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
                _q(option.current_a, "current"),
                _q(option.allowed_a, "current"),
                _q(option.drop_share, "share", 2),
                _q(option.start_share, "share", 2),
                "; ".join(option.problems) or "nothing: it is carried",
            )
            for option in power.supplies
        )
        yield Table("outlets", "The pack on each outlet", columns, rows)
    if power.engine is not None:
        engine = power.engine
        yield Facts(
            (
                ("Engine power left at this height and heat", _q(engine.power_left_w, "power")),
                ("Power the pump asks", _q(engine.power_needed_w, "power")),
                ("Petrol for each kilowatt hour at the shaft", Quantity(engine.fuel_kg_per_kwh, "", 3, "kg/kWh")),
            )
        )


def _times_short(power: PowerResult) -> Table:
    """Each motion warm and on the coldest morning, with the store at cut-in."""
    columns = (
        Column("Motion", share=2),
        Column("Firm's time", "right"),
        Column("Warm", "right"),
        Column("Cold morning", "right"),
    )
    cold = {row.motion: row.cut_in_s for row in power.times if row.condition == "cold_morning"}
    rows = tuple(
        (
            row.motion,
            _q(row.catalogue_s, "duration"),
            _q(row.cut_in_s, "duration"),
            _q(cold.get(row.motion, math.inf), "duration"),
        )
        for row in power.times
        if row.condition == "normal"
    )
    return Table("motions", "How long each motion takes", columns, rows)


def _times(power: PowerResult) -> Table:
    columns = (
        Column("Motion", share=2),
        Column("Condition", share=1.2),
        Column("Firm's", "right"),
        Column("Full", "right"),
        Column("At cut-in", "right"),
        Column("Worst burst", "right"),
    )
    rows = tuple(
        (
            row.motion,
            CONDITIONS.get(row.condition, row.condition),
            _q(row.catalogue_s, "duration"),
            _q(row.full_s, "duration"),
            _q(row.cut_in_s, "duration"),
            _q(row.burst_s, "duration"),
        )
        for row in power.times
    )
    return Table("motion times", "", columns, rows)


def _forces(power: PowerResult) -> Table:
    columns = (
        Column("Part", share=1.5),
        Column("As set", "right"),
        Column("At most", "right"),
        Column("Opening", "right"),
        Column("First touch", "right"),
        Column("Held undriven", "right"),
        Column("By", share=1.5),
        Column("Gives way", "right"),
    )
    rows = tuple(
        (
            part.part,
            _q(part.driven_n, "force"),
            _q(part.driven_max_n, "force"),
            _q(part.opening_n, "force"),
            _q(part.touch_n, "force"),
            _q(part.held_n, "force"),
            part.held_by.replace("_", " "),
            _q(part.gives_way_n, "force"),
        )
        for part in power.forces
    )
    return Table("forces", "Forces at the parts", columns, rows)


def _pads(power: PowerResult) -> Table:
    columns = (
        Column("Part", share=2),
        Column("On the", share=1),
        Column("At rest", "right"),
        Column("First touch", "right"),
        Column("Limit", "right"),
        Column("Within"),
    )
    rows = tuple(
        (
            pad.part,
            pad.touches,
            _q(pad.at_rest_pa, "pressure", 2),
            _q(pad.at_touch_pa, "pressure", 2),
            _q(pad.limit_pa, "pressure", 2),
            "yes" if pad.within else "no",
        )
        for part in power.forces
        for pad in part.pads
    )
    return Table("contact pressures", "Mean pressure on the animal", columns, rows)


def _power_loss(power: PowerResult) -> Iterator[Part]:
    columns = (
        Column("Condition", share=1.3),
        Column("After", "right"),
        Column("From the store", "right"),
        Column("By hand pump", share=2),
        Column("Cannot be moved", share=2),
    )
    rows = tuple(
        (
            CONDITIONS.get(loss.condition, loss.condition),
            _q(loss.after_s, "duration"),
            loss.from_store,
            f"{loss.hand_strokes:.0f} strokes a release" if loss.by_hand else "no",
            ", ".join(loss.blocked),
        )
        for loss in power.power_loss
    )
    if rows:
        yield Table("without power", "Animals that can be let out after power is lost", columns, rows)


def _pack(power: PowerResult) -> Facts:
    pack = power.prepared.circuit.pack
    return Facts(
        (
            ("Power pack", pack.label),
            ("Flow of the pump", _q(pack.flow_m3_per_s, "flow")),
            ("Loads at", _q(pack.cut_in_pa, "pressure")),
            ("Unloads at", _q(pack.cut_out_pa, "pressure")),
            ("Relief", _q(pack.relief_pa, "pressure")),
            ("Oil", pack.oil_grade),
            ("Largest draw in the worst burst", _q(power.peak_flow_m3_per_s, "flow")),
            ("Noise at the control point", _q(power.noise_db, "sound level", 2)),
        )
    )


def _load_sheet(power: PowerResult) -> Table:
    columns = (
        Column("Consumer", share=2),
        Column("Voltage", "right"),
        Column("Phases", "right"),
        Column("Current", "right"),
        Column("Start", "right"),
        Column("Power", "right"),
        Column("Note", share=2),
    )
    rows = tuple(
        (
            row.consumer,
            _q(row.volts_v, "voltage"),
            row.phases,
            _q(row.current_a, "current"),
            _q(row.start_current_a, "current"),
            _q(row.power_w, "power"),
            row.note,
        )
        for row in power.load_sheet
    )
    return Table("load sheet", "Electrical load sheet", columns, rows)


def _store(power: PowerResult) -> Iterator[Part]:
    columns = (
        Column("Condition", share=1.5),
        Column("Precharge", "right"),
        Column("Filled from empty in", "right"),
        Column("From cut-in in", "right"),
        Column("Used slowly", "right"),
        Column("Used at once", "right"),
    )
    rows = tuple(
        (
            CONDITIONS.get(row.condition, row.condition),
            _q(row.precharge_pa, "pressure"),
            _q(row.from_empty_s, "duration"),
            _q(row.from_cut_in_s, "duration"),
            _q(row.slow_m3, "volume"),
            _q(row.fast_m3, "volume"),
        )
        for row in power.charging
    )
    if rows:
        yield Table("charging", "Filling and use", columns, rows)
    yield from _store_options(power)


def _store_options(power: PowerResult) -> Iterator[Part]:
    columns = (
        Column("Shell", "right"),
        Column("Precharge", "right"),
        Column("At once", "right"),
        Column("Releases", "right"),
        Column("Slower in a burst", "right"),
        Column("Rules broken", share=3),
    )
    rows = tuple(
        (
            _q(option.shell_m3, "volume"),
            _q(option.precharge_pa, "pressure"),
            _q(option.fast_m3, "volume"),
            option.releases_from_store,
            _q(option.slowing_share, "share", 2),
            "; ".join((*(("this build",) if option.present else ()), *option.problems)),
        )
        for option in power.options
    )
    if rows:
        yield Table("stores compared", "Stores compared", columns, rows)


def _settings(power: PowerResult) -> Iterator[Part]:
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
            _q(row.setting_pa, "pressure"),
            _q(row.lowest_pa, "pressure"),
            _q(row.highest_pa, "pressure"),
            row.motion,
            _q(row.time_s, "duration"),
        )
        for row in power.part_settings
    )
    yield Table("valve settings", "Valves", columns, rows)
    pack = tuple((row.name, Quantity(row.value, "", 4, row.unit)) for row in power.pack_settings)
    yield Table("pack settings", "Pack and store", (Column("Setting", share=3), Column("Value", "right")), pack)
    if power.card:
        yield _card(power)


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
            Quantity(row.width_m, "length", 3, "mm") if row.width_m is not None else None,
            _q(row.setting_pa, "pressure"),
            _q(row.force_n, "force"),
            _q(row.pad_pa, "pressure", 2),
            row.limited_by if row.possible else f"not possible: {row.limited_by}",
        )
        for row in power.card
    )
    note = "The animal is watched, not the gauge."
    return Table("class change card", "When another class of stock comes through", columns, rows, note=note)


def _hoses(power: PowerResult) -> Table:
    columns = (
        Column("Line", share=2),
        Column("Length", "right"),
        Column("Bore", "right"),
        Column("Flow", "right"),
        Column("Velocity", "right"),
        Column("Guide", "right"),
        Column("Lost warm", "right"),
        Column("Lost cold", "right"),
    )
    rows = tuple(
        (
            row.name,
            _q(row.length_m, "length"),
            _q(row.bore_m, "length", 3, "mm"),
            _q(row.flow_m3_per_s, "flow"),
            _q(row.velocity_m_per_s, "speed"),
            _q(row.guide_m_per_s, "speed"),
            _q(row.drop_normal_pa, "pressure", 2),
            _q(row.drop_cold_pa, "pressure", 2),
        )
        for row in power.hoses
    )
    return Table("hoses", "Hoses and pipes", columns, rows)


def _suction(power: PowerResult) -> Facts:
    suction, tank = power.suction, power.tank
    return Facts(
        (
            ("Absolute pressure at the pump's inlet, coldest morning", _q(suction.inlet_pa, "pressure")),
            ("Least the pump takes", _q(suction.least_pa, "pressure")),
            ("Oil viscosity then", Quantity(suction.viscosity_m2_per_s, "", 3, "m2/s")),
            ("Most the pump starts with", Quantity(suction.viscosity_limit_m2_per_s, "", 3, "m2/s")),
            ("Oil in the tank, usable", _q(tank.usable_m3, "volume")),
            ("Left with the store full and every rod out", _q(tank.left_m3, "volume")),
            ("Needed then", _q(tank.needed_m3, "volume")),
        )
    )


def _failures(power: PowerResult) -> Table:
    columns = (
        Column("What fails", share=1.6),
        Column("What happens", share=2.4),
        Column("How it shows", share=1.8),
        Column("What still works", share=1.8),
        Column("Moves unasked"),
    )
    rows = tuple(
        (item.what, item.then, item.shows, item.remains, "yes" if item.moves_unasked else "no")
        for item in power.failures
    )
    return Table("single failures", "", columns, rows)


def duty_chapter(duty: DutyResult) -> Iterator[Section]:
    """Give a working day of the pack, replayed with the full model, and its first hour as curves."""
    facts = Facts(
        (
            ("Motions replayed, not arrived in time", f"{duty.motions:,} and {duty.unfinished:,}"),
            ("Disagreement with the day's run", _q(duty.disagreement_share, "share", 2)),
            ("Pump delivers", _q(duty.loaded_share, "share", 2)),
            ("Loaded", f"{duty.loadings_per_h:.0f} times an hour"),
            ("Lowest pressure in the store", _q(duty.lowest_pa, "pressure")),
            ("Oil at the end of the day", _q(duty.oil.end_degc, "temperature")),
            ("Energy from the outlet", Quantity(duty.electric_j / 3.6e6, "", 3, "kWh")),
            ("Petrol", _q(duty.fuel_kg, "mass")),
        )
    )
    words = "The replay agrees with the day's run within the stated tolerance."
    if not duty.agrees:
        words = "The replay disagrees with the day's run beyond the stated tolerance: what rests on it is not shown."
    yield Section("A day of the pack", (Paragraph(words), facts, _hour(duty)), level=2)


def _hour(duty: DutyResult) -> Plot:
    minutes = tuple(float(t) / 60 for t in duty.curve.time_s)
    gas, manifold = (tuple(float(p) / 1e5 for p in run) for run in (duty.curve.gas_pa, duty.curve.manifold_pa))
    return Plot(
        "pressure-first-hour",
        "Pressure over the first working hour",
        Axis("Time", "min"),
        Axis("Pressure", "bar"),
        (Curve("store", minutes, gas), Curve("manifold", minutes, manifold, role="steel")),
        markers=(Marker("lowest", duty.lowest_pa / 1e5),),
        alt=f"The store's pressure falls no lower than {duty.lowest_pa / 1e5:.0f} bar in the first hour.",
    )
