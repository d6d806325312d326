"""Hoses and pipes against velocity guides and pressure lost, warm and cold; and the pump's suction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stockproof.power import oil
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import annulus_area, area_ratio, piston_area
from stockproof.power.lines import VELOCITY_GUIDES, line_drop, line_velocity, surge_pressure
from stockproof.power.model import Actuator, Circuit, Hose
from stockproof.power.prepare import Prepared

__all__ = ["HoseRow", "Suction", "hoses", "suction"]

Duty = Literal["pressure", "return", "suction"]
ATMOSPHERE_AT_SEA_PA = 101325.0
#: A pump's inlet should not fall below this (common practice: 0.8 bar absolute for gear pumps).
SUCTION_LEAST_PA = 0.8e5
#: Largest viscosity a gear pump starts with (a pump maker's service manual: 7500 SSU).
START_VISCOSITY_M2_PER_S = 1650e-6


@dataclass(frozen=True, slots=True)
class HoseRow:
    """One line: its largest flow, velocity against the guide, pressure lost warm and on the coldest morning.

    `surge_pa`: pressure gained where that flow is stopped before a wave runs the hose there and back.
    """

    name: str
    duty: Duty
    length_m: float
    bore_m: float
    flow_m3_per_s: float
    velocity_m_per_s: float
    guide_m_per_s: float
    drop_normal_pa: float
    drop_cold_pa: float
    surge_pa: float

    @property
    def within(self) -> bool:
        return self.velocity_m_per_s <= self.guide_m_per_s


@dataclass(frozen=True, slots=True)
class Suction:
    """The pump's inlet on the coldest morning: absolute pressure, and viscosity against what a pump starts with."""

    inlet_pa: float
    least_pa: float
    viscosity_m2_per_s: float
    viscosity_limit_m2_per_s: float

    @property
    def within(self) -> bool:
        return self.inlet_pa >= self.least_pa and self.viscosity_m2_per_s <= self.viscosity_limit_m2_per_s


def hoses(prepared: Prepared, peak_flow_m3_per_s: float) -> tuple[HoseRow, ...]:
    """Give every line of the circuit.

    Parameters
    ----------
    prepared : Prepared
        The circuit as commissioned.
    peak_flow_m3_per_s : float
        Largest draw of all parts together, from the worst burst. [m3/s]
    """
    circuit = prepared.circuit
    pack = circuit.pack
    widest = max((_ratio(actuator) for actuator in circuit.actuators), default=1.0)
    rows = [
        _row(
            circuit, "pressure hose to the block", "pressure", pack.trunk, max(peak_flow_m3_per_s, pack.flow_m3_per_s)
        ),
        _row(circuit, "return hose to the tank", "return", pack.trunk, peak_flow_m3_per_s * widest),
        _row(circuit, "suction line", "suction", pack.suction, pack.flow_m3_per_s / pack.volumetric_efficiency),
    ]
    for actuator in circuit.actuators:
        for flow, name, duty in _part_flows(actuator):
            rows.append(_row(circuit, name, duty, actuator.hose, flow))
    return tuple(rows)


def suction(circuit: Circuit) -> Suction:
    """Give the pump's inlet when it first turns on the coldest morning."""
    pack = circuit.pack
    viscosity = oil.grade(pack.oil_grade).viscosity_m2_per_s(circuit.coldest_degc)
    flow = pack.flow_m3_per_s / pack.volumetric_efficiency
    lost = line_drop(
        flow, pack.suction.length_m, pack.suction.bore_m, viscosity * oil.DENSITY_KG_PER_M3, oil.DENSITY_KG_PER_M3
    )
    # the standard atmosphere, first order: 12 Pa a metre near the ground
    outside = ATMOSPHERE_AT_SEA_PA - 12.0 * circuit.altitude_m
    return Suction(outside - lost, SUCTION_LEAST_PA, viscosity, START_VISCOSITY_M2_PER_S)


def _ratio(actuator: Actuator) -> float:
    return area_ratio(actuator.bore_m, actuator.rod_m)


def _part_flows(actuator: Actuator) -> list[tuple[float, str, Duty]]:
    """Largest flow of each hose of a part at its catalogued times: driven, and leaving while the other side is."""
    cap = actuator.count * piston_area(actuator.bore_m)
    quickest = max(actuator.stroke_m * drive.travel_share / drive.time_s for drive in actuator.drives)
    ring = actuator.count * annulus_area(actuator.bore_m, actuator.rod_m)
    return [
        (cap * quickest, f"{actuator.part}, cap side", "pressure"),
        (ring * quickest, f"{actuator.part}, rod side", "pressure"),
    ]


def _row(circuit: Circuit, name: str, duty: Duty, hose: Hose, flow: float) -> HoseRow:
    grade = oil.grade(circuit.pack.oil_grade)

    def drop(degc: float) -> float:
        viscosity = grade.dynamic_viscosity_pa_s(degc)
        return float(line_drop(flow, hose.length_m, hose.bore_m, viscosity, oil.DENSITY_KG_PER_M3))

    velocity = line_velocity(flow, hose.bore_m)
    return HoseRow(
        name,
        duty,
        hose.length_m,
        hose.bore_m,
        flow,
        velocity,
        VELOCITY_GUIDES[duty][1],
        drop(circuit.condition("normal").oil_degc),
        drop(circuit.coldest_degc),
        surge_pressure(density=oil.DENSITY_KG_PER_M3, wave=assumed("hose_wave_speed"), change=velocity),
    )
