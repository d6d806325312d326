"""Cylinders: areas, speeds, forces and what the two unequal sides do to flow and pressure."""

from __future__ import annotations

from math import pi

from stockproof.figures import COMMON_PRACTICE, formula
from stockproof.power.sources import ESPOSITO

__all__ = [
    "annulus_area",
    "area_ratio",
    "contact_pressure",
    "cylinder_force",
    "cylinder_pressure",
    "cylinder_speed",
    "force_at_part",
    "intensified_pressure",
    "locked_heat_rise",
    "piston_area",
    "return_flow",
]


@formula("pi * bore**2 / 4", unit="m2", sources=(ESPOSITO,), example=({"bore": 0.050}, 1.9634954e-3), bore="m")
def piston_area(bore: float) -> float:
    """Area of a piston on the cap side. [m2]

    Parameters
    ----------
    bore : float
        Piston diameter. [m]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 6.
    """
    return pi * bore**2 / 4


@formula(
    "pi * (bore**2 - rod**2) / 4",
    unit="m2",
    sources=(ESPOSITO,),
    example=({"bore": 0.050, "rod": 0.030}, 1.2566371e-3),
    bore="m",
    rod="m",
)
def annulus_area(bore: float, rod: float) -> float:
    """Area of a piston on the rod side. [m2]

    Parameters
    ----------
    bore, rod : float
        Piston and rod diameter. [m]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 6.
    """
    return pi * (bore**2 - rod**2) / 4


@formula(
    "bore**2 / (bore**2 - rod**2)",
    unit="1",
    sources=(ESPOSITO,),
    example=({"bore": 0.050, "rod": 0.030}, 1.5625),
    bore="m",
    rod="m",
)
def area_ratio(bore: float, rod: float) -> float:
    """Cap-side over rod-side area, by which return flow and back pressure are multiplied. [-]

    Parameters
    ----------
    bore, rod : float
        Piston and rod diameter. [m]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 6.
    """
    return bore**2 / (bore**2 - rod**2)


@formula(
    "flow / area",
    unit="m/s",
    sources=(ESPOSITO,),
    example=({"flow": 10e-3 / 60, "area": 1.9634954e-3}, 84.8826e-3),
    flow="m3/s",
    area="m2",
)
def cylinder_speed(flow: float, area: float) -> float:
    """Speed of a piston fed by a flow. [m/s]

    Parameters
    ----------
    flow : float
        Oil into the driven side. [m3/s]
    area : float
        Area of the driven side. [m2]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 6-1.
    """
    return flow / area


@formula(
    "driving * driven_area - back * other_area",
    unit="N",
    sources=(ESPOSITO,),
    example=({"driving": 100e5, "driven_area": 1.9634954e-3, "back": 5e5, "other_area": 1.2566371e-3}, 19006.6),
    driving="Pa",
    driven_area="m2",
    back="Pa",
    other_area="m2",
)
def cylinder_force(*, driving: float, driven_area: float, back: float, other_area: float) -> float:
    """Force at the rod, back pressure taken off, friction not. [N]

    Parameters
    ----------
    driving, back : float
        Gauge pressure on the driven and on the other side. [Pa]
    driven_area, other_area : float
        Their areas. [m2]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 6.
    """
    return driving * driven_area - back * other_area


@formula(
    "force / area",
    unit="Pa",
    sources=(ESPOSITO,),
    example=({"force": 4448.2216, "area": 2.026830e-3}, 21.9467e5),
    force="N",
    area="m2",
)
def cylinder_pressure(force: float, area: float) -> float:
    """Pressure a load calls for. [Pa]

    Parameters
    ----------
    force : float
        Load at the rod. [N]
    area : float
        Area of the driven side. [m2]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 6-1.
    """
    return force / area


