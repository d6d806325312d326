"""Verdicts on price, delivery and payback, from the money room."""

from __future__ import annotations

from stockproof.brief import promises as kinds
from stockproof.proof.model import Measure
from stockproof.proof.rooms import Rooms
from stockproof.proof.ruling import Ruling, flow_in_doubt, judges, not_shown

__all__: list[str] = []


@judges(kinds.PriceLimit)
def _price(promise: kinds.PriceLimit, rooms: Rooms) -> Ruling:
    """Price delivered and fitted, without tax; things the firm supplies unpriced make the price a lower bound."""
    price = rooms.price
    measure = Measure(
        "price delivered and fitted",
        promise.at_most.value,
        price.total,
        "",
        "less",
        "money.price.total",
        price.currency,
    )
    dearest = max(price.groups, key=lambda group: group.price_works)
    yards = price.materials_works > dearest.price_works
    largest = "what the yard is built of" if yards else dearest.name.lower()
    because = f"the largest part of it is {largest}"
    if price.unpriced and measure.met:
        return not_shown(
            f"the firm is to supply {', '.join(price.unpriced)}, which is not in the price: see who supplies what",
            measures=(measure,),
        )
    return Ruling((measure,), because=because, mend="a cheaper alternative of a large item, or fewer options")


@judges(kinds.Delivery)
def _delivery(promise: kinds.Delivery, rooms: Rooms) -> Ruling:
    """The heaviest single lift and the whole load, against what was promised."""
    delivery = rooms.price.delivery
    measures = (
        Measure(
            "heaviest lift",
            promise.heaviest_lift_kg,
            delivery.heaviest_piece_kg,
            "mass",
            "less",
            "money.delivery.heaviest_piece",
        ),
        Measure(
            "whole load", promise.total_mass_kg, delivery.total_mass_kg, "mass", "less", "money.delivery.total_mass"
        ),
    )
    return Ruling(
        measures,
        because=f"{delivery.heaviest_item} is the heaviest piece",
        mend="an item that comes apart for lifting, a lighter alternative, or a crane on the day",
    )


@judges(kinds.Payback)
def _payback(promise: kinds.Payback, rooms: Rooms) -> Ruling:
    """Cash payback at the unfavourable end of the rates; costs that are not shown let it refute but not prove."""
    budget = rooms.budget
    if missing := flow_in_doubt(rooms, rooms.duties):
        return not_shown(missing)
    if budget.cash is None:
        return not_shown("; ".join(budget.missing))
    appraisal = budget.cash.appraisal.low
    years = appraisal.simple_payback_years
    horizon = rooms.brief.file.money.horizon_years if rooms.brief.file.money else 0
    if years is None and "never_pays_back" not in appraisal.flags and promise.at_most_years > horizon:
        return not_shown(f"the brief looks at {horizon} years only; a longer horizon would tell")
    if years is None:
        when = "ever" if "never_pays_back" in appraisal.flags else f"within the {horizon} years looked at"
        return Ruling(state="not met", because=f"not paid back in cash {when}, at the unfavourable end of the rates")
    measure = Measure("payback in cash", promise.at_most_years, years, "", "less", "money.cash.payback.low", "years")
    if measure.met and budget.left_out:
        return not_shown("not in the reckoning: " + ", ".join(budget.left_out), measures=(measure,))
    return Ruling((measure,), because="cash only, at the unfavourable end of the rates")
