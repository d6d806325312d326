"""Hoses and pipes: Reynolds number, friction, pressure lost, velocity against guides, pressure waves."""

from __future__ import annotations

from math import log10, pi

from stockproof.figures import COMMON_PRACTICE, Source, formula
from stockproof.power.compiled import jitable
from stockproof.power.sources import DOUGLAS, ESPOSITO, HAALAND

__all__ = [
    "LAMINAR_TO",
    "TURBULENT_FROM",
    "VELOCITY_GUIDES",
    "fitting_drop",
    "friction_factor",
    "haaland_friction",
    "laminar_drop",
    "line_drop",
    "line_velocity",
    "reynolds_number",
    "surge_pressure",
    "wave_speed",
]

#: Below, flow is laminar; between the two the factor is a straight line, so that drop never falls with flow.
LAMINAR_TO = 2000.0
TURBULENT_FROM = 4000.0
#: Inside roughness of drawn tube and hose liner (from memory).
ROUGHNESS_M = 1.5e-6
#: Lowest and highest usual velocity by duty of the line, m/s.
VELOCITY_GUIDES = {
    "suction": (0.6, 1.2, Source("Velocity and pressure drop in pipes, 2000 (0.6-1.2 m/s)")),
    "return": (1.5, 4.0, Source("Velocity and pressure drop in pipes, 2000 (1.5-4 m/s)")),
    "pressure": (2.0, 5.5, Source("Velocity and pressure drop in pipes, 2000 (2-5.5 m/s)")),
}


@jitable
@formula(
    "4 * flow / (pi * bore**2)",
    unit="m/s",
    sources=(ESPOSITO,),
    example=({"flow": 2.0e-3, "bore": 20.43e-3}, 6.1011),
    flow="m3/s",
    bore="m",
)
def line_velocity(flow: float, bore: float) -> float:
    """Mean velocity in a line. [m/s]

    Parameters
    ----------
    flow : float
        [m3/s]
    bore : float
        Inside diameter. [m]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 10-2.
    """
    return 4 * flow / (pi * bore**2)


@jitable
@formula(
    "velocity * bore / viscosity",
    unit="1",
    sources=(ESPOSITO,),
    example=({"velocity": 5.0, "bore": 0.050, "viscosity": 1e-3}, 250.0),
    velocity="m/s",
    bore="m",
    viscosity="m2/s",
)
def reynolds_number(velocity: float, bore: float, viscosity: float) -> float:
    """Reynolds number of a line. [-]

    Parameters
    ----------
    velocity : float
        [m/s]
    bore : float
        [m]
    viscosity : float
        Kinematic viscosity. [m2/s]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 4-2.
    """
    return velocity * bore / viscosity


@jitable
@formula(
    "128 * viscosity * length * flow / (pi * bore**4)",
    unit="Pa",
    sources=(ESPOSITO,),
    example=({"viscosity": 46e-6 * 870, "length": 10.0, "flow": 10e-3 / 60, "bore": 0.010}, 271760.0),
    viscosity="Pa*s",
    length="m",
    flow="m3/s",
    bore="m",
)
def laminar_drop(viscosity: float, length: float, flow: float, bore: float) -> float:
    """Pressure lost by laminar flow in a line. [Pa]

    Parameters
    ----------
    viscosity : float
        Dynamic viscosity. [Pa s]
    length, bore : float
        [m]
    flow : float
        [m3/s]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 4.
    """
    return 128 * viscosity * length * flow / (pi * bore**4)


@jitable
@formula(
    "(1.8 * log(6.9 / reynolds + (relative_roughness / 3.7)**1.11) / log(10))**-2",
    unit="1",
    sources=(HAALAND,),
    example=({"reynolds": 5e4, "relative_roughness": 1e-4}, 0.02099483),
    reynolds="1",
    relative_roughness="1",
)
def haaland_friction(reynolds: float, relative_roughness: float) -> float:
    """Friction factor of turbulent flow. [-]

    Parameters
    ----------
    reynolds : float
        Reynolds number above 4000. [-]
    relative_roughness : float
        Roughness over bore. [-]

    References
    ----------
    S. E. Haaland, *J. Fluids Eng.* 105 (1983) 89 (from memory).
    """
    return float((1.8 * log10(6.9 / reynolds + (relative_roughness / 3.7) ** 1.11)) ** -2)


