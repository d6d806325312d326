"""Where a catch must be begun so that fewest heads are met too early or missed: the place to set the sensor at."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["Catching", "best_sensor_m", "early_share", "missed_share"]

STEP_M = 0.005


@dataclass(frozen=True, slots=True)
class Catching:
    """A head coming to a bail.

    Parameters
    ----------
    head_m, neck_m : float
        Nose to poll, and poll to shoulder.
    head_at, neck_at : float
        Share of the opening a head needs, and that at which a shoulder cannot follow.
    shut_s, delay_s : float
        The bail's full stroke, and the time from the signal to its start (an operator's reaction).
    pace_m_per_s, spread_share : float
        Typical pace into the crush and its lognormal spread (SD over mean).
    """

    head_m: float
    neck_m: float
    head_at: float
    neck_at: float
    shut_s: float
    delay_s: float
    pace_m_per_s: float
    spread_share: float


def early_share(catching: Catching, sensor_m: float) -> float:
    """Share of animals whose head meets a bail already too far shut, with the catch begun `sensor_m` past it."""
    shut_s = catching.delay_s + catching.shut_s * (1 - catching.head_at)
    return _slower_than(catching, (catching.head_m - sensor_m) / shut_s)


def missed_share(catching: Catching, sensor_m: float) -> float:
    """Share of animals whose shoulder is through before the bail can hold the neck."""
    shut_s = catching.delay_s + catching.shut_s * (1 - catching.neck_at)
    return 1 - _slower_than(catching, (catching.head_m + catching.neck_m - sensor_m) / shut_s)


@lru_cache(maxsize=64)
def best_sensor_m(catching: Catching) -> float:
    """How far past the bail (negative: before it) a nose should be when the catch begins. [m]"""
    steps = range(-round(1.5 / STEP_M), round(catching.head_m / STEP_M) + 1)
    return STEP_M * min(
        steps, key=lambda k: (early_share(catching, STEP_M * k) + missed_share(catching, STEP_M * k), abs(k))
    )


def _slower_than(catching: Catching, pace_m_per_s: float) -> float:
    if pace_m_per_s <= 0:
        return 0.0
    sigma = math.sqrt(math.log1p(catching.spread_share**2))
    mean_log = math.log(catching.pace_m_per_s) - sigma**2 / 2
    return 0.5 * (1 + math.erf((math.log(pace_m_per_s) - mean_log) / (sigma * math.sqrt(2))))
