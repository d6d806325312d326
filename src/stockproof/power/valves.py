"""Valves: orifices with their viscous part, relief, reducing and unloading valves."""

from __future__ import annotations

from math import pi, sqrt

from stockproof.figures import formula
from stockproof.power.assumed import assumed
from stockproof.power.compiled import jitable
from stockproof.power.sources import ESPOSITO, MERRITT, SULLIVAN

__all__ = [
    "flow_coefficient",
    "orifice_drop",
    "orifice_flow",
    "orifice_viscous_part",
    "reduced_pressure",
    "relief_pressure",
    "us_flow_coefficient",
]

TRANSITION_REYNOLDS = assumed("orifice_transition")
DISCHARGE = 0.61
#: A drop so small that the flow is none; below it the opening's cube would vanish in rounding.
_NO_FLOW_PA = 1e-15


@formula(
    "flow / (drop / density * 1000)**0.5",
    unit="m3/s/Pa**0.5",
    sources=(ESPOSITO, SULLIVAN),
    example=({"flow": 25 * 6.30902e-5, "drop": 6.894757e5, "density": 900.0}, 1.80206e-6),
    exempt="the factor 1000 is the density of water in kg/m3",
    flow="m3/s",
    drop="Pa",
    density="kg/m3",
)
def flow_coefficient(*, flow: float, drop: float, density: float) -> float:
    """Flow of water through a valve at one pascal, from one measured point. [m3/s/Pa^0.5]

    Parameters
    ----------
    flow : float
        [m3/s]
    drop : float
        Pressure lost at that flow. [Pa]
    density : float
        Of the fluid measured. [kg/m3]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 8-5 (US form Q = Cv sqrt(dp/SG)).
    """
    return float(flow / (drop / density * 1000) ** 0.5)


@formula(
    "flow * 15850.32314 / (drop / 6894.757293 / (density / 1000))**0.5",
    unit="1",
    sources=(ESPOSITO, SULLIVAN),
    example=({"flow": 25 * 6.30902e-5, "drop": 6.894757e5, "density": 900.0}, 2.3717),
    exempt="US flow coefficient: gallons a minute at one psi",
    flow="m3/s",
    drop="Pa",
    density="kg/m3",
)
def us_flow_coefficient(*, flow: float, drop: float, density: float) -> float:
    """Flow coefficient Cv in US gallons a minute at one psi. [-]

    Parameters
    ----------
    flow : float
        [m3/s]
    drop : float
        [Pa]
    density : float
        [kg/m3]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 8-5; J. Sullivan, *Fluid Power*, example 7.1.
    """
    return float(flow * 15850.32314 / (drop / 6894.757293 / (density / 1000)) ** 0.5)


@formula(
    "discharge * area * (2 * drop / density)**0.5",
    unit="m3/s",
    sources=(ESPOSITO,),
    example=({"discharge": 0.80, "area": pi * 0.0254**2 / 4, "drop": 6.894757e5, "density": 900.0}, 952.03e-3 / 60),
    discharge="1",
    area="m2",
    drop="Pa",
    density="kg/m3",
)
def orifice_flow(*, discharge: float, area: float, drop: float, density: float) -> float:
    """Turbulent flow through an orifice. [m3/s]

    Parameters
    ----------
    discharge : float
        Discharge coefficient. [-]
    area : float
        [m2]
    drop : float
        [Pa]
    density : float
        [kg/m3]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 8-4.
    """
    result: float = discharge * area * (2 * drop / density) ** 0.5
    return result


@formula(
    "viscous * flow + (flow / conductance)**2",
    unit="Pa",
    sources=(ESPOSITO, MERRITT),
    example=({"flow": 1e-4, "conductance": 1e-7, "viscous": 1e8}, 1.01e6),
    flow="m3/s",
    conductance="m3/s/Pa**0.5",
    viscous="Pa*s/m3",
)
def orifice_drop(*, flow: float, conductance: float, viscous: float) -> float:
    """Pressure lost in an orifice: turbulent part and the viscous part that rules cold oil and small flow. [Pa]

    Parameters
    ----------
    flow : float
        Not negative. [m3/s]
    conductance : float
        Turbulent flow over root of pressure drop, in this oil. [m3/s/Pa^0.5]
    viscous : float
        Viscous part, see `orifice_viscous_part`. [Pa s/m3]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 8; H. E. Merritt, *Hydraulic Control Systems*, 1967.
    """
    return viscous * flow + (flow / conductance) ** 2


def orifice_viscous_part(*, conductance: float, viscosity_pa_s: float, density: float) -> float:
    """Viscous part of an orifice's drop, so that both parts are equal at the transition. [Pa s/m3]

    Parameters
    ----------
    conductance : float
        Turbulent flow over root of pressure drop. [m3/s/Pa^0.5]
    viscosity_pa_s : float
        Dynamic viscosity. [Pa s]
    density : float
        [kg/m3]

    References
    ----------
    H. E. Merritt, *Hydraulic Control Systems*, 1967 (transition Reynolds number from memory).
    """
    area = conductance * sqrt(density / 2) / DISCHARGE
    bore = sqrt(4 * area / pi)
    transition_flow = TRANSITION_REYNOLDS * pi * bore * viscosity_pa_s / (4 * density)
    return transition_flow / conductance**2


@jitable
@formula(
    "cracking + override * flow",
    unit="Pa",
    sources=(ESPOSITO,),
    example=({"cracking": 666.667 * 6894.757, "override": 1.8213e9, "flow": 1.2618e-3}, 1000 * 6894.757),
    cracking="Pa",
    override="Pa*s/m3",
    flow="m3/s",
)
def relief_pressure(cracking: float, override: float, flow: float) -> float:
    """Pressure before a relief valve that passes a flow. [Pa]

    Parameters
    ----------
    cracking : float
        Pressure at which it begins to open. [Pa]
    override : float
        Pressure rise per flow. [Pa s/m3]
    flow : float
        [m3/s]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 8-1.
    """
    return cracking + override * flow


@jitable
def reduced_pressure(inlet_pa: float, setting_pa: float, band_pa: float, conductance: float, flow: float) -> float:
    """Pressure behind a reducing valve that passes a flow (not negative). [Pa]

    Outlet = setting + band/2 - band u at opening u; flow = conductance u sqrt(inlet - outlet). At no flow
    the valve is shut and holds setting + band/2 (or the inlet, if lower): this is what limits a squeeze.
    With q2 = (flow/conductance)^2 and a = inlet - setting - band/2 the opening solves
    band u^3 + a u^2 = q2, once, in (0, 1); beyond 1 the valve is a plain orifice.
    """
    a = inlet_pa - setting_pa - 0.5 * band_pa
    q2 = (flow / conductance) ** 2
    if q2 >= band_pa + a:
        return inlet_pa - q2
    if q2 <= _NO_FLOW_PA:
        return min(inlet_pa, setting_pa + 0.5 * band_pa)
    # below -a/band the left side is negative; Newton from there lands right of the root and then falls to it
    u = max(sqrt(q2 / (band_pa + a)), -a / band_pa)
    for _ in range(60):
        value = (band_pa * u + a) * u * u - q2
        slope = (3.0 * band_pa * u + 2.0 * a) * u
        step = value / slope
        u -= step
        if abs(step) <= 1e-12:
            break
    return setting_pa + 0.5 * band_pa - band_pa * u
