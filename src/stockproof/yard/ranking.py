"""How families are compared: each criterion in its own unit, a weight for each, and reasons in words."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stockproof.yard.result import Rank

__all__ = ["WEIGHTS", "Criterion", "explain", "score"]


@dataclass(frozen=True, slots=True)
class Criterion:
    """What is compared: attribute of `Rank`, metres of fence one unit is worth, words for best and worst."""

    name: str
    worth: float
    best: str
    worst: str
    unit: str
    shown: float = 1.0


#: The firm's judgement, in metres of fence; the ranking prints every figure beside it.
WEIGHTS = (
    Criterion("fence_m", 1.0, "shortest fence line", "longest fence line", "m"),
    Criterion("area_m2", 0.06, "least ground", "most ground", "m2"),
    Criterion("walk_m", 1.5, "shortest walk from crush to pens", "longest walk from crush to pens", "m"),
    Criterion("turn_rad", 4.0, "fewest turns for the animals", "most turns for the animals", "deg", 180.0 / math.pi),
    Criterion(
        "sun_rad", -12.0, "runs farthest from the low sun", "runs nearest to the low sun", "deg", 180.0 / math.pi
    ),
    Criterion("truck_m", 0.3, "shortest way for the truck", "longest way for the truck", "m"),
)
#: A half turn in the forcing pen lets cattle go back the way they came, which they do willingly (Grandin).
HALF_TURN_M = -20.0
#: A family that a gateway does not reach, or whose working floor is shut in, stands behind any that lacks nothing.
LACKING_M = 1000.0


def score(rank: Rank, sweep_rad: float, lacking: int) -> float:
    """Give a family's score in metres of fence; less is better."""
    total = sum(criterion.worth * float(getattr(rank, criterion.name)) for criterion in WEIGHTS)
    return total + HALF_TURN_M * sweep_rad / math.pi + LACKING_M * lacking


def explain(ranks: list[Rank]) -> tuple[Rank, ...]:
    """Sort the families that fit by score, the others behind them, and say where each is best or worst."""
    fitting = sorted((rank for rank in ranks if rank.fits), key=lambda rank: (rank.score, rank.family))
    told = [replace(rank, reason=_reason(rank, fitting)) for rank in fitting]
    return (*told, *(rank for rank in ranks if not rank.fits))


def _reason(rank: Rank, fitting: list[Rank]) -> str:
    if len(fitting) == 1:
        return "the only family that fits this site"
    words = []
    for criterion in WEIGHTS:
        values = [float(getattr(other, criterion.name)) for other in fitting]
        if max(values) - min(values) < 1e-6:
            continue
        value = float(getattr(rank, criterion.name))
        best, worst = (max(values), min(values)) if criterion.worth < 0 else (min(values), max(values))
        figure = f"{value * criterion.shown:.0f} {criterion.unit}"
        if value == best:
            words.append(f"{criterion.best} ({figure})")
        elif value == worst:
            words.append(f"{criterion.worst} ({figure})")
    told = "; ".join(words) if words else "between the others on every count"
    return f"{told}{rank.reason}"
