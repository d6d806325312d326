"""Intervals over replications: of the mean, of a paired difference, and of one day to come.

A promise about a day rests on the interval of a day, which no number of replications makes narrow.

References
----------
A. M. Law, Simulation Modeling and Analysis, 5th ed. 2015, ch. 9 (replications, t intervals) and ch. 11 (common
random numbers). The prediction interval is the distribution-free one between order statistics: S. S. Wilks,
"Determination of sample sizes for setting tolerance limits", Ann. Math. Statist. 12 (1941) 91-96.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from stockproof.errors import InternalError

__all__ = ["Interval", "bound_of_a_day", "mean_interval", "paired_difference", "prediction_interval", "t_quantile"]

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with the interval it lies in at a level."""

    value: float
    low: float
    high: float
    level: float

    @property
    def half_width(self) -> float:
        return (self.high - self.low) / 2


def mean_interval(values: Floats, level: float = 0.95) -> Interval:
    """The mean over replications with its t interval."""
    mean = float(np.mean(values))
    if values.size < 2:
        return Interval(mean, -math.inf, math.inf, level)
    half = t_quantile(0.5 + level / 2, values.size - 1) * float(np.std(values, ddof=1)) / math.sqrt(values.size)
    return Interval(mean, mean - half, mean + half, level)


def paired_difference(one: Floats, other: Floats, level: float = 0.95) -> Interval:
    """Mean of one minus other, replication by replication (common random numbers)."""
    if one.shape != other.shape:
        raise InternalError(f"paired replications differ in number: {one.shape} and {other.shape}")
    return mean_interval(one - other, level)


def prediction_interval(values: Floats, level: float = 0.9) -> Interval:
    """Median over replications, and the interval in which one more day falls with at least this level.

    With too few replications for the level the interval is infinite: that is the honest answer.
    """
    tail = (1 - level) / 2
    low, high = _order(values, tail), -_order(-values, tail)
    return Interval(float(np.median(values)), low, high, level)


def bound_of_a_day(values: Floats, confidence: float, *, at_least: bool) -> float:
    """The value a day reaches (`at_least`), or keeps below, with this confidence."""
    return _order(values, 1 - confidence) if at_least else -_order(-values, 1 - confidence)


def _order(values: Floats, tail: float) -> float:
    """The largest order statistic below which a new value falls with at most the tail's chance."""
    k = math.floor(tail * (values.size + 1) + 1e-9)
    return float(np.sort(values)[k - 1]) if k >= 1 else -math.inf


def t_quantile(share: float, freedom: int) -> float:
    """Quantile of Student's t, to 1e-10 by bisection on its distribution."""
    if share < 0.5:
        return -t_quantile(1 - share, freedom)
    low, high = 0.0, 1.0
    while _t_share(high, freedom) < share:
        high *= 2
    while high - low > 1e-12 * max(1.0, high):
        middle = (low + high) / 2
        low, high = (middle, high) if _t_share(middle, freedom) < share else (low, middle)
    return (low + high) / 2


def _t_share(t: float, freedom: int) -> float:
    """Share of Student's t below t >= 0, by its finite series in the angle (Abramowitz & Stegun 1964, 26.7.3-4)."""
    angle = math.atan2(t, math.sqrt(freedom))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2 == 1
    term, total = (cosine if odd else 1.0), 0.0
    for k in range(2 if odd else 1, freedom, 2):
        total += term
        term *= k / (k + 1) * cosine * cosine
    within = 2 / math.pi * (angle + sine * total) if odd else sine * total
    return 0.5 + within / 2
