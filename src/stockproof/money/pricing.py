"""Price of a build delivered and fitted, who supplies what, and what must be carried and lifted.

Tax is never in the price. Concrete, steelwork and cable of the yard are in it where the brief makes them the firm's
and the catalogue has a rate for each; where it has none, and for lifting, the price says that it lacks them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from stockproof.catalogue import ItemBase
from stockproof.catalogue.items import PowerPack
from stockproof.installation import Chosen, Installation
from stockproof.money import formulas
from stockproof.money.model import Delivery, Group, MaterialLine, Price, PriceLine, ScopeRow

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
#: Materials of a yard by the trade that supplies them, with the unit each is counted in.
TRADES: dict[str, dict[str, str]] = {
    "steelwork": {"fence": "m", "gate": "", "catwalk": "m", "ramp": "m2"},
    "concrete": {"concrete": "m3"},
    "cable": {"cable": "m"},
}
#: The formula a material's price follows and the parameter its amount is, by the unit it is counted in.
PRICED: dict[str, tuple[Callable[[float, float], float], str]] = {
    "": (formulas.line_price, "count"),
    "m": (formulas.length_price, "length"),
    "m2": (formulas.area_price, "area"),
    "m3": (formulas.volume_price, "volume"),
}
Materials = Sequence[tuple[str, float]]
_PARTIES = {"firm": "the firm", "customer": "the customer", "third_party": "a third party"}


def price(installation: Installation, materials: Materials = ()) -> Price:
    """Give the price of a build with everything it is made of.

    Parameters
    ----------
    materials : sequence of (what, amount)
        What the yard takes, in the units of `TRADES`; none where there is no layout.
    """
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
    bought = tuple(_materials(installation, materials))
    materials_works = math.fsum(line.price_works for line in bought)
    items = formulas.items_price(ex_works=ex_works, margin=margin)
    total = formulas.works_price(items=items, freight=freight, fitting=fitting, materials=materials_works)
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
        bought,
        materials_works,
        total,
        formulas.exchanged(total, exchange),
        tuple(_scope(installation, materials)),
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


def _materials(installation: Installation, materials: Materials) -> Iterator[MaterialLine]:
    """The materials the firm supplies, where its catalogue has a rate for everything of the trade."""
    for trade, units in TRADES.items():
        if not _supplied(installation, trade, materials):
            continue
        for what, amount in materials:
            if what in units:
                rate, (priced, _) = getattr(installation.catalogue.firm, f"{what}_rate").value, PRICED[units[what]]
                yield MaterialLine(what, units[what], amount, rate, priced(amount, rate))


def _supplied(installation: Installation, trade: str, materials: Materials) -> bool:
    """Whether the firm supplies a trade's materials of this yard and can say what they cost."""
    wanted = [what for what, _ in materials if what in TRADES[trade]]
    rated = all(getattr(installation.catalogue.firm, f"{what}_rate") is not None for what in wanted)
    return bool(wanted) and rated and getattr(installation.brief.file.scope, trade) == "firm"


def _scope(installation: Installation, materials: Materials) -> Iterator[ScopeRow]:
    """What is in the price and what is not, in the order a customer asks."""
    scope = installation.brief.file.scope
    yield ScopeRow("The items listed", "firm", True, "as listed, ready to deliver")
    yield ScopeRow("Delivery to the yards", "firm", True, "one load by road, by the distance in the brief")
    yield ScopeRow("Fitting on site", "firm", True, "by the hours the catalogue gives for each item")
    yield _trade(installation, "Fences, gates, catwalk and ramp of the yard", "steelwork", materials)
    yield _trade(installation, "Concrete", "concrete", materials)
    if installation.brief.file.site.supply:
        yield _trade(installation, "Cable, and its connection by a licensed electrician", "cable", materials)
    else:
        pack = installation.one(PowerPack)
        mains = pack is not None and pack.drive != "petrol"
        needed = "not agreed" if mains else "not needed"
        why = ", though the pack is driven from the mains" if mains else ""
        yield ScopeRow("Cable to the mains", needed, False, f"the brief names no supply outlet at the yards{why}")
    yield _others("Lifting on the day", scope.lifting)
    yield ScopeRow(
        "Clearing the site, taking down what stands there", "not agreed", False, "the brief does not ask for it"
    )
    yield ScopeRow("Value added or sales tax, duty", "customer", False, "added at the rate that holds on the day")


def _trade(installation: Installation, what: str, trade: str, materials: Materials) -> ScopeRow:
    """A trade's work at the yard, with how much of it the layout takes."""
    party = getattr(installation.brief.file.scope, trade)
    amounts = [_counted(key, amount, TRADES[trade][key]) for key, amount in materials if key in TRADES[trade]]
    if _supplied(installation, trade, materials):
        return ScopeRow(what, party, True, f"{', '.join(amounts)}, at the catalogue's rates")
    row = _others(what, party)
    if party == "firm" and not amounts:
        return replace(row, note="not counted: no layout of the yard says how much")
    return replace(row, note=f"{', '.join(amounts)}; {row.note}") if amounts else row


def _counted(what: str, amount: float, unit: str) -> str:
    if not unit:
        return f"{amount:.0f} {what}s"
    return f"{amount:.1f} {unit} of {what}" if amount < 100 else f"{amount:.0f} {unit} of {what}"


def _others(what: str, party: str) -> ScopeRow:
    """Something that is not in the price, whoever supplies it."""
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
