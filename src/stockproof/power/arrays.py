"""Turns a circuit and a condition into the plain arrays the compiled solver takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power import oil
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import annulus_area, piston_area
from stockproof.power.gas import ATMOSPHERE_PA, KELVIN, nitrogen_density
from stockproof.power.model import Actuator, Circuit, Condition
from stockproof.power.valves import orifice_viscous_part

__all__ = ["Arrays", "Throttle", "arrays", "gas_mass_kg", "gas_volume_at", "wide_open"]

Floats = NDArray[np.float64]
#: A throttle screwed right out is this many times as wide as its valve.
_OPEN_RATIO = 5.0
_KV_STUB_PA, _KV_RETURN_PA = 0.5e5, 1e5


@dataclass(frozen=True, slots=True)
class Throttle:
    """Speed throttle of one part for both ways, as turbulent flow over root of pressure drop."""

    out_m3_per_s_sqrt_pa: float
    in_m3_per_s_sqrt_pa: float


@dataclass(frozen=True, slots=True)
class Arrays:
    """A circuit in one condition, ready to be run; see `columns` for the places."""

    parts: Floats
    store: Floats
    ambient_k: float

    def without_contact(self) -> Arrays:
        """The same with nothing to touch."""
        parts = self.parts.copy()
        parts[:, c.CONTACT_WAY] = 0.0
        return replace(self, parts=parts)

    def with_contact(self, part: int, *, at_m: float, stiffness_n_per_m: float, way: int) -> Arrays:
        """The same with something to press on, at a rod position and with a stiffness at the rod."""
        parts = self.parts.copy()
        parts[part, c.CONTACT_AT] = at_m
        parts[part, c.CONTACT_STIFFNESS] = stiffness_n_per_m
        parts[part, c.CONTACT_WAY] = way
        return replace(self, parts=parts)

    def with_setting(self, part: int, setting_pa: float) -> Arrays:
        """The same with a part's pressure valve set otherwise."""
        parts = self.parts.copy()
        parts[part, c.BAND] *= setting_pa / parts[part, c.SETTING]
        parts[part, c.SETTING] = setting_pa
        return replace(self, parts=parts)

    def with_pump(self, flow_m3_per_s: float) -> Arrays:
        """The same with another pump delivery; 0 for a pack without power."""
        store = self.store.copy()
        store[c.PUMP_FLOW] = flow_m3_per_s
        return replace(self, store=store)


def arrays(circuit: Circuit, condition: Condition, throttles: tuple[Throttle, ...]) -> Arrays:
    """Give the arrays of a circuit in a condition, with its speed throttles as set."""
    viscosity = oil.grade(circuit.pack.oil_grade).dynamic_viscosity_pa_s(condition.oil_degc)
    parts = np.array(
        [_part(actuator, throttle, viscosity) for actuator, throttle in zip(circuit.actuators, throttles, strict=True)]
    ).reshape(len(circuit.actuators), c.PART_COLUMNS)
    return Arrays(parts, _store(circuit, condition, viscosity), condition.ambient_degc + KELVIN)


def wide_open(actuator: Actuator) -> Throttle:
    """A throttle screwed right out."""
    valve = _valve_conductance(actuator)
    return Throttle(_OPEN_RATIO * valve, _OPEN_RATIO * valve)


def gas_mass_kg(circuit: Circuit) -> float:
    """Nitrogen in the accumulator, charged at 20 degC; 0 without one. [kg]"""
    if circuit.accumulator is None:
        return 0.0
    density = nitrogen_density(circuit.accumulator.precharge_pa + ATMOSPHERE_PA, 20.0 + KELVIN)
    return density * circuit.accumulator.shell_m3 * circuit.accumulator.count


def gas_volume_at(store: Floats, pressure_pa: float, gas_k: float) -> float:
    """Gas volume at a gauge pressure and temperature, at most the shell. [m3]"""
    if store[c.GAS_MASS] == 0.0:
        return 0.0
    return float(min(store[c.GAS_MASS] / nitrogen_density(pressure_pa + ATMOSPHERE_PA, gas_k), store[c.SHELL]))


def _valve_conductance(actuator: Actuator) -> float:
    return float(actuator.valve.rated_flow_m3_per_s / actuator.valve.rated_drop_pa**0.5)


