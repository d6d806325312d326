"""Head rate from animals timed one by one at the yards: a tap an animal, the rate between taps with its interval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stockproof.flow.intervals import mean_interval

__all__ = ["LEAST_TAPS", "TapRate", "head_rate"]

#: Below this a spread says little; a usual tally is thirty.
LEAST_TAPS = 5
CONFIDENCE = 0.9


@dataclass(frozen=True, slots=True)
class TapRate:
    """A measured head rate with the interval of its mean."""

    head_per_s: float
    low_head_per_s: float
    high_head_per_s: float
    animals: int
    mean_s: float
    spread_share: float


def head_rate(taps_s: Sequence[float], confidence: float = CONFIDENCE) -> TapRate | None:
    """Give the head rate of the animals between the taps, or None below `LEAST_TAPS` taps.

    Parameters
    ----------
    taps_s : sequence of float
        Times of the taps, rising. [s]
    confidence : float
        Two-sided confidence of the interval of the mean time between taps. [1]

    Returns
    -------
    TapRate
        The interval holds for times that do not hang together; where a slow animal slows the next, it is wider.

    References
    ----------
    Student's interval of a mean: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.2.
    """
    gaps_s = np.diff(np.asarray(taps_s, dtype=float))
    if len(taps_s) < LEAST_TAPS or gaps_s.min() < 0 or gaps_s.sum() <= 0:
        return None
    mean = mean_interval(gaps_s, confidence)
    return TapRate(
        head_per_s=1 / mean.value,
        low_head_per_s=1 / mean.high,
        high_head_per_s=1 / mean.low if mean.low > 0 else math.inf,
        animals=gaps_s.size,
        mean_s=mean.value,
        spread_share=float(np.std(gaps_s, ddof=1)) / mean.value,
    )
