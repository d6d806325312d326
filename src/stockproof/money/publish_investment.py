"""Sets the terms of the appraisal, and the appraisal itself, down in the ledger."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stockproof.figures import Figure
from stockproof.money import interest
from stockproof.money.model import Appraisal, Budget, Investment, Sensitivity, View
from stockproof.stated import Stated

__all__ = ["ENDS", "Terms", "publish_view"]

ENDS = {
    "low": "as expected, but head rates at the low and energy at the high end of their intervals",
    "high": "as expected, but head rates at the high and energy at the low end of their intervals",
}
_PAYBACK = "straight line within the year from which on the sum of the yearly flows stays at or above zero"


@dataclass(frozen=True, slots=True)
class Terms:
    """The figures every appraisal of one budget rests on."""

    stated: Stated
    outlay: Figure
    salvage: Figure
    life: Figure
    discount: Figure
    horizon: Figure
    annuity: Figure
    factor: Figure
    recovery: Figure
    renewals: Figure

    @classmethod
    def publish(cls, stated: Stated, budget: Budget, price: Figure) -> Terms:
        """Set the terms down."""
        assert budget.investment is not None
        derive, investment = stated.ledger.derive, budget.investment
        outlay, salvage = _outlay(stated, investment, price)
        lives = _lives(stated)
        money = stated.installation.brief.file.money
        assert money is not None
        discount = stated.brief(money, "discount_share", ("money",), money.discount_share, "1/year", "Discount rate")
        horizon = stated.brief(
            money, "horizon_years", ("money",), float(money.horizon_years), "year", "Years looked at"
        )
        span = {"rate": discount, "years": horizon}
        recovery = derive(
            "money.capital_recovery_factor", "Capital recovery factor", interest.capital_recovery_factor, **span
        )
        derive(
            "money.capital_recovery",
            "Yearly sum that recovers the outlay with interest",
            interest.capital_recovery,
            outlay=outlay,
            salvage=salvage,
            factor=recovery,
            rate=discount,
        )
        return cls(
            stated,
            outlay,
            salvage,
            _life(stated, investment, lives),
            discount,
            horizon,
            derive("money.annuity_factor", "Annuity factor", interest.annuity_factor, **span),
            derive("money.discount_factor", "Worth today of one at the horizon", interest.discount_factor, **span),
            recovery,
            _renewals(stated, investment, price, lives, discount),
        )


def _outlay(stated: Stated, investment: Investment, price: Figure) -> tuple[Figure, Figure]:
    file, derive = stated.installation.brief.file, stated.ledger.derive
    assert file.today is not None
    assert file.money is not None
    trade_in = stated.brief(
        file.today, "trade_in", ("today",), investment.trade_in, "money", "What today's crush brings when it goes"
    )
    share = stated.brief(
        file.money, "salvage_share", ("money",), file.money.salvage_share, "1", "Share of the price left at the horizon"
    )
    return (
        derive("money.outlay", "Outlay: price less trade-in", interest.net_outlay, price=price, trade_in=trade_in),
        derive("money.salvage", "Worth at the horizon", interest.salvage_value, price=price, share=share),
    )


def _lives(stated: Stated) -> tuple[Figure, ...]:
    return tuple(
        stated.item(chosen.item, "life_years", chosen.item.life_years, "year", "working life")
        for chosen in stated.installation.build
    )


def _life(stated: Stated, investment: Investment, lives: tuple[Figure, ...]) -> Figure:
    how = "harmonic mean of the items' lives, weighted by their prices ex works: it gives their depreciation together"
    return stated.ledger.run("money.life", investment.life_years, "year", "Working life of the build", how, lives)


def _renewals(
    stated: Stated, investment: Investment, price: Figure, lives: tuple[Figure, ...], discount: Figure
) -> Figure:
    years = "; ".join(f"{cost:.2f} in year {year}" for year, cost in investment.renewals) or "none"
    value = math.fsum(interest.discount_factor(discount.value, year) * cost for year, cost in investment.renewals)
    how = f"sum of the renewals' worth today: {years}"
    label = "Items renewed within the horizon, in today's worth"
    return stated.ledger.run("money.renewals", value, "money", label, how, (price, discount, *lives))


def publish_view(terms: Terms, name: str, label: str, view: View, net: Figure) -> None:
    """Set down the appraisal of one view: worth, rate of return and paybacks, expected and at both ends."""
    derive, expected = terms.stated.ledger.derive, view.appraisal.central
    npv = derive(
        f"{name}.npv",
        f"Net present value, {label}",
        interest.net_present_value,
        net=net,
        annuity=terms.annuity,
        salvage=terms.salvage,
        discount=terms.factor,
        outlay=terms.outlay,
        renewals=terms.renewals,
    )
    derive(
        f"{name}.equivalent_annual",
        f"Net present value as a level yearly amount, {label}",
        interest.equivalent_annual,
        npv=npv,
        factor=terms.recovery,
    )
    basis = (net, terms.outlay, terms.renewals, terms.horizon)
    _found(terms, name, label, expected, "", "from the yearly flows", basis)
    for end, case in (("low", view.appraisal.low), ("high", view.appraisal.high)):
        _run(
            terms,
            f"{name}.npv.{end}",
            case.npv,
            "money",
            f"Net present value, {label}, {end} end",
            ENDS[end],
            (npv,),
        )
        says = f"Net present value as a level yearly amount, {label}, {end} end"
        _run(terms, f"{name}.equivalent_annual.{end}", case.equivalent_annual, "money/year", says, ENDS[end], (npv,))
        _found(terms, name, label, case, f".{end}", ENDS[end], basis)
    for sensitivity in view.sensitivity:
        _moved(terms, name, label, sensitivity, basis)


def _found(terms: Terms, name: str, label: str, case: Appraisal, end: str, how: str, basis: tuple[Figure, ...]) -> None:
    """Set down the rates of return and paybacks that exist; one that does not has no figure."""
    with_salvage, discounted = (*basis, terms.salvage), (*basis, terms.discount)
    for number, rate in enumerate(case.irr, start=1):
        which = f"[{number}]" if len(case.irr) > 1 else ""
        says = f"Internal rate of return{which}, {label}{end.replace('.', ', ')}"
        _run(
            terms, f"{name}.irr{which}{end}", rate, "1/year", says, f"bracketed zero of the worth, {how}", with_salvage
        )
    for key, says, years, inputs in (
        ("payback", "Payback", case.simple_payback_years, basis),
        ("discounted_payback", "Payback of discounted flows", case.discounted_payback_years, discounted),
    ):
        if years is not None:
            full = f"{says}, {label}{end.replace('.', ', ')}"
            _run(terms, f"{name}.{key}{end}", years, "year", full, f"{_PAYBACK}; {how}", inputs)


def _moved(terms: Terms, name: str, label: str, moved: Sensitivity, basis: tuple[Figure, ...]) -> None:
    """Set down worth and paybacks with one input moved to either end."""
    for key, says, unit, pair in (
        ("npv", "Net present value", "money", moved.npv),
        ("payback", "Payback", "year", moved.simple_payback_years),
        ("discounted_payback", "Payback of discounted flows", "year", moved.discounted_payback_years),
    ):
        for number, (end, value) in enumerate(zip(moved.ends, pair, strict=True), start=1):
            if value is not None:
                at = f"{name}.sensitivity.{moved.key}[{number}].{key}"
                full = f"{says}, {label}; {moved.label}: {end}"
                how = f"as expected, but {moved.label} moved: {end}"
                _run(terms, at, value, unit, full, how, (*basis, terms.discount, terms.salvage))


def _run(terms: Terms, name: str, value: float, unit: str, label: str, how: str, inputs: tuple[Figure, ...]) -> None:
    terms.stated.ledger.run(name, value, unit, label, how, inputs)
