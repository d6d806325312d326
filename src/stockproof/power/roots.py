"""The one search for a root that is not compiled: a bracket that closes by secants."""

from __future__ import annotations

from collections.abc import Callable

from stockproof.errors import InternalError

__all__ = ["root"]

_LONGEST = 60


def root(of: Callable[[float], float], low: float, high: float, *, enough: float) -> float:
    """Give where a function that changes its sign between two places is no further from 0 than is enough.

    Illinois search: a false position whose kept end counts half, so that both ends move.

    Raises
    ------
    InternalError
        The function has one sign at both ends.
    """
    low_f, high_f = of(low), of(high)
    if low_f * high_f > 0.0:
        raise InternalError(f"no root between {low:.4g} and {high:.4g}: {low_f:.4g} and {high_f:.4g}")
    for _ in range(_LONGEST):
        middle = (low * high_f - high * low_f) / (high_f - low_f)
        middle_f = of(middle)
        if abs(middle_f) <= enough:
            return middle
        if middle_f * high_f < 0.0:
            low, low_f = high, high_f
        else:
            low_f *= 0.5
        high, high_f = middle, middle_f
    return high
