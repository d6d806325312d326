"""Hydraulics and its supply: times, forces, what the outlet carries, what is left without power, settings, failures."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.dossier.chapters.cells import quantity
from stockproof.dossier.chapters.commissioning import parts_list, settings
from stockproof.dossier.chapters.pumping import duty_chapter
from stockproof.dossier.chapters.supplying import supply_in_brief, supply_in_full
from stockproof.power import PowerResult
from stockproof.scene.pages import Cautions, Cell, Column, Facts, Paragraph, Part, Quantity, Section, Table

__all__ = ["duty_chapter", "power_in_brief", "power_in_full"]

CONDITIONS = {"normal": "normal", "cold_morning": "cold morning", "hot_day": "hot day"}


def power_in_brief(power: PowerResult) -> Iterator[Section]:
    """Give what a customer wants to know: the outlet, how quick it is warm and cold, what is left without power."""
    yield Section("Power", (*supply_in_brief(power), _times_short(power), *_power_loss(power)))


def power_in_full(power: PowerResult) -> Iterator[Section]:
    """Give every answer of the power room."""
    yield Section("Power", (_pack(power),))
    yield Section("Supply", tuple(supply_in_full(power)), level=2)
    yield Section("Motion times", (Paragraph(TIMES), _times(power)), level=2)
    yield Section("Forces", (_forces(power), _pads(power), _left_alone(power)), level=2)
    yield Section("Without power", tuple(_power_loss(power)), level=2)
    yield Section("Store", tuple(_store(power)), level=2)
    yield Section("Settings for the day of commissioning", tuple(settings(power)), level=2)
    yield Section("Parts of the circuit", (parts_list(power),), level=2)
    yield Section("Hoses, suction and tank", (_hoses(power), _suction(power)), level=2)
    yield Section("Single failures", (_failures(power),), level=2)
    yield Section("Cautions for work on the circuit", (Cautions(power.cautions),), level=2)


TIMES = (
    "From the signal to arrival. Full: the store at cut-out. At cut-in: the store as low as it gets in normal work. In "
    "the worst burst: the parts move in the quickest order the running of the line allows. "
    "Pump alone: what the pump's flow takes to fill the stroke, by hand; with the store shut off no part is quicker."
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
            quantity(row.catalogue_s, "duration"),
            quantity(row.cut_in_s, "duration"),
            quantity(cold.get(row.motion, math.inf), "duration"),
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
        Column("Pump alone", "right"),
    )
    rows = tuple(
        (
            row.motion,
            CONDITIONS.get(row.condition, row.condition),
            quantity(row.catalogue_s, "duration"),
            quantity(row.full_s, "duration"),
            quantity(row.cut_in_s, "duration"),
            quantity(row.burst_s, "duration"),
            quantity(row.pump_alone_s, "duration"),
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
            quantity(part.driven_n, "force"),
            quantity(part.driven_max_n, "force"),
            quantity(part.opening_n, "force"),
            quantity(part.touch_n, "force"),
            quantity(part.held_n, "force"),
            part.held_by.replace("_", " "),
            quantity(part.gives_way_n, "force"),
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
            quantity(pad.at_rest_pa, "pressure", 2),
            quantity(pad.at_touch_pa, "pressure", 2),
            quantity(pad.limit_pa, "pressure", 2),
            "yes" if pad.within else "no",
        )
        for part in power.forces
        for pad in part.pads
    )
    return Table("contact pressures", "Mean pressure on the animal", columns, rows)


def _left_alone(power: PowerResult) -> Table:
    """What a part does that is locked in the sun, cools, is shoved, or drives against a throttled rod side."""
    columns = (
        Column("Part", share=1.5),
        Column("Rod side, throttled", "right"),
        Column("In the sun, against a stop", "right"),
        Column("In the sun, on an animal", "right"),
        Column("Given back as it cools", "right"),
        Column("Creeps when shoved", "right"),
    )
    rows = tuple(
        (
            part.part,
            quantity(part.rod_side_pa, "pressure"),
            quantity(part.sun_rise_pa, "pressure") if part.sun_rise_pa else "not locked",
            quantity(part.sun_force_n, "force") if part.sun_force_n else "not locked",
            quantity(part.cooling_gap_m, "length", 2, "mm") if part.cooling_gap_m else "not locked",
            quantity(part.creep_m_per_s, "speed", 2, "mm/s") if part.creep_m_per_s else "no",
        )
        for part in power.forces
    )
    note = "Pressure and force gained on top of what is set, were nothing to give way; a port relief bounds them."
    return Table("left alone", "Intensified, locked and left in the sun, cooled, shoved", columns, rows, note=note)


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
            quantity(loss.after_s, "duration"),
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
    loading: tuple[tuple[str, Cell], ...] = (("Loads", "while a part is driven; there is no store"),)
    if power.prepared.circuit.accumulator is not None:
        cut_in, cut_out = quantity(pack.cut_in_pa, "pressure"), quantity(pack.cut_out_pa, "pressure")
        loading = (("Loads at", cut_in), ("Unloads at", cut_out))
    return Facts(
        (
            ("Power pack", pack.label),
            ("Flow of the pump", quantity(pack.flow_m3_per_s, "flow")),
            *loading,
            ("Relief", quantity(pack.relief_pa, "pressure")),
            ("Oil", pack.oil_grade),
            ("Largest draw in the worst burst", quantity(power.peak_flow_m3_per_s, "flow")),
            ("Noise at the control point", quantity(power.noise_db, "sound level", 2)),
        )
    )


def _store(power: PowerResult) -> Iterator[Part]:
    columns = (
        Column("Condition", share=1.5),
        Column("Precharge", "right"),
        Column("Filled from empty in", "right"),
        Column("From cut-in in", "right"),
        Column("Used slowly", "right"),
        Column("Used at once", "right"),
        Column("Ideal rule says", "right"),
        Column("Lasts by leakage alone", "right"),
    )
    rows = tuple(
        (
            CONDITIONS.get(row.condition, row.condition),
            quantity(row.precharge_pa, "pressure"),
            quantity(row.from_empty_s, "duration"),
            quantity(row.from_cut_in_s, "duration"),
            quantity(row.slow_m3, "volume"),
            quantity(row.fast_m3, "volume"),
            quantity(row.ideal_fast_m3, "volume"),
            quantity(row.holds_s, "duration"),
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
        Column("Filled in", "right"),
        Column("Slower in a burst", "right"),
        Column("Remarks", share=3),
    )
    rows = tuple(
        (
            quantity(option.shell_m3, "volume") if option.shell_m3 else "none",
            quantity(option.precharge_pa, "pressure") if option.shell_m3 else None,
            quantity(option.fast_m3, "volume") if option.shell_m3 else None,
            option.releases_from_store,
            quantity(option.from_empty_s, "duration") if option.from_empty_s else None,
            quantity(option.slowing_share, "share", 2),
            "; ".join((*(("this build",) if option.present else ()), *option.problems)),
        )
        for option in power.options
    )
    if rows:
        yield Table("stores compared", "Stores compared", columns, rows)


def _hoses(power: PowerResult) -> Table:
    columns = (
        Column("Line", share=2),
        Column("Length", "right"),
        Column("Bore", "right"),
        Column("Flow", "right"),
        Column("Velocity", "right"),
        Column("At most", "right"),
        Column("Lost warm", "right"),
        Column("Lost cold", "right"),
        Column("Surge", "right"),
        Column("Within"),
    )
    rows = tuple(
        (
            row.name,
            quantity(row.length_m, "length"),
            quantity(row.bore_m, "length", 3, "mm"),
            quantity(row.flow_m3_per_s, "flow"),
            quantity(row.velocity_m_per_s, "speed"),
            quantity(row.guide_m_per_s, "speed"),
            quantity(row.drop_normal_pa, "pressure", 2),
            quantity(row.drop_cold_pa, "pressure", 2),
            quantity(row.surge_pa, "pressure", 2),
            "yes" if row.within else "no",
        )
        for row in power.hoses
    )
    note = "At most: the usual highest velocity of such a line; a quicker one heats the oil, chatters and wears. "
    note += "Surge: pressure gained where that flow is stopped at once."
    return Table("hoses", "Hoses and pipes", columns, rows, note=note)


def _suction(power: PowerResult) -> Facts:
    suction, tank = power.suction, power.tank
    return Facts(
        (
            ("Absolute pressure at the pump's inlet, coldest morning", quantity(suction.inlet_pa, "pressure")),
            ("Least the pump takes", quantity(suction.least_pa, "pressure")),
            ("Oil viscosity then", Quantity(suction.viscosity_m2_per_s, "", 3, "m2/s")),
            ("Most the pump starts with", Quantity(suction.viscosity_limit_m2_per_s, "", 3, "m2/s")),
            ("Oil in the tank, usable", quantity(tank.usable_m3, "volume")),
            ("Left with the store full and every rod out", quantity(tank.left_m3, "volume")),
            ("Needed then", quantity(tank.needed_m3, "volume")),
        )
    )


def _failures(power: PowerResult) -> Table:
    columns = (
        Column("What fails", share=1.6),
        Column("What happens", share=2.4),
        Column("How it shows", share=1.8),
        Column("What still works", share=1.8),
        Column("Slows by", "right"),
        Column("Moves unasked"),
    )
    rows = tuple(
        (
            item.what,
            item.then,
            item.shows,
            item.remains,
            _slows(item.slowing_share),
            "yes" if item.moves_unasked else "no",
        )
        for item in power.failures
    )
    return Table("single failures", "", columns, rows)


def _slows(share: float) -> Cell:
    """How much longer the slowest motion takes; a part that gets no pressure stands still."""
    if not math.isfinite(share):
        return "stands still"
    return quantity(share, "share", 2) if share else None
