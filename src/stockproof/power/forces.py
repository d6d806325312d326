"""Forces of every part on what it meets: driven, at rest, shoved, locked in the sun; pressure on the animal.

No limit of force or pressure on an animal is published; the limits here are assumptions with their band.
The animal is watched, not the gauge.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from stockproof.power import oil
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import (
    annulus_area,
    contact_pressure,
    cylinder_force,
    force_at_part,
    intensified_pressure,
    locked_heat_rise,
    piston_area,
)
from stockproof.power.model import Actuator, Pack, Pad
from stockproof.power.prepare import Prepared

__all__ = ["PadPressure", "PartForces", "part_forces", "pressure_limit_pa"]

#: Volume expansion of steel (three times its linear expansion of 12e-6 1/K).
STEEL_EXPANSION_PER_K = 3.6e-5


@dataclass(frozen=True, slots=True)
class PadPressure:
    """Mean pressure of one pad on the animal: held at rest, at first touch, and the stated limit."""

    part: str
    touches: Literal["neck", "flank", "head"]
    at_rest_pa: float
    at_touch_pa: float
    limit_pa: float

    @property
    def within(self) -> bool:
        return self.at_rest_pa <= self.limit_pa


@dataclass(frozen=True, slots=True)
class PartForces:
    """Forces at one part, its closing way unless it says otherwise.

    Parameters
    ----------
    rest_pa : float
        Pressure on the driven side at rest.
    driven_n, driven_max_n, opening_n : float
        At rest against something, at the set pressure and at the highest the firm allows; and the other way.
    touch_n : float
        Bound of the force at first touch: at rest, and the moving mass stopped by the animal.
    held_n : float
        Push-back it withstands while its valve is not driven; 0 where nothing holds it.
    held_by : str
        What holds it then.
    gives_way_n : float
        Push-back at which it gives way while driven.
    creep_m_per_s : float
        Speed at which leakage lets it yield under a shove while not driven.
    rod_side_pa : float
        Highest pressure on the throttled or blocked rod side while the rod is driven out.
    sun_rise_pa : float
        Pressure gained by oil locked in the part as it warms against a hard stop; 0 where it is not locked.
    sun_force_n, cooling_gap_m : float
        Force gained against an animal in that warming, and travel given back in as much cooling.
    pads : tuple of PadPressure
    """

    part: str
    rest_pa: float
    driven_n: float
    driven_max_n: float
    opening_n: float
    touch_n: float
    held_n: float
    held_by: str
    gives_way_n: float
    creep_m_per_s: float
    rod_side_pa: float
    sun_rise_pa: float
    sun_force_n: float
    cooling_gap_m: float
    pads: tuple[PadPressure, ...]


def part_forces(prepared: Prepared) -> tuple[PartForces, ...]:
    """Give the forces of every part of a circuit as commissioned."""
    return tuple(_forces(actuator, prepared.circuit.pack) for actuator in prepared.circuit.actuators)


def pressure_limit_pa(touches: Literal["neck", "flank", "head"]) -> float:
    """Stated limit of mean pressure on a part of the animal; an assumption. [Pa]"""
    return assumed(f"{touches}_pressure_limit")


def _forces(actuator: Actuator, pack: Pack) -> PartForces:
    closing_out = actuator.closing.way > 0 if actuator.closing else True
    cap, ring = piston_area(actuator.bore_m), annulus_area(actuator.bore_m, actuator.rod_m)
    driven, other = (cap, ring) if closing_out else (ring, cap)
    at_rest = _rest_pressure(actuator, pack, actuator.valve.setting_pa)
    highest = _rest_pressure(actuator, pack, actuator.valve.setting_max_pa)
    driven_n = _at_part(actuator, at_rest, driven)
    touch_n = driven_n + _impact(actuator)
    held_pa, held_by = _held(actuator, pack)
    area = driven * actuator.count
    warm = assumed("sun_rise")
    locked = actuator.valve.lock_valve
    rise = locked_heat_rise(
        bulk_modulus=oil.BULK_MODULUS_PA,
        oil_expansion=oil.EXPANSION_PER_K,
        steel_expansion=STEEL_EXPANSION_PER_K,
        change=warm,
    )
    gap = actuator.stroke_m * (oil.EXPANSION_PER_K - STEEL_EXPANSION_PER_K) * warm / actuator.linkage_ratio
    return PartForces(
        part=actuator.part,
        rest_pa=at_rest,
        driven_n=driven_n,
        driven_max_n=_at_part(actuator, highest, driven),
        opening_n=_at_part(actuator, at_rest, other),
        touch_n=touch_n,
        held_n=_at_part(actuator, held_pa, driven),
        held_by=held_by,
        gives_way_n=driven_n + 2 * actuator.count * actuator.friction_n * actuator.linkage_ratio,
        creep_m_per_s=actuator.valve.leak_m3_per_s / area / actuator.linkage_ratio if held_pa and not locked else 0.0,
        rod_side_pa=intensified_pressure(driving=at_rest, cap_area=cap, pull=0.0, rod_area=ring)
        if actuator.valve.reduces
        else at_rest,
        sun_rise_pa=rise if locked else 0.0,
        sun_force_n=gap * assumed("animal_stiffness") if locked else 0.0,
        cooling_gap_m=gap if locked else 0.0,
        pads=tuple(_pad(actuator, pad, driven_n, touch_n) for pad in actuator.pads),
    )


def _rest_pressure(actuator: Actuator, pack: Pack, setting_pa: float) -> float:
    """Pressure on the driven side when nothing moves: a reducing valve holds half its band above the setting."""
    band = assumed("reducing_band_share") * setting_pa if actuator.valve.reduces else 0.0
    return min(setting_pa + 0.5 * band, pack.cut_out_pa)


def _at_part(actuator: Actuator, pressure_pa: float, area_m2: float) -> float:
    """Force at the part, dry friction taken off."""
    rod = cylinder_force(driving=pressure_pa, driven_area=area_m2, back=0.0, other_area=0.0)
    useful = max(0.0, rod - actuator.friction_n)
    return force_at_part(force=useful, ratio=actuator.linkage_ratio, count=actuator.count, efficiency=1.0)


def _impact(actuator: Actuator) -> float:
    """Force that stops the moving part against an animal, over what drives it: speed times root of k m."""
    if actuator.closing is None:
        return 0.0
    speed = actuator.stroke_m / actuator.linkage_ratio / actuator.closing.time_s
    return speed * sqrt(assumed("animal_stiffness") * actuator.moved_mass_kg)


def _held(actuator: Actuator, pack: Pack) -> tuple[float, str]:
    valve = actuator.valve
    if valve.lock_valve:
        if valve.port_relief_pa is not None:
            return valve.port_relief_pa, "lock valve, up to its port relief"
        # nothing lets the oil out; the pressure the circuit is proved at bounds what may be promised
        return pack.relief_pa, "lock valve; no port relief, so stated at the main relief's pressure only"
    if valve.undriven in ("held", "stays_where_set"):
        return min(valve.setting_pa, pack.relief_pa), "closed spool, with leakage"
    if valve.undriven == "latched":
        return pack.relief_pa, "mechanical latch; its strength is not computed"
    return 0.0, {"springs_back": "nothing: it springs back", "by_weight": "its own weight"}.get(
        valve.undriven, "nothing: it drifts"
    )


def _pad(actuator: Actuator, pad: Pad, driven_n: float, touch_n: float) -> PadPressure:
    return PadPressure(
        actuator.part,
        pad.touches,
        contact_pressure(force=driven_n, share=pad.share, area=pad.area_m2),
        contact_pressure(force=touch_n, share=pad.share, area=pad.area_m2),
        pressure_limit_pa(pad.touches),
    )
