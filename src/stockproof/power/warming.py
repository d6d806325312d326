"""Oil temperature over a day of work: heat of every stretch of it against what the tank gives off."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from stockproof.power import columns as c
from stockproof.power import oil
from stockproof.power.assumed import assumed
from stockproof.power.drive import pump_overall_efficiency
from stockproof.power.gas import KELVIN
from stockproof.power.heat import tank_heat_given_off, tank_temperature
from stockproof.power.model import Condition, Pack
from stockproof.power.roots import root

__all__ = ["THINNEST_M2_PER_S", "OilDay", "oil_day"]

Floats = NDArray[np.float64]

_STRETCH_S = 300.0
#: Steel of tank and pack warms with the oil (common practice): kg per m3 of oil, and its heat.
_STEEL_KG_PER_M3_OIL = 400.0
_STEEL_HEAT_J_PER_KG_K = 480.0
#: Thinnest oil a gear pump should run on (a pump maker's recommendation: 60 SUS).
THINNEST_M2_PER_S = 10e-6
_COLDEST_DEGC, _HOTTEST_DEGC = -40.0, 150.0


@dataclass(frozen=True, slots=True)
class OilDay:
    """Oil temperature over a day that began at the temperature of the air.

    Parameters
    ----------
    time_s, oil_degc : (R,)
        A curve of the day.
    steady_degc : float
        If the day never ended, at its mean heat.
    limit_degc : float
        Where the oil filled is as thin as the pump should run on.
    cooling_w : float
        Heat a cooler would have to take off to keep the oil at the limit for ever; 0 where none is needed.
    """

    time_s: Floats
    oil_degc: Floats
    steady_degc: float
    limit_degc: float
    cooling_w: float

    @property
    def end_degc(self) -> float:
        return float(self.oil_degc[-1])

    @property
    def too_hot(self) -> bool:
        return bool(self.oil_degc.max() > self.limit_degc)


def oil_day(pack: Pack, condition: Condition, record: Floats, span_s: float) -> OilDay:
    """Give the oil's temperature over a recorded day; all shaft energy ends as heat in the oil (unfavourable).

    Hoses, block and cylinders give off heat too, which is left out.
    """
    leaving = assumed("tank_conductance") * pack.tank_area_m2
    capacity = pack.tank_m3 * (
        oil.DENSITY_KG_PER_M3 * oil.SPECIFIC_HEAT_J_PER_KG_K + _STEEL_KG_PER_M3_OIL * _STEEL_HEAT_J_PER_KG_K
    )
    air = condition.ambient_degc + KELVIN
    times = np.append(np.arange(0.0, span_s, _STRETCH_S), span_s)
    shaft_j = shaft_energy_j(pack, record, times)
    oil_k = [air]
    for k in range(times.size - 1):
        lasts = float(times[k + 1] - times[k])
        heat = float(shaft_j[k + 1] - shaft_j[k]) / lasts
        oil_k.append(
            tank_temperature(start=oil_k[-1], ambient=air, heat=heat, leaving=leaving, capacity=capacity, time=lasts)
        )
    mean_heat = float(shaft_j[-1]) / span_s
    limit = _temperature_at(pack.oil_grade, THINNEST_M2_PER_S)
    at_limit = tank_heat_given_off(
        conductance=assumed("tank_conductance"), area=pack.tank_area_m2, difference=limit - condition.ambient_degc
    )
    cooling = max(0.0, mean_heat - at_limit)
    return OilDay(times, np.array(oil_k) - KELVIN, air + mean_heat / leaving - KELVIN, limit, cooling)


def shaft_energy_j(pack: Pack, record: Floats, at_s: Floats) -> Floats:
    """Energy at the shaft up to each time: loaded work, and idling of a pack that runs all day. (R,)"""
    hydraulic = np.interp(at_s, record[:, c.AT], record[:, c.ENERGY])
    loaded = np.interp(at_s, record[:, c.AT], record[:, c.DELIVERED_TIME])
    working = hydraulic / pump_overall_efficiency(pack.volumetric_efficiency, pack.mechanical_efficiency)
    return np.asarray(working + assumed("idle_power_share") * pack.shaft_power_w * (at_s - loaded))


def _temperature_at(grade: str, viscosity_m2_per_s: float) -> float:
    """Temperature at which an oil has a viscosity. [degC]"""
    made = oil.grade(grade)

    def thicker(degc: float) -> float:
        return log(made.viscosity_m2_per_s(degc) / viscosity_m2_per_s)

    return root(thicker, _COLDEST_DEGC, _HOTTEST_DEGC, enough=1e-9)
