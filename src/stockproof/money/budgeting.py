"""Partial budget and appraisal of a build against today's case: the room's front function."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stockproof.brief.model import Money, Today
from stockproof.installation import Installation
from stockproof.money import formulas, interest
from stockproof.money.appraisal import appraise
from stockproof.money.labour import work
from stockproof.money.model import (
    Appraisal,
    Budget,
    Cases,
    Energy,
    Investment,
    Line,
    Nature,
    Price,
    Rate,
    Sensitivity,
    View,
    Work,
)
from stockproof.money.partial import bottom_line, lines
from stockproof.money.pricing import Materials, price
from stockproof.money.running import energy_line

__all__ = ["SENSITIVITY_STEP", "budget", "yearly_flows"]

#: How far an input is moved, up and down, to see what the payback does (common practice).
SENSITIVITY_STEP = 0.10
_NO_TODAY = "the brief does not tell today's case: add [today] with rate, crew, crush, upkeep and trade_in"
_NO_MONEY = "the brief gives no terms for judging the outlay: add [money] with discount and horizon_years"


def budget(
    installation: Installation, rates: Mapping[str, Rate], energy: Energy | None, materials: Materials = ()
) -> Budget:
    """Give the partial budget and appraisal of a build.

    Parameters
    ----------
    installation : Installation
        Brief and build.
    rates : mapping of str to Rate
        Head rate of each programme with the build, by the programme's name; one that is not there is unknown.
    energy : Energy or None
        What the power pack takes in a year; None while unknown, then its line is not shown.
    materials : sequence of (what, amount)
        What the yard takes, see `price`.
    """
    brief, paid = installation.brief, price(installation, materials)
    today, money = brief.file.today, brief.file.money
    if today is None or money is None:
        missing = [says for part, says in ((today, _NO_TODAY), (money, _NO_MONEY)) if part is None]
        labour = () if today is None else work(brief, rates)
        return Budget(price=paid, missing=tuple(missing), work=labour, energy=energy)
    labour = work(brief, rates)
    investment = _investment(paid, today, money)
    found = lines(brief, paid, labour, investment, energy_line(installation, money, energy))
    return _judged(paid, labour, investment, found, energy)


def _judged(
    paid: Price, labour: tuple[Work, ...], investment: Investment, found: tuple[Line, ...], energy: Energy | None
) -> Budget:
    missing = tuple(
        f"head rate with the build, {each.programme}: {each.rate.source}" for each in labour if each.build is None
    )
    left_out = [f"{line.label}: {line.missing}" for line in found if line.amount is None and line.key == "energy"]
    left_out += [f"{what}: the firm supplies it and the price does not hold it" for what in paid.unpriced]
    shown = not missing
    return Budget(
        price=paid,
        missing=missing,
        left_out=tuple(left_out),
        work=labour,
        lines=found,
        energy=energy,
        investment=investment,
        capital_recovery_per_year=_recovery(investment),
        net=bottom_line(found, ("cash", "ownership", "unpaid")) if shown else None,
        cash=_view(investment, found, ("cash",)) if shown else None,
        with_unpaid=_view(investment, found, ("cash", "unpaid")) if shown else None,
    )


def _investment(paid: Price, today: Today, money: Money) -> Investment:
    return Investment(
        paid.total,
        today.trade_in.value,
        interest.net_outlay(paid.total, today.trade_in.value),
        interest.salvage_value(paid.total, money.salvage_share),
        tuple(_renewals(paid, money.horizon_years)),
        _mean_life(paid),
        money.horizon_years,
        money.discount_share,
    )


def _renewals(paid: Price, horizon_years: int) -> Iterator[tuple[int, float]]:
    """Year and cost of every renewal before the horizon, in the order of the lines."""
    for line in paid.lines:
        works = line.price_works * (1 + paid.margin_share) + line.fitting_s * paid.fitting_rate_works_per_s
        for time in range(1, math.ceil(horizon_years / line.life_years)):
            year = math.ceil(time * line.life_years)
            if year < horizon_years:
                yield year, formulas.exchanged(works, paid.exchange)


def _mean_life(paid: Price) -> float:
    """The life that gives the build the depreciation its items have together. [year]"""
    worn = math.fsum(line.price_works / line.life_years for line in paid.lines)
    return paid.ex_works / worn if worn else min(line.life_years for line in paid.lines)


def _recovery(investment: Investment) -> float:
    rate = investment.discount_per_year
    factor = interest.capital_recovery_factor(rate, investment.horizon_years)
    return interest.capital_recovery(outlay=investment.outlay, salvage=investment.salvage, factor=factor, rate=rate)


def _view(investment: Investment, found: tuple[Line, ...], natures: tuple[Nature, ...]) -> View:
    net = bottom_line(found, natures)
    appraisal = net.map(lambda each: _appraised(investment, each))
    return View(net, appraisal, tuple(_sensitivities(investment, found, natures, net)))


def _appraised(investment: Investment, net: float) -> Appraisal:
    flows, recovered = yearly_flows(investment, net)
    return appraise(flows, recovered, rate=investment.discount_per_year)


def yearly_flows(investment: Investment, net: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Give the flow of each year from year 0, with and without the salvage in the last. [money]"""
    recovered = [-investment.outlay, *([net] * investment.horizon_years)]
    for year, cost in investment.renewals:
        recovered[year] -= cost
    flows = [*recovered[:-1], recovered[-1] + investment.salvage]
    return tuple(flows), tuple(recovered)


def _sensitivities(
    investment: Investment, found: tuple[Line, ...], natures: tuple[Nature, ...], net: Cases[float]
) -> Iterator[Sensitivity]:
    """Move one input at a time: rates over their own interval, the others by the step."""
    down, up = 1 - SENSITIVITY_STEP, 1 + SENSITIVITY_STEP
    steps = (f"-{SENSITIVITY_STEP:.0%}", f"+{SENSITIVITY_STEP:.0%}")
    labour = [line for line in found if line.key in ("labour_paid", "labour_unpaid")]
    saved = bottom_line(labour, natures)
    others = net.central - saved.central
    ends = [_appraised(investment, others + each) for each in (saved.low, saved.high)]
    yield _sensitivity("rate", "Head rates with the build", ("low end", "high end"), ends)
    ends = [_appraised(investment, others + saved.central * step) for step in (down, up)]
    yield _sensitivity("wage", "Value of an hour of labour", steps, ends)
    ends = [_appraised(_dearer(investment, step), net.central) for step in (down, up)]
    yield _sensitivity("price", "Price of the build", steps, ends)
    rates = [investment.discount_per_year * step for step in (down, up)]
    ends = [_appraised(replace(investment, discount_per_year=rate), net.central) for rate in rates]
    yield _sensitivity("discount", "Discount rate", steps, ends)


def _dearer(investment: Investment, times: float) -> Investment:
    """The same investment at so many times the price."""
    price = investment.price * times
    return replace(
        investment,
        price=price,
        outlay=interest.net_outlay(price, investment.trade_in),
        salvage=investment.salvage * times,
        renewals=tuple((year, cost * times) for year, cost in investment.renewals),
    )


def _sensitivity(key: str, label: str, ends: tuple[str, str], found: list[Appraisal]) -> Sensitivity:
    first, second = found
    return Sensitivity(
        key,
        label,
        ends,
        (first.npv, second.npv),
        (first.simple_payback_years, second.simple_payback_years),
        (first.discounted_payback_years, second.discounted_payback_years),
    )
