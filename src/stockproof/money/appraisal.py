"""Judges an outlay by its yearly flows: present value, rates of return, paybacks, and what to beware of.

Flows are amounts by year, year 0 first; year 0 is not discounted. Level sums are in `formulas`; nothing here
knows where the flows come from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

from stockproof.money.interest import capital_recovery_factor, equivalent_annual
from stockproof.money.model import Appraisal, Flag

__all__ = ["appraise", "payback", "present_value", "present_values", "rates_of_return", "sign_changes"]

#: Rates of return are sought between these; what lies outside is no rate anybody acts on.
LOWEST_RATE, HIGHEST_RATE = -0.99, 10.0


def appraise(flows: Sequence[float], recovered: Sequence[float], *, rate: float) -> Appraisal:
    """Give the appraisal of yearly flows.

    Parameters
    ----------
    flows : sequence of float
        Flow of each year from year 0, salvage in the last. [money]
    recovered : sequence of float
        The same without salvage: paybacks count what the work brings in, not what a sale would. [money]
    rate : float
        Discount rate. [1/year]
    """
    npv = present_value(flows, rate)
    rates = rates_of_return(flows)
    simple = payback(recovered)
    return Appraisal(
        tuple(flows),
        tuple(recovered),
        npv,
        equivalent_annual(npv, capital_recovery_factor(rate, len(flows) - 1)),
        rates,
        simple,
        payback(present_values(recovered, rate)),
        tuple(_flags(flows, recovered, rates, simple)),
    )


def present_values(flows: Sequence[float], rate: float) -> tuple[float, ...]:
    """Give each year's flow in the worth of year 0. [money]"""
    return tuple(flow * (1 + rate) ** -year for year, flow in enumerate(flows))


def present_value(flows: Sequence[float], rate: float) -> float:
    """Give the net present value of yearly flows. [money]

    References
    ----------
    Common practice; year 0 is not discounted (spreadsheets' NPV discounts its first flow by one year).
    """
    return math.fsum(present_values(flows, rate))


def sign_changes(flows: Sequence[float]) -> int:
    """Give how often the flows change sign, zeros left out: as many rates of return are possible."""
    signs = [flow > 0 for flow in flows if flow != 0]
    return sum(before != after for before, after in pairwise(signs))


def rates_of_return(flows: Sequence[float]) -> tuple[float, ...]:
    """Give every rate from -99 % to 1,000 % at which the present value changes sign, lowest first. [1/year]

    Notes
    -----
    In x = 1 / (1 + rate) the present value is a polynomial. Between two neighbouring turning points it is
    monotonic, so each change of sign there brackets one root; the turning points come from the derivative in
    the same way.
    """
    if sign_changes(flows) == 0:
        return ()
    roots = _roots(flows, 1 / (1 + HIGHEST_RATE), 1 / (1 + LOWEST_RATE))
    return tuple(sorted(1 / x - 1 for x in roots))


def _roots(coefficients: Sequence[float], low: float, high: float) -> list[float]:
    """Points where a polynomial (lowest power first) changes sign between two bounds."""
    if len(coefficients) < 2:
        return []
    derivative = [power * factor for power, factor in enumerate(coefficients)][1:]
    edges = [low, *_roots(derivative, low, high), high]
    return [
        _bisect(coefficients, start, end)
        for start, end in pairwise(edges)
        if (_polynomial(coefficients, start) < 0) != (_polynomial(coefficients, end) < 0)
    ]


def _bisect(coefficients: Sequence[float], low: float, high: float) -> float:
    """Halve a bracket until no float lies within it."""
    negative = _polynomial(coefficients, low) < 0
    while low < (middle := (low + high) / 2) < high:
        if (_polynomial(coefficients, middle) < 0) == negative:
            low = middle
        else:
            high = middle
    return high


def _polynomial(coefficients: Sequence[float], x: float) -> float:
    value = 0.0
    for factor in reversed(coefficients):
        value = value * x + factor
    return value


def payback(flows: Sequence[float]) -> float | None:
    """Give the years until the flows' sum is back at zero to stay, evenly within a year; None where it is not. [year]

    References
    ----------
    Common practice: straight line within the year of recovery. Where the sum dips again later (a renewal), the
    last recovery counts, which is the unfavourable reading.
    """
    sums = list(accumulate(flows))
    short = [year for year, total in enumerate(sums) if total < 0]
    if not short:
        return 0.0
    last = short[-1]
    return None if last == len(flows) - 1 else last - sums[last] / flows[last + 1]


def _flags(
    flows: Sequence[float], recovered: Sequence[float], rates: Sequence[float], simple: float | None
) -> list[Flag]:
    flags: list[Flag] = []
    if sign_changes(flows) > 1:
        flags.append("several_irr")
    if not rates:
        flags.append("no_irr")
    if simple is None:
        flags.append("not_within_horizon" if math.fsum(recovered[1:]) > 0 else "never_pays_back")
    return flags
