"""Hydraulics and its supply: times, forces, what the outlet carries, what is left without power, settings, failures."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.catalogue.line import motion_in_words
from stockproof.dossier.chapters.beside import found_beside
from stockproof.dossier.chapters.cells import RowCells, quantity
from stockproof.dossier.chapters.commissioning import parts_list, settings
from stockproof.dossier.chapters.supplying import supply_in_brief, supply_in_full
from stockproof.power import PowerResult
from stockproof.power.forces import PartForces
from stockproof.power.times import MotionTimes
from stockproof.scene.pages import Cautions, Cell, Column, Facts, Paragraph, Part, Said, Section, Table

__all__ = ["power_in_brief", "power_in_full"]

CONDITIONS = {"normal": "normal", "cold_morning": "cold morning", "hot_day": "hot day"}


def power_in_brief(power: PowerResult) -> Iterator[Section]:
    """Give what a customer wants to know: the outlet, how quick it is warm and cold, what is left without power."""
    yield Section("Power", (*supply_in_brief(power), _times_short(power), *_power_loss(power)))


def power_in_full(power: PowerResult) -> Iterator[Section]:
    """Give every answer of the power room."""
    yield Section("Power", (_pack(power), *found_beside(power)))
    yield Section("Supply", tuple(supply_in_full(power)), level=2)
    yield Section("Motion times", (Paragraph(f"{TIMES} Worst burst: {power.burst_in_words}."), _times(power)), level=2)
    yield Section("Forces", (_forces(power), _pads(power), _left_alone(power)), level=2)
    yield Section("Without power", tuple(_power_loss(power)), level=2)
    yield Section("Store", tuple(_store(power)), level=2)
    yield Section("Settings for the day of commissioning", tuple(settings(power)), level=2)
    yield Section("Parts of the circuit", (parts_list(power),), level=2)
    yield Section("Hoses, suction and tank", (_hoses(power), _suction(power)), level=2)
    yield Section("Single failures", (_failures(power),), level=2)
    yield Section("Cautions for work on the circuit", (Cautions(power.cautions),), level=2)


STORE = ("precharge_pa", "from_empty_s", "from_cut_in_s", "slow_m3", "fast_m3", "ideal_fast_m3", "holds_s")
TIMES = (
    "From the signal to arrival. Full: the store at cut-out. At cut-in: the store as low as it gets in normal work. "
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
    by_motion: dict[str, list[MotionTimes]] = {}
    for row in power.times:
        by_motion.setdefault(row.motion, []).append(row)
    rows = tuple(
        (
            motion_in_words(motion),
            _firms(rows[0]),
            *(
                next((_time_cells(row)("cut_in_s") for row in rows if row.condition == condition), None)
                for condition in ("normal", "cold_morning")
            ),
        )
        for motion, rows in by_motion.items()
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
            _firms(row),
            *(_time_cells(row)(field) for field in ("full_s", "cut_in_s", "burst_s", "pump_alone_s")),
        )
        for row in power.times
    )
    return Table("motion times", "", columns, rows)


def _time_cells(row: MotionTimes) -> RowCells:
    return RowCells(f"power.time.{row.motion}.{row.condition}", row)


def _firms(row: MotionTimes) -> Cell:
    return RowCells(f"power.time.{row.motion}", row)("catalogue_s")


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
            *(cell(field) for field in ("driven_n", "driven_max_n", "opening_n", "touch_n", "held_n")),
            part.held_by.replace("_", " "),
            cell("gives_way_n"),
        )
        for part, cell in _force_cells(power)
    )
    return Table("forces", "Forces at the parts", columns, rows)


def _force_cells(power: PowerResult) -> Iterator[tuple[PartForces, RowCells]]:
    return ((part, RowCells(f"power.force.{part.part}", part)) for part in power.forces)


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
            quantity(pad.at_rest_pa, "pressure", 2, figure=f"{name}.pressure"),
            quantity(pad.at_touch_pa, "pressure", 2, figure=f"{name}.at_touch"),
            quantity(pad.limit_pa, "pressure", 2, figure=f"power.{pad.touches}_pressure_limit"),
            "yes" if pad.within else "no",
        )
        for part in power.forces
        for pad in part.pads
        for name in [f"power.force.{part.part}.on_{pad.touches}"]
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
            cell("rod_side_pa"),
            cell("sun_rise_pa") if part.sun_rise_pa else "not locked",
            cell("sun_force_n") if part.sun_force_n else "not locked",
            cell("cooling_gap_m", 2, "mm") if part.cooling_gap_m else "not locked",
            cell("creep_m_per_s", 2, "mm/s") if part.creep_m_per_s else "no",
        )
        for part, cell in _force_cells(power)
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
            _asked(loss.after_s),
            cell("from_store"),
            Said(f"{loss.hand_strokes:.0f} strokes a release", f"{cell.name}.hand_strokes") if loss.by_hand else "no",
            ", ".join(loss.blocked),
        )
        for loss in power.power_loss
        for cell in [RowCells(f"power.loss.{loss.condition}.{loss.after_s:g}", loss)]
    )
    if rows:
        yield Table("without power", "Animals that can be let out after power is lost", columns, rows)


def _asked(after_s: float) -> str:
    """A time the table asks about, which is no result."""
    return f"{after_s / 60:.0f} min" if after_s else "at once"


def _pack(power: PowerResult) -> Facts:
    pack = power.prepared.circuit.pack
    cell = RowCells("power.pump", pack)
    loading: tuple[tuple[str, Cell], ...] = (("Loads", "while a part is driven; there is no store"),)
    if power.prepared.circuit.accumulator is not None:
        loading = (("Loads at", cell("cut_in_pa")), ("Unloads at", cell("cut_out_pa")))
    return Facts(
        (
            ("Power pack", pack.label),
            ("Flow of the pump", cell("flow_m3_per_s")),
            *loading,
            ("Relief", cell("relief_pa")),
            ("Oil", pack.oil_grade),
            ("Largest draw, in a burst or a day", quantity(power.peak_flow_m3_per_s, "flow", figure="power.peak_flow")),
            ("Noise at the control point", quantity(power.noise_db, "sound level", 2, figure="power.noise")),
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
            *(cell(field) for field in STORE),
        )
        for row in power.charging
        for cell in [RowCells(f"power.store.{row.condition}", row)]
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
            cell("shell_m3") if option.shell_m3 else "none",
            cell("precharge_pa") if option.shell_m3 else None,
            cell("fast_m3") if option.shell_m3 else None,
            cell("releases_from_store"),
            cell("from_empty_s") if option.from_empty_s else None,
            cell("slowing_share", 2),
            "; ".join((*(("this build",) if option.present else ()), *option.problems)),
        )
        for number, option in enumerate(power.options, 1)
        for cell in [RowCells(f"power.store.choice.{number}", option)]
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
            cell("length_m"),
            cell("bore_m", 3, "mm"),
            *(cell(field) for field in ("flow_m3_per_s", "velocity_m_per_s", "guide_m_per_s")),
            *(cell(field, 2) for field in ("drop_normal_pa", "drop_cold_pa", "surge_pa")),
            "yes" if row.within else "no",
        )
        for row in power.hoses
        for cell in [RowCells(f"power.line.{row.name}", row)]
    )
    note = "At most: the usual highest velocity of such a line; a quicker one heats the oil, chatters and wears. "
    note += "Return: the largest draw times the widest ratio of a cylinder's sides, which bounds it from above. "
    note += "Surge: pressure gained where that flow is stopped at once."
    return Table("hoses", "Hoses and pipes", columns, rows, note=note)


def _suction(power: PowerResult) -> Facts:
    suction, tank = RowCells("power.suction", power.suction), RowCells("power.tank", power.tank)
    return Facts(
        (
            ("Absolute pressure at the pump's inlet, coldest morning", suction("inlet_pa")),
            ("Least the pump takes", suction("least_pa")),
            ("Oil viscosity then", suction("viscosity_m2_per_s")),
            ("Most the pump starts with", suction("viscosity_limit_m2_per_s")),
            ("Oil in the tank, usable", tank("usable_m3")),
            ("Left with the store full and every rod out", tank("left_m3")),
            ("Needed then", tank("needed_m3")),
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
            _slows(item.slowing_share, f"power.failure.{item.code}.slowing"),
            "yes" if item.moves_unasked else "no",
        )
        for item in power.failures
    )
    return Table("single failures", "", columns, rows)


def _slows(share: float, figure: str) -> Cell:
    """How much longer the slowest motion takes; a part that gets no pressure stands still."""
    if not math.isfinite(share):
        return "stands still"
    return quantity(share, "share", 2, figure=figure) if share else None