@jitable
def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Friction factor at any Reynolds number above 0, with a straight line through the transition. [-]"""
    if reynolds <= LAMINAR_TO:
        return 64.0 / reynolds
    if reynolds >= TURBULENT_FROM:
        return haaland_friction(reynolds, relative_roughness)
    low = 64.0 / LAMINAR_TO
    high = haaland_friction(TURBULENT_FROM, relative_roughness)
    return low + (high - low) * (reynolds - LAMINAR_TO) / (TURBULENT_FROM - LAMINAR_TO)


@jitable
def line_drop(flow_m3_per_s: float, length_m: float, bore_m: float, viscosity_pa_s: float, density: float) -> float:
    """Pressure lost in a straight line, rising with flow without a jump; 0 for a line without length. [Pa]"""
    if flow_m3_per_s <= 0.0 or length_m <= 0.0:
        return 0.0
    velocity = line_velocity(flow_m3_per_s, bore_m)
    reynolds = reynolds_number(velocity, bore_m, viscosity_pa_s / density)
    if reynolds <= LAMINAR_TO:
        return laminar_drop(viscosity_pa_s, length_m, flow_m3_per_s, bore_m)
    factor = friction_factor(reynolds, ROUGHNESS_M / bore_m)
    return float(fitting_drop(factor * length_m / bore_m, density, velocity))


@jitable
@formula(
    "loss * density * velocity**2 / 2",
    unit="Pa",
    sources=(ESPOSITO,),
    example=({"loss": 0.19, "density": 1000.0, "velocity": 10.18592}, 9856.1),
    loss="1",
    density="kg/m3",
    velocity="m/s",
)
def fitting_drop(loss: float, density: float, velocity: float) -> float:
    """Pressure lost in a fitting with a known loss coefficient. [Pa]

    Parameters
    ----------
    loss : float
        Loss coefficient K. [-]
    density : float
        [kg/m3]
    velocity : float
        [m/s]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 4-7.
    """
    return loss * density * velocity**2 / 2


@formula(
    "(bulk_modulus / density)**0.5 / (1 + bulk_modulus * bore / (wall_modulus * wall))**0.5",
    unit="m/s",
    sources=(COMMON_PRACTICE,),
    example=(
        {"bulk_modulus": 1.5e9, "density": 860.0, "bore": 0.050, "wall": 0.005, "wall_modulus": 200e9},
        1273.77,
    ),
    bulk_modulus="Pa",
    density="kg/m3",
    bore="m",
    wall="m",
    wall_modulus="Pa",
)
def wave_speed(*, bulk_modulus: float, density: float, bore: float, wall: float, wall_modulus: float) -> float:
    """Speed of a pressure wave in a line with elastic walls. [m/s]

    Parameters
    ----------
    bulk_modulus, wall_modulus : float
        Stiffness of the oil and of the wall. [Pa]
    density : float
        [kg/m3]
    bore, wall : float
        Inside diameter and wall thickness. [m]

    References
    ----------
    common practice (Joukowsky's wave speed)
    """
    result: float = (bulk_modulus / density) ** 0.5 / (1 + bulk_modulus * bore / (wall_modulus * wall)) ** 0.5
    return result


@formula(
    "density * wave * change",
    unit="Pa",
    sources=(DOUGLAS,),
    example=({"density": 1000.0, "wave": 1250.0, "change": 0.5}, 625e3),
    density="kg/m3",
    wave="m/s",
    change="m/s",
)
def surge_pressure(*, density: float, wave: float, change: float) -> float:
    """Pressure rise when flow is stopped faster than a wave runs there and back. [Pa]

    Parameters
    ----------
    density : float
        [kg/m3]
    wave : float
        Wave speed. [m/s]
    change : float
        Velocity stopped. [m/s]

    References
    ----------
    J. F. Douglas, *Fluid Mechanics*, example 20.3.
    """
    return density * wave * change
