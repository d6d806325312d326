"""The lines of the partial budget: only what changes between today's case and the build."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from stockproof.brief import Brief
from stockproof.brief.model import Money, Today
from stockproof.money import formulas, interest
from stockproof.money.labour import total
from stockproof.money.model import Cases, Investment, Labour, Line, Nature, Price, Side, Work

__all__ = ["bottom_line", "lines", "side_sum"]

#: Order of the sides in the form extension services print.
SIDES: tuple[Side, ...] = ("added_return", "reduced_cost", "added_cost", "reduced_return")


def lines(
    brief: Brief, price: Price, work: tuple[Work, ...], investment: Investment, energy: Line | None
) -> tuple[Line, ...]:
    """Give every line, side by side in the printed order."""
    today, money = brief.file.today, brief.file.money
    assert today is not None
    assert money is not None
    found = [
        labour_line(work, "labour_paid", "cash", "Paid labour", lambda labour: labour.paid_per_year),
        labour_line(work, "labour_unpaid", "unpaid", "Unpaid family labour", lambda labour: labour.unpaid_per_year),
        *_upkeep(today, price),
        *([energy] if energy is not None else []),
        *_ownership(investment),
        *_changes(money),
    ]
    return tuple(line for side in SIDES for line in found if line.side == side)


def labour_line(work: tuple[Work, ...], key: str, nature: Nature, label: str, part: Callable[[Labour], float]) -> Line:
    """Give the change of labour: a reduced cost, or an added one where the build takes more of it."""
    known = [each.build for each in work if each.build is not None]
    unknown = [f"{each.programme}: {each.rate.source}" for each in work if each.build is None]
    if unknown:
        return Line(key, "reduced_cost", nature, label, None, "; ".join(unknown))
    today = total(part(each.today) for each in work)
    build = Cases(
        total(part(each.low) for each in known),
        total(part(each.central) for each in known),
        total(part(each.high) for each in known),
    )
    if build.central <= today:
        amount = build.map(lambda each: formulas.saved_labour(today, each))
        return Line(key, "reduced_cost", nature, f"{label} saved", amount)
    amount = build.map(lambda each: formulas.added_labour(each, today))
    return Line(key, "added_cost", nature, f"{label} added", amount)


def _upkeep(today: Today, price: Price) -> Iterator[Line]:
    yield Line("upkeep_today", "reduced_cost", "cash", "Upkeep of today's crush", _same(today.upkeep.value))
    service = formulas.exchanged_per_year(service_works(price), price.exchange)
    yield Line("service", "added_cost", "cash", "Yearly service of the build", _same(service))


def service_works(price: Price) -> float:
    """Give a year's service of the whole build. [works_money/year]"""
    return sum(line.service_works_per_year for line in price.lines)


def _ownership(investment: Investment) -> Iterator[Line]:
    wear = interest.depreciation(investment.outlay, investment.salvage, investment.life_years)
    yield Line("depreciation", "added_cost", "ownership", "Depreciation, straight line", _same(wear))
    tied_up = interest.interest_on_average(investment.outlay, investment.salvage, investment.discount_per_year)
    yield Line("interest", "added_cost", "ownership", "Interest on the average investment", _same(tied_up))


def _changes(money: Money) -> Iterator[Line]:
    for number, change in enumerate(money.change, start=1):
        label = f"{change.label} ({change.source})"
        yield Line(f"change[{number}]", change.side, "cash", label, _same(change.amount.value))


def _same(amount: float) -> Cases[float]:
    return Cases(amount, amount, amount)


def bottom_line(found: Iterable[Line], natures: Iterable[Nature]) -> Cases[float]:
    """Give a year's net of the shown lines of some natures, in each case. [money/year]"""
    wanted = set(natures)
    counted = [line for line in found if line.amount is not None and line.nature in wanted]
    return Cases(
        _net(counted, lambda amount: amount.low),
        _net(counted, lambda amount: amount.central),
        _net(counted, lambda amount: amount.high),
    )


def _net(counted: list[Line], case: Callable[[Cases[float]], float]) -> float:
    return formulas.net_benefit(
        added_returns=side_sum(counted, "added_return", case),
        reduced_costs=side_sum(counted, "reduced_cost", case),
        added_costs=side_sum(counted, "added_cost", case),
        reduced_returns=side_sum(counted, "reduced_return", case),
    )


def side_sum(found: Iterable[Line], side: Side, case: Callable[[Cases[float]], float]) -> float:
    """Give the sum of one side's shown lines in one case. [money/year]"""
    return sum(case(line.amount) for line in found if line.side == side and line.amount is not None)
