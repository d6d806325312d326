"""Heat in the oil and what the tank gives off."""

from __future__ import annotations

from math import exp, log

from stockproof.figures import COMMON_PRACTICE, formula
from stockproof.power.sources import ESPOSITO, TANK_ARTICLE

__all__ = [
    "pump_heat",
    "tank_heat_given_off",
    "tank_temperature",
    "time_to_temperature",
]


@formula(
    "(1 / efficiency - 1) * pressure * flow + relief_share * pressure * flow",
    unit="W",
    sources=(ESPOSITO,),
    example=({"efficiency": 0.85, "pressure": 6.894757e6, "flow": 1.26180e-3, "relief_share": 0.5}, 5885.1),
    efficiency="dimensionless",
    pressure="Pa",
    flow="m**3/s",
    relief_share="dimensionless",
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
    conductance="W/m**2/kelvin",
    area="m**2",
    difference="kelvin",
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
    unit="kelvin",
    sources=(COMMON_PRACTICE,),
    example=(
        {"start": 293.15, "ambient": 293.15, "heat": 500.0, "leaving": 10.0, "capacity": 62640.0, "time": 6264.0},
        324.757,
    ),
    start="kelvin",
    ambient="kelvin",
    heat="W",
    leaving="W/kelvin",
    capacity="J/kelvin",
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


@formula(
    "-capacity / leaving * log((goal - ambient - heat / leaving) / (start - ambient - heat / leaving))",
    unit="s",
    sources=(COMMON_PRACTICE,),
    example=(
        {"start": 293.15, "goal": 324.757, "ambient": 293.15, "heat": 500.0, "leaving": 10.0, "capacity": 62640.0},
        6264.0,
    ),
    start="kelvin",
    goal="kelvin",
    ambient="kelvin",
    heat="W",
    leaving="W/kelvin",
    capacity="J/kelvin",
)
def time_to_temperature(
    *, start: float, goal: float, ambient: float, heat: float, leaving: float, capacity: float
) -> float:
    """Time to reach a temperature that lies between the first and the last. [s]

    Parameters
    ----------
    start, goal, ambient : float
        [K]
    heat : float
        [W]
    leaving : float
        [W/K]
    capacity : float
        [J/K]

    References
    ----------
    common practice (one lump, first order)
    """
    return -capacity / leaving * log((goal - ambient - heat / leaving) / (start - ambient - heat / leaving))
