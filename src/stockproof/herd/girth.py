"""Weight and heart girth of cattle: published equations side by side, and the first one inverted."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from stockproof.figures import Source, formula
from stockproof.herd.normal import Floats

__all__ = [
    "FRANCIS",
    "LRRD",
    "ellipse_width_per_girth",
    "heart_girth_m",
    "weight_francis_kg",
    "weight_zebu_kg",
]

FRANCIS = Source(
    "Francis, Sibanda and Kristensen, Zimbabwe Vet. J. 33 (2002) 15-21: 494 cattle, 4,201 records, R2 0.97"
)
LRRD = Source("Livestock Research for Rural Development 23(4) (2011): Tanzania Shorthorn Zebu, n = 300, R2 0.88")
GEOMETRY = Source("Ramanujan's first formula for the circumference of an ellipse, 1914; textbook geometry")

#: Between these girths the equation of Francis et al. rises; below, its parabola turns up again.
GIRTH_LOW_M, GIRTH_HIGH_M = 0.60, 3.50


@formula(
    "73.11 - 1.958 * (100 * girth_m) + 0.01899 * (100 * girth_m)**2 + 0.0000216 * (100 * girth_m)**3",
    unit="kg",
    sources=(FRANCIS,),
    example=({"girth_m": 1.50}, 279.6),
    exempt="empirical equation with dimensional constants",
    girth_m="m",
)
def weight_francis_kg(girth_m: float) -> float:
    """Live weight from heart girth, mixed cattle of 60 to 610 kg. [kg]

    References
    ----------
    Francis, Sibanda and Kristensen, Zimbabwe Vet. J. 33 (2002) 15-21.
    """
    girth_cm = 100 * girth_m
    return 73.11 - 1.958 * girth_cm + 0.01899 * girth_cm**2 + 0.0000216 * girth_cm**3


@formula(
    "4.55 * (100 * girth_m) - 409",
    unit="kg",
    sources=(LRRD,),
    example=({"girth_m": 1.50}, 273.5),
    exempt="empirical equation with dimensional constants",
    girth_m="m",
)
def weight_zebu_kg(girth_m: float) -> float:
    """Live weight from heart girth, Shorthorn Zebu of 170 to 390 kg only. [kg]

    References
    ----------
    Livestock Research for Rural Development 23(4) (2011).
    """
    return 4.55 * (100 * girth_m) - 409


def heart_girth_m(weight_kg: Floats) -> Floats:
    """Heart girth of animals of some live weights, by the equation of Francis et al. turned round. [m], same shape

    Notes
    -----
    Read between girths a millimetre apart where the equation rises, so it cannot fail. Above 614 kg the equation is
    carried on beyond its data; at 825 kg it stays within 3 % of the girth in the AHDB cubicle table. Below 29 kg and
    above 2,600 kg, where no cattle are, girth goes with the cube root of weight.
    """
    girths, weights = _girths_and_weights()
    inside = np.clip(weight_kg, weights[0], weights[-1])
    return np.asarray(np.interp(inside, weights, girths) * np.cbrt(weight_kg / inside))


@cache
def _girths_and_weights() -> tuple[Floats, Floats]:
    girths = np.arange(round(GIRTH_LOW_M * 1000), round(GIRTH_HIGH_M * 1000) + 1) / 1000
    return girths, np.array([weight_francis_kg(girth) for girth in girths.tolist()])


@formula(
    "1 / (pi * (3 * (1 + depth_per_width) - sqrt((3 + depth_per_width) * (1 + 3 * depth_per_width))) / 2)",
    unit="dimensionless",
    sources=(GEOMETRY,),
    example=({"depth_per_width": 1.0}, 0.318310),
    depth_per_width="dimensionless",
)
def ellipse_width_per_girth(depth_per_width: float) -> float:
    """Width of an ellipse over its circumference, from its depth over its width. [1]"""
    root = ((3 + depth_per_width) * (1 + 3 * depth_per_width)) ** 0.5
    return float(1 / (math.pi * (3 * (1 + depth_per_width) - root) / 2))
