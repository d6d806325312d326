"""The tank's volume against what comes back to it, and the oil it must keep over the suction."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from stockproof.power.arrays import gas_mass_kg
from stockproof.power.gas import ATMOSPHERE_PA, KELVIN, nitrogen_density
from stockproof.power.model import Circuit

__all__ = ["Tank", "tank"]

#: Tank over pump flow per minute: mobile 1 to 2 (common practice), and the least a pump manual asks.
LEAST_MINUTES = 1.0


@dataclass(frozen=True, slots=True)
class Tank:
    """Volumes of the tank.

    Parameters
    ----------
    usable_m3 : float
        What the tank holds, usable.
    store_m3 : float
        Oil of a full accumulator, which comes back when it is let down for work.
    rods_m3 : float
        Differential volume of all cylinders: what level moves between all rods out and all in.
    left_m3 : float
        Oil left in the tank with the store full and all rods out.
    needed_m3 : float
        What must be left: the pump's flow in so many minutes.
    """

    usable_m3: float
    store_m3: float
    rods_m3: float
    left_m3: float
    needed_m3: float

    @property
    def within(self) -> bool:
        return self.left_m3 >= self.needed_m3


def tank(circuit: Circuit) -> Tank:
    """Give the tank's volumes."""
    rods = sum(a.count * pi * a.rod_m**2 / 4 * a.stroke_m for a in circuit.actuators)
    store = _full_store_m3(circuit)
    usable = circuit.pack.tank_m3
    return Tank(usable, store, rods, usable - store - rods, LEAST_MINUTES * 60.0 * circuit.pack.flow_m3_per_s)


def _full_store_m3(circuit: Circuit) -> float:
    if circuit.accumulator is None:
        return 0.0
    shell = circuit.accumulator.shell_m3 * circuit.accumulator.count
    # coldest gas is densest: most oil
    density = nitrogen_density(circuit.pack.cut_out_pa + ATMOSPHERE_PA, circuit.coldest_degc + KELVIN)
    return max(0.0, shell - gas_mass_kg(circuit) / density)
