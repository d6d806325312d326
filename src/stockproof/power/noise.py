"""Noise of the power pack where people stand: open air over hard ground, no reflections off sheds."""

from __future__ import annotations

from math import log10

from stockproof.figures import COMMON_PRACTICE, formula

__all__ = ["level_at_distance"]


@formula(
    "level - 20 * log(distance / level_distance) / log(10)",
    unit="dB",
    sources=(COMMON_PRACTICE,),
    example=({"level": 78.0, "level_distance": 1.0, "distance": 4.0}, 65.9588),
    exempt="decibels have no dimension",
    level="dB",
    level_distance="m",
    distance="m",
)
def level_at_distance(*, level: float, level_distance: float, distance: float) -> float:
    """A-weighted level at a distance from a small source. [dB]

    Parameters
    ----------
    level : float
        Known level. [dB(A)]
    level_distance : float
        Distance of the known level. [m]
    distance : float
        Distance asked, not nearer than the known one. [m]

    References
    ----------
    common practice (6 dB for each doubling of distance)
    """
    return level - 20 * log10(distance / level_distance)
