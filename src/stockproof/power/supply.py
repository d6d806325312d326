"""Whether an outlet, a heavier cable or an engine carries the pack: current, voltage drop, start dip, fuel.

Local wiring rules and a licensed electrician decide; stray voltage makes cattle balk, so the pack, crush and
yard steel are bonded together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from stockproof.power.assumed import assumed
from stockproof.power.drive import engine_power_at_altitude, shaft_power_from_supply
from stockproof.power.electrical import (
    cable_sizes_mm2,
    generator_power,
    start_voltage_share,
    torque_share,
    voltage_drop,
)
from stockproof.power.loads import full_load_current_a, pack_shaft_power_w, phases, together_a
from stockproof.power.model import Circuit, Outlet, Pack

__all__ = [
    "BONDING",
    "EngineOption",
    "GeneratorNeed",
    "SupplyOption",
    "engine",
    "engine_rating_w",
    "generator",
    "supplies",
    "with_cable",
]

BONDING = (
    "Bond the power pack, crush, race and yard steel together and to the installation's earth: a few volts between "
    "floor and steel make cattle balk. A licensed electrician tests it."
)
#: IEC 60364-5-52:2009, annex G: copper in service, ohm mm2/m, and reactance of a conductor, ohm/m.
COPPER_IN_SERVICE = 0.0225
REACTANCE = 0.08e-3
#: Motors run on voltages this far from their plate (common practice, IEC 60034-1 zone A is 5 %).
_VOLTAGE_BAND = 0.10


@dataclass(frozen=True, slots=True)
class SupplyOption:
    """A mains outlet against the pack.

    Parameters
    ----------
    outlet : str
    current_a, allowed_a : float
        Full-load current of the pack, and what the weaker of socket and breaker carries.
    together_a : float
        Current with the pump at cut-out and everything else at work; see `loads`.
    shaft_w : float
        Shaft power a motor like this one gives at the current carried.
    drop_share, drop_limit_share : float
        Voltage lost running, over the voltage, and the limit.
    start_share : float
        Share of voltage left at the motor as it starts.
    start_torque_share, needed_torque_share : float
        Share of starting torque left, and needed with the pump unloaded.
    controller_gap_s : float
        Time the start dip holds the voltage below what the controller's supply needs; 0 where it does not.
    cable_needed_mm2 : float
        Smallest standard conductor that keeps the running drop and the start torque; infinite if none does.
    problems : tuple of str
        What speaks against it, in sentences; empty where it is carried.
    """

    outlet: str
    current_a: float
    allowed_a: float
    together_a: float
    shaft_w: float
    drop_share: float
    drop_limit_share: float
    start_share: float
    start_torque_share: float
    needed_torque_share: float
    controller_gap_s: float
    cable_needed_mm2: float
    problems: tuple[str, ...]

    @property
    def carries(self) -> bool:
        return not self.problems


@dataclass(frozen=True, slots=True)
class EngineOption:
    """A petrol engine at this height and heat against what the pump asks."""

    power_left_w: float
    power_needed_w: float
    fuel_kg_per_kwh: float

    @property
    def carries(self) -> bool:
        return self.power_left_w >= self.power_needed_w


@dataclass(frozen=True, slots=True)
class GeneratorNeed:
    """Apparent power of a generator: to run the pack, and to start it without the voltage falling too far. [V A]"""

    running_va: float
    starting_va: float

    @property
    def needed_va(self) -> float:
        return max(self.running_va, self.starting_va)


def supplies(circuit: Circuit) -> tuple[SupplyOption, ...]:
    """Give every outlet of the site against the pack; none where an engine drives it."""
    if circuit.pack.drive == "petrol":
        return ()
    return tuple(on_outlet(circuit, outlet) for outlet in circuit.outlets)


def with_cable(circuit: Circuit, outlet: Outlet, cable_mm2: float) -> SupplyOption:
    """Give an outlet again with another cable to the pack."""
    return on_outlet(circuit, replace(outlet, cable_area_m2=cable_mm2 * 1e-6))


def engine(circuit: Circuit) -> EngineOption | None:
    """Give the engine against its pump on the hottest day; None where mains drives it."""
    if circuit.pack.drive != "petrol":
        return None
    left = circuit.pack.shaft_power_w * _engine_left(circuit)
    return EngineOption(left, pack_shaft_power_w(circuit.pack), circuit.pack.fuel_kg_per_kwh or assumed("petrol_fuel"))


def engine_rating_w(circuit: Circuit) -> float:
    """Rated power an engine must have to turn the pump at this height on the hottest day. [W]"""
    return pack_shaft_power_w(circuit.pack) / _engine_left(circuit)


def _engine_left(circuit: Circuit) -> float:
    """Share of its rated power an engine has at this height on the hottest day."""
    return engine_power_at_altitude(
        rated_power=1.0,
        altitude=circuit.altitude_m,
        temperature=circuit.hottest_degc,
        loss_per_metre=assumed("engine_altitude_loss"),
        loss_per_degree=assumed("engine_heat_loss"),
    )


def generator(circuit: Circuit) -> GeneratorNeed | None:
    """Give the generator that would carry the pack; None where an engine drives the pump."""
    pack = circuit.pack
    if pack.drive == "petrol":
        return None
    current, volts = full_load_current_a(pack), pack.supply_v or 0.0
    factor = sqrt(3) if phases(pack) == 3 else 1.0
    start = generator_power(
        reactance=assumed("generator_reactance"),
        start_power=factor * volts * current * pack.start_current_ratio,
        voltage_share=assumed("start_torque_share") ** 0.5,
    )
    return GeneratorNeed(factor * volts * current, start)


def on_outlet(circuit: Circuit, outlet: Outlet) -> SupplyOption:
    """Give one outlet with its cable against the pack."""
    pack, current = circuit.pack, full_load_current_a(circuit.pack)
    allowed = min(outlet.outlet_a, outlet.breaker_a)
    drop, start = _drop_share(pack, outlet, current), _start_share(pack, outlet, current)
    torque = torque_share(start)
    needed = assumed("start_torque_share")
    gap = assumed("start_time") if start < assumed("controller_hold_share") else 0.0
    together = together_a(circuit)
    problems = []
    if outlet.phases < phases(pack):
        problems.append("the pack is three-phase and the outlet single-phase")
    if pack.supply_v is not None and abs(outlet.volts_v / pack.supply_v - 1) > _VOLTAGE_BAND:
        problems.append(f"the pack is for {pack.supply_v:.0f} V and the outlet has {outlet.volts_v:.0f} V")
    if current > allowed:
        problems.append(f"the pack draws {current:.1f} A at full load and the outlet carries {allowed:.0f} A")
    elif together > allowed:
        problems.append(f"with control and tank it draws {together:.1f} A and the outlet carries {allowed:.0f} A")
    limit = assumed("drop_limit_share")
    if drop > limit:
        problems.append(f"the cable loses {drop:.1%} of the voltage running; {limit:.0%} is the limit")
    if torque < needed:
        problems.append(f"the motor starts with {torque:.0%} of its torque; the unloaded pump needs {needed:.0%}")
    if circuit.control is not None and gap > circuit.control.ride_through_s:
        problems.append(
            f"the start dip to {start:.0%} of the voltage lasts {gap:.1f} s and the controller rides through "
            f"{circuit.control.ride_through_s:.2f} s: it would restart"
        )
    return SupplyOption(
        outlet.name,
        current,
        allowed,
        together,
        shaft_power_from_supply(
            voltage=outlet.volts_v,
            current=allowed,
            phase_factor=sqrt(3) if outlet.phases == 3 else 1.0,
            power_factor=pack.power_factor,
            motor_efficiency=pack.motor_efficiency,
        ),
        drop,
        limit,
        start,
        torque,
        needed,
        gap,
        _cable_needed(pack, outlet, current),
        tuple(problems),
    )


def _drop_share(pack: Pack, outlet: Outlet, current_a: float) -> float:
    """Running drop of the cable over the outlet's voltage."""
    drop = voltage_drop(
        factor=sqrt(3) if phases(pack) == 3 else 2.0,
        length=outlet.cable_length_m,
        resistance=COPPER_IN_SERVICE / (outlet.cable_area_m2 * 1e6),
        reactance=REACTANCE,
        power_factor=pack.power_factor,
        current=current_a,
    )
    return drop / outlet.volts_v


def _start_share(pack: Pack, outlet: Outlet, current_a: float) -> float:
    """Voltage left at the motor as it starts; source and cable taken in phase with it (unfavourable)."""
    conductors = 1.0 if phases(pack) == 3 else 2.0
    cable = conductors * outlet.cable_length_m * COPPER_IN_SERVICE / (outlet.cable_area_m2 * 1e6)
    voltage = outlet.volts_v / (sqrt(3) if phases(pack) == 3 else 1.0)
    return start_voltage_share(
        start_current=current_a * pack.start_current_ratio,
        path_impedance=outlet.source_impedance_ohm + cable,
        voltage=voltage,
    )


def _cable_needed(pack: Pack, outlet: Outlet, current_a: float) -> float:
    for size in cable_sizes_mm2():
        tried = replace(outlet, cable_area_m2=size * 1e-6)
        drop_kept = _drop_share(pack, tried, current_a) <= assumed("drop_limit_share")
        if drop_kept and torque_share(_start_share(pack, tried, current_a)) >= assumed("start_torque_share"):
            return size
    return float("inf")
