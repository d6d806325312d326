"""Sets the tables of the power room down in a ledger, row by row; it computes nothing new.

Each entry below names a field of a row and says in words what it is; its unit is read off the field's name.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from stockproof.fields import set_down, set_given
from stockproof.figures import Figure, Ledger, Source
from stockproof.power.components import components
from stockproof.power.duty import DutyResult
from stockproof.power.model import Pack
from stockproof.power.solve import PowerResult
from stockproof.units import DIMENSIONS

__all__ = ["publish_duty", "publish_rows"]

MODEL = "reduced hydraulic model of the circuit; oil incompressible, real nitrogen"
REPLAY = "one working day's motions replayed with the full model of the circuit"
CATALOGUE = Source("catalogue")
NOBODY = Source("nothing is counted, so that the sum of the load sheet is a lower bound")
PACK = {"cut_in_pa": "pressure at which the pump is loaded again", "relief_pa": "relief pressure"}
TIMES = {"pump_alone_s": "time the pump's flow alone takes to fill the stroke"}
FORCES = {
    "driven_n": "force at rest, as set",
    "driven_max_n": "force at rest at the highest setting the firm allows",
    "opening_n": "force the other way",
    "touch_n": "bound of the force at first touch",
    "held_n": "push-back withstood undriven",
    "gives_way_n": "push-back at which it gives way while driven",
    "creep_m_per_s": "speed at which it yields under a shove, undriven",
    "rod_side_pa": "highest pressure on the throttled rod side",
    "sun_rise_pa": "pressure gained by oil locked in the sun",
    "sun_force_n": "force gained against an animal in the sun",
    "cooling_gap_m": "travel given back as it cools",
}
PADS = {"at_touch_pa": "mean pressure at first touch"}
CHARGING = {
    "precharge_pa": "precharge at this temperature",
    "from_empty_s": "time to fill from empty",
    "from_cut_in_s": "time to fill from cut-in",
    "slow_m3": "oil between cut-out and cut-in, used slowly",
    "fast_m3": "oil between cut-out and cut-in, used at once",
    "ideal_fast_m3": "the same by the ideal rule of handbooks",
    "holds_s": "time from cut-out to cut-in by leakage alone",
}
STORES = {
    "shell_m3": "shell of the store",
    "precharge_pa": "precharge",
    "fast_m3": "oil to be had at once",
    "releases_from_store": "releases from the store alone",
    "from_empty_s": "time to fill from empty",
    "slowing_share": "slowing of the slowest motion in the worst burst",
}
LOSSES = {"from_store": "animals let out from the store alone", "hand_strokes": "strokes of the hand pump a release"}
OUTLETS = {
    "shaft_w": "shaft power at the current carried",
    "needed_torque_share": "share of starting torque needed",
    "controller_gap_s": "time the start dip holds the control's supply too low",
    "cable_needed_mm2": "smallest conductor that is enough",
}
WAYS = {
    "current_a": "current the pack takes",
    "allowed_a": "current carried",
    "cable_mm2": "conductor of the cable",
    "drop_share": "share of voltage lost running",
    "start_share": "share of voltage left at the start",
}
LOADS = {
    "count": "number",
    "phases": "phases",
    "volts_v": "voltage",
    "current_a": "current",
    "start_current_a": "current at the start",
    "power_w": "power",
}
SETTINGS = {
    "setting_pa": "setting of the valve",
    "lowest_pa": "lowest setting the firm allows",
    "highest_pa": "highest setting the firm allows",
    "time_s": "time to check it by",
}
CARD = {
    "width_m": "width",
    "setting_pa": "setting",
    "force_n": "force",
    "pad_pa": "mean pressure on the animal",
    "closing_s": "time to close",
    "control_s": "time the control waits",
    "watch_s": "time after which it may be called slow",
}
HOSES = {
    "length_m": "length",
    "bore_m": "bore",
    "flow_m3_per_s": "largest flow",
    "velocity_m_per_s": "velocity",
    "guide_m_per_s": "usual highest velocity",
    "drop_normal_pa": "pressure lost warm",
    "drop_cold_pa": "pressure lost on the coldest morning",
    "surge_pa": "pressure gained where that flow is stopped at once",
}
SUCTION = {
    "inlet_pa": "absolute pressure at the inlet",
    "least_pa": "least pressure the pump takes",
    "viscosity_m2_per_s": "viscosity of the oil",
    "viscosity_limit_m2_per_s": "largest viscosity the pump starts with",
}
TANK = {
    "usable_m3": "usable oil",
    "left_m3": "oil left with the store full and every rod out",
    "needed_m3": "oil needed then",
}
ENGINE = {
    "power_left_w": "power left at this height and heat",
    "power_needed_w": "power the pump asks",
    "fuel_kg_per_kwh": "petrol for each kilowatt hour at the shaft",
}
DAY = {
    "motions": "motions replayed",
    "unfinished": "motions not arrived in time",
    "law_mean_s": "mean time of a motion in the day's run",
    "replay_mean_s": "mean time of a motion, replayed",
    "disagreement_share": "disagreement of the means",
    "widest_share": "disagreement 95 in a hundred motions keep within",
    "loaded_share": "share of the time the pump delivers",
    "loadings_per_h": "loadings of the pump",
    "peak_flow_m3_per_s": "largest draw",
    "lowest_pa": "lowest pressure in the store",
    "fuel_kg": "petrol of the day",
    "engine_fuel_kg": "petrol of the day, if an engine turned the pump",
    "shaft_j": "energy at the shaft",
    "electric_j": "energy from the outlet",
}
OIL = {
    "end_degc": "oil temperature at the end",
    "steady_degc": "oil temperature if the day never ended",
    "limit_degc": "temperature at which the oil is as thin as the pump should run on",
    "cooling_w": "heat a cooler would have to take off",
}
AGREEMENT = {
    "count": "times",
    "law_s": "mean time in the day's run",
    "replay_s": "mean time, replayed",
    "off_share": "off by",
}
HOLD = {"count": "times", "median_s": "half the holds no longer than", "longest_s": "longest hold"}


@dataclass(frozen=True, slots=True)
class RestsOn:
    """Which assumptions the answers rest on, by what is answered."""

    motions: tuple[Figure, ...]
    forces: tuple[Figure, ...]
    supply: tuple[Figure, ...]


def publish_rows(result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    """Set every row of every table down."""
    _pack(result.prepared.circuit.pack, result, ledger, rests_on)
    _parts(result, ledger, rests_on)
    _store(result, ledger, rests_on)
    _supply(result, ledger, rests_on)
    _setting(result, ledger, rests_on)
    for hose in result.hoses:
        set_down(ledger, f"power.line.{hose.name}", hose.name, hose, HOSES, MODEL, rests_on.motions)
    set_down(
        ledger,
        "power.suction",
        "the pump's inlet on the coldest morning",
        result.suction,
        SUCTION,
        MODEL,
        rests_on.motions,
    )
    set_down(ledger, "power.tank", "the tank", result.tank, TANK, "volumes of tank, store and rods")
    for found in result.findings:
        if isfinite(found.enough):
            label, unit = f"{found.mend}: enough", DIMENSIONS[found.enough_dimension].si
            bears = rests_on.forces if found.code.startswith("pad.") else rests_on.motions
            ledger.run(f"power.finding.{found.code}.enough", found.enough, unit, label, MODEL, bears)
    for failure in result.failures:
        slows = {"slowing_share": "slowing of the slowest motion"}
        set_down(ledger, f"power.failure.{failure.code}", failure.what, failure, slows, MODEL, rests_on.motions)
    for part in components(result.prepared.circuit):
        for fact in part.facts:
            name, label = f"power.part.{part.tag}.{fact.name}", f"{fact.name}, {part.label} {part.tag}"
            if isfinite(fact.value):
                ledger.given(name, fact.value, DIMENSIONS[fact.dimension].si, label, Source(f"catalogue, {part.item}"))


def publish_duty(duty: DutyResult, programme: str, ledger: Ledger) -> None:
    """Set the replayed day of a programme down."""
    name, about = f"power.day.{programme}", f"a day of {programme}"
    set_down(ledger, name, about, duty, DAY, REPLAY)
    set_down(ledger, f"{name}.oil", about, duty.oil, OIL, f"heat balance of tank and oil; {REPLAY}")
    for row in duty.by_motion:
        set_down(ledger, f"{name}.motion.{row.motion}", f"{row.motion}, {about}", row, AGREEMENT, REPLAY)
    for hold in duty.holds:
        set_down(ledger, f"{name}.hold.{hold.part}", f"{hold.part}, {about}", hold, HOLD, "read off the day's motions")


def _pack(pack: Pack, result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    set_given(ledger, "power.pump", "power pack", pack, PACK, Source(f"catalogue, {pack.item}"))
    label = "largest draw of all parts together, in the worst burst and the days replayed"
    ledger.run("power.peak_flow", result.peak_flow_m3_per_s, "m3/s", label, MODEL, rests_on.motions)


def _parts(result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    for row in result.times:
        name, about = f"power.time.{row.motion}.{row.condition}", f"{row.motion}, {row.condition.replace('_', ' ')}"
        set_given(ledger, f"power.time.{row.motion}", row.motion, row, {"catalogue_s": "the firm's time"}, CATALOGUE)
        set_down(ledger, name, about, row, TIMES, MODEL, rests_on.motions)
    for part in result.forces:
        set_down(ledger, f"power.force.{part.part}", part.part, part, FORCES, MODEL, rests_on.forces)
        for pad in part.pads:
            name = f"power.force.{part.part}.on_{pad.touches}"
            set_down(ledger, name, f"{part.part} on the {pad.touches}", pad, PADS, MODEL, rests_on.forces)


def _store(result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    for row in result.charging:
        about = f"the store, {row.condition.replace('_', ' ')}"
        set_down(ledger, f"power.store.{row.condition}", about, row, CHARGING, MODEL, rests_on.motions)
    for number, option in enumerate(result.options, 1):
        set_down(
            ledger,
            f"power.store.choice.{number}",
            f"store {number} of those compared",
            option,
            STORES,
            MODEL,
            rests_on.motions,
        )
    for loss in result.power_loss:
        name = f"power.loss.{loss.condition}.{loss.after_s:g}"
        about = f"{loss.after_s:g} s after power is lost, {loss.condition.replace('_', ' ')}"
        set_down(ledger, name, about, loss, LOSSES, "stored oil less leakage, round by round", rests_on.motions)


def _supply(result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    for option in result.supplies:
        set_down(
            ledger,
            f"power.supply.{option.outlet}",
            option.outlet,
            option,
            OUTLETS,
            "cable, nameplate and dip",
            rests_on.supply,
        )
    for way in result.ways:
        set_down(ledger, f"power.way.{way.way}", way.way, way, WAYS, "cable and nameplate", rests_on.supply)
        if isfinite(way.rating):
            name = f"power.way.{way.way}.rating"
            if way.present:
                source = Source(f"catalogue, {result.prepared.circuit.pack.item}")
                ledger.given(name, way.rating, way.rating_unit, f"rating of the engine, {way.way}", source)
                continue
            label, how = f"rating asked, {way.way}", "running and starting, derated by height and heat"
            ledger.run(name, way.rating, way.rating_unit, label, how, rests_on.supply)
    control = result.prepared.circuit.control
    if control is not None:
        rides = {"ride_through_s": "dip of its supply that the control rides through"}
        set_given(ledger, "power.control", "controller", control, rides, CATALOGUE)
    for row in result.load_sheet:
        if row.unstated:
            label = f"power counted for {', '.join(row.unstated)}, which nobody states"
            ledger.assume(f"power.load.{row.consumer}.unstated", 0.0, "W", label, NOBODY)
        set_down(
            ledger, f"power.load.{row.consumer}", row.consumer, row, LOADS, "nameplates, added up", rests_on.supply
        )
    if result.engine is not None:
        set_down(
            ledger,
            "power.engine",
            "the engine",
            result.engine,
            ENGINE,
            "engine derated by height and heat",
            rests_on.supply,
        )


def _setting(result: PowerResult, ledger: Ledger, rests_on: RestsOn) -> None:
    how = "set so that the motion takes the firm's time"
    for row in result.part_settings:
        set_down(
            ledger,
            f"power.setting.{row.part}.{row.motion}",
            f"{row.part}, {row.motion}",
            row,
            SETTINGS,
            how,
            rests_on.motions,
        )
    for pack in result.pack_settings:
        ledger.run(
            f"power.setting.{pack.name}",
            pack.value,
            pack.unit,
            pack.name,
            "settings of pack and store",
            rests_on.motions,
        )
    for card in result.card:
        about = f"{card.part} for {card.stock}"
        set_down(
            ledger,
            f"power.card.{card.stock}.{card.part}",
            about,
            card,
            CARD,
            "lowest of the limits that hold",
            rests_on.forces,
        )
