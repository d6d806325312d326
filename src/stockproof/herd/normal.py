"""The normal distribution on arrays, without a statistics library."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "normal_quantile", "normal_share"]

Floats = NDArray[np.float64]

_STANDARD = NormalDist()


def normal_share(z: Floats) -> Floats:
    """Share of a standard normal quantity that is at most `z`. [1], same shape"""
    flat = np.ravel(z) / math.sqrt(2)
    erf = np.fromiter(map(math.erf, flat.tolist()), dtype=np.float64, count=flat.size)
    return (0.5 * (1 + erf)).reshape(np.shape(z))


def normal_quantile(share: float) -> float:
    """Value that a share of a standard normal quantity does not exceed. [1]"""
    return _STANDARD.inv_cdf(share)
