"""Head rate from animals timed one by one at the yards: a tap an animal, the rate between taps with its interval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist, fmean, stdev

__all__ = ["LEAST_TAPS", "TapRate", "head_rate", "student_t"]

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
    gaps = [after - before for before, after in pairwise(taps_s)]
    if len(taps_s) < LEAST_TAPS or min(gaps) < 0 or sum(gaps) <= 0:
        return None
    mean, spread = fmean(gaps), stdev(gaps)
    half = student_t(0.5 + confidence / 2, len(gaps) - 1) * spread / math.sqrt(len(gaps))
    slowest, fastest = 1 / (mean + half), 1 / (mean - half) if half < mean else math.inf
    return TapRate(1 / mean, slowest, fastest, len(gaps), mean, spread / mean)


def student_t(share: float, freedom: int) -> float:
    """Give the quantile of Student's t, by its expansion in powers of 1/freedom; within 0.2 % from 4 degrees on.

    References
    ----------
    Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, equation 26.7.5.
    """
    z, n = NormalDist().inv_cdf(share), float(freedom)
    terms = (
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return z + sum(term / n ** (i + 1) for i, term in enumerate(terms))
