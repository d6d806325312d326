"""The yard's formulas: areas and lengths of its parts, lines of sight, stress in a post."""

from __future__ import annotations

from math import cos, sin

from stockproof.figures import COMMON_PRACTICE, Source, formula

__all__ = [
    "base_volume",
    "forcing_area_needed",
    "forcing_pen_area",
    "funnel_length",
    "post_stress",
    "race_pitch",
    "ramp_length",
    "ray_height",
    "receiving_area",
]

GEOMETRY = Source("plane geometry")
GRANDIN = Source("T. Grandin: a forcing pen is filled half full")
ARKANSAS = Source("University of Arkansas, Cooperative Extension, Beef Cattle Handling Facilities: floor for each head")
CANTILEVER = Source("elastic bending of a cantilever, any strength of materials text")
#: The published race lengths per head are for adult cattle of about this weight.
ADULT_KG = 600.0


@formula(
    "(mouth - race_width) * cos(angle) / sin(angle)",
    unit="m",
    sources=(GEOMETRY,),
    example=({"mouth": 3.6, "race_width": 0.6, "angle": 0.7853981634}, 3.0),
    mouth="m",
    race_width="m",
    angle="rad",
)
def funnel_length(mouth: float, race_width: float, angle: float) -> float:
    """Length of a funnel with one straight side and the other at an angle to it. [m]

    Parameters
    ----------
    mouth, race_width : float
        Width where animals enter and where the race begins. [m]
    angle : float
        Angle between the two sides. [rad]

    References
    ----------
    Plane geometry.
    """
    return (mouth - race_width) * cos(angle) / sin(angle)


@formula(
    "sweep * mouth**2 / 2 + (mouth**2 - race_width**2) * cos(angle) / sin(angle) / 2 + mouth * straight",
    unit="m2",
    sources=(GEOMETRY,),
    example=(
        {"mouth": 3.6, "race_width": 0.66, "angle": 0.5235987756, "sweep": 3.1415926536, "straight": 0.0},
        31.2033,
    ),
    mouth="m",
    race_width="m",
    angle="rad",
    sweep="rad",
    straight="m",
)
def forcing_pen_area(mouth: float, race_width: float, angle: float, sweep: float, straight: float) -> float:
    """Floor of a forcing pen: sector, funnel, and any straight run before it. [m2]

    Parameters
    ----------
    mouth, race_width : float
        Radius of the sector, which is the width where animals enter; width of the race. [m]
    angle, sweep : float
        Angle of the funnel's side; angle the sector turns through. [rad]
    straight : float
        Straight run before the funnel. [m]

    References
    ----------
    Plane geometry.
    """
    funnel = (mouth**2 - race_width**2) * cos(angle) / sin(angle) / 2
    return sweep * mouth**2 / 2 + funnel + mouth * straight


@formula(
    "head * space / fill",
    unit="m2",
    sources=(GRANDIN,),
    example=({"head": 6.0, "space": 1.11, "fill": 0.5}, 13.32),
    head="head",
    space="m2/head",
    fill="1",
)
def forcing_area_needed(head: float, space: float, fill: float) -> float:
    """Floor of a forcing pen that takes a batch at a given fill. [m2]

    References
    ----------
    T. Grandin: fill the crowd pen half full (share 0.5).
    """
    return head * space / fill


@formula(
    "head * space",
    unit="m2",
    sources=(ARKANSAS,),
    example=({"head": 80.0, "space": 1.86}, 148.8),
    head="head",
    space="m2/head",
)
def receiving_area(head: float, space: float) -> float:
    """Floor that pens need together. [m2]

    References
    ----------
    Head times the guide's floor for each.
    """
    return head * space


@formula(
    "adult_pitch * min(1, (weight / 600) ** (1 / 3))",
    unit="m",
    sources=(COMMON_PRACTICE,),
    example=({"adult_pitch": 1.8, "weight": 300.0}, 1.42866),
    exempt="holds the adult weight of 600 kg the published lengths are for",
    adult_pitch="m",
    weight="kg",
)
def race_pitch(adult_pitch: float, weight: float) -> float:
    """Race length an animal takes up: the adult figure scaled with the cube root of weight, never stretched. [m]

    References
    ----------
    Isometric scaling of body length, common practice; adult figures from the guide table.
    """
    return float(adult_pitch * min(1.0, (weight / ADULT_KG) ** (1.0 / 3.0)))


@formula(
    "rise * cos(slope) / sin(slope)",
    unit="m",
    sources=(GEOMETRY,),
    example=({"rise": 1.2, "slope": 0.3490658504}, 3.29697),
    rise="m",
    slope="rad",
)
def ramp_length(rise: float, slope: float) -> float:
    """Plan length of a ramp that climbs a rise at a slope. [m]

    References
    ----------
    Plane trigonometry.
    """
    return rise * cos(slope) / sin(slope)


@formula(
    "eye + (target - eye) * share",
    unit="m",
    sources=(GEOMETRY,),
    example=({"eye": 1.55, "target": 1.0, "share": 0.5}, 1.275),
    eye="m",
    target="m",
    share="1",
)
def ray_height(eye: float, target: float, share: float) -> float:
    """Height of a line of sight at a share of its way from eye to target. [m]

    References
    ----------
    Similar triangles.
    """
    return eye + (target - eye) * share


@formula(
    "force * height / modulus",
    unit="Pa",
    sources=(CANTILEVER,),
    example=({"force": 10_000.0, "height": 1.2, "modulus": 1.6e-5}, 750e6),
    force="N",
    height="m",
    modulus="m3",
)
def post_stress(force: float, height: float, modulus: float) -> float:
    """Bending stress at the foot of a post that is pushed at a height. [Pa]

    Parameters
    ----------
    force, height : float
        Push and its height over the ground. [N, m]
    modulus : float
        Elastic section modulus of the post. [m3]

    References
    ----------
    Elastic bending of a cantilever.
    """
    return force * height / modulus


@formula(
    "side**2 * depth",
    unit="m3",
    sources=(GEOMETRY,),
    example=({"side": 0.3, "depth": 0.45}, 0.0405),
    side="m",
    depth="m",
)
def base_volume(side: float, depth: float) -> float:
    """Concrete in a post's square base. [m3]

    References
    ----------
    Plane geometry.
    """
    return side**2 * depth