def _part(actuator: Actuator, throttle: Throttle, viscosity_pa_s: float) -> Floats:
    row = np.zeros(c.PART_COLUMNS)
    ratio, count = actuator.linkage_ratio, actuator.count
    valve = _valve_conductance(actuator)
    row[c.CAP_AREA] = count * piston_area(actuator.bore_m)
    row[c.ROD_AREA] = count * annulus_area(actuator.bore_m, actuator.rod_m)
    row[c.MASS] = actuator.moved_mass_kg / ratio**2
    row[c.VISCOUS] = count * assumed("part_viscous")
    row[c.FRICTION] = count * actuator.friction_n
    row[c.LOAD] = actuator.load_n / ratio
    row[c.STROKE] = actuator.stroke_m
    row[c.SETTING] = actuator.valve.setting_pa
    row[c.BAND] = assumed("reducing_band_share") * actuator.valve.setting_pa
    row[c.REDUCES] = 1.0 if actuator.valve.reduces else 0.0
    row[c.METERS_IN] = 0.0 if actuator.valve.reduces else 1.0
    row[c.LOCKED] = 1.0 if actuator.valve.lock_valve else 0.0
    row[c.PORT_RELIEF] = actuator.valve.port_relief_pa or np.inf
    row[c.REDUCER] = valve
    row[c.VALVE] = valve
    row[c.VALVE_VISCOUS] = _viscous(valve, viscosity_pa_s)
    row[c.HOSE_LENGTH], row[c.HOSE_BORE] = actuator.hose.length_m, actuator.hose.bore_m
    row[c.OUT_THROTTLE] = throttle.out_m3_per_s_sqrt_pa
    row[c.OUT_THROTTLE_VISCOUS] = _viscous(throttle.out_m3_per_s_sqrt_pa, viscosity_pa_s)
    row[c.IN_THROTTLE] = throttle.in_m3_per_s_sqrt_pa
    row[c.IN_THROTTLE_VISCOUS] = _viscous(throttle.in_m3_per_s_sqrt_pa, viscosity_pa_s)
    row[c.CUSHION], row[c.CUSHION_DROP] = actuator.cushion_m, assumed("cushion_drop")
    return row


def _store(circuit: Circuit, condition: Condition, viscosity_pa_s: float) -> Floats:
    pack, row = circuit.pack, np.zeros(c.STORE_COLUMNS)
    if circuit.accumulator is not None:
        row[c.SHELL] = circuit.accumulator.shell_m3 * circuit.accumulator.count
        row[c.GAS_TAU] = circuit.accumulator.thermal_time_s
        row[c.LEAK] = sum(actuator.valve.leak_m3_per_s for actuator in circuit.actuators)
    row[c.GAS_MASS] = gas_mass_kg(circuit)
    row[c.WALL] = condition.ambient_degc + KELVIN
    row[c.STUB] = assumed("stub_flow") / _KV_STUB_PA**0.5
    row[c.STUB_VISCOUS] = _viscous(row[c.STUB], viscosity_pa_s)
    row[c.PUMP_FLOW] = pack.flow_m3_per_s
    override = assumed("relief_override_share")
    row[c.RELIEF_CRACK] = (1.0 - override) * pack.relief_pa
    row[c.RELIEF_OVERRIDE] = override * pack.relief_pa / pack.flow_m3_per_s
    row[c.CUT_IN], row[c.CUT_OUT] = pack.cut_in_pa, pack.cut_out_pa
    row[c.DENSITY], row[c.VISCOSITY] = oil.DENSITY_KG_PER_M3, viscosity_pa_s
    row[c.RETURN] = assumed("return_flow") / _KV_RETURN_PA**0.5
    row[c.RETURN_VISCOUS] = _viscous(row[c.RETURN], viscosity_pa_s)
    row[c.TRUNK_LENGTH], row[c.TRUNK_BORE] = pack.trunk.length_m, pack.trunk.bore_m
    return row


def _viscous(conductance: float, viscosity_pa_s: float) -> float:
    return orifice_viscous_part(
        conductance=float(conductance), viscosity_pa_s=viscosity_pa_s, density=oil.DENSITY_KG_PER_M3
    )