@formula(
    "force * ratio * count * efficiency",
    unit="N",
    sources=(COMMON_PRACTICE,),
    example=({"force": 1000.0, "ratio": 0.8, "count": 2.0, "efficiency": 0.95}, 1520.0),
    force="N",
    ratio="1",
    count="1",
    efficiency="1",
)
def force_at_part(*, force: float, ratio: float, count: float, efficiency: float) -> float:
    """Force of a part moved through a linkage by several cylinders. [N]

    Parameters
    ----------
    force : float
        Force of one rod. [N]
    ratio : float
        Force at the part over force at the rod. [-]
    count : float
        Cylinders that act together. [-]
    efficiency : float
        Share that pins and guides leave. [-]

    References
    ----------
    common practice
    """
    return force * ratio * count * efficiency


@formula(
    "force * share / area",
    unit="Pa",
    sources=(COMMON_PRACTICE,),
    example=({"force": 3000.0, "share": 0.5, "area": 0.06}, 25000.0),
    force="N",
    share="1",
    area="m2",
)
def contact_pressure(*, force: float, share: float, area: float) -> float:
    """Mean pressure of a pad on the animal; edges press harder. [Pa]

    Parameters
    ----------
    force : float
        Force of the part. [N]
    share : float
        Share of it this pad carries. [-]
    area : float
        Contact area. [m2]

    References
    ----------
    common practice
    """
    return force * share / area


@formula(
    "flow * leaving_area / driven_area",
    unit="m3/s",
    sources=(ESPOSITO,),
    example=({"flow": 10e-3 / 60, "driven_area": 1.2566371e-3, "leaving_area": 1.9634954e-3}, 2.6041667e-4),
    flow="m3/s",
    driven_area="m2",
    leaving_area="m2",
)
def return_flow(*, flow: float, driven_area: float, leaving_area: float) -> float:
    """Oil that leaves a cylinder while a flow drives it. [m3/s]

    Parameters
    ----------
    flow : float
        Oil into the driven side. [m3/s]
    driven_area, leaving_area : float
        Areas of the two sides. [m2]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, ch. 6.
    """
    return flow * leaving_area / driven_area


@formula(
    "(driving * cap_area + pull) / rod_area",
    unit="Pa",
    sources=(ESPOSITO,),
    example=(
        {"driving": 34.4738e5, "cap_area": 3.14e-4 * 6.4516, "pull": 0.0, "rod_area": 2.35e-4 * 6.4516},
        46.0629e5,
    ),
    driving="Pa",
    cap_area="m2",
    pull="N",
    rod_area="m2",
)
def intensified_pressure(*, driving: float, cap_area: float, pull: float, rod_area: float) -> float:
    """Pressure on a throttled or blocked rod side while the cap side is driven. [Pa]

    Parameters
    ----------
    driving : float
        Pressure on the cap side. [Pa]
    cap_area, rod_area : float
        Areas of the two sides. [m2]
    pull : float
        Load that helps the motion; negative where it resists. [N]

    References
    ----------
    A. Esposito, *Fluid Power with Applications*, example 8-6 (meter-out).
    """
    return (driving * cap_area + pull) / rod_area


@formula(
    "bulk_modulus * (oil_expansion - steel_expansion) * change",
    unit="Pa",
    sources=(COMMON_PRACTICE,),
    example=(
        {"bulk_modulus": 1.0e9, "oil_expansion": 7e-4, "steel_expansion": 3.6e-5, "change": 10.0},
        66.4e5,
    ),
    bulk_modulus="Pa",
    oil_expansion="1/delta_degC",
    steel_expansion="1/delta_degC",
    change="delta_degC",
)
def locked_heat_rise(*, bulk_modulus: float, oil_expansion: float, steel_expansion: float, change: float) -> float:
    """Pressure gained by oil locked in a steel cylinder that warms and cannot move. [Pa]

    Parameters
    ----------
    bulk_modulus : float
        Effective bulk modulus of oil, hose and air. [Pa]
    oil_expansion, steel_expansion : float
        Volume expansion per degree. [1/K]
    change : float
        Temperature change. [K]

    References
    ----------
    common practice (compressibility and thermal expansion of a closed volume)
    """
    return bulk_modulus * (oil_expansion - steel_expansion) * change
