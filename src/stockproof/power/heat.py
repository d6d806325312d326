"""Heat in the oil and what the tank gives off."""

from __future__ import annotations

from math import exp

from stockproof.figures import COMMON_PRACTICE, formula
from stockproof.power.sources import ESPOSITO, TANK_ARTICLE

__all__ = [
    "pump_heat",
    "tank_heat_given_off",
    "tank_temperature",
]


@formula(
    "(1 / efficiency - 1) * pressure * flow + relief_share * pressure * flow",
    unit="W",
    sources=(ESPOSITO,),
    example=({"efficiency": 0.85, "pressure": 6.894757e6, "flow": 1.26180e-3, "relief_share": 0.5}, 5885.1),
    efficiency="1",
    pressure="Pa",
    flow="m3/s",
    relief_share="1",
)
def pump_heat(*, efficiency: float, pressure: float, flow: float, relief_share: float) -> float:
    """Heat from a pump and from the share of its oil that goes over the relief valve. [W]

    Parameters
    ----------
    efficiency : float
        Overall efficiency of the pump. [-]
    pressure : float
        [Pa]
    flow : float
        Delivered. [m3/s]
    relief_share : float
        Share of time, or of flow, over the relief valve. [-]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 11-4.
    """
    return (1 / efficiency - 1) * pressure * flow + relief_share * pressure * flow


@formula(
    "conductance * area * difference",
    unit="W",
    sources=(TANK_ARTICLE,),
    example=({"conductance": 12.0, "area": 1.7, "difference": 50.0}, 1020.0),
    conductance="W/m2/K",
    area="m2",
    difference="K",
)
def tank_heat_given_off(*, conductance: float, area: float, difference: float) -> float:
    """Heat a tank gives off. [W]

    Parameters
    ----------
    conductance : float
        [W/(m2 K)]
    area : float
        Surface that gives off heat, without the base. [m2]
    difference : float
        Oil above air. [K]

    References
    ----------
    Published article on tanks (200 L, 1.7 m2, 50 K: 1.02 kW).
    """
    return conductance * area * difference


@formula(
    "ambient + heat / leaving + (start - ambient - heat / leaving) * exp(-time * leaving / capacity)",
    unit="K",
    sources=(COMMON_PRACTICE,),
    example=(
        {"start": 293.15, "ambient": 293.15, "heat": 500.0, "leaving": 10.0, "capacity": 62640.0, "time": 6264.0},
        324.757,
    ),
    start="K",
    ambient="K",
    heat="W",
    leaving="W/K",
    capacity="J/K",
    time="s",
)
def tank_temperature(
    *, start: float, ambient: float, heat: float, leaving: float, capacity: float, time: float
) -> float:
    """Oil temperature after a time of steady heating, the oil well mixed. [K]

    Parameters
    ----------
    start, ambient : float
        Temperature at first and of the air. [K]
    heat : float
        Heat put in. [W]
    leaving : float
        Heat given off per degree. [W/K]
    capacity : float
        Heat that warms oil and tank by one degree. [J/K]
    time : float
        [s]

    References
    ----------
    common practice (one lump, first order)
    """
    return ambient + heat / leaving + (start - ambient - heat / leaving) * exp(-time * leaving / capacity)
