"""The electrical load sheet: motor, heater, cooler and everything the control's supply unit feeds, with their sum.

It is for choosing an outlet and for the electrician to start from; it sizes no protection.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import nan, sqrt

from stockproof.power.assumed import assumed
from stockproof.power.drive import motor_current, motor_input_power, pump_shaft_power
from stockproof.power.model import Circuit, Consumer, Control, Pack

__all__ = ["CONTROL_V", "LoadRow", "full_load_current_a", "load_sheet", "pack_shaft_power_w", "phases", "together_a"]

#: Extra-low voltage of controls (common practice).
CONTROL_V = 24.0
LOWER_BOUND = "; a lower bound, since the power of some consumers is not stated"


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A line of the load sheet; `fed_by` is the outlet or the control's supply unit, `together` marks the sum.

    `unstated` names those of it whose power nobody states: its power is a lower bound, and not finite where all are.
    """

    consumer: str
    count: int
    fed_by: str
    volts_v: float
    phases: int
    current_a: float
    start_current_a: float
    power_w: float
    note: str
    together: bool = False
    unstated: tuple[str, ...] = ()


def load_sheet(circuit: Circuit) -> tuple[LoadRow, ...]:
    """Give the load sheet; the sum is of what the outlet feeds, the motor at full load and all else on."""
    rows = [*_motor(circuit.pack), *_tank(circuit.pack)]
    if circuit.control is not None:
        rows += [_consumer(each) for each in circuit.control.consumers]
        rows.append(_supply_unit(circuit, circuit.control))
    if circuit.pack.drive != "petrol":
        rows.append(_sum(circuit))
    return tuple(rows)


def together_a(circuit: Circuit) -> float:
    """Current at the outlet with the motor at full load and everything else on, added up in phase. [A]"""
    pack = circuit.pack
    others = sum(row.current_a for row in _tank(pack))
    return (
        full_load_current_a(pack)
        + others
        + (_supply_unit(circuit, circuit.control).current_a if circuit.control else 0.0)
    )


def pack_shaft_power_w(pack: Pack) -> float:
    """Shaft power at the highest pressure the pump is loaded to: cut-out. [W]"""
    return pump_shaft_power(
        pressure=pack.cut_out_pa,
        flow=pack.flow_m3_per_s,
        volumetric_efficiency=pack.volumetric_efficiency,
        mechanical_efficiency=pack.mechanical_efficiency,
    )


def phases(pack: Pack) -> int:
    """Phases the pack's motor needs."""
    return 3 if pack.drive == "mains_3ph" else 1


def full_load_current_a(pack: Pack) -> float:
    """Current at full load: the nameplate's, or what power, voltage and efficiency give. [A]"""
    if pack.full_load_current_a is not None:
        return pack.full_load_current_a
    return motor_current(
        shaft_power=pack.shaft_power_w,
        voltage=pack.supply_v or 1.0,
        phase_factor=sqrt(3) if pack.drive == "mains_3ph" else 1.0,
        power_factor=pack.power_factor,
        motor_efficiency=pack.motor_efficiency,
    )


def _motor(pack: Pack) -> Iterator[LoadRow]:
    if pack.drive == "petrol":
        return
    current = full_load_current_a(pack)
    yield LoadRow(
        pack.label,
        1,
        "outlet",
        pack.supply_v or 0.0,
        phases(pack),
        current,
        current * pack.start_current_ratio,
        motor_input_power(pack.shaft_power_w, pack.motor_efficiency),
        "at its nameplate; starts unloaded; branch conductor for at least 125 % of this current where local rules ask",
    )


def _tank(pack: Pack) -> list[LoadRow]:
    """Heater and cooler: resistive load and a fan, both on one phase."""
    single = _single_phase_v(pack)
    rows = (("oil heater in the tank", pack.heater_w), ("fan of the oil cooler", pack.cooler_w))
    return [
        LoadRow(name, 1, "outlet", single, 1, power / single, power / single, power, "counted in the sum at the outlet")
        for name, power in rows
        if power is not None and pack.drive != "petrol"
    ]


def _consumer(each: Consumer) -> LoadRow:
    nothing = each.unstated and not each.power_w
    power = nan if nothing else each.power_w
    note = f"{'not stated' if nothing else 'at least; not stated'} for: {', '.join(each.unstated)}" * bool(
        each.unstated
    )
    current = power / CONTROL_V
    return LoadRow(
        each.label, each.count, "supply unit", CONTROL_V, 0, current, current, power, note, unstated=each.unstated
    )


def _supply_unit(circuit: Circuit, control: Control) -> LoadRow:
    """What the supply unit takes with everything it feeds at work."""
    power = control.power_w / control.supply_efficiency
    name = "supply unit of the controller"
    if circuit.pack.drive == "petrol":
        note = "from a battery the engine charges, or an outlet of its own" + _least(control)
        return LoadRow(name, 1, "battery", CONTROL_V, 0, power / CONTROL_V, power / CONTROL_V, power, note)
    single = _single_phase_v(circuit.pack)
    current = power / (single * assumed("electronics_power_factor"))
    note = "feeds the lines at 24 V; keep it off the motor's branch where the start dip restarts it"
    note += _least(control)
    return LoadRow(name, 1, "outlet", single, 1, current, current, power, note)


def _least(control: Control) -> str:
    """What a sum says that leaves out what nobody states."""
    return LOWER_BOUND * any(each.unstated for each in control.consumers)


def _sum(circuit: Circuit) -> LoadRow:
    pack, current = circuit.pack, together_a(circuit)
    motor_w = motor_input_power(pack.shaft_power_w, pack.motor_efficiency)
    others_w = sum(row.power_w for row in _tank(pack))
    control_w = _supply_unit(circuit, circuit.control).power_w if circuit.control else 0.0
    start = current + full_load_current_a(pack) * (pack.start_current_ratio - 1.0)
    note = "the motor at full load and everything else on, currents added as if in phase (unfavourable)"
    note += _least(circuit.control) if circuit.control else ""
    volts, count = pack.supply_v or 0.0, phases(pack)
    watts = motor_w + others_w + control_w
    return LoadRow("together at the outlet", 1, "outlet", volts, count, current, start, watts, note, together=True)


def _single_phase_v(pack: Pack) -> float:
    volts = pack.supply_v or 1.0
    return volts / sqrt(3) if pack.drive == "mains_3ph" else volts
