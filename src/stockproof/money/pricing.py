"""Price of a build delivered and fitted, who supplies what, and what must be carried and lifted.

Tax is never in the price. The catalogue prices no concrete, cable work or lifting: where the brief makes them
the firm's, the price says that it lacks them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from stockproof.catalogue import ItemBase
from stockproof.installation import Chosen, Installation
from stockproof.money import formulas
from stockproof.money.model import Delivery, Group, Price, PriceLine, ScopeRow

__all__ = ["GROUPS", "price"]

#: Groups of a proposal's price table and the kinds of item in each.
GROUPS: dict[str, tuple[str, ...]] = {
    "Race and forcing pen": ("forcing_pen", "race_part"),
    "Crush and head": ("crush_body", "head_bail", "squeeze", "head_lift"),
    "Gates": ("entry_gate", "rear_access_gate", "side_access_gate", "slide_gate"),
    "Weighing, tags and drafting": ("weigh_platform", "tag_reader", "draft_unit"),
    "Power": ("power_pack", "accumulator"),
    "Control": ("controller", "control_point", "sensor"),
}
_GROUP_OF = {kind: group for group, kinds in GROUPS.items() for kind in kinds}
_PARTIES = {"firm": "the firm", "customer": "the customer", "third_party": "a third party"}


def price(installation: Installation) -> Price:
    """Give the price of a build with everything it is made of."""
    firm, market = installation.catalogue.firm, installation.brief.file.market
    lines = tuple(_line(chosen) for chosen in installation.build)
    exchange = market.exchange if market.exchange is not None else 1.0
    ex_works = math.fsum(line.price_works for line in lines)
    margin = formulas.margin(ex_works, firm.margin)
    distance_m = installation.brief.file.site.road_distance_m
    freight_rate = firm.freight_rate.value / 1000
    freight = formulas.freight(distance_m, freight_rate)
    fitting_s, fitting_rate = math.fsum(line.fitting_s for line in lines), firm.install_rate.value / 3600
    fitting = formulas.fitting_charge(fitting_s, fitting_rate)
    total = formulas.works_price(ex_works=ex_works, margin=margin, freight=freight, fitting=fitting)
    return Price(
        market.currency,
        firm.currency,
        exchange,
        lines,
        tuple(_groups(lines, exchange)),
        ex_works,
        firm.margin,
        margin,
        distance_m,
        freight_rate,
        freight,
        fitting_s,
        fitting_rate,
        fitting,
        total,
        formulas.exchanged(total, exchange),
        tuple(_scope(installation)),
        _delivery(installation, lines),
    )


def group_of(item: ItemBase) -> str:
    """Give the price table's group an item belongs to."""
    return _GROUP_OF[getattr(item, "kind")]  # noqa: B009 -- each kind of item declares its own `kind`


def _line(chosen: Chosen) -> PriceLine:
    item, count = chosen.item, chosen.count
    return PriceLine(
        item.code,
        item.name,
        group_of(item),
        count,
        item.price.value,
        formulas.line_price(count, item.price.value),
        formulas.line_mass(count, item.mass_kg),
        item.mass_kg if item.largest_piece_kg is None else item.largest_piece_kg,
        formulas.line_time(count, item.install_time_s),
        formulas.line_service(count, item.service_cost.value),
        item.life_years,
        item.source,
    )


def _groups(lines: tuple[PriceLine, ...], exchange: float) -> Iterator[Group]:
    for name in GROUPS:
        members = [line for line in lines if line.group == name]
        if members:
            works = math.fsum(line.price_works for line in members)
            mass = math.fsum(line.mass_kg for line in members)
            yield Group(name, works, formulas.exchanged(works, exchange), mass)


def _scope(installation: Installation) -> Iterator[ScopeRow]:
    """What is in the price and what is not, in the order a customer asks."""
    scope = installation.brief.file.scope
    yield ScopeRow("The items listed", "firm", True, "as listed, ready to deliver")
    yield ScopeRow("Delivery to the yards", "firm", True, "one load by road, by the distance in the brief")
    yield ScopeRow("Fitting on site", "firm", True, "by the hours the catalogue gives for each item")
    yield _others("Concrete", scope.concrete)
    if installation.brief.file.site.supply:
        yield _others("Cable, and its connection by a licensed electrician", scope.cable)
    else:
        yield ScopeRow("Cable to the mains", "not needed", False, "the brief names no supply outlet at the yards")
    yield _others("Lifting on the day", scope.lifting)
    yield ScopeRow(
        "Clearing the site, taking down what stands there", "not agreed", False, "the brief does not ask for it"
    )
    yield ScopeRow("Value added or sales tax, duty", "customer", False, "added at the rate that holds on the day")


def _others(what: str, party: str) -> ScopeRow:
    """Something the catalogue does not price, whoever supplies it."""
    note = "the catalogue has no price for it" if party == "firm" else f"supplied and paid by {_PARTIES[party]}"
    return ScopeRow(what, party, False, note)


def _delivery(installation: Installation, lines: tuple[PriceLine, ...]) -> Delivery:
    site = installation.brief.file.site
    heaviest = max(lines, key=lambda line: line.heaviest_piece_kg)
    return Delivery(
        math.fsum(line.mass_kg for line in lines),
        site.access_load_kg,
        heaviest.heaviest_piece_kg,
        heaviest.name,
        site.lifting_on_site_kg,
        installation.brief.file.scope.lifting,
    )
