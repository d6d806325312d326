"""Which share of a mob passes one limit, or all of them, and the margin of the animal at a percentile.

The mob is read at equal shares of its weight; at each weight the differences between animals are lognormal, so a
share is a mean of normal probabilities and needs no random draws.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from stockproof.fit.limits import Limit
from stockproof.fit.model import Animal
from stockproof.herd import NODES, WEIGHT, Floats, MobSizes

__all__ = ["animal_at", "share_passing", "share_passing_all"]


def share_passing(mob: MobSizes, limit: Limit) -> float:
    """Share of a mob that passes one limit. [1]"""
    bounds = limit.bound(mob.nodes_kg)
    if limit.measure == WEIGHT and limit.at_most:
        return mob.share_at_most(WEIGHT, float(bounds[0]))
    below = mob.shares_at_most(limit.measure, bounds)
    return float(np.mean(below if limit.at_most else 1 - below))


def share_passing_all(mob: MobSizes, limits: Iterable[Limit]) -> float:
    """Share of a mob that passes every limit that counts. [1]

    Notes
    -----
    At one weight a size passes when it lies between its highest lower and its lowest upper bound; different sizes
    are independent there, so their probabilities multiply.
    """
    least: dict[str, Floats] = {}
    most: dict[str, Floats] = {}
    for limit in limits:
        if limit.counts:
            bounds = limit.bound(mob.nodes_kg)
            if limit.at_most:
                most[limit.measure] = np.minimum(most.get(limit.measure, bounds), bounds)
            else:
                least[limit.measure] = np.maximum(least.get(limit.measure, bounds), bounds)
    passing = np.ones(NODES)
    for measure in [*most, *(key for key in least if key not in most)]:
        upper = mob.shares_at_most(measure, most[measure]) if measure in most else np.ones(NODES)
        lower = mob.shares_at_most(measure, least[measure]) if measure in least else np.zeros(NODES)
        passing *= np.maximum(upper - lower, 0.0)
    return float(np.mean(passing))


def animal_at(mob: MobSizes, limit: Limit, percentile: float) -> Animal:
    """The animal at a percentile of the size a limit is about, with what is left before the limit."""
    weight = mob.percentile(WEIGHT, percentile)
    size = mob.percentile(limit.measure, percentile)
    bound = float(limit.bound(np.array([weight]))[0])
    return Animal(percentile, weight, size, bound, bound - size if limit.at_most else size - bound)
